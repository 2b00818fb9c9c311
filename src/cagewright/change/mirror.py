"""The same on the other side of the car, and both sides apart."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from cagewright.base.names import shown
from cagewright.base.problems import Problem, ProblemsFound
from cagewright.base.vectors import mirrored
from cagewright.change.before import (
    Altered,
    Before,
    names_in,
    other_name,
    other_side,
    owner,
    taken,
    told,
    unknown,
    with_entries,
    with_entry,
)
from cagewright.change.both_sides import SECTIONS, paired_again, written_out
from cagewright.change.split import crossings, cut_through
from cagewright.change.words import some
from cagewright.plan.changes import ApartChange, MirrorChange
from cagewright.plan.types import AtCoordinates, AtFoot, AtPoint, Plan
from cagewright.shape.drafts import ON_CENTRE

KINDS = "member, foot, plate, gusset or point"


def _section_of(before: Before, name: str, *keys: str | int) -> str:
    """The section that has something of that name.

    Raises:
        ProblemsFound: none has, or several have.
    """
    groups: dict[str, Mapping[str, Any]] = {s: getattr(before.plan, s) for s in SECTIONS}
    found = [section for section, entries in groups.items() if owner(entries, name) is not None]
    if not found:
        known = [n for entries in groups.values() for n in names_in(entries)]
        raise ProblemsFound([unknown(KINDS, name, known, before.where(keys))])
    return "members" if "members" in found else found[0]


def mirrored_onto(before: Before, change: MirrorChange) -> Altered:
    """The plan with the named thing on the other side too, and a member's feet with it.

    Raises:
        ProblemsFound: it is not known, has a mirror already, or a name is taken.
    """
    plan, name = before.plan, change.name
    section = _section_of(before, name, "name")
    entries: Mapping[str, Any] = getattr(plan, section)
    twin: Any = other_name(entries, name)
    twin = f"{name}_mirror" if twin is True else twin
    if twin or name not in entries or (section == "members" and _own_mirror(before, name)):
        found = f"'{name}' runs across the car and is its own mirror"
        if twin:
            found = (
                f"'{name}' has the mirror '{twin}' already"
                if name in entries
                else f"'{name}' is itself a mirror"
            )
        wanted = "wanted one that stands on one side only"
        raise ProblemsFound(told("mirrored-twice", before.where(("name",)), found, wanted))
    names = names_in(entries)
    copy = f"{name}_mirror" if section == "gussets" else change.copy_name or other_side(name, names)
    if copy in names:
        raise ProblemsFound([taken(section, copy, before.where(("copy_name",)))])
    plan = with_entry(plan, section, name, {"mirror": True if section == "gussets" else copy})
    words = f"{shown(name)}: mirrored as {shown(copy)}"
    if section != "members":
        return Altered(plan=plan, words=words)
    plan = feet_mirrored(before, plan, name)
    if copy not in crossings(before.on(plan), name):
        return Altered(plan=plan, words=words)
    # a bar across the middle meets its own mirror: one of the two stays whole there
    plan, _ = cut_through(before, plan, name)
    return Altered(plan=plan, words=f"{words}, in two where they cross")


def _own_mirror(before: Before, name: str) -> bool:
    """Whether the member's places are each other's mirrors, the first of the last and so on."""
    try:
        places = [before.at(place) for place in before.plan.members[name].path]
    except ProblemsFound:
        return False
    flipped = [mirrored(place) for place in reversed(places)]
    return np.allclose(places, flipped, atol=ON_CENTRE)


def feet_mirrored(before: Before, plan: Plan, member: str) -> Plan:
    """The plan with a mirror for each foot of the member that has none and is not on the centre line."""
    feet = dict(plan.feet)
    for place in plan.members[member].path:
        entry = feet.get(place.foot) if isinstance(place, AtFoot) else None
        if not isinstance(place, AtFoot) or entry is None or entry.mirror is not None:
            continue
        at = AtPoint.model_construct(point=entry.at) if isinstance(entry.at, str) else entry.at
        at = AtCoordinates.model_construct(at=at) if isinstance(at, tuple) else at
        if abs(before.at(at)[1]) > ON_CENTRE:
            copy = other_side(place.foot, names_in(feet))
            feet[place.foot] = entry.model_copy(update={"mirror": copy})
    return with_entries(plan, feet=feet)


def set_apart(before: Before, change: ApartChange) -> Altered:
    """The plan with both sides of the named things as entries of their own.

    Raises:
        ProblemsFound: a name is not known, or stands on one side only.
    """
    apart, problems = set[tuple[str, str]](), list[Problem]()
    for i, name in enumerate(change.names):
        section = _section_of(before, name, "names", i)
        entry = owner(getattr(before.plan, section), name) or name
        if not getattr(before.plan, section)[entry].mirror:
            found, wanted = f"'{name}' stands on one side only", "wanted something with a mirror"
            problems += told("no-mirror", before.where(("names", i)), found, wanted)
        apart.add((section, entry))
    if problems:
        raise ProblemsFound(problems)
    plan = paired_again(written_out(before.plan), before.plan, frozenset(apart))
    return Altered(plan=plan, words=f"{some(change.names)}: both sides apart")
