"""Members of another tube, welded or cut otherwise, or copied to the other side."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from cagewright.base.problems import ProblemsFound
from cagewright.change.named import At, known_owner, names_in, told, unknown, with_entries
from cagewright.plan.alternatives import CutChange, MirrorChange, SizeChange, WeldChange
from cagewright.plan.types import MemberEntry, Plan, TubeEntry, WeldsEntry
from cagewright.stock.catalogue import steels as built_in_steels


def resized(plan: Plan, change: SizeChange, at: At) -> Plan:
    """The plan with another size or steel for the named tube or members.

    Raises:
        ProblemsFound: a name is not known, or no tube has such a wall.
    """
    _check_steel(plan, change, at)
    if change.tube is not None and change.tube not in plan.tubes:
        raise ProblemsFound([unknown("tube", change.tube, plan.tubes, at(("tube",)))])
    if not change.members:
        tube = _retubed(plan.tubes[change.tube or ""], change, at)
        return with_entries(plan, tubes={**plan.tubes, change.tube or "": tube})
    return _each(plan, change.members, at, lambda p, name: _resized_member(p, name, change, at))


def _check_steel(plan: Plan, change: SizeChange, at: At) -> None:
    known = [*plan.steels, *built_in_steels()]
    if change.steel is not None and change.steel not in known:
        raise ProblemsFound([unknown("steel", change.steel, known, at(("steel",)))])


def _retubed(tube: TubeEntry, change: SizeChange, at: At) -> TubeEntry:
    new = tube.model_copy(update=change.changed())
    if new.wall > new.od / 2.0:
        found = f"a tube of {new.od:g} mm has a wall of {new.wall:g} mm"
        raise ProblemsFound(
            told("wall-too-thick", at(("wall",)), found, "wanted a wall of at most half the diameter")
        )
    return new


def _resized_member(plan: Plan, name: str, change: SizeChange, at: At) -> Plan:
    old = plan.members[name].tube
    start = change.tube or old
    new, tubes = start, plan.tubes
    if change.changed():
        tube = _retubed(plan.tubes[start], change, at)
        new, tubes = _tube_like(plan, start, tube)
    entry = plan.members[name].model_copy(update={"tube": new})
    return with_entries(plan, tubes=tubes, members={**plan.members, name: entry})


def _tube_like(plan: Plan, start: str, tube: TubeEntry) -> tuple[str, dict[str, TubeEntry]]:
    """The name of an equal tube of the plan, or a new one's, and the tubes with it."""
    for name, entry in plan.tubes.items():
        if entry == tube:
            return name, plan.tubes
    taken = set(plan.tubes)
    name = next(n for n in (f"{start}_{i}" for i in range(2, 10_000)) if n not in taken)
    return name, {**plan.tubes, name: tube}


def _each(plan: Plan, names: Iterable[str], at: At, change: Callable[[Plan, str], Plan]) -> Plan:
    """The plan after ``change`` with the entry of each named member.

    Raises:
        ProblemsFound: names that are not known.
    """
    problems = [
        unknown("member", name, names_in(plan.members), at(("members", i)))
        for i, name in enumerate(names)
        if name not in names_in(plan.members)
    ]
    if problems:
        raise ProblemsFound(problems)
    for name in names:
        plan = change(plan, known_owner(plan.members, name, "member", at(("members",))))
    return plan


def _updated(plan: Plan, name: str, entry: MemberEntry) -> Plan:
    return with_entries(plan, members={**plan.members, name: entry})


def rewelded(plan: Plan, change: WeldChange, at: At) -> Plan:
    """The plan with the members' ends welded as the change says.

    Raises:
        ProblemsFound: a name is not known.
    """
    given = {key: getattr(change, key) for key in ("start", "end") if getattr(change, key) is not None}

    def weld(plan: Plan, name: str) -> Plan:
        entry = plan.members[name]
        welds = (entry.welds or WeldsEntry()).model_copy(update=given)
        return _updated(plan, name, entry.model_copy(update={"welds": welds}))

    return _each(plan, change.members, at, weld)


def cut_on(plan: Plan, change: CutChange, at: At) -> Plan:
    """The plan with the members' ends cut on others.

    Raises:
        ProblemsFound: a name is not known.
    """
    mains = [n for _, names in change.cut for n in names]
    strange = [n for n in mains if n not in names_in(plan.members)]
    if strange:
        raise ProblemsFound([unknown("member", n, names_in(plan.members), at(("cut",))) for n in strange])
    return _each(
        plan,
        change.members,
        at,
        lambda p, name: _updated(p, name, p.members[name].model_copy(update={"cut": change.cut})),
    )


def mirrored_onto(plan: Plan, change: MirrorChange, at: At) -> Plan:
    """The plan with the named member, foot or plate copied to the other side.

    Raises:
        ProblemsFound: it is not known, has a mirror already, or the copy's name is taken.
    """
    groups: dict[str, Any] = {"members": plan.members, "feet": plan.feet, "plates": plan.plates}
    section = next((s for s, entries in groups.items() if change.name in entries), None)
    if section is None:
        known = [n for entries in groups.values() for n in entries]
        raise ProblemsFound([unknown("member, foot or plate", change.name, known, at(("name",)))])
    entry = groups[section][change.name]
    if entry.mirror is not None:
        found = f"'{change.name}' has the mirror '{entry.mirror}' already"
        raise ProblemsFound(
            told("mirrored-twice", at(("name",)), found, "wanted one that stands on one side only")
        )
    if change.copy_name in names_in(groups[section]):
        found = f"the plan's {section} have a '{change.copy_name}' already"
        raise ProblemsFound(told("name-taken", at(("copy_name",)), found, "wanted a name of its own"))
    copied = entry.model_copy(update={"mirror": change.copy_name})
    return with_entries(plan, **{section: {**groups[section], change.name: copied}})
