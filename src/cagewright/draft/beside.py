"""What a tube follows and must not touch: measured body lines, or a scan's surface."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from cagewright.base.vectors import dot, length
from cagewright.draft.tighten import Beside, Surroundings
from cagewright.shape.body_offset import ALONG, OFFSET_REACH
from cagewright.shape.closest import Mask, closest_on_triangles
from cagewright.shape.cloud import Cloud, cloud_of
from cagewright.shape.mesh import Mesh, first_met, nearest, triangles
from cagewright.shape.shell import CORNERS, BodyLine, line_direction, nearest_on_line
from cagewright.shape.types import Array

FOLLOWS_WITHIN = 70.0
"""A tube follows the scan where its axis runs no further than this from it, mm."""

FINE = 5.0
"""Between the points that a search asks in place of a scan's triangles, mm."""
SOME = 3
"""Of these points so many are asked for each station."""
LOOKS_BACK = 80.0
"""How far into the cabin it is looked for metal between a tube and the middle, mm."""
LEADS = 50.0
"""A straight up from a foot whose axis begins further than this from the scan only leads to the body, mm."""
PROUD = 8.0
"""What stands further than this out of the body is a thing of its own, mm (ours)."""
SHORT = 220.0
"""Of a tube's length beside it; what is longer is the body's own shape, mm (ours)."""


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


Closest = Callable[[Array], tuple[Array, Array]]
"""How far (n,) each of the places (n, 3) is from a surface, and the nearest point (n, 3) of it, mm."""


def by_mesh(mesh: Mesh) -> Closest:
    """Exactly, from the triangles."""

    def closest(points: Array) -> tuple[Array, Array]:
        found = nearest(mesh, points)
        return found.away, found.on

    return closest


def by_samples(mesh: Mesh, near: Cloud) -> Closest:
    """From the triangles that the ``SOME`` nearest points of the thinned mesh lie on: for many trial moves.

    No distance comes out too small, and too large only where a nearer triangle holds none of those points.
    """

    def closest(points: Array) -> tuple[Array, Array]:
        which = np.asarray(near.tree.query(points, k=SOME)[1])
        each = np.repeat(points, SOME, axis=0)
        on = closest_on_triangles(each, triangles(mesh, near.faces[which.ravel()]))
        apart = length(on - each).reshape(which.shape)
        best = np.arange(len(points)), np.argmin(apart, axis=1)
        return apart[best], on.reshape(*which.shape, 3)[best]

    return closest


def cloud_beside(mesh: Mesh, points: Array, reach: float) -> Cloud | None:
    """What of the mesh a tube may come near, as points ``FINE`` mm apart; None where that is nothing.

    Args:
        mesh: the scan.
        points: (n, 3) along the tube, no further apart than ``reach``, mm.
        reach: how far a place of the tube may move, mm.
    """
    around = LOOKS_BACK + 2.0 * reach
    faces = [
        size.faces[list(set().union(*size.tree.query_ball_point(points, around + size.radius)))]
        for size in mesh.sizes
    ]
    chosen = np.concatenate(faces)
    return cloud_of(mesh, spacing=FINE, faces=chosen) if len(chosen) else None


def beside_mesh(
    mesh: Mesh, *, middle: float, skip: float, near: Cloud, reach: float = FOLLOWS_WITHIN,
    closest: Closest | None = None,
) -> Surroundings:  # fmt: skip
    """The scan beside each of a tube's stations, in order along it; what stands short and proud is passed by.

    Metal between a station and the place ``LOOKS_BACK`` mm from it toward the cabin's middle axis is what the
    station lies in or behind: its distance is then less than 0, back out the way it would have to come.

    Args:
        mesh: the scan.
        middle: height of the cabin's middle axis, mm.
        skip: points lower than this follow nothing and need not stay clear, mm (they stand on a foot).
        near: what of the scan the tube may come near.
        reach: the tube follows the scan no further than this from it, mm.
        closest: how its nearest points are found; from the triangles where not given.
    """
    closest, metal = closest or by_mesh(mesh), _metal_between(mesh, near)

    def look(points: Array) -> Beside:
        apart, on = closest(points)
        toward = np.stack([np.zeros(len(points)), -points[:, 1], middle - points[:, 2]], axis=1)
        toward = toward / np.maximum(length(toward), 1e-6)[:, None]
        back = metal(points, points + LOOKS_BACK * toward, apart)
        step = points - on
        sign = np.where((dot(step, toward) < 0.0) & (apart > LOOKS_BACK / 2.0), -1.0, 1.0)
        way = sign[:, None] * step / np.maximum(apart, 1e-6)[:, None]
        inside = np.isfinite(back)
        away = np.where(inside, -back, sign * apart)
        way = np.where(inside[:, None], toward, way)
        high = points[:, 2] > skip
        follows = (apart < reach) & high & ~proud_at(points, away) & ~_leading(points, away, high)
        return Beside(away=away, way=way, follows=follows, counts=high)

    return look


def _metal_between(mesh: Mesh, near: Cloud) -> Callable[[Array, Array, Array], Array]:
    """How far (n,) from each point the metal lies that is met first from its inner place, mm; inf without.

    Metal on that line is within both ends' own distances of it: where these two reach past each other the
    triangles need not be asked. And no distance grows by more than its place has moved since it was taken.
    """
    spare = 2.0 * np.sqrt(3.0) * near.spacing  # a sample stands in each cube that the surface passes
    known: list[tuple[Array, Array]] = []

    def metal(points: Array, inner: Array, apart: Array) -> Array:
        if not known or known[0][0].shape != inner.shape:
            known[:] = [(inner, near.tree.query(inner, distance_upper_bound=2.0 * LOOKS_BACK)[0])]
        place, free = known[0]
        short = np.flatnonzero(apart + free - length(inner - place) < LOOKS_BACK + spare)
        other = near.tree.query(inner[short], distance_upper_bound=LOOKS_BACK + spare)[0]
        rows = short[apart[short] + other < LOOKS_BACK + spare]
        met, back = first_met(mesh, inner[rows], points[rows]), np.full(len(points), np.inf)
        back[rows] = np.where(np.isfinite(met), LOOKS_BACK - met, np.inf)
        return back

    return metal


def remembered(body: Surroundings) -> Surroundings:
    """The same body, which does not look again for a shape that it was asked about before."""
    known: dict[bytes, Beside] = {}

    def look(points: Array) -> Beside:
        key = points.tobytes()
        if key not in known:
            known[key] = body(points)
        return known[key]

    return look


def proud_at(points: Array, away: Array) -> Mask:
    """Which stations (n, 3), in order along a tube, pass something short that stands proud of the body there.

    Distances (n,) that dip by more than ``PROUD`` mm over less than ``SHORT`` mm of the tube: what is longer
    is the body itself (a door post's step), which a tube follows.
    """
    if len(points) < 5:
        return np.zeros(len(points), dtype=np.bool_)
    spacing = float(np.median(length(np.diff(points, axis=0))))
    width = 2 * max(1, round(SHORT / max(spacing, 1e-6) / 2.0)) + 1
    filled = ndimage.minimum_filter1d(ndimage.maximum_filter1d(away, width), width)
    return filled - away > PROUD


def _leading(points: Array, away: Array, high: Mask) -> Mask:
    """Which stations (n, 3), in order along a tube, only lead from a foot to the body.

    The foot stays where it is, so that no bend brings all of such a straight to its gap; nor the bend at its
    end before it is past the turn.
    """
    leading: Mask = np.zeros(len(points), dtype=np.bool_)
    for order in (slice(None), slice(None, None, -1)):
        way = np.diff(points[order], axis=0)
        way = way / np.maximum(length(way), 1e-9)[:, None]
        same = dot(way[1:], way[:-1]) > 1.0 - 1e-6
        straight = 2 + int(np.argmin(np.r_[same, False]))
        low = int(np.argmax(high[order]))
        if low == 0 or low >= straight or float(away[order][low]) <= LEADS:
            continue
        bent = int(np.argmax(np.r_[same[straight - 1 :], True]))
        falls = np.r_[np.diff(away[order][straight - 1 : straight + bent]) < 0.0, False]
        leading[order][: straight + int(np.argmin(falls))] = True
    return leading


@dataclass(frozen=True, slots=True, kw_only=True)
class Passed:
    """Something short that stands proud of the body beside a tube.

    Attributes:
        at: (3,) the place of it that is nearest to the tube, mm.
        gap: between it and the tube, mm; less than 0 where they share space.
        beside: between the tube and the body just before or after it, the less of the two, mm.
    """

    at: Array
    gap: float
    beside: float


def passed(points: Array, seen: Beside, radius: float, mesh: Mesh) -> tuple[Passed, ...]:
    """What a tube through stations (n, 3), in order along it, passes that stands proud of the mesh."""
    proud = proud_at(points, seen.away) & seen.counts
    edges = np.flatnonzero(np.diff(np.r_[False, proud, False].astype(np.int8))).reshape(-1, 2)
    found: list[Passed] = []
    for first, stop in edges.tolist():
        i = first + int(np.argmin(seen.away[first:stop]))
        sides = [seen.away[max(first - 5, 0) : first], seen.away[stop : stop + 5]]
        beside = min((float(np.median(side)) for side in sides if len(side)), default=float(seen.away[i]))
        at = nearest(mesh, points[[i]]).on[0]
        found.append(Passed(at=at, gap=float(seen.away[i]) - radius, beside=beside - radius))
    return tuple(found)


def ways_off(lines: Sequence[BodyLine], place: Array) -> Array:
    """Away from the nearest of the lines and along it, at one place (3,): two unit ways (2, 3)."""
    line = min(lines, key=lambda line: float(nearest_on_line(line, place[None]).away[0]))
    on = nearest_on_line(line, place[None])
    away = (place - on.on[0]) / max(float(on.away[0]), 1e-6)
    return np.stack([away, line_direction(line, on)[0]])
