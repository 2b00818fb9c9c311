"""A plan brought close to its body: bend points moved within stated freedom until the gap is as wanted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypedDict

import numpy as np

from cagewright.base.curves import Chain, nearest, point_at
from cagewright.base.problems import ProblemsFound
from cagewright.base.units import MM_PER_IN
from cagewright.base.vectors import length
from cagewright.draft.beside import (
    Passed,
    beside_lines,
    beside_mesh,
    by_mesh,
    by_samples,
    cloud_beside,
    passed,
    remembered,
    ways_off,
)
from cagewright.draft.freedoms import missing_freedom
from cagewright.draft.tighten import (
    BETTER,
    ROUNDED,
    Loose,
    Surroundings,
    Tight,
    axis_points,
    is_better,
    tightened,
)
from cagewright.plan.places import AtCoordinates, AtFoot, AtPoint, OnMember, Place
from cagewright.plan.source import Keys
from cagewright.plan.types import MemberEntry, Plan, PointEntry, Role
from cagewright.shape.body_offset import FOLLOWED, TARGET_GAP
from cagewright.shape.located import AlreadyRefused, Refused, in_plan
from cagewright.shape.places import spot
from cagewright.shape.resolve import Layout, Route, laid_out, resolve
from cagewright.shape.shell import SKIN, BodyLine, Shell, lines_give
from cagewright.shape.types import Array
from cagewright.stock.shop import Shop, die_for
from cagewright.stock.tubes import Tube

STEPS = {"mm": 1.0, "in": MM_PER_IN / 32.0}
"""To what places are written, mm: what the plan's tape is read to."""
FLAT = 0.5
"""A member whose places lie this near one plane keeps it, mm."""
PAIRED = 0.5
"""Places this near to being mirrors of each other stay mirrors, mm."""
BESIDE_FOOT = 250.0
"""Height over a foot below which its tube follows nothing, mm."""
KEEPS = 15.0
"""A place on a moved tube that comes to lie no further than this from where it lay is left as written, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Freedom:
    """What may move, and how far.

    Attributes:
        gap: wanted between tube and body, mm.
        least: kept everywhere, mm.
        reach: furthest that a place may come to lie from where it was, mm.
        members: only these; every member that follows the body where empty.
        fixed: named points that stay where they are.
    """

    gap: float = TARGET_GAP
    least: float = 5.0
    reach: float = 40.0
    members: frozenset[str] = frozenset()
    fixed: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One value of the plan that changed: its keys, what stood there and what does now (mm)."""

    keys: Keys
    before: tuple[float, ...]
    after: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """How one member came out.

    Attributes:
        member: its name.
        tight: what was done; None where nothing was tried.
        why_not: why it was left as it was; empty where it was moved.
        passes: what of the scan stands proud beside it as it lies now.
        give: how far its gaps may be out either way, mm: what the scan or the readings may be out.
    """

    member: str
    tight: Tight | None
    why_not: str
    passes: tuple[Passed, ...] = ()
    give: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """What tight-fit did: each member that follows the body, and every value that changed."""

    members: tuple[Fitted, ...]
    moves: tuple[Move, ...]


class _Wanted(TypedDict):
    target: float
    least: float


def fit(plan: Plan, shell: Shell, freedom: Freedom, shop: Shop) -> tuple[Plan, Report]:
    """The plan with its bend points moved to bring each tube to the wanted gap, and what held it back.

    A member that lies in a plane keeps it, mirrored places stay mirrored, radii are left as they are,
    straights are kept as long as the shop's dies need, and feet and ends stay where the plan puts them.
    A member that would lie no better by ``is_better`` is left as it was.

    Args:
        plan: one that resolves.
        shell: what is known of the body; the scan is used where there is one, else the lines.
        freedom: what may move, and how far.
        shop: whose dies' least straights are kept.
    """
    first = plan
    told: list[Fitted] = []
    for name in plan.members:
        if plan.members[name].role in FOLLOWED and (not freedom.members or name in freedom.members):
            plan, result = _fitted(plan, name, shell, freedom, shop)
            told.append(replace(result, give=_give(shell, plan.members[name].role)))
    return plan, Report(members=tuple(told), moves=tuple(_moves(first, plan)))


def _fitted(plan: Plan, name: str, shell: Shell, freedom: Freedom, shop: Shop) -> tuple[Plan, Fitted]:
    layout, _ = laid_out(plan, in_plan)
    route = _route(layout, name)
    if route is None:
        return plan, Fitted(member=name, tight=None, why_not="it does not resolve")
    places = _places(layout, route)
    handles = _handles(plan, name, places, freedom.fixed)
    if not handles:
        return plan, Fitted(member=name, tight=None, why_not="it has no bend that may move")
    follow = [line for line in shell.lines if line.kind in FOLLOWED[plan.members[name].role]]
    # where the whole section is known, lines that only cross it know nothing more
    follow = [line for line in follow if line.kind == "section"] or follow
    loose = _loose(plan, name, places, _ways(handles, places, follow, shell), freedom, shop, route.tube)
    feet = [layout.ground.feet[p.foot] for p in plan.members[name].path if isinstance(p, AtFoot)]
    skip = max((float(foot.point[2]) + BESIDE_FOOT for foot in feet), default=-np.inf)
    body, roughly = _surroundings(shell, follow, skip, loose)
    wanted = _Wanted(target=freedom.gap, least=freedom.least)
    tight = tightened(loose, body, **wanted, units=plan.house_units, roughly=roughly)
    if tight.before is None:
        return plan, Fitted(member=name, tight=None, why_not="no line or scan of the body runs beside it")
    changed = _changed(plan, name, handles, places, tight.places)
    now, _ = laid_out(changed, in_plan)
    moved = _route(now, name)
    by = max(BETTER, _give(shell, plan.members[name].role) / 2.0)
    if moved is not None and not is_better(loose, _places(now, moved), body, **wanted, by=by):
        held = "".join(f": {word}" for word in tight.held[:1])
        stays = replace(tight, places=places, after=tight.before, moved=0.0)
        lacks = missing_freedom(loose, places, roughly, **wanted, units=plan.house_units)
        source = "the readings" if shell.scan is None else "the scan"
        known = f" than {source} can tell" if by > BETTER else ""
        why_not = f"moved, it would lie no better{known}{held}" + (f"; {lacks}" if lacks else "")
        passes = _passes(loose, places, body, shell)
        return plan, Fitted(member=name, tight=stays, why_not=why_not, passes=passes)
    changed = _reseated(changed, layout, now, {name, plan.members[name].mirror})
    wrong = _trouble(changed)
    if wrong:
        return plan, Fitted(member=name, tight=None, why_not=f"moved, it would no longer resolve: {wrong}")
    passes = _passes(loose, tight.places, body, shell)
    lacks = missing_freedom(loose, tight.places, roughly, **wanted, units=plan.house_units)
    tight = replace(tight, held=(*tight.held, lacks)) if lacks else tight
    return changed, Fitted(member=name, tight=tight, why_not="", passes=passes)


def _give(shell: Shell, role: Role) -> float:
    if shell.scan is not None:
        return shell.scan.give
    return lines_give(max((line.spread for line in shell.lines if line.kind in FOLLOWED[role]), default=0.0))


def _passes(loose: Loose, places: Array, body: Surroundings, shell: Shell) -> tuple[Passed, ...]:
    """What stands short and proud of a scan beside the tube through those places; lines tell of none."""
    if shell.scan is None:
        return ()
    points = axis_points(loose, places)
    return passed(points, body(points), loose.radius, shell.scan.mesh)


def _route(layout: Layout, name: str) -> Route | None:
    return next((r for r in layout.routes if r.draft.name == name), None)


def _places(layout: Layout, route: Route) -> Array:
    """(n, 3) the places of a member's path, mm."""
    return np.array([spot(p, layout.ground, ("members", route.draft.name)) for p in route.draft.entry.path])


def _trouble(plan: Plan) -> str:
    try:
        resolve(plan)
    except ProblemsFound as found:
        return found.problems[0].found
    return ""


# --- what may move


@dataclass(frozen=True, slots=True, kw_only=True)
class _Handle:
    """One thing that moves: the values it is written in, and the places of the path that go with it.

    Attributes:
        keys: of the values, each with 1 or -1 where its across goes the other way.
        uses: index of each place in the path, with 1 or -1 likewise.
    """

    keys: tuple[tuple[Keys, float], ...]
    uses: tuple[tuple[int, float], ...]


def _handles(plan: Plan, name: str, places: Array, fixed: frozenset[str]) -> list[_Handle]:
    """What of the member's bends may move: its own coordinates, and points that nothing else stands on."""
    found: dict[object, _Handle] = {}
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
            old = found.get(origin, _Handle(keys=keys, uses=()))
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
                found[i] = _Handle(keys=((mine, 1.0),), uses=((i, 1.0),))
    return list(found.values())


def _stands_on(plan: Plan, name: str, point: str) -> bool:
    """Whether a foot or another member uses the point or its mirror."""
    names = {point, plan.points[point].mirror}
    feet = {f.at.point if isinstance(f.at, AtPoint) else f.at for f in plan.feet.values()}
    others = (p for n, m in plan.members.items() if n != name for p in m.path if isinstance(p, AtPoint))
    return bool(names & {f for f in feet if isinstance(f, str)}) or any(p.point in names for p in others)


def _ways(handles: Sequence[_Handle], places: Array, follow: Sequence[BodyLine], shell: Shell) -> Array:
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


def _loose(
    plan: Plan, name: str, places: Array, ways: Array, freedom: Freedom, shop: Shop,
    tube: Tube,
) -> Loose:  # fmt: skip
    usual = plan.tubes[plan.members[name].tube].clr
    radii = tuple(float(getattr(p, "clr", None) or usual or 0.0) for p in plan.members[name].path)
    dies = [die_for(shop, tube, clr) for clr in radii[1:-1]]
    return Loose(
        places=places,
        radii=radii,
        radius=tube.radius,
        ways=ways,
        reach=max(freedom.reach - ROUNDED, 0.0),
        least_straight=max((d.least_straight for d in dies if d is not None), default=0.0),
    )


def _surroundings(
    shell: Shell, follow: Sequence[BodyLine], skip: float, loose: Loose
) -> tuple[Surroundings, Surroundings]:
    """The body beside the tube: exactly, and as a search of many trial moves asks it."""
    if shell.scan is None:
        clear = [line for line in shell.lines if line.kind in SKIN and line not in follow]
        lines = beside_lines(follow, clear, skip)
        return lines, lines
    mesh = shell.scan.mesh
    near = cloud_beside(mesh, axis_points(loose, loose.places), loose.reach) or shell.scan.cloud
    high, low = float(mesh.corners[:, 2].max()), float(mesh.corners[:, 2].min())
    one, other = (
        remembered(beside_mesh(mesh, middle=(high + low) / 2.0, skip=skip, near=near, closest=closest))
        for closest in (by_mesh(mesh), by_samples(mesh, near))
    )
    return one, other


# --- the plan after


def _changed(plan: Plan, name: str, handles: Sequence[_Handle], before: Array, after: Array) -> Plan:
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


def _reseated(changed: Plan, layout: Layout, now: Layout, names: set[str | None]) -> Plan:
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


def _moves(first: Plan, last: Plan) -> Iterable[Move]:
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
