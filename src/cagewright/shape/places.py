"""Where a place of the plan is: three numbers, a named point, a foot, or a spot on another member."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from cagewright.base.curves import Chain, places_at, point_at, sample
from cagewright.base.problems import Problem, nearest_word
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector
from cagewright.plan.types import AtCoordinates, AtFoot, AtPoint, OnMember, Place, Plan
from cagewright.shape.drafts import point_named, points_of
from cagewright.shape.located import AlreadyRefused, Locate, Path, Refused, in_plan
from cagewright.shape.types import Cage, Foot

AXES = {"back": 0, "across": 1, "up": 2}
SAME_SPOT = 0.01
"""Two answers this near each other (mm) are one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What places may refer to.

    Attributes:
        points: named points (3,), mm.
        feet: feet by name.
        paths: centre lines of the members resolved so far; None for a member that could not be.
        where: says where a value of the plan stands.
        units: what the builder's tape reads.
    """

    points: Mapping[str, Vector]
    feet: Mapping[str, Foot]
    paths: Mapping[str, Chain | None]
    where: Locate
    units: LengthUnit = "mm"


def ground_of(plan: Plan, cage: Cage) -> Ground:
    """What places of the plan may refer to once its cage is resolved, for those asked for later."""
    return Ground(
        points=points_of(plan),
        feet={foot.name: foot for foot in cage.feet},
        paths={member.name: member.path for member in cage.members},
        where=in_plan,
        units=plan.units,
    )


def spot(place: Place, ground: Ground, path: Path) -> Vector:
    """The place (3,), mm.

    Raises:
        Refused: there is no such place, or more than one.
        AlreadyRefused: it rests on a member that could not be resolved.
    """
    if isinstance(place, AtCoordinates):
        return np.array(place.at)
    if isinstance(place, AtPoint):
        return point_named(ground.points, place.point, path, ground.where) + np.array(place.offset)
    if isinstance(place, AtFoot):
        if place.foot not in ground.feet:
            raise Refused(_unknown("foot", place.foot, ground.feet, ground.where, path))
        return ground.feet[place.foot].point + np.array(place.offset)
    curve = _path_of(place, ground, path)
    return point_at(curve, _along(place, curve, ground, path))


def _path_of(place: OnMember, ground: Ground, path: Path) -> Chain:
    if place.on not in ground.paths:
        raise Refused(_unknown("member", place.on, ground.paths, ground.where, path))
    curve = ground.paths[place.on]
    if curve is None:
        raise AlreadyRefused
    return curve


def _unknown(kind: str, name: str, known: Mapping[str, object], where: Locate, path: Path) -> Problem:
    return Problem(
        code=f"unknown-{kind}",
        where=where(path),
        found=f"there is no {kind} called '{name}'",
        wanted=f"name a {kind} of the plan",
        nearest=nearest_word(name, known),
    )


def _along(place: OnMember, curve: Chain, ground: Ground, path: Path) -> float:
    if place.part is not None:
        return place.part * curve.length
    if place.along is not None:
        return _within(place, curve, ground, path)
    for word, axis in AXES.items():
        value = getattr(place, word)
        if value is not None:
            return _where_it_has(place, curve, axis, value, ground, path)
    raise Refused(
        Problem(
            code="no-such-place",
            where=ground.where(path),
            found=f"where on '{place.on}' is not said",
            wanted="give one of up, back, across, along or part",
        )
    )


def _within(place: OnMember, curve: Chain, ground: Ground, path: Path) -> float:
    along = place.along or 0.0
    # a twin on a main that crosses the car counts from the main's other end: written as a negative length
    run = along if math.copysign(1.0, along) > 0.0 else curve.length + along
    if 0.0 <= run <= curve.length:
        return run
    raise Refused(
        Problem(
            code="no-such-place",
            where=ground.where(path),
            found=f"'{place.on}' is {say_length(curve.length, ground.units)} long and has no place "
            f"{say_length(abs(along), ground.units)} along",
            wanted=f"give a length from 0 to {say_length(curve.length, ground.units)}",
        )
    )


def _where_it_has(
    place: OnMember, curve: Chain, axis: int, value: float, ground: Ground, path: Path
) -> float:
    word = tuple(AXES)[axis]
    everywhere, fits = places_at(curve, axis, value)
    if everywhere:
        raise Refused(
            Problem(
                code="place-ambiguous",
                where=ground.where(path),
                found=f"a whole straight of '{place.on}' has {word} {say_length(value, ground.units)}",
                wanted="give another coordinate, or along: or part:",
            )
        )
    if not fits:
        raise Refused(_none_has(place, curve, axis, value, ground, path))
    return _picked(place, curve, fits, ground, path)


def _none_has(place: OnMember, curve: Chain, axis: int, value: float, ground: Ground, path: Path) -> Problem:
    low, high = extent(curve, axis)
    word = tuple(AXES)[axis]
    return Problem(
        code="no-such-place",
        where=ground.where(path),
        found=f"the centre line of '{place.on}' has no place with {word} {say_length(value, ground.units)}",
        wanted=f"it runs from {word} {say_length(low, ground.units)} to {say_length(high, ground.units)}",
    )


def extent(curve: Chain, axis: int) -> tuple[float, float]:
    """Least and greatest coordinate of the chain along the axis, mm (arcs to 0.001 mm)."""
    values = sample(curve, sagitta=1e-3)[:, axis]
    return float(values.min()), float(values.max())


def _picked(place: OnMember, curve: Chain, fits: list[float], ground: Ground, path: Path) -> float:
    points = np.array([point_at(curve, s) for s in fits])
    keep = list(range(len(fits)))
    if place.side is not None:
        sign = -1.0 if place.side == "left" else 1.0
        keep = [i for i in keep if sign * points[i, 1] > 0.0]
    if keep and place.near is not None:
        near = _near(place, ground, path)
        keep = [min(keep, key=lambda i: float(np.linalg.norm(points[i] - near)))]
    if len(keep) == 1 or (keep and float(np.ptp(points[keep], axis=0).max()) < SAME_SPOT):
        return fits[keep[0]]
    raise Refused(_which_one(place, points, keep, ground, path))


def said_place(point: Vector, units: LengthUnit) -> str:
    """The place as the builder writes it: ``[back, across, up]``."""
    return "[" + ", ".join(say_length(v + 0.0, units) for v in np.round(point, 1).tolist()) + "]"


def _near(place: OnMember, ground: Ground, path: Path) -> Vector:
    if isinstance(place.near, str):
        return point_named(ground.points, place.near, (*path, "near"), ground.where)
    return np.array(place.near)


def _which_one(place: OnMember, points: Vector, keep: list[int], ground: Ground, path: Path) -> Problem:
    said = "; ".join(said_place(p, ground.units) for p in points)
    if not keep:
        return Problem(
            code="no-such-place",
            where=ground.where(path),
            found=f"'{place.on}' has no such place on the {place.side}, only {said}",
            wanted=f"side: {'right' if place.side == 'left' else 'left'}, or another coordinate",
        )
    return Problem(
        code="place-ambiguous",
        where=ground.where(path),
        found=f"{len(keep)} places on '{place.on}' fit: {said}",
        wanted="add side: left or right, or near: with a rough place",
    )
