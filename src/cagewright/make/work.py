"""Everything the shop is told about one cage, worked out once."""

from __future__ import annotations

from dataclasses import dataclass

from cagewright.base.problems import Problem
from cagewright.make.bending import BendSheet, bend_sheet
from cagewright.make.cutlist import CutRow, cut_list
from cagewright.make.holesaw import SawSetting, saw_settings
from cagewright.make.nesting import NestPlan, nest_cage
from cagewright.make.weights import Weights, weigh
from cagewright.make.weldmap import WeldMap, weld_map
from cagewright.shape.types import Cage
from cagewright.stock.shop import Shop


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """The numbers behind the shop's papers.

    Attributes:
        cage: what will be built.
        shop: what it is built with.
        cuts: the cut list, a row for each member.
        nests: bars to buy and cut, one plan for each tube.
        bends: a sheet for each member that the shop bends.
        saws: a setting for each coped end.
        welds: every weld line.
        weights: of every part and of the whole.
    """

    cage: Cage
    shop: Shop
    cuts: tuple[CutRow, ...]
    nests: tuple[NestPlan, ...]
    bends: tuple[BendSheet, ...]
    saws: tuple[SawSetting, ...]
    welds: WeldMap
    weights: Weights


def work_out(cage: Cage, shop: Shop) -> Work:
    """The cage's numbers for this shop.

    Args:
        cage: what will be built.
        shop: dies, stock, saws and prices.
    """
    return Work(
        cage=cage,
        shop=shop,
        cuts=cut_list(cage, shop),
        nests=nest_cage(cage, shop),
        bends=tuple(bend_sheet(m, shop, cage.units) for m in cage.members if m.bends and not m.bought),
        saws=saw_settings(cage, shop),
        welds=weld_map(cage),
        weights=weigh(cage),
    )


def to_see_to(work: Work) -> tuple[Problem, ...]:
    """What the shop must see to before it starts: tube to buy, dies, straights."""
    nests = (p for n in work.nests for p in n.problems)
    bends = (p for b in work.bends for p in b.problems)
    return (*nests, *bends)
