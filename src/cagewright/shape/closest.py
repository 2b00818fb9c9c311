"""Nearest points between segments, triangles and points, many pairs at a time; all in mm."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cagewright.base.vectors import Vector, dot
from cagewright.shape.types import Array

Mask = NDArray[np.bool_]


def closest_between_segments(a: Array, b: Array, c: Array, d: Array) -> tuple[Array, Array]:
    """The nearest points (n, 3) of the segments a-b and (n, 3) of the segments c-d, pair by pair.

    A segment may have no length. Source: C. Ericson, Real-Time Collision Detection (2005), section 5.1.9
    (from memory, unchecked; held to python-fcl and to closed forms by the tests).

    The segments run from ``a`` to ``b`` and from ``c`` to ``d``, (n, 3) each.
    """
    u, v, w = b - a, d - c, a - c
    uu, vv, uv = dot(u, u), dot(v, v), dot(u, v)
    uw, vw = dot(u, w), dot(v, w)
    flat = uu * vv - uv * uv
    s = _clipped_ratio(uv * vw - uw * vv, np.where(flat > 1e-12 * uu * vv, flat, 0.0))
    t = _clipped_ratio(uv * s + vw, vv)
    s = _clipped_ratio(uv * t - uw, uu)
    return a + s[..., None] * u, c + t[..., None] * v


def _clipped_ratio(top: Array, bottom: Array) -> Array:
    """Top / bottom held to 0..1, and 0 where the bottom is 0."""
    return np.clip(np.divide(top, bottom, out=np.zeros_like(top), where=bottom > 0.0), 0.0, 1.0)


def closest_on_segments(p: Array, a: Array, b: Array) -> Array:
    """The point (n, 3) of each segment a-b nearest to each p (n, 3)."""
    u = b - a
    return a + _clipped_ratio(dot(p - a, u), dot(u, u))[..., None] * u


def closest_on_triangles(p: Array, corners: Array) -> Array:
    """The point (n, 3) of each triangle ``corners`` (n, 3 corners, 3) nearest to each p (n, 3)."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    best, inside = _foot_on_plane(p, corners)
    away = np.where(inside, _square(p - best), np.inf)
    for start, stop in ((a, b), (b, c), (c, a)):
        on_edge = closest_on_segments(p, start, stop)
        d = _square(p - on_edge)
        nearer = d < away
        best = np.where(nearer[:, None], on_edge, best)
        away = np.where(nearer, d, away)
    return best


def _foot_on_plane(p: Array, corners: Array) -> tuple[Array, Mask]:
    """The foot of p on each triangle's plane, and whether it lies within the triangle."""
    a, u, v = corners[:, 0], corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    uu, uv, vv, pu, pv = dot(u, u), dot(u, v), dot(v, v), dot(p - a, u), dot(p - a, v)
    area = uu * vv - uv * uv
    real = area > 1e-12 * uu * vv
    scale = np.where(real, area, 1.0)
    s, t = (vv * pu - uv * pv) / scale, (uu * pv - uv * pu) / scale
    inside = real & (s >= 0.0) & (t >= 0.0) & (s + t <= 1.0)
    return a + s[:, None] * u + t[:, None] * v, inside


def closest_segment_triangle(a: Array, b: Array, corners: Array) -> tuple[Array, Array]:
    """The nearest points (n, 3) of the segments a-b and (n, 3) of the triangles (n, 3, 3), pair by pair.

    Where a segment pierces its triangle both are the piercing point.
    """
    on_a, on_b = closest_on_triangles(a, corners), closest_on_triangles(b, corners)
    pairs = [(a, on_a), (b, on_b)]
    for i in range(3):
        pairs.append(closest_between_segments(a, b, corners[:, i], corners[:, (i + 1) % 3]))
    on_segment, on_triangle = (np.stack(side) for side in zip(*pairs, strict=True))
    pick = np.argmin(_square(on_segment - on_triangle), axis=0)
    rows = np.arange(len(a))
    first, second = on_segment[pick, rows], on_triangle[pick, rows]
    through, where = pierced(a, b, corners)
    first[through], second[through] = where[through], where[through]
    return first, second


def pierced(a: Array, b: Array, corners: Array) -> tuple[Mask, Array]:
    """Whether (n,) each segment a-b pierces its triangle, and where (n, 3) it meets the triangle's plane."""
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    from_a, from_b = dot(a - corners[:, 0], normal), dot(b - corners[:, 0], normal)
    crosses = (from_a > 0.0) != (from_b > 0.0)
    span = np.where(crosses, from_a - from_b, 1.0)
    where = a + np.where(crosses, from_a / span, 0.0)[:, None] * (b - a)
    return crosses & _foot_on_plane(where, corners)[1], where


def _square(v: Vector) -> Array:
    return dot(v, v)
