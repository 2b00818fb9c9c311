"""The cut list: for each member the tube, its finished and rough length and how each end is cut."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cagewright.base.names import listed
from cagewright.base.say import say_angle
from cagewright.base.units import LengthUnit
from cagewright.make.holesaw import saw_setting
from cagewright.plan.types import Which
from cagewright.shape.types import Cage, Cope, End, FlatCut, Lie, Member
from cagewright.stock.sections import size_words
from cagewright.stock.shop import Shop, die_for
from cagewright.stock.tubes import Tube

SQUARE = math.radians(0.05)
"""A flat cut closer to square than this is a square cut: no saw is set finer (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rough:
    """The rough tube of a member: what is cut from the bar before it is bent.

    Attributes:
        starts_at: the member's end that goes into the bender first.
        first: spare before the finished tube at that end, mm.
        last: spare after the finished tube at the other end, mm.
        length: finished length and both spares, mm.
        grip: how much of ``first`` is there for the bender's clamp, mm, beyond the shop's trim.
        tail: how much of ``last`` is there for the machine, mm, beyond the shop's trim.
    """

    starts_at: Which
    first: float
    last: float
    length: float
    grip: float
    tail: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CutRow:
    """One line of the cut list.

    Attributes:
        member: name.
        role: the regulations' word for it.
        tube: size and steel.
        tube_name: the plan's name for the tube.
        finished: longest point to longest point along the developed axis, mm.
        rough: as cut from the bar, mm.
        spare: the rough tube's layout.
        bends: how many.
        start: how the start is cut, in words.
        end: how the end is cut, in words.
        mirror_of: the member it is the mirror of, or None.
        removable: bolted in.
    """

    member: str
    role: str
    tube: Tube
    tube_name: str
    finished: float
    rough: float
    spare: Rough
    bends: int
    start: str
    end: str
    mirror_of: str | None
    removable: bool


def cut_list(cage: Cage, shop: Shop) -> tuple[CutRow, ...]:
    """A line for every member, in the cage's order."""
    return tuple(_row(cage, member, shop) for member in cage.members)


def _row(cage: Cage, member: Member, shop: Shop) -> CutRow:
    spare = rough(member, shop)
    start, end = (end_words(cage, member, e, shop) for e in member.ends)
    return CutRow(
        member=member.name, role=member.role, tube=member.tube, tube_name=member.tube_name,
        finished=member.length, rough=spare.length, spare=spare, bends=len(member.bends),
        start=start, end=end, mirror_of=member.mirror_of, removable=member.removable,
    )  # fmt: skip


# --- the rough tube


def rough(member: Member, shop: Shop) -> Rough:
    """The shorter of the two rough tubes: bent from the member's start, or from its end.

    Each end carries the shop's trim. The starting end is longer where the straight before the first bend is
    shorter than the die's grip, the other end where the straight after the last is shorter than its tail.
    Equal lengths start at the member's start.
    """
    from_start, from_end = _rough_from(member, shop, "start"), _rough_from(member, shop, "end")
    return from_end if from_end.length < from_start.length - 1e-6 else from_start


def _rough_from(member: Member, shop: Shop, starts_at: Which) -> Rough:
    other: Which = "end" if starts_at == "start" else "start"
    grip, tail = _needs(member, shop, starts_at)
    more_first = max(grip - end_straight(member, starts_at) - shop.trim, 0.0)
    more_last = max(tail - end_straight(member, other) - shop.trim, 0.0)
    first, last = shop.trim + more_first, shop.trim + more_last
    return Rough(
        starts_at=starts_at, first=first, last=last, length=first + member.length + last,
        grip=more_first, tail=more_last,
    )  # fmt: skip


def _needs(member: Member, shop: Shop, starts_at: Which) -> tuple[float, float]:
    """Straight the machine needs before the first bend and after the last, mm; 0 where no die fits."""
    if not member.bends:
        return 0.0, 0.0
    order = member.bends if starts_at == "start" else member.bends[::-1]
    first, last = (die_for(shop, member.tube, b.clr) for b in (order[0], order[-1]))
    return (first.grip if first else 0.0), (last.tail if last else 0.0)


def end_straight(member: Member, which: Which) -> float:
    """Finished straight at one end, from the furthest point of its cut to the nearest bend, mm."""
    if not member.bends:
        return member.length
    if which == "start":
        return member.bends[0].start - member.ends[0].trim
    return member.path.length - member.bends[-1].stop - member.ends[1].trim


# --- words


def end_words(cage: Cage, member: Member, end: End, shop: Shop) -> str:
    """How the end is cut: ``cope on main hoop, needs the wrap``, ``square``, ``flat, 12.3°``.

    A rail's: ``45.0° seen from above``, the saw's angle from square as the rail lies in the car.
    """
    if member.lie is not None:
        return _rail_words(end, member.lie)
    if end.given and isinstance(end.cut, Cope):
        return f"notched as bought, on {listed(end.cut.mains)}"
    if isinstance(end.cut, Cope):
        how = "hole saw" if saw_setting(cage, member, end, shop).simple else "needs the wrap"
        return f"cope on {listed(end.cut.mains)}, {how}"
    return "square" if end.cut.tilt < SQUARE else f"flat, {say_angle(end.cut.tilt)}"


def _rail_words(end: End, lie: Lie) -> str:
    normal = end.cut.normal if isinstance(end.cut, FlatCut) else end.cut.axis
    ahead = float(normal @ end.cut.axis)
    views = (("from above", lie.across), ("from its side", lie.up))
    angles = [(word, abs(math.atan2(float(normal @ way), ahead))) for word, way in views]
    return " and ".join(f"{say_angle(a)} seen {word}" for word, a in angles if a >= SQUARE) or "square"


def tube_words(tube: Tube, units: LengthUnit) -> str:
    """The tube as it is ordered: ``45 x 2.5 mm E355+N`` or ``1 3/4 x 0.095 in DOM 1020``."""
    return f"{size_words(tube.section, units)} {tube.steel.name}"


def clocking_words(member: Member, end: End) -> str:
    """How the cut lies round the tube, seen from the member's start to its end; a dash where any way will do.

    Told from the inside of the nearest bend, or without bends from the cut at the member's start.
    """
    if _any_way(end):
        return "–"
    side = "heel" if isinstance(end.cut, Cope) else "long side"
    if member.bends:
        return f"{side} {_way_round(end.clocking)} the inside of the nearest bend"
    if end.which == "start" or _any_way(member.ends[0]):
        return f"{side} anywhere round the tube"
    first = "heel" if isinstance(member.ends[0].cut, Cope) else "long side"
    return f"{side} {_way_round(member.end_clocking)} the {first} at the start"


def _any_way(end: End) -> bool:
    return not isinstance(end.cut, Cope) and end.cut.tilt < SQUARE


def _way_round(angle: float) -> str:
    if abs(angle) < SQUARE:
        return "in line with"
    if abs(abs(angle) - math.pi) < SQUARE:
        return "opposite"
    return f"{say_angle(abs(angle))} {'clockwise' if angle > 0.0 else 'anticlockwise'} of"
