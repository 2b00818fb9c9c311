"""A plan becomes the cage that will be built."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from cagewright.base.curves import tangent_at
from cagewright.base.problems import Problem, ProblemsFound
from cagewright.base.vectors import cross
from cagewright.plan.types import AtFoot, Plan, Which
from cagewright.shape.belts import belts_of, seat_of
from cagewright.shape.drafts import drafts_of, feet_of, twins_of
from cagewright.shape.flat import furthest, plate_cut, square_cut
from cagewright.shape.layout import Route, routes_of
from cagewright.shape.located import Locate, in_plan
from cagewright.shape.places import Ground
from cagewright.shape.tubes import tubes_of
from cagewright.shape.types import Cage, End, Foot, Member


def resolve(plan: Plan, where: Locate | None = None) -> Cage:
    """The cage the plan describes.

    Args:
        plan: as read.
        where: says where a value of the plan stands, given its keys from the top.

    Raises:
        ProblemsFound: every geometry problem of the plan.
    """
    where = where or in_plan
    problems: list[Problem] = []
    twins = twins_of(plan)
    feet_list, met = feet_of(plan, twins.points, where)
    feet = {foot.name: foot for foot in feet_list}
    problems.extend(met)
    tubes, met = tubes_of(plan, where)
    problems.extend(met)
    drafts, met = drafts_of(plan, twins, feet, where)
    problems.extend(met)
    ground = Ground(points=twins.points, feet=feet, paths={}, where=where)
    routes, met = routes_of(plan, drafts, tubes, ground)
    problems.extend(met)
    laid = {d.name: routes[d.name].path if d.name in routes else None for d in drafts}
    belts, met = belts_of(plan, replace(ground, paths=laid))
    problems.extend(met)
    seat, met = seat_of(plan, replace(ground, paths=laid))
    problems.extend(met)
    if problems:
        raise ProblemsFound(problems)
    members = tuple(_member(route, feet) for route in routes.values())
    return Cage(
        title=plan.title,
        revision=revision(plan),
        units=plan.units,
        members=members,
        joints=(),
        feet=tuple(feet_list),
        plates=(),
        gussets=(),
        lines=(),
        car=plan.car,
        driver=plan.driver,
        belts=belts,
        seat=seat,
    )


def revision(plan: Plan) -> str:
    """First 10 hex digits of the SHA-256 of everything the plan says."""
    return hashlib.sha256(plan.model_dump_json().encode()).hexdigest()[:10]


def _member(route: Route, feet: Mapping[str, Foot]) -> Member:
    start, end = _end(route, "start", feet), _end(route, "end", feet)
    entry = route.draft.entry
    return Member(
        name=route.draft.name,
        role=entry.role,
        tube=route.tube,
        tube_name=entry.tube,
        path=route.path,
        bends=route.bends,
        ends=(start, end),
        end_clocking=0.0,
        length=route.path.length - start.trim - end.trim,
        mirror_of=route.draft.mirror_of,
        removable=entry.removable,
        note=entry.note,
    )


def _end(route: Route, which: Which, feet: Mapping[str, Foot]) -> End:
    first = which == "start"
    tip = route.path.pieces[0].start if first else route.path.pieces[-1].stop
    axis = tangent_at(route.path, 0.0) if first else -tangent_at(route.path, route.path.length)
    place = route.draft.entry.path[0 if first else -1]
    zero = np.array([0.0, 0.0, 1.0])
    if isinstance(place, AtFoot):
        cut = plate_cut(tip, axis, route.tube.radius, feet[place.foot], zero)
        foot = place.foot
    else:
        cut, foot = square_cut(tip, axis, route.tube.radius, zero), None
    return End(
        which=which, cut=cut, joint=None, foot=foot, clocking=0.0, trim=furthest(cut, tip, route.tube.radius)
    )
