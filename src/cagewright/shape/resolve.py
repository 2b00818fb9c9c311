"""A plan becomes the cage that will be built."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, cast

from cagewright.base.problems import Problem, ProblemsFound
from cagewright.base.vectors import triple
from cagewright.plan.size_types import SIZES
from cagewright.plan.types import AtFoot, Entry, Plan
from cagewright.shape.clashes import clashes, cuts_that_miss, solids_meet
from cagewright.shape.connections import connections_of
from cagewright.shape.couplings import couplings_set
from cagewright.shape.drafts import Draft, Twins, drafts_of, twins_of
from cagewright.shape.ends import member_of
from cagewright.shape.extras import gussets_of, lines_of, metal_of, plates_of
from cagewright.shape.feet import feet_of
from cagewright.shape.joints import Blemish, cut_ends, joints_of, site_of
from cagewright.shape.layout import TIGHT, Route, routes_of
from cagewright.shape.located import Locate, in_plan
from cagewright.shape.overlaps import strands, touches
from cagewright.shape.people import people_of
from cagewright.shape.places import Ground
from cagewright.shape.pushes import asked_of
from cagewright.shape.raw_ends import TOUCH, meetings_of, raw_ends_of
from cagewright.shape.tubes import tubes_of
from cagewright.shape.types import Cage, Foot, Joint, Member
from cagewright.shape.weld_open import welds_opened


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Every member's centre line, and what it rests on."""

    twins: Twins
    drafts: Sequence[Draft]
    routes: Sequence[Route]
    ground: Ground


@dataclass(frozen=True, slots=True, kw_only=True)
class Built:
    """The members with their ends cut, and the joints."""

    members: tuple[Member, ...]
    joints: tuple[Joint, ...]


def resolve(plan: Plan, where: Locate | None = None) -> Cage:
    """The cage the plan describes.

    ``where`` says where a value of the plan stands, given its keys from the top.

    Raises:
        ProblemsFound: every geometry problem of the plan.
    """
    cage, problems = _resolved(plan, where or in_plan, eased=False)
    if problems:
        raise ProblemsFound(problems)
    return cage


BLEMISHES = TIGHT | {
    "tubes-overlap", "cope-misses", "cut-misses", "bend-in-cope", "too-shallow", "foot-lean", "free-end",
    "rail-on-tube", "no-mitre", "gusset-place", "open-weld",
}  # fmt: skip
"""What keeps a cage from being made, and not from being seen."""


def with_blemishes(plan: Plan, where: Locate | None = None) -> tuple[Cage, tuple[Problem, ...]]:
    """The cage to be shown, never to be made from, and what has to be put right first.

    Raises:
        ProblemsFound: there are problems that leave nothing to show.
    """
    cage, problems = _resolved(plan, where or in_plan, eased=True)
    hard = [p for p in problems if p.code not in BLEMISHES]
    if hard:
        raise ProblemsFound(hard)
    return cage, tuple(problems)


def _resolved(plan: Plan, where: Locate, *, eased: bool) -> tuple[Cage, list[Problem]]:
    layout, problems = laid_out(plan, where, eased=eased)
    whole = all(eased and p.code in BLEMISHES for p in problems)
    people, met = people_of(plan, layout.ground)
    problems.extend(met)
    built, met = built_of(layout, whole)
    problems.extend(met)
    members, met = welds_opened(built.members, layout.drafts, layout.ground.where)
    problems.extend(met)
    members, met = couplings_set(members, layout.drafts, layout.ground.where, layout.ground.units)
    problems.extend(met)
    pushes, met = asked_of(plan, layout.ground)
    problems.extend(met)
    plates, met = plates_of(plan, layout.ground, layout.routes)
    problems.extend(met)
    gussets, met = gussets_of(plan, layout.twins, layout.routes, layout.ground)
    problems.extend(met)
    lines, met = lines_of(plan, layout.twins, layout.ground.where)
    problems.extend(met)
    metal, met = metal_of(plan, layout.twins, layout.ground.where)
    problems.extend(met)
    cage = Cage(
        title=plan.title,
        revision=revision(plan),
        units=plan.house_units,
        members=members,
        joints=built.joints,
        feet=_manned(layout),
        plates=plates,
        gussets=gussets,
        lines=lines,
        car=plan.car,
        people=people,
        pushes=pushes,
        metal=metal,
    )
    return cage, problems


def revision(plan: Plan) -> str:
    """First 10 hex digits of the SHA-256 of everything the plan says."""
    # what newer keys usually say is left out, so that older revision marks stay as they were
    usual = (("inches", "fractions"), ("people", {}), ("bench_first", None))
    unsaid: dict[str, object] = {key: True for key, value in usual if getattr(plan, key) == value}
    unsaid["tubes"] = {name: _unsaid(tube, (*SIZES, "corner")) for name, tube in plan.tubes.items()}
    unsaid["feet"] = {name: _unsaid(one, FOOT) for name, one in plan.feet.items()}
    unsaid["plates"] = {name: _unsaid(one, PLATE) for name, one in plan.plates.items()}
    unsaid["gussets"] = {name: _unsaid(one, GUSSET) for name, one in plan.gussets.items()}
    unsaid["members"] = {name: _unsaid(one, MEMBER) for name, one in plan.members.items()}
    if plan.driver is not None:
        unsaid["driver"] = _unsaid(plan.driver, BODY)
    if plan.seat is not None:
        unsaid["seat"] = _unsaid(plan.seat, SEAT)
    if plan.people:
        unsaid["people"] = {
            name: dict.fromkeys(_unsaid(one, (*BODY, "others")), True)
            | ({"seat": _unsaid(one.seat, SEAT)} if one.seat else {})
            for name, one in plan.people.items()
        }
    if plan.car is not None:
        unsaid["car"] = {key for key in ("centre", "inertia") if getattr(plan.car, key) is None}
    if plan.shell is not None:
        faces = {name: {"face"} for name, line in plan.shell.lines.items() if line.face == "corner"}
        metal = {name: _unsaid(one, ("box", "thickness")) for name, one in plan.shell.metal.items()} or True
        unsaid["shell"] = {"lines": faces, "metal": metal}
    return hashlib.sha256(plan.model_dump_json(exclude=cast("Any", unsaid)).encode()).hexdigest()[:10]


MEMBER, BODY, SEAT = (
    ("given", "bought", "lies", "held", "planned", "couplings", "caps"), ("called", "hole"),
    ("travel", "holes"),
)  # fmt: skip
"""Newer keys of a member, of somebody seated, and of a seat."""
FOOT, PLATE, GUSSET = ("folds", "box", "shaped"), ("holes",), ("corner", "hole", "dimpled")
"""Newer keys of what is cut from sheet."""


def _unsaid(entry: Entry, keys: Sequence[str]) -> set[str]:
    """Which of the keys the entry does not say, or says as they usually are."""
    usual = type(entry).model_fields
    return {k for k in keys if not (said := getattr(entry, k)) or said == usual[k].default}


def laid_out(plan: Plan, where: Locate, *, eased: bool = False) -> tuple[Layout, list[Problem]]:
    """Every member's centre line, as far as it can be laid out, and the problems met."""
    twins = twins_of(plan)
    feet_list, problems = feet_of(plan, twins.points, where)
    feet = {foot.name: foot for foot in feet_list}
    tubes, met = tubes_of(plan, where)
    problems.extend(met)
    drafts, met = drafts_of(plan, twins, feet, where)
    problems.extend(met)
    ground = Ground(points=twins.points, feet=feet, paths={}, where=where, units=plan.house_units)
    routes, met = routes_of(plan, drafts, tubes, ground, eased=eased)
    problems.extend(met)
    paths = {d.name: routes[d.name].path if d.name in routes else None for d in drafts}
    ground = replace(ground, paths=paths)
    return Layout(twins=twins, drafts=drafts, routes=tuple(routes.values()), ground=ground), problems


def built_of(layout: Layout, whole: bool) -> tuple[Built, list[Problem]]:
    """The members with their ends cut, and the problems met.

    Unless the cage is ``whole``, an end that meets nothing may be meant for a member that is missing, and
    is not told of.
    """
    routes = layout.routes
    if not routes:
        return Built(members=(), joints=()), []
    tubes = strands([r.path for r in routes], [r.tube.radius for r in routes])
    overlaps = [t for t in touches(tubes, least=TOUCH) if solids_meet(t, routes)]
    raw_ends = raw_ends_of(routes)
    connections = connections_of(raw_ends, meetings_of(routes, raw_ends, overlaps))
    site = site_of(routes, tubes, layout.ground.units)
    cuts, blemishes = cut_ends(connections, site, layout.ground.feet)
    members = tuple(
        member_of(
            r,
            (raw_ends[2 * i], raw_ends[2 * i + 1]),
            (cuts.get(2 * i), cuts.get(2 * i + 1)),
            layout.ground.feet,
            (bool(connections[2 * i].mains), bool(connections[2 * i + 1].mains)),
        )
        for i, r in enumerate(routes)
    )
    where = layout.ground.where
    problems = [
        *(_located(b, routes, where) for b in _once(blemishes, routes) if whole or b.code != "free-end"),
        *clashes(routes, overlaps, connections, layout.ground),
        *(cuts_that_miss(routes, connections, where) if whole else ()),
    ]
    return Built(members=members, joints=tuple(joints_of(connections, cuts, site))), problems


def _once(blemishes: Sequence[Blemish], routes: Sequence[Route]) -> list[Blemish]:
    """The blemishes without those that a twin has in common with its original."""
    told = {(b.code, routes[b.raw_end.member].draft.name, b.raw_end.which) for b in blemishes}
    return [
        b
        for b in blemishes
        if (b.code, routes[b.raw_end.member].draft.mirror_of, b.raw_end.which) not in told
    ]


def _located(blemish: Blemish, routes: Sequence[Route], where: Locate) -> Problem:
    route = routes[blemish.raw_end.member]
    place = 0 if blemish.raw_end.which == "start" else len(route.draft.entry.path) - 1
    return Problem(
        code=blemish.code,
        where=where((*route.draft.path, "path", place)),
        found=blemish.found,
        wanted=blemish.wanted,
        point=triple(blemish.raw_end.point),
    )


def _manned(layout: Layout) -> tuple[Foot, ...]:
    """The feet with the names of the members that land on them."""
    names: Mapping[str, list[str]] = {name: [] for name in layout.ground.feet}
    for route in layout.routes:
        for place in (route.draft.entry.path[0], route.draft.entry.path[-1]):
            if isinstance(place, AtFoot):
                names[place.foot].append(route.draft.name)
    return tuple(replace(foot, members=tuple(names[foot.name])) for foot in layout.ground.feet.values())
