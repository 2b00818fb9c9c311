"""Nesting: rough lengths on bought lengths and offcuts, least bought first, proved or with its bound."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from cagewright.base.names import shown
from cagewright.base.problems import Problem, Where
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.make.cutlist import CutRow, cut_list, tube_words
from cagewright.make.patterns import BarKind, CuttingJob, Pattern, SolvedPatterns, solve
from cagewright.shape.types import Cage
from cagewright.stock.sections import alike
from cagewright.stock.shop import Offcut, Shop, StockLength
from cagewright.stock.tubes import Tube

STEP = 0.1
"""Lengths are rounded up to this many mm for the search, so a bar is never overfilled; nobody saws finer."""
TABLE = 12e6
"""Most steps in one table of the search; more lengths or longer bars than that are taken in longer steps."""
WORTH_KEEPING = 300.0
"""A shorter rest counts as waste, mm (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughPiece:
    """A rough length to be cut, mm, for the member ``name``."""

    name: str
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceOnBar:
    """A piece on a bar: it runs from ``at`` to ``at + length``, mm from the bar's end."""

    name: str
    length: float
    at: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StockBar:
    """One bar and what is cut from it; pieces + kerf + rest make up its length.

    Attributes:
        source: bought or from the rack.
        name: the offcut's name; empty for a bought bar.
        length: mm.
        price: of a bought bar; None where not entered or an offcut.
        pieces: in the order they are cut.
        kerf: what the saw turns to swarf, mm.
        rest: what is left in one piece, mm; 0 where the last cut takes it.
    """

    source: Literal["stock", "offcut"]
    name: str
    length: float
    price: float | None
    pieces: tuple[PieceOnBar, ...]
    kerf: float
    rest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NestPlan:
    """How one tube is bought and cut.

    Attributes:
        tube: size and steel.
        bars: offcuts first, then bought bars, each by falling length of its contents.
        objective: ``cost`` where every length on sale has a price, else ``length`` bought, mm.
        bought: total length bought, mm.
        cost: of the bought bars; None without prices.
        bound: no cutting plan buys for less, in the objective's unit.
        gap: how far the plan may be from the best, as a share of the plan; 0 where proved.
        proved: the plan buys the least there is.
        rests_proved: besides, among all such plans it uses the rack most and then keeps the longest rest.
        kept: total of rests worth keeping, mm.
        waste: kerf and shorter rests, mm.
        unplaced: pieces that no bar takes.
        problems: what the shop must see to.
    """

    tube: Tube
    bars: tuple[StockBar, ...]
    objective: Literal["cost", "length"]
    bought: float
    cost: float | None
    bound: float
    gap: float
    proved: bool
    rests_proved: bool
    kept: float
    waste: float
    unplaced: tuple[RoughPiece, ...]
    problems: tuple[Problem, ...]


def nest_cage(cage: Cage, shop: Shop, *, rests: bool = True) -> tuple[NestPlan, ...]:
    """One plan for each tube of the cage that is not bought bent, in the order the tubes first appear.

    Args:
        cage: what will be built.
        shop: lengths on sale, offcuts, kerf and trim.
        rests: look for the longest rest too, which takes longest.
    """
    rows: dict[Tube, list[CutRow]] = defaultdict(list)
    bought = {member.name for member in cage.members if member.bought}
    for row in cut_list(cage, shop):
        if row.member not in bought:
            rows[row.tube].append(row)
    return tuple(
        nest(
            tube,
            (RoughPiece(name=r.member, length=r.rough) for r in some),
            shop,
            rests=rests,
            units=cage.units,
        )
        for tube, some in rows.items()
    )


def nest(
    tube: Tube, pieces: Iterable[RoughPiece], shop: Shop, *, rests: bool = True, units: LengthUnit = "mm"
) -> NestPlan:
    """The cheapest bars for the pieces of one tube, rack first, longest rest kept.

    Bought cost is least, or bought length where a length on sale has no price; among equals most is cut from
    offcuts; then the longest single rest is kept. See docs/theory/nesting.md.

    Args:
        tube: size and steel.
        pieces: rough lengths, more than 0 mm.
        shop: lengths on sale, offcuts and kerf.
        rests: look for the longest rest too, which takes longest.
        units: what the builder's tape reads.

    Raises:
        ValueError: a piece has no length.
    """
    pieces = tuple(pieces)
    if any(p.length <= 0.0 for p in pieces):
        raise ValueError("every piece to nest needs a length")
    rack = _rack(tube, shop, len({round(p.length, 1) for p in pieces}))
    long = [p for p in pieces if p.length > rack.longest]
    some = [p for p in pieces if p.length <= rack.longest]
    bars, left, solved = _placed(rack, some, rests=rests)
    problems = (
        *_no_stock(rack, units),
        *(_too_long(rack, p, units) for p in long if rack.stock),
        *_left_over(rack, left, units),
    )
    return _plan(rack, bars, (*long, *left), problems, solved)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rack:
    """What can be cut for one tube."""

    tube: Tube
    stock: tuple[StockLength, ...]
    offcuts: tuple[Offcut, ...]
    kerf: float
    step: float

    @property
    def priced(self) -> bool:
        return bool(self.stock) and all(s.price is not None and s.price > 0.0 for s in self.stock)

    @property
    def longest(self) -> float:
        return max((s.length for s in (*self.stock, *self.offcuts)), default=0.0)


def _rack(tube: Tube, shop: Shop, lengths: int) -> _Rack:
    stock, offcuts = (
        _on_sale(tube, shop),
        tuple(sorted((o for o in shop.offcuts if matches(tube, o)), key=lambda o: (o.length, o.name))),
    )
    longest = max((s.length for s in (*stock, *offcuts)), default=0.0)
    step = max(STEP, longest * lengths / TABLE)
    return _Rack(tube=tube, stock=stock, offcuts=offcuts, kerf=shop.kerf, step=step)


def matches(tube: Tube, row: StockLength | Offcut) -> bool:
    """Whether the row is this tube: size within 0.05 mm, steel by name."""
    near = alike(row.section, tube.section, 0.0500001)
    return near and row.steel.strip().lower() == tube.steel.name.strip().lower()


def _on_sale(tube: Tube, shop: Shop) -> tuple[StockLength, ...]:
    """Lengths on sale, each length once (the cheaper where there are two)."""
    rows = sorted((s for s in shop.stock if matches(tube, s)), key=lambda s: (s.length, -(s.price or 0.0)))
    return tuple({s.length: s for s in rows}.values())


# --- to whole steps and back


def _steps(rack: _Rack, piece: RoughPiece) -> int:
    return math.ceil((piece.length + rack.kerf) / rack.step - 1e-6)


def _room(rack: _Rack, bar: StockLength | Offcut) -> int:
    return math.floor((bar.length + rack.kerf) / rack.step + 1e-6)


def _kinds(rack: _Rack) -> tuple[BarKind, ...]:
    racked = Counter(_room(rack, o) for o in rack.offcuts)
    sold = (
        BarKind(size=_room(rack, s), cost=(s.price or 0.0) if rack.priced else s.length) for s in rack.stock
    )
    return (*(BarKind(size=size, cost=0.0, limit=n) for size, n in sorted(racked.items())), *sold)


def _placed(
    rack: _Rack, pieces: list[RoughPiece], *, rests: bool
) -> tuple[tuple[StockBar, ...], tuple[RoughPiece, ...], SolvedPatterns | None]:
    """The bars, the pieces no bar takes, and how the solve ended."""
    if not pieces:
        return (), (), None
    sizes = Counter(_steps(rack, p) for p in pieces)
    order = sorted(sizes, reverse=True)
    job = CuttingJob(sizes=tuple(order), demand=tuple(sizes[s] for s in order), kinds=_kinds(rack))
    solved = solve(job, rests=rests)
    bins: dict[int, list[RoughPiece]] = defaultdict(list)
    for p in reversed(pieces):
        bins[_steps(rack, p)].append(p)
    bars = _bars(rack, job, solved.bars, bins)
    return bars, tuple(p for some in bins.values() for p in some), solved


def _bars(
    rack: _Rack, job: CuttingJob, bars: tuple[Pattern, ...], bins: Mapping[int, list[RoughPiece]]
) -> tuple[StockBar, ...]:
    """The bars with their pieces by name, each taken out of its bin."""
    offcuts: dict[int, list[Offcut]] = defaultdict(list)
    for o in reversed(rack.offcuts):
        offcuts[_room(rack, o)].append(o)
    racked = len(job.kinds) - len(rack.stock)
    made: list[StockBar] = []
    for bar in sorted(bars, key=lambda b: (b.kind, [-n for n in b.counts])):
        some = [bins[s].pop() for s, n in zip(job.sizes, bar.counts, strict=True) for _ in range(n)]
        if bar.kind < racked:
            off = offcuts[job.kinds[bar.kind].size].pop()
            made.append(_bar("offcut", off.name, off.length, None, some, rack.kerf))
        else:
            s = rack.stock[bar.kind - racked]
            made.append(_bar("stock", "", s.length, s.price, some, rack.kerf))
    return tuple(made)


def _bar(
    source: Literal["stock", "offcut"],
    name: str,
    length: float,
    price: float | None,
    pieces: list[RoughPiece],
    kerf: float,
) -> StockBar:
    """The bar with every piece's place; the last cut may run off the bar's end."""
    at, placed = 0.0, list[PieceOnBar]()
    for p in pieces:
        placed.append(PieceOnBar(name=p.name, length=p.length, at=at))
        at += p.length + kerf
    rest = max(length - at, 0.0)
    total = sum(p.length for p in pieces)
    return StockBar(source=source, name=name, length=length, price=price, pieces=tuple(placed),
               kerf=length - total - rest, rest=rest)  # fmt: skip


def _plan(
    rack: _Rack,
    bars: tuple[StockBar, ...],
    left: tuple[RoughPiece, ...],
    problems: tuple[Problem, ...],
    solved: SolvedPatterns | None,
) -> NestPlan:
    bought = [b for b in bars if b.source == "stock"]
    cost = sum(b.price or 0.0 for b in bought) if rack.priced else None
    kept = sum(b.rest for b in bars if b.rest >= WORTH_KEEPING)
    value = solved.cost if solved else 0.0
    bound = solved.bound if solved else 0.0
    return NestPlan(
        tube=rack.tube, bars=bars, objective="cost" if rack.priced else "length",
        bought=sum(b.length for b in bought), cost=cost, bound=bound,
        gap=(value - bound) / value if value > 0.0 else 0.0,
        proved=solved.proved if solved else not left,
        rests_proved=solved.rests_proved if solved else not left, kept=kept,
        waste=sum(b.kerf + b.rest for b in bars) - kept, unplaced=left, problems=problems,
    )  # fmt: skip


# --- what the shop must see to


def _no_stock(rack: _Rack, units: LengthUnit) -> tuple[Problem, ...]:
    if rack.stock:
        return ()
    return (
        Problem(
            code="no-stock-length",
            where=Where(file=f"tube {tube_words(rack.tube, units)}"),
            found="the shop lists no length on sale",
            wanted="enter stock lengths of this size and steel in the shop file",
        ),
    )


def _too_long(rack: _Rack, piece: RoughPiece, units: LengthUnit) -> Problem:
    return Problem(
        code="longer-than-stock",
        where=Where(file=f"member {shown(piece.name)}"),
        found=f"the rough tube is {say_length(piece.length, units)} and the longest bar is "
        f"{say_length(rack.longest, units)}",
        wanted="buy a longer length, or plan the member in two tubes",
    )


def _left_over(rack: _Rack, left: tuple[RoughPiece, ...], units: LengthUnit) -> tuple[Problem, ...]:
    return tuple(
        Problem(
            code="no-bar-left",
            where=Where(file=f"member {shown(p.name)}"),
            found=f"the rough tube of {say_length(p.length, units)} fits no bar that is left",
            wanted="buy a length that takes it",
        )
        for p in left
        if rack.stock
    )
