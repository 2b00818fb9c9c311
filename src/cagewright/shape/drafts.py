"""The plan's entries with every mirror written out: twins as if the builder had written them too."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np

from cagewright.base.problems import Problem, nearest_word
from cagewright.base.vectors import Vector, mirrored
from cagewright.plan.types import (
    AtCoordinates,
    AtFoot,
    AtPoint,
    GivenEnds,
    MemberEntry,
    OnMember,
    Place,
    Plan,
)
from cagewright.shape.located import Locate, Path, Refused
from cagewright.shape.types import Foot

ON_CENTRE = 0.01
"""A foot this near the centre plane (mm) is its own mirror."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A member as written, or its twin with every place mirrored.

    Attributes:
        name: of the member.
        entry: the entry, mirrored for a twin.
        path: where the entry stands in the plan (a twin stands where its original does).
        mirror_of: name of the original, or None.
    """

    name: str
    entry: MemberEntry
    path: Path
    mirror_of: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Twins:
    """Who is whose mirror, both ways round, and where the named points are."""

    members: Mapping[str, str]
    feet: Mapping[str, str]
    points: Mapping[str, Vector]


def both_ways(pairs: Mapping[str, str]) -> dict[str, str]:
    """The pairs and their reverses."""
    return {**pairs, **{twin: name for name, twin in pairs.items()}}


def points_of(plan: Plan) -> dict[str, Vector]:
    """Every named point (3,), mirrors included, mm."""
    points = {name: np.array(entry.at) for name, entry in plan.points.items()}
    twins = {e.mirror: mirrored(points[name]) for name, e in plan.points.items() if e.mirror}
    return {**points, **twins}


def car_points(plan: Plan) -> dict[str, Vector]:
    """Named points that are places on the car: no tube, foot or plate is laid out by them or their twins."""
    used = set(_words({k: v for k, v in plan.model_dump().items() if k not in {"points", "shell"}}))
    picked = set(_words(plan.shell.model_dump() if plan.shell else {}))
    twin = both_ways({n: e.mirror for n, e in plan.points.items() if e.mirror})
    return {
        name: at
        for name, at in points_of(plan).items()
        if name in picked or not {name, twin.get(name)} & used
    }


def _words(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for one in cast("Mapping[str, object]", value).values():
            yield from _words(one)
    elif isinstance(value, (list, tuple)):
        for one in cast("Sequence[object]", value):
            yield from _words(one)


def twins_of(plan: Plan) -> Twins:
    """Who is whose mirror in the plan."""
    return Twins(
        members=both_ways({n: e.mirror for n, e in plan.members.items() if e.mirror}),
        feet=both_ways({n: e.mirror for n, e in plan.feet.items() if e.mirror}),
        points=points_of(plan),
    )


def point_named(points: Mapping[str, Vector], name: str, path: Path, where: Locate) -> Vector:
    """The named point (3,), mm.

    Raises:
        Refused: there is no such point.
    """
    if name not in points:
        raise Refused(
            Problem(
                code="unknown-point",
                where=where(path),
                found=f"there is no point called '{name}'",
                wanted="name one of the plan's points",
                nearest=nearest_word(name, points),
            )
        )
    return points[name]


def drafts_of(
    plan: Plan, twins: Twins, feet: Mapping[str, Foot], where: Locate
) -> tuple[list[Draft], list[Problem]]:
    """Every member in file order, each twin right behind its original; and the problems met."""
    drafts: list[Draft] = []
    problems: list[Problem] = []
    for name, entry in plan.members.items():
        path: Path = ("members", name)
        drafts.append(Draft(name=name, entry=entry, path=path, mirror_of=None))
        if entry.mirror is None:
            continue
        try:
            places = tuple(
                mirrored_place(place, twins, feet, (*path, "path", i), where)
                for i, place in enumerate(entry.path)
            )
        except Refused as refused:
            problems.append(refused.problem)
            continue
        cut = entry.cut and entry.cut.model_copy(
            update={key: tuple(twins.members.get(n, n) for n in names) for key, names in entry.cut}
        )
        given = entry.given and _mirrored_ends(entry.given)
        lies = tuple({"left": "right", "right": "left"}.get(way, way) for way in entry.lies)
        changed = {"path": places, "cut": cut, "given": given, "mirror": None, "lies": lies, "planned": ()}
        twin = entry.model_copy(update=changed)
        drafts.append(Draft(name=entry.mirror, entry=twin, path=path, mirror_of=name))
    return drafts, problems


def _mirrored_ends(given: GivenEnds) -> GivenEnds:
    """The notches of the tube that is the other hand: an offset lies on the other side of the heel."""
    return GivenEnds.model_construct(**{
        which: cut and cut.model_copy(update={"heel": _flip(cut.heel), "offset": -cut.offset})
        for which, cut in given
    })


def mirrored_place(place: Place, twins: Twins, feet: Mapping[str, Foot], path: Path, where: Locate) -> Place:
    """The place on the other side of the car: what it names becomes that thing's mirror.

    Raises:
        Refused: it names a foot that has no mirror, or a point that is not in the plan.
    """
    if isinstance(place, AtCoordinates):
        return AtCoordinates.model_construct(at=_flip(place.at), clr=place.clr)
    if isinstance(place, AtPoint):
        point = point_named(twins.points, place.point, path, where) + np.array(place.offset)
        return AtCoordinates.model_construct(at=tuple(mirrored(point).tolist()), clr=place.clr)
    if isinstance(place, AtFoot):
        return _twin_foot(place, twins, feet, path, where)
    return _twin_on(place, twins)


def _flip(at: tuple[float, float, float]) -> tuple[float, float, float]:
    return (at[0], -at[1], at[2])


def _twin_foot(place: AtFoot, twins: Twins, feet: Mapping[str, Foot], path: Path, where: Locate) -> AtFoot:
    twin = twins.feet.get(place.foot)
    if twin is not None:
        return AtFoot(foot=twin, offset=_flip(place.offset))
    foot = feet.get(place.foot)
    if foot is None or abs(float(foot.point[1])) <= ON_CENTRE:
        return AtFoot(foot=place.foot, offset=_flip(place.offset))
    raise Refused(
        Problem(
            code="no-mirror",
            where=where(path),
            found=f"this member has a mirror, but its foot '{place.foot}' has none",
            wanted=f"give foot '{place.foot}' a mirror: name, or end the member elsewhere",
        )
    )


def _twin_on(place: OnMember, twins: Twins) -> OnMember:
    other = {"left": "right", "right": "left", None: None}[place.side]
    near = place.near
    if isinstance(near, str) and near in twins.points:
        near = tuple(mirrored(twins.points[near]).tolist())
    elif isinstance(near, tuple):
        near = _flip(near)
    across = None if place.across is None else -place.across
    twin = twins.members.get(place.on)
    changed = {"side": other, "near": near, "across": across}
    if twin is not None:
        return place.model_copy(update={**changed, "on": twin})
    # the main crosses the car and is its own mirror run backwards
    part = None if place.part is None else 1.0 - place.part
    along = None if place.along is None else -place.along
    return place.model_copy(update={**changed, "part": part, "along": along})
