"""The cage at many moments of a push: where its tubes are, how far each is used, what is left to people."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from cagewright.base.names import shown
from cagewright.frame.contact import Platen, Pole, first_touch
from cagewright.frame.idealise import Idealised
from cagewright.frame.members import plastic_use, shares_of, strengths_of
from cagewright.frame.model import Floats, Ints, Solution
from cagewright.frame.pushes import Push
from cagewright.frame.results import Results, TubePlace
from cagewright.frame.survival import TOOL, approaches, name_of, tips
from cagewright.shape.closest import closest_on_segments
from cagewright.shape.survival_space import Space, points_of
from cagewright.shape.types import Cage

MOST = 44
"""Moments sent to the page; between two of them it draws straight on."""
FINE = 10.0
"""Movements are sent in this many parts of a millimetre."""
Vec3 = tuple[float, float, float]
PATCH = 700.0
"""Of a larger platen a piece this long and wide is shown where it presses, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A push that was followed: the cage as a frame, what pressed, and the answer."""

    model: Idealised
    push: Push
    solution: Solution


@dataclass(frozen=True, slots=True, kw_only=True)
class RestLine:
    """A tube's stations at rest, mm."""

    name: str
    points: tuple[Vec3, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomMoments:
    """At each moment the least gap to anybody (mm), what is nearest, to whose part, the ends of the gap."""

    gap: tuple[float, ...]
    by: tuple[str, ...]
    to: tuple[str, ...]
    spots: tuple[tuple[Vec3, Vec3] | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolMoments:
    """The outline of what presses at first touch, mm, and the way it goes."""

    outline: tuple[Vec3, ...]
    way: Vec3
    kind: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TubePoint:
    """A place among a tube's stations: the one before it and the part to the next, or one of its ends."""

    member: str
    station: int = 0
    part: float = 0.0
    end: Literal["start", "end"] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Moments:
    """The cage at many moments of a push.

    Attributes:
        travel: mm, rising.
        load: N.
        members: in the order of the cage.
        moved: for each moment the movement of all stations in that order, tenths of a mm, three a station.
        use: for each moment each tube's largest share used so far, percent.
        room: None where nobody sits in the car.
        tool: None where nothing presses.
    """

    travel: tuple[float, ...]
    load: tuple[float, ...]
    members: tuple[RestLine, ...]
    moved: tuple[tuple[int, ...], ...]
    use: tuple[tuple[int, ...], ...]
    room: RoomMoments | None
    tool: ToolMoments | None


def moments_of(run: Run, most: int = MOST) -> Moments:
    """The push's moments, as few as ``most`` and one more."""
    steps = np.union1d(picked(run.solution.travel, most), [int(np.argmax(run.solution.load))])
    ends = tips(run.model, run.solution)[steps]
    lines = [_line(ends, mine) for mine in _by_member(run.model)]
    every = np.concatenate(lines, axis=1)
    moved = np.rint((every - every[:1]) * FINE).astype(int)
    use = np.rint(100.0 * use_so_far(run)[steps]).astype(int)
    return Moments(
        travel=_round(run.solution.travel[steps], 2),
        load=_round(run.solution.load[steps], 0),
        members=tuple(
            RestLine(name=member.name, points=_round(line[0], 1))
            for member, line in zip(run.model.cage.members, lines, strict=True)
        ),
        moved=tuple(tuple(row.ravel().tolist()) for row in moved),
        use=tuple(tuple(row.tolist()) for row in use),
        room=_room(run, steps, ends),
        tool=_tool(run),
    )


def picked(travel: Floats, most: int) -> Ints:
    """Numbers of at most ``most`` kept steps (k,), rest and end among them, evenly along the travel."""
    if len(travel) <= most:
        return np.arange(len(travel))
    even = np.linspace(travel[0], travel[-1], most)
    near = np.abs(travel[:, None] - even).argmin(axis=0)
    return np.unique(near)


def _by_member(model: Idealised) -> list[Ints]:
    return [np.flatnonzero(model.member == i) for i in range(len(model.cage.members))]


def _line(ends: Floats, mine: Ints) -> Floats:
    """A member's stations (k, n, 3) from its elements' tips (k, m, 2, 3)."""
    return np.concatenate([ends[:, mine, 0], ends[:, mine[-1:], 1]], axis=1)


def _round(values: Floats, places: int) -> Any:
    """The array as tuples of numbers with so many decimals."""
    rounded = np.round(np.asarray(values, float), places)
    return tuple(rounded.tolist() if rounded.ndim == 1 else map(tuple, rounded.tolist()))


def use_so_far(run: Run) -> Floats:
    """(k, members) largest share of each tube's section used up to each kept step, 0 up."""
    strengths = strengths_of(run.model)
    worst = plastic_use(*shares_of(strengths, run.solution.forces)).max(axis=2)
    each = np.stack([worst[:, mine].max(axis=1) for mine in _by_member(run.model)], axis=1)
    return np.maximum.accumulate(each, axis=0)


# --- what is left to the people


def _room(run: Run, steps: Ints, ends: Floats) -> RoomMoments | None:
    found = approaches(run.model, run.push, run.solution)
    if not found:
        return None
    nearest = [min(found, key=lambda one, k=k: float(one.gap[k])) for k in steps]
    return RoomMoments(
        gap=_round(np.array([one.gap[k] for one, k in zip(nearest, steps, strict=True)]), 1),
        by=tuple(name_of(run.model, one, int(k)) for one, k in zip(nearest, steps, strict=True)),
        to=tuple(f"{one.space.person}'s {one.space.part}" for one in nearest),
        spots=tuple(
            None if one.by[k] == TOOL else _between(one.space, end[one.by[k]], float(one.gap[k]))
            for one, k, end in zip(nearest, steps, ends, strict=True)
        ),
    )


def _between(space: Space, element: Floats, gap: float) -> tuple[Vec3, Vec3] | None:
    """The ends of the gap between a space and an element (2, 3); None where they are on one another."""
    points = points_of(space)
    one, two = (np.broadcast_to(end, points.shape) for end in element)
    near = closest_on_segments(points, one, two)
    off = near - points
    size = np.sqrt((off**2).sum(axis=1))
    least = int(np.argmin(size))
    if size[least] < 1e-6:
        return None
    out = off[least] / size[least]
    start = points[least] + space.radius * out
    return _round(start, 1), _round(start + gap * out, 1)


# --- what presses


def _tool(run: Run) -> ToolMoments | None:
    press = run.push.press
    if press is None:
        return None
    touch = first_touch(run.model.model, press)
    way = press.way if press.way is not None else press.normal
    way = way / float(np.sqrt(way @ way))
    outline = _pole(press) if isinstance(press, Pole) else _platen(run, press, touch)
    return ToolMoments(outline=_round(outline + touch * way, 1), way=_round(way, 5), kind=run.push.kind)


def _platen(run: Run, press: Platen, touch: float) -> Floats:
    """Corners (4, 3) of the platen, or of the piece of a large one that lies over the first touch."""
    normal = press.normal / float(np.sqrt(press.normal @ press.normal))
    along = press.along - (press.along @ normal) * normal
    along = along / float(np.sqrt(along @ along))
    aside = np.cross(normal, along)
    nodes = run.model.model.nodes - press.centre
    first = nodes[int(np.argmin(nodes @ normal))]
    halves = min(press.length, PATCH) / 2.0, min(press.width, PATCH) / 2.0
    middle = press.centre.astype(float)
    for axis, whole, half in ((along, press.length, halves[0]), (aside, press.width, halves[1])):
        room = max(whole / 2.0 - half, 0.0)
        middle = middle + axis * float(np.clip(first @ axis, -room, room))
    x, y = along * halves[0], aside * halves[1]
    return np.array([middle - x - y, middle + x - y, middle + x + y, middle - x + y])


def _pole(press: Pole) -> Floats:
    """The pole's outline (4, 3), seen along its way."""
    axis = press.axis / float(np.sqrt(press.axis @ press.axis))
    way = press.way / float(np.sqrt(press.way @ press.way))
    up, side = axis * press.length / 2.0, np.cross(axis, way) * press.radius
    front = press.centre + way * press.radius
    return np.array([front - up - side, front + up - side, front + up + side, front - up + side])


def place_on(run: Run, spot: TubePlace) -> TubePoint:
    """Where a place on a tube is among the tube's stations: the one before it, and the part to the next."""
    number = next(i for i, m in enumerate(run.model.cage.members) if m.name == spot.member)
    mine = np.flatnonzero(run.model.member == number)
    starts, stops = run.model.along[mine].T
    i = int(np.clip(np.searchsorted(stops, spot.along), 0, len(mine) - 1))
    size = max(float(stops[i] - starts[i]), 1e-9)
    part = float(np.clip((spot.along - starts[i]) / size, 0.0, 1.0))
    return TubePoint(member=spot.member, station=i, part=round(part, 3))


def _end_on(cage: Cage, name: str) -> TubePoint | None:
    """The end of the tube that stands on the foot, or is the joint, that is named."""
    joint = next((j for j in cage.joints if j.name == name), None)
    if joint is not None:
        return TubePoint(member=joint.branch, end=joint.which)
    ends = ((m.name, end) for m in cage.members for end in m.ends)
    return next((TubePoint(member=m, end=end.which) for m, end in ends if end.foot == name), None)


def places_of(run: Run, results: Results) -> dict[str, TubePoint | None]:
    """Where in the picture each happening is, by its words."""
    cage = run.model.cage
    feet = [f.foot for f in results.feet]
    at: dict[str, TubePoint | None] = {}
    for event in results.order:
        foot = next((f for f in feet if f" {f} " in f" {event.words} "), "")
        at[shown(event.words)] = place_on(run, event.spot) if event.spot else _end_on(cage, foot)
    for joint in results.joints:
        at[f"{shown(joint.words)} comes to its strength ({joint.governs})"] = _end_on(cage, joint.joint)
    for foot in feet:
        full = next((f for f in results.feet if f.foot == foot and f.over is not None), None)
        if full is not None:
            at[f"the shell under {shown(foot)} comes to its strength ({full.governs})"] = _end_on(cage, foot)
    return at
