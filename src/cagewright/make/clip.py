"""Cutting a drawing to a window: what lies inside stays, exactly where it was."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from cagewright.base.drawing import Box, Drawing, Label, Points, Stroke, label_corners


def clipped(drawing: Drawing, window: Box) -> Drawing:
    """The drawing inside the window; a label whose middle is inside stays whole, moved in at the edges."""
    strokes = tuple(part for stroke in drawing.strokes for part in _stroke(stroke, window))
    labels = tuple(_inside(label, window) for label in drawing.labels if _middle_in(label, window))
    return replace(drawing, box=window, strokes=strokes, labels=labels)


def _stroke(stroke: Stroke, window: Box) -> tuple[Stroke, ...]:
    if stroke.fill != "none":
        area = _polygon(stroke.points, window)
        return (replace(stroke, points=area),) if len(area) > 2 else ()
    points = np.vstack([stroke.points, stroke.points[:1]]) if stroke.closed else stroke.points
    return tuple(replace(stroke, points=run, closed=False) for run in _line(points, window))


def _line(points: Points, window: Box) -> list[Points]:
    """The runs of the polyline inside the window."""
    runs: list[list[Points]] = []
    for a, b in pairwise(points):
        span = _segment(a, b, window)
        if span is None:
            continue
        p, q = a + (b - a) * span[0], a + (b - a) * span[1]
        if runs and np.array_equal(runs[-1][-1], p):
            runs[-1].append(q)
        else:
            runs.append([p, q])
    return [np.array(run) for run in runs]


def _segment(a: Points, b: Points, window: Box) -> tuple[float, float] | None:
    """The part (from, to) of the way from a to b that is inside (Liang and Barsky 1984)."""
    low, high = 0.0, 1.0
    for axis in (0, 1):
        step = float(b[axis] - a[axis])
        for bound, sign in ((window[axis], -1.0), (window[axis + 2], 1.0)):
            room = sign * (bound - float(a[axis]))
            pace = sign * step
            if pace == 0.0:
                if room < 0.0:
                    return None
            elif pace < 0.0:
                low = max(low, room / pace)
            else:
                high = min(high, room / pace)
    return (low, high) if low < high else None


def _polygon(points: Points, window: Box) -> Points:
    """The closed polygon cut to the window, side by side (Sutherland and Hodgman 1974)."""
    for axis in (0, 1):
        for bound, sign in ((window[axis], 1.0), (window[axis + 2], -1.0)):
            points = _half(points, axis, bound, sign)
            if len(points) < 3:
                return points
    return points


def _half(points: Points, axis: int, bound: float, sign: float) -> Points:
    depth = sign * (points[:, axis] - bound)
    out: list[Points] = []
    for i in range(len(points)):
        j = (i + 1) % len(points)
        if depth[i] >= 0.0:
            out.append(points[i])
        if (depth[i] >= 0.0) != (depth[j] >= 0.0):
            out.append(points[i] + (points[j] - points[i]) * depth[i] / (depth[i] - depth[j]))
    return np.array(out).reshape(-1, 2)


def _middle_in(label: Label, window: Box) -> bool:
    x, y = label_corners(label).mean(axis=0)
    return window[0] <= x <= window[2] and window[1] <= y <= window[3]


def _inside(label: Label, window: Box) -> Label:
    corners = label_corners(label)
    low, high = corners.min(axis=0), corners.max(axis=0)
    over = np.maximum(np.array(window[:2]) - low, 0.0) - np.maximum(high - np.array(window[2:]), 0.0)
    return replace(label, at=(label.at[0] + float(over[0]), label.at[1] + float(over[1])))
