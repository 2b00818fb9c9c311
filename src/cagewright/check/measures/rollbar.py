"""Measures of a rollbar's legs: bends in them, how they lean, and where the front foot stands."""

from __future__ import annotations

import math
from collections.abc import Iterable

from cagewright.base.curves import tangent_at
from cagewright.check.attitude import RISE, from_vertical, outward, points_of, side_of, tip, top_of
from cagewright.check.bench import Gauged
from cagewright.check.findings import Location
from cagewright.check.measures.door import lines_called
from cagewright.check.readings import Amount, Measure, at, each, exact, unknown
from cagewright.check.rules import Rule
from cagewright.check.select import chosen
from cagewright.plan.types import Which
from cagewright.shape.types import Bend, Cage, Member

UPRIGHT = math.radians(45.0)
"""A straight nearer the vertical than this belongs to the leg (common practice, no source)."""
Leg = tuple[Member, Which]


def legs(cage: Cage, rule: Rule) -> Iterable[Leg]:
    """The ends of the chosen members from which a leg rises."""
    ends: tuple[Which, Which] = ("start", "end")
    for member in chosen(cage, rule):
        top = float(top_of(member)[2])
        for which in ends:
            rises = top - float(tip(member, which)[2]) >= RISE
            if rises and from_vertical(outward(member, which)) <= UPRIGHT:
                yield member, which


def spot_of(leg: Leg) -> Location:
    """The leg's foot."""
    member, which = leg
    return Location(members=(member.name,), point=at(tip(member, which)), part=which)


def bends_in_leg(cage: Cage, rule: Rule, leg: Leg) -> Amount:
    """How many bends the leg has below the one where the tube leaves the near vertical."""
    member, which = leg
    bends = sorted(member.bends, key=lambda b: b.start, reverse=which == "end")
    count = 0
    for bend in bends:
        after = tangent_at(member.path, bend.stop if which == "start" else bend.start)
        if from_vertical(after) > UPRIGHT:
            break
        count += 1
    return exact(spot_of(leg), float(count))


def lean_back(cage: Cage, rule: Rule, leg: Leg) -> Amount:
    """How far the leg's lowest straight leans back going up, in side view, rad; forward is negative."""
    up = outward(*leg)
    return exact(spot_of(leg), math.atan2(float(up[0]), abs(float(up[2]))))


def foot_behind_front(cage: Cage, rule: Rule, leg: Leg) -> Amount:
    """How far the leg's foot is behind the foremost point of its member's axis, mm."""
    member, which = leg
    return exact(spot_of(leg), float(tip(member, which)[0]) - float(points_of(member.path)[:, 0].min()))


def bends_below_line(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How many of each chosen member's bends end below the lowest point of the body line on their side."""
    del bench
    return tuple(_below(cage, rule, member) for member in chosen(cage, rule))


def _below(cage: Cage, rule: Rule, member: Member) -> Amount:
    spot = Location(members=(member.name,))
    lines = [line for side in ("left", "right") for line in lines_called(cage, rule.opening, side)]
    mine = lines_called(cage, rule.opening, side_of(member)) or lines
    if not mine:
        return unknown(spot, f"no body line called '{rule.opening}'", "measure where it starts")
    floor = min(float(line.points[:, 2].min()) for line in mine)
    low = [bend for bend in member.bends if _upper_end(member, bend) < floor]
    point = at(low[0].apex) if low else None
    return exact(Location(members=(member.name,), point=point), float(len(low)))


def _upper_end(member: Member, bend: Bend) -> float:
    """Height of the higher end of a bend, mm."""
    back = bend.clr * math.tan(bend.angle / 2.0)
    ends = (
        bend.apex - back * tangent_at(member.path, bend.start),
        bend.apex + back * tangent_at(member.path, bend.stop),
    )
    return max(float(end[2]) for end in ends)


MEASURES = (
    Measure(
        name="bends in leg", per="end", sort="count", needs=("members",), take=each(legs, bends_in_leg),
        meaning=(
            "How many bends each leg of a rollbar has, from its foot to the bend that takes the tube more "
            "than 45 degrees off the vertical, that bend left out."
        ),
        passes="one bend at the waist against at most 1", fails="two bends below the roof's",
        more="{what} needs {by} more bends", less="make the leg of {what} with {by} fewer bends",
    ),
    Measure(
        name="leg lean back", per="end", sort="angle", needs=("members",), take=each(legs, lean_back),
        meaning="How far a leg's lowest straight leans back going up, in side view; forward is negative.",
        passes="3 deg back against at most 10 deg", fails="14 deg back against at most 10 deg",
        more="lean {what} back by {by} more", less="stand {what} more upright by {by}",
    ),
    Measure(
        name="foot behind front", per="end", sort="length", needs=("members",),
        take=each(legs, foot_behind_front),
        meaning="How far a leg's foot stands behind the foremost point of its tube's axis.",
        passes="0 mm against at most 0 mm", fails="40 mm against at most 0 mm",
        more="move the foot of {what} back by {by}", less="move the foot of {what} forward by {by}",
    ),
    Measure(
        name="bends below line", per="member", sort="count", needs=("members", "opening"),
        take=bends_below_line,
        meaning=(
            "How many bends of a member end below the lowest point of the body line whose name or note "
            "holds `opening`."
        ),
        passes="none, with the bend at the foot of the line called 'windscreen pillar', against at most 0",
        fails="one bend 200 mm below it against the same",
        more="{what} needs {by} more bends there", less="run {what} straight below that line: {by} too many",
    ),
)  # fmt: skip
