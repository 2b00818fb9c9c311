"""What stands beside a wanted tube: how deep the tube is in it, and how far in it clears it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from cagewright.base.curves import point_at
from cagewright.base.problems import ProblemsFound
from cagewright.base.vectors import Vector, length
from cagewright.plan.types import Plan
from cagewright.shape.closest import closest_on_segments
from cagewright.shape.trims import ADDED, Standing, Trim
from cagewright.shape.types import Array, Cage, Foot, Member, Metal, member_named

AT_FOOT = 300.0
"""An obstacle no further than this from a foot moves the foot with the tube, mm (ours)."""
MOST = 250.0
"""A tube is moved in by no more than this, mm (ours)."""
TRIES = 6
STEP = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """Metal that a wanted tube runs into.

    Attributes:
        member: the tube.
        metal: name of the marked piece or measured line; empty where nobody marked it.
        mark: as which; empty where nobody marked it.
        standing: whether it may be cut.
        at: (3,) where the tube is deepest in it, mm.
        depth: how far, mm.
        way: unit (3,) along one axis of the car, that the tube is moved to clear it.
        foot: of the tube, where it stands beside that; empty elsewhere.
    """

    member: str
    metal: str
    mark: str
    standing: Standing
    at: Vector
    depth: float
    way: Vector
    foot: str


def obstacles_of(cage: Cage, trims: Sequence[Trim], known: Sequence[Metal]) -> tuple[Obstacle, ...]:
    """Each piece of a scan that a tube runs into, and marked metal with sizes where there is none."""
    marks = {m.name: m.mark for m in known}
    found = [
        _obstacle(cage, t.member, t.mark, marks.get(t.mark, ""), t.standing, t.at, t.depth) for t in trims
    ]
    seen = {(o.member, o.metal) for o in found}
    for metal in known:
        if metal.box is None:
            continue
        for member in cage.members:
            at, depth = _in_metal(member, metal)
            if depth > 0.0 and (member.name, metal.name) not in seen:
                standing: Standing = "trimmable" if metal.mark == "trimmable" else "never"
                found.append(_obstacle(cage, member.name, metal.name, metal.mark, standing, at, depth))
    return tuple(found)


def _in_metal(member: Member, metal: Metal) -> tuple[Vector, float]:
    """How deep the tube is in metal of those sizes, taken as round of its larger side, mm, and where."""
    path = metal.points if len(metal.points) > 1 else np.repeat(metal.points, 2, axis=0)
    places = _axis(member)
    best, where = np.inf, places[0]
    for a, b in pairwise(path):
        tile = (len(places), 1)
        on = closest_on_segments(places, np.tile(a, tile), np.tile(b, tile))
        away = length(on - places)
        i = int(np.argmin(away))
        if float(away[i]) < best:
            best, where = float(away[i]), on[i]
    return where, member.tube.radius + max(metal.box or (0.0, 0.0)) / 2.0 - best


def _axis(member: Member) -> Array:
    """Points (n, 3) on the member's axis, ``STEP`` apart, mm."""
    along = np.arange(0.0, member.path.length + STEP, STEP)
    return np.array([point_at(member.path, float(s)) for s in along])


def _obstacle(
    cage: Cage, name: str, metal: str, mark: str, standing: Standing, at: Vector, depth: float
) -> Obstacle:
    member = member_named(cage, name)
    places = _axis(member)
    off = places[int(np.argmin(length(places - at)))] - at
    # inward is told along one axis of the car: a tube beside a sill goes across, one under a rail goes down
    axis = int(np.argmax(np.abs(off)))
    way = np.zeros(3)
    inward = -np.sign(float(places[:, 1].mean())) if axis == 1 else np.sign(float(off[axis]))
    way[axis] = inward or 1.0
    feet = {f.name: f for f in cage.feet}
    near = [e.foot for e in member.ends if e.foot and float(length(feet[e.foot].point - at)) < AT_FOOT]
    return Obstacle(member=name, metal=metal, mark=mark, standing=standing, at=at, depth=depth, way=way,
                    foot=near[0] if near else "")  # fmt: skip


Built = Callable[[float], tuple[Plan, Cage]]
"""The plan and its cage with the tube moved in by so much, mm."""
Depth = Callable[[Cage], float]


def clears_at(built: Built, depth: Depth, first: float) -> float | None:
    """How far in the tube clears the obstacle with ``ADDED`` to spare, mm; None where it does not, or cannot.

    Args:
        built: makes the plan with the tube moved.
        depth: how deep the tube of a cage is in the obstacle, mm; less than 0 where it is clear of it.
        first: how deep it is now, mm.
    """
    by = first + ADDED
    for _ in range(TRIES):
        if by > MOST:
            return None
        try:
            _, cage = built(by)
        except ProblemsFound:
            return None
        left = depth(cage) + ADDED
        if left <= 0.5:
            return by
        by += left
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bridge:
    """A boxed foot that carries an inboard tube on the support of the wide one.

    Attributes:
        size: along the car, across and up, mm, outside.
        sheet: thickness, mm.
        blank: of the sheet that it is folded from, a cross with four flaps, along and across, mm.
    """

    size: tuple[float, float, float]
    sheet: float
    blank: tuple[float, float]


def bridge_for(foot: Foot, by: float, floor: float | None) -> Bridge:
    """The box from the old foot's plate to as far inboard as the tube moves.

    Args:
        foot: as planned.
        by: how far inboard the tube moves, mm.
        floor: height of the floor, mm; where not known the box is as high as it is thick.
    """
    long, wide, sheet = foot.plate
    high = max(float(foot.point[2]) - floor, 0.0) if floor is not None else 0.0
    high = max(high, 4.0 * sheet)
    across = wide + by
    return Bridge(size=(long, across, high), sheet=sheet, blank=(long + 2.0 * high, across + 2.0 * high))
