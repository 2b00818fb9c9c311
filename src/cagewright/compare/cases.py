"""The cases of a study: the plan as it is, and with each alternative's changes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.change.apply import apply
from cagewright.change.named import Keys
from cagewright.compare.study import Case
from cagewright.plan.alternatives import Alternatives, place_in
from cagewright.plan.source import Sources
from cagewright.plan.types import Plan, where_of

SECTIONS = ("points", "tubes", "feet", "members", "plates", "gussets", "pushes")


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """A case and which change of the file last touched each entry, by (section, name)."""

    case: Case
    touched: dict[tuple[str, str], Keys]


def cases_of(plan: Plan, alternatives: Alternatives) -> tuple[Changed, ...]:
    """The plan as it is, then each alternative.

    Raises:
        ProblemsFound: every change that cannot be made, with its place in the alternatives file.
    """
    bare = plan.read_from(Sources())
    made = {
        alternatives.as_planned: Changed(
            case=Case(name=alternatives.as_planned, note="", plan=bare), touched={}
        )
    }
    problems: list[Problem] = []
    for i, entry in enumerate(alternatives.alternatives):
        start = made.get(entry.on_top_of or alternatives.as_planned)
        if start is None:
            continue  # the one it stands on has problems of its own
        try:
            made[entry.name] = _changed(alternatives, i, start)
        except ProblemsFound as found:
            problems.extend(found.problems)
    if problems:
        raise ProblemsFound(problems)
    return tuple(made.values())


def _changed(alternatives: Alternatives, number: int, start: Changed) -> Changed:
    entry = alternatives.alternatives[number]
    plan, touched = start.case.plan, dict(start.touched)
    for k, change in enumerate(entry.changes):
        keys: Keys = ("alternatives", number, "changes", k)
        new = apply(plan, change, partial(_at, alternatives, keys))
        touched.update(dict.fromkeys(_differing(plan, new), keys))
        plan = new
    return Changed(case=Case(name=entry.name, note=entry.note, plan=plan), touched=touched)


def _at(alternatives: Alternatives, before: Keys, keys: Keys) -> Where:
    return place_in(alternatives, (*before, *keys))


def _differing(old: Plan, new: Plan) -> list[tuple[str, str]]:
    return [
        (section, name)
        for section in SECTIONS
        for name, entry in getattr(new, section).items()
        if getattr(old, section).get(name) != entry
    ]


def where_in_case(plan: Plan, alternatives: Alternatives, changed: Changed, keys: Keys) -> Where:
    """Where a value of a changed plan stands: at the change that made it so, or in the plan's own file."""
    entry = (str(keys[0]), str(keys[1])) if len(keys) > 1 else ("", "")
    made_by = changed.touched.get(entry)
    return where_of(plan, keys) if made_by is None else place_in(alternatives, made_by)
