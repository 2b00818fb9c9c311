"""A plan brought close to its body: bend points moved within stated freedom until the gap is as wanted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypedDict

import numpy as np

from cagewright.base.names import shown
from cagewright.base.problems import ProblemsFound
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
)
from cagewright.draft.freedoms import Lack, missing_freedom
from cagewright.draft.handles import Handle, Move, changed_by, handles_of, moves_between, reseated, ways_of
from cagewright.draft.tighten import (
    BETTER,
    ROUNDED,
    Loose,
    Surroundings,
    Tight,
    axis_points,
    gained,
    gaps_at,
    tightened,
)
from cagewright.plan.places import AtFoot, OnMember
from cagewright.plan.types import Plan
from cagewright.shape.body_offset import TARGET_GAP
from cagewright.shape.located import in_plan
from cagewright.shape.places import spot
from cagewright.shape.resolve import Layout, Route, laid_out, resolve
from cagewright.shape.shell import SKIN, BodyLine, LineKind, Shell, lines_give
from cagewright.shape.standing import followed
from cagewright.shape.types import Array
from cagewright.stock.shop import Shop, die_for
from cagewright.stock.tubes import Tube

CLOSE = 2e-2
"""A fit ends when a step betters its gap's mean square error by less, mm2: it is written in whole mm."""
BESIDE_FOOT = 250.0
"""Height over a foot below which its tube follows nothing, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Freedom:
    """What may move, and how far.

    Attributes:
        gap: wanted between tube and body, mm.
        least: kept everywhere, mm.
        reach: furthest that a place may come to lie from where it was, mm.
        members: only these; every member that follows the body where empty.
        fixed: named points that stay where they are.
        follows: which structures of the body each member is laid along; told from where it stands if empty.
    """

    gap: float = TARGET_GAP
    least: float = 5.0
    reach: float = 40.0
    members: frozenset[str] = frozenset()
    fixed: frozenset[str] = frozenset()
    follows: Mapping[str, frozenset[LineKind]] = field(default_factory=dict[str, frozenset[LineKind]])


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """How one member came out.

    Attributes:
        member: its name.
        tight: what was done; None where nothing was tried.
        why_not: why it was left as it was; empty where it was moved.
        passes: what of the scan stands proud beside it as it lies now.
        give: how far its gaps may be out either way, mm: what the scan or the readings may be out.
        gain: how much better it lies by its own measure, mm.
        lacks: what would bring it nearer to its gap; None where nothing is known to.
    """

    member: str
    tight: Tight | None
    why_not: str
    passes: tuple[Passed, ...] = ()
    give: float = 0.0
    gain: float = 0.0
    lacks: Lack | None = None


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
    A member that would lie no better by its own measure (``Gain``) is left as it was, and so is one that
    would carry others that are bent to follow the body to where they lose more than it gains.

    Args:
        plan: one that resolves.
        shell: what is known of the body; the scan is used where there is one, else the lines.
        freedom: what may move, and how far.
        shop: whose dies' least straights are kept.
    """
    stay: dict[str, str] = {}
    freedom = freedom if freedom.follows else replace(freedom, follows=followed(resolve(plan)))
    while True:
        last, told = _each_in_turn(plan, shell, freedom, shop, stay)
        told, worse = _carried(plan, last, told, shell, freedom, shop)
        if worse.keys() <= stay.keys():
            return last, Report(members=told, moves=tuple(moves_between(plan, last)))
        stay |= worse


def _each_in_turn(
    plan: Plan, shell: Shell, freedom: Freedom, shop: Shop, stay: Mapping[str, str]
) -> tuple[Plan, tuple[Fitted, ...]]:
    """The plan with each member that follows the body fitted but those that ``stay``, and why they do."""
    told: list[Fitted] = []
    for name in plan.members:
        if name in freedom.follows and (not freedom.members or name in freedom.members):
            plan, result = _fitted(plan, name, shell, freedom, shop, stay.get(name, ""))
            told.append(replace(result, give=_give(shell, freedom.follows[name])))
    return plan, tuple(told)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tube:
    """A tube that follows the body: what may move of it, and the body beside it, exactly and for a search."""

    handles: Sequence[Handle]
    loose: Loose
    body: Surroundings
    roughly: Surroundings


@dataclass(frozen=True, slots=True, kw_only=True)
class _Carried:
    """A member that is bent to follow the body and lands on one that was moved.

    Attributes:
        by: the members that carried it.
        tube: as it lay at first.
        now: (n, 3) its places as they lie, mm.
    """

    by: tuple[str, ...]
    tube: _Tube
    now: Array


def _carried(
    first: Plan, last: Plan, told: tuple[Fitted, ...], shell: Shell, freedom: Freedom, shop: Shop
) -> tuple[tuple[Fitted, ...], dict[str, str]]:
    """Each member as it lay and lies though others carried it; which of these leave one worse, and whom."""
    before, after = laid_out(first, in_plan)[0], laid_out(last, in_plan)[0]
    movers = {
        name: one.member
        for one in told
        if one.tight and not one.why_not
        for name in (one.member, first.members[one.member].mirror)
    }
    carried: dict[str, _Carried] = {}
    for name, member in first.members.items():
        on = [p.on for p in member.path if isinstance(p, OnMember) and p.on in movers]
        lies = _route(after, name)
        if not on or lies is None or name not in freedom.follows:
            continue
        tube = _tube(first, before, name, shell, freedom, shop)
        if isinstance(tube, _Tube):
            by = tuple(dict.fromkeys(movers[name] for name in on))
            carried[name] = _Carried(by=by, tube=tube, now=_places(after, lies))
    lost: dict[str, float] = {}
    worst: dict[str, str] = {}
    for name, one in carried.items():
        loose, by = one.tube.loose, _told_apart(shell, freedom.follows[name])
        back = gained(replace(loose, places=one.now), loose.places, one.tube.body, **_wanted(freedom))
        if back.over(by):
            alike = 1 + (first.members[name].mirror is not None)
            lost |= {mover: lost.get(mover, 0.0) + alike * back.measure for mover in one.by}
            worst |= dict.fromkeys(one.by, name)
    worse = {one.member: worst[one.member] for one in told if lost.get(one.member, 0.0) > one.gain}
    return tuple(_as_it_lies(one, carried.get(one.member), shell) for one in told), worse


def _as_it_lies(told: Fitted, carried: _Carried | None, shell: Shell) -> Fitted:
    """What is told of a member, from where it lay before any was moved to where it lies after all were."""
    if told.tight is None or carried is None:
        return told
    loose, body, now = carried.tube.loose, carried.tube.body, carried.now
    far = float(length(now - loose.places).max())
    before, after = (gaps_at(loose, places, body) for places in (loose.places, now))
    tight = replace(told.tight, places=now, before=before, after=after, moved=far)
    along = f"carried along by {' and '.join(map(shown, carried.by))}; " if far > ROUNDED else ""
    why_not = along + told.why_not if told.why_not else ""
    return replace(told, tight=tight, why_not=why_not, passes=_passes(loose, now, body, shell))


def _told_apart(shell: Shell, kinds: frozenset[LineKind]) -> float:
    """What a smaller change of how a tube lies is not told from nothing, mm."""
    return max(BETTER, _give(shell, kinds) / 2.0)


def _wanted(freedom: Freedom) -> _Wanted:
    return _Wanted(target=freedom.gap, least=freedom.least)


def _tube(plan: Plan, layout: Layout, name: str, shell: Shell, freedom: Freedom, shop: Shop) -> _Tube | str:
    """The member as a tube that may move; why it cannot, in words, where it cannot."""
    route = _route(layout, name)
    if route is None:
        return "it does not resolve"
    places = _places(layout, route)
    handles = handles_of(plan, name, places, freedom.fixed)
    if not handles:
        return "it has no bend that may move"
    follow = [line for line in shell.lines if line.kind in freedom.follows[name]]
    # where the whole section is known, lines that only cross it know nothing more
    follow = [line for line in follow if line.kind == "section"] or follow
    loose = _loose(plan, name, places, ways_of(handles, places, follow, shell), freedom, shop, route.tube)
    feet = [layout.ground.feet[p.foot] for p in plan.members[name].path if isinstance(p, AtFoot)]
    skip = max((float(foot.point[2]) + BESIDE_FOOT for foot in feet), default=-np.inf)
    body, roughly = _surroundings(shell, follow, skip, loose)
    return _Tube(handles=handles, loose=loose, body=body, roughly=roughly)


def _fitted(
    plan: Plan, name: str, shell: Shell, freedom: Freedom, shop: Shop, harms: str
) -> tuple[Plan, Fitted]:
    layout, _ = laid_out(plan, in_plan)
    tube = _tube(plan, layout, name, shell, freedom, shop)
    if isinstance(tube, str):
        return plan, Fitted(member=name, tight=None, why_not=tube)
    loose, body, roughly, places = tube.loose, tube.body, tube.roughly, tube.loose.places
    wanted = _wanted(freedom)
    tight = tightened(loose, body, **wanted, units=plan.house_units, roughly=roughly, close=CLOSE)
    if tight.before is None:
        return plan, Fitted(member=name, tight=None, why_not="no line or scan of the body runs beside it")
    changed = changed_by(plan, name, tube.handles, places, tight.places)
    now, _ = laid_out(changed, in_plan)
    moved = _route(now, name)
    by = _told_apart(shell, freedom.follows[name])
    gain = gained(loose, tight.places if moved is None else _places(now, moved), body, **wanted)
    if harms or not gain.over(by):
        held = "".join(f": {word}" for word in tight.held[:1])
        stays = replace(tight, places=places, after=tight.before, moved=0.0)
        lacks = missing_freedom(loose, places, roughly, **wanted)
        source = "the readings" if shell.scan is None else "the scan"
        known = f" than {source} can tell" if by > BETTER else ""
        stop = f"leave {shown(harms)} lying worse" if harms else f"lie no better{known}{held}"
        why_not = f"moved, it would {stop}"
        passes = _passes(loose, places, body, shell)
        return plan, Fitted(member=name, tight=stays, why_not=why_not, passes=passes, lacks=lacks)
    changed = reseated(changed, layout, now, {name, plan.members[name].mirror})
    wrong = _trouble(changed)
    if wrong:
        return plan, Fitted(member=name, tight=None, why_not=f"moved, it would no longer resolve: {wrong}")
    passes = _passes(loose, tight.places, body, shell)
    lacks = missing_freedom(loose, tight.places, roughly, **wanted)
    return changed, Fitted(
        member=name, tight=tight, why_not="", passes=passes, gain=gain.measure, lacks=lacks
    )


def _give(shell: Shell, kinds: frozenset[LineKind]) -> float:
    if shell.scan is not None:
        return shell.scan.give
    return lines_give(max((line.spread for line in shell.lines if line.kind in kinds), default=0.0))


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
