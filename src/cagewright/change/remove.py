"""Members, plates and gussets left out of a plan, with or without what rests on them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from cagewright.base.names import shown
from cagewright.base.problems import Problem, ProblemsFound
from cagewright.change.before import Altered, Before, names_in, other_name, owner, told, unknown, with_entries
from cagewright.change.words import some
from cagewright.plan.changes import RemoveChange
from cagewright.plan.people import mounts_of, with_mounts
from cagewright.plan.types import AtFoot, BenchFirstEntry, MemberEntry, OnMember, Place, Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """An entry of the plan that can rest on a member: its section, its name, and the members it rests on."""

    section: str
    name: str
    on: frozenset[str]

    @property
    def words(self) -> str:
        """As the builder would say it."""
        kinds = {"members": "", "plates": "plate ", "gussets": "gusset ", "belts": "belt mount ",
                 "seat": "seat mount ", "pushes": "push "}  # fmt: skip
        return f"{kinds[self.section]}{shown(self.name)}"


def removed(before: Before, change: RemoveChange) -> Altered:
    """The plan without what the change names, and without the feet that nothing stands on any more.

    Raises:
        ProblemsFound: a name is not known, or something rests on what goes.
    """
    plan = before.plan
    gone = _named(before, change)
    left = [t for t in resting(plan, {t.name for t in gone if t.section == "members"}) if t not in gone]
    if left and not change.dependents:
        found = f"{', '.join(t.words for t in left)} {'rests' if len(left) == 1 else 'rest'} on "
        found += ", ".join(map(shown, change.names))
        wanted = "wanted them removed too (dependents: true), or put on another tube first"
        where = before.where(("names",))
        raise ProblemsFound(told("rests-on-it", where, found, wanted))
    after = without(plan, [*gone, *left])
    idle = _stood_on(plan) - _stood_on(after)
    feet = [name for name, foot in after.feet.items() if {name, foot.mirror or name} <= idle]
    after = with_entries(after, feet={n: e for n, e in after.feet.items() if n not in feet})
    named = list(
        dict.fromkeys(n for name in change.names for n in (name, other_name(plan.members, name)) if n)
    )
    also = [t.words for t in left if t.name not in named]
    rest = [*also, *(f"foot {foot}" for foot in feet)]
    return Altered(plan=after, words=f"removed {some(named)}" + (f" with {some(rest)}" if rest else ""))


def _stood_on(plan: Plan) -> set[str]:
    """Every foot that a tube stands on, mirrors too."""
    said = [(p.foot, m.mirror) for m in plan.members.values() for p in m.path if isinstance(p, AtFoot)]
    twins = {other_name(plan.feet, foot) for foot, mirrored in said if mirrored}
    return {foot for foot, _ in said} | {twin for twin in twins if twin}


def _named(before: Before, change: RemoveChange) -> list[Thing]:
    plan = before.plan
    gone: list[Thing] = []
    problems: list[Problem] = []
    sections = {"members": plan.members, "plates": plan.plates, "gussets": plan.gussets}
    every = {thing.section + thing.name: thing for thing in _things(plan)}
    for i, name in enumerate(change.names):
        found = [
            (section, owner(entries, name)) for section, entries in sections.items() if owner(entries, name)
        ]
        if len(found) == 1:
            gone.append(every[f"{found[0][0]}{found[0][1]}"])
            continue
        where = before.where(("names", i))
        known = [n for entries in sections.values() for n in names_in(entries)]
        problems.append(
            unknown("member, plate or gusset", name, known, where)
            if not found
            else Problem(code="which-one", where=where, found=f"'{name}' is more than one thing",
                         wanted="wanted names of their own in the plan")
        )  # fmt: skip
    if problems:
        raise ProblemsFound(problems)
    return gone


def resting(plan: Plan, gone: set[str]) -> list[Thing]:
    """Everything that rests on those entries of members, on what rests on them, and so on, in plan order."""
    things = list(_things(plan))
    lost, found = _tubes(plan, gone), dict[Thing, None]()
    while True:
        more = [t for t in things if t.on & lost and t not in found]
        if not more:
            return [t for t in things if t in found]
        found.update(dict.fromkeys(more))
        lost |= _tubes(plan, {t.name for t in more if t.section == "members"})


def _tubes(plan: Plan, entries: set[str]) -> set[str]:
    """The tubes that those entries of members make."""
    twins = {plan.members[name].mirror for name in entries}
    return entries | {twin for twin in twins if twin}


def _things(plan: Plan) -> Iterator[Thing]:
    for name, member in plan.members.items():
        yield Thing(section="members", name=name, on=_on(member.path))
    for name, plate in plan.plates.items():
        yield Thing(section="plates", name=name, on=_on(plate.corners))
    for name, gusset in plan.gussets.items():
        yield Thing(section="gussets", name=name, on=frozenset(gusset.between))
    for holder, name, _, mount in mounts_of(plan):
        yield Thing(section=holder, name=name, on=_on((mount.at,)))
    for name, push in plan.pushes.items():
        if push.at is not None:
            yield Thing(section="pushes", name=name, on=_on((push.at,)))


def _on(places: Iterable[Place]) -> frozenset[str]:
    return frozenset(place.on for place in places if isinstance(place, OnMember))


def without(plan: Plan, gone: list[Thing]) -> Plan:
    """The plan without those entries; cuts on them are forgotten."""
    lost = _tubes(plan, {t.name for t in gone if t.section == "members"})
    left = {section: {t.name for t in gone if t.section == section} for section in _SECTIONS}
    members = {n: _uncut(m, lost) for n, m in plan.members.items() if n not in left["members"]}
    made = with_entries(
        plan,
        members=members,
        plates={n: e for n, e in plan.plates.items() if n not in left["plates"]},
        gussets={n: e for n, e in plan.gussets.items() if n not in left["gussets"]},
        pushes={n: e for n, e in plan.pushes.items() if n not in left["pushes"]},
    )
    if made.bench_first is not None:
        made = made.model_copy(update={"bench_first": _still_joined(made.bench_first, lost)})
    if not left["belts"] | left["seat"]:
        return made
    return with_mounts(made, lambda holder, name, mount: None if name in left[holder] else mount)


_SECTIONS = ("members", "plates", "gussets", "belts", "seat", "pushes")


def _still_joined(entry: BenchFirstEntry, lost: set[str]) -> BenchFirstEntry | None:
    """The bench work without those tubes and the clamps on them; None where fewer than two are left."""
    tubes = tuple(n for n in entry.tubes if n not in lost)
    clamps = {n: p for n, p in entry.clamps.items() if not _on((p,)) & lost}
    return entry.model_copy(update={"tubes": tubes, "clamps": clamps}) if len(tubes) > 1 else None


def _uncut(member: MemberEntry, lost: set[str]) -> MemberEntry:
    if _on(member.planned) & lost:  # what was meant cannot be gone back to any more
        member = member.model_copy(update={"planned": ()})
    if member.cut is None or not lost & {n for _, names in member.cut for n in names}:
        return member
    lists = {key: tuple(n for n in names if n not in lost) for key, names in member.cut}
    cut = member.cut.model_copy(update=lists) if any(lists.values()) else None
    return member.model_copy(update={"cut": cut})
