"""Gussets as sheet: the corner they fill, their area and their weld lines."""

from __future__ import annotations

import numpy as np

from cagewright.base.curves import nearest, tangent_at
from cagewright.base.vectors import Vector, angle_between, length
from cagewright.shape.types import Cage, Gusset, Member, member_named

AT_END = 1.0
"""A member whose end is within this many tube diameters of the gusset's point ends there."""


def gusset_legs(cage: Cage, gusset: Gusset) -> tuple[Vector, Vector]:
    """Unit directions (3,) in which the gusset's legs run along its two members, away from the corner.

    A member that ends there is followed into the tube; one that passes is followed to the side of the smaller
    angle between the two.
    """
    first, second = (_ways(member_named(cage, name), gusset.point) for name in gusset.between)
    pairs = [(a, b) for a in first for b in second]
    return min(pairs, key=lambda pair: angle_between(*pair))


def _ways(member: Member, point: Vector) -> tuple[Vector, ...]:
    along, _ = nearest(member.path, point)
    way = tangent_at(member.path, along)
    near = AT_END * member.tube.across
    if along < near:
        return (way,)
    return (-way,) if along > member.path.length - near else (way, -way)


def gusset_sheet(cage: Cage, gusset: Gusset) -> tuple[float, Vector]:
    """Area of the sheet, mm2, and its centre (3,), mm.

    A flat gusset is the triangle of its two legs; a folded one two of them, as far apart as the smaller tube
    is wide, and the strip between their outer edges. Cut-outs round the tubes are not taken off.
    """
    a, b = gusset_legs(cage, gusset)
    side = 0.5 * gusset.leg**2 * float(np.sin(angle_between(a, b)))
    centre = gusset.point + gusset.leg * (a + b) / 3.0
    if gusset.kind == "flat":
        return side, centre
    width = min(member_named(cage, name).tube.across for name in gusset.between)
    strip = width * gusset.leg * float(length(a - b))
    middle = gusset.point + 0.5 * gusset.leg * (a + b)
    return 2.0 * side + strip, (2.0 * side * centre + strip * middle) / (2.0 * side + strip)


def gusset_weld(gusset: Gusset) -> float:
    """Length of its weld lines, mm: one along each leg, two where it is folded."""
    return (2.0 if gusset.kind == "flat" else 4.0) * gusset.leg
