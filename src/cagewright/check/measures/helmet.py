"""Measures of the helmet against the tubes, and of the cage's width at the driver's shoulder."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

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
from cagewright.shape.seated import sitting, whose_words
from cagewright.shape.types import Cage, Member

NO_HEAD = "the plan does not give the centre of the helmet"
ASK_HEAD = "measure the helmet's centre with everybody belted in and give it as head"
SHOULDER = (428.6, 589.6)
"""mm from hip point to shoulder along the back: ANSUR II (2012) sitting shoulder height of a 5th percentile
woman (515) and a 99th percentile man (676), less the 86.4 mm of a hip point above the seat."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """Somebody's helmet: whose, empty where nobody else sits in the car, its centre (3,) and radius, mm."""

    whose: str
    centre: Vector
    radius: float

    def spot(self, *members: str, point: Vector | None = None) -> Location:
        """Where on the cage, saying whose helmet where there are several."""
        part = whose_words(self.whose, "helmet") if self.whose else ""
        return Location(members=members, point=at(self.centre if point is None else point), part=part)


def heads_of(cage: Cage) -> tuple[Head, ...] | None:
    """The helmet of everybody who ever sits in the car; None where one is not given, or there is nobody."""
    bodies = sitting(cage)
    if not bodies or any(body.head is None for _, body in bodies):
        return None
    return tuple(
        Head(whose=whose, centre=np.array(body.head, dtype=float), radius=body.helmet / 2.0)
        for whose, body in bodies
    )


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
    heads = heads_of(cage)
    if heads is None:
        return (unknown(Location(members=(mains[0].name,)), NO_HEAD, ASK_HEAD),)
    top = top_of(mains[0])
    return tuple(
        exact(head.spot(mains[0].name, m.name), side_gap(head.centre, top, end) - head.radius)
        for head in heads
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
    heads = heads_of(cage)
    if heads is None:
        return (unknown(Location(members=tuple(m.name for m in picked)), NO_HEAD, ASK_HEAD),)
    return tuple(_nearest_tube(head, picked) for head in heads)


def _nearest_tube(head: Head, picked: Sequence[Member]) -> Amount:
    gaps = [(nearest(m.path, head.centre), m) for m in picked]
    (along, away), member = min(gaps, key=lambda gap: gap[0][1] - gap[1].tube.radius)
    spot = head.spot(member.name, point=point_at(member.path, along))
    return exact(spot, away - member.tube.radius - head.radius)


def helmet_inside(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How far the helmet is inside the space that the chosen members enclose, mm; negative outside.

    The space is the tightest convex one round the members' axes, less the largest tube's radius all round.
    """
    del bench
    picked = chosen(cage, rule)
    heads = heads_of(cage)
    if not picked:
        return ()
    if heads is None:
        return (unknown(Location(), NO_HEAD, ASK_HEAD),)
    points = np.concatenate([densely(m.path, 100.0) for m in picked])
    off = points - points.mean(axis=0)
    if np.linalg.matrix_rank(off, tol=1.0) < 3:
        return tuple(exact(h.spot(), -h.radius, why="the members enclose no space") for h in heads)
    walls = ConvexHull(points).equations
    wide = max(m.tube.radius for m in picked)
    return tuple(
        exact(h.spot(), -float((walls[:, :3] @ h.centre + walls[:, 3]).max()) - wide - h.radius)
        for h in heads
    )


def above_helmet(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How far the underside of each chosen member's highest part is above the top of the helmet, mm."""
    del bench
    heads = heads_of(cage)
    picked = chosen(cage, rule)
    if heads is None:
        return tuple(unknown(spot_of(m), NO_HEAD, ASK_HEAD) for m in picked)
    return tuple(
        exact(
            head.spot(m.name, point=top_of(m)),
            float(top_of(m)[2]) - m.tube.radius - float(head.centre[2]) - head.radius,
        )
        for head in heads
        for m in picked
    )


def width_at_shoulder(cage: Cage, rule: Rule, member: Member) -> Amount:
    """Width of the hoop at the driver's shoulder, from least inside to most outside, mm.

    The shoulder's height is not in the plan: every height from a 5th percentile woman's to a 99th percentile
    man's along the back is tried.
    """
    bodies = sitting(cage)
    if not bodies:
        return unknown(spot_of(member), "the plan has no driver", "give the driver's hip point in the plan")
    points = points_of(member.path)
    heights = [
        body.hip[2] + reach * math.cos(body.back_angle)
        for _, body in bodies
        for reach in np.linspace(*SHOULDER, 9).tolist()
    ]
    across = [crossings(points, height) for height in heights]
    spans = [max(ys) - min(ys) for ys in across if len(ys) >= 2]
    if len(spans) < len(across):
        return exact(spot_of(member), 0.0, why="the hoop does not reach round the shoulder")
    why = "the shoulder's height is not in the plan: from a small woman's to a tall man's was tried"
    low, high = min(spans) - member.tube.across, max(spans) + member.tube.across
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
