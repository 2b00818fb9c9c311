"""As few readings as place every tube to the wanted +- and would show a slip in any one of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from cagewright.base.vectors import UP
from cagewright.fitup.fewest import SURE, Choosing, choosing, fewest, sharpening
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
WANTED = 3.0
"""Wanted 95 % range of every mark either side, back, across and up, mm: what ends are pulled to."""
SLIP = 10.0
"""A slip of this size in any one reading has to show, mm; in a lean as many standard deviations."""
MOST = 60
MARKS_OF_ONE, MARKS_HELD, MANY = 8, 24, 10
"""At most this many marks of one body (half as many where bodies are many) and of what is held are tried."""
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
    candidates, work = _work(net, tapes, _bodies_named(net, of), slip=slip)
    return tuple(
        Choice(reading=candidates[t.row], why=t.why, leaves=t.leaves)
        for t in fewest(work, wanted=wanted, most=most)
    )


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
    candidates, work = _work(net, tapes, _bodies_named(net, of), state)
    done = {(r.kind, frozenset((r.a, r.b)), r.axis) for r in readings}
    for i, r in enumerate(candidates):
        work.open[i] = (r.kind, frozenset((r.a, r.b)), r.axis) not in done
    rows = rows_of(net, readings)
    slope = slopes(net, rows, state) / rows.size[:, None]
    work.covariance = np.asarray(np.linalg.inv(np.linalg.inv(work.covariance) + slope.T @ slope), float)
    return tuple(
        Choice(reading=candidates[t.row], why=t.why, leaves=t.leaves) for t in sharpening(work, count)
    )


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


def _work(
    net: Network, tapes: Tapes, wanted: set[int], state: Floats | None = None, *, slip: float = SLIP
) -> tuple[list[Reading], Choosing]:
    """What could be read, and the same as slopes."""
    state = np.zeros((len(net.bodies), 6)) if state is None else state
    candidates = _candidates(net, wanted)
    rows = rows_of(net, candidates)
    of_place = slopes_of_places(net, state)
    marks = np.zeros((len(net.points), 3, len(net.bodies), 6))
    for i, k in enumerate(net.body):
        if int(k) in wanted:
            marks[i, :, k] = of_place[i]

    def can(i: int) -> bool:
        r = candidates[i]
        a, b = (net.points[net.index[name or r.a]] for name in (r.a, r.b))
        return r.kind != "tape" or tape_clear(tapes, a, b)

    return candidates, choosing(
        slopes(net, rows, state) / rows.size[:, None],
        # of a lean the slip is told in standard deviations
        slip / np.array([1.0 if r.kind == "lean" else r.size for r in candidates]),
        marks[np.isin(net.body, list(wanted))].reshape(-1, 6 * len(net.bodies)),
        net.prior,
        can,
    )


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
