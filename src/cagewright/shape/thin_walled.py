"""Thin-walled sections of sheet: a sill, a rail or a pillar as walls, before and after a cut."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.base.vectors import Vector, length, unit
from cagewright.shape.mesh import Mesh
from cagewright.shape.types import Array


@dataclass(frozen=True, slots=True, kw_only=True)
class WallSection:
    """A section as straight walls of one thickness.

    Attributes:
        walls: (n, 2, 2) start and stop of each on the section's own two axes, mm.
        thickness: mm.
        closed: (m, 2) the outline in order of the closed cell that the walls make, mm; None where it is open.
    """

    walls: Array
    thickness: float
    closed: Array | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WallFigures:
    """Area, mm2; greatest and least second moment about its principal axes, mm4; torsion, mm4."""

    area: float
    major: float
    minor: float
    torsion: float


def box_walls(wide: float, high: float, thickness: float) -> WallSection:
    """A closed box of that width and height between the middles of its walls, mm."""
    w, h = wide / 2.0, high / 2.0
    ring = np.array([[-w, -h], [w, -h], [w, h], [-w, h]])
    return WallSection(
        walls=np.stack([ring, np.roll(ring, -1, axis=0)], axis=1), thickness=thickness, closed=ring
    )


def figures_of(section: WallSection) -> WallFigures:
    """The section's figures.

    A wall of length l and thickness t has l t, l^3 t / 12 about its middle along itself (thin-walled: its
    thickness cubed left out). Torsion: 4 A^2 t / s round a closed cell (Bredt), sum of l t^3 / 3 where it is
    open.
    """
    a, b = section.walls[:, 0], section.walls[:, 1]
    long, middle, way = length(b - a), (a + b) / 2.0, b - a
    area = long * section.thickness
    if float(area.sum()) <= 0.0:
        return WallFigures(area=0.0, major=0.0, minor=0.0, torsion=0.0)
    off = middle - (area @ middle) / area.sum()
    second = np.einsum("n,ni,nj->ij", area, off, off) + np.einsum("n,ni,nj->ij", area / 12.0, way, way)
    minor, major = np.linalg.eigvalsh(second)
    return WallFigures(
        area=float(area.sum()), major=float(major), minor=float(minor), torsion=_torsion(section, long)
    )


def _torsion(section: WallSection, long: Array) -> float:
    ring, t = section.closed, section.thickness
    if ring is None:
        return float(long.sum()) * t**3 / 3.0
    nxt = np.roll(ring, -1, axis=0)
    inside = 0.5 * abs(float((ring[:, 0] * nxt[:, 1] - nxt[:, 0] * ring[:, 1]).sum()))
    return 4.0 * inside**2 * t / float(length(nxt - ring).sum())


def cut_out(section: WallSection, at: Array, reach: float) -> WallSection:
    """The section without what of its walls lies within ``reach`` mm of the place ``at`` (2,)."""
    left: list[Array] = []
    for a, b in section.walls:
        first, last = _within(a, b, at, reach) or (1.0, 1.0)
        if first > 0.0:
            left.append(np.array([a, a + first * (b - a)]))
        if last < 1.0:
            left.append(np.array([a + last * (b - a), b]))
    walls = np.array(left).reshape(-1, 2, 2)
    same = walls.shape == section.walls.shape and np.allclose(walls, section.walls)
    return WallSection(walls=walls, thickness=section.thickness, closed=section.closed if same else None)


def section_of_scan(mesh: Mesh, at: Vector, along: Vector, reach: float, thickness: float) -> WallSection:
    """Where a plane square to ``along`` (3,) through ``at`` (3,) cuts the scan, within ``reach`` mm of there.

    A scan shows one side of the metal, so that the cell it makes with what is behind is not known: taken as
    open.
    """
    along = unit(along)
    u = unit(np.cross(along, [0.0, 0.0, 1.0] if abs(float(along[2])) < 0.9 else [1.0, 0.0, 0.0]))
    axes = np.array([u, np.cross(along, u)])
    height = (mesh.corners - at) @ along
    faces = mesh.faces[np.ptp(np.signbit(height)[mesh.faces].astype(int), axis=1) > 0]
    walls: list[Array] = []
    for three, h in zip(mesh.corners[faces] - at, height[faces], strict=True):
        a, b = (
            axes @ (three[i] + h[i] / (h[i] - h[j]) * (three[j] - three[i]))
            for i, j in ((0, 1), (1, 2), (2, 0))
            if np.signbit(h[i]) != np.signbit(h[j])
        )
        if (near := _within(a, b, np.zeros(2), reach)) is not None:
            walls.append(np.array([a + share * (b - a) for share in near]))
    return WallSection(walls=np.array(walls).reshape(-1, 2, 2), thickness=thickness, closed=None)


def _within(a: Array, b: Array, at: Array, reach: float) -> tuple[float, float] | None:
    """What of the wall from a to b (2,) lies within ``reach`` of the place ``at`` (2,), as shares of it."""
    way, long = b - a, max(float(length(b - a)), 1e-12)
    along = float((at - a) @ way) / long
    half2 = reach**2 - float((at - a) @ (at - a)) + along**2
    if half2 <= 0.0:
        return None
    first, last = max(along - half2**0.5, 0.0), min(along + half2**0.5, long)
    return (first / long, last / long) if last > first else None
