"""What a tube follows and must not touch: measured body lines, or a scan's surface."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cagewright.base.vectors import dot, length
from cagewright.draft.tighten import Beside, Surroundings
from cagewright.shape.closest import Mask
from cagewright.shape.hug import ALONG, HUG_REACH
from cagewright.shape.mesh import Mesh, nearest
from cagewright.shape.shell import SKIN, BodyLine, LineKind, line_direction, nearest_on_line
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
        run = _along(points)
        for line in (*follow, *clear):
            on = nearest_on_line(line, points)
            last = len(line.points) - 1
            beside = (on.part > 1e-6) & (on.part < last - 1e-6) & (on.away < HUG_REACH)
            outside = beside & (on.inside < 0.0) if line.kind in SKIN else np.zeros(count, dtype=np.bool_)
            signed = np.where(outside, -on.away, on.away)
            nearer = signed < away
            away = np.where(nearer, signed, away)
            step = np.where(outside, -1.0, 1.0)[:, None] * (points - on.on)
            way = np.where(nearer[:, None], step / np.maximum(on.away, 1e-6)[:, None], way)
            if any(line is wanted for wanted in follow):
                follows |= _follows(line, run, beside, line_direction(line, on), on.away)
        high = points[:, 2] > skip
        return Beside(away=away, way=way, follows=follows & high, counts=(away < HUG_REACH) & high)

    return look


def beside_corner(line: BodyLine, skip: float) -> Surroundings:
    """A corner between two panels: the distance is that along its inward way, between the panels.

    The plain distance from the corner's line would let a tube turn round the line and into a panel.

    Args:
        line: the corner, with its inward ways.
        skip: points lower than this follow nothing and need not stay clear, mm (they stand on a foot).
    """

    def look(points: Array) -> Beside:
        on = nearest_on_line(line, points)
        share = np.clip(on.part, 0.0, len(line.points) - 1.0)
        which = np.minimum(share.astype(np.int64), len(line.points) - 2)
        mix = (share - which)[:, None]
        way = (1.0 - mix) * line.inward[which] + mix * line.inward[which + 1]
        way = way / length(way)[:, None]
        beside = (on.part > 1e-6) & (on.part < len(line.points) - 1.0 - 1e-6) & (points[:, 2] > skip)
        return Beside(away=dot(points - on.on, way), way=way, follows=beside, counts=beside)

    return look


def _follows(line: BodyLine, run: Array, beside: Mask, way: Array, away: Array) -> Mask:
    """Where the tube runs along the line, or the one place where it crosses it."""
    along = beside & (np.abs(dot(run, way)) > ALONG)
    if np.count_nonzero(along) < 2 and beside.any():
        along = np.zeros_like(beside)
        along[int(np.argmin(np.where(beside, away, np.inf)))] = True
    return along


def _along(points: Array) -> Array:
    steps = np.gradient(points, axis=0)
    return steps / np.maximum(length(steps), 1e-9)[:, None]


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


def line_of(name: str, kind: LineKind, points: Array, *, middle: float) -> BodyLine:
    """A body line made in code, its inward side toward the cabin's middle axis.

    Args:
        name: of the line.
        kind: what it is.
        points: (n, 3) mm in order.
        middle: height of the cabin's middle axis, mm.
    """
    toward = np.stack([np.zeros(len(points)), -points[:, 1], middle - points[:, 2]], axis=1)
    along = _along(points)
    toward = toward - dot(toward, along)[:, None] * along
    inward = toward / np.maximum(length(toward), 1e-9)[:, None]
    return BodyLine(name=name, kind=kind, points=points, inward=inward)


def ways_off(lines: Sequence[BodyLine], place: Array) -> Array:
    """Away from the nearest of the lines and along it, at one place (3,): two unit ways (2, 3)."""
    line = min(lines, key=lambda line: float(nearest_on_line(line, place[None]).away[0]))
    on = nearest_on_line(line, place[None])
    away = (place - on.on[0]) / max(float(on.away[0]), 1e-6)
    return np.stack([away, line_direction(line, on)[0]])
