"""Tubes drawn by their list, made one, swapped at a crossing, mirrored across the middle, moved whole."""

import math

import numpy as np
import pytest

from cagewright.change.drawn import corners
from cagewright.make.bending import bend_sheet
from cagewright.plan.changes import DrawnBend
from cagewright.plan.read import read_plan_text
from cagewright.plan.types import OnMember
from cagewright.shape.resolve import with_blemishes
from edited import MM, ROLL_BAR, edit, in_text, made, opened, refusal


def member(job, name):
    return next(m for m in job.cage.members if m.name == name)


def after(edited, asked):
    """One more edit, from the text alone."""
    return in_text(edited.document.text.replace("shop: ", "# shop: "), asked, buildable=False)


# --- by its bending list


def test_the_corner_of_a_bend_lies_its_set_back_past_the_straight():
    # set-back of a bend: R tan(a / 2), any tube bender's handbook; 100 tan 45 deg = 100
    steps = (DrawnBend.model_construct(straight=200.0, turn=0.0, angle=math.pi / 2),)
    found = corners(np.zeros(3), np.array([0.0, 0, 1]), np.array([0.0, 1, 0]), steps, 50.0, 100.0)
    assert np.allclose(found, [[0, 0, 300], [0, 150, 300]])


def test_a_bar_drawn_by_its_list_is_bent_by_that_list():
    steps = [
        {"straight": 400, "angle": "40 deg"},
        {"straight": 250, "turn": "90 deg", "angle": "55 deg"},
        {"straight": 180, "turn": "-30 deg", "angle": "25 deg"},
    ]
    asked = {"start": [1000, 0, 1188], "way": [-1, 0, 0], "steps": steps, "last": 300, "name": "drawn"}
    _, job = opened(MM)
    edited = edit({"draw": {**asked, "role": "roof reinforcement"}})
    plan = read_plan_text(edited.document.text, folder=MM.parent)
    assert isinstance(plan.members["drawn"].path[0], OnMember)
    # the end hangs in the open: the tube is seen, and told of, before it can be made
    cage, blemishes = with_blemishes(plan)
    assert {b.code for b in blemishes} >= {"free-end"}
    drawn = next(m for m in cage.members if m.name == "drawn")
    sheet = bend_sheet(drawn, job.shop)
    lines = sheet.steps if sheet.starts_at == "start" else sheet.steps[::-1]
    assert [math.degrees(s.angle) for s in lines] == pytest.approx([40, 55, 25], abs=0.05)
    assert [math.degrees(s.rotation) for s in sheet.steps[1:]] == pytest.approx(
        [90, -30] if sheet.starts_at == "start" else [-30, 90], abs=0.1
    )
    inner = [s.straight for s in sheet.steps[1:]]
    assert inner == pytest.approx([250, 180] if sheet.starts_at == "start" else [180, 250], abs=0.2)
    assert drawn.path.pieces[0].length == pytest.approx(400, abs=0.2)
    assert drawn.path.pieces[-1].length == pytest.approx(300, abs=0.2)


@pytest.mark.parametrize(
    ("steps", "towards", "code"),
    [
        ([{"straight": 10, "angle": "0 deg"}], [0, 0, 1], "bend-too-sharp"),
        ([{"straight": 10, "angle": "30 deg"}], [1, 0, 0], "no-direction"),
    ],
)
def test_a_list_that_cannot_be_bent_is_refused(steps, towards, code):
    asked = {"start": [1000, 0, 1188], "way": [1, 0, 0], "towards": towards, "steps": steps, "last": 10}
    assert refusal({"draw": asked}).problems[0].code == code


# --- made one, and swapped


def test_at_a_crossing_the_other_tube_stays_whole():
    edited = edit({"swap": {"name": "diagonal_hoop", "half": "harness_bar_left"}})
    job = made(edited)
    assert edited.words.startswith("harness bar left whole, diagonal hoop in two on it")
    whole = member(job, "harness_bar_left")
    assert whole.length == pytest.approx(2 * 655, abs=60)  # from leg to leg of the hoop
    halves = [m for m in job.cage.members if m.name.startswith("diagonal_hoop")]
    assert len(halves) == 2
    assert all("harness_bar_left" in end.cut.mains for m in halves for end in m.ends[:1] + m.ends[1:]
               if hasattr(end.cut, "mains") and "main_hoop" not in end.cut.mains)  # fmt: skip
    assert "harness_bar_right" not in {m.name for m in job.cage.members}


def test_a_swap_back_gives_the_same_tubes():
    first = edit({"swap": {"name": "diagonal_hoop", "half": "harness_bar_left"}})
    back = after(first, {"swap": {"name": "harness_bar_left", "half": "diagonal_hoop"}})
    plan = read_plan_text(back.document.text)
    old = opened(MM)[1].plan.members
    assert plan.members["diagonal_hoop"].path == old["diagonal_hoop"].path


def test_what_rests_on_either_half_rests_on_the_one():
    bar = {
        "role": "cage reinforcement",
        "path": [{"on": "harness_bar_right", "along": 200}, {"on": "header", "part": 0.7}],
    }
    first = edit({"add": {"members": {"brace": bar}}})
    one = after(first, {"join": ["harness_bar_left", "harness_bar_right"]})
    place = read_plan_text(one.document.text).members["brace"].path[0]
    assert isinstance(place, OnMember)
    assert place.on == "harness_bar_left"
    assert place.along is not None
    assert place.along > 600  # counted over both now


def test_two_tubes_that_do_not_meet_are_not_made_one():
    assert refusal({"join": ["header", "dash_bar"]}).problems[0].code == "not-end-to-end"
    assert refusal({"swap": {"name": "header", "half": "dash_bar"}}).problems[0].code == "no-crossing"


# --- across the middle, and whole


def test_a_bar_across_the_middle_is_mirrored_in_two_where_it_meets_itself():
    edited = edit({"mirror": "diagonal"}, ROLL_BAR)
    job = made(edited, ROLL_BAR)
    names = [m.name for m in job.cage.members if "diagonal" in m.name]
    assert len(names) == 3
    assert edited.words.endswith("in two where they cross")


def test_a_whole_tube_moves_by_one_step_with_its_feet():
    asked = {"move": {"members": ["main_hoop"], "whole": True, "by": [15, 0, 0]}}
    before, job = opened(ROLL_BAR)[1], made(edit(asked, ROLL_BAR), ROLL_BAR)
    old, new = (np.array([p.start for p in member(j, "main_hoop").path.pieces]) for j in (before, job))
    assert np.allclose(new - old, [15, 0, 0])


def test_whole_wants_a_step():
    asked = {"move": {"members": "main_hoop", "whole": True, "up": 10}}
    assert "wanted members and by" in refusal(asked, ROLL_BAR).problems[0].wanted
