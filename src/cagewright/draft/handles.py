"""What of a plan's bends may move, and the plan once it has."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cagewright.base.curves import Chain, nearest, point_at
from cagewright.base.vectors import length
from cagewright.draft.beside import ways_off
from cagewright.draft.tape import STEPS
from cagewright.plan.places import AtCoordinates, AtPoint, OnMember, Place
from cagewright.plan.source import Keys
from cagewright.plan.types import MemberEntry, Plan, PointEntry
from cagewright.shape.located import AlreadyRefused, Refused
from cagewright.shape.places import spot
from cagewright.shape.resolve import Layout
from cagewright.shape.shell import BodyLine, Shell
from cagewright.shape.types import Array

FLAT = 0.5
"""A member whose places lie this near one plane keeps it, mm."""
PAIRED = 0.5
"""Places this near to being mirrors of each other stay mirrors, mm."""
KEEPS = 15.0
"""A place on a moved tube that comes to lie no further than this from where it lay is left as written, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One value of the plan that changed: its keys, what stood there and what does now (mm)."""

    keys: Keys
    before: tuple[float, ...]
    after: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Handle:
    """One thing that moves: the values it is written in, and the places of the path that go with it.

    Attributes:
        keys: of the values, each with 1 or -1 where its across goes the other way.
        uses: index of each place in the path, with 1 or -1 likewise.
    """

    keys: tuple[tuple[Keys, float], ...]
    uses: tuple[tuple[int, float], ...]


def handles_of(plan: Plan, name: str, places: Array, fixed: frozenset[str]) -> list[Handle]:
    """What of the member's bends may move: its own coordinates, and points that nothing else stands on."""
    found: dict[object, Handle] = {}
    own = {p.mirror: n for n, p in plan.points.items() if p.mirror}
    path = plan.members[name].path
    for i in range(1, len(path) - 1):
        place = path[i]
        if isinstance(place, AtPoint):
            origin = own.get(place.point, place.point)
            if {place.point, origin} & fixed or origin not in plan.points or _stands_on(plan, name, origin):
                continue
            use = (i, 1.0 if origin == place.point else -1.0)
            keys: tuple[tuple[Keys, float], ...] = ((("points", origin), 1.0),)
            old = found.get(origin, Handle(keys=keys, uses=()))
            found[origin] = replace(old, uses=(*old.uses, use))
        elif isinstance(place, AtCoordinates):
            twin = len(path) - 1 - i
            mine: Keys = ("members", name, "path", i)
            off = places[i] * np.array([1.0, -1.0, 1.0]) - places[twin]
            paired = isinstance(path[twin], AtCoordinates) and float(np.abs(off).max()) < PAIRED
            if twin in found and paired:
                old = found[twin]
                found[twin] = replace(old, keys=(*old.keys, (mine, -1.0)), uses=(*old.uses, (i, -1.0)))
            else:
                found[i] = Handle(keys=((mine, 1.0),), uses=((i, 1.0),))
    return list(found.values())


def _stands_on(plan: Plan, name: str, point: str) -> bool:
    """Whether a foot or another member uses the point or its mirror."""
    names = {point, plan.points[point].mirror}
    feet = {f.at.point if isinstance(f.at, AtPoint) else f.at for f in plan.feet.values()}
    others = (p for n, m in plan.members.items() if n != name for p in m.path if isinstance(p, AtPoint))
    return bool(names & {f for f in feet if isinstance(f, str)}) or any(p.point in names for p in others)


def ways_of(handles: Sequence[Handle], places: Array, follow: Sequence[BodyLine], shell: Shell) -> Array:
    """(k, n, 3) how the places move with each freedom, mm per mm."""
    plane = _plane(places)
    ways: list[Array] = []
    for handle in handles:
        here = places[handle.uses[0][0]]
        if plane is not None:
            axes = plane
        elif shell.scan is not None or not follow:
            axes = np.eye(3)
        else:
            axes = ways_off(follow, here)
        for axis in axes:
            way = np.zeros_like(places)
            for i, sign in handle.uses:
                way[i] = axis * np.array([1.0, sign, 1.0])
            ways.append(way)
    return np.array(ways)


def _plane(places: Array) -> Array | None:
    """Two axes (2, 3) of the plane that the places lie in, or None where they lie in none."""
    middle = places.mean(axis=0)
    _, _, axes = np.linalg.svd(places - middle)
    normal = axes[2]
    if len(places) < 3 or float(np.abs((places - middle) @ normal).max()) > FLAT:
        return None
    if abs(float(normal[0])) > 1.0 - 1e-9:
        return np.eye(3)[1:]
    return axes[:2]


def changed_by(plan: Plan, name: str, handles: Sequence[Handle], before: Array, after: Array) -> Plan:
    """The plan with each handle's values moved as its first place moved, to the plan's own step."""
    points, path = dict(plan.points), list(plan.members[name].path)
    size = STEPS[plan.house_units]
    for handle in handles:
        first, turn = handle.uses[0]
        step = (after[first] - before[first]) * np.array([1.0, turn, 1.0])
        for keys, sign in handle.keys:
            move = step * np.array([1.0, sign, 1.0])
            if keys[0] == "points":
                entry = points[str(keys[1])]
                points[str(keys[1])] = entry.model_copy(update={"at": _stepped(entry.at, move, size)})
            else:
                index = int(keys[3])
                place = path[index]
                assert isinstance(place, AtCoordinates)
                path[index] = place.model_copy(update={"at": _stepped(place.at, move, size)})
    member = plan.members[name].model_copy(update={"path": tuple(path)})
    return _with(plan, points, {**plan.members, name: member})


def _stepped(at: tuple[float, float, float], move: Array, size: float) -> tuple[float, float, float]:
    """The place moved, each number to a whole step; one that hardly moves stays as it was written."""
    x, y, z = (
        a if abs(m) < size / 2.0 else round((a + m) / size) * size
        for a, m in zip(at, move.tolist(), strict=True)
    )
    return x, y, z


def _with(plan: Plan, points: Mapping[str, PointEntry], members: Mapping[str, MemberEntry]) -> Plan:
    return plan.model_copy(update={"points": dict(points), "members": dict(members)})


def reseated(changed: Plan, layout: Layout, now: Layout, names: set[str | None]) -> Plan:
    """The changed plan, with places on the moved members brought along where they would lie elsewhere."""
    members = dict(changed.members)
    for other, entry in changed.members.items():
        path = list(entry.path)
        for i, place in enumerate(path):
            if isinstance(place, OnMember) and place.on in names:
                path[i] = _brought_along(place, layout, now)
        members[other] = entry.model_copy(update={"path": tuple(path)})
    return _with(changed, changed.points, members)


def _brought_along(place: OnMember, before: Layout, now: Layout) -> OnMember:
    old, new = before.ground.paths.get(place.on), now.ground.paths.get(place.on)
    if old is None or new is None or place.part is not None:
        return place
    was = spot(place, before.ground, ())
    share = nearest(old, was)[0] / old.length
    kept = point_at(new, share * new.length)
    try:
        near = float(length(spot(place, now.ground, ()) - kept)) <= KEEPS
    except (Refused, AlreadyRefused):
        near = False
    return place if near else _moved_place(place, kept, share, new)


def _moved_place(place: OnMember, kept: Array, share: float, new: Chain) -> OnMember:
    values = {
        "back": float(kept[0]), "across": float(kept[1]), "up": float(kept[2]), "along": share * new.length,
    }  # fmt: skip
    key = next(k for k in values if getattr(place, k) is not None)
    return place.model_copy(update={key: float(round(values[key]))})


def moves_between(first: Plan, last: Plan) -> Iterable[Move]:
    """Every value that differs between a plan and the one that it became."""
    for name, entry in last.points.items():
        if entry.at != first.points[name].at:
            yield Move(keys=("points", name), before=first.points[name].at, after=entry.at)
    for name, member in last.members.items():
        for i, (was, now) in enumerate(zip(first.members[name].path, member.path, strict=True)):
            if was != now:
                yield from _place_move(("members", name, "path", i), was, now)


def _place_move(keys: Keys, was: Place, now: Place) -> Iterable[Move]:
    if isinstance(was, AtCoordinates) and isinstance(now, AtCoordinates):
        yield Move(keys=keys, before=was.at, after=now.at)
    elif isinstance(was, OnMember) and isinstance(now, OnMember):
        for key in ("up", "back", "across", "along"):
            a, b = getattr(was, key), getattr(now, key)
            if a is not None and b is not None and a != b:
                yield Move(keys=(*keys, key), before=(float(a),), after=(float(b),))
