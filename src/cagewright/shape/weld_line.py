"""Length of the line in which a branch's outside meets its mains, from few points."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cagewright.base.vectors import dot

Array = NDArray[np.float64]
KINK = 0.35
"""A turn of more than this (rad) at one point of the line is a kink, not curvature."""


def closed_length(points: Array, counted: NDArray[np.bool_] | None = None) -> Array:
    """Length (k,) of k closed curves through points (k, n, 3), mm, to about h^4 for spacing h.

    Each chord c of a curve of curvature K is short of its arc by c^3 K^2 / 24 (series of 2 asin(cK/2)/K);
    K comes from the circle through three neighbours, or from the point beside a kink.

    The last point joins the first; chords not ``counted`` (k, n) do not belong to the line.
    """
    chord = np.roll(points, -1, axis=1) - points
    size = np.sqrt(dot(chord, chord))
    bend = _curvatures(chord, size)
    arcs = size + size**3 * 0.5 * (bend**2 + np.roll(bend, -1, axis=1) ** 2) / 24.0
    return np.sum(arcs if counted is None else np.where(counted, arcs, 0.0), axis=1)


def open_length(points: Array, counted: NDArray[np.bool_]) -> Array:
    """Length (k,) of k open curves through points (k, n, 3), mm, as ``closed_length``.

    Chords not ``counted`` (k, n - 1) do not belong to the line.
    """
    chord = np.diff(points, axis=1)
    size = np.sqrt(dot(chord, chord))
    bend = np.zeros(points.shape[:2])
    bend[:, 1:-1] = _curvatures(chord, size)[:, 1:]
    bend[:, 0], bend[:, -1] = bend[:, 1], bend[:, -2]
    arcs = size + size**3 * 0.5 * (bend[:, 1:] ** 2 + bend[:, :-1] ** 2) / 24.0
    return np.sum(np.where(counted, arcs, 0.0), axis=1)


def _curvatures(chord: Array, size: Array) -> Array:
    """Curvature (k, n) at each point, 1/mm; beside a kink that of the smoother neighbour."""
    before, before_size = np.roll(chord, 1, axis=1), np.roll(size, 1, axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        cosine = np.clip(dot(before, chord) / (before_size * size), -1.0, 1.0)
        turn = np.arccos(np.where(np.isfinite(cosine), cosine, 1.0))
        bend = np.where(before_size + size > 0.0, 2.0 * turn / (before_size + size), 0.0)
    smooth = np.where(turn > KINK, np.inf, bend)
    beside = np.minimum(np.roll(smooth, 1, axis=1), np.roll(smooth, -1, axis=1))
    return np.where(turn > KINK, np.where(np.isfinite(beside), beside, 0.0), bend)
