"""Measures of feet and their plates."""

from __future__ import annotations

from collections.abc import Callable

from cagewright.check.bench import Bench
from cagewright.check.findings import Spot
from cagewright.check.readings import Amount, Measure, at, exact
from cagewright.check.rules import Rule
from cagewright.check.select import feet_of
from cagewright.shape.types import Cage, Foot


def spot_of(foot: Foot) -> Spot:
    """The foot and the members that land on it."""
    return Spot(feet=(foot.name,), members=foot.members, point=at(foot.point))


def of_foot(value: Callable[[Foot], float]) -> Callable[[Cage, Rule, Bench], tuple[Amount, ...]]:
    """A measure that reads one figure off every chosen foot."""

    def take(cage: Cage, rule: Rule, bench: Bench) -> tuple[Amount, ...]:
        del bench
        return tuple(exact(spot_of(f), value(f)) for f in feet_of(cage, rule.terms.feet_of))

    return take


MEASURES = (
    Measure(
        name="foot contact area",
        per="foot",
        sort="area",
        needs=("feet_of",),
        meaning="Contact area of the foot's plate with the shell: as stated, else length x width.",
        passes="100 x 120 mm is 120 cm2",
        fails="100 x 119 mm is 119 cm2 against at least 120",
        more="make the plate at {what} {by} larger",
        less="make the plate at {what} {by} smaller",
        take=of_foot(lambda f: f.contact),
    ),
    Measure(
        name="foot plate thickness",
        per="foot",
        sort="fine",
        needs=("feet_of",),
        meaning="Thickness of the foot's plate.",
        passes="3 mm against at least 3",
        fails="2.5 mm against at least 3",
        more="make the plate at {what} {by} thicker",
        less="make the plate at {what} {by} thinner",
        take=of_foot(lambda f: f.plate[2]),
    ),
)
