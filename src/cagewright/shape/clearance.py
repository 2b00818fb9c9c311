"""How near each tube comes to the body: the least gap and where, and where it cuts in.

A tube is the sweep of its outside circle along its centre line. A gap is from the tube's outside; it is never
below zero: where the tube and the body would share space, the answer is a ``Cut`` instead.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cagewright.base.curves import Chain, point_at, sample
from cagewright.base.vectors import Vector, length
from cagewright.shape.closest import closest_between_segments
from cagewright.shape.mesh import Mesh, bounds, crossings, nearest, segment_gap
from cagewright.shape.shell import SKIN, BodyLine, OnLine, Shell, nearest_on_line
from cagewright.shape.types import Array, Cage, Foot, Member

SAGITTA = 0.004
"""How far a chord may lie inside a bend, mm: gaps are good to 0.01 mm."""
STEP = 10.0
"""Spacing of the stations along a tube, mm."""
NEAR = 150.0
"""Body further than this from a centre line is not looked at station by station, mm."""
BEYOND = 80.0
"""A tube standing further than this behind a body line is taken to pass it elsewhere, mm."""
FOOT_RUN = 250.0
"""Within this of a foot, a gap that only grows as the tube leaves its plate is not counted, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Where a tube and the body would share space, so that the body must be trimmed or dressed.

    Attributes:
        start: where the cut begins, mm along the member.
        stop: where it ends, mm.
        depth: how far the tube reaches into or through the body at the deepest, mm.
        along: where that is, mm along the member.
        at: (3,) on the centre line there.
    """

    start: float
    stop: float
    depth: float
    along: float
    at: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """How near one member comes to one piece of the body.

    Attributes:
        member: its name.
        to: the body line's name, or the scan's.
        gap: least distance from the tube's outside, mm, never below 0; 0 where it cuts in.
        along: where on the member, mm from its start.
        on_tube: (3,) the point of the tube's outside, mm.
        on_body: (3,) the point of the body, mm.
        cuts: where the tube cuts in, in order along the member; empty where it is clear.
        panel: the body line nearest to the place.
    """

    member: str
    to: str
    gap: float
    along: float
    on_tube: Vector
    on_body: Vector
    cuts: tuple[Cut, ...]
    panel: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stations:
    """Places along a member that are counted: ``along`` (n,) mm from its start and ``points`` (n, 3) mm."""

    along: Array
    points: Array


def clearances(cage: Cage, shell: Shell) -> tuple[Gap, ...]:
    """Each member's gap to the nearest body lines and to the scan, in the members' order.

    Of the lines every one cut into is given, else the nearest one.
    """
    gaps: list[Gap] = []
    feet = {foot.name: foot for foot in cage.feet}
    for member in cage.members:
        gaps += _line_gaps(member, feet, shell)
    return tuple(gaps) + scan_gaps(cage, shell)


def _line_gaps(member: Member, feet: dict[str, Foot], shell: Shell) -> list[Gap]:
    stations = stations_of(member, feet)
    found = [_line_gap(member, stations, line) for line in shell.lines]
    found = [gap for gap in found if gap is not None]
    cut = [gap for gap in found if gap.cuts]
    return cut or sorted(found, key=lambda gap: gap.gap)[:1]


def stations_of(member: Member, feet: dict[str, Foot]) -> Stations:
    """Even places along the member, leaving out what stands within half a plate of its feet."""
    total = member.path.length
    along = np.linspace(0.0, total, max(2, int(np.ceil(total / STEP)) + 1))
    first, last = (_foot_size(member, i, feet) for i in (0, 1))
    kept = along[(along >= first) & (along <= total - last)]
    along = kept if len(kept) > 1 else along
    return Stations(along=along, points=np.array([point_at(member.path, float(s)) for s in along]))


def _foot_size(member: Member, end: int, feet: dict[str, Foot]) -> float:
    foot = member.ends[end].foot
    return 0.0 if foot is None else max(feet[foot].plate[:2]) / 2.0 + member.tube.od / 2.0


def _line_gap(member: Member, stations: Stations, line: BodyLine) -> Gap | None:
    radius = member.tube.od / 2.0
    on = nearest_on_line(line, stations.points)
    depth = _line_depth(line, on, radius)
    cuts = _cuts(member.path, stations.along, depth)
    along, axis_point, body_point = _least_to_line(member, stations, line)
    away = float(length(axis_point - body_point))
    cuts = _with_deepest(cuts, along, axis_point, radius - away)
    if cuts:
        deepest = max(cuts, key=lambda cut: cut.depth)
        axis_point = deepest.at
        body_point, along = nearest_on_line(line, axis_point[None]).on[0], deepest.along
    return Gap(
        member=member.name,
        to=line.name,
        gap=0.0 if cuts else max(away - radius, 0.0),
        along=along,
        on_tube=_on_outside(axis_point, body_point, radius),
        on_body=body_point,
        cuts=cuts,
        panel=line.name,
    )


def _on_outside(axis_point: Vector, body_point: Vector, radius: float) -> Vector:
    toward = body_point - axis_point
    return axis_point + radius * toward / max(float(length(toward)), 1e-9)


def _line_depth(line: BodyLine, on: OnLine, radius: float) -> Array:
    """How deep the tube is in or through the line's bodywork at each station, mm; below 0 where clear."""
    depth = radius - on.away
    if line.kind in SKIN:
        last = len(line.points) - 1
        beside = (on.part > 1e-6) & (on.part < last - 1e-6) & (on.away < BEYOND)
        through = beside & (on.inside < 0.0)
        depth = np.where(through, radius + on.away, depth)
    return depth


def _cuts(path: Chain, along: Array, depth: Array) -> tuple[Cut, ...]:
    """Each stretch over which the depth is above 0, its ends found between the stations."""
    inside = depth > 0.0
    edges = np.flatnonzero(np.diff(np.r_[False, inside, False].astype(np.int8)))
    cuts: list[Cut] = []
    for first, stop in edges.reshape(-1, 2):
        i = first + int(np.argmax(depth[first:stop]))
        cuts.append(
            Cut(
                start=_zero(along, depth, first - 1, first),
                stop=_zero(along, depth, stop - 1, stop),
                depth=float(depth[i]),
                along=float(along[i]),
                at=point_at(path, float(along[i])),
            )
        )
    return tuple(cuts)


def _with_deepest(cuts: tuple[Cut, ...], along: float, at: Vector, depth: float) -> tuple[Cut, ...]:
    """The cuts with the exactly found nearest place, which may lie between the stations."""
    if depth <= 0.0:
        return cuts
    host = next((c for c in cuts if c.start - STEP <= along <= c.stop + STEP), None)
    if host is None:
        lone = Cut(start=along, stop=along, depth=depth, along=along, at=at)
        return tuple(sorted((*cuts, lone), key=lambda cut: cut.start))
    if depth <= host.depth:
        return cuts
    deeper = replace(
        host, start=min(host.start, along), stop=max(host.stop, along), depth=depth, along=along, at=at
    )
    return tuple(deeper if cut is host else cut for cut in cuts)


def _zero(along: Array, depth: Array, i: int, j: int) -> float:
    """Where between stations i and j the depth passes 0; the outermost station at an end."""
    if i < 0:
        return float(along[j])
    if j >= len(along):
        return float(along[i])
    share = depth[i] / (depth[i] - depth[j])
    return float(along[i] + np.clip(share, 0.0, 1.0) * (along[j] - along[i]))


def _least_to_line(member: Member, stations: Stations, line: BodyLine) -> tuple[float, Vector, Vector]:
    """(mm along, point on the axis, point on the line) where they are nearest."""
    along, points = chords(member, float(stations.along[0]), float(stations.along[-1]))
    n, m = len(points) - 1, len(line.points) - 1
    a, b = (np.repeat(p, m, axis=0) for p in (points[:-1], points[1:]))
    c, d = (np.tile(p, (n, 1)) for p in (line.points[:-1], line.points[1:]))
    one, two = closest_between_segments(a, b, c, d)
    i = int(np.argmin(length(one - two)))
    start = along[i // m]
    return float(start + length(one[i] - points[i // m])), one[i], two[i]


def chords(member: Member, first: float, last: float) -> tuple[Array, Array]:
    """The axis between two distances along it as chords: (n,) mm along and the points (n, 3)."""
    points = sample(member.path, sagitta=SAGITTA)
    run = np.r_[0.0, np.cumsum(length(np.diff(points, axis=0)))]
    run *= member.path.length / run[-1]
    within = (run > first) & (run < last)
    along = np.r_[first, run[within], last]
    ends = [point_at(member.path, s) for s in (first, last)]
    return along, np.concatenate([ends[:1], points[within], ends[1:]])


def scan_gaps(cage: Cage, shell: Shell) -> tuple[Gap, ...]:
    """Each member's gap to the scan; nothing where there is no scan."""
    if shell.scan is None:
        return ()
    mesh, feet = shell.scan.mesh, {foot.name: foot for foot in cage.feet}
    stations = [stations_of(member, feet) for member in cage.members]
    away = _station_distances(mesh, stations)
    return tuple(
        _scan_gap(member, feet, place, distance, shell)
        for member, place, distance in zip(cage.members, stations, away, strict=True)
    )


def _station_distances(mesh: Mesh, stations: list[Stations]) -> list[Array]:
    """Each station's distance from the mesh, mm: exact within ``NEAR`` and at each member's nearest."""
    points = np.concatenate([place.points for place in stations])
    ends = np.cumsum([len(place.along) for place in stations])[:-1]
    low, high = bounds(mesh, points)
    wanted = low < NEAR
    for rows in np.split(np.arange(len(points)), ends):
        wanted[rows] |= low[rows] <= high[rows].min()
    away = np.full(len(points), np.inf)
    away[wanted] = nearest(mesh, points[wanted]).away
    return np.split(away, ends)


def _scan_gap(member: Member, feet: dict[str, Foot], place: Stations, away: Array, shell: Shell) -> Gap:
    assert shell.scan is not None
    mesh, radius = shell.scan.mesh, member.tube.od / 2.0
    counted = _past_feet(member, place.along, away)
    place, away = Stations(along=place.along[counted], points=place.points[counted]), away[counted]
    if not np.isfinite(away).any():
        away = nearest(mesh, place.points).away
    depth = _scan_depth(mesh, place, away, radius)
    cuts = _cuts(member.path, place.along, depth)
    along, axis_point, body_point = _least_to_mesh(member, place, away, mesh)
    distance = float(length(axis_point - body_point))
    cuts = _with_deepest(cuts, along, axis_point, radius - distance)
    if cuts:
        deepest = max(cuts, key=lambda cut: cut.depth)
        axis_point, along = deepest.at, deepest.along
        body_point = nearest(mesh, axis_point[None]).on[0]
    return Gap(
        member=member.name,
        to=shell.scan.name,
        gap=0.0 if cuts else max(distance - radius, 0.0),
        along=along,
        on_tube=_on_outside(axis_point, body_point, radius),
        on_body=body_point,
        cuts=cuts,
        panel=nearest_panel(shell, body_point),
    )


def _past_feet(member: Member, along: Array, away: Array) -> slice:
    """The stations past the stretch next to each foot over which the gap only grows."""
    first, last = 0, len(along)
    if member.ends[0].foot is not None:
        first = _rise(along, away)
    if member.ends[1].foot is not None:
        last -= _rise(along[-1] - along[::-1], away[::-1])
    return slice(first, last) if last - first > 1 else slice(0, len(along))


def _rise(along: Array, away: Array) -> int:
    falls = np.flatnonzero((away[1:] <= away[:-1] + 1e-6) & np.isfinite(away[1:]))
    stop = int(falls[0]) if len(falls) else len(along) - 1
    return min(stop, int(np.searchsorted(along, FOOT_RUN)))


def _scan_depth(mesh: Mesh, place: Stations, away: Array, radius: float) -> Array:
    """How deep the tube is in the scan at each station, mm; below 0 where it is clear.

    A scan may be open and so have no inside: where the axis itself passes through the surface, the longer
    part of the member is taken to be on the cabin's side.
    """
    side, flips = np.zeros(len(away), dtype=np.int64), 0
    for i in range(1, len(away)):
        if away[i - 1] + away[i] <= 2.0 * STEP + 1e-6:
            flips += len(crossings(mesh, place.points[i - 1], place.points[i]))
        side[i] = flips % 2
    through = side != int(np.bincount(side, minlength=2).argmax())
    return np.where(through, radius + away, radius - away)


def _least_to_mesh(member: Member, place: Stations, away: Array, mesh: Mesh) -> tuple[float, Vector, Vector]:
    """(mm along, point on the axis, point on the mesh) where they are nearest."""
    i = int(np.argmin(away))
    on = nearest(mesh, place.points[i : i + 1]).on[0]
    best = (float(place.along[i]), place.points[i], on, float(away[i]))
    steps = np.diff(place.along)
    floor = (away[:-1] + away[1:] - steps) / 2.0
    for j in np.argsort(floor):
        if floor[j] >= best[3]:
            break
        along, points = chords(member, float(place.along[j]), float(place.along[j + 1]))
        for k in range(len(points) - 1):
            found = segment_gap(mesh, points[k], points[k + 1], within=best[3])
            if found is not None and found.away < best[3]:
                s = along[k] + float(length(found.on_segment - points[k]))
                best = (float(s), found.on_segment, found.on_mesh, found.away)
    return best[:3]


def nearest_panel(shell: Shell, point: Vector) -> str | None:
    """The name of the body line nearest to the point (3,), or None where none was measured."""
    away = [(float(nearest_on_line(line, point[None]).away[0]), line.name) for line in shell.lines]
    return min(away)[1] if away else None
