"""How an assembled part goes in: a search with all six freedoms from outside an opening to its place.

Two trees of poses, one grown from its place and one from outside, until they meet; then shortened. A way
found is a way, as far as the body is known: at every look it keeps a margin that covers what lies between two
looks. None found is no proof that there is none; what can be proven is in ``fitup.opening``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from cagewright.base.curves import sample
from cagewright.base.vectors import Vector, length
from cagewright.fitup import kernels_way as kernels
from cagewright.fitup.opening import Opening
from cagewright.fitup.room import OUT, Room
from cagewright.shape.types import Member

Floats = NDArray[np.float64]
TRIES = 6000
"""Poses that one search grows its trees toward."""
OUTSIDE = 40
"""Attitudes in which the part may be held up outside to begin with."""
MARGINS = (24.0, 12.0, 6.0)
"""Least room kept on the way, mm: as hands like it, and at last ``OUT`` and half of ``FINE``."""
FINE = 6.0
"""No place of the part moves further than this, or than there is room, between two looks, mm."""
MOST = 400.0
"""A tree grows by so much at a time, mm."""
OFF = 150.0
"""Furthest that the part is first drawn off its place in a straight line, mm."""
SEED = 20
WAYS = np.array([
    (0, 0, -1), (1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (1, 0, -1), (-1, 0, -1), (0, 1, -1),
    (0, -1, -1),
], dtype=np.float64)  # fmt: skip
"""Ways to draw a part off its place, tried in this order: down, back, forward, to the sides, up, between."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriedPart:
    """What is carried in.

    Attributes:
        tubes: (s, 7) start, stop and radius of straight pieces, mm, from its middle.
        names: (s,) the tube that each is a piece of.
        middle: (3,) its middle where the plan has it, mm.
        reach: of its furthest place from its middle, mm.
    """

    tubes: Floats
    names: tuple[str, ...]
    middle: Vector
    reach: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WayIn:
    """A way in.

    Attributes:
        poses: (n, 7) of the part, from outside to its place: its middle, mm, and how it is turned from the
            plan, a unit quaternion (w, x, y, z); between two it goes straight and turns evenly.
        room: (n - 1,) least room on each stretch, mm, at least.
        tries: poses grown toward.
    """

    poses: Floats
    room: Floats
    tries: int


def part_of(members: Sequence[Member]) -> CarriedPart:
    """The tubes as one rigid part of round-ended straight pieces; at a foot it ends where the tube does.

    Raises:
        ValueError: no members.
    """
    if not members:
        raise ValueError("nothing to carry in")
    rows: list[Floats] = []
    names: list[str] = []
    for member in members:
        points = sample(member.path, sagitta=1.0)
        for at, end, inner in ((0, member.ends[0], 1), (-1, member.ends[1], -2)):
            if end.foot is not None:
                way = points[inner] - points[at]
                points[at] += way * min(member.tube.radius / float(length(way)), 0.9)
        radius = np.full((len(points) - 1, 1), member.tube.radius)
        rows.append(np.hstack([points[:-1], points[1:], radius]))
        names += [member.name] * len(radius)
    tubes = np.concatenate(rows)
    ends = np.concatenate([tubes[:, :3], tubes[:, 3:6]])
    middle = (ends.max(axis=0) + ends.min(axis=0)) / 2.0
    tubes[:, :3] -= middle
    tubes[:, 3:6] -= middle
    reach = float(length(ends - middle).max() + tubes[:, 6].max())
    return CarriedPart(tubes=tubes, names=tuple(names), middle=middle, reach=reach)


def room_at(part: CarriedPart, room: Room, pose: Floats) -> float:
    """Least room round the part in that pose (7,), mm; less than 0 where it runs into something."""
    return float(kernels.clearance(pose, part.tubes, _of(room), -1e6)) - OUT


def way_in(
    part: CarriedPart,
    room: Room,
    opening: Opening,
    place: Vector,
    *,
    margin: float = MARGINS[-1],
    tries: int = TRIES,
    seed: int = SEED,
) -> WayIn | None:
    """A way from outside the opening to where the part's middle is at ``place`` (3,), as the plan turns it.

    Args:
        part: what is carried.
        room: what is in the way.
        opening: to go in by.
        place: mm.
        margin: room to keep, mm.
        tries: poses to grow toward.
        seed: of the random ones; the same seed finds the same way.

    Returns:
        The way, or None where none was found.
    """
    random = np.random.default_rng(seed)
    begin = _outside(part, room, opening, random)
    targets = _targets(part, opening, place, random, tries)
    return way_between(part, room, begin, upright(place), targets, margin)


def upright(at: Vector) -> Vector:
    """The pose (7,) of a part whose middle is at that place (3,) mm, turned as the plan has it."""
    return np.r_[at, 1.0, 0.0, 0.0, 0.0]


def way_between(
    part: CarriedPart, room: Room, begin: Floats, end: Floats, targets: Floats, margin: float
) -> WayIn | None:
    """A way from one of the poses ``begin`` (b, 7) to ``end`` (7,), its trees grown toward ``targets``."""
    off = drawn_off(part, room, end, margin)
    free = np.array([b for b in begin if _clear(part, room, b) > margin])
    if off is None or not len(free):
        return None
    many = 2 * len(targets) + len(free) + 2
    trees, parents = np.zeros((2, many, 7)), np.full((2, many), -1)
    counts = np.array([1, len(free)])
    trees[0, 0], trees[1, : len(free)] = off, free
    tries, mine, other = kernels.join(
        trees, parents, counts, targets, MOST, part.reach, part.tubes, _of(room), margin, FINE
    )
    if mine < 0:
        return None
    poses = [*_back(trees[1], parents[1], other)[::-1], *_back(trees[0], parents[0], mine)]
    short = shortened(part, room, np.array(poses), margin)
    whole = np.concatenate([short, end[None]]) if np.abs(off - end).max() > 0.0 else short
    return WayIn(poses=whole, room=_room_on(part, room, whole), tries=tries)


def drawn_off(part: CarriedPart, room: Room, pose: Floats, margin: float = MARGINS[-1]) -> Floats | None:
    """The pose, or the nearest one with that margin round it that is reached from it in a straight line.

    On that line there is never less room than at the pose itself, to half a millimetre; None where the part
    touches something in the pose, or there is no such line.
    """
    now = _clear(part, room, pose)
    if now > margin:
        return pose
    if now <= OUT:
        return None
    for far in np.arange(5.0, OFF + 1.0, 5.0):
        for way in WAYS:
            end = np.r_[pose[:3] + far * way / float(length(way)), pose[3:]]
            if _clear(part, room, end) > margin:
                share, _ = kernels.free_share(
                    pose, end, part.reach, part.tubes, _of(room), now - 0.5, 2.0, False
                )
                if share >= 1.0:
                    return end
    return None


def shortened(part: CarriedPart, room: Room, poses: Floats, margin: float, *, seed: int = SEED) -> Floats:
    """The way (n, 7) with every corner cut off that can be, then without each pose that it can do without."""
    random, way = np.random.default_rng(seed), _thinned(part, room, list(poses), margin)
    for _ in range(80):
        if len(way) < 3:
            break
        i, j = sorted(random.choice(len(way) - 1, 2, replace=False))
        one, two = (_between(way[k], way[k + 1], s) for k, s in zip((i, j), random.random(2), strict=True))
        if _free(part, room, one, two, margin):
            way = [*way[: i + 1], one, two, *way[j + 1 :]]
    return np.array(_thinned(part, room, way, margin))


def _thinned(part: CarriedPart, room: Room, way: list[Floats], margin: float) -> list[Floats]:
    kept, at = [way[0]], 0
    while at < len(way) - 1:
        at = next(
            (j for j in range(len(way) - 1, at + 1, -1) if _free(part, room, way[at], way[j], margin)), at + 1
        )
        kept.append(way[at])
    return kept


def turned(pose: Floats) -> Rotation:
    """How a pose (7,) is turned from the plan."""
    return Rotation.from_quat(np.r_[pose[4:], pose[3]])


def _of(room: Room) -> tuple[NDArray[np.float32], Vector, float, float, Floats, float]:
    return room.field, room.low, room.step, room.margin, room.wall, room.ground


def _clear(part: CarriedPart, room: Room, pose: Floats) -> float:
    return float(kernels.clearance(pose, part.tubes, _of(room), -1e6))


def _free(part: CarriedPart, room: Room, one: Floats, two: Floats, margin: float) -> bool:
    found = kernels.free_share(one, two, part.reach, part.tubes, _of(room), margin, FINE, True)
    return float(found[0]) >= 1.0


def _room_on(part: CarriedPart, room: Room, poses: Floats) -> Floats:
    """Least room on each stretch of the way, mm, at least."""
    pairs = pairwise(poses)
    least = [
        kernels.free_share(a, b, part.reach, part.tubes, _of(room), 0.0, 2.0, False)[1] for a, b in pairs
    ]
    return np.array(least) - OUT - 1.0


def _between(one: Floats, two: Floats, share: float) -> Floats:
    out = np.empty(7)
    kernels.between(one, two, share, out)
    return out


def _back(tree: Floats, parents: NDArray[np.int64], node: int) -> list[Floats]:
    """The nodes from that one to the root."""
    found: list[Floats] = []
    while node >= 0:
        found.append(tree[node])
        node = int(parents[node])
    return found


def _outside(part: CarriedPart, room: Room, opening: Opening, random: np.random.Generator) -> Floats:
    """Poses outside the opening, clear of the ground: as the plan turns it, and any way up."""
    turns = np.concatenate([[[1.0, 0.0, 0.0, 0.0]], _any_turn(random, OUTSIDE - 1)])
    at = opening.at + (part.reach + 60.0) * opening.out
    poses = np.hstack([np.tile(at, (OUTSIDE, 1)), turns])
    poses[:, 2] = np.maximum(poses[:, 2], room.ground + part.reach + 30.0)
    return poses


def _targets(
    part: CarriedPart, opening: Opening, place: Vector, random: np.random.Generator, count: int
) -> Floats:
    """Random poses turned any way, half of them between the opening and the place, half round the opening."""
    poses = np.empty((count, 7))
    poses[:, 3:] = _any_turn(random, count)
    low, high = np.minimum(opening.edge.min(axis=0), place), np.maximum(opening.edge.max(axis=0), place)
    poses[:, :3] = random.uniform(low - 200.0, high + 200.0, (count, 3))
    near = random.random(count) < 0.5
    edge = (opening.edge - opening.at) @ np.array([opening.u, opening.v, opening.out]).T
    size = np.r_[np.abs(edge[:, :2]).max(axis=0), 1.2 * part.reach]
    local = random.uniform(-1.0, 1.0, (count, 3)) * size
    poses[near, :3] = opening.at + (local @ np.array([opening.u, opening.v, opening.out]))[near]
    return poses


def _any_turn(random: np.random.Generator, count: int) -> Floats:
    four = random.normal(size=(count, 4))
    return four / length(four)[:, None]
