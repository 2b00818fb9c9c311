"""How a car is let fall: height, attitude and speed, and what way is up then."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from cagewright.base.vectors import Vector, cross, unit
from cagewright.frame.errors import FrameError
from cagewright.frame.push_places import facing

Way = Literal["nose", "tail", "left", "right"]
"""Which end or side of the car goes first over the ground."""
FRICTION = 0.4
"""Of a roof or tube on hard ground (common practice, no source; 0.3 to 0.5 are used)."""
EVENT = 0.3
"""s that a drop is followed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DropCase:
    """How a car is let fall.

    Attributes:
        height: mm of clear air between the ground and the cage's lowest place as it hangs.
        roll: rad from upside down, the left side lower.
        pitch: rad, the nose lower.
        speed: mm/s over the ground.
        first: which end or side goes first.
        time: s to follow it from the first touch.
        friction: of the ground.
    """

    height: float
    roll: float = 0.0
    pitch: float = 0.0
    speed: float = 0.0
    first: Way = "nose"
    time: float = EVENT
    friction: float = FRICTION


def refuse_case(case: DropCase) -> None:
    """Nothing, for a drop that can be followed.

    Raises:
        FrameError: every fault found.
    """
    wrong = [
        (not 0.0 < case.height <= 20e3, "a drop's height is more than 0 and at most 20 m"),
        (not abs(case.roll) <= math.pi, "roll is from -180 to 180 deg, 0 upside down on its roof"),
        (
            not abs(case.pitch) <= 0.5 * math.pi,
            "pitch is from -90 to 90 deg, the nose lower where it is more than 0",
        ),
        (not 0.0 <= case.speed <= 60e3, "speed over the ground is from 0 to 60 m/s"),
        (not 0.0 < case.time <= 2.0, "a drop is followed for up to 2 s"),
        (not 0.0 <= case.friction <= 2.0, "friction of the ground is from 0 to 2"),
    ]
    if faults := [words for bad, words in wrong if bad]:
        raise FrameError(faults)


def up_of(case: DropCase) -> Vector:
    """The unit way up (3,) out of the ground, in the car's own axes as it is let go."""
    return facing(pitch=case.pitch, roll=case.roll, side="left")[0]


def way_of(case: DropCase) -> Vector:
    """The unit way (3,) over the ground that ``first`` goes, in the car's own axes as it is let go.

    Nose and tail go along the car's length as it lies over the ground; left and right square to that, as for
    a car on its roof.
    """
    up = up_of(case)
    nose = np.array([-1.0, 0.0, 0.0])
    flat = nose - (nose @ up) * up
    if float(flat @ flat) < 1e-6:
        # standing on its nose: its roof goes first
        flat = np.array([0.0, 0.0, 1.0])
    nose = unit(flat - (flat @ up) * up)
    left = cross(nose, up)
    return {"nose": nose, "tail": -nose, "left": left, "right": -left}[case.first]
