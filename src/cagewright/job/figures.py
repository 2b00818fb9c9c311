"""What a change is worth at once: weight, tube to buy, gaps."""

from __future__ import annotations

import math
from collections import defaultdict
from typing import Any

from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.job.cutting import work_of
from cagewright.job.opening import Job, Step
from cagewright.job.scene.gaps import least_gaps
from cagewright.job.scene.member import rounded
from cagewright.job.scene.scene import scene_of
from cagewright.make.cutlist import rough, tube_words
from cagewright.make.nesting import NestPlan, matches
from cagewright.make.weights import sheet_weights
from cagewright.shape.clearance import Gap
from cagewright.shape.driver import BodyGap
from cagewright.shape.types import Cage, Cope, Member
from cagewright.stock.shop import Offcut, Shop, StockLength
from cagewright.stock.tubes import Tube

Figures = dict[str, Any]
"""Plain values: kg, mm, m, the shop's currency."""


def figures_of(job: Job, before: Job | None = None, *, quick: bool = False) -> Figures:
    """The figures of the job, and what of them has changed.

    Args:
        job: after the change.
        before: the job before it, for ``changes``.
        quick: leave out gaps, which take longest; for a trial while something is dragged.

    Returns:
        mass_kg, members, bends, copes, feet, gussets; ``tubes``: a row for each with name, words, members and
        metres; ``buy``: bars and cost, at least (cutting plans take seconds: work ``bars``); ``gaps``:
        helmet, driver, body, each None or with mm, member and words; ``changes``: by figure, less what it was
        before (None without ``before``).
    """
    made = _plain_figures(job, quick)
    old = _plain_figures(before, quick) if before is not None else None
    return made | {"changes": None if old is None else changes(old, made)}


def _plain_figures(job: Job, quick: bool) -> Figures:
    return job.cache.get((f"figures {quick}", job.key), lambda: _figures(job, quick))


def _figures(job: Job, quick: bool) -> Figures:
    cage = job.cage
    sheets = sum(weight.mass for weight in sheet_weights(cage))
    return {
        "mass_kg": round(sheets + sum(m.mass for m in scene_of(job).members), 3),
        "members": len(cage.members),
        "bends": sum(len(m.bends) for m in cage.members),
        "copes": sum(isinstance(end.cut, Cope) for m in cage.members for end in m.ends),
        "feet": len(cage.feet),
        "gussets": len(cage.gussets),
        "tubes": _tubes(cage),
        "buy": _to_buy(cage, job.shop),
        "gaps": None if quick else _gaps(cage),
    }


def changes(before: Figures, after: Figures) -> dict[str, float]:
    """What of each figure is more (or, below 0, less) than before; those as before left out."""
    old, new = _numbers(before), _numbers(after)
    steps = {key: round(new[key] - old[key], 6) for key in new if key in old}
    return {key: step for key, step in steps.items() if abs(step) > 1e-9}


def _numbers(figures: Figures) -> dict[str, float]:
    """The figures that can be taken from each other, by name."""
    bare = ("mass_kg", "members", "bends", "copes", "feet", "gussets")
    found: dict[str, float | None] = {key: figures[key] for key in bare}
    found["metres"] = round(sum(row["metres"] for row in figures["tubes"]), 3)
    found |= {"bars": figures["buy"]["bars"], "cost": figures["buy"]["cost"]}
    found |= {f"gap_{to}": gap["mm"] for to, gap in (figures["gaps"] or {}).items() if gap}
    return {key: value for key, value in found.items() if value is not None}


# --- tube


def _tubes(cage: Cage) -> list[dict[str, Any]]:
    groups: defaultdict[str, list[Member]] = defaultdict(list)
    for member in cage.members:
        groups[member.tube_name].append(member)
    return [
        {
            "name": name,
            "words": tube_words(some[0].tube, cage.units),
            "members": len(some),
            "metres": round(sum(m.length for m in some) / 1000.0, 3),
        }
        for name, some in groups.items()
    ]


def _to_buy(cage: Cage, shop: Shop) -> dict[str, Any]:
    """The least that any cutting plan can buy: every bar used to its last millimetre, the rack first."""
    lengths: defaultdict[Tube, list[float]] = defaultdict(list)
    for member in cage.members:
        lengths[member.tube].append(rough(member, shop).length)
    rows = [_least(tube, some, shop) for tube, some in lengths.items()]
    known = [row for row in rows if row is not None]
    priced = [cost for _, cost in known if cost is not None]
    return {
        "least": True,
        "bars": sum(bars for bars, _ in known) if len(known) == len(rows) else None,
        "cost": round(sum(priced), 2) if rows and len(priced) == len(rows) else None,
        "currency": shop.currency,
        "why": "" if len(known) == len(rows) else "the shop file has no length on sale for every tube",
    }


def _least(tube: Tube, lengths: list[float], shop: Shop) -> tuple[int, float | None] | None:
    """Bars and cost, at least; None where the tube is not on sale in one that takes its longest piece."""
    sold: list[StockLength] = [row for row in shop.stock if matches(tube, row)]
    if not sold or max(row.length for row in sold) < max(lengths):
        return None
    rack: list[Offcut] = [row for row in shop.offcuts if matches(tube, row)]
    wanted = sum(piece + shop.kerf for piece in lengths) - sum(row.length + shop.kerf for row in rack)
    wanted = max(wanted, 0.0)
    bars = math.ceil(wanted / max(row.length + shop.kerf for row in sold) - 1e-9)
    prices = [row.price / (row.length + shop.kerf) for row in sold if row.price is not None]
    return bars, wanted * min(prices) if len(prices) == len(sold) else None


def bars_work(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    """The bars to buy by a cutting plan.

    Args:
        job: the plan.
        asked: nothing.
        step: told what is being done.

    Returns:
        ``revision``, ``currency``; ``tubes``: a row for each with words, bars, offcuts, bought (m), cost,
        proved and problems; ``bars`` and ``cost`` of all, cost None where a price is missing.
    """
    step("cutting plans", 0.0)
    nests = work_of(job).nests
    costs = [nest.cost for nest in nests if nest.cost is not None and not nest.unplaced]
    return {
        "revision": job.cage.revision,
        "currency": job.shop.currency,
        "tubes": [_nest(nest, job.cage.units) for nest in nests],
        "bars": sum(bar.source == "stock" for nest in nests for bar in nest.bars),
        "cost": round(sum(costs), 2) if len(costs) == len(nests) else None,
    }


def _nest(nest: NestPlan, units: LengthUnit) -> dict[str, Any]:
    return {
        "words": tube_words(nest.tube, units),
        "bars": sum(bar.source == "stock" for bar in nest.bars),
        "offcuts": sum(bar.source == "offcut" for bar in nest.bars),
        "bought": round(nest.bought / 1000.0, 3),
        "cost": nest.cost,
        "proved": nest.proved,
        "problems": [f"{p.found}; {p.wanted}" for p in nest.problems],
    }


# --- gaps


def _gaps(cage: Cage) -> dict[str, Any]:
    least = least_gaps(cage)
    return {
        "helmet": _driver_gap(least.helmet, cage.units),
        "driver": _driver_gap(least.driver, cage.units),
        "body": _body_gap(least.body, cage.units),
    }


def _driver_gap(gap: BodyGap | None, units: LengthUnit) -> dict[str, Any] | None:
    if gap is None:
        return None
    far = (
        f"{say_length(gap.gap, units)} from" if not gap.overlap else f"{say_length(gap.overlap, units)} into"
    )
    return _gap(gap.gap - gap.overlap, gap.member, f"{gap.member} is {far} the {gap.part}", gap.on_tube)


def _body_gap(gap: Gap | None, units: LengthUnit) -> dict[str, Any] | None:
    if gap is None:
        return None
    depth = max((cut.depth for cut in gap.cuts), default=0.0)
    far = _far(gap.gap, depth, units)
    return _gap(gap.gap - depth, gap.member, f"{gap.member} is {far} {gap.to}", gap.on_tube)


def _far(gap: float, overlap: float, units: LengthUnit) -> str:
    return f"{say_length(overlap, units)} into" if overlap else f"{say_length(gap, units)} from"


def _gap(mm: float, member: str, words: str, point: Any) -> dict[str, Any]:
    return {"mm": round(mm, 2), "member": member, "words": words, "point": rounded(point)}
