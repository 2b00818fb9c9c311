"""What stands in the way of a part that is carried in, as distances on a grid.

The body's surfaces as points, the skin round the opening as a strip behind its measured edge and beyond that
as a flat wall, and the ground. Between the grid's nodes distances are linear, which is within ``OUT`` mm for
the middle line of a tube that stays outside the metal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import KDTree

from cagewright.base.vectors import Vector, length
from cagewright.fitup.kernels_way import sampled, splat
from cagewright.fitup.opening import Opening
from cagewright.shape.clearance import points_at
from cagewright.shape.shell import Shell, floor_height, plain_body
from cagewright.shape.types import Cage, Member

Floats = NDArray[np.float64]
Strip = tuple[Floats, Floats]
"""Two equally long lines (n, 3) with a surface between, mm."""
STEP = 20.0
"""Of the grid, mm."""
NEAR = 60.0
"""Nodes this near a surface have their distance to it, mm; the others say at least so much."""
OUT = 3.0
"""Distances may be told too large by this, mm: 22 mm from an edge, half a step off a node; and the points."""
STRIP = 300.0
"""How far the skin round an opening follows its measured edge, mm; further out it is a flat wall."""
SPACING = 10.0
"""Of the points that stand for a surface, mm."""
SPARE = 15.0
"""Room made round a part where what is spanned over measured lines stands in its way, mm (ours)."""
GUESSED = 30.0
"""Between measured lines the body may stand so far out of the surface spanned over them: no more than that is
it taken to make room for the part where the plan has it, mm (ours)."""
GROUND = 350.0
"""The ground lies this far under the lowest known place of the body, mm: the car on stands (assumed)."""
ALONG = 100.0
"""A section through the body is taken to go on so far to either side, mm (assumed)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """What stands in the way.

    Attributes:
        points: (n, 3) its surfaces as points, mm, but for the wall and the ground.
        field: (i, j, k) distance of each node to the nearest surface, mm.
        low: (3,) the first node, mm.
        step: between nodes, mm.
        margin: how far the grid goes beyond every surface, at least, mm.
        wall: (16,) origin, two axes and normal of a flat wall, and the rectangle left open in it (from, to
            along each axis), mm; no wall where from is not less than to.
        ground: height, mm.
    """

    points: Floats
    field: NDArray[np.float32]
    low: Vector
    step: float
    margin: float
    wall: Floats
    ground: float


def room_of(cage: Cage, shell: Shell, opening: Opening, part: Sequence[Member]) -> Room:
    """What is in the way of that part of the cage through that opening.

    The shell round the part's own feet is left out. What is only spanned between measured lines stands out of
    the part's way where the plan has it, by no more than ``GUESSED``: the body checks judge that place.
    """
    doors = [b.points for b in shell.lines if b.kind == "door opening" and len(b.points) > 3]
    edges = [opening.edge, *(d for d in doors if float(length(d[0] - opening.edge[0])) > 1.0)]
    strips = [_strip_round(edge) for edge in edges] + _tunnel(cage, shell)
    spanned, scanned = np.zeros((0, 3)), np.zeros((0, 3))
    if shell.scan is not None:
        scanned = shell.scan.cloud.points
    elif (body := plain_body(shell, cage.feet)) is not None:
        across = [_triangles(strip) for strip in _sections(shell)]
        spanned = sampled(np.concatenate([body.corners[body.faces], *across]), SPACING)
    skin = sampled(np.concatenate([_triangles(strip) for strip in strips]), SPACING)
    points = np.concatenate([skin, scanned, _made_room(spanned, part)])
    for foot in (f for f in cage.feet if set(f.members) & {m.name for m in part}):
        points = points[length(points - foot.point) > max(foot.plate[:2])]
    flat = (opening.edge - opening.at) @ np.array([opening.u, opening.v]).T
    low, high = flat.min(axis=0) - STRIP, flat.max(axis=0) + STRIP
    wall = np.r_[opening.at, opening.u, opening.v, opening.out, low[0], high[0], low[1], high[1]]
    lowest = [*(float(b.points[:, 2].min()) for b in shell.lines), *(float(f.point[2]) for f in cage.feet)]
    ground = min(float(opening.edge[:, 2].min()), *lowest) - GROUND
    return room_round(points, wall=wall, ground=ground)


def room_round(points: Floats, *, wall: Floats | None = None, ground: float = -1e6) -> Room:
    """The room round surfaces.

    Args:
        points: (n, 3) of what stands in the way, no further than ``SPACING`` apart, mm.
        wall: as in ``Room``; none without.
        ground: height, mm.
    """
    low = points.min(axis=0) - NEAR - STEP
    size = np.ceil((points.max(axis=0) - low + NEAR) / STEP).astype(int) + 2
    field = np.full(tuple(size), 1e9, dtype=np.float32)
    splat(field, points, low, STEP, NEAR)
    field = _spread(np.float32(STEP) * np.sqrt(field))
    none = np.zeros(16)
    return Room(points=points, field=field, low=low, step=STEP, margin=NEAR,
                wall=none if wall is None else wall, ground=ground)  # fmt: skip


def _spread(field: NDArray[np.float32]) -> NDArray[np.float32]:
    """The distances (i, j, k), and where none was found the least it can be, mm.

    Steps along the three axes add up to no more than the square root of 3 times the straight way.
    """
    by_axes = np.minimum(field, np.float32(1e6))
    for axis, count in enumerate(field.shape):
        run = (STEP * np.arange(count, dtype=np.float32)).reshape([-1 if i == axis else 1 for i in range(3)])
        there = np.minimum.accumulate(by_axes - run, axis=axis) + run
        back = np.flip(np.minimum.accumulate(np.flip(by_axes + run, axis=axis), axis=axis), axis=axis) - run
        by_axes = np.minimum(there, back)
    least = np.maximum(by_axes / np.float32(np.sqrt(3.0)) - np.float32(2.0 * STEP), np.float32(NEAR))
    return np.where(field > NEAR, least, field)


def _made_room(points: Floats, part: Sequence[Member]) -> Floats:
    """The points (n, 3), those in the part's way where the plan has it pushed out of it."""
    axes = [points_at(m.path, np.linspace(0.0, m.path.length, int(m.path.length / 4.0) + 2)) for m in part]
    wanted = np.repeat([m.tube.radius + SPARE for m in part], [len(axis) for axis in axes])
    axis = np.concatenate(axes)
    box = ((points > axis.min(axis=0) - 50.0) & (points < axis.max(axis=0) + 50.0)).all(axis=1)
    rows = np.flatnonzero(box)
    away, which = (np.asarray(v) for v in KDTree(axis).query(points[rows], distance_upper_bound=100.0))
    close = np.isfinite(away)
    rows, away, which = rows[close], away[close], which[close]
    push = (away < wanted[which]) & (away > wanted[which] - GUESSED)
    rows, away, which = rows[push], away[push], which[push]
    out = points.copy()
    out[rows] = axis[which] + (points[rows] - axis[which]) * (wanted[which] / np.maximum(away, 1e-9))[:, None]
    return out


def _strip_round(edge: Floats) -> Strip:
    """The skin round a hole: from its edge (n, 3) outward in its best plane by ``STRIP``."""
    edge = edge[:-1] if float(np.abs(edge[0] - edge[-1]).max()) < 1e-6 else edge
    middle = (edge.max(axis=0) + edge.min(axis=0)) / 2.0
    normal = np.linalg.svd(edge - edge.mean(axis=0))[2][2]
    ring = np.concatenate([edge, edge[:1]])
    way = np.roll(edge, -1, axis=0) - edge
    side = np.cross(way, normal)
    side = side / np.maximum(length(side), 1e-9)[:, None]
    turned = np.sign(float(((edge + np.roll(edge, -1, axis=0)) / 2.0 - middle).ravel() @ side.ravel()))
    corner = turned * (side + np.roll(side, 1, axis=0))
    corner = corner / np.maximum(length(corner), 1e-9)[:, None]
    outer = edge + 1.5 * STRIP * corner
    return ring, np.concatenate([outer, outer[:1]])


def _tunnel(cage: Cage, shell: Shell) -> list[Strip]:
    """The sides of the tunnel: from each of its lines plumb down to the floor."""
    floor = floor_height(shell, cage.feet)
    lines = [b.points for b in shell.lines if "tunnel" in b.name.lower() and floor is not None]
    return [(p, np.column_stack([p[:, :2], np.full(len(p), floor)])) for p in lines]


def _sections(shell: Shell) -> list[Strip]:
    """The body at each section through it that was measured, taken to go on a little."""
    lines = [b.points for b in shell.lines if b.kind == "section" and shell.scan is None]
    along = np.array([ALONG, 0.0, 0.0])
    return [(p - along, p + along) for p in lines]


def _triangles(strip: Strip) -> Floats:
    """Corners (m, 3, 3) of the surface between two equally long lines."""
    a, b, c, d = strip[0][:-1], strip[0][1:], strip[1][:-1], strip[1][1:]
    return np.concatenate([np.stack([a, b, c], axis=1), np.stack([b, d, c], axis=1)])
