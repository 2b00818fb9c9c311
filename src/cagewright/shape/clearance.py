"""How near each tube comes to the body: the least gap and where, and where it cuts in.

A tube is the sweep of its outside circle along its centre line. A gap is from the tube's outside; it is never
below zero: where the tube and the body would share space, the answer is a ``Cut`` instead.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cagewright.base.curves import Arc, Chain, Line, point_at
from cagewright.base.vectors import Vector, length
from cagewright.shape.closest import closest_between_segments
from cagewright.shape.shell import BodyLine, Shell, nearest_on_line
from cagewright.shape.types import Array, Cage, Foot, Member

SAGITTA = 0.004
"""How far a chord may lie inside a bend, mm: gaps are good to 0.01 mm."""
STEP = 10.0
"""Spacing of the stations along a tube, mm."""
BEYOND = 80.0
"""A tube standing further than this behind a body line is taken to pass it elsewhere, mm."""


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


def line_gaps(cage: Cage, shell: Shell) -> tuple[Gap, ...]:
    """Each member's gap to the nearest body lines, in the members' order.

    Of the lines every one cut into is given, else the nearest one.
    """
    gaps: list[Gap] = []
    feet = {foot.name: foot for foot in cage.feet}
    for member in cage.members:
        gaps += _member_gaps(member, feet, shell)
    return tuple(gaps)


def _member_gaps(member: Member, feet: dict[str, Foot], shell: Shell) -> list[Gap]:
    stations = stations_of(member, feet)
    axis = chords(member.path, stations.along[[0, -1]])
    apart = boxes_apart(stations.points, shell.lines)
    found: list[Gap] = []
    best = np.inf
    for i in np.argsort(apart, kind="stable"):
        # the nearest boxes first: no line further off can be nearer, or be behind the tube
        if apart[i] > max(best, BEYOND) + STEP:
            break
        found.append(_line_gap(member, stations, axis, shell.lines[i]))
        best = min(best, found[-1].gap + member.tube.radius)
    cut = [gap for gap in found if gap.cuts]
    return cut or sorted(found, key=lambda gap: gap.gap)[:1]


def boxes_apart(points: Array, lines: tuple[BodyLine, ...]) -> Array:
    """The distance (k,) between the box round the points (n, 3) and the box round each line, mm."""
    low, high = points.min(axis=0), points.max(axis=0)
    lows = np.array([line.points.min(axis=0) for line in lines]).reshape(-1, 3)
    highs = np.array([line.points.max(axis=0) for line in lines]).reshape(-1, 3)
    return length(np.maximum(np.maximum(lows - high, low - highs), 0.0))


def stations_of(member: Member, feet: dict[str, Foot]) -> Stations:
    """Even places along the member, leaving out what stands within half a plate of its feet."""
    total = member.path.length
    along = np.linspace(0.0, total, max(2, int(np.ceil(total / STEP)) + 1))
    first, last = (_foot_size(member, i, feet) for i in (0, 1))
    kept = along[(along >= first) & (along <= total - last)]
    along = kept if len(kept) > 1 else along
    return Stations(along=along, points=points_at(member.path, along))


def points_at(path: Chain, along: Array) -> Array:
    """The points (n, 3) at each of the distances (n,) along the path, from 0 to its length, mm."""
    points = np.empty((len(along), 3))
    which = np.clip(np.searchsorted(path.starts, along, side="right") - 1, 0, len(path.pieces) - 1)
    for i in np.unique(which):
        piece, rows = path.pieces[i], which == i
        t = (along[rows] - path.starts[i])[:, None]
        if isinstance(piece, Line):
            points[rows] = piece.start + t * piece.direction
        else:
            a = t / piece.radius
            points[rows] = piece.centre + piece.radius * (np.cos(a) * piece.u + np.sin(a) * piece.v)
    return points


def _foot_size(member: Member, end: int, feet: dict[str, Foot]) -> float:
    foot = member.ends[end].foot
    return 0.0 if foot is None else max(feet[foot].plate[:2]) / 2.0 + member.tube.radius


def _line_gap(member: Member, stations: Stations, axis: tuple[Array, Array], line: BodyLine) -> Gap:
    radius = member.tube.radius
    on = nearest_on_line(line, stations.points)
    # how deep the tube is in or through the line's bodywork at each station, below 0 where clear
    depth = radius + np.where(on.through & (on.away < BEYOND), on.away, -on.away)
    cuts = cuts_of(member.path, stations.along, depth)
    along, axis_point, body_point = _least_to_line(axis, line)
    away = float(length(axis_point - body_point))
    cuts = with_deepest(cuts, along, axis_point, radius - away)
    if cuts:
        deepest = max(cuts, key=lambda cut: cut.depth)
        axis_point = deepest.at
        body_point, along = nearest_on_line(line, axis_point[None]).on[0], deepest.along
    return Gap(
        member=member.name,
        to=line.name,
        gap=0.0 if cuts else max(away - radius, 0.0),
        along=along,
        on_tube=on_outside(axis_point, body_point, radius),
        on_body=body_point,
        cuts=cuts,
        panel=line.name,
    )


def on_outside(axis_point: Vector, body_point: Vector, radius: float) -> Vector:
    """The point (3,) of the tube's outside that faces the body point, mm."""
    toward = body_point - axis_point
    return axis_point + radius * toward / max(float(length(toward)), 1e-9)


def cuts_of(path: Chain, along: Array, depth: Array) -> tuple[Cut, ...]:
    """Each stretch over which the depth is above 0, its ends found between the stations.

    At stations ``along`` (n,), mm, the tube is ``depth`` (n,) mm deep in the body.
    """
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


def with_deepest(cuts: tuple[Cut, ...], along: float, at: Vector, depth: float) -> tuple[Cut, ...]:
    """The cuts with the exactly found nearest place, which may lie between the stations.

    The exact place is ``along`` mm from the start, ``at`` (3,), ``depth`` mm deep; not above 0 adds
    nothing.
    """
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


def _least_to_line(axis: tuple[Array, Array], line: BodyLine) -> tuple[float, Vector, Vector]:
    """(mm along, point on the axis, point on the line) where they are nearest."""
    along, points = axis
    n, m = len(points) - 1, len(line.points) - 1
    a, b = (np.repeat(p, m, axis=0) for p in (points[:-1], points[1:]))
    c, d = (np.tile(p, (n, 1)) for p in (line.points[:-1], line.points[1:]))
    one, two = closest_between_segments(a, b, c, d)
    i = int(np.argmin(length(one - two)))
    start = along[i // m]
    return float(start + length(one[i] - points[i // m])), one[i], two[i]


def chords(path: Chain, along: Array) -> tuple[Array, Array]:
    """The centre line as chords within ``SAGITTA`` of it: where they meet (m,) mm, and there (m, 3).

    The places ``along`` (n,), mm, are among them; the chords run from the first to the last.
    """
    first, last = float(along[0]), float(along[-1])
    extra: list[Array] = [np.array(path.starts)]
    for piece, start in zip(path.pieces, path.starts, strict=False):
        if isinstance(piece, Arc):
            step = 2.0 * np.arccos(max(1.0 - SAGITTA / piece.radius, 0.0))
            extra.append(start + np.linspace(0.0, piece.length, int(np.ceil(piece.angle / step)) + 1))
    inner = np.concatenate(extra)
    places = np.unique(np.concatenate([along, inner[(inner > first) & (inner < last)]]))
    places = places[np.r_[True, np.diff(places) > 1e-9]]
    return places, points_at(path, places)


def nearest_panel(shell: Shell, point: Vector) -> str | None:
    """The name of the body line nearest to the point (3,), or None where none was measured."""
    away = [(float(nearest_on_line(line, point[None]).away[0]), line.name) for line in shell.lines]
    return min(away)[1] if away else None
