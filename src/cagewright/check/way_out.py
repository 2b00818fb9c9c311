"""How large a window a door's opening leaves beside the tubes, and whether a person's stand-in passes it.

The stand-in is the ellipsoid of 49 CFR 571.217 S5.4.1, made for the exits of buses: an ellipse of 20 by 13 in
turned about its shorter axis (as the agency's letters of 1977 and 1984 quote it, read). It goes straight out
sideways, turned any way about that direction. For comparison only: a driver in a helmet bends, and the wings
of his seat and a net stand in the way.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.spatial import KDTree

from cagewright.check.attitude import SideName, densely
from cagewright.check.measures.door import inside, lines_called
from cagewright.shape.mesh import Whole
from cagewright.shape.types import Cage, Line3

Flat = NDArray[np.float64]  # (n, 2) back and up, mm
LONG, SHORT = 0.5 * 20.0 * 25.4, 0.5 * 13.0 * 25.4
"""Half axes of the ellipse, mm."""
CELL = 5.0
"""The opening is looked at in squares of this size, mm."""
BLOCK = 25.0
"""Squares are first looked at by one of each block of this size, mm."""
TURNS = 12
"""Ways round that are all tried, evenly over half a turn."""
FINE = 6
"""Ways round between two of those, where the largest may lie."""
OUTBOARD = 0.5
"""Tubes further out than this share of the opening's distance from the middle stand in the way."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WayOut:
    """What is left of one door's opening.

    Attributes:
        side: left or right.
        opening: name of the body line.
        window: area of the largest window left, mm2.
        window_doubt: how far that may be out either way, by half of the squares along its edge, mm2.
        share: largest size of the stand-in that passes, 1 its own.
        doubt: how far that may be out either way, for the squares and for the ways round between those tried.
    """

    side: SideName
    opening: str
    window: float
    window_doubt: float
    share: float
    doubt: float


def ways_out(cage: Cage) -> tuple[WayOut, ...]:
    """What each measured opening of a door leaves, its last point joined to its first; none for no line."""
    sides: tuple[SideName, ...] = ("left", "right")
    return tuple(
        way_out(cage, line, side) for side in sides for line in lines_called(cage, "door opening", side)[:1]
    )


def way_out(cage: Cage, line: Line3, side: SideName) -> WayOut:
    """What that opening leaves, seen from the side."""
    edge = line.points[:, [0, 2]]
    tubes = _tubes(cage, line)
    low, high = edge.min(axis=0) - CELL, edge.max(axis=0) + CELL
    x, z = (np.arange(low[i], high[i] + CELL, CELL) for i in (0, 1))
    cells = np.stack(np.meshgrid(x, z, indexing="ij"), axis=-1)
    free = inside(cells.reshape(-1, 2), edge).reshape(cells.shape[:2])
    for radius, paths in tubes.items():
        near, _ = KDTree(np.concatenate(paths)).query(cells[free], distance_upper_bound=radius)
        free[free] = ~np.isfinite(near)
    parts, many = ndimage.label(free)
    counts = np.bincount(parts.ravel(), minlength=many + 1)[1:]
    window = (parts == np.argmax(counts) + 1) if many else np.zeros_like(free)
    inner = np.asarray(ndimage.binary_erosion(window), dtype=np.bool_)
    share = largest(cells[free], cells[begins(free)])
    turned = 1.0 / least_turned(0.5 * math.pi / (TURNS * FINE)) - 1.0
    return WayOut(
        side=side, opening=line.name, window=float(window.sum()) * CELL**2,
        window_doubt=0.5 * float((window & ~inner).sum()) * CELL**2,
        share=share, doubt=CELL / SHORT + share * turned,
    )  # fmt: skip


def _tubes(cage: Cage, line: Line3) -> dict[float, list[Flat]]:
    """The tubes' axes that stand outboard before the opening, seen from the side, by their radii."""
    away, found = float(line.points[:, 1].mean()), dict[float, list[Flat]]()
    for member in cage.members:
        points = densely(member.path, CELL)
        beside = points[points[:, 1] * math.copysign(1.0, away) > OUTBOARD * abs(away)]
        if len(beside):
            found.setdefault(member.tube.radius, []).append(beside[:, [0, 2]])
    return found


def begins(free: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """What is taken right beside what is free: no square further in lies nearer to it."""
    return np.asarray(ndimage.binary_dilation(free, np.ones((3, 3))), dtype=np.bool_) & ~free


def least_turned(angle: float) -> float:
    """The largest size of the ellipse that lies inside its own, turned in there by so many rad.

    One over the largest stretch (singular value) of that turn, measured along the axes in units of them.
    """
    c, s = math.cos(angle), math.sin(angle)
    return 1.0 / float(np.linalg.norm([[c, -s * SHORT / LONG], [s * LONG / SHORT, c]], ord=2))


def largest(free: Flat, taken: Flat) -> float:
    """The largest size at which the ellipse fits among what is taken, its middle on a free point; 0: none."""
    if not len(free) or not len(taken):
        return 0.0
    _, first, block = np.unique(np.floor(free / BLOCK), axis=0, return_index=True, return_inverse=True)
    step, fitting = math.pi / TURNS, partial(_fitting, free, taken, first, block.ravel())
    tried = [fitting(i * step) for i in range(TURNS)]
    best = max(tried)
    for i, one in enumerate(tried):
        for part in range(1, FINE):
            gone = step * part / FINE
            # so far turned from either of the two it is no larger than this
            most = min(one / least_turned(gone), tried[(i + 1) % TURNS] / least_turned(step - gone))
            if most > best:
                best = fitting(i * step + gone, least=best)
    return best


def _fitting(
    free: Flat, taken: Flat, first: Whole, block: Whole, angle: float, *, least: float = 0.0
) -> float:
    """The largest size of the ellipse that far turned, where it is more than ``least``.

    Measured along its axes in units of them, the nearest point that is taken lies on the largest that fits.

    Args:
        free: points (n, 2) that its middle may lie on, mm.
        taken: points (m, 2), mm.
        first: one free point of each block.
        block: (n,) each free point's.
        angle: it is turned by, rad.
        least: sizes up to this need not be told.
    """
    c, s = math.cos(angle), math.sin(angle)
    own = np.array([[c / LONG, -s / SHORT], [s / LONG, c / SHORT]])
    tree, at = KDTree(taken @ own), free @ own
    near, _ = tree.query(at[first])
    best = max(least, float(near.max()))
    # from a point to the next it grows by no more than the way between them
    most = near[block] + np.linalg.norm(at - at[first][block], axis=1)
    further, _ = tree.query(at[most > best])
    return max(best, float(further.max(initial=0.0)))
