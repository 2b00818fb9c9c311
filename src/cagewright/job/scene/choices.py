"""What the page offers where a tube is added or changed: roles, tubes, sizes and names."""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args

from cagewright.base.say import say_size
from cagewright.change.before import from_role, names_in, usual_tube
from cagewright.change.words import tube_words
from cagewright.job.opening import Job
from cagewright.plan.types import MemberEntry, Plan, Role
from cagewright.stock.catalogue import steels

ROLES: tuple[str, ...] = get_args(Role)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoleChoice:
    """A role: how many members have it, its usual tube, and a name for one more."""

    role: str
    count: int
    tube: str | None
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeChoice:
    """A tube of the plan (mm), in words, and how many members are made of it."""

    name: str
    words: str
    od: float
    wall: float
    steel: str
    clr: float | None
    members: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SoldSize:
    """A size (mm) and steel that the shop can buy, in words."""

    words: str
    od: float
    wall: float
    steel: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DieChoice:
    """A die of the shop: its name, what tube it takes and the centreline radius it bends to, mm."""

    name: str
    od: float
    clr: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenNames:
    """Names that the plan has already."""

    members: tuple[str, ...]
    points: tuple[str, ...]
    feet: tuple[str, ...]
    tubes: tuple[str, ...]
    plates: tuple[str, ...]
    gussets: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CageChoices:
    """What there is to choose from."""

    roles: tuple[RoleChoice, ...]
    tubes: tuple[TubeChoice, ...]
    sold: tuple[SoldSize, ...]
    dies: tuple[DieChoice, ...]
    steels: tuple[str, ...]
    names: TakenNames


def choices_of(job: Job) -> CageChoices:
    """What the plan and its shop leave to choose from."""
    plan, members = job.plan, job.cage.members
    taken = names_in(plan.members)
    sizes = dict.fromkeys((row.od, row.wall, row.steel) for row in job.shop.stock if row.shape == "round")
    return CageChoices(
        roles=tuple(
            RoleChoice(
                role=role,
                count=sum(m.role == role for m in members),
                tube=usual_tube(plan, role),
                name=from_role(role, 0.0, mirrored=False, taken=taken),
            )
            for role in ROLES
        ),
        tubes=tuple(_tube(plan, name) for name in plan.tubes),
        sold=tuple(
            SoldSize(words=f"{say_size(od, wall, plan.house_units)} {steel}", od=od, wall=wall, steel=steel)
            for od, wall, steel in sizes
        ),
        dies=tuple(DieChoice(name=die.name, od=die.od, clr=die.clr) for die in job.shop.dies),
        steels=tuple(dict.fromkeys([*plan.steels, *steels()])),
        names=TakenNames(
            members=tuple(taken),
            points=tuple(names_in(plan.points)),
            feet=tuple(names_in(plan.feet)),
            tubes=tuple(plan.tubes),
            plates=tuple(names_in(plan.plates)),
            gussets=tuple(names_in(plan.gussets)),
        ),
    )


def _tube(plan: Plan, name: str) -> TubeChoice:
    entry = plan.tubes[name]
    return TubeChoice(
        name=name,
        words=tube_words(entry, plan.house_units),
        od=entry.across,
        wall=entry.wall,
        steel=entry.steel,
        clr=entry.clr,
        members=sum(_count(m) for m in plan.members.values() if m.tube == name),
    )


def _count(entry: MemberEntry) -> int:
    return 1 if entry.mirror is None else 2
