"""A hole in the shell that a part goes in by, and what can be proven about what never gets through it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import sample
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector, length
from cagewright.shape.types import Member

Floats = NDArray[np.float64]
FLAT = 5.0
"""An edge within this of its best plane is taken as flat, mm."""
CLOSED = 1.0
"""A measured line whose ends are this near (mm) goes all round."""
UNEVEN = 0.2
"""An opening's edge may stand off its best plane by this part of its width: a door is curved."""
CLOSE = 60.0
"""A tube's end this near another tube of the part is joined to it, mm beyond both radii."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A hole by its edge.

    Attributes:
        edge: (n, 3) its corners in order, mm, the first not repeated.
        at: (3,) its middle, mm.
        u: unit (3,) along its best plane.
        v: unit (3,) along its best plane, square to ``u``.
        out: unit (3,) square to that plane, away from the cabin.
    """

    edge: Floats
    at: Vector
    u: Vector
    v: Vector
    out: Vector


def opening_of(line: Floats, inside: Vector) -> Opening:
    """The opening whose edge is the closed line (n, 3) mm; ``inside`` (3,) is a place in the cabin, mm.

    Raises:
        ValueError: fewer than three corners, or no area.
    """
    edge = np.asarray(line, float)
    if len(edge) > 3 and float(np.abs(edge[0] - edge[-1]).max()) < 1e-6:
        edge = edge[:-1]
    if len(edge) < 3:
        raise ValueError("an opening needs at least three corners")
    at = (edge.max(axis=0) + edge.min(axis=0)) / 2.0
    _, size, axes = np.linalg.svd(edge - edge.mean(axis=0))
    if size[1] < 1.0:
        raise ValueError("the opening has no area")
    out = axes[2] if float(axes[2] @ (at - inside)) > 0.0 else -axes[2]
    return Opening(edge=edge, at=at, u=axes[0], v=np.cross(out, axes[0]), out=out)


def wrong_edge(line: Floats, opening: Opening, units: LengthUnit) -> None:
    """Look whether the measured line (n, 3) goes all round, and near enough in one plane.

    Raises:
        ValueError: it is open, or stands further off its best plane than a fifth of its width.
    """
    apart = float(length(line[-1] - line[0]))
    if apart > CLOSED:
        raise ValueError(f"its line is open, and its ends are {say_length(apart, units)} apart")
    off = opening.edge - opening.at
    depth, wide = float(np.ptp(off @ opening.out)), float(np.ptp(off @ opening.v))
    if depth > UNEVEN * wide:
        raise ValueError(f"it is not flat: its corners stand up to {say_length(depth, units)} off one plane")


@dataclass(frozen=True, slots=True, kw_only=True)
class Never:
    """Why a part can never pass an opening: ``size`` of what is too large, and the ``room`` there is, mm."""

    what: Literal["tube", "ring"]
    size: float
    room: float


def never_through(members: Sequence[Member], opening: Opening) -> Never | None:
    """Why the part can never pass the opening; None where nothing is proven.

    Two proofs. A tube whose round section is wider than the widest circle in a flat opening stays outside.
    And of a closed ring, at some moment of any way through any hole, two places half the ring's length apart
    are in the hole at once: of each such pair the first is outside where the second was for the pair half way
    round, so between the one and the other they cannot change over without both being in the hole. A ring
    whose every such pair is further apart than the hole is wide never passes, however it is turned.
    """
    flat = opening.edge - opening.at
    if float(np.abs(flat @ opening.out).max()) < FLAT:
        widest = 2.0 * widest_circle(flat @ np.array([opening.u, opening.v]).T)
        thick = max(m.tube.across for m in members)
        if thick > widest:
            return Never(what="tube", size=thick, room=widest)
    wide = float(length(opening.edge[:, None] - opening.edge[None]).max())
    ring = max((half_apart(r) for r in rings_of(members)), default=0.0)
    return Never(what="ring", size=ring, room=wide) if ring > wide else None


def half_apart(ring: Floats) -> float:
    """Least distance between two places of a closed line (n, 3) that are half its length apart, mm."""
    closed = np.concatenate([ring, ring[:1]])
    run = np.r_[0.0, np.cumsum(length(np.diff(closed, axis=0)))]
    at = np.linspace(0.0, run[-1], 401)[:-1]
    even = np.stack([np.interp(at, run, closed[:, i]) for i in range(3)], axis=1)
    # between two samples each place moves by no more than half a step
    return float(length(even - np.roll(even, 200, axis=0)).min()) - float(run[-1]) / 400.0


def rings_of(members: Sequence[Member]) -> list[Floats]:
    """Closed lines (n, 3) in the part: each tube with both ends on one other, and that one between them."""
    lines = {m.name: sample(m.path, sagitta=1.0) for m in members}
    radius = {m.name: m.tube.radius for m in members}
    found: list[Floats] = []
    for name, line in lines.items():
        for other, main in lines.items():
            if other == name:
                continue
            away = [length(main - end) for end in (line[0], line[-1])]
            first, last = (int(np.argmin(a)) for a in away)
            reach = radius[name] + radius[other] + CLOSE
            if first != last and max(_off(main, end) for end in (line[0], line[-1])) < reach:
                between = main[min(first, last) : max(first, last) + 1]
                found.append(np.concatenate([line, between if first > last else between[::-1]]))
        if float(length(line[0] - line[-1])) < 2.0 * radius[name]:
            found.append(line)
    return found


def _off(line: Floats, point: Vector) -> float:
    """How far a point is from a polyline, mm."""
    a, way = line[:-1], np.diff(line, axis=0)
    share = np.clip(((point - a) * way).sum(axis=1) / np.maximum((way**2).sum(axis=1), 1e-12), 0.0, 1.0)
    return float(length(a + share[:, None] * way - point).min())


def widest_circle(corners: Floats) -> float:
    """Radius of the widest circle in a polygon (n, 2), to a hundredth of its size (and so much over), mm."""
    low, high = corners.min(axis=0), corners.max(axis=0)
    xs, ys = (np.linspace(low[i], high[i], 101) for i in (0, 1))
    grid = np.stack(np.meshgrid(xs, ys, indexing="ij"), axis=-1).reshape(-1, 2)
    return float(_inside_by(grid, corners).max()) + 0.5 * float(np.hypot(xs[1] - xs[0], ys[1] - ys[0]))


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
