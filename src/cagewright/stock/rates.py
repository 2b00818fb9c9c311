"""What a shop's work takes and what it buys besides tube, by its own rows: nothing here has a usual value."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """What the shop's work takes, h for one; None where the shop has not said.

    Attributes:
        cut: one saw cut.
        cope: one end coped and offered up.
        bend: one bend.
        tack: one tube set in place and tacked.
        weld: one mm of weld line, all told.
        foot: one foot plate made and fitted.
        plate: one plate, gusset or other flat part made and fitted.
        trim: one piece of the shell cut away and its edge closed.
        each_job: what every job takes besides, by the shop's words for it.
    """

    cut: float | None = None
    cope: float | None = None
    bend: float | None = None
    tack: float | None = None
    weld: float | None = None
    foot: float | None = None
    plate: float | None = None
    trim: float | None = None
    each_job: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """What a quote is reckoned by, in the shop's currency; None where the shop has not said.

    Attributes:
        hour: of work.
        filler: 1 kg of wire or rod.
        filler_times: kg of it bought for one kg in the welds.
        gas: for one mm of weld line.
        discs: for one mm of weld line.
        each_job: what every job costs besides, by the shop's words for it.
        margin: put on the sum of work and goods, as a share of that sum.
        tax: put on the price with margin, as a share of it.
    """

    hour: float | None = None
    filler: float | None = None
    filler_times: float | None = None
    gas: float | None = None
    discs: float | None = None
    each_job: tuple[tuple[str, float], ...] = ()
    margin: float | None = None
    tax: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetOnSale:
    """A sheet that the supplier sells: thickness, both sides, mm, steel, and price or None."""

    thickness: float
    size: tuple[float, float]
    steel: str = ""
    price: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltOnSale:
    """A bolt with its nut and washers: size such as ``M8`` or ``5/16``, grade, and the price of one."""

    size: str
    grade: str
    price: float


NO_TIMES, NO_PRICES = Times(), Prices()
"""Of a shop that has not said any."""
