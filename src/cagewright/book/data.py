"""What the book's template is told: plain data, and the drawings as SVG files beside it."""

from __future__ import annotations

import json
import re
from dataclasses import asdict, dataclass
from typing import Any

from cagewright.make.drawing import Drawing, Sheet, Table
from cagewright.make.svg import to_svg


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
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
    Part(kind="findings", title="Findings"),
    Part(kind="cage", title="The cage", before=0),
    Part(kind="cut list", title="Cut list", wide=True),
    Part(kind="nesting", title="Lengths to buy and cut", before=0, captions=True),
    Part(kind="bend sheet", title="Bend sheets", fresh=True, before=2),
    Part(kind="weld map", title="Weld map", wide=True),
)
"""The book's parts in print order, after title page, contents and cautions; the wraps come last."""
_FIRST = "To be seen to"
"""A note that begins so stands before everything else on its sheet."""
_LONG = re.compile(r"\S{24,}|\S*_\S*")
_BREAK = "\u200b"
"""A place where a line may break; prints nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """What stands on every page.

    Attributes:
        title: the plan's.
        revision: its mark.
        stamp: how the rules stand, e.g. ``rules: 0 fail, 3 cannot tell``.
        caution: the caution line.
        cautions: all cautions, a paragraph each.
    """

    title: str
    revision: str
    stamp: str
    caution: str
    cautions: tuple[str, ...]


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


def book_files(
    sheets: tuple[Sheet, ...], words: Words, *, size: tuple[float, float], cover: tuple[Drawing, ...],
    wraps: tuple[Drawing, ...], front: bool = True,
) -> dict[str, bytes]:  # fmt: skip
    """All files but the template: ``data.json`` and one SVG for each drawing.

    Args:
        sheets: in any order; each kind goes to its part of the book.
        words: what stands on every page.
        size: page width and height, mm.
        cover: the title page's pictures.
        wraps: whole pages at 1:1.
        front: with title page and contents.
    """
    files = Files()
    # said once on the cautions' page and in the head and foot of every page
    said = frozenset((*words.cautions, f"{words.title}, revision {words.revision}."))
    data = {
        "title": breakable(words.title),
        "short": breakable(words.title if len(words.title) <= 80 else words.title[:79] + "…"),
        "revision": words.revision,
        "stamp": breakable(words.stamp),
        "caution": words.caution,
        "cautions": list(words.cautions),
        "front": front,
        "paper": {"width": size[0], "height": size[1]},
        "cover": [files.drawing(d) for d in cover],
        "summary": [_sheet(s, files, said) for s in sheets if s.kind == "summary"],
        "parts": [part for part in (_part(part, sheets, files, said) for part in PARTS) if part["sheets"]],
        "wraps": [files.drawing(d) for d in wraps],
    }
    return {**files.content, "data.json": json.dumps(data, ensure_ascii=False).encode("utf-8", "replace")}


def _part(part: Part, sheets: tuple[Sheet, ...], files: Files, said: frozenset[str]) -> dict[str, Any]:
    mine = [_sheet(s, files, said) for s in sheets if s.kind == part.kind]
    return {**asdict(part), "sheets": mine}


def _sheet(sheet: Sheet, files: Files, said: frozenset[str]) -> dict[str, Any]:
    notes = [breakable(note) for note in sheet.notes if note not in said]
    return {
        "title": breakable(sheet.title),
        "urgent": [note for note in notes if note.startswith(_FIRST)],
        "notes": [note for note in notes if not note.startswith(_FIRST)],
        "tables": [_table(t) for t in sheet.tables if t.columns],
        "drawings": [files.drawing(d) for d in sheet.drawings],
    }


def _table(table: Table) -> dict[str, Any]:
    return {
        "title": breakable(table.title),
        "columns": [{"head": c.head, "unit": c.unit, "align": c.align} for c in table.columns],
        "rows": [[breakable(cell) for cell in row] for row in table.rows],
    }
