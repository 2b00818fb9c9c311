"""Another name for one thing, wherever the plan has it."""

from __future__ import annotations

from typing import Any

from cagewright.base.names import listed
from cagewright.base.problems import ProblemsFound
from cagewright.change.before import (
    Altered,
    Before,
    known_owner,
    names_in,
    other_name,
    other_side,
    taken,
    with_entries,
    with_value,
)
from cagewright.plan.changes import RenameChange
from cagewright.plan.names import references

NAMED = {"member": "members", "point": "points", "foot": "feet", "tube": "tubes", "plate": "plates"}
"""By kind of thing with a name to be changed: its section."""


def renamed(before: Before, change: RenameChange) -> Altered:
    """The plan with the new name in place of the old.

    Raises:
        ProblemsFound: the old name is not known, or the new one is taken.
    """
    plan = before.plan
    kind = next(kind for kind in NAMED if getattr(change, kind) is not None)
    old, section = str(getattr(change, kind)), NAMED[kind]
    entries: dict[str, Any] = getattr(plan, section)
    known_owner(entries, old, kind, before.where((kind,)))
    if change.to != old and change.to in names_in(entries):
        raise ProblemsFound([taken(section, change.to, before.where(("to",)))])
    new: dict[str, str] = {old: change.to}
    twin, made = (None if kind == "tube" else other_name(entries, old)), other_side(change.to, ())
    if (
        twin
        and twin == other_side(old, ())
        and not made.endswith("_mirror")
        and made not in names_in(entries)
    ):
        new[twin] = made  # both names go by the side: left with left, right with right
    for keys, its_kind, name in references(plan):
        if its_kind == kind and name in new:
            plan = with_value(plan, keys, new[name])
    followed: dict[str, Any] = {}
    for name, entry in getattr(plan, section).items():
        mirror = new.get(str(getattr(entry, "mirror", None)))
        followed[new.get(name) or name] = entry.model_copy(update={"mirror": mirror}) if mirror else entry
    plan = with_entries(plan, **{section: followed})
    said = listed([f"{was} to {now}" for was, now in new.items()])
    words = f"renamed {'' if kind == 'member' else f'{kind} '}{said}"
    return Altered(plan=plan, words=words, names={(kind, was): now for was, now in new.items()})
