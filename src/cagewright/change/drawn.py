"""A tube drawn by its bending list: straights, turns and angles."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from cagewright.base.problems import ProblemsFound
from cagewright.base.vectors import Vector, cross, dot, turn, unit
from cagewright.base.vectors import length as size
from cagewright.change.add import added
from cagewright.change.before import Altered, Before, spot_on_the_tape, told, usual_tube
from cagewright.plan.changes import AddChange, DrawChange, DrawnBend, NewMember
from cagewright.plan.types import AtCoordinates

SHARPEST = math.radians(175.0)
"""Past this a bend's corner is nowhere near its tube."""


def drawn(before: Before, change: DrawChange) -> Altered:
    """The plan with the tube as its list says, a bend at each place between its ends.

    Raises:
        ProblemsFound: a bend has no radius or is too sharp, or the two ways are one.
    """
    tube = change.tube or usual_tube(before.plan, change.role) or ""
    clr = change.clr or (before.plan.tubes[tube].clr if tube in before.plan.tubes else None)
    if change.steps and not clr:
        found, wanted = "its bends have no centreline radius", "wanted clr: the radius of the die"
        raise ProblemsFound(told("no-clr", before.where(("clr",)), found, wanted))
    for i, step in enumerate(change.steps):
        if not 0.0 < step.angle <= SHARPEST:
            found = f"bend {i + 1} turns {math.degrees(step.angle):.1f} deg"
            raise ProblemsFound(
                told("bend-too-sharp", before.where(("steps", i)), found, "wanted 1 to 175 deg")
            )
    way, side = np.array(change.way), np.array(change.towards)
    if change.steps and float(size(cross(way, side))) < 1e-6:
        found, wanted = "the first bend turns the way the tube runs", "wanted towards: another way"
        raise ProblemsFound(told("no-direction", before.where(("towards",)), found, wanted))
    spots = corners(before.at(change.start), way, side, change.steps, change.last, clr or 0.0)
    units = before.plan.units
    at = [spot_on_the_tape(spot, units) for spot in spots]
    bends = [AtCoordinates.model_construct(at=p, clr=change.clr) for p in at[:-1]]
    path = (change.start, *bends, AtCoordinates.model_construct(at=at[-1], clr=None))
    member = NewMember.model_construct(None, role=change.role, tube=tube or None, path=path)
    given: dict[str, Any] = {"members": {change.name: member}} if change.name else {"unnamed": (member,)}
    return added(
        before,
        AddChange.model_construct(None, **given, both_sides=change.both_sides, in_two=change.in_two),
    )


def corners(
    start: Vector, way: Vector, side: Vector, steps: tuple[DrawnBend, ...], last: float, clr: float
) -> list[Vector]:
    """Where the straights meet, and the tube's end last, (3,) each in mm.

    A bend of angle a at radius R begins R tan(a / 2) before its corner.

    Args:
        start: of the tube, mm.
        way: (3,) in which it sets out.
        side: (3,) to which the first bend turns.
        steps: its list.
        last: straight after the last bend, mm.
        clr: centreline radius of its bends, mm.
    """
    at, along = start, unit(way)
    across = side - float(dot(side, along)) * along
    across = unit(across) if float(size(across)) > 1e-9 else across
    found: list[Vector] = []
    back = 0.0
    for i, step in enumerate(steps):
        if i:
            across = turn(across, along, step.turn)
        reach = clr * math.tan(step.angle / 2.0)
        at = at + (back + step.straight + reach) * along
        found.append(at)
        cos, sin = math.cos(step.angle), math.sin(step.angle)
        along, across = cos * along + sin * across, cos * across - sin * along
        back = reach
    return [*found, at + (back + last) * along]
