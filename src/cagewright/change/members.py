"""Members of another tube or role, bent, welded or cut otherwise."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from cagewright.base.names import listed, shown
from cagewright.base.problems import ProblemsFound
from cagewright.base.say import say_length
from cagewright.change.before import Altered, Before, names_in, told, unknown, with_entries, with_entry
from cagewright.change.words import some, tube_words
from cagewright.plan.changes import (
    BendChange,
    CoupleChange,
    CutChange,
    NoteChange,
    RoleChange,
    SizeChange,
    WeldChange,
)
from cagewright.plan.places import AtCoordinates
from cagewright.plan.size_types import size_fault
from cagewright.plan.types import MemberEntry, Plan, TubeEntry, WeldsEntry
from cagewright.stock.catalogue import steels as built_in_steels
from cagewright.stock.sections import alike

SAME = 0.05
"""Sizes that differ by less are one, mm."""


def _each(before: Before, names: Iterable[str], update: Callable[[MemberEntry], dict[str, Any]]) -> Plan:
    """The plan with something of each named member's entry replaced.

    Raises:
        ProblemsFound: names that are not known.
    """
    plan, known = before.plan, names_in(before.plan.members)
    strange = [(i, name) for i, name in enumerate(names) if name not in known]
    if strange:
        raise ProblemsFound(unknown("member", n, known, before.where(("members", i))) for i, n in strange)
    for entry in dict.fromkeys(before.member(name) for name in names):
        plan = with_entry(plan, "members", entry, update(plan.members[entry]))
    return plan


# --- size


def resized(before: Before, change: SizeChange) -> Altered:
    """The plan with another size or steel for the named tube or members.

    Raises:
        ProblemsFound: a name is not known, or no tube has such a wall.
    """
    plan = before.plan
    known = [*plan.steels, *built_in_steels()]
    if change.steel is not None and change.steel not in known:
        raise ProblemsFound([unknown("steel", change.steel, known, before.where(("steel",)))])
    if change.tube is not None and change.tube not in plan.tubes:
        raise ProblemsFound([unknown("tube", change.tube, plan.tubes, before.where(("tube",)))])
    if not change.members:
        name = change.tube or ""
        tube = _retubed(before, plan.tubes[name], change.changed())
        words = f"every {shown(name)}: {tube_words(tube, before.units)}"
        return Altered(plan=with_entries(plan, tubes={**plan.tubes, name: tube}), words=words)
    tubes = dict(plan.tubes)
    made = _each(before, change.members, lambda entry: {"tube": _tube_for(before, tubes, entry, change)})
    tube = tubes[made.members[before.member(change.members[0])].tube]
    words = f"{some(change.members)}: {tube_words(tube, before.units)}"
    return Altered(plan=with_entries(made, tubes=tubes), words=words)


def _tube_for(before: Before, tubes: dict[str, TubeEntry], entry: MemberEntry, change: SizeChange) -> str:
    """The name of the member's new tube: one of the plan's, or a new one that is put among them."""
    start, said = change.tube or entry.tube, change.changed()
    if not said:
        return start
    if change.tube is None and change.clr is None:
        wanted = _retubed(before, tubes[start], said)
        bent = len(entry.path) > 2
        found = next(
            (
                name
                for name, t in tubes.items()
                if alike(t.section, wanted.section, SAME)
                if t.steel == wanted.steel and not (bent and t.clr is None)
            ),
            None,
        )
        if found is not None:
            return found
        if change.od is not None:  # a die goes by the diameter
            radii = (
                t.clr for t in tubes.values() if abs((t.od or 0.0) - change.od) < SAME and t.clr is not None
            )
            said |= {"clr": next(radii, tubes[start].clr)}
    tube = _retubed(before, tubes[start], said)
    equal = next((name for name, other in tubes.items() if other == tube), None)
    name = equal or next(n for n in (f"{start}_{i}" for i in range(2, 10_000)) if n not in tubes)
    tubes[name] = tube
    return name


def _retubed(before: Before, tube: TubeEntry, said: dict[str, Any]) -> TubeEntry:
    if "od" in said and not tube.is_round:
        found = f"{tube_words(tube, before.units)} has no outside diameter"
        raise ProblemsFound(
            told("not-round", before.where(("od",)), found, "wanted tube: with the name of another rail")
        )
    new = tube.model_copy(update=said)
    wrong = size_fault(new, before.units)
    if wrong is not None:
        raise ProblemsFound(
            told("wall-too-thick", before.where((wrong.key,)), f"a tube {wrong.found}", wrong.wanted)
        )
    return new


# --- the rest


def bent(before: Before, change: BendChange) -> Altered:
    """The plan with the bend of another radius, a new one, or one less.

    Raises:
        ProblemsFound: the member is not known or has no such bend.
    """
    entry = before.member(change.name, "name")
    path = list(before.plan.members[entry].path)
    last = len(path) - 1 if change.at is not None else len(path) - 2
    index = change.place
    if not 1 <= index <= last:
        found = f"'{change.name}' has no bend there: its bends are places 2 to {len(path) - 1}"
        if len(path) == 2:
            found = f"'{change.name}' has no bend"
        wanted = f"wanted a number from 2 to {last + 1}" if last else "wanted at: ... to put one in"
        raise ProblemsFound(told("no-such-place", before.where(("place",)), found, wanted))
    radius = "" if change.clr is None else f" of radius {say_length(change.clr, before.units)}"
    if change.at is not None:
        x, y, z = change.at
        at = (x, y if entry == change.name else -y, z)
        path.insert(index, AtCoordinates.model_construct(at=at, clr=change.clr))
        words = f"a new bend{radius} at place {index + 1}"
    elif change.straight:
        del path[index]
        words = f"the bend at place {index + 1} taken out"
    else:
        path[index] = path[index].model_copy(update={"clr": change.clr})
        words = f"the bend at place {index + 1}{radius}"
    plan = with_entry(before.plan, "members", entry, {"path": tuple(path)})
    return Altered(plan=plan, words=f"{shown(change.name)}: {words}")


def rewelded(before: Before, change: WeldChange) -> Altered:
    """The plan with the members' ends welded as the change says.

    Raises:
        ProblemsFound: a name is not known.
    """
    given = {key: getattr(change, key) for key in ("start", "end") if getattr(change, key) is not None}
    plan = _each(
        before,
        change.members,
        lambda entry: {"welds": (entry.welds or WeldsEntry()).model_copy(update=given)},
    )
    return Altered(plan=plan, words=f"{some(change.members)}: {' and '.join(given)} welded otherwise")


def cut_on(before: Before, change: CutChange) -> Altered:
    """The plan with the members' ends cut on others.

    Raises:
        ProblemsFound: a name is not known.
    """
    mains, known = [n for _, names in change.cut for n in names], names_in(before.plan.members)
    strange = [n for n in mains if n not in known]
    if strange:
        raise ProblemsFound(unknown("member", n, known, before.where(("cut",))) for n in strange)
    plan = _each(before, change.members, lambda _entry: {"cut": change.cut})
    return Altered(plan=plan, words=f"{some(change.members)}: cut on {some(mains)}")


def given_role(before: Before, change: RoleChange) -> Altered:
    """The plan with another role for the members.

    Raises:
        ProblemsFound: a name is not known.
    """
    plan = _each(before, change.members, lambda _entry: {"role": change.role})
    return Altered(plan=plan, words=f"{some(change.members)}: {change.role}")


def coupled(before: Before, change: CoupleChange) -> Altered:
    """The plan with other couplings or caps on the member.

    Raises:
        ProblemsFound: there is no such member.
    """
    given = {key: getattr(change, key) for key in ("couplings", "caps") if getattr(change, key) is not None}
    plan = with_entry(before.plan, "members", before.member(change.name, "name"), given)
    kinds = [coupling.kind for coupling in change.couplings or ()]
    said = [*([listed(kinds)] if kinds else []), *(["whole"] if change.couplings == () else []),
            *(["capped"] if change.caps else [])]  # fmt: skip
    return Altered(plan=plan, words=f"{shown(change.name)}: {', '.join(said)}")


def noted(before: Before, change: NoteChange) -> Altered:
    """The plan with another note on the member.

    Raises:
        ProblemsFound: there is no such member.
    """
    plan = with_entry(before.plan, "members", before.member(change.name, "name"), {"note": change.note})
    return Altered(
        plan=plan, words=f"{shown(change.name)}: note {'changed' if change.note else 'taken away'}"
    )
