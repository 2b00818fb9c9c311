"""Whether a sub-assembly can pass through an opening: a sampled search, section by section.

The tubes are round-ended straight pieces. For many sampled attitudes the sub-assembly is pushed through the
opening's plane; at each place of its way the tubes that cross the plane must lie inside the opening by their
radius. Places (depth, sideways, up) form a grid; a way through is a chain of neighbouring free places from
outside
to inside. It is not turned on the way. A way found is a way (to the grid's step, which is added to the
radius); none found is "cannot tell", unless a single tube is thicker than the widest circle in the opening.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import label
from scipy.spatial.transform import Rotation

from cagewright.base.vectors import Vector
from cagewright.shape.overlaps import strands
from cagewright.shape.types import Member

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
STEP = 30.0
"""Grid step of the search, mm."""
ATTITUDES = 20
"""Random attitudes tried after the plain ones."""
SAG = 25.0
"""A point stands for a piece of tube no longer than this, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A flat opening: a place in it (3,) mm, unit axes in and out of its plane, corners (n, 2) mm."""

    at: Vector
    u: Vector
    v: Vector
    out: Vector
    corners: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Passing:
    """Whether it passes.

    Attributes:
        verdict: ``passes``, ``does not pass`` or ``cannot tell``.
        attitude: (3,) turn vector from how it stands in the plan to how it is carried, rad, or None.
        tried: attitudes tried.
        clearance: least room left to the opening's edge on the way, mm, at least; 0 where it does not pass.
    """

    verdict: Literal["passes", "does not pass", "cannot tell"]
    attitude: Vector | None
    tried: int
    clearance: float


def opening_of(line: Floats) -> Opening:
    """The opening whose edge is the closed line (n, 3) mm, laid into its best plane.

    Raises:
        ValueError: fewer than three corners, or no area.
    """
    points = np.asarray(line, float)
    if len(points) > 3 and float(np.abs(points[0] - points[-1]).max()) < 1e-6:
        points = points[:-1]
    if len(points) < 3:
        raise ValueError("an opening needs at least three corners")
    at = points.mean(axis=0)
    _, size, axes = np.linalg.svd(points - at)
    if size[1] < 1.0:
        raise ValueError("the opening has no area")
    u, v = axes[0], axes[1]
    return Opening(at=at, u=u, v=v, out=np.cross(u, v), corners=(points - at) @ np.array([u, v]).T)


def passes(
    members: Sequence[Member],
    opening: Opening,
    *,
    attitudes: int = ATTITUDES,
    seed: int = 1,
    step: float = STEP,
) -> Passing:
    """Whether the tubes, held together as the plan has them, pass through the opening.

    Args:
        members: of the sub-assembly.
        opening: flat.
        attitudes: random ones tried after the plain ones.
        seed: of the random ones; the same seed gives the same answer.
        step: of the search, mm.

    Raises:
        ValueError: no members.
    """
    if not members:
        raise ValueError("nothing to pass through")
    thickest = max(m.tube.radius for m in members)
    widest = _widest_circle(opening.corners)
    if thickest > widest:
        return Passing(verdict="does not pass", attitude=None, tried=0, clearance=widest - thickest)
    points, radius = _points(members)
    points = points - points.mean(axis=0)
    turns = _attitudes(points, opening, attitudes, seed)
    for tried, turn in enumerate(turns, start=1):
        if _way_through(turn.apply(points), radius, opening, step):
            return Passing(verdict="passes", attitude=turn.as_rotvec(), tried=tried, clearance=step)
    return Passing(verdict="cannot tell", attitude=None, tried=len(turns), clearance=0.0)


def _points(members: Sequence[Member]) -> tuple[Floats, Floats]:
    """Points (n, 3) along the centre lines, ``SAG`` apart, and radii (n,)."""
    tubes = strands([m.path for m in members], [m.tube.radius for m in members])
    points, radii = list[Floats](), list[Floats]()
    for a, b, r in zip(tubes.start, tubes.stop, tubes.radius, strict=True):
        n = max(int(np.ceil(float(np.sqrt((b - a) @ (b - a))) / SAG)), 1)
        share = np.linspace(0.0, 1.0, n + 1)[:, None]
        points.append(a + share * (b - a))
        radii.append(np.full(n + 1, r))
    return np.concatenate(points), np.concatenate(radii)


def _attitudes(points: Floats, opening: Opening, count: int, seed: int) -> list[Rotation]:
    """The sub-assembly's own axes laid along the opening's in every way, then random ones."""
    own = np.linalg.svd(points, full_matrices=False)[2]
    own[2] = np.cross(own[0], own[1])
    frame = np.array([opening.u, opening.v, opening.out])
    plain: list[Rotation] = []
    for order in ((0, 1, 2), (0, 2, 1), (1, 0, 2), (1, 2, 0), (2, 0, 1), (2, 1, 0)):
        axes = frame[list(order)]
        if float(np.linalg.det(axes)) < 0.0:
            axes = axes * np.array([1.0, 1.0, -1.0])[:, None]
        plain.append(Rotation.from_matrix(axes.T @ own))
    four = np.random.default_rng(seed).normal(size=(count, 4))
    random = [Rotation.from_quat(q) for q in four]
    return [*plain, *random]


def _way_through(points: Floats, radius: Floats, opening: Opening, step: float) -> bool:
    """Whether a chain of free places of the grid leads from outside to inside."""
    local = np.stack([points @ opening.u, points @ opening.v, points @ opening.out], axis=1)
    low, high = local[:, 2].min() - radius.max(), local[:, 2].max() + radius.max()
    depth = np.arange(low - step, high + 2.0 * step, step)
    half = np.ptp(opening.corners, axis=0) / 2.0
    mid = (opening.corners.max(axis=0) + opening.corners.min(axis=0)) / 2.0
    # sideways as far as any point may have to come to the opening's middle
    reach = np.abs(local[:, :2]).max(axis=0) + half
    xs = np.arange(mid[0] - reach[0], mid[0] + reach[0] + step, step)
    ys = np.arange(mid[1] - reach[1], mid[1] + reach[1] + step, step)
    room = _Room(opening.corners, step, float(radius.max()))
    free = np.array([_free(local, radius, d, xs, ys, room, step) for d in depth])
    joined = np.zeros(free.shape, np.int32)
    label(free, structure=np.ones((3, 3, 3)), output=joined)
    return bool((set(np.unique(joined[0])) & set(np.unique(joined[-1]))) - {0})


class _Room:
    """Distance of grid points to the opening's edge, inside more than 0, looked up by place."""

    def __init__(self, corners: Floats, step: float, most: float) -> None:
        self._fine = step / 2.5
        self._low = corners.min(axis=0) - self._fine
        count = np.ceil((corners.max(axis=0) - self._low) / self._fine).astype(int) + 2
        xs, ys = (self._low[i] + self._fine * np.arange(count[i]) for i in (0, 1))
        grid = np.stack(np.meshgrid(xs, ys, indexing="ij"), axis=-1)
        self._table = _inside_by(grid.reshape(-1, 2), corners).reshape(grid.shape[:2])

    def inside_by(self, points: Floats) -> Floats:
        """(...,) mm inside the edge at ``points`` (..., 2); below 0 outside."""
        index = np.rint((points - self._low) / self._fine).astype(int)
        ok = ((index >= 0) & (index < self._table.shape)).all(axis=-1)
        index = np.clip(index, 0, np.array(self._table.shape) - 1)
        return np.where(ok, self._table[index[..., 0], index[..., 1]], -1e9)


def _free(
    local: Floats, radius: Floats, depth: float, xs: Floats, ys: Floats, room: _Room, step: float
) -> Mask:
    """(nx, ny) whether the sub-assembly may stand there with its origin ``-depth`` from the plane."""
    near = np.abs(local[:, 2] - depth) < radius + SAG / 2.0 + step / 2.0
    if not near.any():
        return np.ones((len(xs), len(ys)), np.bool_)
    free = np.ones((len(xs), len(ys)), np.bool_)
    for p, r in zip(local[near], radius[near], strict=True):
        at = np.stack(np.broadcast_arrays(xs[:, None] + p[0], ys[None, :] + p[1]), axis=-1)
        # a step of the grid to spare covers what lies between its places
        free &= room.inside_by(at) > r + step
    return free


def _inside_by(points: Floats, corners: Floats) -> Floats:
    """(n,) distance of points (n, 2) to the polygon's edge, mm, more than 0 inside."""
    a, b = corners, np.roll(corners, -1, axis=0)
    edge = b - a
    off = points[:, None] - a[None]
    share = np.clip((off * edge).sum(axis=2) / np.maximum((edge**2).sum(axis=1), 1e-12), 0.0, 1.0)
    away = np.sqrt(((off - share[..., None] * edge) ** 2).sum(axis=2)).min(axis=1)
    over = (a[:, 1] > points[:, None, 1]) != (b[:, 1] > points[:, None, 1])
    rise = np.where(edge[:, 1] == 0.0, 1.0, edge[:, 1])
    cross_at = a[:, 0] + (points[:, None, 1] - a[:, 1]) / rise * edge[:, 0]
    inside = (over & (points[:, None, 0] < cross_at)).sum(axis=1) % 2 == 1
    return np.where(inside, away, -away)


def _widest_circle(corners: Floats) -> float:
    """Radius of the widest circle in the opening, to a hundredth of its size, mm (and that much over)."""
    low, high = corners.min(axis=0), corners.max(axis=0)
    xs, ys = (np.linspace(low[i], high[i], 101) for i in (0, 1))
    grid = np.stack(np.meshgrid(xs, ys, indexing="ij"), axis=-1).reshape(-1, 2)
    return float(_inside_by(grid, corners).max()) + 0.5 * float(np.hypot(xs[1] - xs[0], ys[1] - ys[0]))
