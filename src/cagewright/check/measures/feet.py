"""Measures of feet: their plates, bolts and number."""

from __future__ import annotations

import math
from collections.abc import Callable

from cagewright.base.say import say_length
from cagewright.check.bench import Gauged
from cagewright.check.findings import Location
from cagewright.check.on_rails import ASK, NO_PLATE
from cagewright.check.readings import Amount, Measure, Taken, YesNo, at, each, exact, unknown
from cagewright.check.rules import Rule
from cagewright.check.said import Sort
from cagewright.check.select import feet_of, held_rails, landing
from cagewright.plan.types import BoltsEntry
from cagewright.shape.types import Cage, Foot
from cagewright.stock.bolts import strength_of

NO_BOLTS = "the plan does not say how the foot is bolted"
ASK_BOLTS = "state the foot's bolts in the plan: count, size and grade"


def spot_of(foot: Foot) -> Location:
    """The foot and the members that land on it."""
    return Location(feet=(foot.name,), members=foot.members, point=at(foot.point))


def feet(cage: Cage, rule: Rule) -> tuple[Foot, ...]:
    """The feet a row looks at."""
    return feet_of(cage, rule.feet_of)


def largest_tube(cage: Cage, foot: Foot) -> float:
    """OD of the largest tube that lands on the foot, mm."""
    return max(m.tube.across for m in landing(cage, foot))


def fixed(cage: Cage, rule: Rule) -> list[Foot]:
    """The feet that are, or may be, fixed as the row says: the plan may not state the bolts."""
    return [f for f in feet(cage, rule) if rule.fixing != "welded" or f.bolts is None]


def thickness(cage: Cage, rule: Rule, foot: Foot) -> Amount:
    """Thickness of the foot's plate, mm; open upwards where its fixing is asked after and not stated."""
    value = foot.plate[2]
    if rule.fixing == "bolted" and foot.bolts is None:
        return Amount(spot=spot_of(foot), low=value, high=math.inf, why=NO_BOLTS, ask=ASK_BOLTS)
    return exact(spot_of(foot), value)


def of_bolts(value: Callable[[BoltsEntry], float]) -> Callable[[Cage, Rule, Gauged], Taken]:
    """A measure that reads one figure off every chosen foot's bolts."""
    return each(
        feet,
        lambda cage, rule, f: (
            exact(spot_of(f), value(f.bolts)) if f.bolts else unknown(spot_of(f), NO_BOLTS, ASK_BOLTS)
        ),
    )


def bolt_grade(cage: Cage, rule: Rule, foot: Foot) -> YesNo:
    """Whether the foot's bolts are of a listed grade, or of one known to be as strong."""
    limit = f"grade {' or '.join(rule.grades)}, or stronger"
    if foot.bolts is None:
        return YesNo(spot=spot_of(foot), holds=None, text="", limit=limit, why=NO_BOLTS, advice=ASK_BOLTS)
    found = strength_of(foot.bolts.grade)
    least = min((strength_of(g) or math.inf for g in rule.grades), default=math.inf)
    listed = foot.bolts.grade in rule.grades
    holds = True if listed else (None if found is None or math.isinf(least) else found >= least)
    why = f"grade '{foot.bolts.grade}' is not known here" if holds is None else ""
    return YesNo(
        spot=spot_of(foot), holds=holds, text=f"grade {foot.bolts.grade}", limit=limit, why=why,
        advice=f"use bolts of {limit} at foot {foot.name}",
    )  # fmt: skip


def turned_up(cage: Cage, rule: Rule, foot: Foot) -> YesNo:
    """Whether the foot's plate is turned up: its contact is stated and larger than length x width."""
    up = foot.contact > foot.plate[0] * foot.plate[1] * (1.0 + 1e-9)
    sides = " x ".join(say_length(side, cage.units) for side in foot.plate[:2])
    return YesNo(
        spot=spot_of(foot),
        holds=True if up else None,
        text=f"plate {sides}" + (", turned up" if up else ""),
        why="" if up else "the plan states no contact beyond the flat plate",
        advice="" if up else "state the contact area with the turned-up sides",
    )


def mounting_points(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How many feet the chosen members stand on; open upwards where they stand on a rail too."""
    del bench
    found, rails = feet(cage, rule), held_rails(cage, rule.feet_of)
    count = float(len(found))
    if not rails:
        return (exact(Location(feet=tuple(f.name for f in found)), count),)
    spot = Location(members=tuple(rail.name for rail in rails))
    return (Amount(spot=spot, low=count, high=math.inf, why=NO_PLATE, ask=ASK),)


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
        take=each(feet, lambda cage, rule, f: exact(spot_of(f), value(cage, f))),
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
        name="foot plate thickness", per="foot", sort="fine", needs=("feet_of",), takes=("fixing",),
        take=each(fixed, thickness),
        meaning=(
            "Thickness of the foot's plate. With `fixing`, only of feet that are bolted, or only of feet "
            "whose plan states no bolts."
        ),
        passes="3 mm against at least 3 mm", fails="2.5 mm against at least 3 mm",
        more="make the plate at {what} {by} thicker", less="make the plate at {what} {by} thinner",
    ),
    Measure(
        name="foot bolts", per="foot", sort="count", needs=("feet_of",),
        take=of_bolts(lambda bolts: float(bolts.count)),
        meaning="How many bolts fix the foot, as the plan states.",
        passes="3 bolts against at least 3", fails="2 bolts against at least 3",
        more="fix {what} with {by} more bolts", less="fix {what} with {by} fewer bolts",
    ),
    Measure(
        name="foot bolt size", per="foot", sort="fine", needs=("feet_of",),
        take=of_bolts(lambda bolts: bolts.size),
        meaning="Diameter of the foot's bolts, as the plan states.",
        passes="8 mm against at least 8 mm", fails="6 mm against at least 8 mm",
        more="use bolts {by} larger at {what}", less="use bolts {by} smaller at {what}",
    ),
    Measure(
        name="foot bolt grade", per="foot", sort=None, needs=("feet_of", "grades"), own_limit=True,
        take=each(feet, bolt_grade),
        meaning="Whether the foot's bolts are of one of the listed grades, or of one known to be as strong.",
        passes="10.9 against 8.8", fails="4.6 against 8.8",
    ),
    Measure(
        name="foot turned up", per="foot", sort=None, needs=("feet_of",), take=each(feet, turned_up),
        meaning=(
            "Whether the plate is turned up the sill: the plan states a contact area beyond length x width."
        ),
        passes="a 100 x 120 mm plate with 150 cm2 of contact",
        fails="nothing fails: without a stated contact it cannot be told",
    ),
    Measure(
        name="mounting points", per="cage", sort="count", needs=("feet_of",), take=mounting_points,
        meaning=(
            "How many feet the chosen members stand on; where they also stand on a rail that is welded to "
            "the shell along its length, so many or more: the scrutineer says what that counts as."
        ),
        passes="6 feet against at least 6", fails="4 feet against at least 6",
        more="give the cage {by} more feet", less="give the cage {by} fewer feet",
    ),
)  # fmt: skip
