"""What is in a plan: members, joints, feet, and what the shop must see to first."""

from __future__ import annotations

from dataclasses import dataclass

from cagewright.base.answers import Answer, Sentence, Value, figure
from cagewright.base.names import listed, shown
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector
from cagewright.job.cutting import sentences
from cagewright.job.opening import Job
from cagewright.make.bending import bend_sheet
from cagewright.make.cutlist import tube_words
from cagewright.shape.types import Bend, Cope, End, Member

Point = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class BendInPlan:
    """A bend: its angle, radius, where it begins and ends along the tube, and its turn to the one before."""

    angle: Value
    clr: Value
    start: Value
    stop: Value
    rotation: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class MemberInPlan:
    """A member: its names as the plan has them and as they are shown, its tube, and what its ends meet."""

    name: str
    shown: str
    role: str
    tube: str
    tube_name: str
    length: Value
    bends: tuple[BendInPlan, ...]
    start: str
    end: str
    mirror_of: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class JointInPlan:
    """A joint: the branch that is cut, the mains it is cut on, where it stands, mm."""

    name: str
    branch: str
    mains: tuple[str, ...]
    point: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class FootInPlan:
    """A foot: what it stands on, where, mm, and what lands on it."""

    name: str
    on: str
    point: Point
    members: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents(Answer):
    """What is in a plan.

    Attributes:
        units: what the builder's tape reads.
        members: in the plan's order.
        to_see_to: what the shop must see to before it bends.
    """

    title: str
    revision: str
    units: LengthUnit
    shop: str
    members: tuple[MemberInPlan, ...]
    joints: tuple[JointInPlan, ...]
    feet: tuple[FootInPlan, ...]
    to_see_to: tuple[Sentence, ...]


def contents_of(job: Job) -> Contents:
    """What is in the plan, with what its shop's dies cannot do."""
    cage = job.cage
    problems = [p for m in cage.members if m.bends for p in bend_sheet(m, job.shop, cage.units).problems]
    count = f"{len(cage.members)} members, {len(cage.joints)} joints, {len(cage.feet)} feet"
    return Contents(
        headline=f"{count}; {len(problems)} things for the shop to see to" if problems else count,
        level="look at" if problems else "fine",
        title=cage.title,
        revision=cage.revision,
        units=cage.units,
        shop=job.shop.name,
        members=tuple(_member(m, cage.units) for m in cage.members),
        joints=tuple(
            JointInPlan(name=j.name, branch=j.branch, mains=j.mains, point=_point(j.point))
            for j in cage.joints
        ),
        feet=tuple(
            FootInPlan(name=f.name, on=f.seat, point=_point(f.point), members=f.members) for f in cage.feet
        ),
        to_see_to=sentences(problems),
    )


def _member(m: Member, units: LengthUnit) -> MemberInPlan:
    start, end = (_end(e) for e in m.ends)
    return MemberInPlan(
        name=m.name, shown=shown(m.name), role=m.role, tube=tube_words(m.tube, units), tube_name=m.tube_name,
        length=figure(m.length, "length", units), bends=tuple(_bend(b, units) for b in m.bends),
        start=start, end=end, mirror_of=m.mirror_of,
    )  # fmt: skip


def _end(end: End) -> str:
    if end.foot:
        return f"foot {shown(end.foot)}"
    return listed(end.cut.mains) if isinstance(end.cut, Cope) else "free"


def _bend(b: Bend, units: LengthUnit) -> BendInPlan:
    return BendInPlan(
        angle=figure(b.angle, "angle", units), clr=figure(b.clr, "length", units),
        start=figure(b.start, "length", units), stop=figure(b.stop, "length", units),
        rotation=figure(b.clocking, "angle", units),
    )  # fmt: skip


def _point(point: Vector) -> Point:
    x, y, z = (round(v, 3) for v in point.tolist())
    return x, y, z
