"""A cloud of points as a surface: one small square to each thinned point, flat on the points round it.

It has no inside and no edges that close: only how far away it is means anything.
"""

from __future__ import annotations

import numpy as np
from scipy.spatial import KDTree

from cagewright.base.vectors import dot
from cagewright.shape.mesh import Whole
from cagewright.shape.types import Array

AROUND = 14
"""Neighbours that a point's plane is laid through."""
HALF = 0.6
"""Half side of a square, in spacings: neighbours' squares overlap a little."""
FLAT = 0.25
"""Share of a shell's places taken to be smooth in whatever facets it comes (ours)."""
ALONE = 4.0
"""A point whose neighbours' median lies further off than this many spacings is a stray."""


def thinned(points: Array, spacing: float) -> Array:
    """The mean of the points (n, 3) in each cube of that spacing, one for each (m, 3)."""
    cube = np.floor((points - points.min(axis=0)) / spacing).astype(np.int64)
    span = cube.max(axis=0) + 1
    _, which, count = np.unique(
        (cube[:, 0] * span[1] + cube[:, 1]) * span[2] + cube[:, 2], return_inverse=True, return_counts=True
    )
    return np.stack([np.bincount(which, points[:, k]) for k in range(3)], axis=1) / count[:, None]


def splats(points: Array, spacing: float) -> tuple[Array, Whole, int]:
    """Corners (k, 3) and faces (m, 3) of the squares, and how many stray points were left out.

    The thinned points (n, 3) and their spacing are in mm.
    """
    found = KDTree(points).query(points, k=min(AROUND, len(points)))
    away, near = np.asarray(found[0]), np.asarray(found[1])
    kept = np.flatnonzero(np.median(away[:, 1:], axis=1) < ALONE * spacing)
    kept = kept if len(kept) > len(points) // 2 else np.arange(len(points))
    one, two = planes(points[near[kept]])
    middle, half = points[kept], HALF * spacing
    ring = [middle + half * (a * one + b * two) for a, b in ((1, 1), (-1, 1), (-1, -1), (1, -1))]
    corners = np.stack(ring, axis=1).reshape(-1, 3)
    first = 4 * np.arange(len(kept), dtype=np.int64)[:, None]
    faces = np.concatenate([first + np.array([0, 1, 2]), first + np.array([0, 2, 3])])
    return corners, faces, len(points) - len(kept)


def planes(around: Array) -> tuple[Array, Array]:
    """Two unit ways (n, 3) in the plane that lies best through each group of points (n, k, 3)."""
    off = around - around.mean(axis=1, keepdims=True)
    _, ways = np.linalg.eigh(np.einsum("nki,nkj->nij", off, off))
    return ways[:, :, 2], ways[:, :, 1]


def noise_of(points: Array, reach: float) -> float:
    """How far points (n, 3) lie beside the smooth surface through them, as a standard deviation, mm.

    A curved patch (z = a + bx + cy + dx2 + exy + fy2) is laid through what lies within ``reach`` mm of each
    of some 400 of them; the answer is the ``FLAT`` quantile of the patches' residual deviations: scatter is
    everywhere, edges, corners and coarse facets, which no such patch fits, are not.
    """
    tree = KDTree(points)
    some = points[:: max(1, len(points) // 400)]
    found: list[float] = []
    for near in tree.query_ball_point(some, reach):
        if len(near) < 12:
            continue
        p = points[near] - points[near].mean(axis=0)
        _, ways = np.linalg.eigh(p.T @ p)
        x, y, z = p @ ways[:, 2], p @ ways[:, 1], p @ ways[:, 0]
        terms = np.stack([np.ones(len(p)), x, y, x * x, x * y, y * y], axis=1)
        left = z - terms @ np.linalg.lstsq(terms, z, rcond=None)[0]
        found.append(float(np.sqrt(dot(left, left) / (len(p) - 6))))
    return float(np.quantile(found, FLAT)) if found else 0.0
