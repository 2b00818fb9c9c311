"""A given notch on paper: the gap all round, and a wrap that shows only what is ground off."""

from __future__ import annotations

import math

import numpy as np

from cagewright.base.drawing import Drawing, Label, Stroke, box_round
from cagewright.base.names import shown
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.make.strokes import polyline
from cagewright.shape.types import Array

TALL = 5.0
"""Gaps are drawn this many times as wide as they are."""
BAND = 30.0
"""Paper between the notch and the straight edge, mm."""
QUARTERS = ("0° heel", "90°", "180°", "270°", "360°")


def gap_drawing(
    name: str, *, radius: float, phi: Array, gap: Array, limit: float, sides: tuple[str, ...],
    units: LengthUnit,
) -> Drawing:  # fmt: skip
    """The gap all round, unrolled: x is the way round at 1:1, y the gap five times as large.

    Args:
        name: of the end, ``member.start``.
        radius: of the tube, mm.
        phi: (n,) rad from the heel.
        gap: (n,) mm.
        limit: mm.
        sides: how each quarter is called in the car: heel, 90, 180, 270 degrees.
        units: what the builder's tape reads.
    """
    x, turn = np.append(phi, math.tau) * radius, math.tau * radius
    y = np.append(gap, gap[0]) * TALL
    strokes: list[Stroke] = [
        polyline([*zip(x, y, strict=True), (turn, 0.0), (0.0, 0.0)], "area", closed=True, fill="tone"),
        polyline(np.column_stack([x, y]), "cut"),
        polyline([(0.0, 0.0), (turn, 0.0)], "tube"),
        polyline([(0.0, limit * TALL), (turn, limit * TALL)], "dimension"),
    ]
    foot = min(float(y.min()), 0.0) - 6.0
    labels = [Label(text=f"limit {say_length(limit, units)}", at=(1.0, limit * TALL + 1.0), height=2.0)]
    for i, (word, side) in enumerate(zip(QUARTERS, (*sides, sides[0]), strict=True)):
        at = turn * i / 4.0
        strokes.append(polyline([(at, foot + 4.0), (at, 0.0)], "centre"))
        labels += [
            Label(text=word, at=(at, foot), height=2.0, anchor="middle"),
            Label(text=side, at=(at, foot - 3.5), height=2.0, anchor="middle"),
        ]
    for at, wide in zip(x[:-1:6], gap[::6], strict=True):
        labels.append(
            Label(text=f"{wide:.1f}", at=(float(at), max(float(wide), 0.0) * TALL + 3.5), height=1.8)
        )
    member, _, which = name.rpartition(".")
    return Drawing(
        name=f"gap_{member}_{which}", title=f"{shown(member)}, {which}: the gap, five times as large",
        box=box_round(tuple(strokes), tuple(labels), margin=2.0), scale=1.0, strokes=tuple(strokes),
        labels=tuple(labels),
    )  # fmt: skip


def grind_drawing(
    name: str, *, radius: float, phi: Array, edge: Array, off: Array, units: LengthUnit
) -> Drawing:
    """A wrap at 1:1 that is laid on the notch as it is: what is toned comes off, and nothing else.

    Args:
        name: of the end, ``member.start``.
        radius: of the tube, mm.
        phi: (n,) rad from the heel.
        edge: (n,) the notch as it is, mm along the tube.
        off: (n,) what comes off there, mm.
        units: what the builder's tape reads.
    """
    x, turn = np.append(phi, math.tau) * radius, math.tau * radius
    now, then = np.append(edge, edge[0]), np.append(edge + off, edge[0] + off[0])
    top = float(then.max()) + BAND
    both = [*zip(x, now, strict=True), *zip(x[::-1], then[::-1], strict=True)]
    strokes = (
        polyline(both, "area", closed=True, fill="tone"),
        polyline(np.column_stack([x, now]), "cut"),
        polyline(np.column_stack([x, then]), "inside"),
        polyline([(0.0, now[0]), (0.0, top), (turn, top), (turn, now[-1])], "cut"),
    )
    most = int(np.argmax(off))
    member, _, which = name.rpartition(".")
    rows = (
        f"{shown(member)}, {which.upper()}",
        "Cut this paper along its lower line, lay it on the notch as it is, 0° on the heel.",
        f"Grind off what is toned: {say_length(float(off[most]), units)} at the most,",
        f"{math.degrees(float(phi[most])):.0f}° round from the heel.",
    )
    labels = (
        *(
            Label(text=t, at=(4.0, top - 5.0 - 4.0 * i), height=2.2, strong=i == 0)
            for i, t in enumerate(rows)
        ),
        *(
            Label(text=f"{d}°", at=(math.radians(d) * radius, top - 24.0), height=1.8, anchor="middle")
            for d in (0, 90, 180, 270, 360)
        ),
    )  # fmt: skip
    return Drawing(
        name=f"grind_{member}_{which}", title=f"{shown(member)}, {which}: what comes off",
        box=box_round(strokes, labels, margin=1.0), scale=1.0, strokes=strokes, labels=labels,
    )  # fmt: skip
