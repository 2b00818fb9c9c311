"""Least distances: points, straights, arcs and whole centre lines."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import Arc, Line, Piece
from cagewright.base.vectors import dot

Array = NDArray[np.float64]


def to_piece(points: Array, piece: Piece) -> Array:
    """Distance (...,) from points (..., 3) to a straight or an arc turned less than half round, mm."""
    return _to_line(points, piece) if isinstance(piece, Line) else _to_arc(points, piece)


def _to_line(points: Array, piece: Line) -> Array:
    along, size = piece.direction, piece.length
    off = points - piece.start
    away = off - np.clip(off @ along, 0.0, size)[..., None] * along
    return np.sqrt(dot(away, away))


def _to_arc(points: Array, piece: Arc) -> Array:
    off = points - piece.centre
    x, y, z = off @ piece.u, off @ piece.v, off @ piece.normal
    a = np.arctan2(y, x)
    # past half round from the middle of the arc the nearer end is the nearest point
    middle = 0.5 * piece.angle
    a = middle + np.clip(_wrapped(a - middle), -middle, middle)
    return np.sqrt((x - piece.radius * np.cos(a)) ** 2 + (y - piece.radius * np.sin(a)) ** 2 + z**2)


def _wrapped(a: Array) -> Array:
    return (a + np.pi) % (2.0 * np.pi) - np.pi
