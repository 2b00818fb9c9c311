"""Plain scales, and lengths as they are written on a drawing."""

from __future__ import annotations

from cagewright.base.say import number
from cagewright.base.units import LengthUnit

SCALES = (
    1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 16.0, 18.0, 20.0, 25.0, 30.0, 40.0, 50.0,
    80.0, 100.0,
)  # fmt: skip
"""Sketches and views are drawn at 1 to one of these; they are to be read, not measured."""


def size_words(mm: float, units: LengthUnit) -> str:
    """The length as on a drawing: ``517.5``, or ``20 3/8"``."""
    return number(mm, "length", units) + ("" if units == "mm" else '"')
