"""Members as their tubes were read, with what was meant beside it; and back again."""

from __future__ import annotations

from cagewright.base.names import shown
from cagewright.base.problems import Problem, ProblemsFound
from cagewright.change.before import Altered, Before, told, with_entry
from cagewright.change.words import some
from cagewright.plan.changes import AsBuiltChange, AsPlannedChange


def as_built(before: Before, change: AsBuiltChange) -> Altered:
    """The plan with the member's path as it was read; what was first meant stays beside it.

    Raises:
        ProblemsFound: there is no such member, or it is put on itself.
    """
    name = before.member(change.name, "name")
    if any(getattr(place, "on", None) == name for place in change.path):
        found = f"'{name}' is put on itself"
        raise ProblemsFound(told("circular", before.where(("path",)), found, "wanted places elsewhere"))
    entry = before.plan.members[name]
    path = {"path": change.path, "planned": entry.planned or entry.path}
    words = f"{shown(name)}: as built"
    return Altered(plan=with_entry(before.plan, "members", name, path), words=words)


def as_planned(before: Before, change: AsPlannedChange) -> Altered:
    """The plan with the members' paths as they were meant.

    Raises:
        ProblemsFound: there is no such member, or it was never taken over as built.
    """
    plan, problems = before.plan, list[Problem]()
    for i, name in enumerate(dict.fromkeys(change.members)):
        entry = plan.members[before.member(name, "members", i)]
        if entry.planned:
            back = {"path": entry.planned, "planned": ()}
            plan = with_entry(plan, "members", name, back)
        else:
            found = f"'{name}' is as planned"
            where = before.where(("members", i))
            problems += told("as-planned", where, found, "wanted a member that was taken over as built")
    if problems:
        raise ProblemsFound(problems)
    return Altered(plan=plan, words=f"{some(change.members)}: as planned again")
