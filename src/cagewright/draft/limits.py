"""What a rule book and a shop let a draft be made of, as plain figures."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from cagewright.plan.types import TubeEntry
from cagewright.stock.catalogue import steels
from cagewright.stock.shop import NO_SHOP, Shop

Size = tuple[float, float]
"""Outside diameter and wall, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The rule book's figures that a draft keeps.

    Attributes:
        hoop_sizes: tubes allowed for the main rollbar, the book's first first; empty for any.
        bar_sizes: tubes allowed for every other member.
        radius: least centreline radius over the tube's diameter.
        leg_area: least contact area of the legs' plates, mm2.
        stay_area: of the backstays' plates, mm2.
        plate: least thickness of the plates, mm.
        stay_angle: least angle of the backstays from the vertical, rad.
        door_share: highest attachment of a doorbar as a share of the door opening's height.
        foot_near: a diagonal's lower end is no further than this from a foot, mm.
        joint_near: an end at a joint is no further than this from it, mm.
        straight_stay: backstays are straight.
        bolts: least bolts in a leg's and in a backstay's foot.
        plate_side: no side of a plate is shorter, mm.
        stay_plate: least thickness of the backstays' plates, mm.
        doorbars: least doorbars on a side.
        posts: least posts between the doorbars of a side.
        doorbar_gussets: each end of a doorbar has a gusset.
    """

    hoop_sizes: tuple[Size, ...] = ()
    bar_sizes: tuple[Size, ...] = ()
    radius: float = 3.0
    leg_area: float = 12_000.0
    stay_area: float = 6_000.0
    plate: float = 3.0
    stay_angle: float = math.radians(30.0)
    door_share: float = 0.5
    foot_near: float = 100.0
    joint_near: float = 100.0
    bolts: tuple[int, int] = (0, 0)
    plate_side: float = 0.0
    stay_plate: float = 0.0
    doorbars: int = 0
    posts: int = 0
    doorbar_gussets: bool = False


USUAL_HOOP: Size = (45.0, 2.5)
USUAL_BAR: Size = (38.0, 2.5)
STEEL = "E355+N"


def chosen_tube(
    sizes: Sequence[Size], usual: Size, limits: Limits, shop: Shop
) -> tuple[TubeEntry, float, str]:
    """A tube of an allowed size that the shop can bend and buy: (tube, least straight mm, what to know).

    The first size that has both a die of enough radius and a stock length is taken; else one that has a die.
    Stock of a steel that only a mill sheet knows is passed by: a draft has no sheet.
    """
    best: tuple[int, TubeEntry, float] | None = None
    for od, wall in sizes or (usual,):
        die = next(
            (d for d in sorted(shop.dies, key=lambda d: d.clr)
             if abs(d.od - od) <= 0.5 and d.clr >= limits.radius * od - 1e-6),
            None,
        )  # fmt: skip
        stock = next(
            (s for s in shop.stock if s.shape == "round"
             and abs(s.od - od) <= 0.5 and abs(s.wall - wall) <= 0.05 and s.steel in steels()),
            None,
        )  # fmt: skip
        score = 2 * (die is not None) + (stock is not None)
        clr = die.clr if die is not None else limits.radius * od
        entry = TubeEntry(od=od, wall=wall, steel=stock.steel if stock is not None else STEEL, clr=clr)
        if best is None or score > best[0]:
            best = (score, entry, die.least_straight if die is not None else od)
    assert best is not None
    score, entry, least = best
    return entry, least, _missing(score, entry, shop)


def _missing(score: int, entry: TubeEntry, shop: Shop) -> str:
    lacks = [word for bit, word in ((2, "no die"), (1, "no stock length")) if not score & bit]
    if not lacks:
        return ""
    who = f"{shop.name}, so" if shop == NO_SHOP else f"{shop.name} has"
    return f"{who} {' and '.join(lacks)} for {entry.across:g} x {entry.wall:g} mm"
