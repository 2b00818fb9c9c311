"""A sheet between members as tension strips: it buckles when pushed and carries by pulling.

The strip model of steel plate shear walls: Thorburn, Kulak and Montgomery, Analysis of steel plate shear
walls, University of Alberta Structural Engineering Report 107 (1983); at least ten strips a panel.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from cagewright.base.vectors import Vector, cross, unit
from cagewright.frame.model import Floats, Ints
from cagewright.shape.types import Array, Cage, Plate, member_named
from cagewright.stock.steels import Steel

SHEET = Steel(
    name="mild sheet", yield_strength=180.0, tensile=290.0,
    source="mild sheet of 180 MPa yield, assumed from memory: gauge and ask your supplier",
    certainty="memory",
)  # fmt: skip
"""What plates are made of, for want of better."""
COUNT = 12
"""Strips in each of a plate's two directions."""
REACH = 25.0
"""A strip's end is tied to a node of an edge member no further than this beyond the tube's outside, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """One strip: the nodes it ties, its area in mm2, its plate."""

    ends: tuple[int, int]
    area: float
    plate: str


def pull_angle(
    *, thickness: float, width: float, height: float, post_area: float, post_inertia: float, beam_area: float
) -> float:
    """Angle of the pull from the vertical in a panel framed by two posts and beams, rad.

    tan4(a) = (1 + t L / (2 Ac)) / (1 + t h (1/Ab + h3 / (360 Ic L))), L width, h height, Ac and Ic of the
    posts, Ab of the beams (Timler and Kulak, University of Alberta Report 114, 1983; AISC 341 F5).

    Args:
        thickness: mm.
        width: between the posts' centre lines, mm.
        height: between the beams' centre lines, mm.
        post_area: mm2.
        post_inertia: mm4, bending in the panel's plane.
        beam_area: mm2.
    """
    above = 1.0 + thickness * width / (2.0 * post_area)
    below = 1.0 + thickness * height * (1.0 / beam_area + height**3 / (360.0 * post_inertia * width))
    return math.atan((above / below) ** 0.25)


def strips_of(cage: Cage, places: Mapping[str, tuple[Ints, Floats]]) -> tuple[Strip, ...]:
    """The strips of every plate, both ways at 45 degrees, left out where an end has nothing to be tied to.

    Args:
        cage: what is built.
        places: each member's nodes: numbers (k,) and points (k, 3).
    """
    return tuple(strip for plate in cage.plates for strip in _strips(cage, plate, places))


def _strips(cage: Cage, plate: Plate, places: Mapping[str, tuple[Ints, Floats]]) -> list[Strip]:
    numbers, points, reach = _tied(cage, plate, places)
    if not len(numbers):
        return []
    flat, frame = flattened(plate.corners)
    found: list[Strip] = []
    for turn in (math.pi / 4.0, 3.0 * math.pi / 4.0):
        way = np.array([math.cos(turn), math.sin(turn)])
        for (a, b), breadth in chords(flat, way, COUNT):
            one, two = (_nearest(numbers, points, reach, plate.corners[0] + p @ frame) for p in (a, b))
            if one is not None and two is not None and one != two:
                found.append(Strip(ends=(one, two), area=breadth * plate.thickness, plate=plate.name))
    return found


def _tied(cage: Cage, plate: Plate, places: Mapping[str, tuple[Ints, Floats]]) -> tuple[Ints, Array, Array]:
    """Nodes of the plate's edge members: numbers (k,), points (k, 3), reach of each (k,) mm."""
    each = [(places[name], member_named(cage, name).tube.radius) for name in plate.members]
    if not each:
        return np.zeros(0, np.int64), np.zeros((0, 3)), np.zeros(0)
    numbers = np.concatenate([p[0] for p, _ in each])
    return numbers, np.concatenate([p[1] for p, _ in each]), np.concatenate(
        [np.full(len(p[0]), r + REACH) for p, r in each]
    )  # fmt: skip


def _nearest(numbers: Ints, points: Array, reach: Array, at: Vector) -> int | None:
    away = np.sqrt(((points - at) ** 2).sum(axis=1))
    best = int(np.argmin(away))
    return int(numbers[best]) if away[best] <= reach[best] + 20.0 else None


def flattened(corners: Array) -> tuple[Array, Array]:
    """The corners (n, 2) in the plate's mean plane, and the plane's axes (2, 3)."""
    off = corners - corners[0]
    normal = unit(sum((cross(a, b) for a, b in pairwise(off[1:])), np.zeros(3)))
    first = unit(off[1] - (off[1] @ normal) * normal)
    frame = np.array([first, cross(normal, first)])
    return off @ frame.T, frame


def chords(flat: Array, way: Array, count: int) -> list[tuple[tuple[Array, Array], float]]:
    """The middle lines of ``count`` strips along ``way`` inside a convex outline, and their breadth, mm.

    Args:
        flat: (n, 2) corners in order.
        way: (2,) unit direction.
        count: how many strips.
    """
    side = np.array([-way[1], way[0]])
    across = flat @ side
    breadth = float(np.ptp(across)) / count
    found: list[tuple[tuple[Array, Array], float]] = []
    for i in range(count):
        level = float(across.min()) + (i + 0.5) * breadth
        hits = _crossings(flat, across, level)
        if len(hits) >= 2:
            order = sorted(hits, key=lambda p: float(p @ way))
            found.append(((order[0], order[-1]), breadth))
    return found


def _crossings(flat: Array, across: Array, level: float) -> list[Array]:
    hits: list[Array] = []
    for i in range(len(flat)):
        a, b = across[i], across[(i + 1) % len(flat)]
        if (a <= level) != (b <= level):  # a corner on the line counts once
            share = (level - a) / (b - a)
            hits.append(flat[i] + share * (flat[(i + 1) % len(flat)] - flat[i]))
    return hits
