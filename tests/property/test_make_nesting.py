"""Nesting: nothing lost or overfilled, never worse than first-fit-decreasing, as good as trying all."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cagewright.make.nesting import RoughPiece, nest
from cagewright.stock.shop import Offcut, Shop, StockLength
from cases import cases
from handmade import BAR

tenths = st.integers(500, 32000).map(lambda n: n / 10.0)  # the search works in tenths of a millimetre
many = st.lists(tenths, min_size=1, max_size=18)
few = st.lists(st.integers(5000, 30000).map(lambda n: n / 10.0), min_size=1, max_size=6)
kerfs = st.sampled_from([0.0, 1.6, 2.0, 3.2])
offcut_lengths = st.lists(st.integers(3000, 30000).map(lambda n: n / 10.0), max_size=2)


def shop(lengths, prices, offcuts, kerf):
    row = {"od": 38.0, "wall": 2.5, "steel": "E355+N"}
    return Shop(
        name="any",
        kerf=kerf,
        stock=tuple(StockLength(length=n, price=p, **row) for n, p in zip(lengths, prices, strict=True)),
        offcuts=tuple(Offcut(name=f"rack {i}", length=n, **row) for i, n in enumerate(offcuts)),
    )


def pieces(lengths):
    return [RoughPiece(name=f"p{i}", length=n) for i, n in enumerate(lengths)]


@pytest.mark.slow
@given(many, offcut_lengths, kerfs)
@settings(deadline=None, max_examples=cases(60))
def test_nothing_is_lost(lengths, offcuts, kerf):
    plan = nest(BAR, pieces(lengths), shop([6000.0, 7500.0], [None, None], offcuts, kerf))
    placed = sorted((p.name, p.length) for b in plan.bars for p in b.pieces)
    assert placed == sorted((f"p{i}", n) for i, n in enumerate(lengths))
    for bar in plan.bars:
        assert sum(p.length for p in bar.pieces) + bar.kerf + bar.rest == pytest.approx(bar.length, abs=1e-6)
        assert bar.rest >= 0.0
        cuts = len(bar.pieces) if bar.rest > 0.0 else len(bar.pieces) - 1
        assert bar.kerf == pytest.approx(cuts * kerf, abs=kerf + 1e-6)
        if bar.rest > 0.0:
            assert bar.kerf == pytest.approx(cuts * kerf, abs=1e-6)
        for a, b in zip(bar.pieces, bar.pieces[1:], strict=False):
            assert b.at == pytest.approx(a.at + a.length + kerf)
        assert bar.pieces[-1].at + bar.pieces[-1].length <= bar.length + 1e-6
    assert plan.kept + plan.waste == pytest.approx(sum(b.kerf + b.rest for b in plan.bars))
    used = [b.name for b in plan.bars if b.source == "offcut"]
    assert len(used) == len(set(used))


def first_fit(lengths, stock, kerf):
    """Bars of one length that first-fit-decreasing needs: the plain loop, apart from the project's."""
    left = []
    for n in sorted(lengths, reverse=True):
        spot = next((i for i, room in enumerate(left) if n <= room + 1e-9), None)
        if spot is None:
            left.append(stock - n - kerf)
        else:
            left[spot] -= n + kerf
    return len(left)


@pytest.mark.slow
@given(many, kerfs)
@settings(deadline=None, max_examples=cases(60))
def test_never_worse_than_first_fit_decreasing(lengths, kerf):
    plan = nest(BAR, pieces(lengths), shop([6000.0], [None], [], kerf))
    assert plan.bought <= 6000.0 * first_fit(lengths, 6000.0, kerf) + 1e-6
    assert plan.bound <= plan.bought + 1e-6
    assert plan.gap == pytest.approx((plan.bought - plan.bound) / plan.bought)
    assert plan.proved == (plan.gap < 1e-9)


def partitions(items):
    """Every way to share the items out into heaps."""
    if not items:
        yield []
        return
    first, rest = items[0], items[1:]
    for heaps in partitions(rest):
        yield [[first], *heaps]
        for i, heap in enumerate(heaps):
            yield [*heaps[:i], [first, *heap], *heaps[i + 1 :]]


def best_by_trying_all(lengths, stock, prices, offcuts, kerf):
    """Least cost, then most cut from the rack, then longest rest, over every way to share out the pieces."""
    bars = [
        *((n, p, None) for n, p in zip(stock, prices, strict=True)),
        *((n, 0.0, i) for i, n in enumerate(offcuts)),
    ]
    best = None
    for heaps in partitions(list(lengths)):
        need = [sum(h) + kerf * (len(h) - 1) for h in heaps]
        for chosen in product(bars, repeat=len(heaps)):
            racked = [i for _, _, i in chosen if i is not None]
            if len(racked) != len(set(racked)) or any(
                n > b[0] + 1e-9 for n, b in zip(need, chosen, strict=True)
            ):
                continue
            cost = sum(b[1] for b in chosen)
            rack = sum(sum(h) + kerf * len(h) for h, b in zip(heaps, chosen, strict=True) if b[2] is not None)
            rest = max(max(b[0] - n - kerf, 0.0) for n, b in zip(need, chosen, strict=True))
            score = (round(cost, 6), -round(rack, 6), -round(rest, 6))
            best = score if best is None else min(best, score)
    return best


@given(few, st.lists(st.integers(3000, 30000).map(lambda n: n / 10.0), max_size=1), kerfs)
@settings(deadline=None, max_examples=cases(60))
def test_as_good_as_trying_all(lengths, offcuts, kerf):
    stock, prices = [3000.0, 6000.0], [33.0, 60.0]
    plan = nest(BAR, pieces(lengths), shop(stock, prices, offcuts, kerf))
    cost, rack, rest = best_by_trying_all(lengths, stock, prices, offcuts, kerf)
    assert plan.proved
    assert plan.cost == pytest.approx(cost)
    assert plan.rests_proved
    racked = sum(
        sum(p.length for p in b.pieces) + kerf * len(b.pieces) for b in plan.bars if b.source == "offcut"
    )
    assert racked == pytest.approx(-rack)
    assert max(b.rest for b in plan.bars) == pytest.approx(-rest)
