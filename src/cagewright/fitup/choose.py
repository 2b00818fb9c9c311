"""As few readings as place every tube to the wanted +- and would show a slip in any one of them.

The places' covariance C shrinks by one reading with slopes a over its size by C a a' C / (1 + a' C a) (the
rank-one update of Sherman and Morrison, Ann. Math. Stat. 21 (1950) 124, from memory). Taken one at a time:
first what brings the marks' variances nearest to the wanted one, then what brings the readings' redundancy
nearest to the least at which a slip shows (``base.outliers``); what proves needless is left out again. Good,
not proved fewest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from scipy.special import ndtri

from cagewright.base.outliers import POWER, limit_for
from cagewright.base.vectors import UP
from cagewright.fitup.network import (
    AXES,
    SIZES,
    Floats,
    Ints,
    Kind,
    Network,
    Reading,
    placed,
    predicted,
    rows_of,
    slopes,
    slopes_of_places,
)
from cagewright.shape.closest import closest_between_segments
from cagewright.shape.mesh import Mesh, crossings
from cagewright.shape.overlaps import Strands, strands
from cagewright.shape.types import Cage

SHORTEST, LONGEST = 150.0, 3500.0
"""Tape distances worth taking, mm: common practice, no source."""
GRAZE = 3.0
"""A tape may press this far into a tube it runs along, mm."""
OFF_THE_WALL = 15.0
"""A tape's ends may stand this near to the body, mm; the rest of it must not pass through."""
SURE = 1.96
"""Standard deviations of a 95 % range to either side."""
WANTED = 3.0
"""Wanted 95 % range of every mark either side, back, across and up, mm: what ends are pulled to."""
SLIP = 10.0
"""A slip of this size in any one reading has to show, mm; in a lean as many standard deviations."""
MOST = 60
MARKS_OF_ONE, MARKS_HELD, MANY = 8, 24, 10
"""At most this many marks of one body (half as many where bodies are many) and of what is held are tried."""
ALONE = 1e-6
"""What a reading brings that is less than this brings nothing."""
STEEP, FLAT = 0.7, 0.1
"""Rise over length from which a plumb is put on a straight of a tube, and up to which a level is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One reading worth taking.

    Attributes:
        reading: with what the plan says it should read.
        why: in words.
        leaves: 95 % range to either side of the least sure mark once it is taken, mm.
    """

    reading: Reading
    why: str
    leaves: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tapes:
    """What stands in a tape's way: tubes that are there, and the body as far as it is known."""

    tubes: Strands
    body: Mesh | None


@dataclass(slots=True, kw_only=True)
class _Work:
    """Candidates with slopes over size (c, 6k), marks' slopes (q, 6k), prior and covariance (6k, 6k)."""

    net: Network
    tapes: Tapes
    candidates: list[Reading]
    slope: Floats
    marks: Floats
    prior: Floats
    covariance: Floats
    taken: list[int]
    open: Floats


def tapes_of(net: Network, cage: Cage, body: Mesh | None = None) -> Tapes:
    """What stands in a tape's way at a step.

    Args:
        net: whose tubes are there.
        cage: their shape.
        body: as far as it is known.
    """
    names = {m for b in net.bodies for m in b.members} | {m.member for m in net.marks if m.member}
    there = [m for m in cage.members if m.name in names]
    return Tapes(tubes=strands([m.path for m in there], [m.tube.radius for m in there]), body=body)


def choose_readings(
    net: Network, tapes: Tapes, *, of: Sequence[str] = (), wanted: float = WANTED, slip: float = SLIP,
    most: int = MOST,
) -> tuple[Choice, ...]:  # fmt: skip
    """Readings to take, in the order of their worth.

    Args:
        net: bodies and marks.
        tapes: what stands in a tape's way.
        of: bodies to be found; all that can move where empty.
        wanted: 95 % range of each of their marks to either side, mm.
        slip: what has to show in every reading, mm.
        most: at most this many readings.
    """
    work = _work(net, tapes, _bodies_named(net, of))
    while len(work.taken) < most and (best := _best(work, _pinning(work, wanted))) is not None:
        _take(work, best)
    while len(work.taken) < most and (best := _best(work, _checking(work, slip))) is not None:
        _take(work, best)
    return _in_order(work, _needed(work, wanted, slip), wanted)


def most_helpful(
    net: Network, tapes: Tapes, readings: Sequence[Reading], state: Floats, *, of: Sequence[str] = (),
    count: int = 3,
) -> tuple[Choice, ...]:  # fmt: skip
    """The further readings that would sharpen the adjusted places most.

    Args:
        net: bodies and marks.
        tapes: what stands in a tape's way.
        readings: taken so far.
        state: (k, 6) as adjusted.
        of: bodies to be found; all that can move where empty.
        count: how many.
    """
    work = _work(net, tapes, _bodies_named(net, of), state)
    done = {(r.kind, frozenset((r.a, r.b)), r.axis) for r in readings}
    for i, r in enumerate(work.candidates):
        work.open[i] = (r.kind, frozenset((r.a, r.b)), r.axis) not in done
    rows = rows_of(net, readings)
    slope = slopes(net, rows, state) / rows.size[:, None]
    work.covariance = np.asarray(np.linalg.inv(np.linalg.inv(work.covariance) + slope.T @ slope), float)
    chosen: list[Choice] = []
    while len(chosen) < count and (best := _best(work, _pinning(work, 0.0))) is not None:
        _take(work, best)
        chosen.append(Choice(reading=work.candidates[best], why="sharpens most", leaves=_least_sure(work)))
    return tuple(chosen)


def sure_of(net: Network, covariance: Floats, state: Floats | None = None) -> dict[str, float]:
    """95 % range to either side of every moving tube's least sure mark, back, across or up, mm.

    Args:
        net: bodies and marks.
        covariance: (6k, 6k) of the bodies' numbers.
        state: (k, 6) as adjusted; as planned where not given.
    """
    state = np.zeros((len(net.bodies), 6)) if state is None else state
    of_place, out = slopes_of_places(net, state), dict[str, float]()
    for i, mark in enumerate(net.marks):
        k = int(net.body[i])
        if k >= 0 and mark.member:
            block = covariance[6 * k : 6 * k + 6, 6 * k : 6 * k + 6]
            worst = float(np.sqrt(np.diag(of_place[i] @ block @ of_place[i].T).max()))
            out[mark.member] = max(out.get(mark.member, 0.0), SURE * worst)
    return out


def covariance_with(net: Network, readings: Sequence[Reading]) -> Floats:
    """(6k, 6k) covariance of the bodies' numbers once those are read, as planned."""
    rows = rows_of(net, readings)
    slope = slopes(net, rows, np.zeros((len(net.bodies), 6))) / rows.size[:, None]
    return np.asarray(np.linalg.inv(net.prior + slope.T @ slope), float)


def as_planned(net: Network, reading: Reading) -> float:
    """What the plan says the reading should be, mm or rad."""
    return float(predicted(rows_of(net, [reading]), placed(net, np.zeros((len(net.bodies), 6))))[0])


# --- what could be read


def _bodies_named(net: Network, of: Sequence[str]) -> set[int]:
    if not of:
        return set(range(len(net.bodies)))
    return {k for k, b in enumerate(net.bodies) if b.name in of or set(b.members) & set(of)}


def _work(net: Network, tapes: Tapes, wanted: set[int], state: Floats | None = None) -> _Work:
    state = np.zeros((len(net.bodies), 6)) if state is None else state
    candidates = _candidates(net, wanted)
    rows = rows_of(net, candidates)
    of_place = slopes_of_places(net, state)
    marks = np.zeros((len(net.points), 3, len(net.bodies), 6))
    for i, k in enumerate(net.body):
        if int(k) in wanted:
            marks[i, :, k] = of_place[i]
    prior = np.asarray(np.linalg.inv(net.prior), float)
    return _Work(
        net=net, tapes=tapes, candidates=candidates, slope=slopes(net, rows, state) / rows.size[:, None],
        marks=marks[np.isin(net.body, list(wanted))].reshape(-1, 6 * len(net.bodies)), prior=prior,
        covariance=prior, taken=[], open=np.ones(len(candidates)),
    )  # fmt: skip


def _candidates(net: Network, wanted: set[int]) -> list[Reading]:
    few = _few(net)
    both = [
        (i, j)
        for i, j in combinations(few, 2)
        if net.body[i] != net.body[j] and (int(net.body[i]) in wanted or int(net.body[j]) in wanted)
    ]
    bench = not np.allclose(net.up, UP)
    levels = [_blank(net, "level", i, j, 2) for i, j in both] if bench else _levels(net, wanted)
    blanks = [*(_blank(net, "tape", i, j) for i, j in both), *levels]
    planned = predicted(rows_of(net, blanks), net.points) if blanks else ()
    found = (replace(r, seen=float(seen)) for r, seen in zip(blanks, planned, strict=True))
    return [r for r in found if r.kind != "tape" or SHORTEST <= r.seen <= LONGEST]


def _blank(net: Network, kind: Kind, i: int, j: int, axis: int = -1) -> Reading:
    a, b = net.marks[i].name, net.marks[j].name
    lean = f"lean of {a} to {b}, {AXES[axis]}"
    name = {"tape": f"{a} to {b}", "level": f"level of {a} to {b}"}.get(kind, lean)
    return Reading(name=name, kind=kind, a=a, b=b, axis=axis, seen=0.0, size=size_of(net, kind, i, j))


def size_of(net: Network, kind: Kind, *marks: int) -> float:
    """Standard deviation of a reading between those marks, mm or rad: the tape's and the marks' own."""
    return float(np.sqrt(SIZES[kind] ** 2 + sum(net.marks[i].known ** 2 for i in marks if kind != "lean")))


def _levels(net: Network, wanted: set[int]) -> list[Reading]:
    """A level along each flat straight with marks at both its ends, a plumb both ways on each upright one."""
    out: list[Reading] = []
    for member in dict.fromkeys(m.member for m in net.marks if m.member):
        for i, j in _straights(net, member):
            if int(net.body[i]) not in wanted:
                continue
            gap = net.points[j] - net.points[i]
            rise = abs(float(gap[2])) / float(np.sqrt(gap @ gap))
            low, high = (i, j) if gap[2] > 0.0 else (j, i)
            if rise < FLAT:
                out.append(_blank(net, "level", i, j, 2))
            elif rise > STEEP:
                out += [_blank(net, "lean", low, high, axis) for axis in (0, 1)]
    return out


def _straights(net: Network, member: str) -> list[tuple[int, int]]:
    """Marks at both ends of the member's first and last straight."""
    bends = sum(m.member == member and m.name.endswith("a") and ".bend" in m.name for m in net.marks)
    names = [("start", "bend1a"), (f"bend{bends}b", "end")] if bends else [("start", "end")]
    pairs = [(net.index.get(f"{member}.{a}"), net.index.get(f"{member}.{b}")) for a, b in names]
    return [(a, b) for a, b in pairs if a is not None and b is not None]


def _few(net: Network) -> list[int]:
    """Marks tried: of each body those furthest from each other."""
    out: list[int] = []
    each = MARKS_OF_ONE // 2 if len(net.bodies) > MANY else MARKS_OF_ONE
    for k in range(-1, len(net.bodies)):
        mine = np.flatnonzero(net.body == k)
        out += _spread(net.points, mine, MARKS_HELD if k < 0 else each)
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


# --- what each would bring


def _pinning(work: _Work, wanted: float) -> Floats:
    """(c,) how much nearer each candidate brings the marks' variances to the wanted one, mm2."""
    through = work.slope @ work.covariance
    own = np.einsum("ci,ci->c", through, work.slope)
    now = np.einsum("qi,ij,qj->q", work.marks, work.covariance, work.marks)
    then = now - (through @ work.marks.T) ** 2 / (1.0 + own)[:, None]
    most = (wanted / SURE) ** 2
    return np.maximum(now - most, 0.0).sum() - np.maximum(then - most, 0.0).sum(axis=1)


def least_checked(count: int, slip: float) -> float:
    """The redundancy, 0 to 1, at which a slip of that many standard deviations shows in one of ``count``."""
    return min(((limit_for(count) + float(ndtri(POWER))) / slip) ** 2, 0.9)


def _checking(work: _Work, slip: float) -> Floats:
    """(c,) how much nearer each candidate brings the redundancy of all to the least at which a slip shows."""
    rows = work.slope[work.taken]
    through = work.slope @ work.covariance
    own = np.einsum("ci,ci->c", through, work.slope)
    now = np.einsum("ri,ij,rj->r", rows, work.covariance, rows)
    then = now - (through @ rows.T) ** 2 / (1.0 + own)[:, None]
    want = 1.0 - _least(work, work.taken, slip)
    new = 1.0 - _least(work, range(len(work.candidates)), slip)
    hidden = np.maximum(then - want, 0.0).sum(axis=1) + np.maximum(own / (1.0 + own) - new, 0.0)
    return np.maximum(now - want, 0.0).sum() - hidden


def _least(work: _Work, which: Sequence[int], slip: float) -> Floats:
    """The redundancy each of those readings should have, by its own size."""
    sizes = np.array([_slip_size(work.candidates[i]) for i in which])
    return np.array([least_checked(len(work.taken) + 1, slip / s) for s in sizes])


def _slip_size(reading: Reading) -> float:
    """Standard deviation, mm; of a lean in tape's standard deviations."""
    return 1.0 if reading.kind == "lean" else reading.size


def _best(work: _Work, worths: Floats) -> int | None:
    """The worthiest candidate that a tape can take, or None where none is worth anything."""
    for i in np.argsort(-worths * work.open, kind="stable"):
        if worths[i] * work.open[i] <= ALONE:
            return None
        if _can_be_read(work, int(i)):
            return int(i)
        work.open[i] = 0.0
    return None


def _can_be_read(work: _Work, i: int) -> bool:
    r, net = work.candidates[i], work.net
    return r.kind != "tape" or tape_clear(work.tapes, net.points[net.index[r.a]], net.points[net.index[r.b]])


def tape_clear(tapes: Tapes, a: Floats, b: Floats) -> bool:
    """Whether the straight from ``a`` to ``b`` (3,) passes every tube, and the body as far as it is known."""
    n = len(tapes.tubes.start)
    p, q = closest_between_segments(
        np.tile(a, (n, 1)), np.tile(b, (n, 1)), tapes.tubes.start, tapes.tubes.stop
    )
    if not bool((np.sqrt(((p - q) ** 2).sum(axis=1)) > tapes.tubes.radius - GRAZE).all()):
        return False
    way = (b - a) / max(float(np.sqrt((b - a) @ (b - a))), 1e-9) * OFF_THE_WALL
    return tapes.body is None or not crossings(tapes.body, (a + way)[None], (b - way)[None]).any()


def _take(work: _Work, i: int) -> None:
    through = work.covariance @ work.slope[i]
    work.covariance = work.covariance - np.outer(through, through) / (1.0 + float(work.slope[i] @ through))
    work.taken.append(i)
    work.open[i] = 0.0


def _with(work: _Work, taken: Sequence[int]) -> Floats:
    rows = work.slope[list(taken)]
    return np.asarray(np.linalg.inv(work.net.prior + rows.T @ rows), float)


def _short_by(work: _Work, taken: Sequence[int], wanted: float, slip: float) -> tuple[float, float]:
    """How far those readings are from the wanted +- (mm2, summed), and from showing a slip (summed)."""
    covariance, rows = _with(work, taken), work.slope[list(taken)]
    marks = np.einsum("qi,ij,qj->q", work.marks, covariance, work.marks)
    lever = np.einsum("ri,ij,rj->r", rows, covariance, rows)
    hidden = np.maximum(lever - 1.0 + _least(work, taken, slip), 0.0).sum()
    return float(np.maximum(marks - (wanted / SURE) ** 2, 0.0).sum()), float(hidden)


def _needed(work: _Work, wanted: float, slip: float) -> list[int]:
    """The readings taken, less those without which the rest do as well."""
    left = list(work.taken)
    unsure, hidden = _short_by(work, left, wanted, slip)
    for i in reversed(work.taken):
        rest = [t for t in left if t != i]
        short = _short_by(work, rest, wanted, slip) if rest else (np.inf, np.inf)
        if short[0] <= unsure + ALONE and short[1] <= hidden + ALONE:
            left = rest
    return left


def _in_order(work: _Work, needed: Sequence[int], wanted: float) -> tuple[Choice, ...]:
    """Those readings, what pins most first, with the +- that each leaves."""
    work.taken, work.covariance, left = [], work.prior, list(needed)
    out: list[Choice] = []
    while left:
        worths = _pinning(work, wanted)
        why = "pins the tubes" if worths[left].max() > ALONE else "shows a slip"
        best = max(left, key=lambda i: worths[i])
        left.remove(best)
        _take(work, best)
        out.append(Choice(reading=work.candidates[best], why=why, leaves=_least_sure(work)))
    return tuple(out)


def _least_sure(work: _Work) -> float:
    marks = np.einsum("qi,ij,qj->q", work.marks, work.covariance, work.marks)
    return SURE * float(np.sqrt(max(marks.max(initial=0.0), 0.0)))
