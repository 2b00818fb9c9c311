"""How far alternatives differ from the plan over many draws, drawn: one strip each, a tick for each draw."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from cagewright.base.drawing import INK, STEEL, Drawing, Label, Look, Stroke, box_round
from cagewright.make.plots import Axis, disc, tick_step
from cagewright.make.strokes import Ink, circle, polyline, together

Floats = NDArray[np.float64]
Across = Callable[[Floats | float], Floats]
WIDE, HIGH = 130.0, 11.0
"""Size of a strip, mm on paper."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """One strip: its letter, its differences (n,) in the axis' unit (not a number is left out), its words."""

    letter: str
    words: str
    differences: Floats


def spread_drawing(spreads: tuple[Spread, ...], *, name: str, title: str, axis: Axis) -> Drawing:
    """The strips over one axis with 0 in it: ticks to the right of 0 are draws in which it is more.

    Args:
        spreads: at least one.
        name: file-name-safe.
        title: as printed.
        axis: of the differences.

    Raises:
        ValueError: no strip.
    """
    if not spreads:
        raise ValueError("a picture of differences needs at least one strip")
    every = np.concatenate([s.differences[np.isfinite(s.differences)] for s in spreads] or [np.zeros(1)])
    low, high = min(float(every.min(initial=0.0)), 0.0), max(float(every.max(initial=0.0)), 0.0)
    step = tick_step(max(high - low, 1e-9))
    low, high = step * np.floor(low / step - 1e-9), step * np.ceil(high / step + 1e-9)

    def across(value: Floats | float) -> Floats:
        return np.asarray((np.asarray(value) - low) / (high - low) * WIDE)

    strips = [_strip(s, -HIGH * i, across) for i, s in enumerate(spreads)]
    bottom = -HIGH * (len(spreads) - 1) - 0.5 * HIGH
    whole = together(_scale(low, high, step, bottom, across, axis), *strips)
    return Drawing(
        name=name, title=title, box=box_round(whole.strokes, whole.labels, margin=1.0), scale=1.0,
        strokes=whole.strokes, labels=whole.labels,
    )  # fmt: skip


def _scale(low: float, high: float, step: float, bottom: float, across: Across, axis: Axis) -> Ink:
    """The axis under the strips, with a heavy line at 0."""
    fine = Look(width=0.1, ink=STEEL)
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for k in range(round((high - low) / step) + 1):
        value = low + k * step
        x = float(across(value))
        zero = abs(value) < 1e-9 * step
        line = polyline([(x, bottom), (x, 0.5 * HIGH)], "mark" if zero else "dimension")
        strokes.append(line if zero else replace(line, look=fine))
        text = f"{round(value, 9):g}" if value <= 0.0 else f"+{round(value, 9):g}"
        labels.append(Label(text=text, at=(x, bottom - 3.5), height=2.0, anchor="middle"))
    name = f"{axis.name}, {axis.unit}"
    labels.append(Label(text=name, at=(WIDE, bottom - 8.0), height=2.4, anchor="right"))
    return Ink(strokes=tuple(strokes), labels=tuple(labels))


def _strip(spread: Spread, y: float, across: Across) -> Ink:
    """A tick for each draw, a ring at the median, the letter left of it and the words to its right."""
    known = spread.differences[np.isfinite(spread.differences)]
    tick = Look(width=0.18, ink=INK)
    ticks = tuple(
        replace(polyline([(x, y - 2.2), (x, y + 2.2)], "mark"), look=tick) for x in across(known).tolist()
    )
    middle = (
        (circle(np.array([float(across(float(np.median(known)))), y]), 1.1, "selected", fill="paper"),)
        if len(known)
        else ()
    )
    words = Label(text=spread.words, at=(WIDE + 4.0, y - 1.0), height=2.2)
    ring = disc(np.array([-6.0, y]), spread.letter)
    return together(Ink(strokes=(*ticks, *middle), labels=(words,)), ring)
