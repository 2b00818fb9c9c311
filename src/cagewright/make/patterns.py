"""The cutting-stock solver on whole numbers: which patterns, how often, proved or with the bound stated.

The fractional prices (``prices.py``) bound every whole answer from below. A pattern dearer than the gap
between that bound and an answer in hand is in no better answer, so the patterns within the gap are listed in
full and the choice among them is made by branch and bound (HiGHS), which proves it.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from itertools import chain, repeat

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, milp
from scipy.sparse import csr_array, vstack

from cagewright.make import prices as pr
from cagewright.make.prices import BarKind, Floats, Job, Pattern, Prices, used

__all__ = ["BarKind", "Job", "Pattern", "Solved", "first_fit", "solve", "used"]

Bars = tuple[Pattern, ...]
MOST_PATTERNS = 15_000
"""More patterns than this in the gap are not listed; the result then states its bound."""
NODES = 2_000
"""Branch-and-bound nodes a choice may take; a count, so that a paper comes out the same twice."""
RESTS = 1.0
"""Seconds at most for a better use of the rack and a longer rest once the cost is settled."""
ROUNDS = 12
"""Greedy answers tried at shaken prices."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """How a solve ended.

    Attributes:
        bars: one pattern per bar, pieces exactly as demanded.
        cost: of the bars.
        bound: no choice of bars costs less.
        proved: the cost is the bound.
        rests_proved: among all the cheapest choices, none cuts more from limited bars, and of those none
            keeps a longer rest.
    """

    bars: Bars
    cost: float
    bound: float
    proved: bool
    rests_proved: bool


def solve(job: Job, *, seconds: float = 4.0) -> Solved | None:
    """The cheapest bars for the job, or None where the pieces cannot all be cut.

    Among equally cheap choices the one that cuts most from the limited bars, then the one that leaves the
    longest single rest.

    Args:
        job: what is to be cut.
        seconds: after about this long the best so far is taken and its bound stated.
    """
    begin = time.monotonic()
    starts = _starts(job)
    pool = dict.fromkeys(chain.from_iterable(starts))
    prices = pr.generate(job, pool, begin + 0.5 * seconds)
    starts += _greedy(job, prices, pool, begin + 0.6 * seconds)
    found, bound, proved = _cheapest(job, pool, prices, starts, begin + 0.75 * seconds)
    if found is None:
        return None
    best, rests = _better_rests(job, pool, prices, found, time.monotonic() + min(0.25 * seconds, RESTS))
    cost = _cost(job, found)
    return Solved(bars=best, cost=cost, bound=bound, proved=proved, rests_proved=proved and rests)


def _cheapest(
    job: Job, pool: dict[Pattern, None], prices: Prices, answers: list[Bars], until: float
) -> tuple[Bars | None, float, bool]:
    """The cheapest bars, the bound, and whether the one is the other."""
    best = min(answers, key=lambda bars: _cost(job, bars), default=None)
    most = _cost(job, best) if best else sum(k.cost * (k.limit or len(pool)) for k in job.kinds)
    bound = pr.rounded_up(job, pr.floor(job, prices, most), most)
    if best is None or not _same(_cost(job, best), bound):
        chosen, _ = _choose(job, tuple(pool), bound, until)
        best = min((a for a in (best, chosen) if a is not None), key=lambda b: _cost(job, b), default=None)
    if best is None or _same(_cost(job, best), bound):
        return best, bound, best is not None
    best, proved = _close_gap(job, pool, prices, best, bound, until)
    return best, (_cost(job, best) if proved else bound), proved


def _same(cost: float, bound: float) -> bool:
    return cost - bound <= 1e-7 * max(1.0, abs(cost))


def _cost(job: Job, bars: Bars) -> float:
    return sum(job.kinds[b.kind].cost for b in bars)


# --- quick answers


def first_fit(job: Job, bought: int) -> Bars | None:
    """First-fit-decreasing bars, limited ones first, then kind ``bought``; None where any is left over."""
    left, bars = list(job.demand), list[Pattern]()
    order = sorted(range(len(job.sizes)), key=lambda i: -job.sizes[i])
    for k in _limited_first(job, bought):
        room, counts = job.kinds[k].size, [0] * len(left)
        for i in order:
            counts[i] = min(left[i], room // job.sizes[i])
            room -= counts[i] * job.sizes[i]
            left[i] -= counts[i]
        if any(counts):
            bars.append(_cheapest_kind(job, Pattern(kind=k, counts=tuple(counts))))
        elif k == bought:
            return None
        if not any(left):
            break
    return tuple(bars)


def _limited_first(job: Job, bought: int) -> chain[int]:
    limited = (k for k, kind in enumerate(job.kinds) for _ in range(kind.limit or 0))
    return chain(limited, repeat(bought))


def _cheapest_kind(job: Job, bar: Pattern) -> Pattern:
    """The same pieces from the cheapest bought kind that holds them; a limited bar stays as it is."""
    if job.kinds[bar.kind].limit is not None:
        return bar
    fits = [k for k, kind in enumerate(job.kinds) if kind.limit is None and kind.size >= used(job, bar)]
    return Pattern(kind=min(fits, key=lambda k: job.kinds[k].cost), counts=bar.counts)


def _bought(job: Job) -> list[int]:
    return [k for k, kind in enumerate(job.kinds) if kind.limit is None]


def _starts(job: Job) -> list[Bars]:
    """Every first-fit answer."""
    return [bars for k in _bought(job) if (bars := first_fit(job, k)) is not None]


def _greedy(job: Job, prices: Prices, pool: dict[Pattern, None], until: float) -> list[Bars]:
    """Answers made bar by bar, each worth most at the (slightly shaken) prices; ``pool`` gains their bars."""
    shaken = np.random.default_rng(1)
    answers: list[Bars] = []
    for n in range(ROUNDS):
        piece = np.maximum(prices.piece, 1e-9) * (1.0 + 0.02 * n * shaken.random(len(job.sizes)))
        for k in _bought(job) if time.monotonic() < until else ():
            bars = _by_worth(job, piece, k)
            pool.update(dict.fromkeys(bars or ()))
            answers += [bars] if bars else []
    return answers


def _by_worth(job: Job, piece: Floats, bought: int) -> Bars | None:
    rough = pr.coarsened(job)
    now = Prices(piece=piece, bar=np.zeros(len(job.kinds)), worth=pr.blank(rough))
    left, bars = job.demand, list[Pattern]()
    for k in _limited_first(job, bought):
        pr.fill(rough, left, piece, now.worth)
        counts = pr.traced(rough, left, now, rough.kinds[k].size)
        if any(counts):
            bars.append(_cheapest_kind(job, Pattern(kind=k, counts=counts)))
        elif k == bought:
            return None
        left = tuple(n - c for n, c in zip(left, counts, strict=True))
        if not any(left):
            break
    return tuple(bars)


# --- the whole answer


def _choose(job: Job, pool: Bars, bound: float, until: float) -> tuple[Bars | None, bool]:
    """The cheapest whole use of ``pool``, surplus pieces dropped, and whether that is proved."""
    cost, counts, held = pr.arrays(job, pool)
    rules = [
        _at_least(counts, np.array(job.demand, float)),
        _at_most(held, _limits(job)),
        _at_least(_row(cost), np.array([bound - 1e-7 * max(1.0, bound)])),
    ]
    x, optimal = _milp(cost, rules, until)
    return (None if x is None else _without_surplus(job, _spread(pool, x))), optimal


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rule:
    """``least <= rows @ x <= most``."""

    rows: csr_array
    least: Floats
    most: Floats


def _at_least(rows: csr_array, least: Floats) -> _Rule:
    return _Rule(rows=rows, least=least, most=np.full_like(least, np.inf))


def _at_most(rows: csr_array, most: Floats) -> _Rule:
    return _Rule(rows=rows, least=np.full_like(most, -np.inf), most=most)


def _row(numbers: Floats) -> csr_array:
    return csr_array(numbers[None, :])


def _limits(job: Job) -> Floats:
    return np.array([np.inf if k.limit is None else k.limit for k in job.kinds], float)


def _milp(cost: Floats, rules: list[_Rule], until: float) -> tuple[NDArray[np.int64] | None, bool]:
    """The whole numbers of least cost and whether that is proved; None where there are none in time."""
    rows = vstack([r.rows for r in rules], format="csr")
    held = (rows, np.concatenate([r.least for r in rules]), np.concatenate([r.most for r in rules]))
    limits = {"mip_rel_gap": 0.0, "node_limit": NODES, "time_limit": max(until - time.monotonic(), 0.1)}
    answer = milp(cost, constraints=held, integrality=np.ones(len(cost)), bounds=Bounds(0), options=limits)
    if answer.x is None:
        return None, answer.status == 2
    return np.rint(answer.x).astype(np.int64), answer.status == 0


def _spread(pool: Bars, x: NDArray[np.int64]) -> Bars:
    return tuple(p for p, n in zip(pool, x.tolist(), strict=True) for _ in range(n))


def _without_surplus(job: Job, bars: Bars) -> Bars:
    """The bars with exactly the demanded pieces: surplus goes from the emptiest bar first."""
    surplus = [sum(b.counts[i] for b in bars) - d for i, d in enumerate(job.demand)]
    kept: list[Pattern] = []
    for bar in sorted(bars, key=lambda b: used(job, b)):
        drop = [min(n, s) for n, s in zip(bar.counts, surplus, strict=True)]
        surplus = [s - d for s, d in zip(surplus, drop, strict=True)]
        counts = tuple(n - d for n, d in zip(bar.counts, drop, strict=True))
        if any(counts):
            kept.append(replace(bar, counts=counts))
    return tuple(kept)


def _close_gap(
    job: Job, pool: dict[Pattern, None], prices: Prices, found: Bars, bound: float, until: float
) -> tuple[Bars, bool]:
    """The cheapest bars once every pattern within the gap is known, and whether that is proved."""
    gap = _cost(job, found) - pr.by_prices(job, prices, _cost(job, found))
    listed = pr.within(job, prices, gap, most=MOST_PATTERNS, until=until)
    if listed is None:
        return found, False
    pool.update(dict.fromkeys(listed))
    better, optimal = _choose(job, tuple(pool), bound, until)
    if better is not None and _cost(job, better) < _cost(job, found):
        found = better
    return found, optimal or _same(_cost(job, found), bound)


# --- among the cheapest, the best rests


def _better_rests(
    job: Job, pool: dict[Pattern, None], prices: Prices, found: Bars, until: float
) -> tuple[Bars, bool]:
    """Equally cheap bars that use limited bars most, then keep the longest rest; and whether proved."""
    if len(found) == 1 and not any(k.limit for k in job.kinds):
        return found, True
    gap = _cost(job, found) - pr.by_prices(job, prices, _cost(job, found))
    listed = pr.within(job, prices, gap, most=MOST_PATTERNS, until=until)
    pool.update(dict.fromkeys((*found, *(listed or ()))))
    patterns = tuple(pool)
    use = np.array([float(used(job, p)) * (job.kinds[p.kind].limit is not None) for p in patterns])
    best, use_proved = _most_used(job, patterns, use, found, until) if use.any() else (found, True)
    best, rest_proved = _longest_rest(job, patterns, use, best, until)
    return best, listed is not None and use_proved and rest_proved


def _exact_rules(job: Job, patterns: Bars, cost: float) -> list[_Rule]:
    """Pieces exactly as demanded, bars no more than there are, cost no more than the least."""
    costs, counts, held = pr.arrays(job, patterns)
    wanted = np.array(job.demand, float)
    return [
        _Rule(rows=counts, least=wanted, most=wanted),
        _at_most(held, _limits(job)),
        _at_most(_row(costs), np.array([cost + 1e-7 * max(1.0, cost)])),
    ]


def _most_used(job: Job, patterns: Bars, use: Floats, found: Bars, until: float) -> tuple[Bars, bool]:
    x, optimal = _milp(-use, _exact_rules(job, patterns, _cost(job, found)), until)
    return (found, False) if x is None else (_spread(patterns, x), optimal)


def _longest_rest(job: Job, patterns: Bars, use: Floats, found: Bars, until: float) -> tuple[Bars, bool]:
    """One bar is the keeper: its rest counts, the others' do not."""
    twice = (*patterns, *patterns)
    rest = np.array([float(_rest(job, p)) for p in patterns])
    keeper = np.concatenate([np.zeros(len(patterns)), np.ones(len(patterns))])
    racked = sum(used(job, b) for b in found if job.kinds[b.kind].limit is not None)
    rules = [
        *_exact_rules(job, twice, _cost(job, found)),
        _Rule(rows=_row(keeper), least=np.ones(1), most=np.ones(1)),
        _at_least(_row(np.tile(use, 2)), np.array([racked - 0.5])),
    ]
    x, optimal = _milp(-keeper * np.tile(rest, 2), rules, until)
    better = found if x is None else _spread(twice, x)
    longest = max(_rest(job, b) for b in better)
    return (better if longest > max(_rest(job, b) for b in found) else found), optimal and x is not None


def _rest(job: Job, bar: Pattern) -> int:
    return job.kinds[bar.kind].size - used(job, bar)
