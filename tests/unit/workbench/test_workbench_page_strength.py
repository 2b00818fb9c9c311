"""The Strength page: which pushes there are, what a run keeps, and that it is the solver's own answer."""

import json
import shutil
from pathlib import Path

import numpy as np
import pytest

from cagewright.base.curves import point_at
from cagewright.base.plain import plain
from cagewright.frame.choices import Choices
from cagewright.frame.idealise import idealise
from cagewright.frame.members import bending, plastic_use, shares_of, strengths_of
from cagewright.frame.push_names import push_named, push_names
from cagewright.frame.respond import marks_of, respond, solve
from cagewright.job.opening import open_job
from cagewright.job.strength import push_answer
from cagewright.job.strength_moments import Run, moments_of, picked, place_on, use_so_far
from cagewright.job.strength_runs import choices_of, shown_push
from cagewright.shape.survival_space import STEP, points_of, survival_spaces
from cagewright.workbench.pages.results_kept import all_kept, folder_of, forget, keep, kept
from cagewright.workbench.pages.strength import push_work
from deskside import Bench

EXAMPLES = Path(__file__).parents[3] / "examples"
PUSH = "main-hoop-down"


@pytest.fixture(scope="module")
def roll_bar(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("bar")
    shutil.copy(EXAMPLES / "brackwater.shop.yaml", place)
    return Path(shutil.copy(EXAMPLES / "roll-bar.yaml", place))


@pytest.fixture(scope="module")
def run(roll_bar: Path) -> Run:
    cage = open_job(roll_bar).cage
    push = push_named(cage, PUSH)
    model = idealise(cage, Choices(), marks_of([push]))
    return Run(model=model, push=push, solution=solve(model, push))


def line_of(moments: dict, number: int, member: int) -> np.ndarray:
    """A member's line at a moment, as the page makes it: rest plus movement in tenths of a mm."""
    counts = [len(m["points"]) for m in moments["members"]]
    start = 3 * sum(counts[:member])
    moved = np.array(moments["moved"][number][start : start + 3 * counts[member]]).reshape(-1, 3)
    return np.array(moments["members"][member]["points"]) + moved / 10.0


def test_the_last_moment_is_the_shape_at_the_end_of_the_push(run: Run):
    moments, end = plain(moments_of(run)), respond(run.model, run.push, run.solution).shapes[-1]
    assert moments["travel"][-1] == pytest.approx(end.travel, abs=0.01)
    for i, line in enumerate(end.lines):
        # rest and movement are each rounded: 0.05 mm and 0.05 mm
        assert line_of(moments, -1, i) == pytest.approx(line, abs=0.11)


def test_the_largest_load_is_among_the_moments_however_few(run: Run):
    few = plain(moments_of(run, most=4))
    assert len(few["travel"]) <= 5
    assert max(few["load"]) == pytest.approx(run.solution.load.max(), abs=1.0)
    assert few["travel"][0] == 0.0


def test_moments_are_picked_evenly_with_both_ends():
    travel = np.concatenate([np.linspace(0.0, 10.0, 50), np.linspace(11.0, 100.0, 50)])
    steps = picked(travel, 11)
    assert steps[0] == 0
    assert steps[-1] == 99
    assert len(steps) <= 11
    assert np.diff(travel[steps]).max() < 13.0


def test_use_so_far_ends_at_the_use_that_is_reported_and_never_falls(run: Run):
    use = use_so_far(run)
    assert (np.diff(use, axis=0) >= 0.0).all()
    results = respond(run.model, run.push, run.solution)
    top = int(np.argmax(run.solution.load))
    names = [m.name for m in run.model.cage.members]
    for member in results.members:
        assert use[top, names.index(member.member)] == pytest.approx(member.most)


def test_use_of_one_element_by_hand(run: Run):
    """The thin ring's surface m = cos(pi n / 2): at the share found, the forces lie on it (computed)."""
    strengths, k = strengths_of(run.model), len(run.solution.travel) // 2
    n = run.solution.forces[k, :, 0] / (strengths.area * strengths.stress)
    m = bending(run.solution.forces[k]).max(axis=1) / (strengths.plastic * strengths.stress)
    t = np.abs(run.solution.forces[k, :, 1]) / (strengths.twist * strengths.stress)
    assert shares_of(strengths, run.solution.forces[k])[2][:, 0] == pytest.approx(t)
    share = np.sqrt(plastic_use(n, m, t) ** 2 - t**2)
    assert m / share == pytest.approx(np.cos(0.5 * np.pi * np.abs(n) / share), abs=1e-3)


def test_what_is_left_to_the_head_is_none_without_a_driver(run: Run):
    assert not run.model.cage.people
    assert moments_of(run).room is None


def test_what_is_left_is_the_gap_between_the_two_ends_of_its_line():
    cage = open_job(EXAMPLES / "brackwater.yaml").cage
    push = push_named(cage, "front-corner-left")
    model = idealise(cage, Choices(mesh=120.0), marks_of([push]))
    solution = solve(model, push, travel=40.0)
    room = plain(moments_of(Run(model=model, push=push, solution=solution)).room)
    spaces = {f"{s.person}'s {s.part}": s for s in survival_spaces(cage)}
    for gap, spot, by, to in zip(room["gap"], room["spots"], room["by"], room["to"], strict=True):
        assert by in {m.name for m in cage.members}
        one, two = (np.array(p) for p in spot)
        assert np.linalg.norm(two - one) == pytest.approx(abs(gap), abs=0.3)
        # one end is on the round of the part: its own radius from its outline, within half a step of it
        away = points_of(spaces[to]) - one
        radius = spaces[to].radius
        assert radius - 0.2 < np.linalg.norm(away, axis=1).min() < np.hypot(radius, 0.5 * STEP)


def test_a_place_is_found_again_between_two_stations(run: Run):
    results = respond(run.model, run.push, run.solution)
    moments = plain(moments_of(run))
    spot = results.first_yield.spot
    at = plain(place_on(run, spot))
    number = [m["name"] for m in moments["members"]].index(at["member"])
    line = line_of(moments, 0, number)
    i, part = at["station"], at["part"]
    path = next(m.path for m in run.model.cage.members if m.name == spot.member)
    # bends are chords of 40 mm: their middles are 40^2 / (8 R) = 1.5 mm inside the arc of R 135 mm
    assert line[i] + part * (line[i + 1] - line[i]) == pytest.approx(point_at(path, spot.along), abs=2.0)


def test_what_happened_is_in_order_and_names_its_place(run: Run):
    shown = shown_push(run, respond(run.model, run.push, run.solution))
    rows = shown.happened
    travels = [row.travel.value for row in rows]
    assert travels == sorted(travels)
    assert {row.kind for row in rows} >= {"yield", "hinge"}
    names = {m.name for m in run.model.cage.members}
    assert len(shown.at) == len(rows)
    assert all(at is None or at.member in names for at in shown.at)
    assert all(at is not None for row, at in zip(rows, shown.at, strict=True) if row.kind == "hinge")
    assert [row.number for row in rows if row.number] == list(range(1, sum(r.number > 0 for r in rows) + 1))
    json.dumps(plain(shown), allow_nan=False)


def test_a_push_from_memory_says_so(run: Run):
    results = respond(run.model, run.push, run.solution)
    assert results.push.certainty == "memory"
    assert any("from memory" in c for c in push_answer(run.model.cage, results).cautions)


def test_switches_that_are_not_known_are_as_usual():
    assert choices_of({"choices": {"joints": "yield", "feet": "on stilts", "mesh": 5}}) == Choices(
        joints="yield"
    )
    assert choices_of({"choices": ["joints"]}) == Choices()


def test_work_keeps_each_push_beside_the_plan(roll_bar: Path):
    said: list[str] = []
    asked = {"pushes": [PUSH, "no-such-push"], "choices": {"feet": "rigid"}}
    answer = push_work(open_job(roll_bar), asked, lambda doing, share: said.append(doing))
    assert answer["done"] == [PUSH]
    assert f"pushing {PUSH}" in said
    whole = kept(roll_bar, "strength", PUSH)
    assert whole["assumed"]["feet"] == "rigid"
    assert whole["counted"]["kind"] in {"first tear", "first rupture", "cannot tell", "end of travel"}
    json.dumps(whole, allow_nan=False)


def test_a_spoilt_result_is_as_good_as_none(tmp_path: Path):
    plan = tmp_path / "plan.yaml"
    keep(plan, "strength", "a/../b", {"name": "a/../b"})
    assert kept(plan, "strength", "a/../b") == {"name": "a/../b"}
    (file,) = folder_of(plan, "strength").iterdir()
    assert file.parent == folder_of(plan, "strength")
    file.write_text("{half", encoding="utf-8")
    assert kept(plan, "strength", "a/../b") is None
    assert all_kept(plan, "strength") == []
    file.write_text('{"name": "of an earlier format"}', encoding="utf-8")
    assert kept(plan, "strength", "a/../b") is None
    forget(plan, "strength", "a/../b")
    assert not file.exists()


def test_the_page_lists_the_pushes_that_fit_and_what_was_run(bench: Bench, folder: Path):
    shown = bench.get("/api/plans/plan/strength").json()
    cage = open_job(folder / "plan.yaml").cage
    assert [p["name"] for p in shown["pushes"]] == list(push_names(cage))
    assert shown["ran"] == []
    assert shown["revision"] == cage.revision
    assert all(p["source"] for p in shown["pushes"])


def test_a_result_is_found_by_name_only(bench: Bench, folder: Path):
    keep(folder / "plan.yaml", "strength", PUSH, {"name": PUSH, "figures": []})
    assert bench.get(f"/api/plans/plan/strength/results/{PUSH}").json()["name"] == PUSH
    assert [r["name"] for r in bench.get("/api/plans/plan/strength").json()["ran"]] == [PUSH]
    assert bench.get("/api/plans/plan/strength/results/roof-left").status_code == 404
    assert bench.get("/api/plans/plan/strength/results/..%2F..%2Fplan").status_code == 404
