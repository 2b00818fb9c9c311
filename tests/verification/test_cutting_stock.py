"""Cutting stock: worked examples with known answers.

1. V. Chvatal, Linear Programming (1983), chapter 13: raws of 100 in; finals of 45, 36, 31 and 14 in wanted
   97, 610, 395 and 211 times. Data read second-hand (public solver collections use it, naming Gilmore and
   Gomory, Operations Research 9 (1961) and 11 (1963)); the 453 raws (fractional optimum
   452.25) from memory.
2. The paper-machine example of the encyclopedia article 'Cutting stock problem': master rolls of 5600 mm,
   thirteen widths, 73 rolls and 0.401 % waste. Figures from memory; the material itself needs 73 rolls.
3. Kerf: counting by hand.
"""

import math

import pytest

from cagewright.make.nesting import RoughPiece, nest
from cagewright.make.patterns import BarKind, CuttingJob, solve
from cagewright.stock.shop import Shop, StockLength
from cagewright.stock.steels import Steel
from cagewright.stock.tubes import round_tube

STEEL = Steel(name="any", tensile=1.0, source="made up for tests", certainty="memory")
TUBE = round_tube(od=38.0, wall=2.5, steel=STEEL)
FINALS = {45.0: 97, 36.0: 610, 31.0: 395, 14.0: 211}
WIDTHS = {
    1380.0: 22, 1520.0: 25, 1560.0: 12, 1710.0: 14, 1820.0: 18, 1880.0: 18, 1930.0: 20,
    2000.0: 10, 2050.0: 12, 2100.0: 14, 2140.0: 16, 2150.0: 18, 2200.0: 20,
}  # fmt: skip


def shop(length: float, kerf: float = 0.0) -> Shop:
    return Shop(name="any", kerf=kerf, stock=(StockLength(od=38.0, wall=2.5, steel="any", length=length),))


def pieces(wanted: dict[float, int]) -> list[RoughPiece]:
    return [
        RoughPiece(name=f"{size:g}_{n}", length=size) for size, many in wanted.items() for n in range(many)
    ]


def test_chvatal_453_raws():
    plan = nest(TUBE, pieces(FINALS), shop(100.0))
    assert len(plan.bars) == 453
    assert plan.proved
    assert plan.bound == pytest.approx(45300.0)


def test_paper_machine_73_rolls():
    plan = nest(TUBE, pieces(WIDTHS), shop(5600.0))
    needed = sum(size * many for size, many in WIDTHS.items())
    assert math.ceil(needed / 5600.0) == 73
    assert len(plan.bars) == 73
    assert plan.proved
    assert 1.0 - needed / plan.bought == pytest.approx(0.00401, abs=5e-6)


@pytest.mark.parametrize(("kerf", "bars"), [(0.0, 3), (2.0, 4)])
def test_kerf_takes_the_third_piece(kerf, bars):
    # three pieces of 2000 fill a bar of 6000 only where the saw takes nothing
    plan = nest(TUBE, pieces({2000.0: 8 if kerf else 9}), shop(6000.0, kerf))
    assert len(plan.bars) == bars


def test_the_last_cut_may_run_off_the_end():
    # 2 x 2999 and one kerf of 2 fill 6000 exactly; no third cut
    plan = nest(TUBE, pieces({2999.0: 2}), shop(6000.0, 2.0))
    assert len(plan.bars) == 1
    assert (plan.bars[0].kerf, plan.bars[0].rest) == (2.0, 0.0)


def test_what_no_bar_takes_is_left_over():
    solved = solve(CuttingJob(sizes=(10,), demand=(3,), kinds=(BarKind(size=10, cost=0.0, limit=2),)))
    assert (len(solved.bars), solved.unplaced) == (2, (1,))
