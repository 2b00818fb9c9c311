"""Which freedom a tube lacks that does not come to its gap: bends, reach, a tighter die."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from cagewright.base.vectors import length
from cagewright.draft.tighten import ROUNDED, Loose, Surroundings, axis_points, tightened
from cagewright.shape.closest import closest_on_segments
from cagewright.shape.types import Array

OFF = 5.0
"""A place that is no further than this from the gap wanted lies as wanted, mm."""
MOST = 0.9
"""A tube of which so much lies as wanted lacks nothing but for its worst place."""
WORTH, PART = 2.0, 0.02
"""A freedom is told that brings the worst place so much nearer, mm, or such a part of the tube to its gap."""
ROUGH = 0.1
"""What is only told is looked for so closely, mm2."""
SOME = 3
"""A bend more is tried in so many of a tube's straights, those along which the most is off."""
TIGHT = 0.6
"""The bend radius that is tried in place of the tube's own, as a share of it."""
AT_END = 60.0
"""A worst place so near to an end of the tube goes where its end does, mm."""

Freed = Literal["bends", "reach", "radius", "end", "nothing"]
"""Bends, reach, tighter bends, its end, which stays; nothing that was tried helps."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """How a tube lies where it follows the body.

    Attributes:
        share: of its length there that is no further than ``OFF`` from the gap wanted, 0 to 1.
        worst: how far its worst place is off, mm.
        at: (3,) that place on its axis, mm.
        off: (n - 1,) how far all that is off between each two of its places is, summed, mm.
        least: gap wherever it must stay clear, mm.
    """

    share: float
    worst: float
    at: Array
    off: Array
    least: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lack:
    """What would bring a tube nearer to its gap.

    Attributes:
        freed: what it lacks.
        between: the two places, from 1, between which each bend more is.
        tube: the tube with that freedom, as it would then lie.
        now: how it lies without.
        then: and with it.
    """

    freed: Freed
    between: tuple[tuple[int, int], ...] = ()
    tube: Loose
    now: Near
    then: Near


def missing_freedom(
    tube: Loose, places: Array, body: Surroundings, *, target: float, least: float
) -> Lack | None:
    """What would bring the tube nearer to its gap, the cheapest that does.

    None where it lacks nothing, and where most of it lies as wanted and nothing that was tried helps.

    A bend more and twice the reach are tried first, then two bends, then bends tighter than its own.

    Args:
        tube: as it was before it moved.
        places: (n, 3) where it lies now, mm.
        body: what it shall follow and must not touch.
        target: gap wanted, mm.
        least: gap that is kept everywhere, mm.
    """
    here = replace(tube, places=places)
    now = near_of(here, body, target)
    if now.share >= MOST and now.worst <= OFF:
        return None

    def tried(trials: Iterable[_Trial]) -> list[Lack]:
        lacks: list[Lack] = []
        for freed, between, more in trials:
            found = tightened(more, body, target=target, least=least, rounds=1, close=ROUGH)
            lies = replace(more, places=found.places)
            then = near_of(lies, body, target)
            if then.least >= min(least, now.least) - ROUNDED:
                lacks.append(Lack(freed=freed, between=between, tube=lies, now=now, then=then))
        return lacks

    best = nothing = Lack(freed="nothing", tube=here, now=now, then=now)
    for widen in (_once, _twice, _tighter):
        one = max([best, *tried(widen(tube, here, best))], key=_rank)
        # more is asked of the builder at each turn: it must bring more than the last
        best = one if _brings(replace(one, now=best.then)) else best
        if _brings(best) and (best.then.share >= MOST or now.share >= MOST):
            break
    if _brings(best):
        return best
    ends = float(length(here.places[[0, -1]] - now.at).min())
    if ends < AT_END + 2.0 * tube.radius:
        return replace(nothing, freed="end")
    return nothing if now.share < MOST else None


def near_of(tube: Loose, body: Surroundings, target: float) -> Near:
    """How much of the tube lies as wanted where it follows the body, and its worst place."""
    points = axis_points(tube, tube.places)
    seen = body(points)
    if not seen.follows.any():
        return Near(share=1.0, worst=0.0, at=points[0], off=np.zeros(len(tube.places) - 1), least=np.inf)
    off = np.where(seen.follows, np.abs(seen.away - tube.radius - target), 0.0)
    share = float(np.mean(off[seen.follows] <= OFF))
    least = float((seen.away - tube.radius)[seen.counts | seen.follows].min())
    one, two, each = tube.places[:-1, None], tube.places[1:, None], points[None]
    straight = np.argmin(length(each - closest_on_segments(each, one, two)), axis=0)
    past, along = np.maximum(off - OFF, 0.0), np.zeros(len(tube.places) - 1)
    np.add.at(along, straight, past)
    worst = int(np.argmax(off))
    return Near(
        share=share, worst=float(off[worst]), at=points[worst], off=along.astype(np.float64), least=least
    )


def _rank(lack: Lack) -> tuple[float, float]:
    return min(lack.then.share, MOST), -lack.then.worst


def _brings(lack: Lack) -> bool:
    more = min(lack.then.share, MOST) - min(lack.now.share, MOST)
    nearer = lack.now.worst - lack.then.worst
    return more > PART or (nearer > WORTH and more > -PART)


_Trial = tuple[Freed, tuple[tuple[int, int], ...], Loose]


def _most_off(here: Loose, near: Near) -> list[int]:
    """The ``SOME`` straights along which the most is off; of a pair the one that stands for both."""
    last = len(near.off) - 1
    off = near.off + near.off[::-1] if is_paired(here) else near.off
    rows = [i for i in range(len(off)) if off[i] > 0.0 and (i <= last - i or not is_paired(here))]
    return sorted(sorted(rows, key=lambda i: -off[i])[:SOME])


def _once(tube: Loose, here: Loose, best: Lack) -> Iterator[_Trial]:
    """One bend more in each of the straights that it may help; twice the reach."""
    for i in _most_off(here, best.now):
        more = bent_at(here, i)
        if more is not None:
            yield "bends", ((i + 1, i + 2),), more
    yield "reach", (), replace(tube, reach=2.0 * tube.reach)


def _twice(tube: Loose, here: Loose, best: Lack) -> Iterator[_Trial]:
    """A second bend beside the best first one."""
    if best.freed != "bends":
        return
    first = best.between[0]
    for i in _most_off(here, best.now):
        one = bent_at(here, first[0] - 1)
        two = bent_at(one, i if i < first[0] else i + 1) if one is not None else None
        if two is not None:
            yield "bends", (first, (i + 1, i + 2)), two


def _tighter(tube: Loose, here: Loose, best: Lack) -> Iterator[_Trial]:
    """Bends tighter than its own."""
    yield "radius", (), replace(here, radii=tuple(TIGHT * r for r in here.radii))


def is_paired(tube: Loose) -> bool:
    """Whether its bends move in pairs, each with its mirror."""
    return bool((np.abs(tube.ways).any(axis=2).sum(axis=1) > 1).any())


def bent_at(tube: Loose, i: int) -> Loose | None:
    """The tube with a place more between i and i + 1, free as a neighbour is, and its mirror's; or None."""
    last = len(tube.places) - 2
    if not is_paired(tube):
        return _bent_at(tube, i)
    if i > last - i:
        return None  # its mirror stands for it
    one = _bent_at(tube, i)
    return one if one is None or 2 * i == last else _bent_at(one, last - i + 1)


def _bent_at(tube: Loose, i: int) -> Loose | None:
    neighbour = i if i > 0 else i + 1
    own = tube.ways[np.abs(tube.ways[:, neighbour]).any(axis=1), neighbour]
    if not len(own):
        return None
    middle = (tube.places[i] + tube.places[i + 1]) / 2.0
    ways = np.insert(tube.ways, i + 1, 0.0, axis=1)
    new = np.zeros((len(own), ways.shape[1], 3))
    new[:, i + 1] = own
    return replace(
        tube,
        places=np.insert(tube.places, i + 1, middle, axis=0),
        radii=(*tube.radii[: i + 1], tube.radii[neighbour], *tube.radii[i + 1 :]),
        ways=np.concatenate([ways, new]),
    )
