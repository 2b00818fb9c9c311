"""The shop's quick answer: one cope without a plan."""

from __future__ import annotations

import math

import numpy as np

from cagewright.base.curves import Line
from cagewright.shape.cope import POINTS, cut, heel
from cagewright.shape.types import Cope
from cagewright.shape.walls import Main, Notch

SHALLOWEST = math.radians(15.0)
"""Below this angle between branch and main no cope is made: the crotch cannot be welded."""


def simple_cope(
    *,
    branch_od: float,
    branch_wall: float,
    main_od: float,
    angle: float = math.pi / 2.0,
    offset: float = 0.0,
    points: int = POINTS,
) -> Cope:
    """The cope of a branch on a long straight main, distances measured from the main's axis.

    Sizes in mm, ``angle`` between the axes in rad, ``offset`` of the branch's axis toward phi = 90
    degrees, mm.

    Raises:
        ValueError: no such tubes, an angle of less than 15 degrees, or a branch that passes beside the main.
    """
    if not (0.0 < branch_wall <= branch_od / 2.0 and main_od > 0.0):
        raise ValueError("a branch needs a wall of at most half its diameter, and a main a diameter")
    if not SHALLOWEST <= angle <= math.pi - SHALLOWEST:
        raise ValueError("the angle between branch and main must be from 15 to 165 degrees")
    if abs(offset) >= (branch_od + main_od) / 2.0:
        raise ValueError("a branch that far off the main's middle passes beside it")
    along = np.array([1.0, 0.0, 0.0])
    axis = np.array([abs(math.cos(angle)), 0.0, math.sin(angle)])
    zero = heel(axis, along)
    long = 10.0 * (branch_od + main_od) / math.sin(angle)
    notch = Notch(
        origin=offset * np.cross(axis, zero),
        axis=axis,
        zero=zero,
        radius=branch_od / 2.0,
        bore=branch_od / 2.0 - branch_wall,
        mains=(
            Main(
                name="main",
                radius=main_od / 2.0,
                pieces=(Line(start=-long * along, stop=long * along),),
                reach=long,
            ),
        ),
        angle=min(angle, math.pi - angle),
        offset=abs(offset),
    )
    return cut([notch], points)[0]
