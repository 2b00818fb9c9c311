"""Curves over one pair of axes, told apart by dash and letter, with a key and numbers on plain ticks."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cagewright.base.drawing import (
    INK,
    LOOKS,
    STEEL,
    Drawing,
    Label,
    Look,
    Points,
    Stroke,
    box_round,
    text_width,
)
from cagewright.make.placing import AreasInUse, placed
from cagewright.make.strokes import Ink, circle, polyline, together

Floats = NDArray[np.float64]
DASHES: tuple[tuple[float, ...], ...] = (
    (), (3.0, 1.2), (0.8, 0.9), (5.0, 1.0, 0.8, 1.0), (1.8, 0.7), (6.0, 1.0, 0.8, 0.8, 0.8, 1.0),
)  # fmt: skip
"""Dashes of the curves in order; letters tell apart what comes after."""
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotMark:
    """A point of a curve worth pointing at: where (x, y) and a word or number."""

    x: float
    y: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """One curve: its name for the key, x (k,) and y (k,) in the axes' units, and its marks.

    ``cut_short`` ends it with a cross: what comes after could not be told. ``letter`` marks it in plot and
    key; by default they go A, B, C.
    """

    name: str
    x: Floats
    y: Floats
    marks: tuple[PlotMark, ...] = ()
    cut_short: bool = False
    letter: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """What an axis shows and in which unit."""

    name: str
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """Where numbers fall on the paper: the plot's size, mm, and the numbers at its far corner."""

    wide: float
    high: float
    right: float
    top: float

    def at(self, x: Floats | float, y: Floats | float) -> Points:
        return np.stack(
            np.broadcast_arrays(np.asarray(x) / self.right * self.wide, np.asarray(y) / self.top * self.high),
            axis=-1,
        )


def curves_drawing(
    curves: tuple[Curve, ...],
    *,
    name: str,
    title: str,
    x: Axis,
    y: Axis,
    size: tuple[float, float] = (160.0, 90.0),
) -> Drawing:
    """The curves over axes from 0, with a key below.

    Args:
        curves: at least one; the first is drawn heaviest.
        name: file-name-safe.
        title: as printed.
        x: along.
        y: up.
        size: of the plot without numbers and key, mm.

    Raises:
        ValueError: no curves.
    """
    if not curves:
        raise ValueError("a plot needs at least one curve")
    right = nice_top(max(float(np.max(c.x, initial=0.0)) for c in curves))
    top = nice_top(max(float(np.max(c.y, initial=0.0)) for c in curves))
    sheet = _Sheet(wide=size[0], high=size[1], right=right, top=top)
    alone = len(curves) == 1
    drawn = together(
        _grid(sheet, x, y),
        *(_curve(sheet, c, i) for i, c in enumerate(curves)),
        *(() if alone else (_letters(sheet, curves),)),
        *(_marks(sheet, c) for c in curves),
    )
    whole = drawn if alone else together(drawn, _key(curves, size[0]))
    return Drawing(
        name=name, title=title, box=box_round(whole.strokes, whole.labels, margin=1.0), scale=1.0,
        strokes=whole.strokes, labels=whole.labels,
    )  # fmt: skip


def nice_top(largest: float) -> float:
    """The least plain number at or above ``largest`` that divides into 4 to 8 plain steps; 1 for nothing."""
    if not largest > 0.0 or not math.isfinite(largest):
        return 1.0
    step = tick_step(largest)
    return step * math.ceil(largest / step - 1e-9)


def tick_step(largest: float) -> float:
    """The plain step (1, 2 or 5 times a power of ten) of which 4 to 8 or so make up ``largest``."""
    rough = largest / 8.0
    power = 10.0 ** math.floor(math.log10(rough))
    return next(m * power for m in (1.0, 2.0, 5.0, 10.0) if m * power >= rough * (1.0 - 1e-9))


def _grid(sheet: _Sheet, x: Axis, y: Axis) -> Ink:
    fine = Look(width=0.1, ink=STEEL)
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for value in _ticks(sheet.right):
        low, high = sheet.at(value, 0.0), sheet.at(value, sheet.top)
        strokes.append(replace(polyline([low, high], "dimension"), look=fine))
        labels.append(_number(value, (float(low[0]), -4.0), "middle"))
    for value in _ticks(sheet.top):
        low, high = sheet.at(0.0, value), sheet.at(sheet.right, value)
        strokes.append(replace(polyline([low, high], "dimension"), look=fine))
        labels.append(_number(value, (-1.5, float(low[1]) - 0.9), "right"))
    frame = polyline([(0.0, sheet.high), (0.0, 0.0), (sheet.wide, 0.0)], "mark")
    along = Label(text=f"{x.name}, {x.unit}", at=(sheet.wide, -9.0), height=2.4, anchor="right")
    up = Label(text=f"{y.name}, {y.unit}", at=(0.0, sheet.high + 2.0), height=2.4)
    return Ink(strokes=(*strokes, frame), labels=(*labels, along, up))


def _ticks(top: float) -> list[float]:
    step = tick_step(top)
    return [step * k for k in range(round(top / step) + 1)]


def _number(value: float, at: tuple[float, float], anchor: str) -> Label:
    side = "right" if anchor == "right" else "middle"
    return Label(text=f"{round(value, 9):g}", at=at, height=2.0, anchor=side)


def _look(index: int) -> Look:
    return Look(width=0.55 if index == 0 else 0.35, ink=INK, dash=DASHES[index % len(DASHES)])


def _curve(sheet: _Sheet, curve: Curve, index: int) -> Ink:
    points = sheet.at(curve.x, curve.y)
    line = replace(polyline(points, "mark"), look=_look(index))
    end = _stopped(points[-1]) if curve.cut_short and len(points) else ()
    return Ink(strokes=(line, *end))


def _stopped(at: Points) -> tuple[Stroke, Stroke]:
    """A cross where a curve could not be followed further."""
    look = Look(width=0.5, ink=LOOKS["wrong"].ink)
    arms = (np.array([1.5, 1.5]), np.array([1.5, -1.5]))
    first, second = (replace(polyline([at - arm, at + arm], "wrong"), look=look) for arm in arms)
    return first, second


def _letters(sheet: _Sheet, curves: tuple[Curve, ...]) -> Ink:
    """A letter on each curve, at places spread along them so that they stand apart."""
    count = len(curves)
    inks: list[Ink] = []
    for i, curve in enumerate(curves):
        if not len(curve.x):
            continue
        reach = float(curve.x[-1]) * (0.45 + 0.5 * (i + 0.5) / count)
        at = sheet.at(reach, float(np.interp(reach, curve.x, curve.y)))
        inks.append(disc(at, curve.letter or letter(i)))
    return together(*inks)


def letter(index: int) -> str:
    """A, B, ... Z, AA, AB, ... for the curve or row of that number from 0."""
    high, low = divmod(index, len(LETTERS))
    return (letter(high - 1) if high else "") + LETTERS[low]


def disc(at: Points, text: str) -> Ink:
    """A letter or number in a ring on ``at`` (2,), mm."""
    size = 1.8
    wide = max(2.1, text_width(text, size) / 2.0 + 0.6)
    label = Label(text=text, at=(float(at[0]), float(at[1]) - size / 2.0), height=size, anchor="middle")
    return Ink(strokes=(circle(at, wide, "dimension", fill="paper", sides=32),), labels=(label,))


def _marks(sheet: _Sheet, curve: Curve) -> Ink:
    """A ring on the curve at each mark, its words wherever there is room beside it."""
    taken = AreasInUse()
    taken.add_ink(Ink(strokes=(polyline(sheet.at(curve.x, curve.y), "mark"),)))
    rings, words = list[Ink](), list[Ink]()
    for mark in curve.marks:
        at = sheet.at(mark.x, mark.y)
        rings.append(Ink(strokes=(circle(at, 0.8, "mark", fill="paper", sides=16),)))
        words.append(placed([Ink(labels=(label,)) for label in _beside(at, mark.text, sheet)], taken))
    return together(*rings, *words)


_ROUND: tuple[tuple[float, float, Literal["left", "right"]], ...] = (
    (1.4, -3.0, "left"), (-1.4, 1.4, "right"), (1.4, 1.2, "left"), (-1.4, -3.0, "right"),
)  # fmt: skip


def _beside(at: Points, text: str, sheet: _Sheet) -> list[Label]:
    """The words at several places round the ring, below right first, inside the plot."""
    x, y = float(at[0]), float(at[1])
    wide = text_width(text, 2.0)
    labels: list[Label] = []
    for reach in (1.0, 2.0, 3.2, 4.6):
        for dx, dy, anchor in _ROUND:
            left = x + dx * reach - (wide if anchor == "right" else 0.0)
            if left > 0.5 and left + wide < sheet.wide + 8.0:
                spot = (x + dx * reach, y + dy * reach)
                labels.append(Label(text=text, at=spot, height=2.0, anchor=anchor))
    return labels or [Label(text=text, at=(x, y + 1.5), height=2.0)]


def _key(curves: tuple[Curve, ...], wide: float) -> Ink:
    """A line, a letter and a name for each curve, in one or two columns under the plot."""
    room = max(text_width(c.name, 2.2) for c in curves) + 24.0
    columns = 2 if 2.0 * room <= wide + 20.0 and len(curves) > 3 else 1
    deep = -(-len(curves) // columns)
    inks: list[Ink] = []
    for i, curve in enumerate(curves):
        x, y = (i // deep) * wide / 2.0, -15.0 - 5.0 * (i % deep)
        line = replace(polyline([(x, y), (x + 14.0, y)], "mark"), look=_look(i))
        name = Label(text=curve.name, at=(x + 21.0, y - 1.0), height=2.2)
        inks.append(
            together(
                Ink(strokes=(line,)),
                disc(np.array([x + 17.5, y]), curve.letter or letter(i)),
                Ink(labels=(name,)),
            )
        )
    return together(*inks)
