"""A surface as evenly thinned points with normals: how near it is, in bulk, to about a millimetre."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import KDTree

from cagewright.base.vectors import dot, length
from cagewright.shape.closest import Mask
from cagewright.shape.mesh import Mesh, Whole
from cagewright.shape.types import Array

SPACING = 8.0
"""Between neighbouring points, mm."""
BESIDE = 1.5
"""A point this many spacings beside a sample still sees the surface go on there."""
CHUNK = 2_000_000
CUBE = 16.0
FAR = 2.0 * CUBE
"""Questions about no more than this are answered from coarse cubes first, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cloud:
    """Points of a surface, one to each cube of ``spacing`` mm that it passes through.

    Attributes:
        points: (n, 3) mm.
        normals: unit (n, 3), either way round.
        faces: (n,) of the surface, that each lies on.
        spacing: mm.
        tree: of the points.
        low: (3,) the lowest corner of ``near``, mm.
        near: (i, j, k) whether a point may lie within ``FAR`` mm of somewhere in each cube of ``CUBE`` mm.
    """

    points: Array
    normals: Array
    faces: Whole
    spacing: float
    tree: KDTree
    low: Array
    near: NDArray[np.bool_]


def cloud_of(mesh: Mesh, *, spacing: float = SPACING, faces: Whole | None = None) -> Cloud:
    """The surface, or those of its ``faces`` (k,), as thinned points.

    The spacing wanted between points is in mm.
    """
    faces = np.arange(len(mesh.faces)) if faces is None else faces
    corners = mesh.corners[mesh.faces[faces]]
    edges = length(corners - np.roll(corners, -1, axis=1)).max(axis=1)
    parts = np.maximum(np.ceil(edges / spacing), 1).astype(np.int64)
    low = corners.min(axis=(0, 1))
    kept: list[Array] = []
    owners: list[Whole] = []
    for n in np.unique(parts):
        chosen = np.flatnonzero(parts == n)
        share = _shares(int(n))
        for some in np.array_split(chosen, max(1, len(chosen) * len(share) // CHUNK)):
            spread = np.einsum("sc,fcx->fsx", share, corners[some]).reshape(-1, 3)
            first = _first_of_each_cube(spread, low, spacing)
            kept.append(spread[first])
            owners.append(some[first // len(share)])
    points, face = np.concatenate(kept), np.concatenate(owners)
    first = _first_of_each_cube(points, low, spacing)
    points, face = points[first], face[first]
    of_face = corners[face]
    square = np.cross(of_face[:, 1] - of_face[:, 0], of_face[:, 2] - of_face[:, 0])
    return _cloud(points, square / np.maximum(length(square), 1e-30)[:, None], faces[face], spacing)


def cloud_without(cloud: Cloud, gone: Mask) -> Cloud:
    """The same points but those that are ``gone`` (n,)."""
    left = ~gone
    return _cloud(cloud.points[left], cloud.normals[left], cloud.faces[left], cloud.spacing)


def cloud_moved(cloud: Cloud, rotation: Array, shift: Array) -> Cloud:
    """The same points turned by the rotation (3, 3) and then shifted (3,), mm."""
    return _cloud(cloud.points @ rotation.T + shift, cloud.normals @ rotation.T, cloud.faces, cloud.spacing)


def _cloud(points: Array, normals: Array, faces: Whole, spacing: float) -> Cloud:
    low, near = _near_cubes(points)
    tree = KDTree(points)
    return Cloud(points=points, normals=normals, faces=faces, spacing=spacing, tree=tree, low=low, near=near)


def _near_cubes(points: Array) -> tuple[Array, NDArray[np.bool_]]:
    """The lowest corner of a grid of cubes, and which of them lie within two of a point's own."""
    low = points.min(axis=0) - 3.0 * CUBE
    cube = np.floor((points - low) / CUBE).astype(np.int64)
    grid = np.zeros(tuple(cube.max(axis=0) + 4), dtype=np.bool_)
    grid[tuple(cube.T)] = True
    for axis in range(3):  # the outermost three are empty, so that rolling brings nothing round
        grid = np.logical_or.reduce([np.roll(grid, shift, axis=axis) for shift in range(-2, 3)])
    return low, grid


def _may_be_near(cloud: Cloud, points: Array) -> Whole:
    """Which of the points (n, 3) may lie within ``FAR`` mm of the cloud."""
    cube = np.floor((points - cloud.low) / CUBE).astype(np.int64)
    inside = np.flatnonzero(((cube >= 0) & (cube < np.array(cloud.near.shape))).all(axis=1))
    return inside[cloud.near[tuple(cube[inside].T)]]


def _shares(n: int) -> Array:
    """Barycentric middles (n*n, 3) of a triangle cut into n parts along each edge."""
    i, j = (v.ravel() for v in np.meshgrid(np.arange(n), np.arange(n), indexing="ij"))
    up = i + j < n
    first = np.where(up, i + 1 / 3, n - i - 1 / 3) / n
    second = np.where(up, j + 1 / 3, n - j - 1 / 3) / n
    return np.stack([1.0 - first - second, first, second], axis=1)


def _first_of_each_cube(points: Array, low: Array, spacing: float) -> Whole:
    cube = np.floor((points - low) / spacing).astype(np.int64)
    span = cube.max(axis=0) + 1
    return np.unique((cube[:, 0] * span[1] + cube[:, 1]) * span[2] + cube[:, 2], return_index=True)[1]


def within(cloud: Cloud, points: Array, radius: float) -> Mask:
    """Whether (n,) the surface comes within ``radius`` mm of each point (n, 3), to about a millimetre.

    Beside a sample the surface is taken to go on flat for ``BESIDE`` spacings, so a free edge reaches at most
    that much too far.
    """
    reach = radius + BESIDE * cloud.spacing
    rows = _may_be_near(cloud, points) if reach <= FAR else np.arange(len(points))
    away, which = cloud.tree.query(points[rows], distance_upper_bound=reach)
    hit = np.zeros(len(points), dtype=np.bool_)
    close = np.isfinite(away)
    rows, away, which = rows[close], away[close], which[close]
    off = points[rows] - cloud.points[which]
    height = np.abs(dot(off, cloud.normals[which]))
    beside = np.sqrt(np.maximum(away**2 - height**2, 0.0))
    hit[rows] = np.where(beside <= BESIDE * cloud.spacing, height, away) < radius
    return hit
