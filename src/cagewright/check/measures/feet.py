"""Measures of feet: their plates, bolts and number."""

from __future__ import annotations

import math
from collections.abc import Callable

from cagewright.base.say import say_length
from cagewright.check.belts.bolts import strength_of
from cagewright.check.bench import Gauged
from cagewright.check.findings import Location
from cagewright.check.readings import Amount, Measure, Taken, YesNo, at, exact, unknown
from cagewright.check.rules import Rule
from cagewright.check.said import Sort
from cagewright.check.select import feet_of, landing
from cagewright.shape.types import Cage, Foot

NO_BOLTS = "the plan does not say how the foot is bolted"
ASK_BOLTS = "state the foot's bolts in the plan: count, size and grade"


def spot_of(foot: Foot) -> Location:
    """The foot and the members that land on it."""
    return Location(feet=(foot.name,), members=foot.members, point=at(foot.point))


def of_foot(value: Callable[[Cage, Foot], float]) -> Callable[[Cage, Rule, Gauged], Taken]:
    """A measure that reads one figure off every chosen foot."""

    def take(cage: Cage, rule: Rule, bench: Gauged) -> Taken:
        del bench
        return tuple(exact(spot_of(f), value(cage, f)) for f in feet_of(cage, rule.feet_of))

    return take


def largest_tube(cage: Cage, foot: Foot) -> float:
    """OD of the largest tube that lands on the foot, mm."""
    return max(m.tube.od for m in landing(cage, foot))


def thickness(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """Thickness of each chosen foot's plate, mm, where it is fixed as the row says.

    A foot whose fixing is not stated passes where it would pass either way, and otherwise cannot be told.
    """
    del bench
    return tuple(
        _thick(f, rule) for f in feet_of(cage, rule.feet_of) if (rule.fixing != "welded" or f.bolts is None)
    )


def _thick(foot: Foot, rule: Rule) -> Amount:
    value = foot.plate[2]
    if rule.fixing == "bolted" and foot.bolts is None:
        return Amount(spot=spot_of(foot), low=value, high=math.inf, why=NO_BOLTS, ask=ASK_BOLTS)
    return exact(spot_of(foot), value)


def of_bolts(value: Callable[[Foot], float | None]) -> Callable[[Cage, Rule, Gauged], Taken]:
    """A measure that reads one figure off every chosen foot's bolts."""

    def take(cage: Cage, rule: Rule, bench: Gauged) -> Taken:
        del bench
        return tuple(_bolted(f, value(f)) for f in feet_of(cage, rule.feet_of))

    return take


def _bolted(foot: Foot, value: float | None) -> Amount:
    return unknown(spot_of(foot), NO_BOLTS, ASK_BOLTS) if value is None else exact(spot_of(foot), value)


def bolt_grade(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """Whether each chosen foot's bolts are of a listed grade, or of one known to be as strong."""
    del bench
    return tuple(_graded(f, rule.grades) for f in feet_of(cage, rule.feet_of))


def _graded(foot: Foot, grades: tuple[str, ...]) -> YesNo:
    limit = f"grade {' or '.join(grades)}, or stronger"
    if foot.bolts is None:
        return YesNo(spot=spot_of(foot), holds=None, text="", limit=limit, why=NO_BOLTS, advice=ASK_BOLTS)
    found, least = (
        strength_of(foot.bolts.grade),
        min((strength_of(g) or math.inf for g in grades), default=math.inf),
    )
    listed = foot.bolts.grade in grades
    holds = True if listed else (None if found is None or math.isinf(least) else found >= least)
    why = f"grade '{foot.bolts.grade}' is not known here" if holds is None else ""
    return YesNo(
        spot=spot_of(foot), holds=holds, text=f"grade {foot.bolts.grade}", limit=limit, why=why,
        advice=f"use bolts of {limit} at foot {foot.name}",
    )  # fmt: skip


def turned_up(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """Whether each chosen foot's plate is turned up: its contact is stated and larger than length x width."""
    del bench
    return tuple(_turned(f, cage) for f in feet_of(cage, rule.feet_of))


def _turned(foot: Foot, cage: Cage) -> YesNo:
    flat = foot.plate[0] * foot.plate[1]
    up = foot.contact > flat * (1.0 + 1e-9)
    sides = " x ".join(say_length(side, cage.units) for side in foot.plate[:2])
    return YesNo(
        spot=spot_of(foot),
        holds=True if up else None,
        text=f"plate {sides}" + (", turned up" if up else ""),
        why="" if up else "the plan states no contact beyond the flat plate",
        advice="state the contact area with the turned-up sides" if not up else "",
    )


def mounting_points(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How many feet the chosen members stand on."""
    del bench
    chosen = feet_of(cage, rule.feet_of)
    return (exact(Location(feet=tuple(f.name for f in chosen)), float(len(chosen))),)


def _measure(
    name: str, value: Callable[[Cage, Foot], float], sort: Sort, meaning: str, passes: str, fails: str
) -> Measure:
    return Measure(
        name=name,
        per="foot",
        sort=sort,
        needs=("feet_of",),
        meaning=meaning,
        passes=passes,
        fails=fails,
        more="make the plate at {what} larger: {by} short",
        less="make the plate at {what} smaller: {by} over",
        take=of_foot(value),
    )


MEASURES = (
    _measure(
        "foot contact area", lambda c, f: f.contact, "area",
        "Contact area of the foot's plate with the shell: as stated, else length x width.",
        "100 x 120 mm is 120 cm2", "100 x 119 mm is 119 cm2 against at least 120 cm2",
    ),
    _measure(
        "foot plate area", lambda c, f: f.plate[0] * f.plate[1], "area",
        "Length x width of the foot's plate.",
        "10 x 10 in against at most 144 in2", "13 x 12 in against at most 144 in2",
    ),
    _measure(
        "foot plate longest side", lambda c, f: max(f.plate[:2]), "length",
        "The longer side of the foot's plate.",
        "12 in against at most 15 in", "16 in against at most 15 in",
    ),
    _measure(
        "foot plate shortest side", lambda c, f: min(f.plate[:2]), "length",
        "The shorter side of the foot's plate.",
        "3 in against at least 2 in", "1 1/2 in against at least 2 in",
    ),
    _measure(
        "foot plate area over OD", lambda c, f: f.plate[0] * f.plate[1] / largest_tube(c, f), "length",
        "Plate area over the OD of the largest tube that lands on it: '10 in' is 10 in2 for each inch of OD.",
        "18 in2 under a 1.75 in tube against at least 10 in", "16 in2 under a 1.75 in tube against the same",
    ),
    _measure(
        "foot plate shortest side in ODs", lambda c, f: min(f.plate[:2]) / largest_tube(c, f), "ods",
        "The shorter side of the plate as a multiple of the OD of the largest tube that lands on it.",
        "90 mm under a 45 mm tube is 2.00 x OD", "80 mm under a 45 mm tube is 1.78 x OD",
    ),
    Measure(
        name="foot plate thickness",
        per="foot",
        sort="fine",
        needs=("feet_of",),
        takes=("fixing",),
        meaning=(
            "Thickness of the foot's plate. With `fixing`, only of feet that are bolted, or only of feet "
            "whose plan states no bolts."
        ),
        passes="3 mm against at least 3 mm",
        fails="2.5 mm against at least 3 mm",
        more="make the plate at {what} {by} thicker",
        less="make the plate at {what} {by} thinner",
        take=thickness,
    ),
    Measure(
        name="foot bolts",
        per="foot",
        sort="count",
        needs=("feet_of",),
        meaning="How many bolts fix the foot, as the plan states.",
        passes="3 bolts against at least 3",
        fails="2 bolts against at least 3",
        more="fix {what} with {by} more bolts",
        less="fix {what} with {by} fewer bolts",
        take=of_bolts(lambda f: None if f.bolts is None else float(f.bolts.count)),
    ),
    Measure(
        name="foot bolt size",
        per="foot",
        sort="fine",
        needs=("feet_of",),
        meaning="Diameter of the foot's bolts, as the plan states.",
        passes="8 mm against at least 8 mm",
        fails="6 mm against at least 8 mm",
        more="use bolts {by} larger at {what}",
        less="use bolts {by} smaller at {what}",
        take=of_bolts(lambda f: None if f.bolts is None else f.bolts.size),
    ),
    Measure(
        name="foot bolt grade",
        per="foot",
        sort=None,
        needs=("feet_of", "grades"),
        meaning="Whether the foot's bolts are of one of the listed grades, or of one known to be as strong.",
        passes="10.9 against 8.8",
        fails="4.6 against 8.8",
        own_limit=True,
        take=bolt_grade,
    ),
    Measure(
        name="foot turned up",
        per="foot",
        sort=None,
        needs=("feet_of",),
        meaning=(
            "Whether the plate is turned up the sill: the plan states a contact area beyond length x width."
        ),
        passes="a 100 x 120 mm plate with 150 cm2 of contact",
        fails="nothing fails: without a stated contact it cannot be told",
        take=turned_up,
    ),
    Measure(
        name="mounting points",
        per="cage",
        sort="count",
        needs=("feet_of",),
        meaning="How many feet the chosen members stand on.",
        passes="6 feet against at least 6",
        fails="4 feet against at least 6",
        more="give the cage {by} more feet",
        less="give the cage {by} fewer feet",
        take=mounting_points,
    ),
)  # fmt: skip
