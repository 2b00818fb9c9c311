"""Least distances: points to straights and arcs, and centre line to centre line."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import Arc, Chain, Line, Piece, nearest, point_at
from cagewright.base.vectors import Vector, dot, length
from cagewright.shape.closest import closest_between_segments
from cagewright.shape.overlaps import strands

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Between:
    """Where two centre lines are nearest.

    Attributes:
        distance: mm.
        on_a: mm along the first.
        on_b: mm along the second.
        point_a: (3,) on the first, mm.
        point_b: (3,) on the second, mm.
    """

    distance: float
    on_a: float
    on_b: float
    point_a: Vector
    point_b: Vector


def between(a: Chain, b: Chain) -> Between:
    """Where two centre lines are nearest, to 1e-6 mm.

    The nearest pair of chords gives the neighbourhood; within it the first curve is searched for the place
    from which the second is nearest, exactly, by Brent's method.
    """
    tubes = strands([a, b], [0.0, 0.0])
    i, j = (np.nonzero(tubes.member == m)[0] for m in (0, 1))
    pairs = np.repeat(i, len(j)), np.tile(j, len(i))
    on_i, on_j = closest_between_segments(
        tubes.start[pairs[0]], tubes.stop[pairs[0]], tubes.start[pairs[1]], tubes.stop[pairs[1]]
    )
    best = int(np.argmin(length(on_i - on_j)))
    chord = int(pairs[0][best])
    rough = float(tubes.run[chord] + length(on_i[best] - tubes.start[chord]))
    on_a = _refined(a, b, rough)
    on_b, distance = nearest(b, point_at(a, on_a))
    return Between(
        distance=distance, on_a=on_a, on_b=on_b, point_a=point_at(a, on_a), point_b=point_at(b, on_b)
    )


def _refined(a: Chain, b: Chain, rough: float) -> float:
    def away(s: float) -> float:
        return nearest(b, point_at(a, s))[1]

    low, high = max(rough - 5.0, 0.0), min(rough + 5.0, a.length)
    from scipy.optimize import minimize_scalar  # loads for a third of a second; a single cope needs none

    found = minimize_scalar(away, bounds=(low, high), method="bounded", options={"xatol": 1e-7})
    return min((float(found.x), rough, low, high), key=away)


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
    # past half round from the middle of the arc the nearer end is the nearest point
    middle = 0.5 * piece.angle
    a = middle + np.clip((np.arctan2(y, x) - middle + np.pi) % (2.0 * np.pi) - np.pi, -middle, middle)
    return np.sqrt((x - piece.radius * np.cos(a)) ** 2 + (y - piece.radius * np.sin(a)) ** 2 + z**2)
