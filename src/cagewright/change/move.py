"""Places of members, named points and feet put somewhere else."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, cast

import numpy as np

from cagewright.base.names import shown
from cagewright.base.problems import ProblemsFound
from cagewright.base.say import say_length
from cagewright.base.vectors import Vector, mirrored
from cagewright.base.vectors import length as size
from cagewright.change.before import (
    Altered,
    Before,
    known_owner,
    owner,
    spot_on_the_tape,
    told,
    with_entries,
    with_entry,
)
from cagewright.change.both_sides import place_across
from cagewright.change.landing import measure_of, nearest_place
from cagewright.change.words import place_words, sits_words, some, step_words
from cagewright.plan.changes import AXES, MoveChange
from cagewright.plan.names import references
from cagewright.plan.places import AtCoordinates, AtFoot, AtPoint, OnMember, Place
from cagewright.plan.types import Plan

Triple = tuple[float, float, float]
ASKED = 0.1
"""How far a place comes to rest from where it was asked to before that is told, mm."""
MOST_TOLD = 2


def moved(before: Before, change: MoveChange) -> Altered:
    """The plan with the places, point or foot moved; every step is taken from where things are before.

    Raises:
        ProblemsFound: a name is not known, a path has no such place, or a place cannot move that way.
    """
    if change.point is not None:
        return _point(before, change.point, change)
    if change.foot is not None:
        return _foot(before, change.foot, change)
    start, plan, words = replace(before, known=before.ground), before.plan, list[str]()
    for i, name in enumerate(change.members):
        whole = range(len(plan.members[before.member(name, "members", i)].path)) if change.whole else ()
        for k, index in enumerate(change.places or whole):
            picked = _picked(replace(start, plan=plan), name, index, i, k)
            altered = _place(replace(start, plan=plan), picked, change)
            plan = altered.plan
            words.append(altered.words)
    more = len(words) - MOST_TOLD
    said = [*words[:MOST_TOLD], *([f"{more} more place{'s' * (more > 1)} likewise"] if more > 0 else [])]
    return Altered(plan=plan, words="; ".join(said))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Picked:
    """The place that is moved.

    Attributes:
        name: the member's, on the side that the change names.
        entry: of the plan that makes it.
        index: of the place, from 0.
        words: the place as the builder says it.
        place: on the named side.
    """

    name: str
    entry: str
    index: int
    words: str
    place: Place


def _picked(before: Before, name: str, index: int, i: int = 0, k: int = 0) -> _Picked:
    entry = before.member(name, "members", i)
    path = before.plan.members[entry].path
    if index >= len(path):
        found = f"'{name}' has {len(path)} places, not {index + 1}"
        where = before.where(("places", k))
        raise ProblemsFound(told("no-such-place", where, found, f"wanted 1 to {len(path)}"))
    place = path[index] if entry == name else place_across(before.plan, path[index])
    index %= len(path)
    words = f"{shown(name)}: {place_words(index, len(path))}"
    return _Picked(name=name, entry=entry, index=index, words=words, place=place)


def _place(before: Before, picked: _Picked, change: MoveChange) -> Altered:
    place = picked.place
    if change.to is not None:
        return _put(before, picked, _with_radius(place, change.to), sits_words(change.to))
    if isinstance(place, OnMember):
        if change.host:
            return _by_host(before, picked, place, change)
        to = _slid(before, place, change)
        return _put(before, picked, to, _slid_words(before, place, to, change))
    if change.along is not None or change.part is not None:
        found = f"{picked.words} is on no member"
        raise ProblemsFound(
            told("on-no-member", before.where(()), found, "wanted at, by, up, back or across")
        )
    if isinstance(place, AtFoot):
        altered = _foot(before, place.foot, change)
        return replace(altered, words=f"{picked.words}, {altered.words}")
    now = before.at(place)
    at = _target(before, change, now)
    step = step_words(now, at, before.units)
    written = before.plan.members[picked.entry].path[picked.index]
    if isinstance(written, AtPoint) and (change.host or change.whole):
        own = np.array(at) if picked.entry == picked.name else mirrored(np.array(at))
        plan = _point_at(before.plan, written.point, own - np.array(written.offset))
        words = f"{picked.words} {step} with point {shown(written.point)}"
        return Altered(plan=plan, words=words + _along_with(before.plan, written.point, but=picked.entry))
    return _put(before, picked, AtCoordinates.model_construct(at=at, clr=place.clr), step)


def _put(before: Before, picked: _Picked, place: Place, words: str) -> Altered:
    """The plan with the place of the path replaced, and its mirror where the change names that."""
    path = list(before.plan.members[picked.entry].path)
    across = picked.entry != picked.name
    path[picked.index] = place_across(before.plan, place) if across else place
    plan = with_entry(before.plan, "members", picked.entry, {"path": tuple(path)})
    return Altered(plan=plan, words=f"{picked.words} {words}")


def _with_radius(old: Place, new: Place) -> Place:
    """The new place with the old one's bend radius where it names none."""
    clr = None if isinstance(old, AtFoot) else old.clr
    if clr is None or isinstance(new, AtFoot) or new.clr is not None:
        return new
    return cast("Place", new.model_copy(update={"clr": clr}))


def _target(before: Before, change: MoveChange, now: Vector) -> Triple:
    """Where it goes (back, across, up), mm."""
    if change.at is not None:
        x, y, z = spot_on_the_tape(change.at, before.plan.units)
    elif change.by is not None:
        x, y, z = (float(a) + b for a, b in zip(now, change.by, strict=True))
    else:
        given: list[float | None] = [getattr(change, axis) for axis in AXES]
        x, y, z = (float(a) if g is None else g for a, g in zip(now, given, strict=True))
    return x, y, z


# --- on a member


def _slid(before: Before, place: OnMember, change: MoveChange) -> OnMember:
    keys = (*AXES, "along", "part")
    said = {key: getattr(change, key) for key in keys if getattr(change, key) is not None}
    if len(said) == 1:
        here = "left" if before.at(place)[1] < 0.0 else "right"
        return _on_its_side(before, place.model_copy(update={**dict.fromkeys(keys), **said}), here)
    to = nearest_place(place.on, np.array(_target(before, change, before.at(place))), before.ground, place)
    if to is None:
        found = f"there are no words for that place on '{place.on}'"
        raise ProblemsFound(told("no-such-place", before.where(()), found, "wanted another place"))
    return to


def _on_its_side(before: Before, place: OnMember, here: str) -> OnMember:
    """The place as it is said, or with no side, the one it was on, or the other, where there is none such."""
    for side in (place.side, None, here, "right" if here == "left" else "left"):
        there = place.model_copy(update={"side": side})
        try:
            before.at(there)
        except ProblemsFound:
            continue
        return there
    return place


def _slid_words(before: Before, was: OnMember, now: OnMember, change: MoveChange) -> str:
    units = before.units
    one, two = measure_of(was), measure_of(now)
    try:
        start, stop = before.at(was), before.at(now)
    except ProblemsFound:  # there is no such place, as the reader of the plan will say
        return f"moved along {shown(now.on)}"
    asked = np.array(_target(before, change, start))
    several = change.by is not None or sum(getattr(change, axis) is not None for axis in AXES) > 1
    if several and float(size(stop - asked)) > ASKED:
        of, got = (say_length(float(size(v - start)), units) for v in (asked, stop))
        return f"moved {got} of the {of} asked, because the joint slides along {shown(now.on)}"
    if one == two and one in AXES:
        axis = AXES.index(one)
        start, stop = np.zeros(3), np.zeros(3)
        start[axis], stop[axis] = getattr(was, one), getattr(now, two)
    return step_words(start, stop, units)


def _by_host(before: Before, picked: _Picked, place: OnMember, change: MoveChange) -> Altered:
    """The place of the host's path nearest to the joint moves by the step asked of the joint."""
    now = before.at(place)
    along = {key: getattr(change, key) for key in ("along", "part") if getattr(change, key) is not None}
    to = before.at(place.model_copy(update={**dict.fromkeys(AXES), **along})) if along else None
    at = _target(before, change, now) if to is None else to
    entry = before.member(place.on)
    known = range(len(before.plan.members[entry].path))
    places = [_picked(before, place.on, index) for index in known]
    host = min(places, key=lambda one: float(size(before.at(one.place) - now)))
    step: dict[str, Any] = {"by": tuple((np.array(at) - now).tolist())}
    own = before.plan.members[entry].path[host.index]
    moved_host = MoveChange.model_construct(host=not isinstance(own, OnMember), **step)
    altered = _place(before, host, moved_host)
    return replace(altered, words=f"{altered.words}, and with it {picked.words.replace(': ', ', ')}")


# --- named points and feet


def _point(before: Before, name: str, change: MoveChange) -> Altered:
    entry = known_owner(before.plan.points, name, "point", before.where(("point",)))
    now = before.ground.points[name]
    at = _free_target(before, change, now)
    plan = _point_at(before.plan, entry, at if name == entry else mirrored(at))
    words = f"point {shown(name)} {step_words(now, at, before.units)}"
    return Altered(plan=plan, words=words + _along_with(before.plan, name))


def _free_target(before: Before, change: MoveChange, now: Vector) -> Vector:
    """Where a point or foot goes (3,), mm.

    Raises:
        ProblemsFound: ``to`` is a place on a member or a foot.
    """
    if isinstance(change.to, OnMember | AtFoot):
        found, wanted = "it stands on the shell, not on a member", "wanted [back, across, up] or a point"
        raise ProblemsFound(told("not-free", before.where(("to",)), found, wanted))
    return np.array(_target(before, change, now)) if change.to is None else before.at(change.to)


def _point_at(plan: Plan, name: str, own: Vector) -> Plan:
    """The plan with the point of that name (either side's) there (3,)."""
    entry = owner(plan.points, name) or name
    at = tuple((own if entry == name else mirrored(own)).tolist())
    return with_entry(plan, "points", entry, {"at": at})


def _along_with(plan: Plan, point: str, *, but: str | None = None) -> str:
    """What else stands on the point or its mirror, in words."""
    entry = owner(plan.points, point) or point
    names = {entry, plan.points[entry].mirror} if entry in plan.points else {point}
    users = dict.fromkeys(
        str(keys[1]) for keys, kind, name in references(plan)
        if kind == "point" and name in names and keys[0] in ("members", "feet", "plates") and keys[1] != but
    )  # fmt: skip
    return f", and with it {some(users)}" if users else ""


def _foot(before: Before, name: str, change: MoveChange) -> Altered:
    plan = before.plan
    entry_name = known_owner(plan.feet, name, "foot", before.where(("foot",)))
    entry, foot = plan.feet[entry_name], before.ground.feet.get(name)
    if foot is None:
        raise ProblemsFound(before.not_built())
    at = _free_target(before, change, foot.on_shell)
    own = at if name == entry_name else mirrored(at)
    words = f"foot {shown(name)} {step_words(foot.on_shell, at, before.units)}"
    if isinstance(entry.at, str | AtPoint) and change.host:
        on = AtPoint.model_construct(point=entry.at) if isinstance(entry.at, str) else entry.at
        words += f" with point {shown(on.point)}{_along_with(plan, on.point, but=entry_name)}"
        return Altered(plan=_point_at(plan, on.point, own - np.array(on.offset)), words=words)
    made = with_entries(
        plan, feet={**plan.feet, entry_name: entry.model_copy(update={"at": tuple(own.tolist())})}
    )
    return Altered(plan=made, words=words)
