from dataclasses import replace

import pytest

from cagewright.make.nesting import RoughPiece, matches, nest, nest_cage
from cagewright.stock.shop import NO_SHOP, Offcut, Shop, StockLength
from handmade import BAR, HOOP
from shopmade import SHOP, cage_of, tube_through


def stock(length, price=None, od=38.0, wall=2.5, steel="E355+N"):
    return StockLength(od=od, wall=wall, steel=steel, length=length, price=price)


def offcut(name, length):
    return Offcut(name=name, od=38.0, wall=2.5, steel="E355+N", length=length)


def shop(*lengths, kerf=2.0, offcuts=()):
    return Shop(name="any", kerf=kerf, stock=lengths, offcuts=offcuts)


def pieces(*lengths):
    return [RoughPiece(name=f"p{n}", length=length) for n, length in enumerate(lengths)]


def test_places_and_kerf_on_a_bar():
    bar = nest(BAR, pieces(1000.0, 1000.0), shop(stock(3000.0))).bars[0]
    assert [(p.at, p.length) for p in bar.pieces] == [(0.0, 1000.0), (1002.0, 1000.0)]
    assert (bar.kerf, bar.rest) == pytest.approx((4.0, 996.0))


def test_least_length_where_there_are_no_prices():
    plan = nest(BAR, pieces(2900.0, 2900.0, 2900.0), shop(stock(6000.0), stock(3000.0)))
    assert (plan.objective, plan.bought, plan.cost) == ("length", 9000.0, None)


def test_least_cost_where_all_have_prices():
    plan = nest(BAR, pieces(2900.0, 2900.0, 2900.0), shop(stock(6000.0, 50.0), stock(3000.0, 49.0)))
    assert (plan.objective, plan.cost) == ("cost", 99.0)
    dear = nest(BAR, pieces(2900.0, 2900.0, 2900.0), shop(stock(6000.0, 50.0), stock(3000.0, 70.0)))
    assert (dear.cost, dear.bought) == (100.0, 12000.0)


def test_one_missing_price_means_length():
    plan = nest(BAR, pieces(2900.0), shop(stock(6000.0, 5.0), stock(3000.0)))
    assert (plan.objective, plan.bought) == ("length", 3000.0)


def test_a_price_of_nothing_is_no_price():
    assert nest(BAR, pieces(500.0), shop(stock(6000.0, 0.0))).objective == "length"


def test_the_cheaper_of_two_rows_of_one_length():
    assert nest(BAR, pieces(500.0), shop(stock(6000.0, 60.0), stock(6000.0, 55.0))).cost == 55.0


def test_the_rack_is_used_before_a_bar_is_bought():
    plan = nest(BAR, pieces(900.0, 900.0), shop(stock(6000.0), offcuts=(offcut("A", 2000.0),)))
    assert (plan.bought, plan.bars[0].name, len(plan.bars)) == (0.0, "A", 1)
    assert plan.proved
    assert plan.bound == 0.0


def test_the_rack_is_used_even_where_a_bar_is_bought_anyway():
    plan = nest(BAR, pieces(3000.0, 900.0), shop(stock(6000.0), offcuts=(offcut("A", 1000.0),)))
    assert sorted(b.source for b in plan.bars) == ["offcut", "stock"]
    assert plan.bought == 6000.0


def test_an_offcut_is_used_once():
    plan = nest(
        BAR,
        pieces(900.0, 900.0, 900.0),
        shop(stock(6000.0), offcuts=(offcut("A", 1000.0), offcut("B", 1000.0))),
    )
    assert sorted(b.name for b in plan.bars) == ["", "A", "B"]


def test_the_longest_single_rest_is_kept():
    # two bars are needed either way; 3100 + 2500 and 1000 alone keeps 4998, any other split keeps less
    plan = nest(BAR, pieces(3100.0, 2500.0, 1000.0), shop(stock(6000.0)))
    assert len(plan.bars) == 2
    assert max(b.rest for b in plan.bars) == pytest.approx(4998.0)
    assert plan.rests_proved


def test_a_longer_rest_is_found_than_first_fit_leaves():
    # first fit cuts 3500 + 2400 and 2000 + 1600, and keeps 2400; 2400 + 2000 + 1600 fill a bar and keep 2500
    plan = nest(BAR, pieces(3500.0, 2400.0, 2000.0, 1600.0), shop(stock(6000.0), kerf=0.0))
    assert max(b.rest for b in plan.bars) == pytest.approx(2500.0)


def test_hundredths_are_rounded_so_that_no_bar_is_overfilled():
    plan = nest(BAR, pieces(1999.99, 1999.99, 1999.99), shop(stock(5999.9), kerf=0.0))
    assert len(plan.bars) == 2


def test_rests_worth_keeping_are_not_waste():
    plan = nest(BAR, pieces(3000.0), shop(stock(6000.0)))
    assert (plan.kept, plan.waste) == pytest.approx((2998.0, 2.0))
    short = nest(BAR, pieces(5900.0), shop(stock(6000.0)))
    assert (short.kept, short.waste) == pytest.approx((0.0, 100.0))


def test_a_piece_longer_than_any_bar_is_a_problem_in_words():
    plan = nest(BAR, pieces(6500.0, 1000.0), shop(stock(6000.0)))
    assert [p.code for p in plan.problems] == ["longer-than-stock"]
    assert "6500.0 mm and the longest bar is 6000.0 mm" in plan.problems[0].found
    assert [p.name for p in plan.unplaced] == ["p0"]
    assert len(plan.bars) == 1


def test_without_stock_only_the_rack_is_cut():
    plan = nest(BAR, pieces(900.0, 800.0, 700.0), shop(offcuts=(offcut("A", 1800.0),)))
    assert [p.code for p in plan.problems] == ["no-stock-length"]
    assert (len(plan.bars), len(plan.unplaced)) == (1, 1)
    assert len(plan.bars[0].pieces) == 2


def test_with_nothing_at_all_nothing_is_placed():
    plan = nest(BAR, pieces(900.0), NO_SHOP)
    assert (plan.bars, len(plan.unplaced), plan.problems[0].code) == ((), 1, "no-stock-length")
    assert not plan.proved


def test_two_pieces_that_only_one_offcut_takes():
    plan = nest(BAR, pieces(6500.0, 6400.0, 500.0), shop(stock(6000.0), offcuts=(offcut("long", 7000.0),)))
    assert [p.code for p in plan.problems] == ["no-bar-left"]
    assert len(plan.unplaced) == 1
    assert sum(len(b.pieces) for b in plan.bars) == 2


def test_same_pieces_of_one_name_are_all_placed():
    plan = nest(
        BAR, [RoughPiece(name="p", length=6400.0)] * 2, shop(stock(6000.0), offcuts=(offcut("long", 7000.0),))
    )
    assert (len(plan.unplaced), sum(len(b.pieces) for b in plan.bars)) == (1, 1)


def test_rows_match_by_size_and_steel():
    assert matches(BAR, stock(6000.0))
    assert matches(BAR, stock(6000.0, steel="e355+n "))
    assert not matches(BAR, stock(6000.0, wall=2.6))
    assert not matches(BAR, stock(6000.0, od=38.1))
    assert not matches(BAR, stock(6000.0, steel="S355"))


def test_a_bar_of_a_kilometre_is_no_matter():
    plan = nest(BAR, pieces(900.0, 800.0), shop(stock(1e6)))
    assert sum(len(b.pieces) for b in plan.bars) == 2


def test_no_pieces_no_bars():
    plan = nest(BAR, [], shop(stock(6000.0)))
    assert (plan.bars, plan.proved, plan.bought) == ((), True, 0.0)


def test_a_piece_without_length_is_a_programmers_mistake():
    with pytest.raises(ValueError, match="length"):
        nest(BAR, pieces(0.0), shop(stock(6000.0)))


def test_a_cage_is_nested_tube_by_tube():
    a = tube_through(((0, 0, 0), (0, 0, 900)), tube=HOOP, name="a")
    b = tube_through(((0, 0, 0), (0, 0, 700)), tube=BAR, name="b")
    plans = nest_cage(cage_of(a, b, replace(a, name="c")), SHOP)
    assert [p.tube for p in plans] == [HOOP, BAR]
    assert sorted(p.name for bar in plans[0].bars for p in bar.pieces) == ["a", "c"]
    assert plans[0].bars[0].pieces[0].length == pytest.approx(920.0)
