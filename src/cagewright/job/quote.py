"""What a cage costs to build: hours and goods by the shop's own rows, margin and tax; blanks are told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from cagewright.base.answers import CANNOT_TELL, Answer, Sentence, Value, figure, price
from cagewright.base.names import listed
from cagewright.base.units import LengthUnit
from cagewright.job.buying import planned_of
from cagewright.job.hours import UNTOLD, Hours, Recorded, hours_of
from cagewright.job.opening import Job
from cagewright.make.weldmap import WeldMap, weld_map
from cagewright.shape.coupling_parts import small_parts
from cagewright.shape.sheet_parts import flat_parts
from cagewright.stock.rates import Prices

CAUTION = (
    "Hours are counts of the plan by the shop's own times: an odd shell, waiting and putting right are in "
    "them only as far as those times hold them."
)
FEET_TO_SHELL = (
    "Filler for welds of foot plates to the shell is not counted: the shell's thickness is not known."
)
SHEET = "Sheet for {many} parts (feet, plates, gussets, couplings), bolts, pins and sleeves are not counted."


@dataclass(frozen=True, slots=True, kw_only=True)
class CostRow:
    """One line of the costs.

    Attributes:
        kind: work or goods.
        what: in words.
        how_much: of it.
        rate: what one costs; cannot tell where the shop has not said.
        amount: what all of it costs, to a hundredth.
        basis: where the rate is from, in words.
    """

    kind: Literal["work", "goods", "job"]
    what: str
    how_much: str
    rate: Value
    amount: Value
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote(Answer):
    """What a cage costs to build.

    Attributes:
        hours: all told, and each kind of work.
        rows: every line of the costs.
        cost: sum of the lines; ``at least`` where one is blank.
        margin: what is put on it.
        net: cost and margin.
        tax: on that.
        price: what the customer pays.
        blanks: what the shop has not said, a sentence each.
        contains: what the offer is for, in words.
        leaves_out: what it is not for.
    """

    title: str
    revision: str
    shop: str
    currency: str
    hours: Hours
    rows: tuple[CostRow, ...]
    cost: Value
    margin: Value
    net: Value
    tax: Value
    price: Value
    blanks: tuple[Sentence, ...]
    contains: tuple[str, ...]
    leaves_out: tuple[str, ...]


def quote_of(job: Job, recorded: Sequence[Recorded] = ()) -> Quote:
    """The quote for the plan.

    Args:
        job: the plan, with its shop.
        recorded: what the shop's record says of its hours.

    Raises:
        ProblemsFound: the scan cannot be used.
    """
    hours, prices, currency = hours_of(job, recorded), job.shop.prices, job.shop.currency
    rows = (*_work(hours, prices, currency), *_goods(job), *_each_job(prices, currency))
    blanks = (*_blanks(rows, hours), *_no_shares(prices))
    cost = _sum(rows, currency)
    margin = _share(cost, prices.margin, "margin", currency)
    net = _plus(cost, margin, currency)
    tax = _share(net, prices.tax, "tax", currency)
    whole = _plus(net, tax, currency)
    return Quote(
        headline=_headline(whole, hours, blanks),
        level="cannot tell" if blanks else "fine",
        cautions=(CAUTION,), title=job.cage.title, revision=job.cage.revision, shop=job.shop.name,
        currency=currency, hours=hours, rows=rows, cost=cost, margin=margin, net=net, tax=tax, price=whole,
        blanks=blanks, contains=_contains(job), leaves_out=(*hours.notes, *_not_priced(job)),
    )  # fmt: skip


def _not_priced(job: Job) -> tuple[str, ...]:
    many = sum(part.count for part in flat_parts(job.cage, job.shop))
    feet = (FEET_TO_SHELL,) if job.cage.feet else ()
    return (*feet, SHEET.format(many=many)) if many or small_parts(job.cage) else feet


def _headline(whole: Value, hours: Hours, blanks: Sequence[Sentence]) -> str:
    if not blanks:
        return f"quote: {whole.said}, {hours.total.said}"
    least = f"; what is told comes to {whole.said}" if whole.value is not None else ""
    count = f"{len(blanks)} figure{'' if len(blanks) == 1 else 's'}"
    return f"no quote yet: the shop has not given {count}{least}"


# --- lines


def _work(hours: Hours, prices: Prices, currency: str) -> tuple[CostRow, ...]:
    rate = _rate(prices.hour, currency, "the shop file gives no price of an hour")
    return tuple(
        CostRow(
            kind="work", what=row.what, how_much=f"{row.count.said}, {row.hours.said}", rate=rate,
            amount=_amount(row.hours.value, prices.hour, currency, row.hours.why or rate.why),
            basis=row.basis,
        )
        for row in hours.rows
    )  # fmt: skip


def _goods(job: Job) -> tuple[CostRow, ...]:
    tube, prices, currency, units = planned_of(job), job.shop.prices, job.shop.currency, job.cage.units
    welds = weld_map(job.cage)
    bars = f"{tube.bars} bars" if tube.bars is not None else CANNOT_TELL
    return (
        CostRow(kind="goods", what="tube", how_much=bars, rate=_rate(None, currency, "by the cutting plan"),
                amount=tube.price, basis="cutting plan, shop file"),
        _filler(welds, prices, currency, units),
        *(_by_run(what, welds.length, rate, currency, units)
          for what, rate in (("gas", prices.gas), ("discs", prices.discs))),
    )  # fmt: skip


def _filler(welds: WeldMap, prices: Prices, currency: str, units: LengthUnit) -> CostRow:
    """Weld metal as it is bought: the triangle of every known throat, by how often that is bought."""
    bought = None if prices.filler_times is None else welds.filler * prices.filler_times
    why = "the shop file has no filler"
    return CostRow(
        kind="goods", what="filler", how_much=figure(bought, "mass", units, why=why).said,
        rate=_rate(prices.filler, currency, why),
        amount=_amount(bought, prices.filler, currency, why),
        basis="" if prices.filler_times is None
        else f"shop file, {prices.filler_times:g} times the metal in the welds",
    )  # fmt: skip


def _by_run(what: str, run: float, rate: float | None, currency: str, units: LengthUnit) -> CostRow:
    why = f"the shop file has no {what}"
    size, tail = (1000.0, "a metre") if units == "mm" else (304.8, "a foot")
    one = _rate(None if rate is None else rate * size, currency, why)
    return CostRow(
        kind="goods", what=what, how_much=f"{figure(run, 'run', units).said} of weld",
        rate=one if one.value is None else replace(one, said=f"{one.said} {tail}"),
        amount=_amount(run, rate, currency, why), basis="shop file" if rate is not None else "",
    )  # fmt: skip


def _each_job(prices: Prices, currency: str) -> tuple[CostRow, ...]:
    return tuple(
        CostRow(kind="job", what=what, how_much="1", rate=_rate(amount, currency, ""),
                amount=price(round(amount, 2), currency, rests_on="plan"), basis="shop file, every job")
        for what, amount in prices.each_job
    )  # fmt: skip


def _rate(amount: float | None, currency: str, why: str) -> Value:
    return price(amount, currency, rests_on="plan", why="" if amount is not None else why)


def _amount(how_much: float | None, rate: float | None, currency: str, why: str) -> Value:
    known = how_much is not None and rate is not None
    return price(
        round(how_much * rate, 2) if known else None, currency, rests_on="plan", why="" if known else why
    )


# --- sums


def _sum(rows: Sequence[CostRow], currency: str) -> Value:
    """The lines as they are printed, so that the table adds up; at least, where one is blank."""
    told = [row.amount.value for row in rows if row.amount.value is not None]
    blank = len(told) < len(rows)
    return _money(round(sum(told), 2) if told else None, currency, at_least=blank)


def _money(amount: float | None, currency: str, *, at_least: bool) -> Value:
    whole = price(amount, currency, rests_on="plan")
    if amount is None or not at_least:
        return whole
    return replace(whole, said=f"≥ {whole.said}", bound="at least")


def _share(of: Value, share: float | None, what: str, currency: str) -> Value:
    if share is None or of.value is None:
        return price(None, currency, rests_on="plan", why=f"the shop file has no {what}")
    return _money(round(of.value * share, 2), currency, at_least=of.bound == "at least")


def _plus(one: Value, two: Value, currency: str) -> Value:
    """Both; where the second is not told the first, and more."""
    if one.value is None:
        return one
    untold = two.value is None
    return _money(round(one.value + (two.value or 0.0), 2), currency,
                  at_least=untold or "at least" in (one.bound, two.bound))  # fmt: skip


# --- words


def _blanks(rows: Sequence[CostRow], hours: Hours) -> tuple[Sentence, ...]:
    """Each reason once why a line has no amount."""
    whys = [row.amount.why for row in rows if row.amount.value is None]
    if not hours.rows:
        whys.insert(0, UNTOLD)
    return tuple(Sentence(words=_upper(why), level="cannot tell") for why in dict.fromkeys(whys))


def _no_shares(prices: Prices) -> tuple[Sentence, ...]:
    wanting = [what for what, share in (("margin", prices.margin), ("tax", prices.tax)) if share is None]
    return tuple(
        Sentence(words=f"The shop file has no {what}; write 0 % where there is none.", level="cannot tell")
        for what in wanting
    )


def _upper(why: str) -> str:
    return f"{why[:1].upper()}{why[1:]}."


def _contains(job: Job) -> tuple[str, ...]:
    """What the offer is for: counts that the plan has."""
    cage = job.cage
    steels = listed(dict.fromkeys(m.tube.steel.name for m in cage.members))
    parts = (
        f"{len(cage.members)} tubes of {steels}, {len(cage.joints)} joints, welded all round",
        f"{len(cage.feet)} foot plates" if cage.feet else "",
        f"{len(cage.plates) + len(cage.gussets)} plates and gussets" if cage.plates or cage.gussets else "",
        f"papers of revision {cage.revision}",
    )  # fmt: skip
    return tuple(part for part in parts if part)
