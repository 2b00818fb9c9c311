"""Copes: the exact cut of branch ends to straight and bent tubes, one or several, at any angle and offset.

A wall line is followed from the branch's body; where it first enters a main is the cut. A line that misses
every main is cut where it passes nearest to one, which joins on to the rest without a step; there ``on`` is
-1. Source of the straight case: the saddle equation w = (sqrt(R^2 - (r sin phi + e)^2) - r cos phi cos b) /
sin b, of which this is the general form (computed: the points lie on the mains).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import Chain, point_at, tangent_at
from cagewright.base.vectors import Vector, cross, dot, length, square_to
from cagewright.shape.distance import to_piece
from cagewright.shape.rails import distance_to
from cagewright.shape.types import Cope
from cagewright.shape.walls import (
    MISS,
    Array,
    Index,
    Main,
    Notch,
    Pairs,
    bent,
    follow,
    lean,
    met,
    normals,
    pairs_of,
    wall_lines,
)
from cagewright.shape.weld_line import closed_length, open_length

POINTS = 72
"""Points round a cope unless more are asked for: every 5 degrees, so that 90 and 180 are among them."""
SHARP = 0.15
"""Where the weld line turns by more than this (rad) between points, more points measure its length."""
FINER = 32
"""How many steps a chord of the weld line is divided into there."""


def heel(axis: Vector, along: Vector) -> Vector:
    """Direction (3,) of phi = 0: square to the branch's axis, on the obtuse-angle side of the main.

    Square on, either side would do; the side the main comes from is taken.

    Unit (3,) each: ``axis`` from the branch's end back into it, ``along`` the main's travel.
    """
    acute = along if float(dot(axis, along)) > -1e-9 else -along
    return square_to(axis, -acute)


def cut(notches: Sequence[Notch], points: int = POINTS) -> list[Cope]:
    """The cope of every notch; weld length and least bevel do not depend on how many points are asked for.

    Raises:
        ValueError: fewer than 8 points, or a notch without a main.
    """
    if points < 8 or any(not n.mains for n in notches):
        raise ValueError("a cope needs at least 8 points and one main")
    each = -(-POINTS // points)
    return [_thinned(cope, each) for cope in _cut(notches, points * each)] if notches else []


def _thinned(cope: Cope, each: int) -> Cope:
    """The cope with every so many of its points."""
    if each == 1:
        return cope
    arrays = ("phi", "outside", "inside", "bevel", "on")
    return replace(cope, **{name: getattr(cope, name)[::each] for name in arrays})


def _cut(notches: Sequence[Notch], points: int) -> list[Cope]:
    pairs, rows = pairs_of(notches), np.arange(len(notches))
    turns: Array = np.arange(points, dtype=np.float64) * (2.0 * math.pi / points)
    phi = np.broadcast_to(turns, (len(notches), points))
    w, pair, spot, out = _walls(notches, pairs, rows, phi, "radius")
    inner, inner_pair, _, _ = _walls(notches, pairs, rows, phi, "bore")
    bevel = lean(out, normals(notches, pairs, spot, pair))
    sizes = _weld_lengths(notches, pairs, phi, spot, pair)
    on, bends = met(pairs, pair), bent(pairs, pair) | bent(pairs, inner_pair)
    inner_on = met(pairs, inner_pair)
    return [
        _cope(n, phi[i], w[i], inner[i], bevel[i], on[i], inner_on[i], float(sizes[i]), bool(bends[i].any()))
        for i, n in enumerate(notches)
    ]


def _walls(
    notches: Sequence[Notch], pairs: Pairs, rows: Index, phi: Array, wall: str, *, edges_only: bool = False
) -> tuple[Array, Index, Array, Array]:
    """Cuts (m, n), the pairs met, the points and outward directions (m, n, 3) on the outside or the bore.

    ``edges_only`` finds the cut of lines that meet nothing only beside a line that meets a main.
    """
    ends = [notches[e] for e in rows.tolist()]
    radii = np.array([[getattr(n, wall)] for n in ends])
    base, out = wall_lines(ends, radii, phi)
    walls = follow(notches, pairs, rows, base)
    w = walls.w
    lost_lines = _lost(walls.pair, edges_only)
    w[walls.pair == MISS] = 0.0
    for i in np.nonzero(lost_lines.any(axis=1))[0].tolist():
        lost = lost_lines[i]
        w[i][lost] = closest(base[i][lost], ends[i].axis, ends[i].mains)
    axis = np.array([n.axis for n in ends])
    return w, walls.pair, base + w[..., None] * axis[:, None], out


def wall_points(cope: Cope, radius: float, w: Array) -> Array:
    """Points (n, 3) of the tube's wall of that radius at the cuts ``w`` (n,) of the cope's ``phi``, mm."""
    aside = cross(cope.axis, cope.zero)
    out = np.cos(cope.phi)[:, None] * cope.zero + np.sin(cope.phi)[:, None] * aside
    return cope.origin + radius * out + w[:, None] * cope.axis


def _lost(pair: Index, edges_only: bool) -> NDArray[np.bool_]:
    """The lines (m, n) that meet nothing; or only those of them that have a neighbour that does."""
    lost = pair == MISS
    if not edges_only:
        return lost
    beside = np.zeros_like(lost)
    beside[:, 1:] |= ~lost[:, :-1]
    beside[:, :-1] |= ~lost[:, 1:]
    return lost & beside


def _cope(
    notch: Notch,
    phi: Array,
    w: Array,
    inner: Array,
    bevel: Array,
    on: Index,
    inner_on: Index,
    size: float,
    bent_main: bool,
) -> Cope:
    kept = [m for m in range(len(notch.mains)) if m == 0 or (on == m).any() or (inner_on == m).any()]
    place = np.full(len(notch.mains) + 1, -1, dtype=np.int64)
    place[kept] = np.arange(len(kept))
    uneven = float(np.abs(w - w[-np.arange(len(w))]).max())
    return Cope(
        mains=tuple(notch.mains[m].name for m in kept),
        origin=notch.origin,
        axis=notch.axis,
        zero=notch.zero,
        angle=notch.angle,
        offset=notch.offset,
        phi=phi,
        outside=w,
        inside=inner,
        bevel=bevel,
        on=place[on],
        weld_length=size,
        least_bevel=float(bevel.min()),
        asymmetric=uneven if uneven > 1e-9 else 0.0,
        bent_main=bent_main,
    )


def _weld_lengths(notches: Sequence[Notch], pairs: Pairs, phi: Array, spot: Array, pair: Index) -> Array:
    """Length of each weld line (m,), mm: chords with their curvature, divided where it turns sharply."""
    counted = (pair != MISS) & (np.roll(pair, -1, axis=1) != MISS)
    lost = (pair == MISS) & (np.roll(pair, -1, axis=1) == MISS)
    sharp = _sharp(spot, met(pairs, pair)) & ~lost
    sizes = closed_length(spot, counted & ~sharp)
    row, column = np.nonzero(sharp)
    if len(row):
        step = phi[0, 1] * np.linspace(0.0, 1.0, FINER + 1)
        _, fine_pair, fine, _ = _walls(
            notches, pairs, row, phi[row, column][:, None] + step, "radius", edges_only=True
        )
        # the line ends between the last that is met and the first that only grazes the edge
        held = (fine_pair[:, 1:] != MISS) | (fine_pair[:, :-1] != MISS)
        np.add.at(sizes, row, open_length(fine, held))
    return sizes


def _sharp(spot: Array, on: Index) -> NDArray[np.bool_]:
    """Chords (m, n) at whose ends the line turns sharply, or whose ends lie on different mains."""
    chord = np.roll(spot, -1, axis=1) - spot
    before = np.roll(chord, 1, axis=1)
    turned = dot(before, chord) < math.cos(SHARP) * np.sqrt(dot(before, before) * dot(chord, chord))
    return turned | np.roll(turned, -1, axis=1) | (on != np.roll(on, -1, axis=1))


def closest(base: Array, axis: Vector, mains: Sequence[Main]) -> Array:
    """Where wall lines (m, 3) that miss pass nearest to their mains' outsides, w (m,) in mm.

    At the edge of a main this joins on to the intersections: there the line only grazes it.
    """
    reach = max(m.reach for m in mains)
    low, high = np.full(len(base), -reach), np.full(len(base), reach)
    rows = np.arange(len(base))
    for _ in range(6):
        w = np.linspace(low, high, 33, axis=1)
        best = np.clip(np.argmin(_gap(base[:, None] + w[..., None] * axis, mains), axis=1), 1, 31)
        low, high = w[rows, best - 1], w[rows, best + 1]
    return 0.5 * (low + high)


def _gap(points: Array, mains: Sequence[Main]) -> Array:
    """From points to the nearest main's outside, mm."""
    return np.min(
        [
            *(to_piece(points, p) - m.radius for m in mains if m.prism is None for p in m.pieces),
            *(distance_to(m.prism, points) for m in mains if m.prism is not None),
        ],
        axis=0,
    )


def offset(origin: Vector, axis: Vector, path: Chain, along: float) -> float:
    """Least distance between a branch's axis and its main's, mm.

    On a bend it is the distance to the tangent at the place nearest to the branch's end.

    The branch's axis ends at ``origin`` (3,) and runs along unit ``axis`` (3,); it is nearest ``along``
    mm of the path.
    """
    off = origin - point_at(path, along)
    square = cross(axis, tangent_at(path, along))
    size = float(length(square))
    return abs(float(dot(off, square))) / size if size > 1e-9 else float(length(off))
