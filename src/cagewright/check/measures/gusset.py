"""Measures of gussets and plates between members."""

from __future__ import annotations

from collections.abc import Callable

from cagewright.base.curves import nearest
from cagewright.base.vectors import length
from cagewright.check.bench import QUANTITIES, Gauged, reading
from cagewright.check.findings import Location
from cagewright.check.readings import Amount, Measure, at, each, exact, unknown
from cagewright.check.rules import Rule
from cagewright.check.select import chosen, gussets_of, joints_between
from cagewright.shape.types import Cage, Gusset, Joint, Member, member_named

REACH = 250.0
"""mm: a gusset belongs to a joint of its two members that is no further away than this."""


def of_gusset(value: Callable[[Cage, Gusset], float]) -> Callable[[Cage, Rule, Gauged], tuple[Amount, ...]]:
    """A measure that reads one figure off every gusset between the chosen members."""

    def read(cage: Cage, rule: Rule, gusset: Gusset) -> Amount:
        spot = Location(members=gusset.between, point=at(gusset.point), part=f"gusset {gusset.name}")
        return exact(spot, value(cage, gusset))

    return each(lambda cage, rule: gussets_of(cage, rule.members), read)


def larger_tube(cage: Cage, gusset: Gusset) -> float:
    """OD of the larger of the two tubes that a gusset joins, mm."""
    return max(member_named(cage, name).tube.across for name in gusset.between)


def gussets_per_joint(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How many gussets stand at each chosen joint; a folded one, a sheet on both sides, counts as two."""
    del bench
    return tuple(
        exact(
            Location(members=(j.branch,), joints=(j.name,), point=at(j.point)),
            float(sum(2 if g.kind == "folded" else 1 for g in cage.gussets if _stands_at(g, j))),
        )
        for j in joints_between(cage, rule)
    )


def _stands_at(gusset: Gusset, joint: Joint) -> bool:
    pair = set(gusset.between)
    return (
        joint.branch in pair
        and bool(pair & set(joint.mains))
        and float(length(gusset.point - joint.point)) <= REACH
    )


def corner_reach(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How far each end of a corner tube is from the joint it braces, over the tube's length on that side.

    A corner tube is one of the chosen members whose two ends lie on two tubes that are joined to each other,
    one of them nearer to the joint than half way: what starts further out on both is a brace of its own.
    """
    del bench
    found = [_reaches(cage, m) for m in chosen(cage, rule)]
    return tuple(
        exact(spot, share) for ends in found if any(s <= 0.5 for _, s in ends) for spot, share in ends
    )


def _reaches(cage: Cage, corner: Member) -> tuple[tuple[Location, float], ...]:
    ends = [(j.mains[0], j.along[0]) for j in cage.joints if j.branch == corner.name]
    tied = {name for name, _ in ends}
    joint = next((j for j in cage.joints if len(tied) == 2 and tied <= {j.branch, *j.mains}), None)
    if joint is None:
        return ()
    mains = [(member_named(cage, name), along) for name, along in ends]
    return tuple(
        (
            Location(members=(corner.name, main.name), part=f"end on {main.name}"),
            _share(main, nearest(main.path, joint.point)[0], along),
        )
        for main, along in mains
    )


def _share(main: Member, joint: float, end: float) -> float:
    """How far along the tube from the joint to its own end the other end lies."""
    return abs(end - joint) / (joint if end < joint else main.path.length - joint)


def plate_thickness(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """Thickness of every plate with an edge on one of the chosen members, mm."""
    del bench
    names = {m.name for m in chosen(cage, rule)}
    return tuple(
        exact(Location(members=p.members, part=f"plate {p.name}"), p.thickness)
        for p in cage.plates
        if names & set(p.members)
    )


def read_on_gusset(quantity: str) -> Callable[[Cage, Rule, Gauged], tuple[Amount, ...]]:
    """A bench reading of every gusset between the chosen members as a multiple of the larger tube's OD."""

    def take(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
        return tuple(_read(cage, quantity, g, bench) for g in gussets_of(cage, rule.members))

    return take


def _read(cage: Cage, quantity: str, gusset: Gusset, bench: Gauged) -> Amount:
    spot = Location(members=gusset.between, point=at(gusset.point), part=f"gusset {gusset.name}")
    found = reading(bench, quantity, gusset.name)
    if found is None:
        ask = f"measure the {quantity}: {QUANTITIES[quantity].how}; 0 where there is none"
        return unknown(spot, f"{quantity}: not measured", ask)
    return exact(spot, float(found) / larger_tube(cage, gusset))


MEASURES = (
    Measure(
        name="gussets per joint", per="joint", sort="count", needs=("joints_of",), takes=("joints_on",),
        take=gussets_per_joint,
        meaning=(
            "How many gussets stand at a joint; a folded gusset, a sheet on both sides of the tubes, counts "
            "as two."
        ),
        passes="one folded gusset, or two flat ones, against at least 2",
        fails="one flat gusset against at least 2",
        more="add {by} more gussets at {what}", less="take {by} gussets off {what}",
    ),
    Measure(
        name="corner reach", per="member", sort="ratio", needs=("members",), take=corner_reach,
        meaning=(
            "How far the end of a corner tube is from the joint that it braces, over the length of the tube "
            "that it ends on, from the joint onwards. A corner tube is a member whose ends lie on two tubes "
            "that are joined, one of them nearer to the joint than half way; else it is a brace of its own."
        ),
        passes="400 mm along a tube of 1000 mm is 0.40 against at most 0.5",
        fails="600 mm along it is 0.60 against the same",
        more="move {what} away from the joint by {by} of that tube's length",
        less="move {what} nearer to the joint by {by} of that tube's length",
    ),
    Measure(
        name="gusset thickness", per="gusset", sort="fine", needs=("members",),
        take=of_gusset(lambda cage, g: g.thickness),
        meaning="Thickness of the gussets between the members.",
        passes="1.5 mm against at least 1 mm", fails="0.8 mm against at least 1 mm",
        more="make the sheet at {what} {by} thicker", less="make the sheet at {what} {by} thinner",
    ),
    Measure(
        name="gusset leg", per="gusset", sort="ods", needs=("members",),
        take=of_gusset(lambda cage, g: g.leg / larger_tube(cage, g)),
        meaning="Leg of a gusset along the tubes as a multiple of the larger tube's OD.",
        passes="90 mm on a 45 mm tube is 2.00 x OD against 2 to 4",
        fails="80 mm on a 45 mm tube is 1.78 x OD against the same",
        more="make the legs of {what} longer: {by} short", less="make the legs of {what} shorter: {by} over",
    ),
    Measure(
        name="gusset hole", per="gusset", sort="ods", needs=("members",), take=read_on_gusset("gusset hole"),
        meaning="Read on the bench: diameter of the hole in a gusset as a multiple of the larger tube's OD.",
        passes="30 mm in a gusset on a 45 mm tube is 0.67 x OD against less than 1",
        fails="50 mm in it is 1.11 x OD against the same",
        more="{what} has a hole {by} too small", less="make {what} again with a smaller hole: {by} over",
    ),
    Measure(
        name="gusset cut-out", per="gusset", sort="ods", needs=("members",),
        take=read_on_gusset("gusset cut-out"),
        meaning="Read on the bench: radius of the cut-out at a gusset's corner over the larger tube's OD.",
        passes="40 mm on a 45 mm tube is 0.89 x OD against less than 1.5",
        fails="70 mm on it is 1.56 x OD against the same",
        more="{what} has a cut-out {by} too small", less="make {what} with a smaller cut-out: {by} over",
    ),
    Measure(
        name="plate thickness", per="plate", sort="fine", needs=("members",), take=plate_thickness,
        meaning="Thickness of the plates with an edge on one of the members.",
        passes="1.5 mm against at least 1 mm", fails="0.8 mm against at least 1 mm",
        more="make the sheet at {what} {by} thicker", less="make the sheet at {what} {by} thinner",
    ),
)  # fmt: skip
