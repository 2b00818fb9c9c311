"""What is said about a survey, in the builder's words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.draft.network import Observation

Kind = Literal["impossible", "slip", "range", "missing", "stood in", "unchecked", "uneven", "scan"]
GRAVE: frozenset[Kind] = frozenset({"impossible", "slip", "range", "scan"})
"""Kinds that say a reading must be taken again, or that the scan cannot be used."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyNote:
    """One thing to know about a survey.

    Attributes:
        kind: what it is about.
        reading: which reading; ``distances`` for a plain distance.
        part: of the reading.
        found: what stands there.
        advice: what to do, or what it matters for.
        matters: for a missing reading, that nothing can be drafted in its place.
    """

    kind: Kind
    reading: str
    part: str
    found: str
    advice: str
    matters: bool = False


def taped(mm: float, units: LengthUnit) -> str:
    """The length as read off a tape: to half a millimetre, or as inches are said."""
    return f"{round(2.0 * mm) / 2.0:g} mm" if units == "mm" else say_length(mm, units)


def label(o: Observation) -> str:
    """The number's reading, part and value in words."""
    words = (o.reading, o.part, o.value if o.axis is not None else "")
    return " ".join(word for word in words if word)
