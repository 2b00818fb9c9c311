"""Finding what a change names in the plan, and saying so where it names nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from cagewright.base.problems import Problem, ProblemsFound, Where, nearest_word
from cagewright.plan.types import Plan

Keys = tuple[str | int, ...]
At = Callable[[Keys], Where]
"""Says where a part of a change stands, its keys from the change itself."""


def in_change(_keys: Keys) -> Where:
    """The default place of every change: somewhere in the alternatives."""
    return Where(file="alternatives")


def owner(entries: Mapping[str, Any], name: str) -> str | None:
    """The entry that makes the thing of that name: its own, or the one whose mirror it is."""
    if name in entries:
        return name
    return next((key for key, entry in entries.items() if getattr(entry, "mirror", None) == name), None)


def names_in(entries: Mapping[str, Any]) -> list[str]:
    """Every name the entries make, mirrors included."""
    twins = [e.mirror for e in entries.values() if isinstance(getattr(e, "mirror", None), str)]
    return [*entries, *twins]


def known_owner(entries: Mapping[str, Any], name: str, kind: str, where: Where) -> str:
    """The entry that makes the thing of that name.

    Raises:
        ProblemsFound: there is none.
    """
    found = owner(entries, name)
    if found is None:
        raise ProblemsFound([unknown(kind, name, names_in(entries), where)])
    return found


def unknown(kind: str, name: str, known: Iterable[str], where: Where) -> Problem:
    """The problem of a name that the plan does not have."""
    words = list(known)
    listed = ", ".join(words[:20]) + (", ..." if len(words) > 20 else "")
    return Problem(
        code=f"unknown-{kind.replace(' ', '-')}",
        where=where,
        found=f"the plan has no {kind} '{name}'",
        wanted=f"wanted the name of a {kind}: {listed or 'it has none'}",
        nearest=nearest_word(name, words),
    )


def told(code: str, where: Where, found: str, wanted: str) -> list[Problem]:
    """One problem, ready to raise."""
    return [Problem(code=code, where=where, found=found, wanted=wanted)]


def with_entries(plan: Plan, **sections: Mapping[str, Any]) -> Plan:
    """The plan with those sections replaced."""
    return plan.model_copy(update={key: dict(value) for key, value in sections.items()})
