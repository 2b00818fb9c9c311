"""The closed vocabulary of measures: every word that a row may use."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from cagewright.check import (
    measures_bench,
    measures_bend,
    measures_clause,
    measures_count,
    measures_door,
    measures_extent,
    measures_feet,
    measures_gusset,
    measures_helmet,
    measures_lie,
    measures_tube,
    measures_weight,
)
from cagewright.check.readings import Measure

PARTS = {
    "Tubes": (measures_tube, measures_weight),
    "Bends and single tubes": (measures_bend,),
    "How members lie": (measures_lie, measures_extent),
    "Which members there are": (measures_count,),
    "Doors": (measures_door,),
    "Feet": (measures_feet,),
    "Gussets and plates": (measures_gusset,),
    "Helmet and shoulder": (measures_helmet,),
    "Read on the bench": (measures_bench,),
    "Clauses of their own": (measures_clause,),
}
"""The measures' modules under the headings of the docs page."""

MEASURES: Mapping[str, Measure] = MappingProxyType({
    measure.name: measure for parts in PARTS.values() for part in parts for measure in part.MEASURES
})  # fmt: skip
"""Every measure by name."""
