"""Which members, feet, joints and gussets a row looks at."""

from __future__ import annotations

from cagewright.check.rules import Rule
from cagewright.plan.types import Role
from cagewright.shape.types import Cage, Foot, Gusset, Joint, Member


def members_of(cage: Cage, roles: tuple[Role, ...]) -> tuple[Member, ...]:
    """The members that have one of the roles, in file order."""
    return tuple(m for m in cage.members if m.role in roles)


def chosen(cage: Cage, rule: Rule) -> tuple[Member, ...]:
    """The members a row looks at: those of its roles; with ``joined_to`` only those cut on such members."""
    members = members_of(cage, rule.members)
    if not rule.joined_to:
        return members
    on = {m.name for m in members_of(cage, rule.joined_to)}
    joined = {j.branch for j in cage.joints if on & set(j.mains)}
    return tuple(m for m in members if m.name in joined)


def feet_of(cage: Cage, roles: tuple[Role, ...]) -> tuple[Foot, ...]:
    """The feet on which a member of one of the roles lands."""
    names = {m.name for m in members_of(cage, roles)}
    return tuple(f for f in cage.feet if names & set(f.members))


def held_rails(cage: Cage, roles: tuple[Role, ...]) -> tuple[Member, ...]:
    """The rails welded to the shell along their length that have one of the roles, or carry one that has."""
    names = {m.name for m in members_of(cage, roles)}
    under = {main for j in cage.joints if j.branch in names for main in j.mains}
    return tuple(m for m in cage.members if m.runs and m.name in names | under)


def joints_between(cage: Cage, rule: Rule) -> tuple[Joint, ...]:
    """The joints of a member of ``joints_of`` cut on a member of ``joints_on`` (any, where not given)."""
    cut = {m.name for m in members_of(cage, rule.joints_of)}
    on = {m.name for m in (members_of(cage, rule.joints_on) if rule.joints_on else cage.members)}
    return tuple(j for j in cage.joints if j.branch in cut and on & set(j.mains))


def gussets_of(cage: Cage, roles: tuple[Role, ...]) -> tuple[Gusset, ...]:
    """The gussets between two members of the roles."""
    names = {m.name for m in members_of(cage, roles)}
    return tuple(g for g in cage.gussets if set(g.between) <= names)


def landing(cage: Cage, foot: Foot) -> tuple[Member, ...]:
    """The members that land on the foot."""
    return tuple(m for m in cage.members if m.name in foot.members)
