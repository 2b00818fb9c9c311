"""What lies between two picks in the picture, and where a dragged place comes to rest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, cast

import numpy as np

from cagewright.base.curves import Chain, nearest, point_at
from cagewright.base.names import shown
from cagewright.base.problems import ProblemsFound
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit, QuantityError, parse
from cagewright.base.vectors import Vector
from cagewright.base.vectors import length as size_of
from cagewright.change.landing import nearest_place
from cagewright.job.scene.member import rounded, said
from cagewright.job.scene.types import Vec3
from cagewright.plan.places import OnMember
from cagewright.plan.types import Plan
from cagewright.shape.distance import between
from cagewright.shape.drafts import drafts_of, twins_of
from cagewright.shape.located import in_plan
from cagewright.shape.places import ground_of
from cagewright.shape.seated import everybody
from cagewright.shape.types import Cage, mounts_of


class BadPick(ValueError):
    """What was picked is not there; its words say so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """How far two points of the picture are apart, mm; below 0 where what they stand on shares space."""

    mm: float
    a: Vec3
    b: Vec3
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """How far two picks are apart, middle to middle and outside to outside; ``step`` is back, across, up."""

    axis: Span
    skin: Span
    step: Vec3
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Resting:
    """Where a dragged place comes to rest (mm), and how the plan would say it."""

    at: Vec3
    kind: Literal["coordinates", "member"]
    on: str | None = None
    side: str | None = None
    measure: str | None = None
    value: float | None = None
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picked:
    """A thing picked: its words, its middle line or single point, and its outside's radius about that, mm."""

    words: str
    line: Chain | None
    point: Vector
    radius: float


def picked(cage: Cage, asked: Any) -> Picked:
    """The thing picked.

    Args:
        cage: it is picked in.
        asked: one of ``{member}``, ``{joint}``, ``{foot}``, ``{mount}``, each with a name,
            ``{person: helmet}`` or, of several, ``{person: driver.helmet}``; or ``{point: [x, y, z]}``, mm.

    Raises:
        BadPick: there is no such thing.
    """
    pick: Mapping[str, Any] = cast("Mapping[str, Any]", asked) if isinstance(asked, Mapping) else {}
    for kind, find in _FIND.items():
        if kind in pick:
            found = find(cage, pick[kind])
            if found is None:
                raise BadPick(f"there is no {kind} {str(pick[kind])[:60]!r}")
            return found
    raise BadPick(f"a pick is one of {', '.join(_FIND)}")


def _member(cage: Cage, name: Any) -> Picked | None:
    found = next((m for m in cage.members if m.name == name), None)
    if found is None:
        return None
    middle = point_at(found.path, 0.5 * found.path.length)
    return Picked(words=shown(found.name), line=found.path, point=middle, radius=found.tube.radius)


def _at(words: str, point: Vector, radius: float = 0.0) -> Picked:
    return Picked(words=words, line=None, point=point, radius=radius)


def _joint(cage: Cage, name: Any) -> Picked | None:
    return next((_at(f"joint {shown(j.name)}", j.point) for j in cage.joints if j.name == name), None)


def _foot(cage: Cage, name: Any) -> Picked | None:
    return next((_at(f"foot {shown(f.name)}", f.point) for f in cage.feet if f.name == name), None)


def _mount(cage: Cage, name: Any) -> Picked | None:
    return next((_at(f"mount {shown(m.name)}", m.point) for m, _ in mounts_of(cage) if m.name == name), None)


def _person(cage: Cage, part: Any) -> Picked | None:
    found = next((p for p in everybody(cage) if part in (p.name, f"{p.whose}.{p.name}")), None)
    return None if found is None else _at(f"the {found.words}", 0.5 * (found.one + found.two), found.radius)


def _point(_cage: Cage, at: Any) -> Picked | None:
    place = _three(at, "mm")
    return None if place is None else _at("the point", place)


_FIND = {
    "member": _member,
    "joint": _joint,
    "foot": _foot,
    "mount": _mount,
    "person": _person,
    "point": _point,
}


def _three(at: Any, units: LengthUnit) -> Vector | None:
    """Three lengths as (3,), mm; None where they are not."""
    values = cast("list[Any]", at) if isinstance(at, list) else []
    try:
        numbers = [parse(value, "length", bare=units) for value in values]
    except QuantityError:
        return None
    return np.array(numbers) if len(numbers) == 3 else None


def distance(cage: Cage, one: Any, two: Any) -> Apart:
    """How far two picks are apart.

    Raises:
        BadPick: one of them is not there.
    """
    a, b = picked(cage, one), picked(cage, two)
    start, stop = _nearest(a, b)
    apart = float(size_of(stop - start))
    way = (stop - start) / max(apart, 1e-9)
    skin, units = apart - a.radius - b.radius, cage.units
    far, clear = say_length(apart, units), say_length(abs(skin), units)
    axis_words = f"{far} between {a.words} and {b.words}"
    skin_words = f"{clear} clear" if skin >= 0.0 else f"{clear} into each other"
    return Apart(
        axis=Span(mm=round(apart, 2), a=rounded(start), b=rounded(stop), words=far),
        skin=Span(
            mm=round(skin, 2),
            a=rounded(start + a.radius * way),
            b=rounded(stop - b.radius * way),
            words=skin_words,
        ),
        step=rounded(stop - start),
        words=f"{axis_words}, middle to middle; {skin_words}" if a.radius or b.radius else axis_words,
    )


def _nearest(a: Picked, b: Picked) -> tuple[Vector, Vector]:
    """The nearest points (3,) of the two middle lines."""
    if a.line is not None and b.line is not None:
        found = between(a.line, b.line)
        return found.point_a, found.point_b
    if a.line is not None:
        return point_at(a.line, nearest(a.line, b.point)[0]), b.point
    if b.line is not None:
        return a.point, point_at(b.line, nearest(b.line, a.point)[0])
    return a.point, b.point


def resting(cage: Cage, plan: Plan, asked: Mapping[str, Any]) -> Resting:
    """Where a dragged place comes to rest: on the member it sits on, or where it is dragged to.

    Args:
        cage: what the plan makes.
        plan: as read.
        asked: ``member`` and ``place``, the place that is dragged by its number from 1; or ``on``, the member
            it is to sit on; and ``at``, where it is dragged to, numbers in the plan's units or text.

    Raises:
        BadPick: there is no such place, or no place at all.
    """
    at = _three(asked.get("at"), plan.units)
    if at is None:
        raise BadPick("at is not three lengths")
    ground = ground_of(plan, cage)
    old = _place(cage, plan, asked)
    on = old.on if isinstance(old, OnMember) else asked.get("on")
    if not isinstance(on, str):
        return Resting(at=rounded(at), kind="coordinates")
    if on not in ground.paths:
        raise BadPick(f"there is no member {on[:60]!r}")
    place = nearest_place(on, at, ground, old if isinstance(old, OnMember) else None)
    path = ground.paths[on]
    if place is None or path is None:
        raise BadPick(f"there are no words for that place on {shown(on)}")
    there = point_at(path, nearest(path, at)[0])
    told = said(place)
    value = f"{told['value']:g}" if told["measure"] == "part" else say_length(told["value"], plan.house_units)
    return Resting(at=rounded(there), **told, words=f"{shown(on)}, {told['measure']} {value}")


def _place(cage: Cage, plan: Plan, asked: Mapping[str, Any]) -> Any:
    """The place that is dragged, on its own side; None where none is named.

    Raises:
        BadPick: there is no such place.
    """
    name, number = asked.get("member"), asked.get("place")
    if name is None:
        return None
    try:
        feet = {foot.name: foot for foot in cage.feet}
        drafts = drafts_of(plan, twins_of(plan), feet, in_plan)[0]
        path = next(draft.entry.path for draft in drafts if draft.name == name)
        index = cast("int", number) - 1
        return path[index if index >= 0 else len(path)]
    except (StopIteration, IndexError, TypeError, ProblemsFound):
        raise BadPick(f"there is no place {str(number)[:20]} of {str(name)[:60]!r}") from None
