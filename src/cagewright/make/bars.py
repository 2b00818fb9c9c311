"""The bars to buy and cut, drawn to scale, one under the other."""

from __future__ import annotations

import math
import textwrap
from dataclasses import replace

from cagewright.base.drawing import ADVANCE, Drawing, Label, box_round
from cagewright.base.names import shown
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.make.cutlist import tube_words
from cagewright.make.nesting import WORTH_KEEPING, NestPlan, PieceOnBar, StockBar
from cagewright.make.scales import size_words
from cagewright.make.strokes import Ink, polyline, rectangle, together

_HIGH = 7.0
_GAP = 7.0
_LETTER = 2.2
_LEAST = 1.7
"""A name in a bar is not set smaller than this, mm; then its number stands there and the name below."""


def bars_drawing(
    plan: NestPlan, *, units: LengthUnit = "mm", width: float = 178.0, first: int = 1
) -> Drawing:
    """The bars of one tube, each with its pieces in the order they are cut, and what is left.

    Args:
        plan: how the tube is bought and cut; it has at least one bar.
        units: what the builder's tape reads.
        width: of the drawing, mm.
        first: number of the first bar.

    Raises:
        ValueError: no bars.
    """
    if not plan.bars:
        raise ValueError("no bars to draw")
    scale = 1.0 / math.ceil(max(bar.length for bar in plan.bars) / (width - 2.0))
    inks: list[Ink] = []
    top = 0.0
    for i, bar in enumerate(plan.bars):
        ink = _bar(bar, first + i, top, scale, units, width - 2.0)
        inks.append(ink)
        top = box_round(ink.strokes, ink.labels)[1] - _GAP
    whole = together(*inks)
    x0, y0, _, y1 = box_round(whole.strokes, whole.labels, margin=1.0)
    size = plan.tube.section
    sides = f"{size.width:g}" if plan.tube.is_round else f"{size.shape}_{size.width:g}x{size.depth:g}"
    name = f"bars_{sides}x{size.wall:g}".replace(".", "p")
    return Drawing(
        name=name,
        title=f"Bars of {tube_words(plan.tube, units)}, scale 1:{1.0 / scale:g}",
        box=(x0, y0, x0 + width, y1),
        scale=scale,
        strokes=whole.strokes,
        labels=whole.labels,
    )


def _bar(bar: StockBar, number: int, top: float, scale: float, units: LengthUnit, room: float) -> Ink:
    """A bar: its heading, its pieces, the saw cuts between them, the rest, and names that did not fit."""
    pieces = [_piece(p, i + 1, top, scale, units) for i, p in enumerate(bar.pieces)]
    outline = rectangle((0.0, top - _HIGH, bar.length * scale, top), "tube")
    source = f"offcut {bar.name}" if bar.source == "offcut" else "bought"
    rest = f", {'keep' if bar.rest >= WORTH_KEEPING else 'waste'} {say_length(bar.rest, units)}"
    text = f"Bar {number}: {say_length(bar.length, units)}, {source}{rest if bar.rest > 0.05 else ''}"
    head = Label(text=text, at=(0.0, top + 1.3), height=_LETTER, strong=True)
    numbered = [f"{i + 1} {_words(p, units)}" for i, p in enumerate(bar.pieces) if not _fits(p, scale, units)]
    lines = textwrap.wrap("; ".join(numbered), int(room / (ADVANCE * _LEAST)))
    below = (
        Label(text=line, at=(0.0, top - _HIGH - 3.0 - 1.6 * _LEAST * i), height=_LEAST)
        for i, line in enumerate(lines)
    )
    return together(*pieces, _rest(bar, top, scale), Ink(strokes=(outline,), labels=(head, *below)))


def _words(piece: PieceOnBar, units: LengthUnit) -> str:
    return f"{shown(piece.name)} {size_words(piece.length, units)}"


def _letter(piece: PieceOnBar, scale: float, units: LengthUnit) -> float:
    return min(_LETTER, (piece.length * scale - 1.5) / (ADVANCE * len(_words(piece, units))))


def _fits(piece: PieceOnBar, scale: float, units: LengthUnit) -> bool:
    return _letter(piece, scale, units) >= _LEAST


def _piece(piece: PieceOnBar, number: int, top: float, scale: float, units: LengthUnit) -> Ink:
    """A piece with its name and length, or its number where those do not fit."""
    a, b = piece.at * scale, (piece.at + piece.length) * scale
    whole = _fits(piece, scale, units)
    height = _letter(piece, scale, units) if whole else _LETTER
    label = Label(
        text=_words(piece, units) if whole else str(number),
        at=((a + b) / 2.0, top - (_HIGH + height) / 2.0), height=height, anchor="middle",
    )  # fmt: skip
    box = (a, top - _HIGH, b, top)
    face = replace(rectangle(box, "area", fill="tone"), fade=0.7)
    return Ink(strokes=(face, rectangle(box, "tube")), labels=(label,))


def _rest(bar: StockBar, top: float, scale: float) -> Ink:
    """What is left, crossed out where it is not worth keeping."""
    if bar.rest <= 0.0 or bar.rest >= WORTH_KEEPING:
        return Ink()
    a, b = (bar.length - bar.rest) * scale, bar.length * scale
    corners = [[(a, top - _HIGH), (b, top)], [(a, top), (b, top - _HIGH)]]
    return Ink(strokes=tuple(polyline(line, "dimension") for line in corners))
