"""What the book's template is told: plain data, and the drawings as SVG files beside it."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from cagewright.base.drawing import Drawing
from cagewright.base.sheet import PAPERS, Sheet, Table
from cagewright.job.papers import BuildBook
from cagewright.job.writers import to_svg


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPart:
    """How one kind of sheet is printed.

    Attributes:
        kind: of the sheets.
        title: heading of the part.
        fresh: each sheet starts a new page.
        wide: on pages turned on their side, for wide tables.
        before: how many tables stand before the drawings; the rest follow them.
        captions: the drawings' titles are printed over them.
    """

    kind: str
    title: str
    fresh: bool = False
    wide: bool = False
    before: int = 99
    captions: bool = False


PARTS = (
    SheetPart(kind="findings", title="Findings", wide=True, before=2),
    SheetPart(kind="sight", title="What the driver sees", wide=True, before=0),
    SheetPart(kind="trims", title="What is in the way", wide=True, captions=True),
    SheetPart(kind="cage", title="The cage", before=0),
    SheetPart(kind="cut list", title="Cut list", wide=True),
    SheetPart(kind="nesting", title="Lengths to buy and cut", before=0, captions=True),
    SheetPart(kind="bend sheet", title="Bend sheets", fresh=True, before=2),
    SheetPart(kind="weld map", title="Weld map", wide=True),
    SheetPart(kind="fit-up", title="Fit-up", fresh=True, before=1, captions=True),
    SheetPart(kind="strength", title="Strength", fresh=True, before=1, captions=True),
    SheetPart(kind="inspection", title="Inspection", wide=True),
    SheetPart(kind="offer", title="Offer", before=9),
    SheetPart(kind="costs", title="Costs", before=9),
    SheetPart(kind="every finding", title="Every finding", wide=True, before=0, captions=True),
)
"""The book's parts in print order, after title page, contents and cautions; the wraps come last."""
UPRIGHT, ON_ITS_SIDE = 92, 142
"""About how many letters of a table fit across the page, upright and on its side."""
_GAP = 2
"""Room between columns, letters."""
_WORD = 1.12
"""A word may be this much wider than so many middling letters: figures and capitals are."""
_SLIM = 0.75
"""A column that needs no more than this part of an even share of the room is left whole."""
_FIRST = "To be seen to"
"""A note that begins so stands before everything else on its sheet."""
_LONG = re.compile(r"\S{24,}|\S*_\S*")
_BREAK = "\u200b"
"""A place where a line may break; prints nothing."""


def breakable(text: str) -> str:
    """The text with places to break inside words that are longer than a table's column."""
    return _LONG.sub(lambda found: _broken(found[0]), text)


def _broken(word: str) -> str:
    soft = word.replace("_", "_" + _BREAK)
    return re.sub(r"([^\s\u200b]{16})", rf"\1{_BREAK}", soft)


class Files:
    """The files handed to the typesetter, drawings numbered in the order they are asked for."""

    def __init__(self) -> None:
        self.content: dict[str, bytes] = {}

    def drawing(self, drawing: Drawing) -> dict[str, Any]:
        """What the template needs to place the drawing, whose SVG is kept."""
        name = f"d{len(self.content):04d}.svg"
        self.content[name] = to_svg(drawing).encode()
        x0, y0, x1, y1 = drawing.box
        return {"file": name, "width": x1 - x0, "height": y1 - y0, "title": breakable(drawing.title)}


def book_files(book: BuildBook, *, caution: str, front: bool = True) -> dict[str, bytes]:
    """All files but the template: ``data.json`` and one SVG for each drawing.

    Args:
        book: each kind of sheet goes to its part.
        caution: one line for every page.
        front: with title page and contents.

    Raises:
        ValueError: a sheet's kind has no part, so that it would be left out.
    """
    sheets = book.sheets
    lost = {s.kind for s in sheets} - {"summary", *(p.kind for p in PARTS)}
    if lost:
        raise ValueError(f"no part of the book prints {', '.join(sorted(lost))}: add it to PARTS")
    files = Files()
    # said once on the cautions' page and in the head and foot of every page
    said = frozenset((*book.cautions, f"{book.title}, revision {book.revision}."))
    data = {
        "title": breakable(book.title),
        "short": breakable(book.title if len(book.title) <= 80 else book.title[:79] + "…"),
        "revision": book.revision,
        "stamp": breakable(book.stamp),
        "caution": caution,
        "cautions": list(book.cautions),
        "front": front,
        "paper": dict(zip(("width", "height"), PAPERS[book.paper], strict=True)),
        "cover": [files.drawing(d) for d in book.cover],
        "summary": [_sheet(s, files, said, UPRIGHT) for s in sheets if s.kind == "summary"],
        "parts": [part for part in (_part(part, sheets, files, said) for part in PARTS) if part["sheets"]],
        "wraps": [files.drawing(d) for d in book.wraps],
    }
    return {**files.content, "data.json": json.dumps(data, ensure_ascii=False).encode("utf-8", "replace")}


def _part(part: SheetPart, sheets: tuple[Sheet, ...], files: Files, said: frozenset[str]) -> dict[str, Any]:
    room = ON_ITS_SIDE if part.wide else UPRIGHT
    mine = [_sheet(s, files, said, room) for s in sheets if s.kind == part.kind]
    return {**asdict(part), "sheets": mine}


def _sheet(sheet: Sheet, files: Files, said: frozenset[str], room: int) -> dict[str, Any]:
    notes = [breakable(note) for note in sheet.notes if note not in said]
    return {
        "title": breakable(sheet.title),
        "urgent": [note for note in notes if note.startswith(_FIRST)],
        "notes": [note for note in notes if not note.startswith(_FIRST)],
        "tables": [_table(t, room) for t in sheet.tables if t.columns],
        "drawings": [files.drawing(d) for d in sheet.drawings],
    }


def _table(table: Table, room: int) -> dict[str, Any]:
    return {
        "widths": column_widths(table, room),
        "title": breakable(table.title),
        "columns": [{"head": c.head, "unit": c.unit, "align": c.align} for c in table.columns],
        "rows": [[breakable(cell) for cell in row] for row in table.rows],
    }


def column_widths(table: Table, room: int) -> list[float]:
    """How wide each column is: all 0 where each can be as wide as it needs, else their shares of the page.

    Slim columns are as wide as they need. Of the others none is narrower than its longest word; what is left
    goes to those that hold the most.
    """
    columns = [list(column) for column in zip(*(_heads(table), *table.rows), strict=True)]
    whole = [max(map(_longest_line, cells)) + _GAP for cells in columns]
    if sum(whole) <= room:
        return [0.0] * len(columns)
    widths = _whole_ones([_WORD * letters for letters in whole], room)
    least = {
        at: max(_longest_word(cells[0]), *map(_longest_word if c.align == "left" else len, cells[1:])) * _WORD
        + _GAP
        for at, (c, cells) in enumerate(zip(table.columns, columns, strict=True))
        if at not in widths
    }  # a figure keeps its unit beside it
    wants = {at: max(_share(columns[at]) - need, 0.0) for at, need in least.items()}
    left = max(room - sum(widths.values()) - sum(least.values()), 0.0)
    part = left / max(sum(wants.values()), 1e-9)
    shared = widths | {at: need + part * wants[at] for at, need in least.items()}
    return [round(shared[at], 1) for at in range(len(columns))]


def _whole_ones(whole: Sequence[float], room: float) -> dict[int, float]:
    """The slim columns, and what they need."""
    found: dict[int, float] = {}
    for at in sorted(range(len(whole)), key=lambda at: whole[at]):
        if whole[at] * (len(whole) - len(found)) > _SLIM * (room - sum(found.values())):
            break
        found[at] = whole[at]
    return found


def _longest_line(cell: str) -> int:
    return max(map(len, cell.split("\n")))


def _longest_word(cell: str) -> int:
    return max(len(word) for word in re.split(r"[\s\u200b]", breakable(cell)))


def _heads(table: Table) -> tuple[str, ...]:
    return tuple(f"{c.head} ({c.unit})" if c.unit else c.head for c in table.columns)


def _share(cells: list[str]) -> float:
    """Between the longest line, which may stand alone, and what a cell holds on average, all its lines."""
    return (max(map(_longest_line, cells)) * sum(map(len, cells)) / len(cells)) ** 0.5
