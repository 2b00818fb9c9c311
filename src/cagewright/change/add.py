"""Entries put into a plan."""

from __future__ import annotations

from typing import Any

from cagewright.base.problems import Problem, ProblemsFound
from cagewright.change.named import At, known_owner, names_in, with_entries
from cagewright.plan.alternatives import AddChange
from cagewright.plan.types import MemberEntry, Plan

SECTIONS = ("points", "tubes", "feet", "members", "plates", "gussets")


def added(plan: Plan, change: AddChange, at: At) -> Plan:
    """The plan with the change's entries: members last or before the one named, the rest last.

    Raises:
        ProblemsFound: a name is taken, or ``before`` names no member.
    """
    problems: list[Problem] = []
    made: dict[str, dict[str, Any]] = {}
    for section in SECTIONS:
        old, new = getattr(plan, section), getattr(change, section)
        taken = set(names_in(old))
        problems += [_taken(section, n, at) for n in names_in(new) if n in taken]
        made[section] = {**old, **new}
    if problems:
        raise ProblemsFound(problems)
    if change.before is not None:
        made["members"] = _before(plan, change, at)
    return with_entries(plan, **made)


def _taken(section: str, name: str, at: At) -> Problem:
    return Problem(
        code="name-taken",
        where=at((section, name)),
        found=f"the plan's {section} have a '{name}' already",
        wanted="wanted a name of its own (or the other removed first)",
    )


def _before(plan: Plan, change: AddChange, at: At) -> dict[str, MemberEntry]:
    spot = known_owner(plan.members, change.before or "", "member", at(("before",)))
    made: dict[str, MemberEntry] = {}
    for name, entry in plan.members.items():
        if name == spot:
            made.update(change.members)
        made[name] = entry
    return made
