"""How members lie: their ends, tops, planes, lean, and the side of the car they are on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import Chain, Line, Piece, point_at, sample, tangent_at
from cagewright.base.vectors import UP, Vector, angle_between, unit
from cagewright.check.rules import EndWord, SideWord
from cagewright.plan.types import Which
from cagewright.shape.types import Cage, Joint, Member, driver_body, member_named

CENTRE = 50.0
"""mm: a member whose middle is nearer the car's centre line than this is on neither side."""
RISE = 100.0
"""mm: a straight of a hoop that rises less than this says nothing of its lean."""
SideName = Literal["left", "right", "middle"]


def tip(member: Member, which: Which) -> Vector:
    """The point (3,) where the member's axis ends, mm."""
    pieces = member.path.pieces
    return pieces[0].start if which == "start" else pieces[-1].stop


def outward(member: Member, which: Which) -> Vector:
    """Unit (3,) along the axis at one end, pointing from the end into the member."""
    return tangent_at(member.path, 0.0) if which == "start" else -tangent_at(member.path, member.path.length)


def ends_named(member: Member, end: EndWord) -> tuple[Which, ...]:
    """The ends that the word means: upper and lower by height, front and rear by distance back."""
    if end == "each":
        return ("start", "end")
    axis = 2 if end in {"upper", "lower"} else 0
    start, stop = float(tip(member, "start")[axis]), float(tip(member, "end")[axis])
    first = start >= stop if end in {"upper", "rear"} else start < stop
    return ("start",) if first else ("end",)


def points_of(path: Chain) -> NDArray[np.float64]:
    """Points (n, 3) along the path: straights by their ends, arcs within 0.05 mm."""
    return sample(path)


def top_of(member: Member) -> Vector:
    """The highest point (3,) of the member's axis, mm."""
    points = points_of(member.path)
    return points[int(np.argmax(points[:, 2]))]


def chord(member: Member) -> Vector:
    """From the start's axis point to the end's (3,), mm."""
    return tip(member, "end") - tip(member, "start")


def from_vertical(direction: Vector) -> float:
    """Angle of a line from the vertical, rad, 0 to pi/2."""
    angle = angle_between(direction, UP)
    return min(angle, math.pi - angle)


def plane_normal(points: NDArray[np.float64]) -> Vector | None:
    """Unit normal (3,) of the plane that fits points (n, 3) best; None where they lie along one line."""
    if len(points) < 3:
        return None
    off = points - points.mean(axis=0)
    spread, axes = np.linalg.eigh(off.T @ off)
    if spread[1] < 1e-9 * max(spread[2], 1.0):
        return None
    return axes[:, 0]


def densely(path: Chain, step: float = 25.0) -> NDArray[np.float64]:
    """Points (n, 3) along the path, at most ``step`` mm apart, so that a fit weighs by length."""
    runs = [_along(piece, max(2, math.ceil(piece.length / step))) for piece in path.pieces]
    return np.concatenate([path.pieces[0].start[None, :], *runs])


def _along(piece: Piece, count: int) -> NDArray[np.float64]:
    """``count`` points (count, 3) evenly along a piece, its end included and its start not."""
    shares = np.arange(1, count + 1)[:, None] / count
    if isinstance(piece, Line):
        return piece.start + shares * (piece.stop - piece.start)
    angles = shares * piece.angle
    return piece.centre + piece.radius * (np.cos(angles) * piece.u + np.sin(angles) * piece.v)


def hoop_normal(member: Member) -> Vector | None:
    """Unit normal (3,) of the plane a hoop lies in; None for a straight member."""
    return plane_normal(densely(member.path)) if member.bends else None


def lean_of(member: Member, floor: float) -> float | None:
    """How far a hoop leans from the vertical above a height (mm), in side view, rad; None for no hoop.

    It is the greatest lean of the straights that rise 100 mm or more above that height: for a hoop in one
    plane the lean of the plane. A hoop without such a straight leans as the plane that fits it best.
    """
    if not member.bends:
        return None
    lines = [piece for piece in member.path.pieces if isinstance(piece, Line) and _rise(piece, floor) >= RISE]
    if lines:
        return max(math.atan2(abs(float(line.direction[0])), abs(float(line.direction[2]))) for line in lines)
    normal = hoop_normal(member)
    return None if normal is None else math.asin(min(1.0, abs(float(normal[2]))))


def _rise(line: Line, floor: float) -> float:
    low, high = sorted((float(line.start[2]), float(line.stop[2])))
    return high - max(low, floor)


def out_of_plane(member: Member) -> float:
    """Furthest that the member's axis stands off its own best plane, mm."""
    points = densely(member.path)
    normal = plane_normal(points)
    if normal is None:
        return 0.0
    return float(np.abs((points - points.mean(axis=0)) @ normal).max())


def side_of(member: Member) -> SideName:
    """Which side of the car the member's middle is on."""
    y = float(point_at(member.path, member.path.length / 2.0)[1])
    if abs(y) < CENTRE:
        return "middle"
    return "left" if y < 0.0 else "right"


def driver_side(cage: Cage) -> SideName | None:
    """The side the driver sits on; None where the plan has no driver."""
    body = driver_body(cage)
    if body is None:
        return None
    y = body.hip[1]
    return "middle" if abs(y) < CENTRE else ("left" if y < 0.0 else "right")


def sides_meant(cage: Cage, side: SideWord) -> tuple[SideName, ...]:
    """The sides a row's word means; both where the driver's side is not known."""
    if side == "each":
        return ("left", "right")
    if side != "driver":
        return (side,)
    seat = driver_side(cage)
    return ("left", "right") if seat in {None, "middle"} else (seat,)  # type: ignore[return-value]


def joint_axis(cage: Cage, joint: Joint, number: int) -> Vector:
    """Unit tangent (3,) of the joint's main of that number, where it is met."""
    return tangent_at(member_named(cage, joint.mains[number]).path, joint.along[number])


def crossings(points: NDArray[np.float64], height: float) -> Sequence[float]:
    """Where a polyline (n, 3) passes a height: the across coordinates, mm, in order along it."""
    found: list[float] = []
    for a, b in pairwise(points):
        if (a[2] < height) != (b[2] < height):
            found.append(float(a[1] + (height - a[2]) / (b[2] - a[2]) * (b[1] - a[1])))
    return found


def is_straight(member: Member) -> bool:
    """Whether the member has no bend."""
    return all(isinstance(piece, Line) for piece in member.path.pieces) and not member.bends


def direction(member: Member) -> Vector:
    """Unit (3,) from the member's start to its end."""
    return unit(chord(member))
