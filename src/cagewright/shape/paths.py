"""A member's places become straights and bends: tangent points, angles, planes and clockings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from cagewright.base.curves import Arc, Chain, Line, Piece, chain
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector, cross, dot, length, signed_angle
from cagewright.shape.types import Bend

STRAIGHT = 1e-5
"""A turn of less than this (rad) is a mark on a straight, not a bend: 0.01 mm over a metre."""
SAME_PLACE = 0.01
"""Places nearer than this (mm) are one place written twice."""
SHARPEST = math.radians(165.0)
"""No tube is bent further round than this; a path that asks for it doubles back on itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """Where two straights' centre lines would meet.

    Attributes:
        index: of the place in the path, from 0.
        apex: (3,) mm.
        angle: rad turned.
        clr: centreline radius, mm.
        before: unit (3,) along the straight before.
        after: unit (3,) along the straight after.
    """

    index: int
    apex: Vector
    angle: float
    clr: float
    before: Vector
    after: Vector

    @property
    def setback(self) -> float:
        """From the apex to each tangent point, mm: R tan(angle / 2) (plane geometry)."""
        return self.clr * math.tan(self.angle / 2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """Something that keeps places from becoming a path.

    ``index`` is the place it is about.
    """

    code: str
    index: int
    found: str
    wanted: str


def repeated(points: Sequence[Vector]) -> list[Fault]:
    """A fault for every place that is the same as the one before it."""
    return [
        Fault(
            code="zero-straight",
            index=i + 1,
            found=f"places {i + 1} and {i + 2} of the path are the same",
            wanted="take one of them out, or move it",
        )
        for i in range(len(points) - 1)
        if float(length(points[i + 1] - points[i])) < SAME_PLACE
    ]


def corners_of(points: Sequence[Vector], radii: Sequence[float | None]) -> tuple[list[Corner], list[Fault]]:
    """The corners of a polyline of places (no two the same), and the faults in them.

    Points (3,) from the start and the radius at each, mm; the first and last radius are not used.
    """
    kept = _bending(points)
    legs = np.diff(np.array([points[i] for i in kept]), axis=0)
    legs /= length(legs)[:, None]
    corners: list[Corner] = []
    faults: list[Fault] = []
    for i, before, after in zip(kept[1:-1], legs, legs[1:], strict=False):
        angle, radius = _turn(before, after), radii[i]
        if angle > SHARPEST:
            faults.append(_doubles_back(i, angle))
        elif radius is None:
            faults.append(_no_radius(i))
        else:
            corners.append(
                Corner(index=i, apex=points[i], angle=angle, clr=radius, before=before, after=after)
            )
    return corners, faults


def _bending(points: Sequence[Vector]) -> list[int]:
    """Indices of the ends and of the places where the path turns: marks on a straight left out."""
    kept = [0]
    for i in range(1, len(points) - 1):
        if _turn(points[i] - points[kept[-1]], points[i + 1] - points[i]) >= STRAIGHT:
            kept.append(i)
    return [*kept, len(points) - 1]


def _turn(a: Vector, b: Vector) -> float:
    a, b = a / math.sqrt(float(dot(a, a))), b / math.sqrt(float(dot(b, b)))
    return 2.0 * math.atan2(float(length(b - a)), float(length(b + a)))


def _doubles_back(index: int, angle: float) -> Fault:
    return Fault(
        code="bend-too-sharp",
        index=index,
        found=f"the path turns {math.degrees(angle):.1f} deg at place {index + 1}",
        wanted=f"at most {math.degrees(SHARPEST):.0f} deg in one bend",
    )


def _no_radius(index: int) -> Fault:
    return Fault(
        code="no-clr",
        index=index,
        found=f"the path bends at place {index + 1} but no centreline radius is given",
        wanted="give the tube a clr:, or this place its own",
    )


def overlapping(points: Sequence[Vector], corners: Sequence[Corner], units: LengthUnit) -> list[Fault]:
    """A fault for every straight too short for the set-backs of the bends at its ends."""
    first = (0, points[0], 0.0)
    last = (len(points) - 1, points[-1], 0.0)
    stops = [first, *((c.index, c.apex, c.setback) for c in corners), last]
    faults: list[Fault] = []
    for (i, a, back_a), (j, b, back_b) in pairwise(stops):
        room = float(length(b - a))
        if back_a + back_b > room + 1e-6:
            faults.append(_too_tight(i, j, back_a, back_b, room, units))
    return faults


def _too_tight(i: int, j: int, back_a: float, back_b: float, room: float, units: LengthUnit) -> Fault:
    over = back_a + back_b - room
    bends = [f"place {n + 1}" for n, back in ((i, back_a), (j, back_b)) if back > 0.0]
    said = f"the bends at {bends[0]} and {bends[1]}" if len(bends) == 2 else f"the bend at {bends[0]}"
    return Fault(
        code="bend-overlap",
        index=j if back_b > 0.0 else i,
        found=f"{said} need {say_length(back_a + back_b, units)} of set-back, but there are "
        f"{say_length(room, units)} between places {i + 1} and {j + 1}: {say_length(over, units)} too few",
        wanted="move the places apart, or bend to a smaller radius",
    )


def laid_out(points: Sequence[Vector], corners: Sequence[Corner]) -> Chain:
    """The centre line: straights between the tangent points of the corners' arcs."""
    pieces: list[Piece] = []
    at = points[0]
    for corner in corners:
        start = corner.apex - corner.setback * corner.before
        _straight(pieces, at, start)
        arc = _arc(corner, start)
        pieces.append(arc)
        at = corner.apex + corner.setback * corner.after
    _straight(pieces, at, points[-1])
    return chain(tuple(pieces))


def _straight(pieces: list[Piece], a: Vector, b: Vector) -> None:
    if float(length(b - a)) > 1e-6:
        pieces.append(Line(start=a, stop=b))


def _arc(corner: Corner, start: Vector) -> Arc:
    normal = _normal(corner)
    inward = cross(normal, corner.before)
    return Arc(
        centre=start + corner.clr * inward,
        radius=corner.clr,
        u=-inward,
        v=corner.before,
        angle=corner.angle,
    )


def _normal(corner: Corner) -> Vector:
    n = cross(corner.before, corner.after)
    return n / math.sqrt(float(dot(n, n)))


def bends_of(path: Chain, corners: Sequence[Corner]) -> tuple[Bend, ...]:
    """The bends in order from the start, with the clocking of each from the one before."""
    runs = [run for piece, run in zip(path.pieces, path.starts, strict=False) if isinstance(piece, Arc)]
    bends: list[Bend] = []
    for corner, run in zip(corners, runs, strict=True):
        normal = _normal(corner)
        clocking = signed_angle(bends[-1].normal, normal, corner.before) if bends else 0.0
        bends.append(
            Bend(
                apex=corner.apex,
                angle=corner.angle,
                clr=corner.clr,
                normal=normal,
                start=run,
                stop=run + corner.clr * corner.angle,
                clocking=clocking,
            )
        )
    return tuple(bends)
