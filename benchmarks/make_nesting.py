"""Nesting against first-fit-decreasing in the same run: time, bars and gap for 20, 60 and 200 pieces.

Run: ``python benchmarks/make_nesting.py ``. Pieces are drawn from a fixed seed; bars are 6 m with a
2 mm kerf, and in the mixed rows 6 m and 7.5 m with prices and three offcuts. The peer is the plain
first-fit-decreasing loop on the best single bought length.
"""

from __future__ import annotations

import random
import time

from cagewright.make.nesting import RoughPiece, nest
from cagewright.stock.shop import Offcut, Shop, StockLength
from cagewright.stock.steels import Steel
from cagewright.stock.tubes import round_tube

STEEL = Steel(name="E355+N", tensile=490.0, source="benchmark", certainty="memory")
TUBE = round_tube(od=38.0, wall=2.5, steel=STEEL)
ROW = {"od": 38.0, "wall": 2.5, "steel": "E355+N"}
PLAIN = Shop(name="plain", kerf=2.0, stock=(StockLength(length=6000.0, **ROW),))
MIXED = Shop(
    name="mixed",
    kerf=2.0,
    stock=(StockLength(length=6000.0, price=60.0, **ROW), StockLength(length=7500.0, price=70.0, **ROW)),
    offcuts=tuple(Offcut(name=f"R{n}", length=n, **ROW) for n in (900.0, 1800.0, 2500.0)),
)


def first_fit(lengths: list[float], shop: Shop) -> float:
    """The peer's objective: each length first to the rack, then to bars of one bought length."""
    best = float("inf")
    for bought in shop.stock:
        room = sorted(o.length for o in shop.offcuts)
        racked = len(room)
        for size in sorted(lengths, reverse=True):
            spot = next((i for i, left in enumerate(room) if size <= left + 1e-9), None)
            if spot is None:
                room.append(bought.length - size - shop.kerf)
            else:
                room[spot] -= size + shop.kerf
        price = bought.length if bought.price is None else bought.price
        best = min(best, (len(room) - racked) * price)
    return best


def pieces(count: int) -> list[float]:
    drawn = random.Random(count)
    return [round(drawn.uniform(300.0, 3200.0), 1) for _ in range(count)]


def main() -> None:
    print("ratio = time / first-fit-decreasing's time")
    heads = ("time s", 8), ("ratio", 8), ("first fit", 10), ("nested", 10), ("bound", 10)
    print(f"{'stock':6} {'pieces':>6} {' '.join(f'{h:>{w}}' for h, w in heads)} gap")
    for shop in (PLAIN, MIXED):
        for count in (20, 60, 200):
            lengths = pieces(count)
            began = time.perf_counter()
            peer = first_fit(lengths, shop)
            between = time.perf_counter()
            plan = nest(TUBE, [RoughPiece(name=f"p{i}", length=n) for i, n in enumerate(lengths)], shop)
            ended = time.perf_counter()
            ratio = (ended - between) / (between - began)
            got = plan.bought if plan.cost is None else plan.cost
            gap = "proved" if plan.proved else f"{100.0 * plan.gap:.1f} %"
            print(
                f"{shop.name:6} {count:6d} {ended - between:8.2f} {ratio:8.0f} {peer:10.0f} {got:10.0f} "
                f"{plan.bound:10.0f} {gap}"
            )


if __name__ == "__main__":
    main()
