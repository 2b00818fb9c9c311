"""Tubes seen along a direction: where their lines and edges fall on the paper."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import Arc, Chain, Piece
from cagewright.base.drawing import Points
from cagewright.base.vectors import Vector, cross, dot, unit
from cagewright.shape.types import Cope, End, FlatCut, Member

Array = NDArray[np.float64]
TURN = np.radians(3.0)
"""Bends are drawn by chords of this much turn: 0.05 mm off at a radius of 135 mm."""
END_ON = 0.08
"""Where less than this part of a tube's length is seen, it is seen end on and has no edges to draw."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """How things are looked at.

    Attributes:
        right: unit (3,) to the paper's right.
        up: unit (3,) up the paper.
        toward: unit (3,) toward the eye.
        scale: paper mm per true mm.
    """

    right: Vector
    up: Vector
    toward: Vector
    scale: float = 1.0


def frame(right: Vector, up: Vector, *, scale: float = 1.0) -> Frame:
    """The frame with ``right`` kept and ``up`` made square to it."""
    right = unit(right)
    up = unit(up - dot(up, right) * right)
    return Frame(right=right, up=up, toward=cross(right, up), scale=scale)


def on_paper(view: Frame, points: Array) -> Points:
    """The points (..., 3) on the paper, (..., 2) mm."""
    return np.stack([points @ view.right, points @ view.up], axis=-1) * view.scale


@dataclass(frozen=True, slots=True, kw_only=True)
class ProjectedStations:
    """Places along a tube: distance (n,) mm, points (n, 3) and unit tangents (n, 3)."""

    s: Array
    points: Array
    tangents: Array


def stations(path: Chain, low: float, high: float, *, straight: float = 1e9) -> ProjectedStations:
    """Places from ``low`` to ``high`` mm: bends every few degrees, straights at most ``straight`` mm apart.

    The first and last piece run on where the range goes past the path's ends.
    """
    parts = [
        _on_piece(piece, start, low, high, straight, (i == 0, i == len(path.pieces) - 1))
        for i, (piece, start) in enumerate(zip(path.pieces, path.starts, strict=False))
    ]
    parts = [p for p in parts if len(p.s)]
    s = np.concatenate([p.s for p in parts])
    keep = np.concatenate([[True], np.diff(s) > 1e-9])
    points, tangents = (
        np.concatenate([getattr(p, name) for p in parts])[keep] for name in ("points", "tangents")
    )
    return ProjectedStations(s=s[keep], points=points, tangents=tangents)


def _on_piece(
    piece: Piece, start: float, low: float, high: float, straight: float, ends: tuple[bool, bool]
) -> ProjectedStations:
    a = low - start if ends[0] else max(low - start, 0.0)
    b = high - start if ends[1] else min(high - start, piece.length)
    if b < a:
        return ProjectedStations(s=np.empty(0), points=np.empty((0, 3)), tangents=np.empty((0, 3)))
    step = piece.radius * TURN if isinstance(piece, Arc) else straight
    t = np.linspace(a, b, int(np.ceil((b - a) / step - 1e-9)) + 1 if b > a else 1)
    if not isinstance(piece, Arc):
        return ProjectedStations(
            s=t + start,
            points=piece.start + t[:, None] * piece.direction,
            tangents=np.tile(piece.direction, (len(t), 1)),
        )
    angle = t[:, None] / piece.radius
    return ProjectedStations(
        s=t + start,
        points=piece.centre + piece.radius * (np.cos(angle) * piece.u + np.sin(angle) * piece.v),
        tangents=np.cos(angle) * piece.v - np.sin(angle) * piece.u,
    )


def finished(member: Member) -> tuple[float, float]:
    """Where along the path the finished tube begins and ends (its long points), mm."""
    return member.ends[0].trim, member.path.length - member.ends[1].trim


def cut_distance(end: End, radius: float, phi: Array) -> Array:
    """Distance of the cut from the end point, along the tube into it, at each phi (n,) rad, mm."""
    cut = end.cut
    if isinstance(cut, FlatCut):
        return -radius * np.tan(cut.tilt) * np.cos(phi)
    good = np.isfinite(cut.outside)
    return np.interp(phi % (2.0 * np.pi), cut.phi[good], cut.outside[good], period=2.0 * np.pi)


def cut_loop(end: End, radius: float, phi: Array) -> tuple[Array, Array]:
    """The cut's points (n, 3) on the outside of the tube, mm, and the unit (n, 3) out of the tube there."""
    cut: Cope | FlatCut = end.cut
    out = np.cos(phi)[:, None] * cut.zero + np.sin(phi)[:, None] * cross(cut.axis, cut.zero)
    return cut.origin + cut_distance(end, radius, phi)[:, None] * cut.axis + radius * out, out


def seen_cut(end: End, radius: float, view: Frame, phi: Array) -> tuple[Points, Array]:
    """The cut on the paper (n, 2), nan where its own tube hides it, and its depth (n,) toward the eye, mm.

    All of it is seen where the tube's end faces the eye, or the tube is seen end on.
    """
    points, out = cut_loop(end, radius, phi)
    facing = float(dot(-end.cut.axis, view.toward))
    whole = facing > 0.02 or facing < -np.sqrt(1.0 - END_ON**2)
    near = (out @ view.toward >= -1e-9) | whole
    return np.where(near[:, None], on_paper(view, points), np.nan), points @ view.toward


def extent(members: tuple[Member, ...], view: Frame) -> tuple[Points, Points]:
    """Least and greatest point (2,) of the finished tubes' outsides on the paper, mm.

    A straight reaches furthest at one of its ends, so only cuts and bends need a look.
    """
    phi = np.linspace(0.0, 2.0 * np.pi, 361)
    loops = [cut_loop(end, m.tube.radius, phi)[0] for m in members for end in m.ends]
    arcs = [(p, m.tube.radius) for m in members for p in m.path.pieces if isinstance(p, Arc)]

    def furthest(way: Vector) -> float:
        return max(*(float((c @ way).max()) for c in loops), *(arc_reach(a, way, r) for a, r in arcs))

    ways = (view.right, view.up)
    low, high = ([sign * furthest(sign * way) * view.scale for way in ways] for sign in (-1.0, 1.0))
    return np.array(low), np.array(high)


def arc_reach(arc: Arc, way: Vector, radius: float) -> float:
    """How far a bend of a tube of ``radius`` mm reaches in the unit direction ``way`` (3,), mm."""
    far = float(np.arctan2(dot(arc.v, way), dot(arc.u, way))) % (2.0 * np.pi)
    angle = np.array([0.0, arc.angle, min(far, arc.angle)])[:, None]
    out = np.cos(angle) * arc.u + np.sin(angle) * arc.v
    ahead = (np.cos(angle) * arc.v - np.sin(angle) * arc.u) @ way
    edge = radius * np.sqrt(np.maximum(1.0 - ahead**2, 0.0))
    return float(((arc.centre + arc.radius * out) @ way + edge).max())


@dataclass(frozen=True, slots=True, kw_only=True)
class Edges:
    """A tube on the paper.

    Attributes:
        centre: (n, 2) its centre line, mm.
        left: (n, 2) the edge to the left of the travel, mm; nan where the tube is seen end on.
        right: (n, 2) the other edge, mm.
        depth: (n,) of the centre line toward the eye, mm (true).
        s: (n,) along the path, mm.
    """

    centre: Points
    left: Points
    right: Points
    depth: Array
    s: Array


def edges(member: Member, view: Frame, *, straight: float = 1e9) -> Edges:
    """The tube's centre line and its two edges as seen: the edges lie one radius off the seen centre line.

    A tube is the envelope of equal balls along its centre line, so its outline is that of their circles.
    """
    low, high = finished(member)
    at = stations(member.path, low, high, straight=straight)
    centre = on_paper(view, at.points)
    seen = on_paper(view, at.tangents) / view.scale
    size = np.hypot(seen[:, 0], seen[:, 1])
    with np.errstate(invalid="ignore", divide="ignore"):
        way = np.where(size[:, None] > END_ON, seen / size[:, None], np.nan)
    off = np.column_stack([-way[:, 1], way[:, 0]]) * member.tube.radius * view.scale
    left, right = centre + off, centre - off
    for end, index in ((member.ends[0], 0), (member.ends[1], -1)):
        _to_cut(member, view, end, index, left, right, way[index])
    return Edges(centre=centre, left=left, right=right, depth=at.points @ view.toward, s=at.s)


def _to_cut(
    member: Member, view: Frame, end: End, index: int, left: Points, right: Points, way: Points
) -> None:
    """Moves the edges' last points to where the cut crosses them (in place)."""
    if not np.isfinite(way).all():
        return
    side = -way[1] * view.right + way[0] * view.up
    for edge, out in ((left, side), (right, -side)):
        phi = np.arctan2(dot(out, cross(end.cut.axis, end.cut.zero)), dot(out, end.cut.zero))
        points, _ = cut_loop(end, member.tube.radius, np.array([phi]))
        edge[index] = on_paper(view, points[0])
