"""A scan without what floats loose, on shared corners, its noise measured and smoothed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array, csr_array, diags_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import KDTree

from cagewright.base.vectors import dot, length
from cagewright.shape.mesh import Whole
from cagewright.shape.scan_file import used_only
from cagewright.shape.splats import noise_of, splats
from cagewright.shape.types import Array

SPECK = 25.0
"""A loose piece no longer than this is never metal of the shell, mm (ours)."""
LOOSE = 60.0
"""A loose piece no longer than this that stands off everything else is none either, mm (ours)."""
OFF = 10.0
"""From this far off a piece stands off the rest, mm."""
MOST_LOOSE = 0.02
"""Where more than this share of the area would be loose the scan is torn, and nothing is left out."""
ROUGH = 0.8
"""Noise from which a scan is smoothed, mm."""
COARSE = 30.0
"""Size of the facets from which a scan's scatter is not known from its facets, mm (ours)."""
PASSES = 6
SHRINK, GROW = 0.5, -0.526
"""Steps of one pass of smoothing. Source: G. Taubin, SIGGRAPH 1995, 351 (from memory, unchecked)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clean:
    """A scan's surface ready to be placed.

    Attributes:
        corners: (n, 3) mm.
        faces: (m, 3).
        noise: that is left in it, as a standard deviation, mm.
        notes: what was done, in words.
    """

    corners: Array
    faces: Whole
    noise: float
    notes: tuple[str, ...]


def cleaned(corners: Array, faces: Whole) -> Clean:
    """The mesh (n, 3) mm, (m, 3) without loose pieces, smoothed where it is rough."""
    corners, faces = merged(corners, faces)
    corners, faces, loose = without_loose(corners, faces)
    notes = [f"{loose} loose bits that float clear of the shell were left out"] if loose else []
    noise = _noise(corners, faces)
    if noise > ROUGH:
        corners = smoothed(corners, faces)
        left = _noise(corners, faces)
        notes.append(f"its surface scatters by {noise:.1f} mm; smoothed, by {left:.1f} mm")
        noise = left
    return Clean(corners=corners, faces=faces, noise=noise, notes=tuple(notes))


def cleaned_cloud(points: Array, spacing: float) -> Clean:
    """A cloud of thinned points (n, 3) mm as small squares, without strays."""
    corners, faces, strays = splats(points, spacing)
    notes = ["it is a cloud of points without faces, so it has no inside: a gap has no sign, and a tube "
             "in or behind the metal is not known from one before it"]  # fmt: skip
    notes += [f"{strays} stray points were left out"] if strays else []
    return Clean(corners=corners, faces=faces, noise=noise_of(points, 3.5 * spacing), notes=tuple(notes))


def merged(corners: Array, faces: Whole) -> tuple[Array, Whole]:
    """The same faces on shared corners (an STL file repeats each); the same to 0.01 mm is one."""
    keys = np.round(corners * 100.0).astype(np.int64)
    keys -= keys.min(axis=0)
    span = keys.max(axis=0) + 1
    flat = (keys[:, 0] * span[1] + keys[:, 1]) * span[2] + keys[:, 2]
    _, first, back = np.unique(flat, return_index=True, return_inverse=True)
    return corners[first], back[faces]


def without_loose(corners: Array, faces: Whole) -> tuple[Array, Whole, int]:
    """The mesh without its loose pieces, and how many were left out."""
    i, j = faces[:, [0, 1]].ravel(), faces[:, [1, 2]].ravel()
    links = coo_array((np.ones(len(i), dtype=np.bool_), (i, j)), shape=(len(corners), len(corners)))
    count, piece = connected_components(links, directed=False)
    if count == 1:
        return corners, faces, 0
    high, low = np.full((count, 3), -np.inf), np.full((count, 3), np.inf)
    np.maximum.at(high, piece, corners)
    np.minimum.at(low, piece, corners)
    long = (high - low).max(axis=1)
    loose = long <= SPECK
    some = np.flatnonzero((long > SPECK) & (long <= LOOSE))
    if len(some) and (long > LOOSE).any():
        body = KDTree(corners[long[piece] > LOOSE])
        away, _ = body.query(corners)
        near = np.full(count, np.inf)
        np.minimum.at(near, piece, away)
        loose[some] = near[some] > OFF
    gone = loose[piece[faces[:, 0]]]
    c = corners[faces]
    area = length(np.cross(c[:, 1] - c[:, 0], c[:, 2] - c[:, 0]))
    if not gone.any() or gone.all() or float(area[gone].sum()) > MOST_LOOSE * float(area.sum()):
        return corners, faces, 0
    return *used_only(corners, faces[~gone]), int(loose.sum())


def _noise(corners: Array, faces: Whole) -> float:
    """Its scatter, mm; 0 where the facets are too coarse to tell it from their own shape."""
    c = corners[faces]
    size = float(np.sqrt(np.median(length(np.cross(c[:, 1] - c[:, 0], c[:, 2] - c[:, 0])))))
    return noise_of(corners, 4.0 * size) if size < COARSE else 0.0


def smoothed(corners: Array, faces: Whole) -> Array:
    """The corners (n, 3) with their scatter taken out and their shape kept, a free edge's along itself.

    Source: ``SHRINK``.
    """
    n = len(corners)
    i, j = faces[:, [0, 1, 2]].ravel(), faces[:, [1, 2, 0]].ravel()
    once = coo_array((np.ones(len(i)), (i, j)), shape=(n, n)).tocsr()
    both: csr_array = (once + once.T).tocsr()
    rim = both.copy()
    rim.data = np.where(both.data == 1.0, 1.0, 0.0)  # an edge that one face has
    on_rim = np.asarray(rim.sum(axis=1)).ravel() > 0.0
    both.data = np.ones_like(both.data)
    keep, edge = diags_array((~on_rim).astype(float)), diags_array(on_rim.astype(float))
    links = (keep @ both + edge @ rim).tocsr()
    per = np.maximum(np.asarray(links.sum(axis=1)).ravel(), 1.0)
    for _ in range(PASSES):
        for step in (SHRINK, GROW):
            corners = corners + step * ((links @ corners) / per[:, None] - corners)
    return corners


def closure(corners: Array, faces: Whole) -> tuple[bool, list[str]]:
    """Whether the surface is closed, and what is to be said about it."""
    edges = np.sort(faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    _, uses = np.unique(edges[:, 0] * np.int64(len(corners)) + edges[:, 1], return_counts=True)
    if not (uses == 2).all():
        return False, ["the scan is open or torn, so it has no inside; distances to it hold all the same"]
    a, b, c = (corners[faces[:, i]] - corners.mean(axis=0) for i in range(3))
    if float(dot(a, np.cross(b, c)).sum()) < 0.0:
        return True, ["the scan is inside out: its faces look inward; distances to it hold all the same"]
    return True, []
