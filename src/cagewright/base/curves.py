"""Centre lines: straights and arcs joined end to end, measured along their length in mm."""

from __future__ import annotations

import bisect
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cagewright.base.vectors import Vector, cross, length


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A straight from ``start`` (3,) to ``stop`` (3,), mm."""

    start: Vector
    stop: Vector

    @property
    def length(self) -> float:
        """Length, mm."""
        return math.dist(self.start.tolist(), self.stop.tolist())

    @property
    def direction(self) -> Vector:
        """Unit direction (3,) from start to stop."""
        return (self.stop - self.start) / self.length


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """A circular arc.

    Attributes:
        centre: (3,) mm.
        radius: mm.
        u: unit (3,) from the centre to the start.
        v: unit (3,) tangent at the start, square to ``u``.
        angle: rad turned, more than 0.
    """

    centre: Vector
    radius: float
    u: Vector
    v: Vector
    angle: float

    @property
    def length(self) -> float:
        """Length along the arc, mm."""
        return self.radius * self.angle

    @property
    def normal(self) -> Vector:
        """Unit (3,) square to the arc's plane, right-handed with the travel."""
        return cross(self.u, self.v)

    @property
    def start(self) -> Vector:
        """First point (3,), mm."""
        return self.centre + self.radius * self.u

    @property
    def stop(self) -> Vector:
        """Last point (3,), mm."""
        return self.centre + self.radius * (math.cos(self.angle) * self.u + math.sin(self.angle) * self.v)


Piece = Line | Arc


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """Pieces joined end to end; ``starts`` (n+1,) holds the length run at each joint, mm."""

    pieces: tuple[Piece, ...]
    starts: tuple[float, ...]

    @property
    def length(self) -> float:
        """Developed length, mm."""
        return self.starts[-1]


def chain(pieces: tuple[Piece, ...]) -> Chain:
    """The pieces as one chain.

    Raises:
        ValueError: no pieces.
    """
    if not pieces:
        raise ValueError("a chain needs at least one piece")
    run = [0.0]
    for piece in pieces:
        run.append(run[-1] + piece.length)
    return Chain(pieces=pieces, starts=tuple(run))


def piece_at(curve: Chain, s: float) -> tuple[Piece, float]:
    """The piece at ``s`` mm along the chain, and how far along that piece (ends run on past the ends)."""
    index = min(max(bisect.bisect_right(curve.starts, s) - 1, 0), len(curve.pieces) - 1)
    return curve.pieces[index], s - curve.starts[index]


def point_at(curve: Chain, s: float) -> Vector:
    """The point (3,) at ``s`` mm along the chain; beyond an end it runs straight on."""
    piece, t = piece_at(curve, s)
    if isinstance(piece, Line):
        return piece.start + t * piece.direction
    over = min(t, 0.0) + max(t - piece.length, 0.0)
    a = (t - over) / piece.radius
    c, s = math.cos(a), math.sin(a)
    on_arc = piece.centre + piece.radius * (c * piece.u + s * piece.v)
    return on_arc + over * (c * piece.v - s * piece.u)


def tangent_at(curve: Chain, s: float) -> Vector:
    """Unit tangent (3,) at ``s`` mm along the chain."""
    piece, t = piece_at(curve, s)
    if isinstance(piece, Line):
        return piece.direction
    a = min(max(t, 0.0), piece.length) / piece.radius
    return math.cos(a) * piece.v - math.sin(a) * piece.u


def nearest_on_piece(piece: Piece, point: Vector) -> tuple[float, float]:
    """Where on the piece ``point`` (3,) is nearest: (mm along the piece, mm away)."""
    return _nearest_on_line(piece, point) if isinstance(piece, Line) else _nearest_on_arc(piece, point)


# plain numbers: asked for thousands of times for one cage, where arrays of three cost ten times as much
def _nearest_on_line(piece: Line, point: Vector) -> tuple[float, float]:
    ax, ay, az = piece.start.tolist()
    bx, by, bz = piece.stop.tolist()
    px, py, pz = point.tolist()
    dx, dy, dz = bx - ax, by - ay, bz - az
    size2 = dx * dx + dy * dy + dz * dz
    share = ((px - ax) * dx + (py - ay) * dy + (pz - az) * dz) / size2 if size2 else 0.0
    share = min(max(share, 0.0), 1.0)
    away = math.hypot(px - ax - share * dx, py - ay - share * dy, pz - az - share * dz)
    return share * math.hypot(dx, dy, dz), away


def _nearest_on_arc(piece: Arc, point: Vector) -> tuple[float, float]:
    ux, uy, uz = piece.u.tolist()
    vx, vy, vz = piece.v.tolist()
    cx, cy, cz = piece.centre.tolist()
    px, py, pz = point.tolist()
    x, y, z = px - cx, py - cy, pz - cz
    a = math.atan2(x * vx + y * vy + z * vz, x * ux + y * uy + z * uz) % math.tau
    if a > piece.angle:
        a = piece.angle if a - piece.angle < math.tau - a else 0.0
    c, s = piece.radius * math.cos(a), piece.radius * math.sin(a)
    away = math.hypot(x - c * ux - s * vx, y - c * uy - s * vy, z - c * uz - s * vz)
    return a * piece.radius, away


def nearest(curve: Chain, point: Vector) -> tuple[float, float]:
    """Where on the chain ``point`` (3,) is nearest: (mm along the chain, mm away)."""
    best = (0.0, float("inf"))
    for piece, run in zip(curve.pieces, curve.starts, strict=False):
        t, away = nearest_on_piece(piece, point)
        if away < best[1]:
            best = (run + t, away)
    return best


def sample(curve: Chain, *, sagitta: float = 0.05) -> NDArray[np.float64]:
    """Points (n, 3) along the chain, mm: straights by their ends, arcs by chords within ``sagitta`` mm."""
    points = [curve.pieces[0].start]
    for piece in curve.pieces:
        if isinstance(piece, Arc):
            step = 2.0 * np.arccos(max(1.0 - sagitta / piece.radius, 0.0))
            angles = np.linspace(0.0, piece.angle, max(2, int(np.ceil(piece.angle / step)) + 1))[1:-1, None]
            points.extend(piece.centre + piece.radius * (np.cos(angles) * piece.u + np.sin(angles) * piece.v))
        points.append(piece.stop)
    return np.array(points)


def evenly(points: Vector, count: int) -> Vector:
    """``count`` places (count, 3) at even steps of the length of the polyline (n, 3), both ends with them."""
    run = np.r_[0.0, np.cumsum(length(np.diff(points, axis=0)))]
    at = np.linspace(0.0, run[-1], count)
    return np.stack([np.interp(at, run, points[:, i]) for i in range(3)], axis=1)


def places_at(curve: Chain, axis: int, value: float) -> tuple[bool, list[float]]:
    """Where the chain's coordinate along ``axis`` (0 back, 1 across, 2 up) is ``value``.

    Returns:
        Whether a whole straight has that coordinate, and the places in order, mm along the chain (none
        twice: a place at the joint of two pieces counts once).
    """
    everywhere, found = False, list[float]()
    for piece, run in zip(curve.pieces, curve.starts, strict=False):
        if isinstance(piece, Line):
            whole, hits = _line_places(piece, axis, value)
        else:
            whole, hits = False, _arc_places(piece, axis, value)
        everywhere = everywhere or whole
        found.extend(run + t for t in hits)
    return everywhere, _apart(sorted(found))


_SLACK = 1e-7
"""A place this far past a piece's end (mm) still counts as on it."""


def _line_places(piece: Line, axis: int, value: float) -> tuple[bool, list[float]]:
    start, stop = float(piece.start[axis]), float(piece.stop[axis])
    rise = stop - start
    if abs(rise) < _SLACK:
        return abs(value - start) < _SLACK, []
    size = piece.length
    t = (value - start) / rise * size
    return False, [min(max(t, 0.0), size)] if -_SLACK <= t <= size + _SLACK else []


def _arc_places(piece: Arc, axis: int, value: float) -> list[float]:
    # value = centre + radius (u cos a + v sin a) = centre + reach cos(a - lead)
    u, v = float(piece.u[axis]), float(piece.v[axis])
    reach = piece.radius * math.hypot(u, v)
    off = value - float(piece.centre[axis])
    if reach < _SLACK or abs(off) > reach + _SLACK:
        return []
    lead, half = math.atan2(v, u), math.acos(min(max(off / reach, -1.0), 1.0))
    slack = _SLACK / piece.radius
    turns = {(lead + sign * half + slack) % math.tau - slack for sign in (-1.0, 1.0)}
    return [min(max(a, 0.0), piece.angle) * piece.radius for a in turns if a <= piece.angle + slack]


def _apart(sorted_places: list[float]) -> list[float]:
    kept: list[float] = []
    for s in sorted_places:
        if not kept or s - kept[-1] > 10 * _SLACK:
            kept.append(s)
    return kept
