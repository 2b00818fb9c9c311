"""Amounts in the builder's words: the units of his tape, with as many figures as the verdict needs."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

from cagewright.base import say as house
from cagewright.base.say import Quantity
from cagewright.base.units import LengthUnit

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

UNIT: Mapping[Sort, str] = MappingProxyType({
    "length": "mm", "fine": "mm", "area": "mm2", "angle": "deg", "stress": "MPa", "mass": "kg",
    "count": "", "ratio": "", "ods": "x OD", "section": "mm2", "inertia": "mm4", "percent": "%",
})  # fmt: skip
"""The unit of each sort in what is written for programs."""

_QUANTITY: Mapping[Sort, tuple[Quantity, int]] = MappingProxyType({
    "length": ("length", 0), "fine": ("length", 1), "area": ("area", 0), "angle": ("angle", 0),
    "stress": ("stress", -1), "mass": ("mass", -1),
})  # fmt: skip
"""What each sort is to the house style, and its decimals beyond the first try's."""
_BARE: Mapping[Sort, tuple[int, str]] = MappingProxyType({
    "ratio": (1, ""), "ods": (1, " x OD"), "section": (0, " mm²"), "inertia": (0, " mm⁴"),
    "percent": (1, " %"),
})  # fmt: skip
MOST_PLACES = 7


def plain_value(sort: Sort, value: float) -> float:
    """The amount (in its inside unit) in the sort's ``UNIT``."""
    return math.degrees(value) if sort == "angle" else value


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
        text = _said(sort, value, units, places)
        if apart_from is None or apart_from == value or text != _said(sort, apart_from, units, places):
            return text
    return _said(sort, value, units, MOST_PLACES)


def _said(sort: Sort, value: float, units: LengthUnit, places: int) -> str:
    if sort == "count":
        return f"{value:.0f}"
    if sort in _BARE:
        more, unit = _BARE[sort]
        return f"{value:.{places + more}f}{unit}"
    quantity, more = _QUANTITY[sort]
    if quantity == "length" and units == "in" and places + more == 1:
        return house.say(value, quantity, units)
    if units == "mm":
        return house.say(value, quantity, units, places=places + more)
    inches = {"length": 2, "area": 0, "stress": 1, "mass": 0, "angle": 0}[quantity] + more
    return house.say(value, quantity, "decimal in", places=places + inches - (1 if sort == "fine" else 0))
