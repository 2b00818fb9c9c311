"""What tube the shop has: bought lengths and offcuts, and what a cut list uses up."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from cagewright.base.answers import Answer
from cagewright.records.opening import opened
from cagewright.records.rack import lacking_bars, offcut_named, on_hand, put, say_piece, use_up
from cagewright.records.types import StockPiece

if TYPE_CHECKING:
    from cagewright.make.nesting import NestPlan, StockBar

__all__ = ["StockPiece"]


@dataclass(frozen=True, slots=True, kw_only=True)
class StockAnswer(Answer):
    """Pieces of tube: what is there, or what came and went (count below 0), each also in words."""

    pieces: tuple[StockPiece, ...]
    words: tuple[str, ...]


def stock_of(where: str, *, offcuts: bool = False) -> StockAnswer:
    """What is there: bought lengths and offcuts, or the offcuts alone.

    Raises:
        ProblemsFound: the record cannot be opened.
    """
    with opened(where) as record:
        return _pieces(p for p in on_hand(record) if not offcuts or p.kind == "offcut")


def _pieces(pieces: Iterable[StockPiece]) -> StockAnswer:
    found = tuple(pieces)
    words = tuple(f"{p.count:+d} {say_piece(p)}" for p in found)
    return StockAnswer(headline=f"{sum(p.count for p in found)} pieces.", pieces=found, words=words)


def stock_came(where: str, piece: StockPiece, *, by: str, job: str = "") -> StockAnswer:
    """Bought lengths that came, or an offcut that goes on the rack.

    Raises:
        ProblemsFound: the piece cannot be, its name is taken, or the record cannot be written.
    """
    why = {"why": "left over", "job": job} if piece.kind == "offcut" else {}
    with opened(where, create=True) as record:
        return _pieces(m.piece for m in put(record, [piece], by=by, **why))


def offcut_used(where: str, job: str, name: str, *, by: str) -> StockAnswer:
    """The offcut used up for a job.

    Raises:
        ProblemsFound: there is no such offcut or job.
    """
    with opened(where) as record:
        return _pieces(m.piece for m in use_up(record, job, [offcut_named(record, name)], by=by))


def stock_cut(where: str, job: str, plan: Path, *, by: str, bought: bool = False) -> StockAnswer:
    """What a plan's cut list uses up, offcuts first, and the rests that go on the rack.

    Args:
        where: the record.
        job: its name.
        plan: the plan file.
        by: who cuts.
        bought: enter bars that are not there as bought.

    Raises:
        ProblemsFound: the plan has problems, or the stock does not have what it takes.
    """
    # what works plans out takes a second to load, which the rest of the rack need not wait for
    from cagewright.job.opening import open_job
    from cagewright.make.nesting import nest_cage
    from cagewright.stock.sections import size_words
    from cagewright.stock.shop import Offcut

    with opened(where) as record:
        found, there = open_job(plan), on_hand(record)
        rack = tuple(
            Offcut(name=p.name, od=p.od, wall=p.wall, steel=p.steel, length=p.length)
            for p in there
            if p.kind == "offcut"
        )
        nests = nest_cage(found.cage, replace(found.shop, offcuts=rack))
        taken, back = cut_by(nests, job)
        lacking = lacking_bars(taken, there) if bought else ()
        if lacking:
            put(record, lacking, by=by, why=f"bought for {job}")
        moved = _pieces(
            m.piece for m in use_up(record, job, taken, back, by=by, why=f"cut list of {plan.name}")
        )
    rails = [size_words(nest.tube.section, found.cage.units) for nest in nests if not nest.tube.is_round]
    if not rails:
        return moved
    told = f"Not entered, for the record keeps round tube alone: {', '.join(rails)}."
    return replace(moved, headline=f"{moved.headline} {told}", words=(*moved.words, told))


def cut_by(nests: Sequence[NestPlan], job: str) -> tuple[tuple[StockPiece, ...], tuple[StockPiece, ...]]:
    """What a cut list uses up, and the rests worth keeping, named after the job; rails are not kept.

    Args:
        nests: how each tube is bought and cut.
        job: the job's name.
    """
    from cagewright.make.nesting import WORTH_KEEPING

    bars = [(nest, bar) for nest in nests for bar in nest.bars if nest.tube.is_round]
    taken = tuple(_of(nest, bar) for nest, bar in bars)
    kept = [(nest, bar) for nest, bar in bars if bar.rest >= WORTH_KEEPING]
    back = tuple(_rest(nest, bar, f"{job}-{i}") for i, (nest, bar) in enumerate(kept, start=1))
    return taken, back


def _of(nest: NestPlan, bar: StockBar) -> StockPiece:
    return StockPiece(
        kind=bar.source, name=bar.name, od=nest.tube.od, wall=nest.tube.wall, steel=nest.tube.steel.name,
        length=bar.length,
    )  # fmt: skip


def _rest(nest: NestPlan, bar: StockBar, name: str) -> StockPiece:
    return replace(_of(nest, bar), kind="offcut", name=name, length=math.floor(bar.rest * 10.0) / 10.0)
