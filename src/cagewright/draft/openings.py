"""Where a scan of a shell has no metal: door openings, side windows, a sunroof, the screen's upper edge.

The side or the roof is laid on a grid of cells; cells without points that hang together are an opening,
once small holes of the scan are closed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from cagewright.shape.cloud import Cloud
from cagewright.shape.types import Array

CELL = 16.0
"""Side of a cell, mm."""
HOLE = 5
"""Holes of the scan up to this many cells wide are closed."""
DOOR = 0.2e6
"""A door's opening is no smaller than this, mm2 (ours)."""
WINDOW = 0.02e6
"""Any opening is no smaller than this, mm2 (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoMetal:
    """Where there is no metal, by its edges along the car (x) and in the other direction (y), mm.

    ``front``, ``rear``, ``low`` and ``high`` are medians along each edge, so that a round corner does not
    rule; ``area`` in mm2.
    """

    front: float
    rear: float
    low: float
    high: float
    area: float


def side_openings(cloud: Cloud, sign: int) -> tuple[NoMetal, ...]:
    """The openings of the left (-1) or right (1) side, seen square from that side: along the car and up."""
    p = cloud.points
    far = sign * p[:, 1]
    return _openings(p[far > 0.62 * float(np.quantile(far, 0.995))][:, [0, 2]])


def roof_openings(cloud: Cloud) -> tuple[NoMetal, ...]:
    """The openings of the roof, seen from above: along the car and across it."""
    p = cloud.points
    top = p[p[:, 2] > 0.75 * float(np.quantile(p[:, 2], 0.995))]
    return _openings(top[:, [0, 1]])


def roof_front(cloud: Cloud) -> float | None:
    """How far back the roof's front edge is on the centre line, mm: the median over 100 mm of it."""
    p = cloud.points
    high = float(np.quantile(p[:, 2], 0.99))
    top = p[(p[:, 2] > high - 260.0) & (np.abs(p[:, 1]) < 110.0)]
    strips = [top[np.abs(top[:, 1] - y) < 12.0][:, 0] for y in np.linspace(-90.0, 90.0, 9)]
    firsts = [float(np.sort(s)[2]) for s in strips if len(s) > 5]
    return float(np.median(firsts)) if len(firsts) >= 5 else None


def _openings(flat: Array) -> tuple[NoMetal, ...]:
    """The openings in points (n, 2) of one side."""
    low = flat.min(axis=0)
    cell = np.floor((flat - low) / CELL).astype(np.int64)
    metal = np.zeros(tuple(cell.max(axis=0) + 1), dtype=np.bool_)
    metal[tuple(cell.T)] = True
    round_ = ndimage.generate_binary_structure(2, 1)
    padded: Any = ndimage.binary_closing(np.pad(metal, HOLE), round_, iterations=HOLE // 2 + 1)
    closed = np.asarray(padded, dtype=np.bool_)[HOLE:-HOLE, HOLE:-HOLE]
    labelled: Any = ndimage.label(~closed)
    label, count = labelled
    found: list[NoMetal] = []
    for k in range(1, int(count) + 1):
        mine = label == k
        rim = mine[0].any() or mine[-1].any() or mine[:, 0].any() or mine[:, -1].any()
        if not rim and mine.sum() * CELL**2 > WINDOW:
            found.append(_opening(mine, low))
    return tuple(sorted(found, key=lambda one: -one.area))


def _opening(mine: NDArray[np.bool_], low: Array) -> NoMetal:
    x, y = np.nonzero(mine)
    rows, columns = np.unique(y), np.unique(x)
    ends = np.array([[x[y == r].min(), x[y == r].max() + 1] for r in rows])
    tops = np.array([[y[x == c].min(), y[x == c].max() + 1] for c in columns])
    lower = ends[: max(3, len(ends) // 2)]  # a door's front edge leans in above its waist
    return NoMetal(
        front=float(low[0] + CELL * np.median(lower[:, 0])),
        rear=float(low[0] + CELL * np.median(lower[:, 1])),
        low=float(low[1] + CELL * np.median(tops[:, 0])),
        high=float(low[1] + CELL * np.quantile(tops[:, 1], 0.9)),
        area=float(mine.sum()) * CELL**2,
    )
