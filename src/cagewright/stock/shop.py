"""The shop: its dies, the lengths it buys, its saw, prices and offcuts."""

from __future__ import annotations

from dataclasses import dataclass

from cagewright.stock.benders import Die
from cagewright.stock.folding import FoldTrial
from cagewright.stock.rates import NO_PRICES, NO_TIMES, BoltOnSale, Prices, SheetOnSale, Times
from cagewright.stock.sections import Section, Shape
from cagewright.stock.tubes import Tube


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A piece of tube or of another section.

    Attributes:
        od: outside diameter, or the first side of another section, mm.
        wall: mm.
        steel: the steel's name.
        length: mm.
        shape: of its section.
        side: the second side of a rectangle or an angle, mm; 0 for the others.
    """

    od: float
    wall: float
    steel: str
    length: float
    shape: Shape = "round"
    side: float = 0.0

    @property
    def section(self) -> Section:
        """Its section, corners sharp."""
        depth = self.side or (self.wall if self.shape == "flat" else self.od)
        return Section(shape=self.shape, width=self.od, depth=depth, wall=self.wall)


@dataclass(frozen=True, slots=True, kw_only=True)
class StockLength(Piece):
    """A length the supplier sells; its price in the shop's currency, None where not entered."""

    price: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Offcut(Piece):
    """A piece left over from an earlier job, by name."""

    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Nozzle:
    """A torch's nozzle or cup, mm: outside diameter, length, and the wire or electrode ahead of it."""

    od: float
    length: float
    ahead: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """What the shop has.

    Attributes:
        name: as printed on papers.
        currency: e.g. ``EUR``; empty where prices are not entered.
        kerf: width of the saw cut, mm.
        trim: spare length kept at each coped or cut end for fitting, mm.
        hole_saws: diameters the shop has, mm.
        weld_shrinkage: how many times the tabled pull its welds have, as it has read.
        weld_gap: the widest gap that its welds bridge, mm; None where it is not entered.
        nozzle: of its slimmest torch; None where it is not entered.
        dies: bender dies.
        stock: lengths on sale.
        offcuts: pieces on the rack.
        sheets: sheets on sale.
        bolts: bolts on sale.
        times: what its work takes.
        prices: what a quote is reckoned by.
        folds: how its folder takes sheet, one for each thickness.
    """

    name: str
    currency: str = ""
    kerf: float = 2.0
    trim: float = 10.0
    hole_saws: tuple[float, ...] = ()
    weld_shrinkage: float = 1.0
    weld_gap: float | None = None
    nozzle: Nozzle | None = None
    dies: tuple[Die, ...] = ()
    stock: tuple[StockLength, ...] = ()
    offcuts: tuple[Offcut, ...] = ()
    sheets: tuple[SheetOnSale, ...] = ()
    bolts: tuple[BoltOnSale, ...] = ()
    times: Times = NO_TIMES
    prices: Prices = NO_PRICES
    folds: tuple[FoldTrial, ...] = ()


NO_SHOP = Shop(name="no shop file")
"""Stands in where the plan names no shop: no dies, no stock; sheets that need them say so."""


def die_for(shop: Shop, tube: Tube, clr: float) -> Die | None:
    """The shop's die for this tube and radius (within 0.5 mm each), or None."""
    if not tube.is_round:
        return None
    fits = (d for d in shop.dies if abs(d.od - tube.od) <= 0.5 and abs(d.clr - clr) <= 0.5)
    return next(fits, None)
