"""Places of members, named points and feet put somewhere else."""

from __future__ import annotations

from typing import Any, cast

import numpy as np

from cagewright.base.problems import ProblemsFound
from cagewright.change.both_sides import place_across
from cagewright.change.named import At, known_owner, told, with_entries
from cagewright.plan.alternatives import MoveChange
from cagewright.plan.places import MEASURES, AtCoordinates, AtFoot, AtPoint, OnMember, Place
from cagewright.plan.types import FootEntry, Plan
from cagewright.shape.drafts import point_named, points_of
from cagewright.shape.located import in_plan

AXES = ("back", "across", "up")
Triple = tuple[float, float, float]


def moved(plan: Plan, change: MoveChange, at: At) -> Plan:
    """The plan with the places, point or foot moved.

    Raises:
        ProblemsFound: a name is not known, a path has no such place, or a place cannot move that way.
    """
    if change.point is not None:
        return _point(plan, change, at)
    if change.foot is not None:
        return _foot(plan, change, at)
    for i, name in enumerate(change.members):
        plan = _member(plan, name, change, at, ("members", i))
    return plan


def _member(plan: Plan, name: str, change: MoveChange, at: At, keys: tuple[str | int, ...]) -> Plan:
    entry_name = known_owner(plan.members, name, "member", at(keys))
    entry = plan.members[entry_name]
    path = list(entry.path)
    for k, number in enumerate(change.places):
        if number >= len(path):
            found = f"'{name}' has {len(path)} places, not {number + 1}"
            raise ProblemsFound(told("no-such-place", at(("places", k)), found, f"wanted 1 to {len(path)}"))
        path[number] = _across_and_back(plan, path[number], change, at, across=name != entry_name)
    moved_entry = entry.model_copy(update={"path": tuple(path)})
    return with_entries(plan, members={**plan.members, entry_name: moved_entry})


def _across_and_back(plan: Plan, place: Place, change: MoveChange, at: At, *, across: bool) -> Place:
    """The place moved as it is, or as its mirror where the change names the mirror."""
    if not across:
        return _place(plan, place, change, at)
    return place_across(plan, _place(plan, place_across(plan, place), change, at))


def _place(plan: Plan, place: Place, change: MoveChange, at: At) -> Place:
    if change.to is not None:
        return _with_radius(place, change.to)
    if isinstance(place, OnMember):
        return _along(place, change, at)
    if isinstance(place, AtFoot):
        found = f"the place is the foot '{place.foot}'"
        raise ProblemsFound(
            told("a-foot", at(("places",)), found, f"wanted foot: {place.foot} moved, or to: ...")
        )
    if change.along is not None or change.part is not None:
        raise ProblemsFound(
            told("on-no-member", at(()), "the place is on no member", "wanted to, by, up, back, across")
        )
    return AtCoordinates.model_construct(at=_shifted(_where(plan, place), change), clr=place.clr)


def _with_radius(old: Place, new: Place) -> Place:
    """The new place with the old one's bend radius where it names none."""
    clr = None if isinstance(old, AtFoot) else old.clr
    if clr is None or isinstance(new, AtFoot) or new.clr is not None:
        return new
    return cast("Place", new.model_copy(update={"clr": clr}))


def _where(plan: Plan, place: AtCoordinates | AtPoint) -> Triple:
    if isinstance(place, AtCoordinates):
        return place.at
    x, y, z = (
        point_named(points_of(plan), place.point, (), in_plan) + np.array(place.offset)
    ).tolist()  # fmt: skip
    return (x, y, z)


def _along(place: OnMember, change: MoveChange, at: At) -> OnMember:
    said = next(key for key in MEASURES if getattr(place, key) is not None)
    if change.by is None:
        new = {key: getattr(change, key) for key in MEASURES}
        return place.model_copy(update=new)
    if said not in AXES:
        found = f"the place is given by {said} on '{place.on}'"
        raise ProblemsFound(told("by-what", at(("by",)), found, f"wanted {said}: ... in place of by"))
    step = change.by[AXES.index(said)]
    return place.model_copy(update={said: getattr(place, said) + step})


def _shifted(at: Triple, change: MoveChange) -> Triple:
    if change.by is not None:
        return cast("Triple", tuple(a + b for a, b in zip(at, change.by, strict=True)))
    given = [getattr(change, axis) for axis in AXES]
    return cast("Triple", tuple(a if g is None else g for a, g in zip(at, given, strict=True)))


def _flip(at: Triple) -> Triple:
    return (at[0], -at[1], at[2])


def _three(plan: Plan, was: Triple, change: MoveChange, at: At, *, across: bool) -> Triple:
    """Coordinates moved, as their mirror where the change names the mirror.

    Raises:
        ProblemsFound: ``to`` is a place on a member or a foot.
    """
    was = _flip(was) if across else was
    if isinstance(change.to, OnMember | AtFoot):
        raise ProblemsFound(told("not-free", at(("to",)), "it stands on the shell, not on a member",
                      "wanted [back, across, up] or a point"))  # fmt: skip
    now = _shifted(was, change) if change.to is None else _where(plan, change.to)
    return _flip(now) if across else now


def _point(plan: Plan, change: MoveChange, at: At) -> Plan:
    wanted = change.point or ""
    name = known_owner(plan.points, wanted, "point", at(("point",)))
    entry = plan.points[name]
    new = entry.model_copy(update={"at": _three(plan, entry.at, change, at, across=wanted != name)})
    return with_entries(plan, points={**plan.points, name: new})


def _foot(plan: Plan, change: MoveChange, at: At) -> Plan:
    wanted = change.foot or ""
    name = known_owner(plan.feet, wanted, "foot", at(("foot",)))
    entry = plan.feet[name]
    new = _three(plan, foot_at(plan, entry), change, at, across=wanted != name)
    return with_entries(plan, feet={**plan.feet, name: entry.model_copy(update={"at": new})})


def foot_at(plan: Plan, entry: FootEntry) -> Triple:
    """Where the foot stands (back, across, up), mm."""
    spot: Any = AtPoint(point=entry.at) if isinstance(entry.at, str) else entry.at
    return spot if isinstance(spot, tuple) else _where(plan, spot)
