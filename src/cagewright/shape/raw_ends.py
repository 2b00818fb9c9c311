"""Member ends before they are cut, and the tubes that run into each near its end."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cagewright.base.curves import Chain, Line, nearest, tangent_at
from cagewright.base.vectors import Vector, length
from cagewright.plan.types import AtFoot, GivenCut, OnMember, Which
from cagewright.shape.layout import Route
from cagewright.shape.overlaps import Touch

ZONE = 3.0
"""An end's zone is this many times the two tubes' radii together; overlaps that begin in it are cut away."""
TOUCH = 0.05
"""Tubes that run into each other by less than this (mm) are called touching."""
JOINED = 0.5
"""Overlaps of neighbouring pieces this near each other (mm) are one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RawEnd:
    """One end of a member before it is cut.

    Attributes:
        member: index of the member.
        which: of its ends.
        point: (3,) end of its axis, mm.
        axis: unit (3,) from the end back into the member.
        straight: length of the straight at this end, mm.
        run: length of the whole member, mm.
        radius: outside, mm.
        on: index of the member it is placed on, or None.
        foot: name of the foot it stands on, or None.
        asked: indices of the members that ``cut:`` names for it.
        given: the notch that it came with, or None.
        rail: whether it is a rail's.
        held: whether it may end in the open: a rail that is welded to the shell along its length, or a capped
            end.
    """

    member: int
    which: Which
    point: Vector
    axis: Vector
    straight: float
    run: float
    radius: float
    on: int | None
    foot: str | None
    asked: tuple[int, ...]
    given: GivenCut | None = None
    rail: bool = False
    held: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """Another tube that runs into a member near its end.

    Attributes:
        main: index of the other member.
        along: where on it the end point is nearest, mm along its path.
        inside: whether the end point is inside its tube.
        away: distance of the end point from its axis, mm.
        reach: how far up the member from its end the two overlap without a gap, mm.
        touches: indices of the overlaps that make this up.
    """

    main: int
    along: float
    inside: bool
    away: float
    reach: float
    touches: tuple[int, ...]


Meetings = Mapping[int, Mapping[int, Meeting]]
"""By index of the end, then of the other member."""


def raw_ends_of(routes: Sequence[Route]) -> list[RawEnd]:
    """Both ends of every member: those of member i are 2 i and 2 i + 1."""
    index = {route.draft.name: i for i, route in enumerate(routes)}
    return [_raw_end(route, i, which, index) for i, route in enumerate(routes) for which in ("start", "end")]


def _raw_end(route: Route, member: int, which: Which, index: Mapping[str, int]) -> RawEnd:
    first = which == "start"
    piece = route.path.pieces[0 if first else -1]
    place = route.draft.entry.path[0 if first else -1]
    return RawEnd(
        member=member,
        which=which,
        point=piece.start if first else piece.stop,
        axis=tangent_at(route.path, 0.0) if first else -tangent_at(route.path, route.path.length),
        straight=piece.length if isinstance(piece, Line) else 0.0,
        run=route.path.length,
        radius=route.tube.radius,
        on=index.get(place.on) if isinstance(place, OnMember) else None,
        foot=place.foot if isinstance(place, AtFoot) else None,
        asked=_asked(route, which, index),
        given=None if (given := route.draft.entry.given) is None else given.start if first else given.end,
        rail=route.lie is not None,
        held=route.draft.entry.held is not None or _capped(route, which),
    )


def _capped(route: Route, which: Which) -> bool:
    caps = route.draft.entry.caps
    return caps is not None and (caps.start if which == "start" else caps.end) is not None


def _asked(route: Route, which: Which, index: Mapping[str, int]) -> tuple[int, ...]:
    cut = route.draft.entry.cut
    if cut is None:
        return ()
    names = (*(cut.start if which == "start" else cut.end), *cut.either)
    return tuple(index[n] for n in names if n in index)


def meetings_of(routes: Sequence[Route], raw_ends: Sequence[RawEnd], touches: Sequence[Touch]) -> Meetings:
    """Every tube that runs into a member within the zone of one of its ends."""
    pairs: dict[tuple[int, int], list[int]] = {}
    for k, touch in enumerate(touches):
        pairs.setdefault((touch.a, touch.b), []).append(k)
        pairs.setdefault((touch.b, touch.a), []).append(k)
    found: dict[int, dict[int, Meeting]] = {}
    for (member, main), used in pairs.items():
        tube = routes[main]
        for t in (2 * member, 2 * member + 1):
            meeting = meeting_with(
                main, tube.path, tube.tube.radius, raw_ends[t], [touches[k] for k in used], used
            )
            if meeting is not None:
                found.setdefault(t, {})[main] = meeting
    return found


def meeting_with(
    main: int, path: Chain, radius: float, raw_end: RawEnd, touches: Sequence[Touch], names: Sequence[int]
) -> Meeting | None:
    """How another tube runs into the end's member near the end, or None where it does not.

    ``touches`` is every overlap of the two, ``names`` their indices.
    """
    zone = min(ZONE * (raw_end.radius + radius), 0.5 * raw_end.run)
    spans = _from_end(raw_end, touches, names)
    if not spans or min(spans)[0] >= zone:
        return None
    used, reach = list[int](), 0.0
    for low, high, k in sorted(spans):
        if low >= max(zone, reach + JOINED):
            break
        used.append(k)
        reach = max(reach, high)
    along, away = nearest(path, raw_end.point)
    return Meeting(
        main=main,
        along=along,
        inside=away < radius,
        away=away,
        reach=reach,
        touches=tuple(used),
    )


def _from_end(
    raw_end: RawEnd, touches: Sequence[Touch], names: Sequence[int]
) -> list[tuple[float, float, int]]:
    """Each overlap's nearest and furthest place from the end along its member, mm, with its index."""
    spans = [t.on_a if t.a == raw_end.member else t.on_b for t in touches]
    if raw_end.which == "start":
        return [(low, high, k) for (low, high), k in zip(spans, names, strict=True)]
    return [(raw_end.run - high, raw_end.run - low, k) for (low, high), k in zip(spans, names, strict=True)]


def together(raw_end: RawEnd, other: RawEnd) -> bool:
    """Whether two ends are near enough for one to be in the other's way."""
    return float(length(raw_end.point - other.point)) < 2.0 * ZONE * (raw_end.radius + other.radius)


def one_spot(raw_end: RawEnd, other: RawEnd) -> bool:
    """Whether two ends share one spot: each end point within the larger tube's radius of the other."""
    return float(length(raw_end.point - other.point)) < max(raw_end.radius, other.radius)
