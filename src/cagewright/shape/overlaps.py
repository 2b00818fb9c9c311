"""Where tubes run into each other: every pair of members near enough, at every place.

Straights are taken as they are and bends as chords within 0.01 mm; two straights have a closed form, so all
near pairs are answered at once. Far pairs are left out by their boxes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import Arc, Chain, Piece
from cagewright.base.vectors import Vector, dot, length
from cagewright.shape.closest import closest_between_segments

Array = NDArray[np.float64]
Index = NDArray[np.int64]
SAGITTA = 0.01
"""How far a chord may stand off its arc to either side, mm."""
MANY = 200
"""At most this many overlaps for each member, the deepest; a cage that can be built has about ten."""
BLOCK = 512
"""Pieces compared at a time, to bound memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Touch:
    """A stretch where two tubes overlap.

    Attributes:
        a: index of the first member.
        b: index of the second, larger.
        on_a: from and to along the first, mm.
        on_b: from and to along the second, mm.
        depth: how far they overlap at the worst, mm.
        point: (3,) midway between the axes there, mm.
    """

    a: int
    b: int
    on_a: tuple[float, float]
    on_b: tuple[float, float]
    depth: float
    point: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Strands:
    """Straight segments that stand for the tubes: s segments of p pieces.

    Attributes:
        start: (s, 3) mm.
        stop: (s, 3) mm.
        run: (s,) mm along the member at ``start``.
        member: (s,) index of the member.
        radius: (s,) outside, mm.
        first: (p + 1,) index of each piece's first segment.
    """

    start: Array
    stop: Array
    run: Array
    member: Index
    radius: Array
    first: Index


def strands(paths: Sequence[Chain], radii: Sequence[float]) -> Strands:
    """The members' centre lines as straight segments, with their outside radii (mm)."""
    nodes: list[Array] = []
    runs: list[Array] = []
    member: list[int] = []
    for m, path in enumerate(paths):
        for piece, run in zip(path.pieces, path.starts, strict=False):
            points, steps = _nodes(piece)
            nodes.append(points)
            runs.append(run + steps)
            member.append(m)
    counts = np.array([len(n) - 1 for n in nodes])
    owner = np.repeat(np.array(member, dtype=np.int64), counts)
    return Strands(
        start=np.concatenate([n[:-1] for n in nodes]),
        stop=np.concatenate([n[1:] for n in nodes]),
        run=np.concatenate([r[:-1] for r in runs]),
        member=owner,
        radius=np.array(radii)[owner],
        first=np.concatenate(([0], np.cumsum(counts))),
    )


def _nodes(piece: Piece) -> tuple[Array, Array]:
    """Points (n, 3) along a piece and how far along it they are (n,), mm."""
    if not isinstance(piece, Arc):
        return np.array([piece.start, piece.stop]), np.array([0.0, piece.length])
    # corners as far outside the arc as the middles of the chords are inside it
    step = 4.0 * np.sqrt(SAGITTA / piece.radius)
    turned = np.linspace(0.0, piece.angle, max(2, int(np.ceil(piece.angle / step)) + 1))
    radius = 2.0 * piece.radius / (1.0 + np.cos(0.5 * turned[1]))
    rim = np.cos(turned)[:, None] * piece.u + np.sin(turned)[:, None] * piece.v
    return piece.centre + radius * rim, piece.radius * turned


def touches(tubes: Strands, *, least: float) -> list[Touch]:
    """Every stretch where tubes of two members overlap by more than ``least`` mm, segment by segment."""
    i, j = near_pairs(tubes)
    gap, middle = least_gaps(tubes, i, j)
    depth = tubes.radius[i] + tubes.radius[j] - gap
    deep = np.nonzero(depth > least)[0]
    if len(deep) > (most := MANY * (int(tubes.member.max()) + 1)):
        deep = deep[np.argsort(-depth[deep], kind="stable")[:most]]
    i, j, depth, middle = i[deep], j[deep], depth[deep], middle[deep]
    on_a = tubes.run[i, None] + stretch(tubes, i, j, least)
    on_b = tubes.run[j, None] + stretch(tubes, j, i, least)
    rows = zip(tubes.member[i].tolist(), tubes.member[j].tolist(), on_a.tolist(), on_b.tolist(), strict=True)
    return [
        Touch(a=a, b=b, on_a=(sa[0], sa[1]), on_b=(sb[0], sb[1]), depth=float(depth[k]), point=middle[k])
        for k, (a, b, sa, sb) in enumerate(rows)
    ]


def near_pairs(tubes: Strands, room: float = 0.0) -> tuple[Index, Index]:
    """Pairs of segments of different members whose boxes come within ``room`` mm, each pair once.

    Boxes of whole pieces are compared first, then those of the segments of the pieces that are near.
    """
    low = np.minimum(tubes.start, tubes.stop) - (tubes.radius + 0.5 * room)[:, None]
    high = np.maximum(tubes.start, tubes.stop) + (tubes.radius + 0.5 * room)[:, None]
    heads = tubes.first[:-1]
    piece_low, piece_high = np.minimum.reduceat(low, heads), np.maximum.reduceat(high, heads)
    p, q = _boxes_meet(piece_low, piece_high, tubes.member[heads])
    i, j = _segments_of(tubes.first, p, q)
    meet = np.all((low[i] <= high[j]) & (low[j] <= high[i]), axis=1)
    return i[meet], j[meet]


def _boxes_meet(low: Array, high: Array, member: Index) -> tuple[Index, Index]:
    found: list[tuple[Index, Index]] = []
    for k in range(0, len(low), BLOCK):
        block = slice(k, k + BLOCK)
        meet = member[block, None] < member
        for axis in range(3):
            meet &= low[block, axis, None] <= high[:, axis]
            meet &= low[:, axis] <= high[block, axis, None]
        p, q = np.nonzero(meet)
        found.append((p + k, q))
    return np.concatenate([f[0] for f in found]), np.concatenate([f[1] for f in found])


def _segments_of(first: Index, p: Index, q: Index) -> tuple[Index, Index]:
    """Every pair of a segment of piece ``p`` and one of piece ``q``."""
    size_p, size_q = np.diff(first)[p], np.diff(first)[q]
    count = size_p * size_q
    pair = np.repeat(np.arange(len(p)), count)
    place = np.arange(len(pair)) - np.repeat(np.cumsum(count) - count, count)
    return first[p][pair] + place // size_q[pair], first[q][pair] + place % size_q[pair]


def least_gaps(tubes: Strands, i: Index, j: Index) -> tuple[Array, Array]:
    """Least distance (k,) between the axes of segments i and j, mm, and the points (k, 3) midway there."""
    on_i, on_j = closest_between_segments(tubes.start[i], tubes.stop[i], tubes.start[j], tubes.stop[j])
    return length(on_i - on_j), 0.5 * (on_i + on_j)


def stretch(tubes: Strands, i: Index, j: Index, least: float) -> Array:
    """From and to (k, 2) mm along segment i where it is within both radii, less ``least``, of segment j.

    The points near a segment are a cylinder with two round ends: the hull of the stretches inside each.
    """
    reach2 = (tubes.radius[i] + tubes.radius[j] - least) ** 2
    d1, d2 = tubes.stop[i] - tubes.start[i], tubes.stop[j] - tubes.start[j]
    size, other = np.sqrt(dot(d1, d1)), np.sqrt(dot(d2, d2))
    a, b = d1 / size[:, None], d2 / other[:, None]
    near, far = tubes.start[i] - tubes.start[j], tubes.start[i] - tubes.stop[j]
    parts = [_in_ball(a, near, reach2), _in_ball(a, far, reach2), _in_cylinder(a, near, b, other, reach2)]
    low = np.clip(np.fmin.reduce([p[0] for p in parts]), 0.0, size)
    high = np.clip(np.fmax.reduce([p[1] for p in parts]), 0.0, size)
    return np.stack((low, high), axis=1)


def _roots(a: Array, b: Array, c: Array) -> tuple[Array, Array]:
    """Where a s^2 + 2 b s + c is below 0: from and to; nan where it is nowhere."""
    with np.errstate(divide="ignore", invalid="ignore"):
        room = np.sqrt(np.where(b * b - a * c > 0.0, b * b - a * c, np.nan))
        return (-b - room) / a, (-b + room) / a


def _in_ball(a: Array, off: Array, reach2: Array) -> tuple[Array, Array]:
    return _roots(np.ones(len(a)), dot(a, off), dot(off, off) - reach2)


def _in_cylinder(a: Array, off: Array, b: Array, size: Array, reach2: Array) -> tuple[Array, Array]:
    lean, run = dot(a, b), dot(off, b)
    flat, out = a - lean[:, None] * b, off - run[:, None] * b
    steep = dot(flat, flat)
    low, high = _roots(np.maximum(steep, 1e-12), dot(out, flat), dot(out, out) - reach2)
    with np.errstate(divide="ignore", invalid="ignore"):
        first, last = np.sort(np.array([-run / lean, (size - run) / lean]), axis=0)
    level = np.abs(lean) < 1e-12
    beside = (run >= 0.0) & (run <= size)
    first = np.where(level, np.where(beside, -np.inf, np.nan), first)
    last = np.where(level, np.where(beside, np.inf, np.nan), last)
    low, high = np.maximum(low, first), np.minimum(high, last)
    return np.where(low <= high, low, np.nan), np.where(low <= high, high, np.nan)
