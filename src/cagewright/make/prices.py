"""The fractional side of cutting stock: patterns made as they are needed, their prices, the bound they give.

Gilmore and Gomory, Operations Research 9 (1961) 849-859 and 11 (1963) 863-888: a linear programme over the
patterns known so far prices every piece; a knapsack on those prices finds a pattern worth more than its bar,
or shows that there is none. All lengths are whole steps.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import coo_array, csr_array, hstack, identity, vstack

Counts = tuple[int, ...]
Floats = NDArray[np.float64]
COARSE = 6_000
"""Capacity, in steps, to which the search is coarsened until the last look for patterns is made exactly."""
AT_ONCE = 12
"""Patterns taken from one look at the prices, each from what the last one left."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BarKind:
    """One kind of bar: its size (whole steps), its cost, and how many there are (None: as many as bought)."""

    size: int
    cost: float
    limit: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """What is to be cut.

    Attributes:
        sizes: piece sizes in whole steps, kerf included, each once.
        demand: how many of each.
        kinds: the bars, sizes with one kerf added; one without limit costs more than 0.
    """

    sizes: Counts
    demand: Counts
    kinds: tuple[BarKind, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """What is cut from one bar of ``kind``: how many of each size."""

    kind: int
    counts: Counts


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """Prices of the fractional optimum.

    Attributes:
        piece: (m,) what one more piece of each size costs.
        bar: (k,) what one more bar of each limited kind would save, 0 or less.
        worth: (m + 1, c + 1): row i holds the most that pieces i.. are worth in each capacity.
    """

    piece: Floats
    bar: Floats
    worth: Floats


def used(job: Job, pattern: Pattern) -> int:
    """Steps of bar that the pattern uses, kerfs included."""
    return sum(n * s for n, s in zip(pattern.counts, job.sizes, strict=True))


def arrays(job: Job, pool: tuple[Pattern, ...]) -> tuple[Floats, csr_array, csr_array]:
    """Costs (n,), piece counts (m, n) and which kind each pattern is cut from (k, n)."""
    cost = np.array([job.kinds[p.kind].cost for p in pool])
    counts = csr_array(np.array([p.counts for p in pool], float).T)
    rows = np.array([p.kind for p in pool])
    held = coo_array((np.ones(len(pool)), (rows, np.arange(len(pool)))), shape=(len(job.kinds), len(pool)))
    return cost, counts, csr_array(held)


def generate(job: Job, pool: dict[Pattern, None], until: float) -> Prices:
    """The prices of the fractional optimum (near it, where time ran out); ``pool`` gains the patterns met."""
    pool.update(dict.fromkeys(_one_size_each(job)))
    rough = coarsened(job)
    if rough.kinds != job.kinds:
        _converged(job, rough, pool, until)
    return _converged(job, job, pool, until)


def _one_size_each(job: Job) -> Iterator[Pattern]:
    for k, kind in enumerate(job.kinds):
        for i, (size, wanted) in enumerate(zip(job.sizes, job.demand, strict=True)):
            fits = min(wanted, kind.size // size)
            if fits:
                yield Pattern(kind=k, counts=tuple(fits if j == i else 0 for j in range(len(job.sizes))))


def coarsened(job: Job) -> Job:
    """The job in longer steps: pieces rounded up, bars down, so that its patterns fit the job itself."""
    factor = max(1, max(k.size for k in job.kinds) // COARSE)
    return replace(
        job,
        sizes=tuple(-(-s // factor) for s in job.sizes),
        kinds=tuple(replace(k, size=k.size // factor) for k in job.kinds),
    )


def _converged(job: Job, looked_at: Job, pool: dict[Pattern, None], until: float) -> Prices:
    """Prices at which no pattern of ``looked_at`` is worth more than its bar."""
    worth = blank(looked_at)
    while True:
        piece, bar = _priced(job, tuple(pool))
        fill(looked_at, looked_at.demand, piece, worth)
        prices = Prices(piece=piece, bar=bar, worth=worth)
        fresh = [p for p in _worth_more(looked_at, prices) if p not in pool]
        if not fresh or time.monotonic() > until:
            return prices
        pool.update(dict.fromkeys(fresh))


def _priced(job: Job, pool: tuple[Pattern, ...]) -> tuple[Floats, Floats]:
    """Prices of pieces (m,) and limited bars (k,) at the cheapest fractional use of ``pool``.

    A piece left uncut costs ten of the dearest bars, so there always is an answer.
    """
    cost, counts, held = arrays(job, pool)
    m, limits = len(job.sizes), np.array([np.inf if k.limit is None else k.limit for k in job.kinds], float)
    short = np.isfinite(limits)
    uncut = np.full(m, 10.0 * (1.0 + max(k.cost for k in job.kinds)))
    above = hstack([-counts, -identity(m)])
    below = hstack([held[short], csr_array((int(short.sum()), m))])
    answer = linprog(
        np.concatenate([cost, uncut]),
        A_ub=vstack([above, below], format="csr"),
        b_ub=np.concatenate([-np.array(job.demand, float), limits[short]]),
        method="highs",
    )
    price = np.asarray(answer.ineqlin.marginals)
    bar = np.zeros(len(limits))
    bar[short] = np.minimum(price[m:], 0.0)
    return np.maximum(-price[:m], 0.0), bar


# --- the knapsack


def blank(job: Job) -> Floats:
    """An empty worth table (m + 1, c + 1) for the job."""
    return np.zeros((len(job.sizes) + 1, max(k.size for k in job.kinds) + 1))


def fill(job: Job, demand: Counts, price: Floats, worth: Floats) -> None:
    """Fill ``worth`` (m + 1, c + 1) for at most ``demand`` pieces of each size at ``price`` (m,)."""
    top = worth.shape[1] - 1
    worth[-1] = 0.0
    for i in reversed(range(len(job.sizes))):
        row, after, size = worth[i], worth[i + 1], job.sizes[i]
        row[:] = after
        if price[i] <= 0.0:
            continue
        for n in range(1, min(demand[i], top // size) + 1):
            np.maximum(row[n * size :], after[: top + 1 - n * size] + n * price[i], out=row[n * size :])


def traced(job: Job, demand: Counts, prices: Prices, room: int) -> Counts:
    """The piece counts behind the table's worth of ``room`` steps."""
    counts: list[int] = []
    for i, (size, price) in enumerate(zip(job.sizes, prices.piece.tolist(), strict=True)):
        most = min(demand[i], room // size) if price > 0.0 else 0
        best, n = prices.worth.item(i + 1, room), 0
        for k in range(1, most + 1):
            value = prices.worth.item(i + 1, room - k * size) + k * price
            best, n = (value, k) if value > best else (best, n)
        counts.append(n)
        room -= n * size
    return tuple(counts)


def reduced(job: Job, prices: Prices) -> list[float]:
    """Cost of one bar of each kind less the most that can be cut from it is worth."""
    return [k.cost - b - prices.worth[0, k.size] for k, b in zip(job.kinds, prices.bar.tolist(), strict=True)]


def _worth_more(job: Job, prices: Prices) -> Iterator[Pattern]:
    """For each kind up to ``AT_ONCE`` patterns worth more than their bar, each from what the last left."""
    for k, saved in enumerate(reduced(job, prices)):
        kind, least = job.kinds[k], -1e-9 * max(1.0, job.kinds[k].cost)
        if saved >= least:
            continue
        left, now = job.demand, prices
        for _ in range(AT_ONCE):
            counts = traced(job, left, now, kind.size)
            if kind.cost - now.bar[k] - float(np.dot(counts, now.piece)) >= least:
                break
            yield Pattern(kind=k, counts=counts)
            left = tuple(n - c for n, c in zip(left, counts, strict=True))
            now = replace(now, worth=np.empty_like(prices.worth) if now is prices else now.worth)
            fill(job, left, now.piece, now.worth)


# --- what the prices prove


def floor(job: Job, prices: Prices, cost: float) -> float:
    """A cost no choice of bars cheaper than ``cost`` goes below: by the prices, or by the metal alone."""
    return max(by_prices(job, prices, cost), _material(job), 0.0)


def by_prices(job: Job, prices: Prices, cost: float) -> float:
    """A cost no choice of bars cheaper than ``cost`` goes below (Lagrangian bound; holds at any prices)."""
    total = float(prices.piece @ np.array(job.demand))
    for k, (kind, saved) in enumerate(zip(job.kinds, reduced(job, prices), strict=True)):
        most = kind.limit if kind.limit is not None else cost / kind.cost
        total += prices.bar[k] * (kind.limit or 0) + min(saved, 0.0) * most
    return total


def _material(job: Job) -> float:
    """What the metal alone costs, at the cheapest bar's price for its length, the limited bars given away."""
    rate = min((k.cost / k.size for k in job.kinds if k.limit is None), default=0.0)
    given = sum(k.size * k.limit for k in job.kinds if k.limit is not None)
    return rate * (sum(s * d for s, d in zip(job.sizes, job.demand, strict=True)) - given)


def rounded_up(job: Job, least: float, most: float) -> float:
    """``least`` raised to what whole bars can cost (left as it is where that would take long to tell)."""
    costs = sorted({k.cost for k in job.kinds if k.cost > 0.0}, reverse=True)
    slack = 1e-7 * max(1.0, most)
    if least <= slack or not costs or np.prod([most / c + 1.0 for c in costs[:-1]]) > 20_000:
        return least
    sums = [0.0]
    for c in costs[:-1]:
        sums = [s + n * c for s in sums for n in range(int(most / c) + 2)]
    return min(s + max(0.0, np.ceil((least - slack - s) / costs[-1])) * costs[-1] for s in sums)


def within(job: Job, prices: Prices, gap: float, *, most: int, until: float) -> list[Pattern] | None:
    """Every pattern that costs no more than ``gap`` above its worth, or None where they pass ``most``.

    No answer that costs at most ``by_prices`` plus ``gap`` uses any other.
    """
    listed: list[Pattern] = []
    for k, kind in enumerate(job.kinds):
        least = kind.cost - float(prices.bar[k]) - gap - 1e-7 * max(1.0, gap)
        for counts in _worth_at_least(job, prices, kind.size, least):
            listed.append(Pattern(kind=k, counts=counts))
            if len(listed) > most or time.monotonic() > until:
                return None
    return listed


def _worth_at_least(job: Job, prices: Prices, room: int, least: float) -> Iterator[Counts]:
    """Every non-empty piece count that fits ``room`` and is worth ``least`` or more."""
    price = prices.piece.tolist()
    stack: list[tuple[Counts, int, float]] = [((), room, 0.0)]
    while stack:
        counts, free, value = stack.pop()
        i = len(counts)
        if i == len(price):
            if any(counts):
                yield counts
            continue
        for n in range(min(job.demand[i], free // job.sizes[i]) + 1):
            rest = free - n * job.sizes[i]
            if value + n * price[i] + prices.worth[i + 1, rest] >= least:
                stack.append(((*counts, n), rest, value + n * price[i]))
