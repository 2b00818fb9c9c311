"""Measures of bends, and of members that must have none."""

from __future__ import annotations

from collections.abc import Callable

from cagewright.check.attitude import is_straight, tip
from cagewright.check.bench import Gauged
from cagewright.check.findings import Location
from cagewright.check.measures.tube import of_tube, spot_of
from cagewright.check.on_rails import ASK, NO_PLATE
from cagewright.check.readings import Amount, Measure, YesNo, at, each, exact
from cagewright.check.rules import Rule
from cagewright.check.select import chosen, held_rails
from cagewright.plan.types import Which
from cagewright.shape.types import Bend, Cage, Member


def of_bend(value: Callable[[Member, Bend], float]) -> Callable[[Cage, Rule, Gauged], tuple[Amount, ...]]:
    """A measure that reads one figure off every bend of the chosen members."""

    def read(cage: Cage, rule: Rule, found: tuple[Member, int, Bend]) -> Amount:
        member, number, bend = found
        spot = Location(members=(member.name,), point=at(bend.apex), part=f"bend {number}")
        return exact(spot, value(member, bend))

    return each(
        lambda cage, rule: ((m, n, b) for m in chosen(cage, rule) for n, b in enumerate(m.bends, start=1)),
        read,
    )


def straight(cage: Cage, rule: Rule, member: Member) -> YesNo:
    """Whether the member has no bend."""
    return YesNo(
        spot=spot_of(member),
        holds=is_straight(member),
        text="straight" if is_straight(member) else f"{len(member.bends)} bends",
        advice=f"run {member.name} straight from end to end",
    )


def one_piece(cage: Cage, rule: Rule, member: Member) -> YesNo:
    """Whether the member is whole: no other of its role is joined to its end to carry it on."""
    alike = {m.name for m in cage.members if m.role == member.role and m.name != member.name}
    met = {name for j in cage.joints if j.branch == member.name for name in j.mains if name in alike}
    met |= {
        j.branch
        for j in cage.joints
        if member.name in j.mains
        and j.branch in alike
        and min(along := j.along[j.mains.index(member.name)], member.path.length - along) < member.tube.across
    }
    return YesNo(
        spot=spot_of(member),
        holds=not met,
        text=f"joined on to {', '.join(sorted(met))}" if met else "one piece",
        advice=f"make {member.name} and {', '.join(sorted(met))} as one tube",
    )


def on_feet(cage: Cage, rule: Rule, member: Member) -> YesNo:
    """Whether both ends of the member stand on feet; not told where one stands on a welded rail."""
    hanging: list[Which] = [end.which for end in member.ends if end.foot is None]
    rails = {rail.name for rail in held_rails(cage, (member.role,))}
    landed = {j.which for j in cage.joints if j.branch == member.name and rails & set(j.mains)}
    spot = Location(members=(member.name,), point=at(tip(member, hanging[0])) if hanging else None)
    if hanging and landed >= set(hanging):
        return YesNo(spot=spot, holds=None, text="on a rail", why=NO_PLATE, advice=ASK)
    return YesNo(
        spot=spot,
        holds=not hanging,
        text=f"no foot under its {' and '.join(hanging)}" if hanging else "both ends on feet",
        advice=f"put a foot under the {' and the '.join(hanging)} of {member.name}",
    )


MEASURES = (
    Measure(
        name="bend radius", per="bend", sort="ods", needs=("members",),
        take=of_bend(lambda m, bend: bend.clr / m.tube.od),
        meaning="Centreline radius of each bend as a multiple of the tube's outside diameter.",
        passes="135 mm on a 45 mm tube is 3.00 x OD", fails="134 mm on a 45 mm tube is 2.98 x OD",
        more="bend {what} on a larger die: its centreline radius must be {limit}",
        less="bend {what} on a smaller die: its centreline radius must be {limit}",
    ),
    Measure(
        name="bend angle", per="bend", sort="angle", needs=("members",),
        take=of_bend(lambda m, bend: bend.angle),
        meaning="Angle turned by each bend.",
        passes="15 deg against at most 20 deg", fails="25 deg against at most 20 deg",
        more="bend {what} by {by} more", less="bend {what} by {by} less",
    ),
    Measure(
        name="bends", per="member", sort="count", needs=("members",),
        take=of_tube(lambda m: float(len(m.bends))),
        meaning="How many bends a member has.",
        passes="4 bends against at most 4", fails="5 bends against at most 4",
        more="{what} needs {by} more bends", less="make {what} with {by} fewer bends",
    ),
    Measure(
        name="straight", per="member", sort=None, needs=("members",), take=each(chosen, straight),
        meaning="Whether a member runs straight from end to end.",
        passes="a backstay without a bend", fails="a backstay with one bend",
    ),
    Measure(
        name="one piece", per="member", sort=None, needs=("members",), take=each(chosen, one_piece),
        meaning="Whether a member is one tube: no other of its role is joined to its end to carry it on.",
        passes="a main rollbar bent from one tube",
        fails="a main rollbar made of two halves joined at the roof",
    ),
    Measure(
        name="both ends on feet", per="member", sort=None, needs=("members",), take=each(chosen, on_feet),
        meaning="Whether both ends of a member stand on feet.",
        passes="a main rollbar from foot to foot", fails="a main rollbar whose end is joined to a sill bar",
    ),
)  # fmt: skip
