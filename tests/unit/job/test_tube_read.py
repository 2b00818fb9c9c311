"""A tube read, judged and taken over: what now, the new wraps of what lands on it, the file, its die."""

import math
import shutil
from pathlib import Path

import numpy as np
import pytest
import yaml
from jsonschema import Draft202012Validator

import bent
from bent import member_bench, off, read
from cagewright.base.curves import Line
from cagewright.base.problems import ProblemsFound
from cagewright.change.apply import apply
from cagewright.fitup.tube import bench_of, solve_tube
from cagewright.fitup.tube_choice import choose_tube_readings
from cagewright.fitup.tube_taken import tube_text
from cagewright.job.opening import open_job
from cagewright.job.schema import tube_schema
from cagewright.job.tube import tube_from_file, tube_from_lines, tube_of
from cagewright.job.tube_taken import learn, take_over, undo_taken
from cagewright.job.tube_wanted import blank_tube_file, tube_wanted
from cagewright.job.tube_ways import ways_of
from cagewright.plan.changes import read_change
from cagewright.plan.places import AtCoordinates, AtFoot
from cagewright.plan.read import read_plan
from cagewright.plan.tube_file import TubeFile, read_tube_text
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cope
from fitted import brackwater

EXAMPLES = Path(__file__).parents[3] / "examples"
LEG = "front_leg_left"


def bench(name=LEG):
    return member_bench(name)


def lines_of(shape, name=LEG):
    return bent.lines_of(member_bench(name), shape)


def text_of(shape, name=LEG, **head):
    return tube_text(TubeFile(member=name, **head), tuple((line, "") for line in lines_of(shape, name)))


@pytest.mark.slow
def test_as_planned_it_is_used_as_it_is():
    answer = tube_from_lines(brackwater(), LEG, lines_of(bench().planned))
    assert answer.ways[answer.now].kind == "as it is"
    assert answer.ways[answer.now].papers == ()
    assert answer.level == "fine"
    assert not any(n.clear for n in answer.numbers)


def test_a_bend_over_is_found_told_and_can_be_pressed():
    answer = tube_from_lines(brackwater(), LEG, lines_of(off(bench().planned, bend=[(2, -1.5)])))
    bend = next(n for n in answer.numbers if n.what == "bend 2")
    assert bend.clear
    assert bend.off.value == pytest.approx(-1.5, abs=0.01)
    ways = {w.kind: w for w in answer.ways}
    assert ways["slide or turn"].possible
    assert ways["press"].possible
    assert ways["press"].words == "close bend 2 at the press by 1.5°"
    assert [w.kind for w in answer.ways] == ["slide or turn", "press", "cut into others", "scrap"]


def test_far_off_it_is_not_pressed_and_a_short_one_is_no_good():
    answer = tube_from_lines(brackwater(), LEG, lines_of(off(bench().planned, bend=[(2, 8.0)])))
    ways = {w.kind: w for w in answer.ways}
    assert not ways["slide or turn"].possible
    assert not ways["press"].possible
    assert "common practice, no source" in ways["press"].why
    short = tube_from_lines(brackwater(), LEG, lines_of(off(bench().planned, straight=[(1, -40.0)])))
    assert "too short by" in short.ways[0].why


def test_bad_readings_are_said_to_be_bad():
    planned = bench().planned
    gone = off(planned, bend=[(2, -math.degrees(planned.angles[1]) + 0.01)])
    answer = tube_from_lines(brackwater(), LEG, lines_of(gone))
    assert answer.headline.startswith("Bend 2 is not there")
    assert answer.level == "cannot tell"
    with pytest.raises(ProblemsFound, match="unknown-bend"):
        tube_from_lines(brackwater(), LEG, [{"angle": 3, "says": "30 deg"}])
    with pytest.raises(ProblemsFound, match="impossible"):
        tube_from_lines(brackwater(), LEG, [{"chord": ["start", "end"], "says": "9 m"}])
    with pytest.raises(ProblemsFound, match=r"unknown-mark"):
        tube_from_lines(brackwater(), LEG, [{"chord": ["start", "bnd1"], "says": "600 mm"}])
    with pytest.raises(ProblemsFound, match="other-member"):
        tube_of(brackwater(), LEG, read_tube_text("member: main_hoop\nreadings: []\n"))


def test_the_empty_file_asks_what_the_page_asks():
    wanted = tube_wanted(brackwater(), LEG)
    blank = read_tube_text(blank_tube_file(brackwater(), LEG)).file
    assert len(blank.readings) == len(wanted.readings) <= 15
    assert all(line.says is None for line in blank.readings)
    with pytest.raises(ProblemsFound, match="nothing-read"):
        tube_of(brackwater(), LEG, read_tube_text(blank_tube_file(brackwater(), LEG)))


def test_wraps_of_what_lands_on_it_are_those_of_a_plan_drawn_with_the_real_tube():
    """The same tube drawn by hand into the plan: its path as coordinates, its foot's plate under it."""
    job = brackwater()
    answer = tube_from_lines(job, LEG, lines_of(off(bench().planned, bend=[(1, 1.0), (2, -1.2)])))
    way = answer.ways[answer.now]
    altered = apply(job.plan, read_change(way.change, units="mm", file="x")).plan
    built = resolve(altered)
    entry = altered.members[LEG]
    foot = next(f for f in job.cage.feet if f.name == entry.path[0].foot)
    assert isinstance(entry.path[0], AtFoot)
    at = tuple((foot.point + np.array(entry.path[0].offset)).tolist())
    by_hand = altered.feet[foot.name].model_copy(update={"at": at, "mirror": None})
    path = (AtFoot(foot="by_hand"), *entry.path[1:])
    leg = entry.model_copy(update={"path": path, "planned": ()})
    drawn = altered.model_copy(
        update={
            "members": {**altered.members, LEG: leg},
            "feet": {**altered.feet, "by_hand": by_hand},
        }
    )
    by_hand = {m.name: m for m in resolve(drawn).members}
    landing = [j.branch for j in job.cage.joints if LEG in j.mains]
    assert len(landing) >= 5
    for name in (LEG, *landing):
        for ours, theirs in zip(
            next(m for m in built.members if m.name == name).ends, by_hand[name].ends, strict=True
        ):
            if isinstance(ours.cut, Cope):
                assert ours.cut.outside == pytest.approx(theirs.cut.outside, abs=1e-6)
                assert ours.cut.inside == pytest.approx(theirs.cut.inside, abs=1e-6)
                assert ours.clocking == pytest.approx(theirs.clocking, abs=1e-9)
    # and the real tube's centre line is what the plan now has: a straight of it by its length
    real = next(m for m in built.members if m.name == LEG).path
    straight = next(p for p in real.pieces[1:] if isinstance(p, Line))
    assert straight.length == pytest.approx(bench().planned.straights[1], abs=0.02)
    assert isinstance(entry.path[1], AtCoordinates)


def test_what_is_to_be_cut_anew_is_named():
    answer = tube_from_lines(brackwater(), LEG, lines_of(off(bench().planned, bend=[(2, -2.5)])))
    way = answer.ways[answer.now]
    assert any(p.startswith("header.") for p in way.papers)
    assert not any(p.startswith("front_leg_right") for p in way.papers)
    assert any("Print" in s.words for s in way.follows)


@pytest.fixture
def shop(tmp_path):
    for name in ("brackwater.yaml", "brackwater.shop.yaml"):
        shutil.copy(EXAMPLES / name, tmp_path / name)
    return tmp_path


@pytest.mark.slow
def test_taken_over_undone_and_learned(shop):
    job = open_job(shop / "brackwater.yaml")
    file = shop / "r.yaml"
    file.write_text(text_of(off(bench().planned, bend=[(2, 1.0)])), encoding="utf-8")
    answer = tube_from_file(job, LEG, file)
    take_over(job, answer)
    built = read_plan(shop / "brackwater.yaml")
    assert built.members[LEG].planned == job.plan.members[LEG].path
    assert built.members[LEG].path != job.plan.members[LEG].path
    undo_taken(open_job(shop / "brackwater.yaml"), LEG)
    again = open_job(shop / "brackwater.yaml")
    for one, two in zip(
        job.cage.members, sorted(again.cage.members, key=lambda m: _place(job, m.name)), strict=True
    ):
        assert one.path.length == pytest.approx(two.path.length, abs=1e-9)
    with pytest.raises(ProblemsFound, match="as-planned"):
        undo_taken(again, LEG)
    before = {d.name: len(d.trials) for d in again.shop.dies}
    assert "trials written" in learn(again, answer)
    after = open_job(shop / "brackwater.yaml").shop
    assert sum(len(d.trials) for d in after.dies) == sum(before.values()) + len(answer.springback)


def _place(job, name):
    return [m.name for m in job.cage.members].index(name)


def test_a_straight_tube_is_read_by_its_length():
    job = brackwater()
    name = next(m.name for m in job.cage.members if not m.bends)
    wanted = tube_wanted(job, name)
    assert wanted.readings
    member = next(m for m in job.cage.members if m.name == name)
    found = solve_tube(bench_of(member, job.shop), read(
        bench_of(member, job.shop),
        [c.reading for c in choose_tube_readings(bench_of(member, job.shop))],
        bench_of(member, job.shop).planned, None,
    ))  # fmt: skip
    ways, _ = ways_of(job, member, found, checks=False)
    assert ways[0].kind == "as it is"


JUDGE = Draft202012Validator(tube_schema())


def test_the_schema_takes_what_is_taken_and_refuses_what_is_refused():
    blank = yaml.safe_load(blank_tube_file(brackwater(), LEG))
    assert not list(JUDGE.iter_errors(blank))
    assert not list(JUDGE.iter_errors(yaml.safe_load(text_of(bench().planned, set=(0.9, 0.7)))))
    for spoilt in (
        {"readngs": []},
        {"readings": [{"chord": ["start"], "says": 3}]},
        {"readings": [{"says": []}]},
    ):
        assert list(JUDGE.iter_errors(spoilt)), spoilt
        with pytest.raises(ProblemsFound):
            read_tube_text(yaml.safe_dump(spoilt))
