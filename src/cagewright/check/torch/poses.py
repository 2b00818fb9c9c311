"""Whether a welding torch can stand at a weld point without meeting a tube or the body.

The torch is three rounded bars end to end: nozzle, neck (bent from the nozzle's line, turned any way round
it) and handle. Poses lean from the line that halves the angle between the two surfaces, within the work and
travel angles, sampled evenly. The welder's hands, head and eyes are not modelled.
"""

from __future__ import annotations

import math
from collections.abc import Hashable
from dataclasses import dataclass, replace

import numpy as np

from cagewright.base.curves import sample
from cagewright.base.vectors import Vector, dot, hashed, length
from cagewright.check.torch.weld_points import WeldLoop
from cagewright.shape.closest import Mask, closest_between_segments, closest_on_segments
from cagewright.shape.cloud import Cloud, within
from cagewright.shape.mesh import Whole
from cagewright.shape.types import Array, Member
from cagewright.stock.shop import Nozzle


@dataclass(frozen=True, slots=True, kw_only=True)
class Torch:
    """A wire-fed torch; every default is a shop default, no source.

    Attributes:
        nozzle: outside diameter of the nozzle, mm.
        nozzle_length: from its mouth to where the neck bends, mm.
        stickout: the longest wire used between mouth and weld, mm.
        neck: diameter, mm.
        neck_length: mm.
        neck_angle: bend between nozzle and neck, rad.
        handle: diameter with the hand's knuckles left out, mm.
        handle_length: mm.
        work_slack: how far the torch may lean to either surface, rad.
        travel_slack: how far it may lean along the weld either way, rad.
        room: kept between torch and anything, mm.
        angles: leans tried across each slack.
        turns: ways round that the neck is tried.
        source: where the nozzle's size comes from.
    """

    nozzle: float = 16.0
    nozzle_length: float = 60.0
    stickout: float = 18.0
    neck: float = 18.0
    neck_length: float = 80.0
    neck_angle: float = math.radians(45.0)
    handle: float = 38.0
    handle_length: float = 130.0
    work_slack: float = math.radians(15.0)
    travel_slack: float = math.radians(25.0)
    room: float = 1.0
    angles: int = 5
    turns: int = 8
    source: str = "shop default, no source"


TORCH = Torch()


def torch_with(nozzle: Nozzle | None) -> Torch:
    """The usual torch with the shop's own nozzle or cup, where it has entered one."""
    if nozzle is None:
        return TORCH
    return replace(
        TORCH, nozzle=nozzle.od, nozzle_length=nozzle.length, stickout=nozzle.ahead, source="the shop's"
    )


WIRE = 1.0
"""Where the wire's free way to the weld begins, mm from it."""
OFF_SHEET = 5.0
"""Where the wire's way is first held against the body, mm from the weld: a foot's own weld lies on it."""
WIRE_ROOM = 2.0
"""How near the wire may come to the body, mm."""
TOGETHER = 36
"""Points whose neighbours are looked for together."""
TOE = 2.0
"""A weld point no deeper than this in another tube is part of that tube's own weld, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldPoints:
    """n weld points and the frame each torch pose is built in.

    Attributes:
        at: (n, 3) mm.
        along: unit (n, 3) along the weld.
        middle: unit (n, 3) halving the angle between the two surfaces, square to ``along``.
        own: (n, m) whether each of the cage's m members is one of the two that are welded.
    """

    at: Array
    along: Array
    middle: Array
    own: Mask


@dataclass(frozen=True, slots=True, kw_only=True)
class Tubes:
    """Every tube as k rounded chords.

    Attributes:
        start: (k, 3) mm.
        stop: (k, 3) mm.
        radius: (k,) mm.
        member: (k,) index of the member each belongs to.
    """

    start: Array
    stop: Array
    radius: Array
    member: Whole


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """What the torch may meet.

    Attributes:
        tubes: of the whole cage.
        present: (m,) which members are there.
        body: thinned points of the body, or None where it is absent or unknown.
        lift: (3,) how far the body stands from its place in the car's axes, seen from the cage, mm.
    """

    tubes: Tubes
    present: Mask
    body: Cloud | None
    lift: Vector


def tubes_of(members: tuple[Member, ...], *, sagitta: float = 0.5) -> Tubes:
    """The members' outsides as rounded chords.

    A chord may lie ``sagitta`` mm inside a bend.
    """
    axes = [sample(member.path, sagitta=sagitta) for member in members]
    counts = [len(axis) - 1 for axis in axes]
    return Tubes(
        start=np.concatenate([axis[:-1] for axis in axes]),
        stop=np.concatenate([axis[1:] for axis in axes]),
        radius=np.repeat([member.tube.radius for member in members], counts),
        member=np.repeat(np.arange(len(members)), counts),
    )


def weld_points(line: WeldLoop, members: tuple[Member, ...]) -> WeldPoints:
    """The line's points as the torch sees them."""
    middle = line.branch_normal + line.main_normal
    middle = middle - dot(middle, line.along)[:, None] * line.along
    # where the surfaces close on each other there is no way in: any line will do, it will be met
    middle = np.where(length(middle)[:, None] < 1e-6, line.branch_normal, middle)
    names = {line.branch, *line.mains}
    own = np.array([member.name in names for member in members])
    return WeldPoints(
        at=line.points,
        along=line.along,
        middle=middle / length(middle)[:, None],
        own=np.broadcast_to(own, (len(line.points), len(members))),
    )


def joined(parts: list[WeldPoints]) -> WeldPoints:
    """All the points as one."""
    return WeldPoints(
        at=np.concatenate([p.at for p in parts]),
        along=np.concatenate([p.along for p in parts]),
        middle=np.concatenate([p.middle for p in parts]),
        own=np.concatenate([p.own for p in parts]),
    )


def leans(torch: Torch) -> list[tuple[float, float]]:
    """Every (work, travel) lean tried, rad, the straightest first."""
    steps = np.linspace(-1.0, 1.0, torch.angles) if torch.angles > 1 else np.zeros(1)
    pairs = [(w, t) for w in steps for t in steps]
    pairs.sort(key=lambda pair: (pair[0] ** 2 + pair[1] ** 2, pair))
    return [(float(w) * torch.work_slack, float(t) * torch.travel_slack) for w, t in pairs]


def directions(points: WeldPoints, rows: Whole, work: float, travel: float) -> tuple[Array, Array, Array]:
    """The torch's axes (n, 3): along the nozzle away from the weld, and two square to it."""
    along, middle = points.along[rows], points.middle[rows]
    leaned = math.cos(work) * middle + math.sin(work) * np.cross(along, middle)
    away = math.cos(travel) * leaned + math.sin(travel) * along
    side = math.cos(travel) * along - math.sin(travel) * leaned
    return away, side, np.cross(away, side)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pairs:
    """Which chords may matter to each point: ``chord[start[i]:start[i + 1]]``."""

    start: Whole
    chord: Whole


@dataclass(frozen=True, slots=True, kw_only=True)
class _Obstacles:
    """Points, surroundings and the chords within reach of each point."""

    points: WeldPoints
    around: Around
    torch: Torch
    near: _Pairs
    far: _Pairs
    to_body: Array


def reachable(points: WeldPoints, around: Around, torch: Torch = TORCH) -> Mask:
    """Whether (n,) some pose of the torch at each point meets nothing."""
    scene = _scene(points, around, torch)
    left: Whole = np.arange(len(points.at))
    reached = np.zeros(len(left), dtype=np.bool_)
    for work, travel in leans(torch):
        done = _standing(scene, left, work, travel)
        reached[done] = True
        left = left[~reached[left]]
        if not len(left):
            break
    return reached


def met_by(points: WeldPoints, around: Around, torch: Torch, *, body: bytes) -> Hashable:
    """All that decides where the torch can stand at one weld: equal only where that is equal.

    Args:
        points: of one weld.
        around: what the torch may meet.
        torch: its sizes.
        body: the hash of the body's points.
    """
    tubes, middle = around.tubes, points.at.mean(axis=0)
    standing = np.flatnonzero(around.present[tubes.member])
    reach = _reaches(torch)[1] + torch.room + float(length(points.at - middle).max())
    near = standing[_outside(middle[None], tubes, standing)[0] < reach]
    own = points.own[:, tubes.member[near]]
    parts = (points.at, points.along, points.middle, tubes.start[near], tubes.stop[near])
    return torch, body, hashed(*parts, tubes.radius[near], own, around.lift)


def _reaches(torch: Torch) -> tuple[float, float]:
    """How far nozzle and handle come from the weld point, mm."""
    short = torch.stickout + torch.nozzle_length + torch.nozzle / 2.0
    return short, short + torch.neck_length + torch.handle_length + torch.handle / 2.0


def _scene(points: WeldPoints, around: Around, torch: Torch) -> _Obstacles:
    short, long = _reaches(torch)
    pairs = _close_pairs(points.at, around, long + torch.room)
    to_body = np.full(len(points.at), np.inf)
    if around.body is not None:
        to_body, _ = around.body.tree.query(points.at - around.lift, distance_upper_bound=long + 50.0)
    return _Obstacles(
        points=points,
        around=around,
        torch=torch,
        near=_pairs(len(points.at), pairs, short + torch.room),
        far=_pairs(len(points.at), pairs, long + torch.room),
        to_body=to_body,
    )


def _close_pairs(at: Array, around: Around, reach: float) -> tuple[Whole, Whole, Array]:
    """(point, chord, mm between the point and the tube's outside) for all pairs within reach."""
    tubes = around.tubes
    there = np.flatnonzero(around.present[tubes.member])
    found: list[tuple[Whole, Whole, Array]] = []
    for rows in np.array_split(np.arange(len(at)), max(1, len(at) // TOGETHER)):
        # neighbouring points lie round one joint: what is far from their middle is far from each
        middle = at[rows].mean(axis=0)
        spread = float(length(at[rows] - middle).max())
        near = there[_outside(middle[None], tubes, there)[0] < reach + spread]
        away = _outside(at[rows], tubes, near)
        point, chord = np.nonzero(away < reach)
        found.append((rows[point], near[chord], away[point, chord]))
    point, chord, away = (np.concatenate(column) for column in zip(*found, strict=True))
    return point, chord, away


def _outside(at: Array, tubes: Tubes, chord: Whole) -> Array:
    """Distance (n, k) from each point to the outside of each of the chords, mm."""
    n, k = len(at), len(chord)
    p = np.repeat(at, k, axis=0)
    on = closest_on_segments(p, np.tile(tubes.start[chord], (n, 1)), np.tile(tubes.stop[chord], (n, 1)))
    return length(on - p).reshape(n, k) - tubes.radius[chord]


def _pairs(count: int, pairs: tuple[Whole, Whole, Array], reach: float) -> _Pairs:
    point, chord, away = pairs
    kept = away < reach
    counts = np.bincount(point[kept], minlength=count)
    return _Pairs(start=np.r_[0, np.cumsum(counts)], chord=chord[kept])


def _standing(scene: _Obstacles, rows: Whole, work: float, travel: float) -> Whole:
    """Those of the rows at which the torch can stand with that lean."""
    away, side, other = directions(scene.points, rows, work, travel)
    clear = ~_nozzle_meets(scene, rows, away)
    rows, away, side, other = rows[clear], away[clear], side[clear], other[clear]
    done: list[Whole] = []
    for turn in np.linspace(0.0, 2.0 * np.pi, scene.torch.turns, endpoint=False):
        bent = math.cos(turn) * side + math.sin(turn) * other
        met = _neck_meets(scene, rows, away, bent)
        done.append(rows[~met])
        rows, away, side, other = rows[met], away[met], side[met], other[met]
        if not len(rows):
            break
    return np.concatenate(done) if done else rows


def _nozzle_meets(scene: _Obstacles, rows: Whole, away: Array) -> Mask:
    torch, at = scene.torch, scene.points.at[rows]
    radius = torch.nozzle / 2.0
    mouth, end = at + (torch.stickout + radius) * away, at + (torch.stickout + torch.nozzle_length) * away
    met = _meets_tubes(scene, scene.near, rows, mouth, end, radius + torch.room)
    met |= _wire_meets(scene, rows, at + WIRE * away, mouth)
    todo = np.flatnonzero(~met)
    met[todo] = _meets_body(scene, rows[todo], mouth[todo], end[todo], radius + torch.room)
    todo = np.flatnonzero(~met)
    met[todo] = _meets_body(scene, rows[todo], (at + OFF_SHEET * away)[todo], mouth[todo], WIRE_ROOM)
    return met


def _neck_meets(scene: _Obstacles, rows: Whole, away: Array, bent: Array) -> Mask:
    torch = scene.torch
    start = scene.points.at[rows] + (torch.stickout + torch.nozzle_length) * away
    line = math.cos(torch.neck_angle) * away + math.sin(torch.neck_angle) * bent
    mid = start + torch.neck_length * line
    stop = mid + torch.handle_length * line
    met = np.zeros(len(rows), dtype=np.bool_)
    for a, b, radius in ((start, mid, torch.neck / 2.0), (mid, stop, torch.handle / 2.0)):
        todo = np.flatnonzero(~met)
        met[todo] = _meets_tubes(scene, scene.far, rows[todo], a[todo], b[todo], radius + torch.room)
        todo = np.flatnonzero(~met)
        met[todo] = _meets_body(scene, rows[todo], a[todo], b[todo], radius + torch.room)
    return met


def _chords_of(pairs: _Pairs, rows: Whole) -> tuple[Whole, Whole]:
    """(which of the rows, which chord) for every pair of the rows."""
    counts = pairs.start[rows + 1] - pairs.start[rows]
    which = np.repeat(np.arange(len(rows)), counts)
    step = np.arange(len(which)) - np.repeat(np.cumsum(counts) - counts, counts)
    return which, pairs.chord[pairs.start[rows][which] + step]


def _met_pairs(
    scene: _Obstacles, pairs: _Pairs, rows: Whole, a: Array, b: Array, radius: float
) -> tuple[Whole, Whole]:
    """(which of the rows, which chord) where the rounded bar a-b meets the chord."""
    which, chord = _chords_of(pairs, rows)
    tubes = scene.around.tubes
    one, two = closest_between_segments(a[which], b[which], tubes.start[chord], tubes.stop[chord])
    met = length(one - two) < radius + tubes.radius[chord]
    return which[met], chord[met]


def _meets_tubes(scene: _Obstacles, pairs: _Pairs, rows: Whole, a: Array, b: Array, radius: float) -> Mask:
    met = np.zeros(len(rows), dtype=np.bool_)
    met[_met_pairs(scene, pairs, rows, a, b, radius)[0]] = True
    return met


def _wire_meets(scene: _Obstacles, rows: Whole, a: Array, b: Array) -> Mask:
    """Whether another tube than the two being welded covers the weld point or the way to it."""
    which, chord = _met_pairs(scene, scene.near, rows, a, b, -TOE)
    other = ~scene.points.own[rows[which], scene.around.tubes.member[chord]]
    met = np.zeros(len(rows), dtype=np.bool_)
    met[which[other]] = True
    return met


def _meets_body(scene: _Obstacles, rows: Whole, a: Array, b: Array, radius: float) -> Mask:
    met = np.zeros(len(rows), dtype=np.bool_)
    body = scene.around.body
    if body is None or not len(rows):
        return met
    count = int(np.ceil(float(length(b[0] - a[0])) / radius)) + 1
    share = np.linspace(0.0, 1.0, count)[:, None]
    at = a[:, None] + share * (b - a)[:, None]
    low = scene.to_body[rows][:, None] - length(at - scene.points.at[rows][:, None])
    which, k = np.nonzero(low < radius + body.spacing)
    hit = within(body, at[which, k] - scene.around.lift, radius)
    met[which[hit]] = True
    return met


def blockers(points: WeldPoints, around: Around, torch: Torch = TORCH) -> Whole:
    """How often (m,) each member stands in the way of the straightest pose, own tubes left out."""
    scene = _scene(points, around, torch)
    rows: Whole = np.arange(len(points.at))
    away, side, _ = directions(points, rows, 0.0, 0.0)
    at = points.at
    bars = [
        (at + WIRE * away, at + (torch.stickout + torch.nozzle_length) * away, torch.nozzle / 2.0),
        _bar(at, away, side, torch),
        _bar(at, away, -side, torch),
    ]
    count = np.zeros(len(around.present), dtype=np.int64)
    for a, b, radius in bars:
        which, chord = _met_pairs(scene, scene.far, rows, a, b, radius)
        member = around.tubes.member[chord]
        count += np.bincount(member[~points.own[rows[which], member]], minlength=len(count))
    return count


def _bar(at: Array, away: Array, bent: Array, torch: Torch) -> tuple[Array, Array, float]:
    start = at + (torch.stickout + torch.nozzle_length) * away
    line = math.cos(torch.neck_angle) * away + math.sin(torch.neck_angle) * bent
    return start, start + (torch.neck_length + torch.handle_length) * line, torch.neck / 2.0
