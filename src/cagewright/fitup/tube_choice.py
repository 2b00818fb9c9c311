"""As few readings of a tube on the bench as pin its shape and would show a slip in any one of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

import numpy as np

from cagewright.fitup.choose import SLIP
from cagewright.fitup.fewest import SURE, choosing, fewest_named, unnamed_by
from cagewright.fitup.network import rigid_slopes
from cagewright.fitup.solve import Floats
from cagewright.fitup.tube import (
    TUBE_SIZES,
    PlacedMarks,
    TubeKind,
    TubeOnBench,
    TubeReading,
    equations_of,
    expected,
    placed_tube,
)
from cagewright.shape.tube_shape import TubeShape

WANTED = 3.0
"""Wanted 95 % range of every mark of the tube either side, mm."""
MOST, MOST_EACH = 18, 4
"""So many readings, or so many for each bend and two more, are as many as a builder takes (assumed)."""
MARGIN = 0.85
"""A slip of this share is made to show as planned: a tube that came out otherwise checks itself less well."""
SHORTEST = 150.0
"""The shortest chord worth taking, mm: common practice, no source."""
GAUGED = 50.0
"""A gauge's leg, or a straight that can be told from its bends, is at least so long, mm (assumed)."""
LIES = np.radians(4.0)
"""A tube lies on a bend's two straights where that turns at least so far (assumed)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeReadingChoice:
    """One reading worth taking, with what the plan says of it; why; and the +- that it leaves, mm."""

    reading: TubeReading
    why: str
    leaves: float


def choose_tube_readings(
    bench: TubeOnBench, *, wanted: float = WANTED, slip: float = SLIP
) -> tuple[TubeReadingChoice, ...]:
    """Readings to take of the tube, in the order of their worth, the tube laid as few ways as will do.

    Args:
        bench: the tube that was meant.
        wanted: 95 % range of each of its ends and bends to either side, mm.
        slip: what has to show in every length, mm; in an angle as many standard deviations.
    """
    tried = [_chosen(bench, lays, wanted, slip) for lays in _lays(bench.planned)]
    return min(tried, key=lambda one: (one[0], len(one[1])))[1]


def _lays(shape: TubeShape) -> list[tuple[int, ...]]:
    """Ways to lay it on the bench: on either of the two bends that turn most, else on both in turn."""
    by_angle = sorted(range(len(shape.angles)), key=lambda k: -min(shape.angles[k], np.pi - shape.angles[k]))
    flat = [k + 1 for k in by_angle[:2] if LIES <= shape.angles[k] <= np.pi - LIES]
    return [*((k,) for k in flat), *([tuple(sorted(flat))] if len(flat) == 2 else [])] or [()]


def _chosen(
    bench: TubeOnBench, lays: Sequence[int], wanted: float, slip: float
) -> tuple[float, tuple[TubeReadingChoice, ...]]:
    """How far the readings are from what they are for (0: not at all), and the readings."""
    candidates = candidates_of(bench, lays)
    equations = equations_of(bench)
    slope, _ = equations.scaled(candidates, np.zeros(len(equations.arms)))
    slips = MARGIN * slip / np.array([1.0 if r.kind == "angle" else r.size for r in candidates])
    marks = moves_of(placed_tube(bench.planned, bench.radius)).reshape(-1, len(equations.arms))
    work = choosing(slope, slips, marks, equations.prior, lambda _: True)
    most = max(MOST, MOST_EACH * len(bench.planned.angles) + 2)
    taken = fewest_named(work, wanted=wanted, most=most)
    unsure, hidden, _ = unnamed_by(work, [t.row for t in taken], wanted, told_apart=False)
    return round(unsure + float(hidden.sum()), 3), tuple(
        TubeReadingChoice(
            reading=candidates[t.row], why=t.why.replace("the tubes", "the shape"), leaves=t.leaves
        )
        for t in taken
    )


def moves_of(at: PlacedMarks) -> Floats:
    """(n+2, 3, p) how the marks move in the tube laid as well as can be on what it was before."""
    rigid = rigid_slopes(at.marks - at.marks.mean(axis=0))
    flat, moves = rigid.reshape(-1, 6), at.by_marks.reshape(-1, at.by_marks.shape[2])
    best, *_ = np.linalg.lstsq(flat, moves, rcond=1e-9)
    return (moves - flat @ best).reshape(at.by_marks.shape)


def sure_of_marks(shape: TubeShape, radius: float, covariance: Floats) -> Floats:
    """(n+2,) 95 % range to either side of each mark's least sure direction, mm."""
    moves = moves_of(placed_tube(shape, radius))
    each = np.einsum("nip,pq,njq->nij", moves, covariance, moves)
    return SURE * np.sqrt(np.maximum(np.linalg.eigvalsh(each)[:, -1], 0.0))


def candidates_of(bench: TubeOnBench, lays: Sequence[int]) -> tuple[TubeReading, ...]:
    """What can be read of the tube, with what the plan says.

    Args:
        bench: the tube that was meant.
        lays: the bends, from 1, on whose straights it lies in turn while heights are read.
    """
    shape, marks = bench.planned, bench.marks
    long = [s >= GAUGED for s in shape.straights]
    blank = [_blank("straight", number=k + 1) for k, fit in enumerate(long) if fit]
    blank += [_blank("angle", number=k + 1) for k, both in enumerate(pairwise(long)) if all(both)]
    blank += [_blank("chord", a=a, b=b) for a, b in combinations(marks, 2)]
    for lay in lays:
        lying = marks[lay - (lay == 1) : lay + 1 + (lay == len(shape.angles))]
        blank += [_blank("height", a=a, number=lay) for a in marks if a not in lying]
    planned = [replace(r, seen=expected(bench, r)) for r in blank]
    return tuple(r for r in planned if r.kind != "chord" or r.seen >= SHORTEST)


def _blank(kind: TubeKind, *, a: str = "", b: str = "", number: int = 0) -> TubeReading:
    return TubeReading(kind=kind, a=a, b=b, number=number, seen=0.0, size=TUBE_SIZES[kind])
