"""The padding list: tube, from, to, inside reach of whom, the kind asked by which book, length to buy."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from cagewright.base.answers import Value, figure
from cagewright.base.names import shown
from cagewright.base.say import say_length
from cagewright.check.body.near_driver import Pad, pads_of
from cagewright.check.judge import say_bounds
from cagewright.check.rules import Book, Rule
from cagewright.shape.seated import figures
from cagewright.shape.types import Cage, Member

THICKNESS = "padding thickness"
"""The measure by which a book asks for padding."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PadRow:
    """One stretch of padding.

    Attributes:
        tube: the member's name.
        shown: the same as it is read.
        start: from the member's start.
        stop: from the member's start.
        reach: what of whom can reach it.
        kind: what padding is asked for.
        asked: by which book, or that none of the plan's does.
        length: to buy.
    """

    tube: str
    shown: str
    start: Value
    stop: Value
    reach: str
    kind: str
    asked: str
    length: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class Padding:
    """The padding list.

    Attributes:
        rows: tube by tube, in the plan's order.
        total: to buy, nothing added for waste.
        words: how many tubes and how much, and what the reach rests on.
    """

    rows: tuple[PadRow, ...]
    total: Value
    words: str


def padding_of(cage: Cage, books: Iterable[Book]) -> Padding:
    """The padding list of the cage, by the rule books that the plan names."""
    asked = [(book, rule) for book in books for rule in book.rules if rule.measure == THICKNESS]
    pads = {pad.member: pad for pad in pads_of(cage)}
    rows = [row for m in cage.members if m.name in pads for row in _rows(cage, m, pads[m.name], asked)]
    total = figure(sum(row.length.value or 0.0 for row in rows), "run", cage.units)
    tubes = len({row.tube for row in rows})
    words = (
        f"{tubes} tube{'' if tubes == 1 else 's'}, {total.said} of padding; how far a strapped-in body "
        "reaches is assumed, no source"
        if rows
        else "nobody seated can reach a tube, or the plan has nobody in a seat"
    )
    return Padding(rows=tuple(rows), total=total, words=words)


def stretches_of(padding: Padding) -> Mapping[str, tuple[tuple[float, float], ...]]:
    """The stretches (start, stop), mm, of each padded tube, for a view."""
    found: dict[str, tuple[tuple[float, float], ...]] = {}
    for row in padding.rows:
        ends = (row.start.value or 0.0, row.stop.value or 0.0)
        found[row.tube] = (*found.get(row.tube, ()), ends)
    return found


def _rows(cage: Cage, member: Member, pad: Pad, asked: list[tuple[Book, Rule]]) -> Iterable[PadRow]:
    mine = [(book, rule) for book, rule in asked if member.role in rule.members]
    kind, by = _asked(cage, mine)
    for start, stop in pad.stretches:
        yield PadRow(
            tube=member.name,
            shown=shown(member.name),
            start=figure(start, "length", cage.units, places=0),
            stop=figure(stop, "length", cage.units, places=0),
            reach=", ".join(pad.parts),
            kind=kind,
            asked=by,
            length=figure(stop - start, "length", cage.units, places=0),
        )


def _asked(cage: Cage, mine: list[tuple[Book, Rule]]) -> tuple[str, str]:
    """The kind that the books ask for, and which they are; what another book asks where none of them does."""
    if not mine:
        table = figures()["padding"]
        thick = say_length(table["thickness"], cage.units, places=0)
        return f"at least {thick} thick", f"none of the plan's books; so {table['source'].partition(' (')[0]}"
    kinds = dict.fromkeys(f"{say_bounds(rule.bounds, 'fine', cage.units)} thick" for _, rule in mine)
    return "; ".join(kinds), ", ".join(f"{rule.clause} ({book.id})" for book, rule in mine)
