"""Tube to buy: an estimate at once, and what the cutting plan says; never a difference between the two."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass, replace
from typing import Any, Literal

from cagewright.base.answers import Answer, Value, difference, figure, price
from cagewright.base.plain import plain
from cagewright.base.units import LengthUnit
from cagewright.job.cutting import work_of
from cagewright.job.opening import Job, Step
from cagewright.make.cutlist import rough, tube_words
from cagewright.make.nesting import NestPlan, matches
from cagewright.stock.shop import Shop
from cagewright.stock.tubes import Tube


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeToBuy:
    """One tube by the cutting plan: what it is cut from, what is bought, what is to be seen to."""

    tube: str
    bars: int
    offcuts: int
    bought: Value
    price: Value
    proved: bool
    problems: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Buying(Answer):
    """Tube to buy.

    Attributes:
        rests_on: an estimate that no cutting plan undercuts, or the cutting plan.
        bars: how many; None where a tube is not on sale.
        price: of all; None where one has no price.
        change: what it is more than the same before a change; None without one of the same basis.
        tubes: by the cutting plan; none for an estimate.
    """

    revision: str
    rests_on: Literal["estimate", "cutting plan"]
    bars: int | None
    price: Value
    change: Value | None = None
    tubes: tuple[TubeToBuy, ...] = ()


def estimate_of(job: Job) -> Buying:
    """The least that any cutting plan can buy: every bar used to its last millimetre, the rack first."""
    lengths: defaultdict[Tube, list[float]] = defaultdict(list)
    for member in (m for m in job.cage.members if not m.bought):
        lengths[member.tube].append(rough(member, job.shop).length)
    rows = [_least(tube, some, job.shop) for tube, some in lengths.items()]
    known = [row for row in rows if row is not None]
    priced = [cost for _, cost in known if cost is not None]
    why = "" if len(known) == len(rows) else "the shop file has no length on sale for every tube"
    cost = price(
        round(sum(priced), 2) if len(priced) == len(rows) else None, job.shop.currency,
        rests_on="estimate", why=why or ("" if len(priced) == len(rows) else "no prices"),
    )  # fmt: skip
    bars = sum(bars for bars, _ in known) if len(known) == len(rows) else None
    return _buying(job, cost, bars)


def _buying(job: Job, cost: Value, bars: int | None, tubes: tuple[TubeToBuy, ...] = ()) -> Buying:
    basis: Literal["estimate", "cutting plan"] = "estimate" if cost.rests_on == "estimate" else "cutting plan"
    count = "" if bars is None else f", {bars} bar{'' if bars == 1 else 's'}"
    return Buying(
        headline=f"tube to buy: {cost.said if cost.value is not None else cost.why or cost.said}{count}",
        level="cannot tell" if bars is None else "fine",
        revision=job.cage.revision, rests_on=basis, bars=bars, price=cost, tubes=tubes,
    )  # fmt: skip


def _least(tube: Tube, lengths: list[float], shop: Shop) -> tuple[int, float | None] | None:
    """Bars and cost, at least; None where the tube is not on sale in one that takes its longest piece."""
    sold = [row for row in shop.stock if matches(tube, row)]
    if not sold or max(row.length for row in sold) < max(lengths):
        return None
    racked = sum(row.length + shop.kerf for row in shop.offcuts if matches(tube, row))
    wanted = max(sum(piece + shop.kerf for piece in lengths) - racked, 0.0)
    bars = math.ceil(wanted / max(row.length + shop.kerf for row in sold) - 1e-9)
    prices = [row.price / (row.length + shop.kerf) for row in sold if row.price is not None]
    return bars, wanted * min(prices) if len(prices) == len(sold) else None


def price_of_piece(tube: Tube, length: float, shop: Shop) -> Value:
    """What so much tube (mm) costs by the metre, at least; cannot tell where it has no price."""
    found = _least(tube, [length], replace(shop, offcuts=()))
    cost = found[1] if found else None
    why = "" if cost is not None else "the tube has no price, or no bar takes it"
    rounded = None if cost is None else round(cost, 2)
    return price(rounded, shop.currency, rests_on="estimate", why=why)


def planned_of(job: Job, before: float | None = None) -> Buying:
    """What the cutting plan buys, and what it costs more than ``before``, a cutting plan's price too."""
    nests, units = work_of(job).nests, job.cage.units
    costs = [nest.cost for nest in nests if nest.cost is not None and not nest.unplaced]
    known, currency = len(costs) == len(nests), job.shop.currency
    why = "" if known else "a tube has no price, or no bar takes it"
    cost = price(round(sum(costs), 2) if known else None, currency, rests_on="cutting plan", why=why)
    bars = sum(bar.source == "stock" for nest in nests for bar in nest.bars)
    found = _buying(job, cost, bars, tuple(_tube(nest, currency, units) for nest in nests))
    return with_change(found, None if before is None else price(before, currency, rests_on="cutting plan"))


def with_change(buying: Buying, before: Value | None) -> Buying:
    """The same with what it costs more than ``before``; nothing where the two do not rest on the same."""
    step = None if before is None else difference(buying.price, before, "price", "mm")
    return replace(buying, change=step)


def _tube(nest: NestPlan, currency: str, units: LengthUnit) -> TubeToBuy:
    return TubeToBuy(
        tube=tube_words(nest.tube, units),
        bars=sum(bar.source == "stock" for bar in nest.bars),
        offcuts=sum(bar.source == "offcut" for bar in nest.bars),
        bought=figure(nest.bought, "run", units, rests_on="cutting plan"),
        price=price(nest.cost, currency, rests_on="cutting plan"),
        proved=nest.proved,
        problems=tuple(f"{p.found}; {p.wanted}" for p in nest.problems),
    )


def bars_work(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    """``planned_of`` as plain values, for a page.

    Args:
        job: the plan.
        asked: ``before``: what the cutting plan before the change came to, or nothing.
        step: told what is being done.
    """
    step("cutting plans", 0.0)
    before = asked.get("before")
    return plain(planned_of(job, float(before) if isinstance(before, int | float) else None))
