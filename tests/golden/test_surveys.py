"""The example surveys, drafted, checked and measured against the shells they were read on."""

from dataclasses import replace
from functools import cache
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path

import numpy as np
import pytest
import trimesh
from typer.testing import CliRunner

from bodies import BODIES, SALOON, gaps, mesh, points
from cagewright.base.problems import Where
from cagewright.check.findings import Finding
from cagewright.check.judge import check_books
from cagewright.check.library import built_in
from cagewright.check.limits_asked import limits_of
from cagewright.check.torch.findings import torch_findings
from cagewright.cli.app import command_line
from cagewright.draft.fit import Freedom, fit
from cagewright.draft.layout import Drafted, NothingToDraft, draft
from cagewright.draft.measured import measured
from cagewright.job.findings import check_findings
from cagewright.job.opening import open_job
from cagewright.make.bending import bend_sheet
from cagewright.plan.read import read_plan
from cagewright.plan.shop import read_shop
from cagewright.plan.survey import SurveyFile, read_survey
from cagewright.plan.types import ScanEntry
from cagewright.shape.mesh import mesh_of
from cagewright.shape.resolve import resolve
from cagewright.shape.scan import Scan, read_scan
from cagewright.shape.seated import everybody, seated_gaps
from cagewright.shape.shell import shell_of as shape_of
from cagewright.shape.types import Cage, member_named

FOLDER = Path(__file__).parents[2] / "examples" / "surveys"
SHOP = read_shop(FOLDER.parent / "brackwater.shop.yaml")
BOOK = built_in("fia-253-2009")
PAGE = (FOLDER.parents[1] / "docs" / "survey.md").read_text(encoding="utf-8")
TARGET, WITHIN = 10.0, 5.0
ROUNDING = 0.5
"""Places are written to the whole millimetre."""


def read(name: str) -> SurveyFile:
    return read_survey(FOLDER / f"{name}.yaml").file


@cache
def drafted(name: str) -> Drafted:
    return draft(read(name), limits_of([BOOK]), SHOP)


@cache
def cage_of(name: str) -> Cage:
    return resolve(drafted(name).plan)


@cache
def shell_of(name: str):
    return mesh_of(*mesh(BODIES[name], 60_000))


def test_the_examples_are_what_a_tape_reads_on_the_invented_shells():
    spec = spec_from_file_location("surveys_renew", FOLDER.parents[1] / "scripts" / "surveys_renew.py")
    assert spec is not None
    assert spec.loader is not None
    renew = module_from_spec(spec)
    spec.loader.exec_module(renew)
    texts = renew.example_surveys()
    assert set(texts) == {path.stem for path in FOLDER.glob("*.yaml")}
    for name, text in texts.items():
        assert (FOLDER / f"{name}.yaml").read_text(encoding="utf-8") == text, name


@pytest.mark.parametrize("name", BODIES)
def test_nothing_is_left_out(name):
    assert drafted(name).said == ()
    roles = {m.role for m in cage_of(name).members}
    assert {
        "main rollbar",
        "lateral half-rollbar",
        "transverse member",
        "backstay",
        "diagonal",
        "doorbar",
    } <= roles
    assert {"roof reinforcement", "cage reinforcement", "harness bar", "dash bar"} <= roles


@pytest.mark.parametrize("name", BODIES)
def test_no_rule_fails(name):
    failed = [f for f in check_books(cage_of(name), [BOOK]) if f.verdict == "fail"]
    assert failed == []


@cache
def gaps_of(name: str, tube: str) -> np.ndarray:
    """Gaps (n,) mm from the shell every 5 mm along a tube that follows it, its foot's run left out."""
    return gaps(BODIES[name], shell_of(name), member_named(cage_of(name), tube), past=past_of(name, tube))


def past_of(name: str, tube: str) -> float:
    body = BODIES[name]
    return body.sill + 150.0 if tube == "main_hoop" else points(body)["pillar_base"][2] + 20.0


@pytest.mark.parametrize("tube", ["main_hoop", "front_leg_left", "front_leg_right"])
@pytest.mark.parametrize("name", BODIES)
def test_gaps_along_side_roof_pillar_and_rail_are_within_5_mm_of_the_one_wanted(name, tube):
    found = gaps_of(name, tube)
    assert len(found) > 200
    assert found.min() >= TARGET - WITHIN - ROUNDING
    assert found.max() <= TARGET + WITHIN + ROUNDING


def test_the_page_gives_the_gaps_that_are_measured():
    rows = [line.split("|")[1:-1] for line in PAGE.splitlines() if line.startswith("| gaps, ")]
    told = {row[0].strip().removeprefix("gaps, "): row[1:] for row in rows}
    assert set(told) == set(BODIES)
    for name, cells in told.items():
        for tube, cell in zip(("main_hoop", "front_leg_left", "front_leg_right"), cells, strict=True):
            found = gaps_of(name, tube)
            least, most, mean = (float(v) for v in cell.replace("to", ",").replace("mean", "").split(","))
            assert (least, most, mean) == pytest.approx((found.min(), found.max(), found.mean()), abs=0.15)


@pytest.mark.parametrize("name", BODIES)
def test_nothing_else_touches_the_shell(name):
    body = BODIES[name]
    for member in cage_of(name).members:
        if all(end.foot is None for end in member.ends):
            assert gaps(body, shell_of(name), member, past=-np.inf).min() > 1.0, member.name


@pytest.mark.parametrize("name", BODIES)
def test_a_draft_that_is_fitted_lies_no_worse_in_its_shell(name):
    plan, report = fit(drafted(name).plan, shape_of(cage_of(name), None), Freedom(), SHOP)
    after = resolve(plan)
    for tube in ("main_hoop", "front_leg_left", "front_leg_right"):
        past = past_of(name, tube)
        found = gaps(BODIES[name], shell_of(name), member_named(after, tube), past=past)
        assert found.min() >= TARGET - WITHIN - ROUNDING, tube
        assert found.max() <= TARGET + WITHIN + ROUNDING, tube
        was = np.abs(gaps_of(name, tube) - TARGET).mean()
        assert np.abs(found - TARGET).mean() <= was + ROUNDING, tube
    hoop = next(f for f in report.members if f.member == "main_hoop")
    assert hoop.why_not.startswith("moved, it would lie no better")
    assert plan.points["hoop_corner_left"] == drafted(name).plan.points["hoop_corner_left"]


UNREACHED = (
    "front_leg_left.end", "front_leg_right.end", "header_bar.start", "header_bar.end",
    "doorbar_low_left.start", "doorbar_low_right.start", "doorbar_top_left.start", "doorbar_top_right.start",
    "doorbar_low_left.end", "doorbar_low_right.end", "doorbar_top_left.end", "doorbar_top_right.end",
    "pillar_brace_left.start", "pillar_brace_right.start",
    "hoop_foot_left", "hoop_foot_right",
)  # fmt: skip
"""Welds that look at sheet some 10 mm away because the tube follows it: named on the page."""


def unreached(name: str, scan: Scan | None) -> set[str]:
    found = torch_findings(cage_of(name), scan)
    return {(*f.where.joints, *f.where.feet)[0] for f in found if f.verdict == "fail"}


@pytest.mark.parametrize("name", BODIES)
def test_a_torch_gets_round_every_joint_as_far_as_the_measured_lines_tell(name):
    assert unreached(name, None) == set()


@pytest.mark.slow  # tries a torch against 200 000 triangles round every weld
@pytest.mark.parametrize("name", BODIES)
def test_with_a_scan_only_the_named_welds_are_out_of_a_torchs_reach(name, tmp_path):
    trimesh.Trimesh(*mesh(BODIES[name], 200_000), process=False).export(tmp_path / "shell.stl")
    entry = ScanEntry(file="shell.stl", units="mm")
    scan = read_scan(entry, tmp_path, where=Where(file="plan"))
    assert unreached(name, scan) <= set(UNREACHED)
    assert f"{len(UNREACHED)} of {len(torch_findings(cage_of(name), scan))}" in PAGE
    assert all(weld.replace("_left", "").replace("_right", "") in PAGE for weld in UNREACHED)


def test_an_uneven_shell_is_told_in_mm_and_followed_on_each_side():
    body = replace(SALOON, skew=12.0)
    notes = [n for n in measured(read("uneven")).notes if n.kind == "uneven"]
    assert {n.reading for n in notes} >= {"sill_side", "waist", "cant_rail", "pillar_top"}
    assert all("12 mm further out" in n.found for n in notes if n.reading in ("waist", "cant_rail"))
    cage, shell = cage_of("uneven"), mesh_of(*mesh(body, 60_000))
    for tube in ("main_hoop", "front_leg_left", "front_leg_right"):
        past = body.sill + 150.0 if tube == "main_hoop" else points(body)["pillar_base"][2] + 20.0
        found = gaps(body, shell, member_named(cage, tube), past=past)
        assert found.min() >= TARGET - WITHIN - ROUNDING, tube
        assert found.max() <= TARGET + WITHIN + ROUNDING, tube
    hoop = member_named(cage, "main_hoop").path
    assert hoop.pieces[-1].stop[1] + hoop.pieces[0].start[1] == pytest.approx(12.0, abs=1.5)


@pytest.mark.parametrize("name", BODIES)
def test_helmet_is_clear(name):
    cage = cage_of(name)
    assert cage.people
    near = [g for g in seated_gaps(cage, everybody(cage)) if g.part == "helmet"]
    # 50 mm: Formula SAE Rules 2024, F.5.6.3, helmet to tubes (read); the nearest published figure
    assert min(g.gap for g in near) >= 50.0


@pytest.mark.parametrize("name", BODIES)
def test_the_door_stays_open_over_the_top_doorbar(name):
    cage = cage_of(name)
    front, rear, bottom, top = BODIES[name].door
    reach = {"doorbar", "doorbar post", "cage reinforcement", "harness bar", "diagonal"}
    clear = 0.6 * (rear - front)
    for member in cage.members:
        if member.role not in reach or member.mirror_of is not None:
            continue
        where = np.array([p.start for p in member.path.pieces] + [member.path.pieces[-1].stop])
        in_door = (where[:, 0] > rear - clear) & (where[:, 0] < rear) & (np.abs(where[:, 1]) > 500.0)
        assert not (in_door & (where[:, 2] > bottom + 0.55 * (top - bottom)) & (where[:, 2] < top)).any(), (
            member.name
        )


@pytest.mark.parametrize("name", BODIES)
def test_the_shop_can_bend_it(name):
    assert [p for m in cage_of(name).members for p in bend_sheet(m, SHOP).problems] == []


def test_a_slip_is_named_and_the_draft_goes_on():
    slips = [n for n in measured(read("slip")).notes if n.kind == "slip"]
    assert [(n.reading, n.part) for n in slips] == [("waist", "left")]
    assert "640 mm; the other readings make it 690 mm" in slips[0].found
    good, bad = (drafted(n).hoop.left.places for n in ("saloon", "slip"))
    assert bad == pytest.approx(good, abs=1.5)


def test_an_impossible_survey_drafts_nothing_and_says_why():
    with pytest.raises(NothingToDraft) as caught:
        drafted("impossible")
    assert "cant_rail" in {n.reading for n in caught.value.notes if n.kind == "impossible"}


def test_six_missing_readings_are_named_and_the_rest_is_drafted():
    notes = {n.reading: n for n in drafted("six-missing").notes if n.kind == "missing"}
    assert set(notes) == {"turret", "dash", "rail_mid", "roof_mid", "back_angle", "header"}
    assert [name for name, n in notes.items() if n.matters] == ["turret"]
    assert [name for name, n in notes.items() if n.advice.startswith("it matters")] == ["turret"]
    assert all("; " in n.advice for n in notes.values())
    without = {name for name, n in notes.items() if "nothing can stand in" in n.advice}
    assert without == {"turret", "dash"}
    assert drafted("six-missing").said == (
        "no backstays: turret not read, or in doubt",
        "no dash bar: dash not read, or in doubt",
    )
    roles = {m.role for m in cage_of("six-missing").members}
    assert {"main rollbar", "lateral half-rollbar", "doorbar", "diagonal", "harness bar"} <= roles


@pytest.mark.slow  # builds every paper of three cages: about 10 s each
@pytest.mark.parametrize("name", BODIES)
def test_draft_check_build_from_the_command_line(tmp_path, name):
    plan, run = tmp_path / f"{name}.yaml", CliRunner()
    (tmp_path / "surveys").mkdir()
    (tmp_path / "brackwater.shop.yaml").write_bytes((FOLDER.parent / "brackwater.shop.yaml").read_bytes())
    survey = tmp_path / "surveys" / f"{name}.yaml"
    survey.write_bytes((FOLDER / f"{name}.yaml").read_bytes())
    text = survey.read_text(encoding="utf-8").replace("../brackwater", "brackwater")
    survey = tmp_path / f"{name}.survey.yaml"
    survey.write_text(text, encoding="utf-8")
    app = command_line(["draft", "check", "build"])
    assert run.invoke(app, ["draft", str(survey), "-o", str(plan)]).exit_code == 0
    assert "#" in plan.read_text(encoding="utf-8")
    failed: list[Finding] = [f for f in check_findings(open_job(plan)) if f.verdict == "fail"]
    assert failed == []
    assert run.invoke(app, ["build", str(plan), "-o", str(tmp_path / "out")]).exit_code in (0, 1)
    assert (tmp_path / "out" / "papers-a4.pdf").stat().st_size > 10_000


def test_the_second_demo_began_as_the_draft_of_its_survey():
    """Hoop, legs, backstays and their feet stand where a draft had them; the rest was done by hand.

    Drafts have come to lie some millimetres elsewhere since: no place further than 5.
    """
    plan = read_plan(FOLDER.parent / "pellworth.yaml")
    began = drafted("rally").plan
    assert plan.points.keys() == began.points.keys()
    for name, point in plan.points.items():
        assert point.at == pytest.approx(began.points[name].at, abs=5.0), name
    same = ("main_hoop", "front_leg_left", "backstay_left")
    for name in same:
        one, two = plan.members[name], began.members[name]
        assert (one.role, one.tube, len(one.path)) == (two.role, two.tube, len(two.path))
    assert {name: plan.feet[name].model_copy(update={"folds": ()}) for name in began.feet} == began.feet
    assert [name for name in began.feet if plan.feet[name].folds] == [
        "hoop_foot_left"
    ]  # over the sill, by hand
    by_hand = {m.role for name, m in plan.members.items() if name not in began.members}
    assert {"harness bar", "seat mount", "windscreen pillar reinforcement"} <= by_hand
    assert {n: (p.hip, p.head, p.back_angle) for n, p in plan.people.items()} == {
        n: (p.hip, p.head, p.back_angle) for n, p in began.people.items()
    }
