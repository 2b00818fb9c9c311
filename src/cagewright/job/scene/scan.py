"""The scan of the shell as the page draws it: thinned, and sent as numbers one behind the other."""

from __future__ import annotations

from collections.abc import Hashable

import numpy as np
from numpy.typing import NDArray

from cagewright.base.cache import Cache
from cagewright.job.opening import Job, scan_of
from cagewright.shape.types import Array

MOST = 60_000
"""Most triangles that are drawn."""
KEPT = 4
"""Scans whose drawn form is kept."""
Whole = NDArray[np.int64]
_drawn = Cache(KEPT)


def scan_bytes(job: Job) -> bytes | None:
    """The scan as uint32 n, uint32 m, n corners of three float32 (mm) and m faces of three uint32.

    Numbers are little-endian. None where the plan names no scan.

    Raises:
        ProblemsFound: the scan cannot be used.
    """
    key = scan_key(job)
    return None if key is None else _drawn.get(key, lambda: _bytes(job))


def _bytes(job: Job) -> bytes:
    scan = scan_of(job)
    assert scan is not None
    return packed(*thinned(scan.mesh.corners, scan.mesh.faces, most=MOST))


def scan_key(job: Job) -> Hashable | None:
    """Equal while the plan's scan is drawn the same: its file, its entry and the points it is placed by."""
    entry = job.plan.shell.scan if job.plan.shell else None
    if entry is None:
        return None
    path = job.path.parent / entry.file
    try:
        stat = path.stat()
        when = (stat.st_mtime_ns, stat.st_size)
    except OSError:
        when = (0, 0)
    places = tuple(job.plan.points.items()) if entry.points else ()
    return path.as_posix(), when, entry.model_dump_json(), repr(places)


def packed(corners: Array, faces: Whole) -> bytes:
    """The mesh as bytes; see ``scan_bytes``."""
    head = np.array([len(corners), len(faces)], dtype="<u4").tobytes()
    return head + corners.astype("<f4").tobytes() + faces.astype("<u4").tobytes()


def thinned(corners: Array, faces: Whole, *, most: int) -> tuple[Array, Whole]:
    """The mesh with at most ``most`` triangles, corners near each other drawn together.

    Corners in one cell of an even grid become their mean; triangles left with fewer than three corners go.
    The grid is made coarser until few enough are left.

    Args:
        corners: (n, 3) mm.
        faces: (m, 3) indices into corners.
        most: triangles to keep, at least 1.
    """
    if len(faces) <= most:
        return corners, faces
    a, b, c = (corners[faces[:, i]] for i in range(3))
    area = float(np.sum(np.linalg.norm(np.cross(b - a, c - a), axis=1))) / 2.0
    cell = np.sqrt(2.0 * area / most)
    while True:
        made, left = _in_cells(corners, faces, cell)
        if len(left) <= most:
            return made, left
        cell *= 1.15


def _in_cells(corners: Array, faces: Whole, cell: float) -> tuple[Array, Whole]:
    grid = np.floor((corners - corners.min(axis=0)) / cell).astype(np.int64)
    sizes = grid.max(axis=0) + 1
    code = (grid[:, 0] * sizes[1] + grid[:, 1]) * sizes[2] + grid[:, 2]
    _, which, count = np.unique(code, return_inverse=True, return_counts=True)
    means = np.stack([np.bincount(which, weights=corners[:, i]) / count for i in range(3)], axis=1)
    made = which[faces]
    whole = (made[:, 0] != made[:, 1]) & (made[:, 1] != made[:, 2]) & (made[:, 2] != made[:, 0])
    made = made[whole]
    _, first = np.unique(np.sort(made, axis=1), axis=0, return_index=True)
    made = made[np.sort(first)]
    used, renamed = np.unique(made, return_inverse=True)
    return means[used], renamed.reshape(made.shape).astype(np.int64)
