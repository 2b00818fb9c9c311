"""A piece of curved sheet laid flat at full size, and by how much it has to stretch for it.

Least-squares conformal maps: B. Levy, S. Petitjean, N. Ray, J. Maillot, 'Least squares conformal maps for
automatic texture atlas generation', ACM Trans. Graphics 21 (2002) 362 (from memory, unchecked; held to
cylinders and cones unrolled in closed form by the tests). A sheet bent without stretching comes out at its
true size, but for one factor that its area gives.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array, csr_array
from scipy.sparse.linalg import lsqr

from cagewright.base.vectors import Vector, dot, length
from cagewright.shape.mesh import Whole
from cagewright.shape.types import Array

FLAT = 0.5
"""A piece whose corners lie this near one plane is flat, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Flat:
    """A piece of sheet laid flat.

    Attributes:
        loops: its outlines, (k, 2) mm each at full size, the longest first.
        bent: whether it has to be wrapped over the metal; False for a flat piece.
        stretch: the largest share by which an edge is longer or shorter than on the metal.
        ways: (3, 2) how back, across and up run on it, on the whole: of length 1 where they lie in the sheet.
    """

    loops: tuple[Array, ...]
    bent: bool
    stretch: float
    ways: Array


def laid_flat(corners: Array, faces: Whole, *, seen_from: Vector) -> Flat:
    """The piece with corners (n, 3) mm and faces (m, 3), connected, laid flat as seen from a place (3,)."""
    middle = corners.mean(axis=0)
    _, _, axes = np.linalg.svd(corners - middle, full_matrices=False)
    plane = (corners - middle) @ axes[:2].T
    bent = float(np.abs((corners - middle) @ axes[2]).max()) > FLAT
    places = _conformal(corners, faces, plane) if bent else plane
    if _mirrored(corners, faces, places, seen_from):
        places = places * np.array([-1.0, 1.0])
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    true = length(corners[edges[:, 0]] - corners[edges[:, 1]])
    drawn = np.hypot(*(places[edges[:, 0]] - places[edges[:, 1]]).T)
    long = true > 0.5  # slivers at the cut say nothing of the sheet
    stretch = float(np.percentile(np.abs(drawn[long] / true[long] - 1.0), 98.0)) if long.any() else 0.0
    slopes = np.linalg.lstsq(places - places.mean(axis=0), corners - middle, rcond=None)[0]
    return Flat(
        loops=tuple(places[loop] for loop in _loops(faces)), bent=bent, stretch=stretch, ways=slopes.T
    )


def _mirrored(corners: Array, faces: Whole, places: Array, seen_from: Vector) -> bool:
    """Whether the places (n, 2) show the piece as it is seen from its other side."""
    a, b, c = (corners[faces[:, i]] for i in range(3))
    turned = dot(np.cross(b - a, c - a), seen_from - a)  # more than 0: anticlockwise as it is seen
    p, q, r = (places[faces[:, i]] for i in range(3))
    drawn = (q - p)[:, 0] * (r - p)[:, 1] - (q - p)[:, 1] * (r - p)[:, 0]
    return float((np.sign(turned) * drawn).sum()) < 0.0


def _conformal(corners: Array, faces: Whole, start: Array) -> Array:
    """(n, 2) the corners laid flat so that angles are kept as nearly as can be, at the true area."""
    a, b, c = (corners[faces[:, i]] for i in range(3))
    ab, ac = b - a, c - a
    size = np.maximum(length(ab), 1e-9)
    x = ab / size[:, None]
    u2, v2 = dot(ac, x), length(ac - dot(ac, x)[:, None] * x)
    area = np.maximum(size * v2, 1e-12)
    # each triangle in its own plane: (0, 0), (size, 0), (u2, v2); its edges as complex numbers, turned
    w = np.stack([(u2 - size) + 1j * v2, -u2 - 1j * v2, size + 0j], axis=1) / np.sqrt(area)[:, None]
    n, m = len(corners), len(faces)
    rows, columns = np.repeat(np.arange(m), 3), faces.ravel()
    real, imag = w.real.ravel(), w.imag.ravel()
    table = coo_array(
        (
            np.concatenate([real, -imag, imag, real]),
            (
                np.concatenate([rows, rows, rows + m, rows + m]),
                np.concatenate([columns, columns + n, columns, columns + n]),
            ),
        ),
        shape=(2 * m, 2 * n),
    ).tocsc()
    one, two = int(np.argmin(start[:, 0])), int(np.argmax(start[:, 0]))
    pinned = np.array([one, two, one + n, two + n])
    held = np.concatenate([start[[one, two], 0], start[[one, two], 1]])
    free = np.setdiff1d(np.arange(2 * n), pinned)
    first = np.concatenate([start[:, 0], start[:, 1]])[free]
    found = lsqr(
        table[:, free], -(csr_array(table[:, pinned]) @ held), x0=first, atol=1e-10, btol=1e-10, iter_lim=4000
    )[0]
    flat = np.empty(2 * n)
    flat[free], flat[pinned] = found, held
    places = np.stack([flat[:n], flat[n:]], axis=1)
    p, q = places[faces[:, 1]] - places[faces[:, 0]], places[faces[:, 2]] - places[faces[:, 0]]
    drawn = float(np.abs(p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]).sum())
    return places * np.sqrt(float(area.sum()) / max(drawn, 1e-12))


def _loops(faces: Whole) -> list[Whole]:
    """The outlines as indices of corners in order, the longest first."""
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    keys = np.sort(edges, axis=1)
    _, first, uses = np.unique(keys, axis=0, return_index=True, return_counts=True)
    after: dict[int, list[int]] = {}
    for i, j in edges[first[uses == 1]].tolist():
        after.setdefault(i, []).append(j)
        after.setdefault(j, []).append(i)
    loops: list[Whole] = []
    while after:
        start = next(iter(after))
        loop, here = [start], start
        while after.get(here):
            there = after[here].pop()
            after[there].remove(here)
            loop.append(there)
            here = there
        for i in set(loop):
            if not after.get(i):
                after.pop(i, None)
        if len(loop) > 3:
            loops.append(np.array(loop[:-1] if loop[0] == loop[-1] else loop))
    return sorted(loops, key=len, reverse=True)
