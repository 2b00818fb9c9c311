"""What a tube follows and must not touch: measured body lines, or a scan's surface."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cagewright.base.vectors import dot, length
from cagewright.draft.tighten import Beside, Surroundings
from cagewright.shape.body_offset import ALONG, OFFSET_REACH
from cagewright.shape.closest import Mask
from cagewright.shape.mesh import Mesh, nearest
from cagewright.shape.shell import CORNERS, BodyLine, line_direction, nearest_on_line
from cagewright.shape.types import Array

FOLLOWS_WITHIN = 70.0
"""A tube follows the scan where its axis runs no further than this from it, mm."""

FAR = 150.0
"""The scan is not looked for further than this from a tube's axis, mm."""


def beside_lines(follow: Sequence[BodyLine], clear: Sequence[BodyLine], skip: float) -> Surroundings:
    """The nearest of the lines beside each point.

    Args:
        follow: lines that the tube is laid along.
        clear: lines that it must only not touch.
        skip: points lower than this follow nothing and need not stay clear, mm (they stand on a foot).
    """

    def look(points: Array) -> Beside:
        count = len(points)
        away, way = np.full(count, 1e4), np.tile([0.0, 0.0, 1.0], (count, 1))
        follows: Mask = np.zeros(count, dtype=np.bool_)
        run = np.gradient(points, axis=0)
        run = run / np.maximum(length(run), 1e-9)[:, None]
        for line in (*follow, *clear):
            on = nearest_on_line(line, points)
            near = on.beside & (on.away < OFFSET_REACH)
            # beside a corner the plain distance would let a tube turn round the line and into a panel
            along: Mask = np.zeros(count, dtype=np.bool_)
            if any(line is wanted for wanted in follow):
                along = near & (np.abs(dot(run, line_direction(line, on))) > ALONG)
                nearest_one = np.arange(count) == int(np.argmin(np.where(near, on.away, np.inf)))
                follows |= along if np.count_nonzero(along) > 1 else near & nearest_one  # it only crosses
            corner = along & (line.kind in CORNERS)
            sign = np.where(near & on.through, -1.0, 1.0)
            signed = np.where(corner, on.inside, sign * on.away)
            nearer = signed < away
            away = np.where(nearer, signed, away)
            plain = (sign / np.maximum(on.away, 1e-6))[:, None] * (points - on.on)
            way = np.where(nearer[:, None], np.where(corner[:, None], on.inward, plain), way)
        high = points[:, 2] > skip
        return Beside(away=away, way=way, follows=follows & high, counts=(away < OFFSET_REACH) & high)

    return look


def beside_mesh(mesh: Mesh, *, middle: float, skip: float, reach: float = FOLLOWS_WITHIN) -> Surroundings:
    """The scan beside each point; the cabin's side of it is the side of its middle axis.

    Args:
        mesh: the scan.
        middle: height of the cabin's middle axis, mm.
        skip: points lower than this follow nothing and need not stay clear, mm (they stand on a foot).
        reach: the tube follows the scan no further than this from it, mm.
    """

    def look(points: Array) -> Beside:
        found = nearest(mesh, points)
        across, up = -found.on[:, 1], middle - found.on[:, 2]
        toward = np.stack([np.zeros(len(points)), across, up], axis=1)  # from the body to the cabin's middle
        step = points - found.on
        sign = np.where(dot(step, toward) < 0.0, -1.0, 1.0)
        way = sign[:, None] * step / np.maximum(found.away, 1e-6)[:, None]
        high = points[:, 2] > skip
        return Beside(away=sign * found.away, way=way, follows=(found.away < reach) & high, counts=high)

    return look


def ways_off(lines: Sequence[BodyLine], place: Array) -> Array:
    """Away from the nearest of the lines and along it, at one place (3,): two unit ways (2, 3)."""
    line = min(lines, key=lambda line: float(nearest_on_line(line, place[None]).away[0]))
    on = nearest_on_line(line, place[None])
    away = (place - on.on[0]) / max(float(on.away[0]), 1e-6)
    return np.stack([away, line_direction(line, on)[0]])
