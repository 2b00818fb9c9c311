"""Measures of bends, and of members that must have none."""

from __future__ import annotations

from collections.abc import Callable

from cagewright.check.attitude import is_straight, tip
from cagewright.check.bench import Gauged
from cagewright.check.findings import Location
from cagewright.check.measures.tube import spot_of
from cagewright.check.readings import Amount, Measure, YesNo, at, exact
from cagewright.check.rules import Rule
from cagewright.check.select import chosen
from cagewright.shape.types import Bend, Cage, Member


def of_bend(
    value: Callable[[Member, Bend], float],
) -> Callable[[Cage, Rule, Gauged], tuple[Amount, ...]]:
    """A measure that reads one figure off every bend of the chosen members."""

    def take(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
        del bench
        return tuple(
            exact(Location(members=(m.name,), point=at(bend.apex), part=f"bend {number}"), value(m, bend))
            for m in chosen(cage, rule)
            for number, bend in enumerate(m.bends, start=1)
        )

    return take


def bends(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How many bends each chosen member has."""
    del bench
    return tuple(exact(spot_of(m), float(len(m.bends))) for m in chosen(cage, rule))


def straight(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """Whether each chosen member has no bend."""
    del bench
    return tuple(
        YesNo(
            spot=spot_of(m),
            holds=is_straight(m),
            text="straight" if is_straight(m) else f"{len(m.bends)} bends",
            advice=f"run {m.name} straight from end to end",
        )
        for m in chosen(cage, rule)
    )


def one_piece(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """Whether each chosen member is whole: no other of its role is joined to its end to carry it on."""
    del bench
    return tuple(_whole(cage, member) for member in chosen(cage, rule))


def _whole(cage: Cage, member: Member) -> YesNo:
    alike = {m.name for m in cage.members if m.role == member.role and m.name != member.name}
    met = {name for j in cage.joints if j.branch == member.name for name in j.mains if name in alike}
    met |= {
        j.branch
        for j in cage.joints
        if member.name in j.mains
        and j.branch in alike
        and min(along := j.along[j.mains.index(member.name)], member.path.length - along) < member.tube.od
    }
    return YesNo(
        spot=spot_of(member),
        holds=not met,
        text=f"joined on to {', '.join(sorted(met))}" if met else "one piece",
        advice=f"make {member.name} and {', '.join(sorted(met))} as one tube",
    )


def on_feet(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """Whether both ends of each chosen member stand on feet."""
    del bench
    return tuple(_standing(m) for m in chosen(cage, rule))


def _standing(member: Member) -> YesNo:
    hanging = [end for end in member.ends if end.foot is None]
    return YesNo(
        spot=Location(members=(member.name,), point=at(tip(member, hanging[0].which)) if hanging else None),
        holds=not hanging,
        text="both ends on feet"
        if not hanging
        else f"no foot under its {' and '.join(e.which for e in hanging)}",
        advice=f"put a foot under the {' and the '.join(e.which for e in hanging)} of {member.name}",
    )


MEASURES = (
    Measure(
        name="bend radius",
        per="bend",
        sort="ods",
        needs=("members",),
        meaning="Centreline radius of each bend as a multiple of the tube's outside diameter.",
        passes="135 mm on a 45 mm tube is 3.00 x OD",
        fails="134 mm on a 45 mm tube is 2.98 x OD",
        more="bend {what} on a larger die: its centreline radius must be {limit}",
        less="bend {what} on a smaller die: its centreline radius must be {limit}",
        take=of_bend(lambda m, bend: bend.clr / m.tube.od),
    ),
    Measure(
        name="bend angle",
        per="bend",
        sort="angle",
        needs=("members",),
        meaning="Angle turned by each bend.",
        passes="15 deg against at most 20 deg",
        fails="25 deg against at most 20 deg",
        more="bend {what} by {by} more",
        less="bend {what} by {by} less",
        take=of_bend(lambda m, bend: bend.angle),
    ),
    Measure(
        name="bends",
        per="member",
        sort="count",
        needs=("members",),
        meaning="How many bends a member has.",
        passes="4 bends against at most 4",
        fails="5 bends against at most 4",
        more="{what} needs {by} more bends",
        less="make {what} with {by} fewer bends",
        take=bends,
    ),
    Measure(
        name="straight",
        per="member",
        sort=None,
        needs=("members",),
        meaning="Whether a member runs straight from end to end.",
        passes="a backstay without a bend",
        fails="a backstay with one bend",
        take=straight,
    ),
    Measure(
        name="one piece",
        per="member",
        sort=None,
        needs=("members",),
        meaning="Whether a member is one tube: no other of its role is joined to its end to carry it on.",
        passes="a main rollbar bent from one tube",
        fails="a main rollbar made of two halves joined at the roof",
        take=one_piece,
    ),
    Measure(
        name="both ends on feet",
        per="member",
        sort=None,
        needs=("members",),
        meaning="Whether both ends of a member stand on feet.",
        passes="a main rollbar from foot to foot",
        fails="a main rollbar whose end is joined to a sill bar",
        take=on_feet,
    ),
)
