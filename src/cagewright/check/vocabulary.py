"""The closed vocabulary of measures: every word that a row may use."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from cagewright.check import measures_bend, measures_feet, measures_tube
from cagewright.check.readings import Measure

MEASURES: Mapping[str, Measure] = MappingProxyType({
    measure.name: measure
    for part in (measures_tube, measures_bend, measures_feet)
    for measure in part.MEASURES
})  # fmt: skip
"""Every measure by name."""
