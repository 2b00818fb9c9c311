"""A wrap as a 1:1 drawing: the paper kept, from the cut up to the reference edge, carries all text."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

import numpy as np

from cagewright.base.drawing import ADVANCE, Drawing, Label, Layer, Points, Stroke, box_round, text_width
from cagewright.base.names import shown
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.make.strokes import Ink, arrowhead, backing, polyline, together
from cagewright.make.wraps import Wrap

TAB = 8.0
"""Width of the tab that goes under the other end, mm."""
_SIDE = 4.0
_LETTER = 2.4
_DOWN = np.array([0.0, -1.0])


def wrap_drawing(wrap: Wrap, *, units: LengthUnit = "mm") -> Drawing:
    """The wrap at 1:1: x is radius times phi, y the cut distance, origin at phi = 0 and the cut's zero."""
    ink = together(_outline(wrap), _degrees(wrap), _rotation(wrap), _words(wrap, units))
    return Drawing(
        name=f"wrap_{wrap.member}_{wrap.which}",
        title=f"{shown(wrap.member)}, {wrap.which}",
        box=box_round(ink.strokes, ink.labels, margin=1.0),
        scale=1.0,
        strokes=ink.strokes,
        labels=ink.labels,
    )


def once_round(wrap: Wrap) -> float:
    """Length of paper once round the tube, mm."""
    return 2.0 * float(np.pi) * wrap.radius


def _outline(wrap: Wrap) -> Ink:
    """The cut, the bore's line, the paper's other edges and the tab."""
    x, turn, edge, low = wrap.phi * wrap.radius, once_round(wrap), wrap.edge, _cut_at(wrap, 0.0)
    tab = [(turn, edge), (turn + TAB, edge - 3.0), (turn + TAB, low + 3.0), (turn, low)]
    word = "tab: goes under"
    middle = Label(text=word, at=(turn + 5.0, (edge + low) / 2.0), height=1.8, anchor="middle", angle=90.0)
    return Ink(
        strokes=(
            *_runs(np.column_stack([x, wrap.inside]), "inside"),
            *_runs(np.column_stack([x, wrap.outside]), "cut"),
            polyline([(0.0, low), (0.0, edge), (turn, edge), (turn, low)], "cut"),
            polyline(tab, "trim"),
        ),
        labels=(middle,) if edge - low > text_width(word, 1.8) + 8.0 else (),
    )


def _runs(points: Points, layer: Layer) -> tuple[Stroke, ...]:
    """The polyline, broken where the wall meets no main."""
    good = np.isfinite(points[:, 1])
    parts = np.split(points, np.flatnonzero(np.diff(good)) + 1)
    return tuple(polyline(p, layer) for p in parts if len(p) > 1 and np.isfinite(p[0, 1]))


def _cut_at(wrap: Wrap, phi: float) -> float:
    """The cut distance at phi, mm; across a gap where the wall meets nothing, along the chord."""
    good = np.isfinite(wrap.outside)
    return float(np.interp(phi, wrap.phi[good], wrap.outside[good]))


def _degrees(wrap: Wrap) -> Ink:
    """A tick every 30 degrees on the reference edge, the quarter lines, and what is at 0."""
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for degrees in range(0, 361, 30):
        x, quarter = np.radians(degrees) * wrap.radius, degrees % 90 == 0
        strokes.append(polyline([(x, wrap.edge), (x, wrap.edge - (2.2 if quarter else 1.2))], "mark"))
        if quarter and 0 < degrees < 360:
            low = _cut_at(wrap, float(np.radians(degrees)))
            long = wrap.edge if degrees == 180 else low + 5.0
            strokes.append(polyline([(x, low), (x, long)], "centre"))
            labels.append(Label(text=f"{degrees}°", at=(x, wrap.edge - 4.6), height=1.8, anchor="middle"))
    ends = ((1.0, f"0° {wrap.heel}", "left"), (once_round(wrap) - 1.0, "360° = 0°", "right"))
    labels += [Label(text=t, at=(x, wrap.edge - 4.6), height=1.8, anchor=a) for x, t, a in ends]  # type: ignore[arg-type]
    return _backed(strokes, labels)


def _backed(strokes: list[Stroke], labels: list[Label]) -> Ink:
    return Ink(strokes=(*strokes, *(backing(label) for label in labels)), labels=tuple(labels))


def _rotation(wrap: Wrap) -> Ink:
    """The lines that set the rotation, each from the reference edge to the cut, with a flag at the edge."""
    strokes: list[Stroke] = []
    for line in wrap.lines:
        x = line.phi * wrap.radius
        layer: Layer = "centre" if line.kind == "main" else "mark"
        strokes.append(polyline([(x, _cut_at(wrap, line.phi)), (x, wrap.edge)], layer))
        strokes.append(arrowhead(np.array([x, wrap.edge]), -_DOWN, "mark", size=3.2))
    return Ink(strokes=tuple(strokes))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """A line of text: capital height, mm; ``x`` centres it on a line along the tube."""

    text: str
    height: float = _LETTER
    strong: bool = False
    x: float | None = None


def _words(wrap: Wrap, units: LengthUnit) -> Ink:
    """All rows from the reference edge down, let down in size where the band is too short for them."""
    top = wrap.edge - 6.5
    room = top - float(np.nanmax(wrap.outside)) - 1.5
    rows = _rows(wrap, units, _LETTER)
    need = sum(_lead(row) for row in rows) + _lead(_Row(text=""))
    part = min(1.0, room / need)
    rows = rows if part == 1.0 else _rows(wrap, units, max(_LETTER * part, 1.5))
    labels: list[Label] = []
    for row in rows:
        top -= 1.1 * row.height
        labels.append(_label(wrap, row, top))
        top -= _lead(row) - 1.1 * row.height
    return together(_backed([], labels), _toward(wrap, top, part))


def _lead(row: _Row) -> float:
    return 1.55 * row.height


def _rows(wrap: Wrap, units: LengthUnit, letter: float) -> list[_Row]:
    wide = once_round(wrap) - 2.0 * _SIDE
    reach = say_length(wrap.edge - wrap.long_point, units)
    big = min(1.8 * letter, wide / (ADVANCE * max(len(wrap.member), 1)))
    rows = [
        _Row(text=t, height=letter) for t in _fold(f"THIS EDGE {reach} FROM THE LONG POINT", wide, letter)
    ]
    rows += [_Row(text=line.text, height=letter * 0.9, x=line.phi * wrap.radius) for line in wrap.lines]
    rows.append(_Row(text=shown(wrap.member), height=big, strong=True))
    rows += [
        _Row(text=t, height=letter) for t in _fold(f"{wrap.which.upper()}  tube {wrap.tube}", wide, letter)
    ]
    rows += [_Row(text=t, height=letter) for fact in wrap.facts for t in _fold(fact, wide, letter)]
    return rows + [
        _Row(text=t, height=letter, strong=True) for word in wrap.warnings for t in _fold(word, wide, letter)
    ]


def _fold(text: str, wide: float, letter: float) -> list[str]:
    return textwrap.wrap(text, max(int(wide / (ADVANCE * letter)), 8)) or [""]


def _label(wrap: Wrap, row: _Row, y: float) -> Label:
    if row.x is None:
        return Label(text=row.text, at=(_SIDE, y), height=row.height, strong=row.strong)
    half = text_width(row.text, row.height) / 2.0
    x = float(np.clip(row.x, half + 1.0, max(once_round(wrap) - half - 1.0, half + 1.0)))
    return Label(text=row.text, at=(x, y), height=row.height, anchor="middle")


def _toward(wrap: Wrap, top: float, part: float) -> Ink:
    """Arrows and words that say which way the main (or the foot) is."""
    height = _LETTER * part
    what = "FOOT" if wrap.heel == "long side" else "" if wrap.toward else "THE MAIN"
    text = _fold(
        " ".join(("TOWARD", what, " + ".join(map(shown, wrap.toward)))).replace("  ", " ").strip(),
        once_round(wrap) - 5.0 * _SIDE,
        height,
    )[0]
    y = top - 1.7 * height
    half = text_width(text, height) / 2.0
    middle = once_round(wrap) / 2.0
    label = Label(text=text, at=(middle, y), height=height, anchor="middle", strong=True)
    tips = (np.array([middle + side * (half + 3.0), y - 0.3]) for side in (-1.0, 1.0))
    return Ink(
        strokes=(backing(label), *(arrowhead(tip, _DOWN, "mark", size=3.6 * part) for tip in tips)),
        labels=(label,),
    )
