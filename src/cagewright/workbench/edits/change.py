"""What comes of an edit before it is written: another plan, and the words for it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.change.apply import apply as applied
from cagewright.change.named import known_owner
from cagewright.plan.alternatives import CHANGES, ChangeEntry
from cagewright.plan.types import Plan
from cagewright.shape.located import AlreadyRefused, Refused
from cagewright.workbench.edits.asked import Keys, Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """Another plan, and the words for it in the list of what can be undone."""

    plan: Plan
    words: str


def after_change(stand: Standing, what: Any, where: Where, plan: Plan | None = None) -> Plan:
    """The plan after a change as a study makes it.

    Args:
        stand: what it is made on.
        what: a change of one kind, e.g. a ``MoveChange``.
        where: what a problem of it is put down to.
        plan: where not the standing one.

    Raises:
        ProblemsFound: it cannot be made.
    """
    kind = type(what).__name__.removesuffix("Change").lower()
    assert kind in CHANGES
    change = ChangeEntry.model_construct(**{kind: what})
    try:
        return applied(plan or stand.plan, change, lambda _keys: where)
    except (Refused, AlreadyRefused) as wrong:
        problem = wrong.problem if isinstance(wrong, Refused) else _not_built(where)
        raise ProblemsFound([replace(problem, where=where)]) from None


def _not_built(where: Where) -> Problem:
    found, wanted = "it rests on a member that cannot be built", "wanted that one mended first"
    return Problem(code="rests-on-problem", where=where, found=found, wanted=wanted)


def member_entry(stand: Standing, name: str) -> str:
    """The entry of the plan that makes the member of that name.

    Raises:
        ProblemsFound: there is no such member.
    """
    return known_owner(stand.plan.members, name, "member", stand.where(("members",)))


def where_member(stand: Standing, name: str) -> Where:
    """Where the member's entry stands.

    Raises:
        ProblemsFound: there is no such member.
    """
    keys: Keys = ("members", member_entry(stand, name))
    return stand.where(keys)
