"""A shop file's own times and prices, by which a quote is reckoned; what is not given stays blank in it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from cagewright.plan.places import Entry, Text
from cagewright.plan.quantities import Number, Positive, Share, Time
from cagewright.stock.rates import Prices, Times

Money = Annotated[Number, Field(ge=0.0)]


class RunTimeEntry(Entry):
    """So much time for so long a weld line, mm: ``{run: 1 m, time: 40 min}``."""

    run: Positive
    time: Time


class RunPriceEntry(Entry):
    """So much money for so long a weld line, mm: ``{run: 1 m, price: 0.90}``."""

    run: Positive
    price: Money


class FillerEntry(Entry):
    """The price of 1 kg of wire or rod, and how many kg are bought for one in the welds."""

    price: Money
    times: Annotated[Number, Field(ge=1.0, le=10.0)]


class TimesEntry(Entry):
    """What the shop's work takes, for one of each: see ``stock.rates.Times``."""

    cut: Time | None = None
    cope: Time | None = None
    bend: Time | None = None
    tack: Time | None = None
    weld: RunTimeEntry | None = None
    foot: Time | None = None
    plate: Time | None = None
    trim: Time | None = None
    each_job: dict[Text, Time] = Field(default_factory=dict[Text, float])


class PricesEntry(Entry):
    """What a quote is reckoned by: see ``stock.rates.Prices``."""

    hour: Money | None = None
    filler: FillerEntry | None = None
    gas: RunPriceEntry | None = None
    discs: RunPriceEntry | None = None
    each_job: dict[Text, Money] = Field(default_factory=dict[Text, float])
    margin: Share | None = None
    tax: Share | None = None


class SheetOnSaleEntry(Entry):
    """A sheet on sale: its thickness, its two sides, its steel and its price."""

    thickness: Positive
    size: tuple[Positive, Positive]
    steel: Text = ""
    price: Money | None = None


class BoltEntry(Entry):
    """A bolt on sale, with its nut and washers: size such as ``M8`` or ``5/16``, grade and price."""

    size: Text
    grade: Text = "8.8"
    price: Money


def times_of(entry: TimesEntry) -> Times:
    """The times of the file."""
    told = {k: v for k, v in dict(entry).items() if k not in {"weld", "each_job"}}
    weld = entry.weld.time / entry.weld.run if entry.weld else None
    return Times(**told, weld=weld, each_job=tuple(entry.each_job.items()))


def prices_of(entry: PricesEntry) -> Prices:
    """The prices of the file."""
    return Prices(
        hour=entry.hour, margin=entry.margin, tax=entry.tax, each_job=tuple(entry.each_job.items()),
        filler=entry.filler.price if entry.filler else None,
        filler_times=entry.filler.times if entry.filler else None,
        gas=entry.gas.price / entry.gas.run if entry.gas else None,
        discs=entry.discs.price / entry.discs.run if entry.discs else None,
    )  # fmt: skip
