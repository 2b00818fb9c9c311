"""Edits that change what a member is, not where: size, role, note, mirror; and what goes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from cagewright.base.problems import Problem, ProblemsFound
from cagewright.base.vectors import mirrored
from cagewright.change.move import foot_at
from cagewright.change.named import names_in, owner, told, with_entries
from cagewright.plan.alternatives import MirrorChange, RemoveChange, SizeChange
from cagewright.plan.types import AtFoot, MemberEntry, Plan
from cagewright.shape.drafts import ON_CENTRE
from cagewright.workbench.edits.asked import Standing
from cagewright.workbench.edits.change import Change, after_change, member_entry, where_member
from cagewright.workbench.edits.names import other_name, other_side
from cagewright.workbench.edits.vocabulary import GiveRole, Mirror, Note, Remove, Size
from cagewright.workbench.told import listed, tube_words


def sized(stand: Standing, asked: Size) -> Change:
    """The plan with another tube for the members.

    Raises:
        ProblemsFound: a name is not known, the edit does not say which tube, or there is no such tube.
    """
    where = where_member(stand, asked.members[0])
    said = {key: getattr(asked, key) for key in ("od", "wall", "steel", "clr")}
    if asked.tube is None and not any(value is not None for value in said.values()):
        raise ProblemsFound(
            told("no-size", where, "it does not say which tube", "wanted tube, or od, wall or steel")
        )
    plan = stand.plan
    for name in asked.members:
        member = plan.members[member_entry(stand, name)]
        known = _known_tube(plan, member, asked)
        size: dict[str, Any] = {**said, "clr": said["clr"] or _radius_for(plan, asked), "tube": asked.tube}
        what = SizeChange.model_construct(
            None, members=(name,), one_side=asked.one_side, **({"tube": known} if known else size)
        )
        plan = after_change(stand, what, where, plan)
    first = owner(plan.members, asked.members[0]) or asked.members[0]
    made = plan.tubes[plan.members[first].tube]
    return Change(plan=plan, words=f"{listed(asked.members)}: {tube_words(made, plan.units)}")


def _known_tube(plan: Plan, member: MemberEntry, asked: Size) -> str | None:
    """The plan's tube of just that size and steel, with a bend radius where the member has bends."""
    if asked.tube is not None or asked.clr is not None:
        return None
    old = plan.tubes[member.tube]
    od, wall, steel = asked.od or old.od, asked.wall or old.wall, asked.steel or old.steel
    return next(
        (
            name
            for name, tube in plan.tubes.items()
            if _same(tube.od, od) and _same(tube.wall, wall) and tube.steel == steel
            if tube.clr is not None or len(member.path) == 2
        ),
        None,
    )


def _radius_for(plan: Plan, asked: Size) -> float | None:
    """The bend radius that the plan's other tubes of that diameter have: a die goes by the diameter."""
    if asked.od is None or asked.tube is not None:
        return None
    alike = (t.clr for t in plan.tubes.values() if _same(t.od, asked.od) and t.clr is not None)
    return next(alike, None)


def _same(one: float, other: float) -> bool:
    return abs(one - other) < 0.05


def given_role(stand: Standing, asked: GiveRole) -> Change:
    """The plan with another role for the members.

    Raises:
        ProblemsFound: a name is not known.
    """
    plan = stand.plan
    for name in asked.members:
        plan = _updated(plan, member_entry(stand, name), {"role": asked.role})
    return Change(plan=plan, words=f"{listed(asked.members)}: {asked.role}")


def noted(stand: Standing, asked: Note) -> Change:
    """The plan with another note on the member.

    Raises:
        ProblemsFound: there is no such member.
    """
    plan = _updated(stand.plan, member_entry(stand, asked.member), {"note": asked.note})
    return Change(plan=plan, words=f"{asked.member}: note {'changed' if asked.note else 'taken away'}")


def _updated(plan: Plan, name: str, update: dict[str, Any]) -> Plan:
    entry = plan.members[name].model_copy(update=update)
    return with_entries(plan, members={**plan.members, name: entry})


def mirrored_over(stand: Standing, asked: Mirror) -> Change:
    """The plan with the same tube on the other side, and its feet with it.

    Raises:
        ProblemsFound: it has a mirror already, or a name is taken.
    """
    where = where_member(stand, asked.member)
    if asked.member not in stand.plan.members:
        found = f"'{asked.member}' is itself a mirror"
        raise ProblemsFound(told("mirrored-twice", where, found, "wanted one that stands on one side only"))
    if _own_mirror(stand, asked.member):
        found = f"'{asked.member}' runs across the car and is its own mirror"
        raise ProblemsFound(told("mirrored-twice", where, found, "wanted one that stands on one side only"))
    taken = names_in(stand.plan.members)
    copy = asked.name or other_side(asked.member, taken)
    what = MirrorChange.model_construct(name=asked.member, copy_name=copy)
    plan = after_change(stand, what, where)
    return Change(plan=feet_mirrored(plan, asked.member), words=f"{asked.member}: mirrored as {copy}")


def _own_mirror(stand: Standing, name: str) -> bool:
    """Whether the member's places are each other's mirrors, the first of the last and so on."""
    try:
        places = [stand.at(place) for place in stand.plan.members[name].path]
    except ProblemsFound:
        return False
    flipped = [mirrored(place) for place in reversed(places)]
    return bool(np.allclose(places, flipped, atol=ON_CENTRE))


def feet_mirrored(plan: Plan, member: str) -> Plan:
    """The plan with a mirror for each foot of the member that has none and is not on the centre line."""
    feet = dict(plan.feet)
    for place in plan.members[member].path:
        entry = feet.get(place.foot) if isinstance(place, AtFoot) else None
        if not isinstance(place, AtFoot) or entry is None or entry.mirror is not None:
            continue
        if abs(foot_at(plan, entry)[1]) > ON_CENTRE:
            copy = other_side(place.foot, names_in(feet))
            feet[place.foot] = entry.model_copy(update={"mirror": copy})
    return with_entries(plan, feet=feet)


def removed(stand: Standing, asked: Remove) -> Change:
    """The plan without what is named, and without the feet that nothing stands on any more.

    Raises:
        ProblemsFound: a name is not known, or something rests on what goes.
    """
    what = RemoveChange.model_construct(
        names=asked.members, dependents=asked.dependents, one_side=asked.one_side
    )
    first = owner(stand.plan.members, asked.members[0])
    where = stand.where(("members", first) if first else ())
    try:
        plan = after_change(stand, what, where)
    except ProblemsFound as found:
        raise ProblemsFound(_said_for_a_page(p) for p in found.problems) from None
    plan, feet = _without_idle_feet(stand.plan, plan)
    named = list(dict.fromkeys(n for name in asked.members for n in _both(stand.plan, asked, name)))
    also = [name for name in _gone(stand.plan, plan) if name not in named]
    rest = [*also, *(f"foot {foot}" for foot in feet)]
    words = f"removed {listed(named)}" + (f" with {listed(rest)}" if rest else "")
    return Change(plan=plan, words=words)


def _both(plan: Plan, asked: Remove, name: str) -> list[str]:
    """The name, and that of its other side where that goes too."""
    twin = other_name(plan.members, name)
    return [name] if asked.one_side or twin is None else [name, twin]


def _said_for_a_page(problem: Problem) -> Problem:
    if problem.code != "rests-on-it":
        return problem
    return replace(problem, wanted="wanted them removed with it, or put on another tube first")


def _gone(before: Plan, after: Plan) -> list[str]:
    sections = ("members", "plates", "gussets", "pushes")
    gone = [n for s in sections for n in getattr(before, s) if n not in getattr(after, s)]
    return [*gone, *(n for n in _mounts(before) if n not in _mounts(after))]


def _mounts(plan: Plan) -> list[str]:
    holders = (("seat", plan.seat), ("belt", plan.belts))
    return [f"{kind} mount {name}" for kind, holder in holders if holder for name in holder.mounts]


def _without_idle_feet(before: Plan, after: Plan) -> tuple[Plan, list[str]]:
    idle = _stood_on(before) - _stood_on(after)
    names = [name for name, foot in after.feet.items() if {name, foot.mirror or name} <= idle]
    feet = {name: entry for name, entry in after.feet.items() if name not in names}
    return with_entries(after, feet=feet), names


def _stood_on(plan: Plan) -> set[str]:
    """Every foot that a tube stands on, mirrors too."""
    said = {p.foot for m in plan.members.values() for p in m.path if isinstance(p, AtFoot)}
    twins = {
        plan.feet[foot].mirror if foot in plan.feet else owner(plan.feet, foot)
        for m in plan.members.values()
        if m.mirror
        for p in m.path
        if isinstance(p, AtFoot)
        for foot in (p.foot,)
    }
    return said | {twin for twin in twins if twin}
