"""What a tape, a gauge and a bench say of one bent tube, and the shape it then has.

The bends are a chain of hinges: changing a bend's angle turns all beyond it about the middle of its arc (the
bend's own outside half as far), a turn of the tube turns all beyond about the straight, a longer straight
moves it along. So every place moves by (axis) x (place - pivot), as in any open chain of hinges.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from scipy.special import ndtri

from cagewright.base.outliers import FALSE_ALARM, POWER, Outlier, limit_for
from cagewright.base.vectors import BACK, UP, Vector, cross, turn
from cagewright.fitup.solve import Check, Equations, Floats, SolvedState, checks_of, solved, without_outliers
from cagewright.make.cutlist import rough
from cagewright.shape.tube_shape import TubeShape, longer, shape_and_frame
from cagewright.shape.types import Member
from cagewright.stock.shop import Shop

TubeKind = Literal["chord", "straight", "angle", "height"]
TUBE_KINDS: tuple[TubeKind, ...] = ("chord", "straight", "angle", "height")
TUBE_SIZES: dict[TubeKind, float] = {
    "chord": 0.5, "straight": 0.5, "angle": float(np.radians(0.15)), "height": 0.5,
}  # fmt: skip
"""Standard deviation of a reading where none is given, mm and rad: on a bench 1 mm and 0.3 deg either way."""
LOOSE_STRAIGHT, LOOSE_END, LOOSE_ANGLE = 60.0, 300.0, 0.5
"""How far a tube may be from the plan before it is read: standard deviations, mm and rad (assumed).

Wide beside any reading; they only keep what no reading fixes from being undefined. An end may not be trimmed.
"""
PLANE = 1.0
"""Marks of a plane tube lie over the bench by less than this in all, mm."""
START, END = "start", "end"


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeReading:
    """One measurement of a tube by itself.

    Attributes:
        kind: ``chord``: straight from mark ``a`` to ``b``; ``straight``: length of straight ``number``, from
            where the bend before ends to where the next begins; ``angle`` turned in bend ``number``;
            ``height`` of mark ``a`` over the bench on which both straights of bend ``number`` lie.
        a: a mark: ``start``, ``end``: the middle of the tube's end; ``bend1``: the outermost of that bend.
        b: the other mark of a chord; else empty.
        number: of the straight or bend, from 1 at the start; 0 for a chord.
        seen: mm, or rad for an angle.
        size: its standard deviation, mm or rad.
    """

    kind: TubeKind
    a: str = ""
    b: str = ""
    number: int = 0
    seen: float
    size: float

    @property
    def key(self) -> tuple[str, frozenset[str], int]:
        """The same for two readings of the same thing."""
        return self.kind, frozenset((self.a, self.b)), self.number


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeOnBench:
    """The tube that was meant, as it lies on the bench.

    Attributes:
        planned: its shape, with the spare that is still on its ends.
        radius: outside, mm.
    """

    planned: TubeShape
    radius: float

    @property
    def marks(self) -> tuple[str, ...]:
        """Names of the marks that it has, from its start."""
        return START, *(f"bend{k + 1}" for k in range(len(self.planned.angles))), END


def spare_of(member: Member, shop: Shop) -> tuple[float, float]:
    """How far the rough tube runs past the member's path at its start and at its end, mm."""
    spare = rough(member, shop)
    both = (spare.first, spare.last) if spare.starts_at == START else (spare.last, spare.first)
    first, last = (more - end.trim for more, end in zip(both, member.ends, strict=True))
    return first, last


def bench_of(member: Member, shop: Shop) -> TubeOnBench:
    """The member as it should come out of the bender, its spare still on its ends."""
    shape, _ = shape_and_frame(member.path, member.bends)
    return TubeOnBench(planned=longer(shape, *spare_of(member, shop)), radius=member.tube.radius)


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeRead:
    """A tube as its readings have it.

    Attributes:
        bench: the tube that was meant.
        shape: the tube as it is.
        covariance: (p, p) of its straights, angles and clockings in turn, mm2 and rad2.
        checks: every reading that was used.
        outliers: readings that were taken out, in that order.
        unit_sigma: root mean square of the residuals over what they should be; about 1.
        fits: whether that is believable.
        settled: whether the least squares came to rest.
    """

    bench: TubeOnBench
    shape: TubeShape
    covariance: Floats
    checks: tuple[Check[TubeReading], ...]
    outliers: tuple[Outlier[TubeReading], ...]
    unit_sigma: float
    fits: bool
    settled: bool


def shape_by(planned: TubeShape, state: Floats) -> TubeShape:
    """The planned shape changed by ``state`` (p,): straights (mm), angles and clockings (rad) in turn."""
    n = len(planned.angles)
    s, a, c = np.split(state, [n + 1, 2 * n + 1])
    return TubeShape(
        straights=tuple((np.array(planned.straights) + s).tolist()),
        angles=tuple((np.array(planned.angles) + a).tolist()),
        radii=planned.radii,
        clockings=tuple((np.array(planned.clockings) + c).tolist()),
    )


def many(shape: TubeShape) -> int:
    """How many straights, angles and clockings it has."""
    return len(shape.straights) + len(shape.angles) + len(shape.clockings)


def numbers_of(shape: TubeShape) -> Floats:
    """(p,) its straights, angles and clockings in turn, mm and rad."""
    return np.array([*shape.straights, *shape.angles, *shape.clockings])


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedMarks:
    """Marks and bends of a tube in its own frame, and how they move with its numbers.

    Attributes:
        marks: (n+2, 3) mm.
        by_marks: (n+2, 3, p).
        middles: (n, 3) of the bends' arcs, mm.
        by_middles: (n, 3, p).
        normals: (n, 3) of the bends.
        by_normals: (n, 3, p).
    """

    marks: Floats
    by_marks: Floats
    middles: Floats
    by_middles: Floats
    normals: Floats
    by_normals: Floats


class _Hinges:
    """The hinges passed so far on the way along a tube."""

    def __init__(self, count: int) -> None:
        self.axes, self.pivots, self.slides = np.zeros((count, 3)), np.zeros((count, 3)), np.zeros((count, 3))

    def turns(self, number: int, axis: Vector, pivot: Vector, share: float = 1.0) -> None:
        self.axes[number], self.pivots[number] = share * axis, pivot

    def of_place(self, place: Vector) -> Floats:
        """(3, p) how a place beyond all of them moves."""
        return (np.cross(self.axes, place - self.pivots) + self.slides).T

    def of_way(self, way: Vector) -> Floats:
        """(3, p) how a direction beyond all of them turns."""
        return np.cross(self.axes, way).T


def placed_tube(shape: TubeShape, radius: float) -> PlacedMarks:
    """Where the marks of a tube of that outside radius (mm) are in its own frame, and how they move."""
    n = len(shape.angles)
    hinges = _Hinges(many(shape))
    at, along, normal = np.zeros(3), BACK, UP
    marks, by_marks = [at], [hinges.of_place(at)]
    middles, by_middles, normals, by_normals = [], [], [], []
    for k, straight in enumerate(shape.straights):
        hinges.slides[k] = along
        at = at + straight * along
        if k == n:
            break
        if k:
            hinges.turns(2 * n + k, along, at)
            normal = turn(normal, along, shape.clockings[k - 1])
        middle = at + shape.radii[k] * cross(normal, along)
        middles.append(middle)
        by_middles.append(hinges.of_place(middle))
        normals.append(normal)
        by_normals.append(hinges.of_way(normal))
        out = turn(at - middle, normal, shape.angles[k] / 2.0) * (1.0 + radius / shape.radii[k])
        marks.append(middle + out)
        hinges.turns(n + 1 + k, normal, middle, 0.5)
        by_marks.append(hinges.of_place(middle + out))
        hinges.turns(n + 1 + k, normal, middle)
        at = middle + turn(at - middle, normal, shape.angles[k])
        along = turn(along, normal, shape.angles[k])
    marks.append(at)
    by_marks.append(hinges.of_place(at))
    return PlacedMarks(
        marks=np.array(marks), by_marks=np.array(by_marks), middles=np.array(middles),
        by_middles=np.array(by_middles), normals=np.array(normals), by_normals=np.array(by_normals),
    )  # fmt: skip


def upward(bench: TubeOnBench, number: int) -> float:
    """1 where bend ``number`` on the bench turns left, seen from above going from the start, else -1.

    The way round is the plan's: with most of the tube over the bench; of a plane tube turning left.
    """
    placed = placed_tube(bench.planned, bench.radius)
    over = (placed.marks - placed.middles[number - 1]) @ placed.normals[number - 1]
    return -1.0 if float(over.sum()) < -PLANE else 1.0


def equations_of(bench: TubeOnBench) -> Equations[TubeReading]:
    """What readings say of the tube's straights, angles and clockings beyond the planned ones."""
    n, index = len(bench.planned.angles), {name: i for i, name in enumerate(bench.marks)}
    ups = [upward(bench, k + 1) for k in range(n)]

    def one(r: TubeReading, shape: TubeShape, at: PlacedMarks) -> tuple[float, Floats]:
        if r.kind in ("straight", "angle"):
            which = r.number - 1 + (n + 1 if r.kind == "angle" else 0)
            slope = np.zeros(at.by_marks.shape[2])
            slope[which] = 1.0
            return float(numbers_of(shape)[which]), slope
        a = index[r.a]
        if r.kind == "chord":
            b = index[r.b]
            gap = at.marks[b] - at.marks[a]
            far = max(float(np.sqrt(gap @ gap)), 1e-9)
            return far, (gap / far) @ (at.by_marks[b] - at.by_marks[a])
        k = r.number - 1
        arm = at.marks[a] - at.middles[k]
        slope = at.normals[k] @ (at.by_marks[a] - at.by_middles[k]) + arm @ at.by_normals[k]
        return bench.radius + ups[k] * float(at.normals[k] @ arm), ups[k] * slope

    def scaled(readings: Sequence[TubeReading], state: Floats) -> tuple[Floats, Floats]:
        shape = shape_by(bench.planned, state)
        at = placed_tube(shape, bench.radius)
        told = [(r, *one(r, shape, at)) for r in readings]
        slope = np.array([s / r.size for r, _, s in told]).reshape(len(told), len(state))
        return slope, np.array([(r.seen - v) / r.size for r, v, _ in told])

    loose = [LOOSE_STRAIGHT] * (n + 1) + [LOOSE_ANGLE] * (n + max(n - 1, 0))
    loose[0] = loose[n] = LOOSE_END
    arms = [1.0] * (n + 1) + [1e3] * (n + max(n - 1, 0))
    return Equations(scaled=scaled, prior=np.diag(np.array(loose) ** -2.0), arms=np.array(arms))


def expected(bench: TubeOnBench, reading: TubeReading) -> float:
    """What the plan says the reading should be, mm or rad."""
    equations = equations_of(bench)
    left = equations.scaled([reading], np.zeros(len(equations.arms)))[1][0]
    return reading.seen - float(left) * reading.size


def solve_tube(
    bench: TubeOnBench, readings: Sequence[TubeReading], *, false_alarm: float = FALSE_ALARM
) -> TubeRead:
    """The tube by least squares, readings that the others contradict taken out one by one.

    One that is contradicted so little that it may have been sound widens the range by what its loss moved.

    Args:
        bench: the tube that was meant.
        readings: any number.
        false_alarm: chance that a sound set is said to hold an outlier.
    """
    equations = equations_of(bench)
    kept, outliers, fit = without_outliers(
        equations, readings, _begin(bench, readings), false_alarm=false_alarm
    )
    clear = limit_for(len(readings), false_alarm=false_alarm) + float(ndtri(POWER))
    if doubtful := [o.reading for o in outliers if abs(o.score) < clear]:
        moved = solved(equations, [*kept, *doubtful], fit.state).state - fit.state
        fit = replace(fit, covariance=fit.covariance + np.outer(moved, moved))
    return _told(bench, kept, outliers, fit, false_alarm)


def _begin(bench: TubeOnBench, readings: Sequence[TubeReading]) -> Floats:
    """(p,) the state to begin at: straights and angles as they were read by themselves."""
    n = len(bench.planned.angles)
    state = np.zeros(many(bench.planned))
    planned = numbers_of(bench.planned)
    for r in readings:
        if r.kind in ("straight", "angle"):
            which = r.number - 1 + (n + 1 if r.kind == "angle" else 0)
            state[which] = r.seen - planned[which]
    return state


def _told(
    bench: TubeOnBench,
    kept: Sequence[TubeReading],
    outliers: Sequence[Outlier[TubeReading]],
    fit: SolvedState,
    false_alarm: float,
) -> TubeRead:
    return TubeRead(
        bench=bench, shape=shape_by(bench.planned, fit.state), covariance=fit.covariance,
        checks=checks_of(kept, fit, false_alarm=false_alarm), outliers=tuple(outliers),
        unit_sigma=fit.unit_sigma, fits=fit.fits, settled=fit.settled,
    )  # fmt: skip
