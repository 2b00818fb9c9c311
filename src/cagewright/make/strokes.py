"""The draughtsman's pieces: segments, circles, arrows, dimension lines and check lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from cagewright.base.drawing import Box, Fill, Label, Layer, Points, Stroke, label_corners, text_width

ARROW = 2.6
"""Length of an arrowhead, mm; a third as wide (ISO 129-1 leaves the size to the drawing)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ink:
    """Strokes and labels that belong together."""

    strokes: tuple[Stroke, ...] = ()
    labels: tuple[Label, ...] = ()


def together(*inks: Ink) -> Ink:
    """All of them as one, in painting order."""
    return Ink(
        strokes=tuple(s for ink in inks for s in ink.strokes),
        labels=tuple(t for ink in inks for t in ink.labels),
    )


def polyline(points: ArrayLike, layer: Layer, *, closed: bool = False, fill: Fill = "none") -> Stroke:
    """The points (n, 2), mm, as one stroke."""
    return Stroke(points=np.asarray(points, dtype=np.float64), layer=layer, closed=closed, fill=fill)


def rectangle(box: Box, layer: Layer, *, fill: Fill = "none") -> Stroke:
    """The outline of the box."""
    x0, y0, x1, y1 = box
    return polyline([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], layer, closed=True, fill=fill)


def circle(at: ArrayLike, radius: float, layer: Layer, *, fill: Fill = "none", sides: int = 48) -> Stroke:
    """A circle of ``radius`` mm round ``at`` (2,), as a polygon of ``sides``."""
    a = np.linspace(0.0, 2.0 * np.pi, sides, endpoint=False)
    ring = np.column_stack([np.cos(a), np.sin(a)]) * radius + np.asarray(at)
    return polyline(ring, layer, closed=True, fill=fill)


def arrowhead(tip: Points, way: Points, layer: Layer = "dimension", *, size: float = ARROW) -> Stroke:
    """A filled arrowhead with its point at ``tip`` (2,), pointing along the unit ``way`` (2,)."""
    side = np.array([-way[1], way[0]]) * size / 6.0
    back = tip - way * size
    return polyline([tip, back + side, back - side], layer, closed=True, fill="ink")


def cross_mark(at: Points, size: float, layer: Layer = "mark") -> tuple[Stroke, ...]:
    """A cross of two thin lines with a circle, centred on ``at`` (2,), arms ``size`` mm long."""
    x, y = at
    return (
        polyline([(x - size, y), (x + size, y)], layer),
        polyline([(x, y - size), (x, y + size)], layer),
        circle(at, size / 2.0, layer, sides=24),
    )


def readable(angle: float) -> float:
    """The angle in degrees, turned half round where the text would stand on its head."""
    a = (angle + 180.0) % 360.0 - 180.0
    return a if -90.0 < a <= 90.0 else a - 180.0 if a > 0.0 else a + 180.0


def dimension(
    a: Points, b: Points, offset: float, text: str, *, height: float = 2.5, slide: float = 0.0
) -> Ink:
    """A dimension from ``a`` to ``b`` (2,), its line ``offset`` mm to the left of the way from a to b.

    The text stands on the line (ISO 129-1), ``slide`` mm from its middle. Where there is no room between
    the two points the arrows point in from outside and the text stands on the line beyond b.
    """
    span = float(np.hypot(*(b - a)))
    way = (b - a) / span if span > 1e-9 else np.array([1.0, 0.0])
    left = np.array([-way[1], way[0]])
    p, q = a + left * offset, b + left * offset
    past = left * np.sign(offset or 1.0)
    wide = text_width(text, height)
    tight = span < max(wide, 3.0 * ARROW)
    tail = 2.0 * ARROW + (wide + 1.0 if tight and span < wide else 0.0)
    strokes = [polyline([end + past, foot + past * 1.5], "dimension") for end, foot in ((a, p), (b, q))]
    reach = (p - way * 2.0 * ARROW, q + way * tail) if tight else (p, q)
    strokes += [polyline(reach, "dimension"), *_heads(p, q, way if tight else -way)]
    shift = span / 2.0 + 2.0 * ARROW + wide / 2.0 if tight and span < wide else slide
    return Ink(strokes=tuple(strokes), labels=(_on_line(p, q, way, shift, text, height),))


def _heads(p: Points, q: Points, way: Points) -> tuple[Stroke, Stroke]:
    return arrowhead(p, way), arrowhead(q, -way)


def _on_line(p: Points, q: Points, way: Points, slide: float, text: str, height: float) -> Label:
    angle = readable(float(np.degrees(np.arctan2(way[1], way[0]))))
    a = np.radians(angle)
    at = (p + q) / 2.0 + way * slide + np.array([-np.sin(a), np.cos(a)]) * 0.4 * height
    where = (float(at[0]), float(at[1]))
    return Label(text=text, at=where, height=height, anchor="middle", angle=angle, layer="dimension")


def backing(label: Label, *, margin: float = 0.5) -> Stroke:
    """A patch of paper under the label, so that lines stop short of the text."""
    corners = label_corners(label)
    out = corners - corners.mean(axis=0)
    grow = out / np.maximum(np.hypot(out[:, 0], out[:, 1])[:, None], 1e-9) * margin * np.sqrt(2.0)
    return polyline(corners + grow, "area", closed=True, fill="paper")


def check_line(at: tuple[float, float], size: float, text: str) -> Ink:
    """A line of exactly ``size`` mm from ``at`` to the right, with end ticks and what it should measure."""
    x, y = at
    return Ink(
        strokes=(
            polyline([(x, y), (x + size, y)], "mark"),
            polyline([(x, y - 1.8), (x, y + 1.8)], "mark"),
            polyline([(x + size, y - 1.8), (x + size, y + 1.8)], "mark"),
        ),
        labels=(Label(text=text, at=(x + size / 2.0, y + 1.2), height=2.2, anchor="middle"),),
    )
