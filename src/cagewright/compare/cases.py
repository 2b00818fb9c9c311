"""The cases of a study: the plan as it is, and with each alternative's changes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.change.apply import apply
from cagewright.change.before import At, Before, told
from cagewright.change.both_sides import place_across
from cagewright.change.landing import measure_of
from cagewright.compare.study import Case
from cagewright.plan.alternatives import Alternatives, place_in
from cagewright.plan.changes import AXES, ChangeEntry
from cagewright.plan.places import OnMember
from cagewright.plan.source import Keys, Sources
from cagewright.plan.types import Plan, where_of

SECTIONS = ("points", "tubes", "feet", "members", "plates", "gussets", "pushes")


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangedCase:
    """A case, which change of the file last touched each entry, and its own changes in words."""

    case: Case
    touched: dict[tuple[str, str], Keys]
    words: tuple[str, ...] = ()


def cases_of(plan: Plan, alternatives: Alternatives) -> tuple[ChangedCase, ...]:
    """The plan as it is, then each alternative.

    Raises:
        ProblemsFound: every change that cannot be made, with its place in the alternatives file.
    """
    if plan.units == "in" and "units" not in alternatives.model_fields_set:
        found = "the plan is in inches, and these alternatives do not say their units"
        wanted = "wanted the line 'units: in'; or 'units: mm', as bare lengths were read before"
        raise ProblemsFound(told("no-units", place_in(alternatives, ()), found, wanted))
    bare = plan.read_from(Sources())
    made = {
        alternatives.as_planned: ChangedCase(
            case=Case(name=alternatives.as_planned, note="", plan=bare), touched={}
        )
    }
    problems: list[Problem] = []
    for i, entry in enumerate(alternatives.alternatives):
        start = made.get(entry.on_top_of or alternatives.as_planned)
        if entry.plan is not None:
            start = _other(alternatives, i, entry.plan)
        if start is None:
            continue  # the one it stands on has problems of its own
        try:
            made[entry.name] = _changed(alternatives, i, start)
        except ProblemsFound as found:
            problems.extend(found.problems)
    if problems:
        raise ProblemsFound(problems)
    return tuple(made.values())


def _other(alternatives: Alternatives, number: int, name: str) -> ChangedCase:
    """Another plan as a case of its own.

    Raises:
        ProblemsFound: the alternatives were not read from a file, so that nothing lies beside them.
    """
    plan = alternatives.plans.get(name)
    if plan is None:
        found, wanted = "another plan can only be named in a file of its own", "wanted a file beside the plan"
        raise ProblemsFound(told("no-plan", place_in(alternatives, ("alternatives", number)), found, wanted))
    return ChangedCase(case=Case(name=name, note="", plan=plan.read_from(Sources())), touched={})


def _changed(alternatives: Alternatives, number: int, start: ChangedCase) -> ChangedCase:
    entry = alternatives.alternatives[number]
    plan, touched, words = start.case.plan, dict(start.touched), list[str]()
    for k, change in enumerate(entry.changes):
        keys: Keys = ("alternatives", number, "changes", k)
        at = partial(_at, alternatives, keys)
        if alternatives.cagewright_alternatives == 1:
            _refuse_old_step(plan, change, at)
        new = apply(plan, change, at)
        touched.update(dict.fromkeys(_differing(plan, new.plan), keys))
        plan = new.plan
        words.append(new.words)
    words = [f"the plan {entry.plan}", *words] if entry.plan else words
    case = Case(name=entry.name, note=entry.note, plan=plan)
    return ChangedCase(case=case, touched=touched, words=tuple(words))


def _refuse_old_step(plan: Plan, change: ChangeEntry, at: At) -> None:
    """Refuse what version 1 of the file meant otherwise: a step of a place on a member added to its measure.

    Raises:
        ProblemsFound: the change is such a step; with what to write for the same.
    """
    move, before = change.move, Before(plan=plan, where=at)
    if move is None or move.by is None:
        return
    wanted: dict[str, None] = {}
    for name in move.members:
        entry = before.member(name, "move", "members")
        path = plan.members[entry].path
        for place in (path[i] for i in move.places if i < len(path)):
            own = place if entry == name else place_across(plan, place)
            if isinstance(own, OnMember) and (said := measure_of(own)) in AXES:
                value = getattr(own, said) + move.by[AXES.index(said)]
                wanted[f"{said}: {value:.6g} mm"] = None
            elif isinstance(own, OnMember):
                wanted[f"{measure_of(own)}: ..."] = None
    if wanted:
        found = "by of a place on a member was, in version 1, added to the one measure it is given by"
        said = f"wanted {' or '.join(wanted)} in place of by; or cagewright_alternatives: 2, to slide along"
        raise ProblemsFound(told("old-step", at(("move", "by")), found, said))


def _at(alternatives: Alternatives, before: Keys, keys: Keys) -> Where:
    return place_in(alternatives, (*before, *keys))


def _differing(old: Plan, new: Plan) -> list[tuple[str, str]]:
    return [
        (section, name)
        for section in SECTIONS
        for name, entry in getattr(new, section).items()
        if getattr(old, section).get(name) != entry
    ]


def where_in_case(plan: Plan, alternatives: Alternatives, changed: ChangedCase, keys: Keys) -> Where:
    """Where a value of a changed plan stands: at the change that made it so, or in the plan's own file."""
    entry = (str(keys[0]), str(keys[1])) if len(keys) > 1 else ("", "")
    made_by = changed.touched.get(entry)
    return where_of(plan, keys) if made_by is None else place_in(alternatives, made_by)
