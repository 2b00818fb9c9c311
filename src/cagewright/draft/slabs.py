"""Sections of a scan as slabs of its points: widths, heights and corners from medians, not from one point.

Where a slab has no points there is no metal: the answer is None and never what lies beyond the hole.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.shape.cloud import Cloud
from cagewright.shape.types import Array

THICK = 24.0
"""Half the slab's extent along the car, mm."""
WINDOWS = (24.0, 60.0)
"""Half sizes of the window that a place is read through, mm: the larger bridges a hole in the scan."""
LEAST = 6
"""Fewer points than this are no metal."""
SKIN = 25.0
"""What lies within this of the surface that is looked for belongs to it, mm."""
PAST_TUNNEL = 350.0
"""Nothing nearer to the centre line than this is the body's side, mm."""
BIN = 10.0
"""Width of the strips that a corner is looked for in, mm."""
SMOOTH = 3.0
"""A corner is round where strips lie no further than this from a parabola, mm."""
DIP = 6.0
"""A box stands out of its corner by more than this, mm."""
FACES = (0.7, 1.3)
"""How steep a box's two faces run from its edge, of level and plumb ones 1 (ours)."""
BESIDE = 120.0
"""So far to either side of its edge the corner behind a box is looked for, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Slab:
    """The points of a scan near one distance back.

    Attributes:
        points: (n, 3) how far behind the section's plane, across and up, mm.
    """

    points: Array


def slab_at(cloud: Cloud, back: float, thick: float = WINDOWS[-1]) -> Slab:
    """The points within ``thick`` mm of the distance ``back``, mm."""
    near = cloud.points[np.abs(cloud.points[:, 0] - back) <= thick]
    return Slab(points=near - np.array([back, 0.0, 0.0]))


def half_at(slab: Slab, up: float, sign: int) -> float | None:
    """Half width to the innermost metal of the side at a height, mm; None where there is none."""
    points = slab.points * np.array([1.0, sign, 1.0])
    points = points[points[:, 1] > PAST_TUNNEL]
    return _read(points[:, [0, 2, 1]], up, inner=1.0)


def roof_at(slab: Slab, across: float) -> float | None:
    """Height of the highest skin over a place across the car, mm; None where there is none."""
    points = slab.points[slab.points[:, 2] > _middle(slab)]
    return _read(points, across, inner=-1.0)


def _middle(slab: Slab) -> float:
    """Half way up the section, mm."""
    if not len(slab.points):
        return 0.0
    low, high = np.quantile(slab.points[:, 2], [0.01, 0.99])
    return float(low + high) / 2.0


def _read(points: Array, at: float, *, inner: float) -> float | None:
    """The third number of points (n, 3) where the first is 0 and the second is ``at``.

    Of several surfaces the one with the least (``inner`` 1) or greatest (-1) third number is read, by a plane
    through what lies near it; a wider window is only used where metal lies on both sides of the place.
    """
    for size in WINDOWS:
        off = points - np.array([0.0, at, 0.0])
        near = off[(np.abs(off[:, 1]) <= size) & (np.abs(off[:, 0]) <= max(size, THICK))]
        if len(near) < LEAST:
            continue
        depth = inner * near[:, 2]
        near = near[depth <= np.quantile(depth, 0.1) + SKIN]
        spread = size / 3.0
        both_sides = near[:, 1].min() < -spread and near[:, 1].max() > spread
        if len(near) >= LEAST and both_sides:
            return float(_plane_at(near))
    return None


def _plane_at(near: Array) -> float:
    """The third number at (0, 0) of the plane through points (n, 3), by medians of what it leaves."""
    weight = np.ones(len(near))
    terms = np.column_stack([np.ones(len(near)), near[:, :2]])
    found = np.zeros(3)
    for _ in range(4):
        found = np.linalg.lstsq(terms * weight[:, None], near[:, 2] * weight, rcond=None)[0]
        left = np.abs(near[:, 2] - terms @ found)
        weight = 1.0 / np.sqrt(1.0 + (left / max(float(np.median(left)), 0.2)) ** 2)
    return float(found[0])


def corner_of(slab: Slab, sign: int, *, box: tuple[float, float] | None = None) -> tuple[float, float] | None:
    """The deepest place behind a stick laid across the corner of side and roof: (half, up) mm.

    The stick stands square to the way out and up. Of a ``box`` that stands in that corner it is the edge
    that looks into the car, and ``box`` says how it runs: half and up for each mm back; None where it is
    not seen.
    """
    points = slab.points[np.abs(slab.points[:, 0]) <= THICK] * np.array([1.0, sign, 1.0])
    if box is not None:  # or its slope would smear the edge over the slab
        points = points - points[:, :1] * np.array([0.0, *box])
    points = points[(points[:, 1] > PAST_TUNNEL / 2.0) & (points[:, 2] > _middle(slab))]
    if len(points) < 4 * LEAST:
        return None
    out, along = points[:, 1] + points[:, 2], points[:, 1] - points[:, 2]
    strip = np.floor((along - along.min()) / BIN).astype(np.int64)
    count = np.bincount(strip)
    deep = np.array([
        float(np.median(out[strip == k])) if c >= LEAST else np.nan for k, c in enumerate(count)
    ])
    where = along.min() + (np.arange(len(count)) + 0.5) * BIN
    known = np.isfinite(deep)
    if np.count_nonzero(known) < 5:
        return None
    where, deep = where[known], deep[known]
    found = _edge(where, deep) if box else _levelled(points[:, 0], along, out, *_peak(where, deep))
    if found is None:
        return None
    top, at = found
    return (top + at) / 2.0, (top - at) / 2.0


def _levelled(behind: Array, along: Array, out: Array, top: float, at: float) -> tuple[float, float]:
    """The deepest place in the section's own plane: without what its slope adds to a slab."""
    near = (np.abs(along - at) <= 3.0 * BIN) & (np.abs(out - top) <= 3.0 * BIN)
    x, t = behind[near], along[near] - at
    if len(x) < 3 * LEAST:
        return top, at
    terms = np.column_stack([np.ones(len(x)), x, t, t * t, x * t])
    found = np.linalg.lstsq(terms, out[near], rcond=None)[0]
    if float(np.abs(out[near] - terms @ found).mean()) > SMOOTH or found[3] >= 0.0:
        return top, at
    step = float(np.clip(-found[2] / (2.0 * found[3]), -3.0 * BIN, 3.0 * BIN))
    return float(found[0] + found[2] * step + found[3] * step * step), at + step


def _peak(where: Array, deep: Array) -> tuple[float, float]:
    """The greatest depth and where it is, by a parabola through the strips beside the deepest.

    A round corner is flat there: through many strips its middle is steadier; a sharp one takes few.
    """
    best = int(np.argmax(deep))
    for many in (6.0, 3.0):
        near = np.abs(where - where[best]) <= many * BIN
        if np.count_nonzero(near) < 5:
            continue
        terms = np.polyfit(where[near] - where[best], deep[near], 2)
        left = float(np.abs(np.polyval(terms, where[near] - where[best]) - deep[near]).max())
        a, b, c = (float(v) for v in terms)
        if a < 0.0 and left < SMOOTH:
            step = float(np.clip(-b / (2.0 * a), -many * BIN, many * BIN))
            return c + b * step + a * step * step, float(where[best]) + step
    return float(deep[best]), float(where[best])


def _edge(where: Array, deep: Array) -> tuple[float, float] | None:
    """The shallowest place between two deep ones, a box's edge, and where it is; None where none stands out.

    Through the strips to either side of it go two straights of one slope, which meet in the edge.
    """
    best, at = DIP, -1
    for k in range(2, len(deep) - 2):
        beside = np.abs(where - where[k])
        left, right = (deep[near].max(initial=-np.inf) for near in (
            (beside < BESIDE) & (where < where[k]), (beside < BESIDE) & (where > where[k])))  # fmt: skip
        dip = float(min(left, right) - deep[k])
        if dip > best:
            best, at = dip, k
    if at < 0:
        return None
    near = np.abs(where - where[at]) <= 3.5 * BIN
    tried = [_bent(where[near], deep[near], float(t)) for t in where[at] + np.linspace(-BIN, BIN, 21)]
    left, top, place = min(tried)
    return (top, place) if left < SMOOTH else None


def _bent(where: Array, deep: Array, at: float) -> tuple[float, float, float]:
    """What two straights that meet ``at`` leave of the strips, how deep they meet, and where."""
    off = np.abs(where - at)
    kept = off > BIN / 2.0  # a strip over the edge itself is deeper than the edge
    terms = np.column_stack([np.ones(len(off)), off])[kept]
    slope = float(np.clip(np.linalg.lstsq(terms, deep[kept], rcond=None)[0][1], *FACES))
    top = float(np.median(deep[kept] - slope * off[kept]))
    return float(np.abs(deep[kept] - slope * off[kept] - top).mean()), top, at
