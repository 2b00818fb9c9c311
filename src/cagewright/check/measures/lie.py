"""Measures of how members lie: lean, angles at joints, and distances of ends from what they must be near."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

import numpy as np

from cagewright.base.curves import nearest
from cagewright.base.vectors import angle_between, dot, length
from cagewright.check.attitude import (
    direction,
    ends_named,
    from_vertical,
    hoop_normal,
    joint_axis,
    lean_of,
    out_of_plane,
    outward,
    tip,
    top_of,
)
from cagewright.check.bench import Gauged
from cagewright.check.findings import Location
from cagewright.check.measures.tube import of_tube, spot_of
from cagewright.check.on_rails import ASK, NO_PLATE
from cagewright.check.readings import Amount, Measure, at, each, exact, unknown
from cagewright.check.rules import CAGE_ROLES, FOOT, Landmark, Rule
from cagewright.check.select import chosen, feet_of, held_rails, joints_between, members_of
from cagewright.plan.types import Which
from cagewright.shape.types import Cage, Joint, Member, member_named

V_POINT = 4.0
"""Diameters: how far apart two ends make the point of a V (common practice, no source)."""


def hoop_lean(cage: Cage, rule: Rule, member: Member) -> Amount:
    """How far the hoop leans from the vertical in side view, rad; above some joints, where told."""
    roles = {m.name for m in members_of(cage, rule.above)}
    met = [float(j.point[2]) for j in cage.joints if j.branch in roles and member.name in j.mains]
    lean = lean_of(member, max(met, default=-math.inf))
    if lean is None:
        return unknown(spot_of(member), f"{member.name} is straight, no hoop", "check its role")
    return exact(spot_of(member), lean)


def at_joints(
    value: Callable[[Cage, Joint, int], float | None], why: str
) -> Callable[[Cage, Rule, Gauged], tuple[Amount, ...]]:
    """A measure of every chosen joint with each of its mains that the row looks at."""

    def take(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
        del bench
        wanted = rule.joints_on
        return tuple(
            _at_joint(joint, value(cage, joint, number), why)
            for joint in joints_between(cage, rule)
            for number, main in enumerate(joint.mains)
            if not wanted or member_named(cage, main).role in wanted
        )

    return take


def _at_joint(joint: Joint, value: float | None, why: str) -> Amount:
    spot = Location(members=(joint.branch,), joints=(joint.name,), point=at(joint.point))
    return unknown(spot, why, "check the roles of the members") if value is None else exact(spot, value)


def included_angle(cage: Cage, joint: Joint, number: int) -> float:
    """Smaller angle between the branch's axis and the main's axis at a joint, rad."""
    angle = angle_between(
        outward(member_named(cage, joint.branch), joint.which), joint_axis(cage, joint, number)
    )
    return min(angle, math.pi - angle)


def angle_to_hoop(cage: Cage, joint: Joint, number: int) -> float | None:
    """Least angle between the branch's axis and any line in the hoop's plane, rad; None without a plane."""
    normal = hoop_normal(member_named(cage, joint.mains[number]))
    if normal is None:
        return None
    along = outward(member_named(cage, joint.branch), joint.which)
    return math.asin(min(1.0, abs(float(dot(along, normal)))))


def depth_below_top(cage: Cage, joint: Joint, number: int) -> float:
    """How far a joint's axis point is below the top of its main's tube, mm."""
    main = member_named(cage, joint.mains[number])
    return float(top_of(main)[2]) + main.tube.radius - float(joint.point[2])


def end_distance(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """Distance of the named end of each chosen member from the nearest of what it must be near, mm."""
    del bench
    near = rule.near or FOOT
    return tuple(
        _distance(cage, near, member, which, rule)
        for member in chosen(cage, rule)
        for which in ends_named(member, rule.end)
        if not _in_a_cross(cage, member, which)
    )


def _in_a_cross(cage: Cage, member: Member, which: Which) -> bool:
    """Whether the end is the middle of a cross (cut on another of its role) or the point of a V."""
    joint = next((j for j in cage.joints if j.branch == member.name and j.which == which), None)
    if joint is None:
        return False
    if all(member_named(cage, main).role == member.role for main in joint.mains):
        return True
    return any(_is_v(cage, member, joint, other) for other in cage.joints if other.branch != member.name)


def _is_v(cage: Cage, member: Member, joint: Joint, other: Joint) -> bool:
    """Whether two members of one role end on the same main so close that they make the point of a V."""
    if member_named(cage, other.branch).role != member.role or not set(joint.mains) & set(other.mains):
        return False
    return float(length(joint.point - other.point)) <= V_POINT * member.tube.across


def _distance(cage: Cage, near: Landmark, member: Member, which: Which, rule: Rule) -> Amount:
    point = tip(member, which)
    part = which if rule.end == "each" else f"{rule.end} end"
    spot = Location(members=(member.name,), point=at(point), part=part)
    targets = np.array(list(_targets(cage, near, member))).reshape(-1, 3)
    if near is FOOT and (rails := held_rails(cage, CAGE_ROLES)):
        beside = min(nearest(rail.path, point)[1] for rail in rails)
        far = float(length(targets - point).min(initial=math.inf))
        if beside < far:
            return Amount(spot=spot, low=beside, high=far, why=NO_PLATE, ask=ASK)
    if not len(targets):
        what = (
            "a foot" if near is FOOT else f"a joint of {' or '.join(near.joint_of)} on {' or '.join(near.on)}"
        )
        return unknown(spot, f"the cage has not {what}", "add it, or check the roles of the members")
    return exact(spot, float(length(targets - point).min()))


def _targets(cage: Cage, near: Landmark, member: Member) -> Iterable[np.ndarray]:
    if near is FOOT:
        return (foot.point for foot in feet_of(cage, CAGE_ROLES))
    roles = {m.name for m in members_of(cage, near.joint_of)}
    on = {m.name for m in members_of(cage, near.on)}
    return (
        j.point
        for j in cage.joints
        if j.branch != member.name
        and ((j.branch in roles and on & set(j.mains)) or (j.branch in on and roles & set(j.mains)))
    )


MEASURES = (
    Measure(
        name="angle from vertical", per="member", sort="angle", needs=("members",),
        take=of_tube(lambda m: from_vertical(direction(m))),
        meaning="Angle of the line from end to end of a member from the vertical.",
        passes="a backstay at 48 deg against at least 30 deg",
        fails="a backstay at 25 deg against at least 30 deg",
        more="lay {what} flatter by {by}", less="stand {what} more upright by {by}",
    ),
    Measure(
        name="angle from horizontal", per="member", sort="angle", needs=("members",),
        take=of_tube(lambda m: math.pi / 2.0 - from_vertical(direction(m))),
        meaning="Angle of the line from end to end of a member from the horizontal.",
        passes="a rear brace at 50 deg against at most 60 deg",
        fails="a rear brace at 65 deg against at most 60 deg",
        more="stand {what} more upright by {by}", less="lay {what} flatter by {by}",
    ),
    Measure(
        name="hoop lean", per="member", sort="angle", needs=("members",), takes=("above",),
        take=each(chosen, hoop_lean),
        meaning=(
            "Greatest angle from the vertical, in side view, of a hoop's straights that rise 100 mm or "
            "more; with `above`, only above the highest joint of those roles on it."
        ),
        passes="a main rollbar leaning 3 deg against less than 10 deg",
        fails="a main rollbar leaning 12 deg against less than 10 deg",
        more="lean {what} over by {by} more", less="stand {what} upright by {by}",
    ),
    Measure(
        name="hoop out of plane", per="member", sort="length", needs=("members",),
        take=of_tube(out_of_plane),
        meaning="Furthest that a hoop's axis stands off the plane that fits it best.",
        passes="0.4 mm against at most 5 mm", fails="30 mm against at most 5 mm",
        more="move a bend of {what} out of plane by {by}",
        less="bring the bends of {what} into one plane: {by} out",
    ),
    Measure(
        name="included angle", per="joint", sort="angle", needs=("joints_of",), takes=("joints_on",),
        take=at_joints(included_angle, ""),
        meaning="Smaller angle between the axes of two members where one is cut on the other.",
        passes="45 deg against at least 30 deg", fails="25 deg against at least 30 deg",
        more="open the angle at {what} by {by}", less="close the angle at {what} by {by}",
    ),
    Measure(
        name="angle to hoop", per="joint", sort="angle", needs=("joints_of",), takes=("joints_on",),
        take=at_joints(angle_to_hoop, "the member it is cut on is straight and has no plane"),
        meaning=(
            "Least angle between a member's axis at its joint and any line in the plane of the hoop it is "
            "cut on: the brace's included angle in side view, less what it splays across."
        ),
        passes="a straight brace at 45 deg to the hoop's plane against at least 30 deg",
        fails="a straight brace at 25 deg to the hoop's plane against at least 30 deg",
        more="run the member at {what} further back: {by} short",
        less="bring the member at {what} closer to the hoop: {by} over",
    ),
    Measure(
        name="depth below top", per="joint", sort="length", needs=("joints_of",), takes=("joints_on",),
        take=at_joints(depth_below_top, ""),
        meaning="Height from a joint's axis point up to the top of the tube it is cut on.",
        passes="a brace 60 mm below the top of the main rollbar against at most 160 mm",
        fails="a brace 200 mm below it against at most 160 mm",
        more="move {what} down by {by}", less="move {what} up by {by}",
    ),
    Measure(
        name="end distance", per="end", sort="length", needs=("members", "near"), takes=("end",),
        take=end_distance,
        meaning=(
            "Distance of one end of a member (`end`: upper, lower, front, rear or each) from the nearest "
            "foot of the cage, or from the nearest joint of a member of some roles on others (`near`). The "
            "middle of a cross (an end cut on another of its own role) and the point of a V (two of a role "
            "ending on one member within four diameters) are left out."
        ),
        passes="a diagonal's lower end 80 mm from a foot against at most 100 mm",
        fails="a diagonal's lower end 140 mm from the nearest foot against the same",
        more="move {what} away by {by}", less="move {what} nearer by {by}",
    ),
    Measure(
        name="legs apart", per="member", sort="length", needs=("members",),
        take=of_tube(lambda m: abs(float((tip(m, "end") - tip(m, "start"))[1])) - m.tube.across),
        meaning="Clear width between the two ends of a hoop, inside to inside.",
        passes="1155 mm against at least 380 mm", fails="350 mm against at least 380 mm",
        more="set the legs of {what} {by} further apart", less="set the legs of {what} {by} closer together",
    ),
)  # fmt: skip
