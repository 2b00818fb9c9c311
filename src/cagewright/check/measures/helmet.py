"""Measures of the helmet against the tubes, and of the cage's width at the driver's shoulder."""

from __future__ import annotations

import math

import numpy as np
from scipy.spatial import ConvexHull

from cagewright.base.curves import nearest, point_at
from cagewright.base.vectors import Vector
from cagewright.check.attitude import crossings, densely, points_of, tip, top_of
from cagewright.check.bench import Gauged
from cagewright.check.findings import Location
from cagewright.check.measures.tube import spot_of
from cagewright.check.readings import Amount, Measure, at, each, exact, unknown
from cagewright.check.rules import Rule
from cagewright.check.select import chosen, members_of
from cagewright.shape.types import Cage, Member

NO_HEAD = "the plan does not give the centre of the helmet"
ASK_HEAD = "measure the helmet's centre with the driver belted in (driver: head)"
SHOULDER = (428.6, 589.6)
"""mm from hip point to shoulder along the back: ANSUR II (2012) sitting shoulder height of a 5th percentile
woman (515) and a 99th percentile man (676), less the 86.4 mm of a hip point above the seat."""


def head_of(cage: Cage) -> tuple[Vector, float] | None:
    """Centre (3,) of the helmet and its radius, mm; None where the plan does not give it."""
    if cage.driver is None or cage.driver.head is None:
        return None
    return np.array(cage.driver.head, dtype=float), cage.driver.helmet / 2.0


def helmet_under_line(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How far the helmet is below the line from the top of the main rollbar, in side view, mm.

    The line runs to the top of the front rollbar (of the foremost transverse member, where there is none), or
    to the lower end of each backstay.
    """
    del bench
    mains = members_of(cage, ("main rollbar",))
    ends = _line_ends(cage, rule)
    if not mains or not ends:
        return ()
    head = head_of(cage)
    if head is None:
        return (unknown(Location(members=(mains[0].name,)), NO_HEAD, ASK_HEAD),)
    top = top_of(mains[0])
    return tuple(
        exact(
            Location(members=(mains[0].name, m.name), point=at(head[0])),
            side_gap(head[0], top, end) - head[1],
        )
        for m, end in ends
    )


def _line_ends(cage: Cage, rule: Rule) -> list[tuple[Member, Vector]]:
    if rule.line == "rear":
        stays = members_of(cage, ("backstay",))
        return [(m, min((tip(m, "start"), tip(m, "end")), key=lambda p: float(p[2]))) for m in stays]
    fronts = members_of(cage, ("front rollbar",)) or members_of(cage, ("transverse member",))
    tops = sorted(((m, top_of(m)) for m in fronts), key=lambda pair: float(pair[1][0]))
    return tops[:1]


def side_gap(point: Vector, a: Vector, b: Vector) -> float:
    """Distance in side view of a point from the straight a-b, mm; negative where it is above the line."""
    p, start, stop = point[[0, 2]], a[[0, 2]], b[[0, 2]]
    along = stop - start
    t = float(np.clip((p - start) @ along / (along @ along), 0.0, 1.0))
    off = p - start - t * along
    x, z = (along if along[0] >= 0.0 else -along).tolist()
    height = float(x * off[1] - z * off[0])
    return float(np.hypot(*off)) * (-1.0 if height > 0.0 else 1.0)


def helmet_to_tube(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """Gap between the helmet and the nearest of the chosen members, outside to outside, mm."""
    del bench
    picked = chosen(cage, rule)
    if not picked:
        return ()
    head = head_of(cage)
    if head is None:
        return (unknown(Location(members=tuple(m.name for m in picked)), NO_HEAD, ASK_HEAD),)
    gaps = [(nearest(m.path, head[0]), m) for m in picked]
    (along, away), member = min(gaps, key=lambda gap: gap[0][1] - gap[1].tube.radius)
    spot = Location(members=(member.name,), point=at(point_at(member.path, along)))
    return (exact(spot, away - member.tube.radius - head[1]),)


def helmet_inside(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How far the helmet is inside the space that the chosen members enclose, mm; negative outside.

    The space is the tightest convex one round the members' axes, less the largest tube's radius all round.
    """
    del bench
    picked = chosen(cage, rule)
    head = head_of(cage)
    if not picked:
        return ()
    if head is None:
        return (unknown(Location(), NO_HEAD, ASK_HEAD),)
    points = np.concatenate([densely(m.path, 100.0) for m in picked])
    off = points - points.mean(axis=0)
    if np.linalg.matrix_rank(off, tol=1.0) < 3:
        return (exact(Location(point=at(head[0])), -head[1], why="the members enclose no space"),)
    walls = ConvexHull(points).equations
    depth = -float((walls[:, :3] @ head[0] + walls[:, 3]).max())
    return (exact(Location(point=at(head[0])), depth - max(m.tube.radius for m in picked) - head[1]),)


def above_helmet(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How far the underside of each chosen member's highest part is above the top of the helmet, mm."""
    del bench
    head = head_of(cage)
    picked = chosen(cage, rule)
    if head is None:
        return tuple(unknown(spot_of(m), NO_HEAD, ASK_HEAD) for m in picked)
    crown = float(head[0][2]) + head[1]
    return tuple(
        exact(Location(members=(m.name,), point=at(top_of(m))), float(top_of(m)[2]) - m.tube.radius - crown)
        for m in picked
    )


def width_at_shoulder(cage: Cage, rule: Rule, member: Member) -> Amount:
    """Width of the hoop at the driver's shoulder, from least inside to most outside, mm.

    The shoulder's height is not in the plan: every height from a 5th percentile woman's to a 99th percentile
    man's along the back is tried.
    """
    if cage.driver is None:
        return unknown(spot_of(member), "the plan has no driver", "give the driver's hip point in the plan")
    hip, lean = cage.driver.hip[2], math.cos(cage.driver.back_angle)
    points = points_of(member.path)
    across = [crossings(points, hip + reach * lean) for reach in np.linspace(*SHOULDER, 9)]
    spans = [max(ys) - min(ys) for ys in across if len(ys) >= 2]
    if len(spans) < len(across):
        return exact(spot_of(member), 0.0, why="the hoop does not reach round the shoulder")
    why = "the shoulder's height is not in the plan: from a small woman's to a tall man's was tried"
    low, high = min(spans) - member.tube.od, max(spans) + member.tube.od
    return Amount(spot=spot_of(member), low=low, high=high, why=why, ask="measure the width at the shoulder")


MEASURES = (
    Measure(
        name="helmet under line", per="cage", sort="length", takes=("line",), take=helmet_under_line,
        meaning=(
            "Distance in side view of the helmet's circle below the line between the axes at the top of the "
            'main rollbar and the top of the front rollbar (`line = "front"`; the foremost transverse '
            'member where there is none), or the foot of each backstay (`line = "rear"`).'
        ),
        passes="60 mm against at least 50 mm", fails="40 mm against at least 50 mm",
        more="lower the seat or raise {what}: {by} short", less="raise the seat or lower {what}: {by} over",
    ),
    Measure(
        name="helmet to tube", per="cage", sort="length", needs=("members",), take=helmet_to_tube,
        meaning="Gap between the helmet's sphere and the outside of the nearest of the members.",
        passes="100 mm to the main rollbar against at most 6 in",
        fails="200 mm to the main rollbar against at most 6 in",
        more="move the seat away from {what}: {by} short", less="move the seat towards {what}: {by} over",
    ),
    Measure(
        name="helmet inside cage", per="cage", sort="length", needs=("members",), take=helmet_inside,
        meaning=(
            "Depth of the helmet's sphere inside the tightest convex space round the members' axes, less "
            "the largest tube's radius; negative where it sticks out."
        ),
        passes="80 mm against at least 2 in", fails="30 mm against at least 2 in",
        more="move the seat inward or the tubes outward: {by} short",
        less="move the seat outward: {by} over",
    ),
    Measure(
        name="above helmet", per="member", sort="length", needs=("members",), take=above_helmet,
        meaning="Height of the underside of a member's highest part above the top of the helmet.",
        passes="90 mm against at least 3 in", fails="60 mm against at least 3 in",
        more="raise {what} or lower the seat by {by}", less="lower {what} or raise the seat by {by}",
    ),
    Measure(
        name="width at shoulder", per="member", sort="length", needs=("members",),
        take=each(chosen, width_at_shoulder),
        meaning=(
            "Width of a hoop at the driver's shoulder. The shoulder's height is not in the plan, so that "
            "the answer counts only where it is the same for a small woman and a tall man, inside and "
            "outside the tube."
        ),
        passes="1100 mm against at least 780 mm", fails="700 mm against at least 780 mm",
        more="make {what} {by} wider at the shoulder", less="make {what} {by} narrower at the shoulder",
    ),
)  # fmt: skip
