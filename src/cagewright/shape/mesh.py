"""A surface of triangles that answers how far away it is: corners, faces and a search tree by size."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import KDTree

from cagewright.base.vectors import length
from cagewright.shape.closest import Mask, closest_on_triangles, closest_segment_triangle, pierced
from cagewright.shape.types import Array

Whole = NDArray[np.int64]
SOME = 400
"""Segments looked at together, so that their pairs with faces stay within memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeClass:
    """Triangles of like size: their middles in a tree; no corner is further than ``radius`` mm from one.

    ``radius`` in mm, ``faces`` (k,) of the mesh and the tree of their k middles.
    """

    radius: float
    faces: Whole
    tree: KDTree


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """A surface of triangles, closed or not.

    ``corners`` (n, 3) in mm; ``faces`` (m, 3) index them; ``sizes`` holds every face once, by size.
    """

    corners: Array
    faces: Whole
    sizes: tuple[SizeClass, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Nearest:
    """What of a mesh is nearest to each of n points.

    Attributes:
        away: (n,) mm, inf where nothing lies within the limit asked for.
        on: (n, 3) the nearest point of the mesh, mm (nan where none).
        face: (n,) its face, -1 where none.
    """

    away: Array
    on: Array
    face: Whole


def mesh_of(corners: Array, faces: Whole) -> Mesh:
    """The surface with its search trees.

    Corners (n, 3) in mm, faces (m, 3) as indices into them.

    Raises:
        ValueError: no faces.
    """
    if not len(faces):
        raise ValueError("a mesh needs at least one triangle")
    faces = np.ascontiguousarray(faces, dtype=np.int64)
    middles = corners[faces].mean(axis=1)
    reach = np.max([length(corners[faces[:, i]] - middles) for i in range(3)], axis=0)
    # doubling sizes: a scan's few large flat triangles must not make every search wide
    step = np.ceil(np.log2(np.maximum(reach, 1e-3) / max(float(np.median(reach)), 1e-3))).clip(0, 40)
    sizes: list[SizeClass] = []
    for value in np.unique(step):
        chosen = np.flatnonzero(step == value)
        tree = KDTree(middles[chosen], balanced_tree=False, compact_nodes=False)
        sizes.append(SizeClass(radius=float(reach[chosen].max()), faces=chosen, tree=tree))
    return Mesh(corners=corners, faces=faces, sizes=tuple(sizes))


def triangles(mesh: Mesh, faces: Whole) -> Array:
    """The corners (k, 3, 3) of the chosen faces (k,), mm."""
    return mesh.corners[mesh.faces[faces]]


def bounds(mesh: Mesh, points: Array) -> tuple[Array, Array]:
    """The least and greatest that each point's distance (n,) from the mesh can be, mm; cheap.

    The points are (n, 3), mm.
    """
    low, high = np.full(len(points), np.inf), np.full(len(points), np.inf)
    for size in mesh.sizes:
        to_middle, which = size.tree.query(points)
        low = np.minimum(low, np.maximum(to_middle - size.radius, 0.0))
        corners = triangles(mesh, size.faces[which])
        high = np.minimum(high, length(closest_on_triangles(points, corners) - points))
    return low, high


def nearest(mesh: Mesh, points: Array, *, limit: float = np.inf) -> Nearest:
    """The nearest point of the mesh to each point, exactly.

    The points are (n, 3), mm; nothing is looked for further away than ``limit`` mm.
    """
    low, high = bounds(mesh, points)
    found = Nearest(
        away=np.full(len(points), np.inf),
        on=np.full((len(points), 3), np.nan),
        face=np.full(len(points), -1, dtype=np.int64),
    )
    near = np.flatnonzero(low <= limit)
    for size in mesh.sizes:
        _search(mesh, size, points, near, high, found)
    beyond = found.away > limit
    found.away[beyond], found.on[beyond], found.face[beyond] = np.inf, np.nan, -1
    return found


def _search(mesh: Mesh, size: SizeClass, points: Array, rows: Whole, high: Array, found: Nearest) -> None:
    """Improve ``found`` at ``rows`` by the faces of one size, with more neighbours until none is nearer."""
    count, have = 8, 0
    while len(rows):
        count = min(count, size.tree.n)
        to_middle, which = size.tree.query(points[rows], k=range(have + 1, count + 1))
        reach = np.minimum(high[rows], found.away[rows]) + size.radius + 1e-9
        _improve(mesh, points, rows, size.faces[which], to_middle <= reach[:, None], found)
        if count == size.tree.n:
            return
        reach = np.minimum(high[rows], found.away[rows]) + size.radius
        rows = rows[to_middle[:, -1] < reach]
        have, count = count, count * 4


def _improve(mesh: Mesh, points: Array, rows: Whole, faces: Whole, wanted: Mask, found: Nearest) -> None:
    at, column = np.nonzero(wanted)
    if not len(at):
        return
    tried = faces[at, column]
    p = points[rows[at]]
    on = closest_on_triangles(p, triangles(mesh, tried))
    away = length(on - p)
    first = _least_of_each(at, away)
    better = first[away[first] < found.away[rows[at[first]]]]
    target = rows[at[better]]
    found.away[target], found.on[target], found.face[target] = away[better], on[better], tried[better]


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmentGaps:
    """The least distance between each of n segments and a mesh.

    Attributes:
        away: (n,) mm, 0 where the segment pierces the mesh, inf where nothing lies within the limit.
        on_segment: (n, 3) mm (nan where none).
        on_mesh: (n, 3) mm (nan where none).
    """

    away: Array
    on_segment: Array
    on_mesh: Array


def segment_gaps(mesh: Mesh, a: Array, b: Array, *, within: Array) -> SegmentGaps:
    """The least distance between each segment and the mesh, exactly.

    Segments from ``a`` to ``b``, (n, 3), mm; nothing is looked for further than ``within`` (n,) mm.
    """
    found = SegmentGaps(
        away=np.full(len(a), np.inf),
        on_segment=np.full(a.shape, np.nan),
        on_mesh=np.full(a.shape, np.nan),
    )
    for rows, faces in _near_pairs(mesh, a, b, within):
        one, two = closest_segment_triangle(a[rows], b[rows], triangles(mesh, faces))
        away = length(one - two)
        for i in _least_of_each(rows, away):
            row = rows[i]
            if away[i] <= within[row] and away[i] < found.away[row]:
                found.away[row], found.on_segment[row], found.on_mesh[row] = away[i], one[i], two[i]
    return found


def _near_pairs(mesh: Mesh, a: Array, b: Array, within: Array) -> Iterator[tuple[Whole, Whole]]:
    """(which segment, which face) for every pair that may lie within its limit, some at a time."""
    middle, reach = (a + b) / 2.0, within + length(b - a) / 2.0
    for size in mesh.sizes:
        for some in np.array_split(np.arange(len(a)), max(1, len(a) // SOME)):
            lists = size.tree.query_ball_point(middle[some], reach[some] + size.radius)
            rows = np.repeat(some, [len(each) for each in lists])
            if len(rows):
                yield rows, size.faces[np.concatenate(lists).astype(np.int64)]


def _least_of_each(rows: Whole, values: Array) -> Whole:
    """Where the least value of each row stands."""
    order = np.lexsort((values, rows))
    return order[np.r_[True, np.diff(rows[order]) > 0]]


def crossings(mesh: Mesh, a: Array, b: Array) -> Whole:
    """How often (n,) each segment a-b (n, 3) pierces the mesh; once where it meets an edge of two faces."""
    count = np.zeros(len(a), dtype=np.int64)
    intersections: list[Array] = []
    owner: list[Whole] = []
    for rows, faces in _near_pairs(mesh, a, b, np.zeros(len(a))):
        through, where = pierced(a[rows], b[rows], triangles(mesh, faces))
        intersections.append(where[through])
        owner.append(rows[through])
    if not intersections:
        return count
    at, row = np.concatenate(intersections), np.concatenate(owner)
    order = np.lexsort((length(at - a[row]), row))
    at, row = at[order], row[order]
    new = np.r_[True, (np.diff(row) > 0) | (length(np.diff(at, axis=0)) > 1e-6)] if len(row) else row > 0
    np.add.at(count, row[new], 1)
    return count


def first_met(mesh: Mesh, a: Array, b: Array) -> Array:
    """How far (n,) along each segment from a to b (n, 3) the mesh is first pierced, mm; inf where not."""
    run = np.full(len(a), np.inf)
    for rows, faces in _near_pairs(mesh, a, b, np.zeros(len(a))):
        through, where = pierced(a[rows], b[rows], triangles(mesh, faces))
        np.minimum.at(run, rows[through], length(where[through] - a[rows[through]]))
    return run
