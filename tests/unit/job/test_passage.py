"""The way in, in a builder's words."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from cagewright.base.problems import ProblemsFound
from cagewright.job import passage
from cagewright.job.opening import open_job
from cagewright.job.order import openings_of
from cagewright.job.passage import passage_of
from fitted import EXAMPLES


def pose(at, axis=None, angle=0.0):
    turn = Rotation.from_rotvec(np.radians(angle) * np.eye(3)["xyz".index(axis)] if axis else np.zeros(3))
    x, y, z, w = turn.as_quat()
    return np.array([*at, w, x, y, z])


@pytest.mark.parametrize(
    ("axis", "angle", "words"),
    # which place of the car's middle goes up or round, worked out by hand: x runs back, y right, z up
    [
        ("y", 40, "Turn it nose up 40° where it is"),
        ("y", -40, "Turn it nose down 40° where it is"),
        ("x", 30, "Turn it right side up 30° where it is"),
        ("x", -30, "Turn it left side up 30° where it is"),
        ("z", 25, "Turn it anticlockwise 25° seen from above where it is"),
    ],
)
def test_turns_are_told_by_the_cars_own_sides(axis, angle, words):
    nose = Rotation.from_rotvec(np.radians(angle) * np.eye(3)["xyz".index(axis)]).apply([-1.0, 0, 0])
    assert (nose[2] > 0.1) == ("nose up" in words)
    assert passage._move_words(pose((0, 0, 0)), pose((0, 0, 0), axis, angle), "mm") == words


def test_moves_are_told_along_the_car_the_longest_first():
    said = passage._move_words(pose((0, 0, 0)), pose((-100.0, 520.0, 5.0)), "mm")
    assert said == "Move it 520 mm to the right and 100 mm forward"
    said = passage._move_words(pose((0, 0, 0)), pose((0.0, 0.0, -120.0), "y", 20), "mm")
    assert said == "Turn it nose up 20° while its middle moves 120 mm down"


def test_the_demo_goes_in_by_its_door():
    job = open_job(EXAMPLES / "brackwater.yaml")
    answer = passage_of(job, "door opening left")
    assert answer.level == "fine"
    assert answer.headline.startswith(
        "main hoop with diagonal hoop, harness bar left and harness bar right goes in"
    )
    assert answer.moves[0].words.startswith("Hold it up outside")
    assert answer.moves[-1].words.endswith("tack its feet plumb and square to the car.")
    assert answer.room is not None
    assert answer.room.bound == "at least"
    assert answer.room.value > 0.0
    # the last pose is where the plan has it
    assert answer.moves[-1].pose == pytest.approx((*answer.middle, 1.0, 0.0, 0.0, 0.0), abs=1e-3)
    assert answer is passage_of(job, "door_opening_left")


def test_what_is_not_found_is_no_failure(monkeypatch):
    job = open_job(EXAMPLES / "brackwater.yaml")
    monkeypatch.setattr("cagewright.fitup.carry.SEARCHES", 1)
    monkeypatch.setattr("cagewright.fitup.carry.WAITING", 0)
    monkeypatch.setattr("cagewright.fitup.carry.MARGINS", (300.0,))
    answer = passage_of(job, "door_opening_left")
    assert answer.level == "cannot tell"
    assert answer.moves == ()
    assert "cannot tell" in answer.headline


def test_openings_are_closed_lines_doors_first():
    assert openings_of(open_job(EXAMPLES / "pellworth.yaml")) == (
        "door_opening_left", "door_opening_right", "windscreen",
    )  # fmt: skip


@pytest.mark.parametrize(("door", "code"), [("door_opening_lift", "no-line"), ("nothing like it", "no-line")])
def test_an_unknown_opening_is_a_located_problem(door, code):
    with pytest.raises(ProblemsFound) as found:
        passage_of(open_job(EXAMPLES / "brackwater.yaml"), door)
    assert found.value.problems[0].code == code
    assert found.value.problems[0].where is not None


def test_a_line_of_two_points_is_no_opening():
    job = open_job(EXAMPLES / "brackwater.yaml")
    first = replace(job.cage.lines[0], points=job.cage.lines[0].points[:2])
    job = replace(job, cage=replace(job.cage, lines=(first, *job.cage.lines[1:])))
    with pytest.raises(ProblemsFound, match="no opening"):
        passage_of(job, first.name)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda p: p[:-1], "its line is open, and its ends are"),
        (lambda p: p + 400.0 * (np.arange(len(p)) == 2)[:, None], "it is not flat"),
    ],
)
def test_an_opening_that_is_open_or_not_flat_is_told_with_its_line(change, said):
    job = open_job(EXAMPLES / "brackwater.yaml")
    lines = tuple(
        replace(x, points=change(x.points)) if x.name == "door_opening_left" else x for x in job.cage.lines
    )
    with pytest.raises(ProblemsFound, match=said) as found:
        passage_of(replace(job, cage=replace(job.cage, lines=lines)), "door_opening_left")
    assert found.value.problems[0].where.line > 200
