"""Bars to buy and what to cut from each: every way to fill a bar is a column, and HiGHS picks among them.

Sizes and bars are whole steps, the saw's kerf counted into both.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import bmat, csr_array, identity

COLUMNS = 12_000
"""Most columns: a job with more ways to fill its bars is given those that shuffled first fits come to."""
TRIED = 120_000
"""Most fillings looked at for the columns, full or not."""
SHUFFLES = 600
NODES = 500
"""Nodes of a search; a limit of time would give another answer on another day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BarKind:
    """A kind of bar: its size in steps, what one costs, and how many there are (None: any number)."""

    size: int
    cost: float
    limit: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingJob:
    """What is to be cut: sizes in steps, each once, how many of each, and the kinds of bar."""

    sizes: tuple[int, ...]
    demand: tuple[int, ...]
    kinds: tuple[BarKind, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """One bar: its kind's index and how many of each size are cut from it."""

    kind: int
    counts: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SolvedPatterns:
    """The bars of a job.

    Attributes:
        bars: one for each bar.
        cost: of all.
        bound: no bars that place as much cost less.
        proved: the cost is the least there is.
        rests_proved: besides, the most is cut from limited bars, and then the longest single rest is left.
        unplaced: how many of each size no bar takes.
    """

    bars: tuple[Pattern, ...]
    cost: float
    bound: float
    proved: bool
    rests_proved: bool
    unplaced: tuple[int, ...]


def solve(job: CuttingJob, *, rests: bool = True) -> SolvedPatterns:
    """As much as can be placed, for the least; then most on limited bars; then the longest single rest.

    Columns of unlimited bars are filled as far as they go and may hold more than is wanted; those of limited
    ones are every way to fill them, and hold no more than is wanted. The one bar that keeps the rest is free
    (its own counts), where it is an unlimited one.

    Args:
        job: what is to be cut.
        rests: look for the longest rest too, which takes longest.
    """
    columns, whole = _columns(job)
    model = _Model(job, columns)
    ends = [model.minimise(model.unplaced)]
    floor = 0.0 if model.left().any() else _floor(job)
    racked = model.minimise(-model.racked, under=(model.cost, floor))
    least, bound = floor, floor  # as a rule: then the least need not be searched for
    if racked is None:
        least, bound = model.minimise(model.cost) or (floor, floor)
        bound = bound if whole else floor
        racked = model.minimise(-model.racked)
    ends += [(least, bound), racked]
    ends += [model.minimise(-model.rest, free_rest=True)] if rests else [None]
    sure = [end is not None and end[0] - end[1] <= 1e-6 * max(abs(end[0]), 1.0) for end in ends]
    return SolvedPatterns(
        bars=model.bars(), cost=least, bound=min(bound, least), proved=sure[1],
        rests_proved=whole and all(sure), unplaced=tuple(model.left().tolist()),
    )  # fmt: skip


def _floor(job: CuttingJob) -> float:
    """What cannot be undercut: the rack filled to its last step, the rest at the best price for a step.

    With one length on sale, whole bars of it.
    """
    sold = [k for k in job.kinds if k.limit is None]
    racked = sum(k.size * k.limit for k in job.kinds if k.limit is not None)
    wanted = max(sum(s * n for s, n in zip(job.sizes, job.demand, strict=True)) - racked, 0)
    if len(sold) == 1:
        return sold[0].cost * -(-wanted // sold[0].size)
    return min((k.cost / k.size for k in sold), default=0.0) * wanted


def _columns(job: CuttingJob) -> tuple[list[Pattern], bool]:
    """The ways to fill the bars, and whether they are all there are."""
    found: list[Pattern] = []
    tried = 0
    for kind, bar in enumerate(job.kinds):
        for counts, left in _fillings(job, bar.size):
            tried += 1
            if any(counts) and (bar.limit is not None or _full(job, counts, left)):
                found.append(Pattern(kind=kind, counts=counts))
            if len(found) > COLUMNS or tried > TRIED:
                return _first_fits(job), False
    return found, True


def _full(job: CuttingJob, counts: tuple[int, ...], left: int) -> bool:
    rows = zip(counts, job.demand, job.sizes, strict=True)
    return all(n >= wanted or size > left for n, wanted, size in rows)


def _fillings(job: CuttingJob, room: int, i: int = 0) -> Iterator[tuple[tuple[int, ...], int]]:
    """Every way to fill ``room`` steps with the sizes from ``i`` on, and what is left."""
    if i == len(job.sizes):
        yield (), room
        return
    for n in range(min(job.demand[i], room // job.sizes[i]), -1, -1):
        for counts, left in _fillings(job, room - n * job.sizes[i], i + 1):
            yield (n, *counts), left


def _first_fits(job: CuttingJob) -> list[Pattern]:
    """What first fits by falling size, and in shuffled orders, put on the bars of each kind."""
    items = [i for i, n in enumerate(job.demand) for _ in range(n)]
    shuffled, found = random.Random(1), dict[Pattern, None]()
    for _ in range(SHUFFLES):
        for kind, bar in enumerate(job.kinds):
            bins = list[tuple[list[int], list[int]]]()  # what each holds, and the room that is left in it
            for i in (i for i in items if job.sizes[i] <= bar.size):
                if not any(room[0] >= job.sizes[i] for _, room in bins):
                    bins.append(([0] * len(job.sizes), [bar.size]))
                counts, room = next(b for b in bins if b[1][0] >= job.sizes[i])
                counts[i] += 1
                room[0] -= job.sizes[i]
            found |= {Pattern(kind=kind, counts=tuple(counts)): None for counts, _ in bins}
        shuffled.shuffle(items)
    return list(found)


class _Model:
    """The program: columns, pieces left over, and the bar that keeps the rest, which is free at last.

    Variables: how often each column is cut; of each size how many are left over; of each kind whether the
    free bar is one; what the free bar holds; whether each column of a limited kind keeps the rest.
    """

    def __init__(self, job: CuttingJob, columns: list[Pattern]) -> None:
        self._job, self._columns = job, columns
        sizes, self._demand = np.array(job.sizes, float), np.array(job.demand, float)
        kind = np.array([p.kind for p in columns], int)
        held = np.array([p.counts for p in columns], float).reshape(len(columns), len(sizes))
        room, costs = (np.array([getattr(b, key) for b in job.kinds], float) for key in ("size", "cost"))
        self._limited = np.array([b.limit is not None for b in job.kinds])
        on_rack, (rack,) = self._limited[kind].astype(float), np.nonzero(self._limited[kind])
        used, each = held @ sizes, np.eye(len(job.kinds))
        nothing = [np.zeros(n) for n in (len(columns), len(sizes), len(room), len(sizes), len(rack))]
        self._kept = len(rack)
        self._parts = np.cumsum([len(part) for part in nothing])[:-1]

        def goal(**parts: NDArray[np.float64]) -> NDArray[np.float64]:
            named = dict(zip(("cut", "left", "free", "holds", "keeps"), nothing, strict=True))
            return np.concatenate(list((named | parts).values()))

        self.unplaced = goal(left=sizes.sum() + sizes)
        self.cost = goal(cut=costs[kind], free=costs)
        self.racked = goal(cut=on_rack * used)
        self.rest = goal(free=room, holds=-sizes, keeps=(room[kind] - used)[rack])
        one, limits = np.eye(len(sizes)), [np.inf if b.limit is None else b.limit for b in job.kinds]
        rows = bmat([
            [held.T, one, None, one, None],  # everything is cut or left over
            [(held * on_rack[:, None]).T, None, None, None, None],
            [each[:, kind], None, None, None, None],
            [None, None, -room[None], sizes[None], None],  # the free bar holds no more than its room
            [None, None, np.ones((1, len(room))), None, np.ones((1, len(rack)))],
            [-identity(len(columns)).tocsr()[rack], None, None, None, identity(len(rack))],
        ])
        high = [np.full(len(sizes), np.inf), self._demand, limits, [0.0, 1.0], np.zeros(len(rack))]
        low = np.full(sum(map(len, high)), -np.inf)
        low[: len(sizes)] = self._demand
        self._rows = [LinearConstraint(csr_array(rows), low, np.concatenate(high))]

    def minimise(
        self,
        goal: NDArray[np.float64],
        *,
        under: tuple[NDArray[np.float64], float] | None = None,
        free_rest: bool = False,
    ) -> tuple[float, float] | None:
        """The goal's least value, which is held from then on, and its bound.

        Args:
            goal: what is made least.
            under: another goal and what it may be at most; None comes back where that cannot be met.
            free_rest: one bar is free to keep the rest.
        """
        loose = float(free_rest)
        high = [
            np.full(len(self._columns), np.inf), self._demand, loose * ~self._limited, loose * self._demand,
            np.full(self._kept, loose),
        ]  # fmt: skip
        limit = [] if under is None else [_at_most(*under)]
        found = milp(goal, constraints=[*self._rows, *limit], integrality=np.ones(len(goal)),
                     bounds=Bounds(0.0, np.concatenate(high)),
                     options={"mip_rel_gap": 0.0, "node_limit": NODES, "presolve": False})  # fmt: skip
        if found.x is None and under is not None:
            return None
        if found.x is not None:  # else the search ran out before it met a plan, and the last one stands
            self._counts = np.split(np.round(found.x).astype(int), self._parts)
        value = float(goal @ np.concatenate(self._counts))
        self._rows += [*limit, _at_most(goal, value)]
        return value, value if found.status == 0 else float(found.mip_dual_bound or -np.inf)

    def left(self) -> NDArray[np.int64]:
        """How many of each size no bar takes."""
        return self._counts[1]

    def bars(self) -> tuple[Pattern, ...]:
        """The bars, with what unlimited ones hold beyond what is wanted taken out of them."""
        cut, left, free, holds, _ = self._counts
        made = [(p.kind, list(p.counts)) for p, n in zip(self._columns, cut, strict=True) for _ in range(n)]
        made += [(int(k), holds.tolist()) for k in np.flatnonzero(free)]
        over = np.sum([counts for _, counts in made], axis=0) - (self._demand.astype(int) - left)
        for kind, counts in made:
            for i in range(len(counts)) if not self._limited[kind] else ():
                out = min(counts[i], int(over[i]))
                counts[i] -= out
                over[i] -= out
        return tuple(Pattern(kind=k, counts=tuple(counts)) for k, counts in made if any(counts))


def _at_most(goal: NDArray[np.float64], most: float) -> LinearConstraint:
    return LinearConstraint(goal, -np.inf, most + 1e-6 * max(abs(most), 1.0))
