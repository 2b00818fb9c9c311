"""The Alternatives page: changes made of what is selected, the file they stand in, and comparing them."""

import shutil
from pathlib import Path

import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.base.say import say_size
from cagewright.change.words import by_words
from cagewright.compare.cases import cases_of
from cagewright.job.opening import Job, open_job
from cagewright.job.studies import files
from cagewright.job.studies.made import (
    PickedTubes,
    made,
    members_changed,
    sizes_for,
)
from cagewright.plan.alternatives import read_alternatives
from cagewright.shape.resolve import resolve
from cagewright.workbench.pages.alternatives import compare_work
from deskside import Bench

EXAMPLES = Path(__file__).parents[3] / "examples"
ADD = "/api/plans/plan/alternatives/add"
CHANGE = "/api/plans/plan/alternatives/change"


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    place = tmp_path / "examples"
    place.mkdir()
    for name in ("brackwater.yaml", "brackwater.shop.yaml", "brackwater-inch.yaml", "roll-bar.yaml"):
        shutil.copy(EXAMPLES / name, place / name)
    shutil.copytree(EXAMPLES / "studies", place / "studies")
    return place


@pytest.fixture
def job(shop: Path) -> Job:
    return open_job(shop / "brackwater.yaml")


def make(job: Job, **asked) -> dict:
    asked["members"] = tuple(asked["members"])
    return made(job.plan, job.cage, job.shop, PickedTubes(**asked))


def cage_of(job: Job, entry: dict):
    """The cage that the alternative makes, through its own file."""
    files.write(files.with_alternative(job.plan, job.path, entry), job.path)
    study = read_alternatives(files.own_path(job.path))
    case = next(c.case for c in cases_of(job.plan, study) if c.case.name == entry["name"])
    return resolve(case.plan)


def test_without_a_tube_goes_what_rests_on_it(job: Job):
    entry = make(job, what="without", members=["doorbar_mid_left"])
    cage = cage_of(job, entry)
    names = {m.name for m in cage.members}
    assert not names & {"doorbar_mid_left", "doorbar_mid_right", "doorbar_post_upper_left"}
    assert "doorbar post upper left" in entry["note"]
    assert set(members_changed(job.cage, cage)) >= {"doorbar_mid_left", "doorbar_post_lower_right"}


def test_one_side_leaves_the_other(job: Job):
    entry = make(job, what="without", members=["pillar_brace_left"], one_side=True)
    names = {m.name for m in cage_of(job, entry).members}
    assert "pillar_brace_left" not in names
    assert "pillar_brace_right" in names


def test_a_pair_picked_on_both_sides_is_one_change(job: Job):
    entry = make(job, what="without", members=["pillar_brace_left", "pillar_brace_right"])
    assert entry["changes"] == [{"remove": {"names": ["pillar_brace_left"]}}]


def test_the_next_size_is_of_the_shops_stock_by_plastic_modulus(job: Job):
    # by hand, (D3 - d3)/6: 30 x 2.0 1571, 38 x 2.5 3156, 45 x 2.5 4521 mm3: what the demo's shop stocks
    for name, what, size in (
        ("seat_front", "heavier", (38.0, 2.5)),
        ("front_leg_left", "heavier", (45.0, 2.5)),
        ("dash_bar", "lighter", (30.0, 2.0)),
    ):
        entry = make(job, what=what, members=[name])
        tube = next(m for m in cage_of(job, entry).members if m.name == name).tube
        assert (tube.od, tube.wall) == size
        assert "note" not in entry


def test_a_next_size_that_the_shop_has_not_is_said_to_be_of_the_catalogue(job: Job):
    entry = make(job, what="heavier", members=["main_hoop"])  # the shop sells nothing larger
    assert "catalogue" in entry["note"]


def test_sizes_are_of_the_builders_own_tape(shop: Path):
    mm = open_job(shop / "brackwater.yaml")
    inch = open_job(shop / "brackwater-inch.yaml")
    assert (45.0, 2.5) in sizes_for(mm.shop, "mm")
    assert all(od == round(od) for od, _ in sizes_for(mm.shop, "mm"))
    assert say_size(*sizes_for(inch.shop, "in")[0], "in").endswith(" in")
    areas = [od * wall - wall**2 for od, wall in sizes_for(mm.shop, "mm")]
    assert areas == sorted(areas)


def test_tubes_of_several_sizes_have_no_next_size(job: Job):
    with pytest.raises(ProblemsFound, match="several sizes"):
        make(job, what="heavier", members=["main_hoop", "dash_bar"])


def test_moving_the_end_that_stands_on_a_foot_moves_the_foot(job: Job):
    entry = make(job, what="moved", members=["main_hoop"], end="start", by=(30.0, 0.0, 0.0))
    foot = next(f for f in cage_of(job, entry).feet if f.name == "hoop_left")
    before = next(f for f in job.cage.feet if f.name == "hoop_left")
    assert foot.point - before.point == pytest.approx([30.0, 0.0, 0.0], abs=1e-6)


def test_a_place_on_a_tube_moves_along_what_it_is_told_by(job: Job):
    entry = make(job, what="moved", members=["doorbar_top_left"], end="start", by=(0.0, 0.0, 40.0))
    after = next(m for m in cage_of(job, entry).members if m.name == "doorbar_top_left")
    before = next(m for m in job.cage.members if m.name == "doorbar_top_left")
    rise = after.ends[0].cut.origin - before.ends[0].cut.origin
    assert rise[2] == pytest.approx(40.0, abs=0.5)
    assert entry["changes"][0]["move"]["places"] == ["start"]


def test_a_move_is_said_in_the_ways_of_the_car():
    assert by_words((120.0, 0.0, -20.0), "mm") == "120.0 mm back and 20.0 mm down"
    assert by_words((0.0, -25.4, 0.0), "in") == '1" to the left'


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"what": "without", "members": []}, "nothing is selected"),
        ({"what": "without", "members": ["no_such_bar"]}, "no tube 'no_such_bar'"),
        ({"what": "gilded", "members": ["dash_bar"]}, "'gilded' is no change"),
        ({"what": "size", "members": ["dash_bar"], "od": 30.0, "wall": 20.0}, "no size of a tube"),
        ({"what": "moved", "members": ["dash_bar"]}, "moved by nothing"),
        ({"what": "other-side", "members": ["dash_bar", "header"]}, "more than one tube"),
    ],
)
def test_what_cannot_be_made_is_said(job: Job, asked: dict, words: str):
    with pytest.raises(ProblemsFound, match=words):
        make(job, **asked)


def test_the_file_keeps_its_comments_and_order(job: Job):
    first = make(job, what="without", members=["dash_bar"])
    files.write(files.with_alternative(job.plan, job.path, first), job.path)
    own = files.own_path(job.path)
    own.write_text(own.read_text() + "# mine\n")
    second = make(job, what="without", members=["pillar_brace_left"])
    files.write(files.with_alternative(job.plan, job.path, second), job.path)
    assert "# mine" in own.read_text()
    assert [a.name for a in read_alternatives(own).alternatives] == [first["name"], second["name"]]


def test_the_shipped_studies_are_found_and_fit_the_demo_only(job: Job, shop: Path):
    shipped = {p.stem for p in (EXAMPLES / "studies").glob("*.yaml")}
    found = files.studies_of(job.plan, job.path)
    assert {s.path.stem for s in found if not s.own} == shipped
    assert all(s.read and not s.problems for s in found if not s.own)
    other = open_job(shop / "roll-bar.yaml")
    misfits = {s.path.stem for s in files.studies_of(other.plan, other.path) if s.problems}
    # the plates of door-plate are only found to rest on nothing when the case is built
    assert misfits == shipped - {"door-plate"}


def test_a_study_that_leads_out_of_the_folder_is_not_looked_at(job: Job, tmp_path: Path):
    away = tmp_path / "away.yaml"
    shutil.copy(EXAMPLES / "studies" / "doorbars.yaml", away)
    (job.path.parent / "linked.yaml").symlink_to(away)
    assert "linked" not in files.paths_of(job.path)


def test_an_alternative_in_one_request(bench: Bench, folder: Path):
    answer = bench.post(ADD, {"what": "without", "members": ["diagonal"]}).json()
    assert answer["changed"] == ["diagonal"]
    own = folder / "plan.alternatives.yaml"
    assert [a.name for a in read_alternatives(own).alternatives] == [answer["name"]]
    shown = bench.get("/api/plans/plan/alternatives").json()["studies"][0]
    assert shown["fits"]
    assert shown["alternatives"][0]["changes"] == ["removed diagonal"]
    scene = bench.get("/api/plans/plan/alternatives/own/scene/1").json()
    assert [m["name"] for m in scene["scene"]["members"]] == ["main_hoop"]
    assert bench.get("/api/plans/plan/alternatives/own/scene/2").status_code == 422
    assert bench.get("/api/plans/plan/alternatives/no-study/scene/1").status_code == 422


def test_a_trial_writes_nothing(bench: Bench, folder: Path):
    bench.post(ADD, {"what": "without", "members": ["diagonal"], "trial": True})
    assert not (folder / "plan.alternatives.yaml").exists()


def test_what_cannot_be_built_is_refused_and_not_written(bench: Bench, folder: Path):
    answer = bench.post(ADD, {"what": "size", "members": ["diagonal"], "od": 90.0, "wall": 2.0})
    assert answer.status_code == 422
    assert answer.json()["problems"]
    assert not (folder / "plan.alternatives.yaml").exists()


def test_two_of_a_name_are_told_apart_renamed_and_taken_out(bench: Bench, folder: Path):
    own = folder / "plan.alternatives.yaml"
    for _ in range(2):
        bench.post(ADD, {"what": "without", "members": ["diagonal"]})
    names = [a.name for a in read_alternatives(own).alternatives]
    assert names == ["without diagonal", "without diagonal (2)"]
    assert bench.post(CHANGE, {"name": names[0], "to": "bare hoop"}).status_code == 200
    assert bench.post(CHANGE, {"name": names[1]}).status_code == 200
    assert [a.name for a in read_alternatives(own).alternatives] == ["bare hoop"]
    assert bench.post(CHANGE, {"name": "never"}).status_code == 422
    assert bench.post(CHANGE, {"name": "bare hoop"}).status_code == 200
    assert not own.exists()
    assert own.with_suffix(".yaml.old").exists()


@pytest.mark.slow  # two cages, three meshes
def test_work_compares_and_says_no_difference(shop: Path):
    job = open_job(shop / "roll-bar.yaml")
    tube = next(m for m in job.cage.members if m.name == "diagonal").tube
    size = {"members": ["diagonal"], "od": f"{tube.od:g} mm", "wall": f"{tube.wall:g} mm"}
    same = {"name": "the same again", "changes": [{"size": size}]}
    bare = make(job, what="without", members=["diagonal"])
    for entry in (same, bare):
        files.write(files.with_alternative(job.plan, job.path, entry), job.path)
    found = compare_work(job, {"study": "own", "pushes": ["main-hoop-down"]}, lambda doing, share: None)
    planned, again, without = (row["pushes"][0] for row in found["rows"])
    assert all(one["told"] == "" for one in planned["figures"])
    assert not any(one["told"] == "difference" for one in again["figures"])
    assert any(one["told"] == "no difference" for one in again["figures"])
    assert any(one["told"] == "difference" for one in without["figures"])
    assert [row["letter"] for row in found["rows"] if row["pushes"][0]["curve"]] == ["A", "B", "C"]
    assert any("Not a certificate" in note for note in found["notes"])


def test_work_of_no_study_is_refused(job: Job):
    with pytest.raises(ValueError, match="no such alternatives"):
        compare_work(job, {"study": "../../etc/passwd"}, lambda doing, share: None)


def test_the_pages_own_file_says_its_units_and_todays_words(job: Job, shop: Path):
    inch = open_job(shop / "brackwater-inch.yaml")
    for one in (job, inch):
        entry = make(one, what="moved", members=["pillar_brace_left"], end="end", by=(25.4, 0.0, 0.0))
        cage_of(one, entry)
        own = read_alternatives(files.own_path(one.path))
        assert (own.cagewright_alternatives, own.units) == (2, one.plan.units)
        assert "units" in own.model_fields_set


def test_an_older_own_file_gets_the_words_of_today_where_it_means_the_same(job: Job):
    own = files.own_path(job.path)
    old = (
        "cagewright_alternatives: 1\ntitle: t\nalternatives:\n  - {name: a, changes: [{remove: dash_bar}]}\n"
    )
    entry = make(job, what="without", members=["header"])
    own.write_text(old)
    assert files.with_alternative(job.plan, job.path, entry).text.startswith("cagewright_alternatives: 2")
    own.write_text(old.replace("remove: dash_bar", "move: {members: dash_bar, places: 1, by: [0, 0, 5]}"))
    with pytest.raises(ProblemsFound, match="in version 1"):
        files.with_alternative(job.plan, job.path, entry)
