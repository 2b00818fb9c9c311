"""The closed vocabulary of measures: every word that a row may use."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from cagewright.check.measures import (
    bench,
    bend,
    clause,
    count,
    door,
    extent,
    feet,
    gusset,
    helmet,
    layout,
    lie,
    opening,
    rollbar,
    seat,
    tube,
    weight,
)
from cagewright.check.readings import Measure

PARTS = {
    "Tubes": (tube, weight),
    "Bends and single tubes": (bend, rollbar),
    "How members lie": (lie, extent),
    "Which members there are": (count, layout),
    "Doors and windscreen": (door, opening),
    "Feet": (feet,),
    "Gussets and plates": (gusset,),
    "Helmet, shoulder and seat": (helmet, seat),
    "Read on the bench": (bench,),
    "Clauses of their own": (clause,),
}
"""The measures' modules under the headings of the docs page."""

MEASURES: Mapping[str, Measure] = MappingProxyType({
    measure.name: measure for parts in PARTS.values() for part in parts for measure in part.MEASURES
})  # fmt: skip
"""Every measure by name."""
