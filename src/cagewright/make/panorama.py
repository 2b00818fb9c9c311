"""The picture of what the cage hides in the 180 degrees ahead, angles drawn as lengths."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from cagewright.base.drawing import Drawing, Label, Layer, Points, Stroke
from cagewright.make.strokes import Ink, backing, polyline, rectangle, together
from cagewright.shape.outlines import Silhouette

Stripe = tuple[float, float, float, float]
"""Left, low, right, high, rad."""
MM_PER_DEGREE = 1.25
WIDE, TALL = 90, 40
"""The picture runs this far to each side, and this far up and down, degrees."""
MARGIN = 14.0


def panorama_drawing(
    *,
    silhouettes: Sequence[Silhouette],
    lines: Sequence[Silhouette],
    hidden: Sequence[Stripe],
    title: str = "What the cage hides ahead",
    wrong: frozenset[str] = frozenset(),
) -> Drawing:
    """The view ahead as a drawing; ``scale`` is 1 because it shows angles, 1.25 mm to the degree.

    Full lines are the tubes from the left eye, dashed ones from the right; the tone is what neither eye sees.

    Args:
        silhouettes: tubes, from each eye.
        lines: body lines, from each eye; the left eye's are drawn.
        hidden: stripes that neither eye sees.
        title: as printed.
        wrong: names of tubes drawn as wrong.
    """
    ink = together(
        Ink(strokes=tuple(_patch(stripe) for stripe in hidden)),
        _grid(),
        Ink(strokes=tuple(s for one in lines if one.eye == "left" for s in _line(one))),
        Ink(strokes=tuple(s for one in silhouettes for s in _tube(one, one.name in wrong))),
        _names([one for one in silhouettes if one.eye == "left"]),
        _legend(),
    )
    w, t = WIDE * MM_PER_DEGREE, TALL * MM_PER_DEGREE
    return Drawing(
        name="panorama",
        title=title,
        box=(-w - MARGIN, -t - MARGIN, w + MARGIN, t + MARGIN),
        scale=1.0,
        strokes=ink.strokes,
        labels=ink.labels,
    )


def on_paper(angles: NDArray[np.float64]) -> Points:
    """Angles (n, 2), rad, as places on the drawing (n, 2), mm."""
    return np.degrees(angles) * MM_PER_DEGREE


def _patch(stripe: Stripe) -> Stroke:
    left, low, right, high = (math.degrees(v) * MM_PER_DEGREE for v in stripe)
    return rectangle((left, low, right, high), "area", fill="tone")


def _grid() -> Ink:
    w, t = WIDE * MM_PER_DEGREE, TALL * MM_PER_DEGREE
    strokes: list[Stroke] = [rectangle((-w, -t, w, t), "dimension")]
    labels: list[Label] = []
    for degrees in range(-WIDE, WIDE + 1, 15):
        x = degrees * MM_PER_DEGREE
        strokes.append(polyline([(x, -t), (x, -t - 1.5)], "dimension"))
        labels.append(Label(text=f"{abs(degrees)}°", at=(x, -t - 5.0), height=2.2, anchor="middle"))
    for degrees in range(-TALL, TALL + 1, 20):
        y = degrees * MM_PER_DEGREE
        strokes.append(polyline([(-w - 1.5, y), (-w, y)], "dimension"))
        labels.append(Label(text=f"{degrees}°", at=(-w - 2.5, y - 1.1), height=2.2, anchor="right"))
    strokes.append(polyline([(-w, 0.0), (w, 0.0)], "centre"))
    strokes.append(polyline([(0.0, -t), (0.0, t)], "centre"))
    return Ink(strokes=tuple(strokes), labels=tuple(labels))


def _line(one: Silhouette) -> Iterable[Stroke]:
    return (polyline(run, "body") for strip in one.strips for run in _clipped(on_paper(strip[0])))


def _tube(one: Silhouette, wrong: bool) -> Iterable[Stroke]:
    layer: Layer = "wrong" if wrong else ("tube" if one.eye == "left" else "hidden")
    edges = (edge for strip in one.strips for edge in strip)
    return (polyline(run, layer) for edge in edges for run in _clipped(on_paper(edge)))


def _clipped(points: Points) -> list[Points]:
    """The runs of the polyline (n, 2) inside the picture, cut at its edges."""
    runs: list[list[Points]] = []
    for a, b in pairwise(points):
        cut = _cut(a, b)
        if cut is None:
            continue
        p, q = cut
        if runs and np.allclose(runs[-1][-1], p):
            runs[-1].append(q)
        else:
            runs.append([p, q])
    return [np.array(run) for run in runs]


def _cut(a: Points, b: Points) -> tuple[Points, Points] | None:
    """The part of the straight from a to b inside the picture, or None (the parametric clip)."""
    low, high = 0.0, 1.0
    size = np.array([WIDE, TALL]) * MM_PER_DEGREE
    for axis in (0, 1):
        run = float(b[axis] - a[axis])
        for edge, sign in ((-size[axis], 1.0), (size[axis], -1.0)):
            room, rate = sign * float(a[axis] - edge), sign * run
            if rate == 0.0 and room < 0.0:
                return None
            if rate > 0.0:
                low = max(low, -room / rate)
            elif rate < 0.0:
                high = min(high, -room / rate)
    return (a + low * (b - a), a + high * (b - a)) if low < high else None


def _names(silhouettes: Sequence[Silhouette]) -> Ink:
    """Each tube's name at the middle of its longest run in the picture, on a patch of paper."""
    labels: list[Label] = []
    for one in silhouettes:
        runs = [run for strip in one.strips for run in _clipped(on_paper(strip.mean(axis=0)))]
        if not runs:
            continue
        longest = max(runs, key=len)
        x, y = longest[len(longest) // 2].tolist()
        label = Label(text=one.name, at=(x, y), height=1.6, anchor="middle")
        if not any(_near(label, other) for other in labels):
            labels.append(label)
    return Ink(strokes=tuple(backing(label) for label in labels), labels=tuple(labels))


def _near(a: Label, b: Label) -> bool:
    wide = 0.42 * a.height * (len(a.text) + len(b.text)) + 1.0
    return abs(a.at[1] - b.at[1]) < 2.0 * a.height and abs(a.at[0] - b.at[0]) < wide


def _legend() -> Ink:
    w, t = WIDE * MM_PER_DEGREE, TALL * MM_PER_DEGREE
    words = (
        "left eye: full line",
        "right eye: dashed",
        "tone: far things neither eye sees, head straight",
    )
    text = "   |   ".join(words)
    return Ink(labels=(Label(text=text, at=(-w, t + 3.0), height=2.2), _ends("left", -w), _ends("right", w)))


def _ends(word: str, x: float) -> Label:
    low = -TALL * MM_PER_DEGREE - 10.0
    return Label(text=word, at=(x, low), height=2.2, anchor="left" if x < 0.0 else "right")
