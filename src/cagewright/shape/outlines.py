"""What a tube hides from a point: its horizontal sections, their edges, and its outline in the view.

A tube of constant size is all the balls of its radius along its centre line, so every section of it is a
row of discs. Angles in the plan run from straight ahead (minus back), more to the right; heights run from
the level, more upward.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import Chain, Piece
from cagewright.base.curves import Line as Straight
from cagewright.base.vectors import Vector, dot, length
from cagewright.plan.types import Side

Array = NDArray[np.float64]
WIDEST = float(np.radians(110.0))
"""Nothing further to the side than this is ahead of the driver, rad."""
HIGHEST = float(np.radians(75.0))
"""Nothing further up or down than this is drawn, rad."""
NEARLY = 150.0
"""A measured edge that stops this near a section plane still stands for the pillar there, mm (ours)."""
_ONE_PASS = 0.05
"""Neighbouring discs of one pass change the edge by less than this, rad."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LongBar:
    """Something long that may be in the way.

    ``points`` (n, 3) along its middle in order and half its thickness, mm; 0 for a measured edge.
    """

    name: str
    points: Array
    radius: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Discs:
    """A level section of a bar: centres (n, 2) back and across, mm, in order, and radii (n,) mm."""

    centres: Array
    radii: Array


def along(curve: Chain, *, step: float = 1.0) -> Array:
    """Points (n, 3) along the chain, at most ``step`` mm apart, the ends of every piece included."""
    parts = [
        points_on(piece, np.linspace(0.0, 1.0, _count(piece.length, step) + 1)) for piece in curve.pieces
    ]
    return np.concatenate([parts[0], *(part[1:] for part in parts[1:])])


def points_on(piece: Piece, share: Array) -> Array:
    """Points (n, 3) at the shares (n,) of the piece's length, mm."""
    if isinstance(piece, Straight):
        return piece.start + share[:, None] * (piece.stop - piece.start)
    turned = share * piece.angle
    return piece.centre + piece.radius * (
        np.cos(turned)[:, None] * piece.u + np.sin(turned)[:, None] * piece.v
    )


def tangents_on(piece: Piece, share: Array) -> Array:
    """Unit tangents (n, 3) at the shares (n,) of the piece's length."""
    if isinstance(piece, Straight):
        return np.tile(piece.direction, (len(share), 1))
    turned = share * piece.angle
    return np.cos(turned)[:, None] * piece.v - np.sin(turned)[:, None] * piece.u


def _count(size: float, step: float) -> int:
    return max(1, int(np.ceil(size / step)))


def along_line(points: Array, *, step: float = 1.0) -> Array:
    """Points (m, 3) along a measured line (n, 3), its own points kept, at most ``step`` mm apart."""
    parts = [points[:1]]
    for a, b in pairwise(points):
        count = _count(float(length(b - a)), step)
        parts.append(a + (b - a) * (np.arange(1, count + 1) / count)[:, None])
    return np.concatenate(parts)


def level_section(bar: LongBar, up: float) -> Discs:
    """The bar's section by the level plane at height ``up`` mm; empty where it does not reach there.

    A measured edge that stops within ``NEARLY`` mm above or below is taken at its end.
    """
    off = bar.points[:, 2] - up
    if bar.radius > 0.0:
        keep = np.abs(off) < bar.radius
        radii = np.sqrt(bar.radius**2 - off[keep] ** 2)
        return Discs(centres=bar.points[keep, :2], radii=radii)
    crossed = _crossings(bar.points, off)[:, :2]
    return Discs(centres=crossed, radii=np.zeros(len(crossed)))


def foremost(bar: LongBar, point: Vector, normal: Vector) -> Vector | None:
    """The foremost point (3,) of the bar's section by the plane through ``point`` square to unit ``normal``.

    None where the bar does not reach the plane; a measured edge that stops within ``NEARLY`` mm of it, as a
    screen pillar does at the foot of the screen, is taken at its end.
    """
    off = dot(bar.points - point, normal)
    if bar.radius > 0.0:
        keep = np.abs(off) < bar.radius
        centres = bar.points[keep] - off[keep, None] * normal
        ahead = np.array([-1.0, 0.0, 0.0]) + normal[0] * normal
        reach = np.sqrt(bar.radius**2 - off[keep] ** 2)[:, None]
        points = centres + reach * ahead / length(ahead)
    else:
        points = _crossings(bar.points, off)
    return points[int(np.argmin(points[:, 0]))] if len(points) else None


def _crossings(points: Array, off: Array) -> Array:
    """Where the polyline (n, 3) passes through 0 of ``off`` (n,), or its end nearest to 0: (m, 3)."""
    if np.all(off >= 0.0) or np.all(off <= 0.0):
        nearest = int(np.argmin(np.abs(off)))
        return points[nearest : nearest + 1] if abs(off[nearest]) < NEARLY else points[:0]
    at = np.flatnonzero((off[:-1] < 0.0) != (off[1:] < 0.0))
    share = off[at] / (off[at] - off[at + 1])
    return points[at] + share[:, None] * (points[at + 1] - points[at])


def plan_angle(off: Array) -> Array:
    """The angle of ``off`` (..., 2 or 3) in the plan from straight ahead, rad, more to the right."""
    return np.arctan2(off[..., 1], -off[..., 0])


def right_edge(eye: Array, discs: Discs) -> float:
    """The plan angle of the tangent from ``eye`` (2,) to the right edge of the section, rad."""
    off = discs.centres - eye[:2]
    return _peak(plan_angle(off) + np.arcsin(np.minimum(discs.radii / np.hypot(*off.T), 1.0)))


def left_edge(eye: Array, discs: Discs) -> float:
    """The plan angle of the tangent from ``eye`` (2,) to the left edge of the section, rad."""
    off = discs.centres - eye[:2]
    return -_peak(-plan_angle(off) + np.arcsin(np.minimum(discs.radii / np.hypot(*off.T), 1.0)))


def left_tangent_beside(pivot: Array, discs: Discs, beside: float) -> float:
    """The plan angle of the line that touches the section's left edge, ``beside`` mm left of ``pivot``, rad.

    A line at plan angle a, offset to the left of the pivot by b, touches a disc of radius r whose middle
    stands at distance D and plan angle c from the pivot on its left where D sin(c - a) = r - b.
    """
    off = discs.centres - pivot[:2]
    lean = np.clip((discs.radii - beside) / np.hypot(*off.T), -1.0, 1.0)
    return -_peak(-plan_angle(off) + np.arcsin(lean))


def _peak(values: Array) -> float:
    """The greatest of evenly spaced values, by a parabola through the greatest and its neighbours."""
    top = int(np.argmax(values))
    if not 0 < top < len(values) - 1:
        return float(values[top])
    before, here, after = values[top - 1 : top + 2].tolist()
    curve = before - 2.0 * here + after
    # neighbours far off belong to another pass of the same tube through the plane
    apart = 2.0 * here - before - after > _ONE_PASS
    return here if curve >= 0.0 or apart else here - (after - before) ** 2 / (8.0 * curve)


def outline(curve: Chain, radius: float, eye: Vector, *, chord: float = 40.0) -> Array:
    """The two edges of the tube as ``eye`` (3,) sees it: unit directions (2, n, 3).

    A point of the tube is on its edge where the line of sight touches it: with t the tangent, v the way from
    the eye to the centre line, m the unit normal there, m.t = 0 and m.(v + r m) = 0. Places where the tube
    points straight at the eye have no edge and are left out; n is 0 for a tube seen end on.

    Steps along a straight are at most ``chord`` mm; bends are stepped finer.
    """
    steps = [chord if isinstance(p, Straight) else min(chord, p.radius * 0.1) for p in curve.pieces]
    shares = [
        np.linspace(0.0, 1.0, _count(p.length, step) + 1) for p, step in zip(curve.pieces, steps, strict=True)
    ]
    points = np.concatenate([points_on(p, share) for p, share in zip(curve.pieces, shares, strict=True)])
    tangents = np.concatenate([tangents_on(p, share) for p, share in zip(curve.pieces, shares, strict=True)])
    v = points - eye
    square = v - dot(v, tangents)[:, None] * tangents
    seen = length(square) > radius * 1.001
    v, tangents, square = v[seen], tangents[seen], square[seen]
    away = length(square)
    toward = square / away[:, None]
    lean = radius / away
    side = np.sqrt(1.0 - lean**2)[:, None] * np.cross(tangents, toward)
    edges = np.stack([v + radius * (sign * side - lean[:, None] * toward) for sign in (1.0, -1.0)])
    return edges / length(edges)[..., None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Silhouette:
    """What one thing looks like from an eye.

    Attributes:
        name: of the member or body line.
        eye: which eye.
        strips: for a tube, its two edges (2, n, 2) as (to the right, up) in rad, one strip for each stretch
            in view; for a body line, one edge (1, n, 2).
    """

    name: str
    eye: Side
    strips: tuple[Array, ...]


def view_angles(directions: Array) -> Array:
    """The angles (..., 2) of directions (..., 3): to the right of ahead, and up from the level, rad."""
    level = np.hypot(directions[..., 0], directions[..., 1])
    return np.stack([plan_angle(directions), np.arctan2(directions[..., 2], level)], axis=-1)


def silhouette(curve: Chain, radius: float, eye: Vector, *, name: str, which: Side) -> Silhouette:
    """The tube's outline as the eye sees it ahead, within ``WIDEST`` and ``HIGHEST``."""
    edges = view_angles(outline(curve, radius, eye))
    return Silhouette(name=name, eye=which, strips=tuple(edges[:, run] for run in _in_view(edges)))


def trace(points: Array, eye: Vector, *, name: str, which: Side) -> Silhouette:
    """A measured line (n, 3) as the eye sees it ahead."""
    seen = view_angles(along_line(points, step=20.0) - eye)[None]
    return Silhouette(name=name, eye=which, strips=tuple(seen[:, run] for run in _in_view(seen)))


def _in_view(edges: Array) -> list[slice]:
    """The stretches of (k, n, 2) edges that are all in view, two places or more each."""
    wide, high = np.abs(edges[..., 0]) < WIDEST, np.abs(edges[..., 1]) < HIGHEST
    seen = np.all(wide & high, axis=0)
    turns = np.flatnonzero(np.diff(np.concatenate([[False], seen, [False]]).astype(np.int8)))
    return [slice(a, b) for a, b in turns.reshape(-1, 2).tolist() if b - a > 1]
