"""Wraps laid out on printed pages at 1:1, several to a page, or one over several with registration marks."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from cagewright.base.drawing import Box, Drawing, Label, moved, text_width
from cagewright.base.sheet import PAPERS, Paper
from cagewright.base.units import LengthUnit
from cagewright.make.clip import clipped
from cagewright.make.strokes import Ink, check_line, cross_mark, polyline, together
from cagewright.make.wrapdraw import wrap_drawing
from cagewright.make.wraps import Wrap

MARGIN = 10.0
"""Kept free all round: home printers leave up to 6 mm blank (common practice, no source)."""
HEAD = 24.0
FOOT = 37.0
"""Above and below the templates, mm: title above, check lines and the book's own line below."""
GAP = 4.0
OVERLAP = 12.0
"""What two pages of one wrap share, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PageText:
    """What stands on every page besides the templates."""

    title: str
    revision: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Page:
    """A page being filled: its size, and the drawings already moved to their places."""

    size: tuple[float, float]
    drawings: tuple[Drawing, ...]
    marks: Ink


def wrap_pages(
    wraps: tuple[Wrap, ...], paper: Paper, *, text: PageText, units: LengthUnit = "mm"
) -> tuple[Drawing, ...]:
    """The wraps on pages, a Drawing per page whose box is the page, at true mm.

    Each page stands upright or on its side, whichever holds more; a wrap that fits neither way is split over
    several pages which share a strip with lettered crosses.
    """
    upright = PAPERS[paper]
    pages = _fill([wrap_drawing(w, units=units) for w in wraps], upright)
    return tuple(_finished(page, i + 1, len(pages), text) for i, page in enumerate(pages))


def printable(size: tuple[float, float]) -> Box:
    """The part of the page the templates may use, mm."""
    return MARGIN, FOOT, size[0] - MARGIN, size[1] - HEAD


def _fill(drawings: list[Drawing], upright: tuple[float, float]) -> list[_Page]:
    """Shelf by shelf, in the given order, so that a member's two ends stay together."""
    pages: list[_Page] = []
    waiting = list(drawings)
    while waiting:
        fuller = max(
            (_Page(size=size, drawings=_shelves(waiting, size), marks=Ink()) for size in _both(upright)),
            key=lambda page: len(page.drawings),
        )
        if fuller.drawings:
            pages.append(fuller)
            waiting = waiting[len(fuller.drawings) :]
        else:
            pages += _split(waiting.pop(0), upright)
    return pages


def _both(upright: tuple[float, float]) -> tuple[tuple[float, float], tuple[float, float]]:
    """The page upright and on its side; upright is taken where neither holds more."""
    return upright, _on_its_side(upright)


def _on_its_side(size: tuple[float, float]) -> tuple[float, float]:
    return size[1], size[0]


def _size(drawing: Drawing) -> tuple[float, float]:
    x0, y0, x1, y1 = drawing.box
    return x1 - x0, y1 - y0


def _shelves(waiting: list[Drawing], size: tuple[float, float]) -> tuple[Drawing, ...]:
    """The first drawings that fit the page whole, in rows from the top; none where the first is too large."""
    x0, y0, x1, y1 = printable(size)
    placed: list[Drawing] = []
    x, top, deep = x0, y1, 0.0
    for drawing in waiting:
        wide, high = _size(drawing)
        if x > x0 and x + wide > x1:
            x, top, deep = x0, top - deep - GAP, 0.0
        if top - high < y0 or x + wide > x1:
            break
        placed.append(moved(drawing, x - drawing.box[0], top - drawing.box[3]))
        x, deep = x + wide + GAP, max(deep, high)
    return tuple(placed)


def _split(drawing: Drawing, upright: tuple[float, float]) -> list[_Page]:
    """The drawing over as few pages as either way of turning them needs."""
    plans = [(_tiles(drawing, size), size) for size in _both(upright)]
    tiles, size = min(plans, key=lambda plan: len(plan[0]))
    return [_tile_page(drawing, number, tiles, size) for number in range(len(tiles))]


def _tiles(drawing: Drawing, size: tuple[float, float]) -> list[Box]:
    x0, y0, x1, y1 = printable(size)
    across = _cuts(drawing.box[0], drawing.box[2], x1 - x0)
    up = _cuts(drawing.box[1], drawing.box[3], y1 - y0)
    return [(a, c, b, d) for c, d in reversed(up) for a, b in across]


def _cuts(low: float, high: float, window: float) -> list[tuple[float, float]]:
    """Windows of equal size from low to high that share OVERLAP mm with the next."""
    count = max(1, math.ceil((high - low - OVERLAP) / (window - OVERLAP)))
    size = (high - low + (count - 1) * OVERLAP) / count
    return [(low + i * (size - OVERLAP), low + i * (size - OVERLAP) + size) for i in range(count)]


def _tile_page(drawing: Drawing, number: int, tiles: list[Box], size: tuple[float, float]) -> _Page:
    """One page of a split drawing, with the crosses it shares with its neighbours."""
    tile = tiles[number]
    x0, _, _, y1 = printable(size)
    mine = (cross for pair, cross in _seams(tiles).items() if number in pair)
    crosses = together(*mine)
    part = clipped(drawing, tile)
    whole = replace(part, strokes=part.strokes + crosses.strokes, labels=part.labels + crosses.labels)
    words = f"{drawing.title}: part {number + 1} of {len(tiles)}; lay crosses of one letter over each other"
    note = Label(text=words, at=(MARGIN, FOOT - 4.0), height=2.2)
    placed = moved(whole, x0 - tile[0], y1 - tile[3])
    return _Page(size=size, drawings=(placed,), marks=Ink(labels=(note,)))


def _seams(tiles: list[Box]) -> dict[tuple[int, int], Ink]:
    """Two lettered crosses for each pair of tiles that share a strip."""
    pairs = [(i, j) for i, j in combinations(range(len(tiles)), 2) if _strip(tiles[i], tiles[j])]
    return {pair: _crosses(tiles, pair, 2 * number) for number, pair in enumerate(pairs)}


def _strip(one: Box, other: Box) -> Box | None:
    """What two neighbouring tiles share; None where they share nothing, or a corner only."""
    low = max(one[0], other[0]), max(one[1], other[1])
    high = min(one[2], other[2]), min(one[3], other[3])
    wide, high_by = high[0] - low[0], high[1] - low[1]
    if min(wide, high_by) < 1.0 or max(wide, high_by) < OVERLAP + 1.0:
        return None
    return (*low, *high)


def _crosses(tiles: list[Box], pair: tuple[int, int], first: int) -> Ink:
    strip = _strip(tiles[pair[0]], tiles[pair[1]])
    ends = _strip_ends(strip) if strip else ()
    return together(*(_cross(at, _letter(first + i)) for i, at in enumerate(ends)))


def _strip_ends(strip: Box) -> tuple[tuple[float, float], tuple[float, float]]:
    a0, c0, a1, c1 = strip
    x, y, inset = (a0 + a1) / 2.0, (c0 + c1) / 2.0, 14.0
    return ((x, c0 + inset), (x, c1 - inset)) if a1 - a0 < c1 - c0 else ((a0 + inset, y), (a1 - inset, y))


def _letter(number: int) -> str:
    return chr(ord("A") + number % 26)


def _cross(at: tuple[float, float], letter: str) -> Ink:
    label = Label(text=letter, at=(at[0] + 1.6, at[1] + 1.6), height=3.0, strong=True)
    return Ink(strokes=cross_mark(np.array(at), 4.0), labels=(label,))


def _finished(page: _Page, number: int, count: int, text: PageText) -> Drawing:
    """The page with its title, its number and its check lines."""
    frame = together(_head(page.size, number, count, text), _checks(), page.marks)
    return Drawing(
        name=f"wraps_{number:02d}",
        title=f"Wraps {number} of {count}: {_ends_words(page)}",
        box=(0.0, 0.0, *page.size),
        scale=1.0,
        strokes=(*frame.strokes, *(s for d in page.drawings for s in d.strokes)),
        labels=(*frame.labels, *(t for d in page.drawings for t in d.labels)),
    )


def _ends_words(page: _Page) -> str:
    """Which ends are on the page: ``diagonal start, end; harness_bar start``."""
    ends: dict[str, list[str]] = {}
    for drawing in page.drawings:
        member, _, which = drawing.title.rpartition(", ")
        ends.setdefault(member, []).append(which)
    return "; ".join(f"{member} {', '.join(which)}" for member, which in ends.items())


def _head(size: tuple[float, float], number: int, count: int, text: PageText) -> Ink:
    wide, high = size
    right = f"rev {text.revision}  wraps {number} of {count}"
    room = wide - 2.0 * MARGIN - text_width(right, 2.4) - 6.0
    order = "Print at 100 %, not fitted to the page. Check both lines below with a rule before cutting."
    return Ink(
        strokes=(polyline([(MARGIN, high - HEAD + 3.0), (wide - MARGIN, high - HEAD + 3.0)], "dimension"),),
        labels=(
            Label(text=shortened(text.title, 3.2, room), at=(MARGIN, high - 14.0), height=3.2, strong=True),
            Label(text=right, at=(wide - MARGIN, high - 14.0), height=2.4, anchor="right"),
            Label(text=order, at=(MARGIN, high - 19.5), height=2.2),
        ),
    )


def shortened(text: str, height: float, room: float) -> str:
    """The text, cut short with an ellipsis where it is wider than ``room`` mm."""
    if text_width(text, height) <= room:
        return text
    return text[: max(int(room / text_width("x", height)) - 1, 1)] + "…"


def _checks() -> Ink:
    return together(
        check_line((MARGIN, 27.0), 100.0, "this line: 100 mm"),
        check_line((MARGIN, 20.0), 101.6, "this line: 4 in"),
    )
