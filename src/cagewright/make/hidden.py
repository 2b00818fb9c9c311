"""What hides what: which points of a view lie behind a tube."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cagewright.base.drawing import Points
from cagewright.make.projection import Edges, Frame, edges
from cagewright.shape.types import Member

Array = NDArray[np.float64]
_NEAR = 0.5
"""A surface must be this much nearer to the eye to hide a point, mm (true): the point's own tube does not."""
_SLIM = 0.03
"""A tube hides nothing within this of its own edge, mm on paper."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lengths:
    """Short lengths of all the tubes as seen.

    Attributes:
        a: (m, 2) one end on the paper, mm.
        b: (m, 2) the other.
        depth_a: (m,) toward the eye, mm (true).
        depth_b: (m,) the same at the other end.
        radius: (m,) of the tube, mm (true).
        member: (m,) which tube.
        polygon: (m, 4, 2) the length's outline on the paper, mm; nan where it is seen end on.
        end_on: (m,) whether it is.
    """

    a: Points
    b: Points
    depth_a: Array
    depth_b: Array
    radius: Array
    member: NDArray[np.int64]
    polygon: Array
    end_on: NDArray[np.bool_]


def seen_tubes(members: tuple[Member, ...], view: Frame, *, straight: float) -> tuple[Edges, ...]:
    """Every tube's edges, in stations at most ``straight`` mm apart (true)."""
    return tuple(edges(m, view, straight=straight) for m in members)


def lengths_of(members: tuple[Member, ...], seen: tuple[Edges, ...]) -> Lengths:
    """All tubes cut into short lengths."""
    parts = [_lengths(i, m.tube.radius, e) for i, (m, e) in enumerate(zip(members, seen, strict=True))]
    return Lengths(**{
        name: np.concatenate([getattr(p, name) for p in parts])
        for name in ("a", "b", "depth_a", "depth_b", "radius", "member", "polygon", "end_on")
    })


def _lengths(index: int, radius: float, e: Edges) -> Lengths:
    count = len(e.s) - 1
    polygon = np.stack([e.left[:-1], e.left[1:], e.right[1:], e.right[:-1]], axis=1)
    gaps = [np.isnan(edge[:, 0]) for edge in (e.left, e.right)]
    end_on = np.logical_or.reduce([gap for g in gaps for gap in (g[:-1], g[1:])])
    return Lengths(
        a=e.centre[:-1], b=e.centre[1:], depth_a=e.depth[:-1], depth_b=e.depth[1:],
        radius=np.full(count, radius), member=np.full(count, index), polygon=polygon,
        end_on=end_on,
    )  # fmt: skip


def visible(
    points: Points, depth: Array, tubes: Lengths, scale: float, *, lift: float = 0.0
) -> NDArray[np.bool_]:
    """Whether each point (n, 2) mm on the paper at ``depth`` (n,) mm is in front of every tube there.

    A round tube of radius R whose axis passes the point at a distance d on the paper stands sqrt(R2 - d2)
    nearer to the eye than its axis there (foreshortening left out: it moves the line by less than a radius).

    Args:
        points: on the paper, mm.
        depth: toward the eye, mm (true).
        tubes: what may hide them.
        scale: paper mm per mm.
        lift: how far the point may lie inside a tube and still be seen, mm (true).
    """
    reach = (tubes.radius * scale)[:, None]
    low, high = points.min(axis=0) - reach, points.max(axis=0) + reach
    near = ((np.minimum(tubes.a, tubes.b) < high) & (np.maximum(tubes.a, tubes.b) > low)).all(axis=1)
    if not near.any():
        return np.ones(len(points), dtype=bool)
    return ~_behind(points, depth + lift, tubes, near, scale)


def _behind(
    points: Points, depth: Array, tubes: Lengths, near: NDArray[np.bool_], scale: float
) -> NDArray[np.bool_]:
    a, b = tubes.a[near], tubes.b[near]
    way = b - a
    size = np.maximum((way**2).sum(axis=1), 1e-12)
    from_a = points[:, None, :] - a
    part = np.clip(np.einsum("ijk,jk->ij", from_a, way) / size, 0.0, 1.0)
    off = from_a - part[..., None] * way
    away = np.sqrt(np.einsum("ijk,ijk->ij", off, off)) + _SLIM
    reach = tubes.radius[near] * scale
    inside = away < reach
    front = tubes.depth_a[near] + part * (tubes.depth_b - tubes.depth_a)[near]
    front = front + np.sqrt(np.maximum(reach**2 - away**2, 0.0)) / scale
    return (inside & (front > depth[:, None] + _NEAR)).any(axis=1)
