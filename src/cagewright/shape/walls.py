"""The walls of branch ends followed to where they first meet their mains, many ends at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import Arc, Line, Piece
from cagewright.base.vectors import Vector, dot
from cagewright.shape.intersections import (
    NONE,
    Rings,
    Straights,
    ring_intersections,
    ring_normals,
    rings,
    straight_intersections,
    straight_normals,
    straights,
)
from cagewright.shape.rails import Prism, first_met

Array = NDArray[np.float64]
Index = NDArray[np.int64]
FIRST = 1e-6
"""A later main must be met this much (mm) sooner than an earlier one to be the one that is met."""
REACH = 1.0
"""A main is looked for this much (mm) beyond where the tubes overlap."""
PLATE = -2
"""Stands for the plate's plane where a wall ends on a foot."""
MISS = -1
"""Stands for no main at all."""
RAIL = -10
"""Less the number of a main within its notch, stands for that main where it is a rail."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Main:
    """A tube that a branch is cut on, as far as it is near the branch's end.

    Attributes:
        name: of the member.
        radius: outside, mm.
        pieces: of its centre line near the end.
        reach: how far from the branch's end it is looked for, up the branch or past its end, mm.
        prism: the solid it is where it is a rail, in place of its pieces; None for a round tube.
    """

    name: str
    radius: float
    pieces: tuple[Piece, ...]
    reach: float
    prism: Prism | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Notch:
    """A branch end to be cut.

    Attributes:
        origin: (3,) end of its axis, mm.
        axis: unit (3,) from the end back into the branch.
        zero: unit (3,) square to ``axis``, phi = 0.
        radius: outside, mm.
        bore: radius of the bore, mm.
        mains: at least one, the first giving phi = 0.
        angle: between the branch and the first main's axis, rad, 0 to pi/2.
        offset: between the branch's axis and the first main's, mm.
        plate: a point (3,) and the unit normal (3,) of the plate it also stands on, or None.
    """

    origin: Vector
    axis: Vector
    zero: Vector
    radius: float
    bore: float
    mains: tuple[Main, ...]
    angle: float
    offset: float
    plate: tuple[Vector, Vector] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pairs:
    """Every (notch, piece of a main) with straights first, and how to look them up.

    Attributes:
        notch: (k,) index of the notch.
        main: (k,) index of the main within its notch.
        tubes: the straight pieces, s of them.
        bends: the bent pieces, k - s of them.
        reach: (k,) mm.
        table: (notches, most pairs of one notch) indices of pairs, k where there are fewer.
    """

    notch: Index
    main: Index
    tubes: Straights
    bends: Rings
    reach: Array
    table: Index


@dataclass(frozen=True, slots=True, kw_only=True)
class Walls:
    """Where wall lines end: w (m, n) mm, and the pair met (m, n), MISS or PLATE."""

    w: Array
    pair: Index


def pairs_of(notches: Sequence[Notch]) -> Pairs:
    """Every pair of a notch and a piece of one of its mains."""
    every = [
        (e, m, piece, main)
        for e, notch in enumerate(notches)
        for m, main in enumerate(notch.mains)
        if main.prism is None
        for piece in main.pieces
    ]
    flat = [p for p in every if isinstance(p[2], Line)]
    bent = [p for p in every if isinstance(p[2], Arc)]
    both = flat + bent
    notch = np.array([p[0] for p in both], dtype=np.int64)
    return Pairs(
        notch=notch,
        main=np.array([p[1] for p in both], dtype=np.int64),
        tubes=straights([p[2] for p in flat if isinstance(p[2], Line)], [p[3].radius for p in flat]),
        bends=rings([p[2] for p in bent if isinstance(p[2], Arc)], [p[3].radius for p in bent]),
        reach=np.array([p[3].reach for p in both]),
        table=_table(notch, len(notches)),
    )


def _table(notch: Index, notches: int) -> Index:
    """Rows of pair indices in order of main, so that of equal intersections the earlier main's is taken."""
    counts = np.bincount(notch, minlength=notches)
    table = np.full((notches, max(int(counts.max(initial=0)), 1)), len(notch), dtype=np.int64)
    column = np.zeros(notches, dtype=np.int64)
    for pair, e in enumerate(notch.tolist()):
        table[e, column[e]] = pair
        column[e] += 1
    return table


def wall_lines(notches: Sequence[Notch], radii: Array, phi: Array) -> tuple[Array, Array]:
    """Points where the wall lines stand at w = 0, and their outward directions, both (m, n, 3).

    For m notches, ``radii`` (m, n) in mm and ``phi`` (m, n) in rad.
    """
    origin = np.array([n.origin for n in notches])
    zero = np.array([n.zero for n in notches])
    side = np.cross(np.array([n.axis for n in notches]), zero)
    out = np.cos(phi)[..., None] * zero[:, None] + np.sin(phi)[..., None] * side[:, None]
    return origin[:, None] + radii[..., None] * out, out


def follow(notches: Sequence[Notch], pairs: Pairs, rows: Index, base: Array) -> Walls:
    """Where wall lines end: at the first main met coming from the branch's body, or at the plate.

    ``rows`` (m,) names each row's notch; the lines stand at ``base`` (m, n, 3) at w = 0.
    """
    axis = np.array([n.axis for n in notches])
    intersections, table = _intersections(axis, pairs, rows, base)
    main = np.append(pairs.main, 0)[np.append(np.arange(len(pairs.notch)), -1)[table]]
    ranked = np.where(np.isfinite(intersections), intersections - FIRST * main[..., None], NONE)
    pick = np.argmax(ranked, axis=1)
    w = np.take_along_axis(intersections, pick[:, None], axis=1)[:, 0]
    pair = np.where(np.isfinite(w), np.take_along_axis(table, pick, axis=1), MISS)
    return _on_plate(notches, rows, base, _on_rails(notches, rows, base, Walls(w=w, pair=pair)))


def _intersections(axis: Array, pairs: Pairs, rows: Index, base: Array) -> tuple[Array, Index]:
    """Hits (m, p, n) of each row with each of its notch's p pairs, and those pairs (m, p)."""
    count, flat = len(pairs.notch), len(pairs.tubes.length)
    table = pairs.table[rows]
    found = np.full((*table.shape, base.shape[1]), NONE)
    for bent in (False, True):
        wanted = (table >= flat) & (table < count) if bent else table < min(flat, count)
        row, column = np.nonzero(wanted)
        if len(row) == 0:
            continue
        pair = table[row, column]
        ends = axis[rows[row]]
        if bent:
            tubes = _rings_at(pairs.bends, pair - flat)
            found[row, column] = ring_intersections(base[row], ends, pairs.reach[pair], tubes)
        else:
            tubes = _straights_at(pairs.tubes, pair)
            found[row, column] = straight_intersections(base[row], ends, pairs.reach[pair], tubes)
    return found, table


def _straights_at(tubes: Straights, index: Index) -> Straights:
    return Straights(
        start=tubes.start[index],
        along=tubes.along[index],
        length=tubes.length[index],
        radius=tubes.radius[index],
    )


def _rings_at(tubes: Rings, index: Index) -> Rings:
    return Rings(
        centre=tubes.centre[index],
        u=tubes.u[index],
        v=tubes.v[index],
        last=tubes.last[index],
        clr=tubes.clr[index],
        radius=tubes.radius[index],
    )


def _on_rails(notches: Sequence[Notch], rows: Index, base: Array, walls: Walls) -> Walls:
    w, pair = walls.w, walls.pair
    for i, e in enumerate(rows.tolist()):
        for m, main in enumerate(notches[e].mains):
            if main.prism is None:
                continue
            at, _ = first_met(main.prism, base[i], notches[e].axis, main.reach)
            sooner = at > w[i] + FIRST * (1.0 if m else 0.0)
            w[i], pair[i] = np.where(sooner, at, w[i]), np.where(sooner, RAIL - m, pair[i])
    return Walls(w=w, pair=pair)


def _on_plate(notches: Sequence[Notch], rows: Index, base: Array, walls: Walls) -> Walls:
    w, pair = walls.w, walls.pair
    for i, e in enumerate(rows.tolist()):
        plate = notches[e].plate
        if plate is None:
            continue
        point, normal = plate
        at = ((point - base[i]) @ normal) / float(notches[e].axis @ normal)
        sooner = at > w[i]
        w[i], pair[i] = np.where(sooner, at, w[i]), np.where(sooner, PLATE, pair[i])
    return Walls(w=w, pair=pair)


def normals(notches: Sequence[Notch], pairs: Pairs, spot: Array, pair: Index) -> Array:
    """Unit outward normals (m, n, 3) of what is met at points (m, n, 3); nan where nothing is.

    For m rows: ``pair`` (m, n) is the pair met at each ``spot``, MISS or PLATE.
    """
    out = np.full(spot.shape, np.nan)
    flat = len(pairs.tubes.length)
    on_straight, on_bend = (pair >= 0) & (pair < flat), pair >= flat
    out[on_straight] = straight_normals(spot[on_straight], _straights_at(pairs.tubes, pair[on_straight]))
    out[on_bend] = ring_normals(spot[on_bend], _rings_at(pairs.bends, pair[on_bend] - flat))
    for i, notch in enumerate(notches):
        if notch.plate is not None:
            facing = notch.plate[1] if float(notch.axis @ notch.plate[1]) > 0.0 else -notch.plate[1]
            out[i][pair[i] == PLATE] = facing
        for m, main in enumerate(notch.mains):
            on = pair[i] == RAIL - m
            if main.prism is not None and on.any():
                out[i][on] = first_met(main.prism, spot[i][on], notch.axis, main.reach)[1]
    return out


def met(pairs: Pairs, pair: Index) -> Index:
    """Index of the main within its notch for each pair met; -1 for a miss or the plate."""
    found = np.where(pair >= 0, np.append(pairs.main, 0)[np.maximum(pair, -1)], -1)
    return np.where(pair <= RAIL, RAIL - pair, found)


def bent(pairs: Pairs, pair: Index) -> NDArray[np.bool_]:
    """Whether each pair met is a bent piece."""
    return pair >= len(pairs.tubes.length)


def lean(out: Array, normal: Array) -> Array:
    """Angle (m, n) between the branch's outside and what it meets, through the weld, rad; pi for nothing met.

    Two faces whose outward normals make an angle a enclose pi - a (solid geometry).
    """
    cosine = np.where(np.isfinite(normal[..., 0]), -dot(out, normal), -1.0)
    return np.arccos(np.clip(cosine, -1.0, 1.0))
