"""How near each tube comes to the scan, all tubes in one pass: exact where it matters, bounded elsewhere."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.base.vectors import Vector, length
from cagewright.shape.clearance import (
    STEP,
    Gap,
    Stations,
    chords,
    cuts_of,
    line_gaps,
    nearest_panel,
    on_outside,
    stations_of,
    with_deepest,
)
from cagewright.shape.closest import Mask
from cagewright.shape.mesh import Mesh, Whole, bounds, crossings, nearest, segment_gaps
from cagewright.shape.shell import Shell
from cagewright.shape.types import Array, Cage, Member

FOOT_RUN = 250.0
"""Within this of a foot, a gap that only grows as the tube leaves its plate is not counted, mm."""


def clearances(cage: Cage, shell: Shell) -> tuple[Gap, ...]:
    """Each member's gap to the scan where there is one, which knows the metal; else to the nearest lines."""
    return line_gaps(cage, shell) if shell.scan is None else scan_gaps(cage, shell)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rows:
    """The counted stations of every member, one after another.

    Attributes:
        member: (n,) which member each belongs to.
        along: (n,) mm from the member's start.
        points: (n, 3) mm.
        radius: (n,) of the member's tube, mm.
    """

    member: Whole
    along: Array
    points: Array
    radius: Array


def scan_gaps(cage: Cage, shell: Shell) -> tuple[Gap, ...]:
    """Each member's gap to the scan, in the members' order; nothing where there is no scan."""
    if shell.scan is None or not cage.members:
        return ()
    mesh = shell.scan.mesh
    rows = _counted(mesh, cage)
    away, through = _distances(mesh, rows, signed=shell.scan.signed)
    nearest_places = _least(mesh, cage, rows, away)
    depth = np.where(through, rows.radius + away, rows.radius - away)
    return tuple(
        _gap(member, i, rows, depth, nearest_places[i], shell) for i, member in enumerate(cage.members)
    )


def _counted(mesh: Mesh, cage: Cage) -> _Rows:
    """Every member's stations but those that only leave a foot."""
    feet = {foot.name: foot for foot in cage.feet}
    places = [_past_feet(mesh, member, stations_of(member, feet)) for member in cage.members]
    counts = [len(place.along) for place in places]
    return _Rows(
        member=np.repeat(np.arange(len(places)), counts),
        along=np.concatenate([place.along for place in places]),
        points=np.concatenate([place.points for place in places]),
        radius=np.repeat([member.tube.radius for member in cage.members], counts),
    )


def _past_feet(mesh: Mesh, member: Member, place: Stations) -> Stations:
    """The stations past the stretch next to each foot over which the gap only grows."""
    first, last = 0, len(place.along)
    if member.ends[0].foot is not None:
        first = _rise(mesh, place.along - place.along[0], place.points)
    if member.ends[1].foot is not None:
        last -= _rise(mesh, place.along[-1] - place.along[::-1], place.points[::-1])
    if last - first < 2:
        return place
    return Stations(along=place.along[first:last], points=place.points[first:last])


def _rise(mesh: Mesh, along: Array, points: Array) -> int:
    """How many stations from the foot the gap only grows, within ``FOOT_RUN``."""
    count = min(int(np.searchsorted(along, FOOT_RUN)) + 1, len(along))
    away = nearest(mesh, points[:count]).away
    falls = np.flatnonzero(away[1:] <= away[:-1] + 1e-6)
    return int(falls[0]) if len(falls) else count - 1


def _distances(mesh: Mesh, rows: _Rows, *, signed: bool) -> tuple[Array, Mask]:
    """Each station's distance (n,), mm, and whether its axis lies through the surface.

    Exact where the tube may cut in and at each member's nearest stations; elsewhere no more than it is.
    """
    low, high = bounds(mesh, rows.points)
    best = np.full(int(rows.member.max()) + 1, np.inf)
    np.minimum.at(best, rows.member, high)
    away, exact = low.copy(), np.zeros(len(low), dtype=np.bool_)
    _make_exact(mesh, rows, away, exact, (low < rows.radius) | (low <= best[rows.member] + STEP))
    through = _through(mesh, rows, away) if signed else np.zeros(len(away), dtype=np.bool_)
    _make_exact(mesh, rows, away, exact, through)
    return away, through


def _make_exact(mesh: Mesh, rows: _Rows, away: Array, exact: Mask, wanted: Mask) -> None:
    wanted = wanted & ~exact
    away[wanted] = nearest(mesh, rows.points[wanted]).away
    exact |= wanted


def _through(mesh: Mesh, rows: _Rows, away: Array) -> Mask:
    """Whether the axis lies on the far side of the surface at each station; nowhere of a cloud of points.

    A scan may be open and so have no inside: where the axis itself passes through the surface, the longer
    part of the member is taken to be on the cabin's side.
    """
    flips = np.zeros(len(away), dtype=np.int64)
    pairs = np.flatnonzero((np.diff(rows.member) == 0) & (away[:-1] + away[1:] <= STEP + 1e-6))
    flips[pairs + 1] = crossings(mesh, rows.points[pairs], rows.points[pairs + 1])
    side = np.cumsum(flips) % 2
    through = np.zeros(len(away), dtype=np.bool_)
    for i in np.unique(rows.member[flips > 0]):
        own = np.flatnonzero(rows.member == i)
        through[own] = side[own] != int(np.bincount(side[own], minlength=2).argmax())
    return through


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """Where a member is nearest: mm along it, the points (3,) on its axis and on the mesh."""

    along: float
    on_axis: Vector
    on_mesh: Vector


def _least(mesh: Mesh, cage: Cage, rows: _Rows, away: Array) -> list[_Place]:
    """Where each member is nearest to the mesh, between the stations too."""
    members = np.arange(len(cage.members))
    order = np.lexsort((away, rows.member))
    first = order[np.searchsorted(rows.member[order], members)]
    on = nearest(mesh, rows.points[first]).on
    best = length(on - rows.points[first])
    places = [
        _Place(along=float(rows.along[f]), on_axis=rows.points[f], on_mesh=on[i]) for i, f in enumerate(first)
    ]
    owner, along, a, b = _close_chords(cage, rows, away, best)
    found = segment_gaps(mesh, a, b, within=best[owner])
    for k in np.argsort(found.away):
        i = int(owner[k])
        if found.away[k] < best[i]:
            best[i] = found.away[k]
            s = along[k] + float(length(found.on_segment[k] - a[k]))
            places[i] = _Place(along=float(s), on_axis=found.on_segment[k], on_mesh=found.on_mesh[k])
    return places


def _close_chords(cage: Cage, rows: _Rows, away: Array, best: Array) -> tuple[Whole, Array, Array, Array]:
    """(member, mm along, start, stop) of every chord between two stations that may hold the nearest place."""
    step = np.diff(rows.along)
    floor = (away[:-1] + away[1:] - step) / 2.0
    may = np.r_[(np.diff(rows.member) == 0) & (floor < best[rows.member[:-1]]), False]
    none = (np.zeros(0, dtype=np.int64), np.zeros(0), np.zeros((0, 3)), np.zeros((0, 3)))
    parts = [none]
    for i in np.unique(rows.member[may]):
        own = np.flatnonzero(rows.member == i)
        s, points = chords(cage.members[i].path, rows.along[own])
        middle = (s[:-1] + s[1:]) / 2.0
        kept = may[own][np.searchsorted(rows.along[own], middle) - 1]
        parts.append((np.full(int(kept.sum()), i), s[:-1][kept], points[:-1][kept], points[1:][kept]))
    owner, along, a, b = (np.concatenate(column) for column in zip(*parts, strict=True))
    return owner, along, a, b


def _gap(member: Member, i: int, rows: _Rows, depth: Array, place: _Place, shell: Shell) -> Gap:
    assert shell.scan is not None
    own, radius = rows.member == i, member.tube.radius
    distance = float(length(place.on_axis - place.on_mesh))
    cuts = cuts_of(member.path, rows.along[own], depth[own])
    cuts = with_deepest(cuts, place.along, place.on_axis, radius - distance)
    axis_point, body_point, along = place.on_axis, place.on_mesh, place.along
    if cuts:
        deepest = max(cuts, key=lambda cut: cut.depth)
        axis_point, along = deepest.at, deepest.along
        body_point = nearest(shell.scan.mesh, axis_point[None]).on[0]
    return Gap(
        member=member.name,
        to=shell.scan.name,
        gap=0.0 if cuts else max(distance - radius, 0.0),
        along=along,
        on_tube=on_outside(axis_point, body_point, radius),
        on_body=body_point,
        cuts=cuts,
        panel=nearest_panel(shell, body_point),
    )
