"""A member's finished ends: each cut as the papers need it, with its clocking and trim."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from cagewright.base.curves import Arc, Chain
from cagewright.base.vectors import UP, Vector, cross, dot, signed_angle, square_to, turn
from cagewright.plan.types import HeldEntry
from cagewright.shape.flat import FLATTEST, furthest, lean_off, plate_cut, square_cut
from cagewright.shape.layout import Route
from cagewright.shape.rails import furthest_of, plane_cut_of
from cagewright.shape.raw_ends import RawEnd
from cagewright.shape.types import Bend, Cope, End, FlatCut, Foot, Member, WeldRun


def member_of(
    route: Route,
    raw_ends: tuple[RawEnd, RawEnd],
    cuts: tuple[Cope | FlatCut | None, Cope | FlatCut | None],
    feet: Mapping[str, Foot],
    joined: tuple[bool, bool],
) -> Member:
    """The finished member, from what its ends are cut to, and which of them make a joint."""
    start, end = (_cut(route, raw_end, cut, feet) for raw_end, cut in zip(raw_ends, cuts, strict=True))
    start, end = _settled(route, start, end)
    ends = (_end(route, raw_ends[0], start, joined[0]), _end(route, raw_ends[1], end, joined[1]))
    entry = route.draft.entry
    return Member(
        name=route.draft.name,
        role=entry.role,
        tube=route.tube,
        tube_name=entry.tube,
        path=route.path,
        bends=route.bends,
        ends=ends,
        end_clocking=signed_angle(carried(route.path, start.zero), end.zero, -end.axis),
        length=route.path.length - ends[0].trim - ends[1].trim,
        mirror_of=route.draft.mirror_of,
        removable=entry.removable,
        note=entry.note,
        bought=entry.bought,
        lie=route.lie,
        runs=runs_of(entry.held, route.path.length),
    )


def runs_of(held: HeldEntry | None, size: float) -> tuple[WeldRun, ...]:
    """The welds along a rail of ``size`` mm: as given, or one at each end and others evenly between."""
    if held is None:
        return ()
    spans = held.runs
    if held.run is not None and held.every is not None:
        run = min(held.run, size)
        count = max(math.ceil((size - run) / held.every - 1e-9), 1) if size > run else 0
        spans = tuple((k * (size - run) / max(count, 1), k * (size - run) / max(count, 1) + run)
                      for k in range(count + 1))  # fmt: skip
    return tuple(WeldRun(start=a, stop=b, seat=held.on, sheet=held.sheet) for a, b in spans)


def _cut(
    route: Route, raw_end: RawEnd, cut: Cope | FlatCut | None, feet: Mapping[str, Foot]
) -> Cope | FlatCut:
    if cut is not None:
        return cut
    if route.lie is not None:
        foot = feet.get(raw_end.foot or "")
        flat = foot is not None and lean_off(raw_end.axis, foot) <= FLATTEST
        point = foot.point + foot.plate[2] * foot.normal if foot and flat else raw_end.point
        return plane_cut_of(
            raw_end.point, raw_end.axis, section=route.tube.section, lie=route.lie, point=point,
            normal=foot.normal if foot and flat else raw_end.axis,
        )  # fmt: skip
    if raw_end.foot is not None and lean_off(raw_end.axis, feet[raw_end.foot]) <= FLATTEST:
        return plate_cut(raw_end.point, raw_end.axis, raw_end.radius, feet[raw_end.foot], UP)
    return square_cut(raw_end.point, raw_end.axis, raw_end.radius, UP)


def _settled(
    route: Route, start: Cope | FlatCut, end: Cope | FlatCut
) -> tuple[Cope | FlatCut, Cope | FlatCut]:
    """The cuts, a square one with phi = 0 inside the nearest bend, or as the other end's without bends."""
    if route.lie is not None:
        return start, end
    if isinstance(start, FlatCut) and start.tilt == 0.0:
        other = carried_back(route.path, end.zero)
        inside = _inside(route.bends[0], start.axis) if route.bends else other
        start = replace(start, zero=square_to(start.axis, inside))
    if isinstance(end, FlatCut) and end.tilt == 0.0:
        inside = _inside(route.bends[-1], -end.axis) if route.bends else start.zero
        end = replace(end, zero=square_to(end.axis, inside))
    return start, end


def _inside(bend: Bend, travel: Vector) -> Vector:
    """Unit (3,) square to the straight beside the bend, towards the inside of the bend."""
    return cross(bend.normal, travel)


def carried(path: Chain, across: Vector) -> Vector:
    """A direction (3,) square to the tube at its start, carried along to its end without twist."""
    for piece in path.pieces:
        if isinstance(piece, Arc):
            across = turn(across, piece.normal, piece.angle)
    return across


def carried_back(path: Chain, across: Vector) -> Vector:
    """A direction (3,) square to the tube at its end, carried back to its start without twist."""
    for piece in reversed(path.pieces):
        if isinstance(piece, Arc):
            across = turn(across, piece.normal, -piece.angle)
    return across


def _end(route: Route, raw_end: RawEnd, cut: Cope | FlatCut, joined: bool) -> End:
    first = raw_end.which == "start"
    travel = raw_end.axis if first else -raw_end.axis
    clocking = 0.0
    if route.bends:
        bend = route.bends[0 if first else -1]
        clocking = signed_angle(_inside(bend, travel), cut.zero, travel)
    return End(
        which=raw_end.which,
        cut=cut,
        joint=f"{route.draft.name}.{raw_end.which}" if joined else None,
        foot=raw_end.foot,
        clocking=clocking,
        trim=trim_of(cut, raw_end)
        if route.lie is None or isinstance(cut, Cope)
        else furthest_of(cut, raw_end.point, route.tube.section, route.lie),
        given=raw_end.given is not None and isinstance(cut, Cope),
    )


def trim_of(cut: Cope | FlatCut, raw_end: RawEnd) -> float:
    """How far the finished tube stops short of the axis end point at its furthest, mm (negative: past it)."""
    if isinstance(cut, Cope):
        reach = min(float(cut.outside.min()), float(cut.inside.min()))
        return reach + float(dot(cut.origin - raw_end.point, cut.axis))
    return furthest(cut, raw_end.point, raw_end.radius)
