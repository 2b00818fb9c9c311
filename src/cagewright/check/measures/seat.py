"""Measures of the seats: how they are fixed, how the back leans, how far a rollbar is behind it."""

from __future__ import annotations

import math

import numpy as np

from cagewright.base.vectors import Vector
from cagewright.check.attitude import densely
from cagewright.check.bench import Gauged
from cagewright.check.findings import Location
from cagewright.check.readings import Amount, Measure, at, exact, unknown
from cagewright.check.rules import Rule
from cagewright.check.select import chosen
from cagewright.shape.seated import whose_words
from cagewright.shape.types import Cage, Member, Person, Seating

BACK = 550.0
"""mm of the seat back above the corner that a rollbar is measured from (common practice, no source)."""


def whose(cage: Cage, person: Person, what: str) -> str:
    """The words for a part of somebody's place, saying whose where there are several."""
    return whose_words(person.name, what) if len(cage.people) > 1 else what


def seat_points(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """At how many places each seat is fixed."""
    del rule, bench
    return tuple(_points(Location(part=whose(cage, p, "seat")), p.seat) for p in cage.people)


def _points(spot: Location, seat: Seating | None) -> Amount:
    if seat is None or not seat.mounts:
        return unknown(spot, "the plan does not say where the seat is fixed", "give seat: mounts")
    return exact(spot, float(len(seat.mounts)))


def back_angle(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How far each seat back leans from the vertical, rad."""
    del rule, bench
    return tuple(
        exact(Location(part=whose(cage, p, "seat back")), p.body.back_angle) for p in cage.people if p.body
    )


def back_to_member(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """Gap in side view between the inside of each seat back and the nearest of the chosen members, mm."""
    del bench
    picked = chosen(cage, rule)
    return tuple(_gap(whose(cage, p, "seat back"), p, picked) for p in cage.people if picked)


def _gap(part: str, person: Person, members: tuple[Member, ...]) -> Amount:
    if person.body is None or person.seat is None or person.seat.bottom is None:
        spot = Location(members=tuple(m.name for m in members), part=part)
        return unknown(spot, "the plan does not say where the seat back starts", "give seat: bottom")
    lean = np.array([math.sin(person.body.back_angle), math.cos(person.body.back_angle)])
    start = person.seat.bottom[[0, 2]]
    gaps = [(_behind(m, start, lean), m) for m in members]
    (gap, point), member = min(gaps, key=lambda pair: pair[0][0])
    return exact(Location(members=(member.name,), point=at(point), part=part), gap)


def _behind(member: Member, start: Vector, lean: Vector) -> tuple[float, Vector]:
    """The gap of one tube from the seat back's line (2,) in side view, mm, and where (3,)."""
    points = densely(member.path, 10.0)
    off = points[:, [0, 2]] - start
    along = np.clip(off @ lean, 0.0, BACK)
    gaps = np.linalg.norm(off - along[:, None] * lean, axis=1) - member.tube.radius
    index = int(np.argmin(gaps))
    return float(gaps[index]), points[index]


MEASURES = (
    Measure(
        name="seat points", per="seat", sort="count", take=seat_points,
        meaning="At how many places each seat is fixed, as the plan says.",
        passes="4 places against at least 4", fails="3 places against at least 4",
        more="fix {what} at {by} more places", less="fix {what} at {by} fewer places",
    ),
    Measure(
        name="back angle", per="seat", sort="angle", take=back_angle,
        meaning="How far each seat back leans from the vertical.",
        passes="20 deg against at most 25 deg", fails="30 deg against at most 25 deg",
        more="lean {what} back by {by} more", less="stand {what} more upright by {by}",
    ),
    Measure(
        name="seat back to tube", per="seat", sort="length", needs=("members",), take=back_to_member,
        meaning=(
            "Gap in side view between the inside of the seat back (from `seat: bottom` up 550 mm along the "
            "back's lean) and the nearest of the members."
        ),
        passes="110 mm to the main rollbar against at least 90 mm",
        fails="70 mm to the main rollbar against at least 90 mm",
        more="move the seat away from {what}: {by} short", less="move the seat towards {what}: {by} over",
    ),
)  # fmt: skip
