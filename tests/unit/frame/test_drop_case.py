"""How a car is let fall: which way is up and which ahead, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from cagewright.frame.drop_case import DropCase, refuse_case, up_of, way_of
from cagewright.frame.errors import FrameError

HALF = np.sqrt(0.5)


@pytest.mark.parametrize(
    ("roll", "pitch", "up"),
    [
        (0, 0, [0, 0, -1]),  # flat on its roof
        (90, 0, [0, 1, 0]),  # on its left side: its right side points up
        (-90, 0, [0, -1, 0]),
        (180, 0, [0, 0, 1]),  # on its wheels
        (45, 0, [0, HALF, -HALF]),
        (0, 45, [HALF, 0, -HALF]),  # nose lower: its tail points up
    ],
)
def test_more_roll_lowers_the_left_side_and_more_pitch_the_nose(roll, pitch, up):
    case = DropCase(height=1.0, roll=np.radians(roll), pitch=np.radians(pitch))
    assert up_of(case) == pytest.approx(up, abs=1e-12)


@pytest.mark.parametrize(
    ("first", "way"), [("nose", [-1, 0, 0]), ("tail", [1, 0, 0]), ("left", [0, -1, 0]), ("right", [0, 1, 0])]
)
def test_what_goes_first_on_its_roof(first, way):
    assert way_of(DropCase(height=1.0, first=first)) == pytest.approx(way, abs=1e-12)


@pytest.mark.parametrize("pitch", [0.0, 0.6, -1.2, 0.5 * np.pi])
def test_it_goes_along_the_ground(pitch):
    case = DropCase(height=1.0, roll=0.7, pitch=pitch)
    assert way_of(case) @ up_of(case) == pytest.approx(0.0, abs=1e-9)
    assert np.linalg.norm(way_of(case)) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"height": 0.0}, "height"),
        ({"height": float("nan")}, "height"),
        ({"height": 1.0, "roll": 4.0}, "roll"),
        ({"height": 1.0, "pitch": 1.7}, "pitch"),
        ({"height": 1.0, "speed": -1.0}, "speed"),
        ({"height": 1.0, "time": 3.0}, "followed"),
        ({"height": 1.0, "friction": -0.1}, "friction"),
    ],
)
def test_what_no_drop_can_be_is_refused_in_a_sentence(wrong, words):
    with pytest.raises(FrameError, match=words):
        refuse_case(DropCase(**wrong))


def test_every_fault_is_told_at_once():
    with pytest.raises(FrameError) as found:
        refuse_case(DropCase(height=-1.0, speed=1e9))
    assert len(found.value.messages) == 2
