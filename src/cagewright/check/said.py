"""Amounts in the builder's words: the units of his tape, with as many figures as the verdict needs."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Literal

from cagewright.base.say import say_length
from cagewright.base.units import KG_PER_LB, MM_PER_IN, MPA_PER_KSI, LengthUnit

Sort = Literal[
    "length",
    "fine",
    "area",
    "angle",
    "stress",
    "mass",
    "count",
    "ratio",
    "ods",
    "section",
    "inertia",
    "percent",
]
"""Kind of amount: ``fine`` is a thickness or diameter that no tape reads, ``ods`` a multiple of the OD."""

UNIT: dict[Sort, str] = {
    "length": "mm", "fine": "mm", "area": "mm2", "angle": "rad", "stress": "MPa", "mass": "kg",
    "count": "", "ratio": "", "ods": "x OD", "section": "mm2", "inertia": "mm4", "percent": "%",
}  # fmt: skip
"""The inside unit of each sort."""

MOST_PLACES = 7


def _fine(value: float, units: LengthUnit, places: int) -> str:
    return f"{value:.{places + 1}f} mm" if units == "mm" else f"{value / MM_PER_IN:.{places + 2}f} in"


def _length(value: float, units: LengthUnit, places: int) -> str:
    if units == "in" and places > 1:
        return _fine(value, units, places)
    return say_length(value, units, places=places).replace("(-0.0 mm)", "(+0.0 mm)")


def _area(value: float, units: LengthUnit, places: int) -> str:
    return f"{value / 100:.{places}f} cm2" if units == "mm" else f"{value / MM_PER_IN**2:.{places}f} in2"


def _stress(value: float, units: LengthUnit, places: int) -> str:
    return f"{value:.{places - 1}f} N/mm2" if units == "mm" else f"{value / MPA_PER_KSI:.{places}f} ksi"


def _mass(value: float, units: LengthUnit, places: int) -> str:
    return f"{value:.{places - 1}f} kg" if units == "mm" else f"{value / KG_PER_LB:.{places - 1}f} lb"


_SAY: dict[Sort, Callable[[float, LengthUnit, int], str]] = {
    "length": _length,
    "fine": _fine,
    "area": _area,
    "angle": lambda v, u, p: f"{math.degrees(v):.{p}f}°",
    "stress": _stress,
    "mass": _mass,
    "count": lambda v, u, p: f"{v:.0f}",
    "ratio": lambda v, u, p: f"{v:.{p + 1}f}",
    "ods": lambda v, u, p: f"{v:.{p + 1}f} x OD",
    "section": lambda v, u, p: f"{v:.{p}f} mm2",
    "inertia": lambda v, u, p: f"{v:.{p}f} mm4",
    "percent": lambda v, u, p: f"{v:.{p + 1}f} %",
}


def say(sort: Sort, value: float, units: LengthUnit, *, apart_from: float | None = None) -> str:
    """The amount (in its inside unit) as the builder reads it.

    Args:
        sort: kind of amount.
        value: in the inside unit of its sort.
        units: what his tape reads.
        apart_from: a limit it must not be mistaken for: figures are added until the two read differently.
    """
    if math.isinf(value):
        return "any amount"
    for places in range(1, MOST_PLACES):
        text = _SAY[sort](value, units, places)
        if apart_from is None or apart_from == value or text != _SAY[sort](apart_from, units, places):
            return text
    return _SAY[sort](value, units, MOST_PLACES)
