"""Which readings to take: both diagonals, what sharpens the places most, what checks the weakest.

The places' covariance C shrinks by one reading with slopes a and size s by C a a' C / (s^2 + a' C a); what
that takes off the sum of the marks' variances is the reading's worth (A-optimal, one reading at a time; V. V.
Fedorov, Theory of Optimal Experiments, 1972, from memory). Greedy: good, not proved best.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from cagewright.base.outliers import limit_for, smallest_outlier
from cagewright.fitup.network import (
    SIZES,
    Floats,
    Ints,
    Network,
    Reading,
    placed,
    predicted,
    rows_of,
    slopes,
    slopes_of_places,
    soft_weights,
)
from cagewright.shape.closest import closest_between_segments
from cagewright.shape.overlaps import Strands, strands
from cagewright.shape.types import Cage

SHORTEST, LONGEST = 150.0, 3500.0
"""Tape distances worth taking, mm: common practice, no source."""
GRAZE = 3.0
"""A tape may press this far into a tube it runs along, mm."""
SHARP = 2.0
"""Wanted standard deviation of every mark in its worst direction, mm."""
OUTLIER = 8.0
"""An outlier of this size should show in every reading, mm.

A third less than the 12 mm that has to be found: the worst residual can be a neighbour's."""
MOST = 60
MARKS_OF_ONE = 8
"""At most this many marks of one body are tried, the furthest apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One reading worth taking.

    Attributes:
        reading: with what the plan says it should read.
        why: in words.
        gain: what it takes off the root-mean-square uncertainty of the marks, mm; for a check, 0 or little.
    """

    reading: Reading
    why: str
    gain: float


@dataclass(slots=True, kw_only=True)
class _Work:
    """Candidates with slopes over size (c, 6k), covariance so far (6k, 6k), marks' sum form (6k, 6k)."""

    net: Network
    cage: Cage
    tubes: Strands
    candidates: list[Reading]
    slope: Floats
    covariance: Floats
    marks: Floats
    taken: list[int]
    open: set[int]


def choose_readings(
    net: Network,
    cage: Cage,
    *,
    of: Sequence[str] = (),
    sharp: float = SHARP,
    outlier: float = OUTLIER,
    most: int = MOST,
) -> tuple[Choice, ...]:
    """Readings to take, in the order of their worth.

    Args:
        net: bodies and marks.
        cage: whose tubes stand in a tape's way.
        of: bodies to be found; all that can move where empty.
        sharp: wanted standard deviation of each of their marks, mm.
        outlier: what should be found in every reading, mm.
        most: at most this many readings.
    """
    wanted = _wanted(net, of)
    work = _work(net, cage, wanted)
    chosen = _diagonals(work, wanted)
    while len(work.taken) < most and _unsharp(work, wanted) > sharp:
        best = _best(work, _worths(work))
        if best is None:
            break
        chosen.append(_take(work, best, "sharpens most"))
    while len(work.taken) < most:
        best = _best(work, _check_worths(work, outlier))
        if best is None:
            break
        chosen.append(_take(work, best, "checks the others"))
    return tuple(chosen)


def most_helpful(
    net: Network, cage: Cage, readings: Sequence[Reading], state: Floats, *, count: int = 3
) -> tuple[Choice, ...]:
    """The further readings that would sharpen the adjusted places most.

    Args:
        net: bodies and marks.
        cage: whose tubes stand in a tape's way.
        readings: taken so far.
        state: (k, 6) as adjusted.
        count: how many.
    """
    work = _work(net, cage, set(range(len(net.bodies))), state)
    done = {frozenset((r.a, r.b)) for r in readings if r.kind == "tape"}
    work.open -= {i for i, r in enumerate(work.candidates) if frozenset((r.a, r.b)) in done}
    rows = rows_of(net, readings)
    slope = slopes(net, rows, state) / rows.size[:, None]
    work.covariance = np.asarray(np.linalg.inv(np.linalg.inv(work.covariance) + slope.T @ slope), float)
    chosen: list[Choice] = []
    while len(chosen) < count:
        best = _best(work, _worths(work))
        if best is None:
            break
        chosen.append(_take(work, best, "sharpens most"))
    return tuple(chosen)


def _wanted(net: Network, of: Sequence[str]) -> set[int]:
    if not of:
        return set(range(len(net.bodies)))
    return {k for k, b in enumerate(net.bodies) if b.name in of or set(b.members) & set(of)}


def _work(net: Network, cage: Cage, wanted: set[int], state: Floats | None = None) -> _Work:
    state = np.zeros((len(net.bodies), 6)) if state is None else state
    names = {m for b in net.bodies for m in b.members} | {m.member for m in net.marks if m.member}
    there = [m for m in cage.members if m.name in names]
    candidates = _candidates(net, wanted)
    rows = rows_of(net, candidates)
    of_place = slopes_of_places(net, state)
    marks = np.zeros((6 * len(net.bodies), 6 * len(net.bodies)))
    for i, k in enumerate(net.body):
        if int(k) in wanted:
            marks[6 * k : 6 * k + 6, 6 * k : 6 * k + 6] += of_place[i].T @ of_place[i]
    return _Work(
        net=net,
        cage=cage,
        tubes=strands([m.path for m in there], [m.tube.radius for m in there]),
        candidates=candidates,
        slope=slopes(net, rows, state) / rows.size[:, None],
        covariance=np.diag(1.0 / soft_weights(len(net.bodies))),
        marks=marks,
        taken=[],
        open=set(range(len(candidates))),
    )


def _candidates(net: Network, wanted: set[int]) -> list[Reading]:
    few = _few(net)
    out = [
        _tape(net, i, j)
        for i, j in combinations(few, 2)
        if net.body[i] != net.body[j] and (int(net.body[i]) in wanted or int(net.body[j]) in wanted)
    ]
    return [r for r in out if SHORTEST <= r.seen <= LONGEST]


def _tape(net: Network, i: int, j: int) -> Reading:
    a, b = net.marks[i].name, net.marks[j].name
    away = net.points[j] - net.points[i]
    seen = float(np.sqrt(away @ away))
    return Reading(name=f"{a} to {b}", kind="tape", a=a, b=b, axis=-1, seen=seen, size=SIZES["tape"])


def _few(net: Network) -> list[int]:
    """Marks tried: of each body those furthest from each other."""
    out: list[int] = []
    for k in range(-1, len(net.bodies)):
        mine = np.flatnonzero(net.body == k)
        out += _spread(net.points, mine, 2 * MARKS_OF_ONE if k < 0 else MARKS_OF_ONE)
    return sorted(out)


def _spread(points: Floats, mine: Ints, most: int) -> list[int]:
    if len(mine) <= most:
        return mine.tolist()
    away = np.full(len(mine), np.inf)
    taken = [int(np.argmax(((points[mine] - points[mine].mean(axis=0)) ** 2).sum(axis=1)))]
    while len(taken) < most:
        away = np.minimum(away, ((points[mine] - points[mine[taken[-1]]]) ** 2).sum(axis=1))
        taken.append(int(np.argmax(away)))
    return [int(mine[t]) for t in taken]


def _worths(work: _Work) -> Floats:
    """What each candidate takes off the sum of the marks' variances, mm2."""
    through = work.slope @ work.covariance
    own = np.einsum("ci,ci->c", through, work.slope)
    return np.einsum("ci,ij,cj->c", through, work.marks, through) / (1.0 + own)


def _check_worths(work: _Work, outlier: float) -> Floats:
    """How much each candidate would add to the checking of readings in which that outlier could hide."""
    rows = work.slope[work.taken]
    if not len(rows):
        return np.zeros(len(work.candidates))
    limit = limit_for(len(rows))
    free = 1.0 - np.einsum("ri,ij,rj->r", rows, work.covariance, rows)
    sizes = np.array([work.candidates[i].size for i in work.taken])
    weak = np.array([smallest_outlier(s, f, limit) > outlier for s, f in zip(sizes, free, strict=True)])
    if not weak.any():
        return np.zeros(len(work.candidates))
    through = work.slope @ work.covariance
    own = np.einsum("ci,ci->c", through, work.slope)
    return ((through @ rows[weak].T) ** 2).sum(axis=1) / (1.0 + own)


def _best(work: _Work, worths: Floats) -> int | None:
    """The worthiest candidate that a tape can take, or None where none is worth anything."""
    for i in np.argsort(-worths, kind="stable"):
        if worths[i] <= 1e-6:
            return None
        if int(i) in work.open:
            if clear(work, int(i)):
                return int(i)
            work.open.discard(int(i))
    return None


def clear(work: _Work, i: int) -> bool:
    """Whether a straight tape between the candidate's marks passes every tube."""
    r, net = work.candidates[i], work.net
    a, b = net.points[net.index[r.a]], net.points[net.index[r.b]]
    return tape_clear(work.tubes, a, b)


def tape_clear(tubes: Strands, a: Floats, b: Floats) -> bool:
    """Whether the straight from ``a`` to ``b`` (3,) passes every tube."""
    n = len(tubes.start)
    p, q = closest_between_segments(np.tile(a, (n, 1)), np.tile(b, (n, 1)), tubes.start, tubes.stop)
    return bool((np.sqrt(((p - q) ** 2).sum(axis=1)) > tubes.radius - GRAZE).all())


def _take(work: _Work, i: int, why: str) -> Choice:
    before = float(np.trace(work.marks @ work.covariance))
    through = work.covariance @ work.slope[i]
    work.covariance = work.covariance - np.outer(through, through) / (1.0 + float(work.slope[i] @ through))
    after = float(np.trace(work.marks @ work.covariance))
    work.taken.append(i)
    work.open.discard(i)
    count = max(len(work.net.marks), 1)
    gain = float(np.sqrt(max(before, 0.0) / count) - np.sqrt(max(after, 0.0) / count))
    return Choice(reading=work.candidates[i], why=why, gain=gain)


def _unsharp(work: _Work, wanted: set[int]) -> float:
    """The worst standard deviation among the bodies' middles and turns, mm at the arm of their marks."""
    worst = 0.0
    for k in wanted:
        block = slice(6 * k, 6 * k + 6)
        mine = work.net.body == k
        if mine.any():
            share = np.trace(work.marks[block, block] @ work.covariance[block, block]) / mine.sum()
            worst = max(worst, float(np.sqrt(max(share, 0.0))))
    return worst


def _diagonals(work: _Work, wanted: set[int]) -> list[Choice]:
    """Both diagonals of the rectangle of left and right marks that says most, taken together."""
    pair = {frozenset((r.a, r.b)): i for i, r in enumerate(work.candidates)}
    twins = _twins(work.net)
    worths, best, found = _worths(work), 0.0, None
    for (a, a2), (b, b2) in combinations(twins, 2):
        i, j = pair.get(frozenset((a, b2))), pair.get(frozenset((a2, b)))
        if i is None or j is None or worths[i] + worths[j] <= best:
            continue
        if clear(work, i) and clear(work, j):
            best, found = float(worths[i] + worths[j]), (i, j)
    return [] if found is None else [_take(work, i, "diagonal") for i in found]


def _twins(net: Network) -> list[tuple[str, str]]:
    """Names of marks, left and right, that mirror each other in the car's centre plane within 2 mm."""
    left = np.flatnonzero(net.points[:, 1] < -50.0)
    out: list[tuple[str, str]] = []
    for i in left:
        away = np.abs(net.points - net.points[i] * np.array([1.0, -1.0, 1.0])).max(axis=1)
        j = int(np.argmin(away))
        if away[j] < 2.0:
            out.append((net.marks[i].name, net.marks[j].name))
    return out


def as_planned(net: Network, reading: Reading) -> float:
    """What the plan says the reading should be, mm or rad."""
    return float(predicted(rows_of(net, [reading]), placed(net, np.zeros((len(net.bodies), 6))))[0])
