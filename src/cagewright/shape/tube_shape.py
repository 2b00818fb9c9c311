"""A tube by what a bender knows of it, without a place: straights, bends, and the turns between their planes.

In its own frame it starts at the origin, runs along ``BACK`` and bends first towards ``ACROSS``, so that the
first bend's normal is ``UP``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cagewright.base.curves import Chain, Line, tangent_at
from cagewright.base.vectors import BACK, UP, Vector, cross, square_to, turn
from cagewright.shape.paths import corners_of, laid_out
from cagewright.shape.types import Array, Bend


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeShape:
    """The shape of one tube of n bends, from its first end to its last.

    Attributes:
        straights: (n+1) mm from the first end, or the bend before, to where the next bend begins.
        angles: (n) rad turned in each bend, more than 0.
        radii: (n) centreline radius of each bend, mm.
        clockings: (n-1) rad the tube is turned about its own axis from one bend to the next, right-handed
            looking along the travel, -pi to pi; of a straight tube none.

    Raises:
        ValueError: the counts do not fit each other.
    """

    straights: tuple[float, ...]
    angles: tuple[float, ...]
    radii: tuple[float, ...]
    clockings: tuple[float, ...]

    def __post_init__(self) -> None:
        n = len(self.angles)
        if (len(self.straights), len(self.radii), len(self.clockings)) != (n + 1, n, max(n - 1, 0)):
            raise ValueError(f"a tube of {n} bends has {n + 1} straights, {n} radii, {max(n - 1, 0)} turns")

    @property
    def length(self) -> float:
        """Length along the centre line, mm."""
        return sum(self.straights) + sum(r * a for r, a in zip(self.radii, self.angles, strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeFrame:
    """Where a tube stands.

    Attributes:
        start: (3,) its first end, mm.
        along: unit (3,) its travel there.
        normal: unit (3,) square to ``along``, its first bend's normal.
    """

    start: Vector
    along: Vector
    normal: Vector

    @property
    def axes(self) -> Array:
        """(3, 3) rows: its own back, across and up, as seen from the car."""
        return np.array([self.along, cross(self.normal, self.along), self.normal])


OWN = TubeFrame(start=np.zeros(3), along=BACK, normal=UP)
"""The tube's own frame."""


def shape_and_frame(path: Chain, bends: Sequence[Bend]) -> tuple[TubeShape, TubeFrame]:
    """The shape of a member's centre line with its bends, and where it stands.

    A straight tube's frame is turned so that its normal is as near to up as can be.
    """
    runs = [0.0, *(s for b in bends for s in (b.start, b.stop)), path.length]
    along = tangent_at(path, 0.0)
    shape = TubeShape(
        straights=tuple(b - a for a, b in zip(runs[::2], runs[1::2], strict=True)),
        angles=tuple(b.angle for b in bends),
        radii=tuple(b.clr for b in bends),
        clockings=tuple(b.clocking for b in bends[1:]),
    )
    first = path.pieces[0]
    start = first.start if isinstance(first, Line) else first.centre + first.radius * first.u
    return shape, TubeFrame(
        start=start, along=along, normal=bends[0].normal if bends else square_to(along, UP)
    )


def places_of(shape: TubeShape, frame: TubeFrame = OWN) -> Array:
    """(n+2, 3) its first end, where each bend's straights would meet, its last end, mm."""
    backs = [r * math.tan(a / 2.0) for r, a in zip(shape.radii, shape.angles, strict=True)]
    legs = [
        s + a + b for s, a, b in zip(shape.straights, [0.0, *backs], [*backs, 0.0], strict=True)
    ]  # from corner to corner
    at, along, normal = frame.start, frame.along, frame.normal
    places = [at]
    for k, leg in enumerate(legs):
        at = at + leg * along
        places.append(at)
        if k < len(shape.angles):
            normal = turn(normal, along, shape.clockings[k - 1] if k else 0.0)
            along = turn(along, normal, shape.angles[k])
    return np.array(places)


def centre_line(shape: TubeShape, frame: TubeFrame = OWN) -> Chain:
    """The centre line of the tube where it stands.

    Raises:
        ValueError: no tube can have this shape: a bend of nothing or all but round, or a straight of less
            than nothing.
    """
    places = list(places_of(shape, frame))
    corners, faults = corners_of(places, [None, *shape.radii, None])
    if faults or len(corners) != len(shape.angles) or min(shape.straights) < -1e-6:
        raise ValueError("no tube has this shape")
    return laid_out(places, corners)


def other_way(shape: TubeShape) -> TubeShape:
    """The same tube from its other end: a turn to the right is one from either end."""
    return TubeShape(
        straights=shape.straights[::-1], angles=shape.angles[::-1], radii=shape.radii[::-1],
        clockings=shape.clockings[::-1],
    )  # fmt: skip


def other_hand(shape: TubeShape) -> TubeShape:
    """The tube that is this one's mirror."""
    return replace(shape, clockings=tuple(-c if abs(c) < math.pi else c for c in shape.clockings))


def longer(shape: TubeShape, first: float, last: float) -> TubeShape:
    """The tube with so much more (less than 0: less) straight at its first and last end, mm."""
    straights = [*shape.straights]
    straights[0] += first
    straights[-1] += last
    return replace(shape, straights=tuple(straights))
