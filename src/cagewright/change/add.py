"""Entries put into a plan."""

from __future__ import annotations

from typing import Any

import numpy as np

from cagewright.base.curves import nearest
from cagewright.base.names import listed, shown
from cagewright.base.problems import Problem, ProblemsFound
from cagewright.base.vectors import length
from cagewright.change.before import (
    Altered,
    Before,
    from_role,
    names_in,
    other_side,
    radius_of,
    taken,
    told,
    unknown,
    usual_tube,
    with_entries,
)
from cagewright.change.landing import nearest_place
from cagewright.change.mirror import feet_mirrored
from cagewright.change.split import cut_through
from cagewright.change.words import some, tube_words
from cagewright.plan.changes import AddChange, NearestOn, NewMember
from cagewright.plan.types import AtCoordinates, AtFoot, MemberEntry, Place

KINDS = {
    "points": "point",
    "tubes": "tube",
    "steels": "steel",
    "feet": "foot",
    "plates": "plate",
    "gussets": "gusset",
}
"""Sections that entries are put into as they are, and what each is called."""
REACH = 5.0
"""An end lands on a tube whose outside it is no further from than this, or on a foot, mm."""


def added(before: Before, change: AddChange) -> Altered:
    """The plan with the change's entries: members last or before the one named, the rest last.

    Raises:
        ProblemsFound: a name is taken, a tube or place is not known, or ``before`` names no member.
    """
    problems = [*_taken(before, change), *_without_tube(before, change)]
    if problems:
        raise ProblemsFound(problems)
    sections = {s: {**getattr(before.plan, s), **getattr(change, s)} for s in KINDS if getattr(change, s)}
    start = before.on(with_entries(before.plan, **sections)) if sections else before
    new = _named(start, change)
    copies = {name: entry.mirror for name, entry in new.items()}
    plan = with_entries(start.plan, members=_in_order(before, change, new))
    for name in new if change.both_sides else ():
        plan = feet_mirrored(start, plan, name)
    said: list[str] = []
    for name, entry in new.items():
        tube = tube_words(plan.tubes[entry.tube], before.units)
        said.append(f"{listed(filter(None, (name, copies[name])))}: {entry.role}, {tube}")
        if change.in_two:
            plan, cut_on = cut_through(start, plan, name)
            said[-1] += f", cut on {some(cut_on)}" if cut_on else ""
    rest = [
        shown(name) if name.startswith(kind) else f"{kind} {name}"
        for s, kind in KINDS.items()
        for name in getattr(change, s)
    ]
    return Altered(plan=plan, words=f"added {'; '.join([*said, *([some(rest)] if rest else [])])}")


def _taken(before: Before, change: AddChange) -> list[Problem]:
    problems: list[Problem] = []
    for section in ("members", *KINDS):
        names = set(names_in(getattr(before.plan, section)))
        new = names_in(getattr(change, section))
        problems += [taken(section, n, before.where((section, n))) for n in new if n in names]
    return problems


def _without_tube(before: Before, change: AddChange) -> list[Problem]:
    tubes = {**before.plan.tubes, **change.tubes}
    asked = [*((("members", n), m) for n, m in change.members.items()),
             *((("unnamed", i), m) for i, m in enumerate(change.unnamed))]  # fmt: skip
    if asked and not tubes:
        return told("no-tube", before.where(()), "the plan has no tubes", "wanted one under tubes:")
    return [
        unknown("tube", m.tube, tubes, before.where((*keys, "tube")))
        for keys, m in asked
        if m.tube is not None and m.tube not in tubes
    ]


def _named(before: Before, change: AddChange) -> dict[str, MemberEntry]:
    """The new members as they stand in a plan: ends on what they land on, tubes and mirrors said."""
    made: dict[str, MemberEntry] = {}
    for given, asked in (*change.members.items(), *((None, m) for m in change.unnamed)):
        names = [*names_in(before.plan.members), *change.members, *names_in(made)]
        path = _landed(before, asked)
        name = given or from_role(asked.role, _middle(before, path), mirrored=change.both_sides, taken=names)
        copy = asked.mirror or (other_side(name, [*names, name]) if change.both_sides else None)
        tube = asked.tube or usual_tube(before.plan, asked.role) or ""
        said: dict[str, Any] = {key: getattr(asked, key) for key in NewMember.model_fields}
        said |= {"tube": tube, "path": path, "mirror": copy}
        made[name] = MemberEntry.model_construct(None, **said)
    return made


def _in_order(before: Before, change: AddChange, new: dict[str, MemberEntry]) -> dict[str, MemberEntry]:
    if change.before is None:
        return {**before.plan.members, **new}
    spot, made = before.member(change.before, "before"), dict[str, MemberEntry]()
    for name, entry in before.plan.members.items():
        made |= {**(new if name == spot else {}), name: entry}
    return made


# --- where its ends land


def _landed(before: Before, asked: NewMember) -> tuple[Place, ...]:
    """The path with the places that are on something said to be on it."""
    ends = (0, len(asked.path) - 1)
    return tuple(
        _onto(before, place)
        if isinstance(place, NearestOn)
        else _picked_up(before, place)
        if i in ends
        else place
        for i, place in enumerate(asked.path)
    )


def _onto(before: Before, place: NearestOn) -> Place:
    before.path(place.on)
    found = nearest_place(place.on, np.array(place.at), before.ground)
    if found is None:
        said = f"there are no words for that place on '{place.on}'"
        raise ProblemsFound(told("no-such-place", before.where(()), said, "wanted another place"))
    return found


def _picked_up(before: Before, place: Place) -> Place:
    """The place as a place on the foot or the tube that it lies in; itself where it lies in none."""
    if not isinstance(place, AtCoordinates):
        return place
    at, ground = np.array(place.at), before.ground
    foot = next((f for f in ground.feet.values() if float(length(f.point - at)) <= REACH), None)
    if foot is not None:
        return AtFoot.model_construct(foot=foot.name)
    lines = [(name, path) for name, path in ground.paths.items() if path is not None]
    away = sorted((nearest(path, at)[1], name) for name, path in lines)
    on = next((n for far, n in away if far <= radius_of(before.plan, n) + REACH), None)
    return place if on is None else nearest_place(on, at, ground) or place


def _middle(before: Before, path: tuple[Place, ...]) -> float:
    """Across of the middle of its places, as far as they are known, mm."""
    found: list[float] = []
    for place in path:
        try:
            found.append(float(before.at(place)[1]))
        except ProblemsFound:  # the plan's reader will say what is wrong with it
            continue
    return sum(found) / len(found) if found else 0.0
