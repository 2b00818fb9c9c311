"""Many trial shapes of one tube at once: straights left between its bends, and stations of its axis."""

from __future__ import annotations

import numpy as np

from cagewright.shape.paths import SHARPEST
from cagewright.shape.types import Array


def legs_of(places: Array, radii: tuple[float, ...]) -> tuple[Array, Array, Array, Array]:
    """The legs of shapes (b, n, 3): lengths (b, n-1), ways (b, n-1, 3), turns, set-backs (b, n), mm, rad."""
    legs = np.diff(places, axis=1)
    size = np.sqrt(np.einsum("bnx,bnx->bn", legs, legs))
    way = legs / np.maximum(size, 1e-9)[..., None]
    turn = np.zeros(places.shape[:2])
    cosine = np.einsum("bnx,bnx->bn", way[:, 1:], way[:, :-1])
    turn[:, 1:-1] = np.arccos(np.clip(cosine, -1.0, 1.0))
    return size, way, turn, np.array(radii) * np.tan(np.minimum(turn, 3.0) / 2.0)


def rooms(places: Array, radii: tuple[float, ...]) -> Array:
    """(b, n-1) straights left between the bends at each two neighbours, mm; less than 0 where they overlap.

    Args:
        places: (b, n, 3) of b shapes, mm.
        radii: (n,) centreline radius at each place, mm; the first and last are not used.
    """
    size, _, _, back = legs_of(places, radii)
    return size - back[:, 1:] - back[:, :-1]


def stations(places: Array, radii: tuple[float, ...], shares: Array) -> Array:
    """(b, s, 3) places of each shape's axis at those shares (s,) of its length, mm.

    Where a shape cannot be bent (bends overlap or double back) they lie on the bare lines between its places.

    Args:
        places: (b, n, 3) of b shapes, mm.
        radii: (n,) centreline radius at each place, mm; the first and last are not used.
        shares: 0 at the start, 1 at the end.
    """
    size, way, turn, back = legs_of(places, radii)
    bad = (size.min(axis=1) < 1.0) | (turn.max(axis=1) > SHARPEST)
    bad |= (size - back[:, 1:] - back[:, :-1]).min(axis=1) < 0.0
    radius = np.where(bad[:, None], 0.0, np.array(radii))
    back = np.where(bad[:, None], 0.0, back)
    many, legs = size.shape
    runs = np.zeros((many, 2 * legs))  # straight, bend, straight, bend ... and no bend at the end
    runs[:, 0::2], runs[:, 1::2] = size - back[:, 1:] - back[:, :-1], radius[:, 1:] * turn[:, 1:]
    ends = np.cumsum(runs, axis=1)
    at = shares[None] * ends[:, -1:]
    piece = np.minimum((at[..., None] > ends[:, None, :-1]).sum(axis=2), 2 * legs - 2)
    row = np.arange(many)[:, None]
    past = at - np.where(piece > 0, ends[row, piece - 1], 0.0)
    leg = piece // 2
    along = way[row, leg]
    straight = places[row, leg] + (back[row, leg] + past)[..., None] * along
    bent = np.flatnonzero((piece % 2).ravel())
    if not len(bent):
        return straight
    out = straight.reshape(-1, 3)
    b, i = np.repeat(np.arange(many), len(shares))[bent], leg.ravel()[bent]
    one, two, angle, r = way[b, i], way[b, i + 1], turn[b, i + 1, None], radius[b, i + 1, None]
    across = (two - np.cos(angle) * one) / np.maximum(np.sin(angle), 1e-12)
    part = past.ravel()[bent, None] / np.maximum(r, 1e-9)
    start = places[b, i + 1] - back[b, i + 1, None] * one
    out[bent] = start + r * (np.sin(part) * one + (1.0 - np.cos(part)) * across)
    return out.reshape(straight.shape)
