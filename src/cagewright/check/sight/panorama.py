"""What the cage hides in the 180 degrees ahead, as plain numbers: outlines from each eye and hidden cells.

The head is not turned. Things far off are hidden from both eyes where the outlines from both eyes cover the
same direction; things near by may show between.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cagewright.base.vectors import ACROSS, Vector
from cagewright.check.sight.eyes import SIDES, Choice, eyes_of
from cagewright.check.sight.seen import seeing
from cagewright.plan.types import Side
from cagewright.shape.outlines import Array, Silhouette, silhouette, trace
from cagewright.shape.types import Cage

Cells = NDArray[np.bool_]  # shape (up, across)
STEP = math.radians(0.5)
"""Size of a cell, rad."""
WIDE = math.radians(90.0)
TALL = math.radians(40.0)
"""The picture runs this far to each side, and this far up and down, rad."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Panorama:
    """The view ahead.

    Attributes:
        eyes: left and right (3,), mm.
        source: where the eyes come from.
        silhouettes: every member in view, from each eye, in the cage's order.
        lines: every body line in view, from each eye.
        either: cells (up, across) that one eye or both cannot see, lowest and leftmost first.
        both: cells that neither eye can see.
        step: size of a cell, rad.
        corner: angles of the lowest leftmost corner (to the right, up), rad.
        share_either: share of the picture's solid angle that one eye or both cannot see.
        share_both: the same for both eyes.
        by_member: solid angle that each member alone hides from both eyes, sr.
    """

    eyes: tuple[Vector, Vector]
    source: str
    silhouettes: tuple[Silhouette, ...]
    lines: tuple[Silhouette, ...]
    either: Cells
    both: Cells
    step: float
    corner: tuple[float, float]
    share_either: float
    share_both: float
    by_member: Mapping[str, float]


def panorama(cage: Cage, choice: Choice = "own", *, step: float = STEP) -> Panorama:
    """The view ahead of the driver.

    A cell is ``step`` rad wide.

    Raises:
        ValueError: the cage has no driver.
    """
    eyes = eyes_of(seeing(cage), choice)
    two = (eyes.mid - eyes.half * ACROSS, eyes.mid + eyes.half * ACROSS)
    tubes = [
        [silhouette(m.path, m.tube.radius, eye, name=m.name, which=which) for m in cage.members]
        for eye, which in zip(two, SIDES, strict=True)
    ]
    covers = [[covered(s.strips, step) for s in one] for one in tubes]
    left, right = (np.asarray(np.any(one, axis=0)) for one in covers)
    weight = _weights(step)
    names = [member.name for member in cage.members]
    each = (float((weight * (a & b)).sum()) for a, b in zip(*covers, strict=True))
    return Panorama(
        eyes=two,
        source=eyes.source,
        silhouettes=tuple(s for one in tubes for s in one if s.strips),
        lines=tuple(s for eye, which in zip(two, SIDES, strict=True) for s in _lines(cage, eye, which)),
        either=left | right,
        both=left & right,
        step=step,
        corner=(-WIDE, -TALL),
        share_either=float((weight * (left | right)).sum() / weight.sum()),
        share_both=float((weight * (left & right)).sum() / weight.sum()),
        by_member={name: size for name, size in zip(names, each, strict=True) if size > 0.0},
    )


def _lines(cage: Cage, eye: Vector, which: Side) -> Iterable[Silhouette]:
    seen = (trace(line.points, eye, name=line.name, which=which) for line in cage.lines)
    return (one for one in seen if one.strips)


def _shape(step: float) -> tuple[int, int]:
    return round(2.0 * TALL / step), round(2.0 * WIDE / step)


def _weights(step: float) -> Array:
    """Solid angle of each cell (up, across), sr: step (sin of its top less sin of its foot)."""
    rows, columns = _shape(step)
    edges = -TALL + step * np.arange(rows + 1)
    return np.repeat((step * np.diff(np.sin(edges)))[:, None], columns, axis=1)


def covered(strips: Iterable[Array], step: float) -> Cells:
    """The cells (up, across) whose middles the strips (2, n, 2) cover."""
    rows, columns = _shape(step)
    cells = np.zeros((rows, columns), dtype=bool)
    for strip in strips:
        corners = np.stack([strip[0, :-1], strip[0, 1:], strip[1, 1:], strip[1, :-1]], axis=1)
        for quad in corners:
            _cover(cells, quad, step)
    return cells


def _cover(cells: Cells, quad: Array, step: float) -> None:
    """Marks the cells whose middles lie in the quadrilateral (4, 2); nothing of it is kept elsewhere."""
    low = np.floor((quad.min(axis=0) + np.array([WIDE, TALL])) / step).astype(int)
    high = np.ceil((quad.max(axis=0) + np.array([WIDE, TALL])) / step).astype(int)
    c0, r0 = np.maximum(low, 0).tolist()
    c1, r1 = np.minimum(high, [cells.shape[1], cells.shape[0]]).tolist()
    if c0 >= c1 or r0 >= r1:
        return
    x = -WIDE + step * (np.arange(c0, c1) + 0.5)
    y = -TALL + step * (np.arange(r0, r1) + 0.5)
    cells[r0:r1, c0:c1] |= _inside(quad, x[None, :], y[:, None])


def _inside(quad: Array, x: Array, y: Array) -> Cells:
    """Whether the points lie on one side of all four edges."""
    after = np.roll(quad, -1, axis=0)
    turns = [
        (b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]) for a, b in zip(quad, after, strict=True)
    ]
    return np.all([t >= 0.0 for t in turns], axis=0) | np.all([t <= 0.0 for t in turns], axis=0)


def hidden_runs(
    cells: Cells, step: float, corner: tuple[float, float]
) -> list[tuple[float, float, float, float]]:
    """The marked cells as level stripes (left, low, right, high), rad."""
    stripes: list[tuple[float, float, float, float]] = []
    for row, marks in enumerate(cells):
        turns = np.flatnonzero(np.diff(np.concatenate([[False], marks, [False]]).astype(np.int8)))
        low = corner[1] + row * step
        for a, b in turns.reshape(-1, 2).tolist():
            stripes.append((corner[0] + a * step, low, corner[0] + b * step, low + step))
    return stripes
