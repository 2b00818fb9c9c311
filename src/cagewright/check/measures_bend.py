"""Measures of bends."""

from __future__ import annotations

from cagewright.check.bench import Bench
from cagewright.check.findings import Spot
from cagewright.check.readings import Amount, Measure, at, exact
from cagewright.check.rules import Rule
from cagewright.check.select import members_of
from cagewright.shape.types import Cage


def bend_radius(cage: Cage, rule: Rule, bench: Bench) -> tuple[Amount, ...]:
    """Centreline radius of every bend of the chosen members, in outside diameters."""
    del bench
    return tuple(
        exact(Spot(members=(m.name,), point=at(bend.apex)), bend.clr / m.tube.od, why=f"bend {number}")
        for m in members_of(cage, rule.terms.members)
        for number, bend in enumerate(m.bends, start=1)
    )


MEASURES = (
    Measure(
        name="bend radius",
        per="bend",
        sort="ods",
        needs=("members",),
        meaning="Centreline radius of each bend as a multiple of the tube's outside diameter.",
        passes="135 mm on a 45 mm tube is 3.00 x OD",
        fails="134 mm on a 45 mm tube is 2.978 x OD",
        more="bend {what} on a larger die: the centreline radius must be {limit}",
        less="bend {what} on a smaller die: the centreline radius must be {limit}",
        take=bend_radius,
    ),
)
