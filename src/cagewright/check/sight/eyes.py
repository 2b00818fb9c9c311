"""Where the driver's eyes are: measured, from his own head, or by the regulation's points."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

import numpy as np

from cagewright.base.vectors import Vector
from cagewright.plan.types import PersonEntry, Side
from cagewright.shape.seated import head_centre, measure

Choice = Literal["own", "r125"]
"""Whose eyes: the driver's own, or those of UN R125 for a seat with his hip point as R point."""
SIDES: tuple[Side, Side] = ("left", "right")


@dataclass(frozen=True, slots=True, kw_only=True)
class Eyes:
    """The driver's eyes and what his head turns about.

    Attributes:
        mid: (3,) halfway between the eyes looking straight ahead, mm.
        pivots: left and right (3,): what the head turns about to look past the pillar of that side, mm.
        ahead: how far the line through both eyes is ahead of the pivot, mm.
        half: half the distance between the eyes, mm.
        through: (3,) the point the two section planes go through, mm.
        source: where the point comes from, in words.
    """

    mid: Vector
    pivots: tuple[Vector, Vector]
    ahead: float
    half: float
    through: Vector
    source: str


@cache
def figures() -> dict[str, dict[str, Any]]:
    """The sourced figures of sight, by table."""
    text = files("cagewright.check").joinpath("data", "sight.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def driver_side(driver: PersonEntry) -> Side:
    """The side of the car the driver sits on; left for a central seat."""
    return "right" if driver.hip[1] > 0.0 else "left"


def seat_back_shift(back_angle: float) -> Vector:
    """How far the regulation's points move (3,) from their place at 25 degrees, mm.

    UN R125 table IV, from memory, unchecked; straight between whole degrees, held at its ends (5 and 40).

    The seat back's angle is from the vertical, rad.
    """
    rows = np.array(figures()["seat_back"]["rows"], dtype=float)
    at = math.degrees(back_angle)
    return np.array([np.interp(at, rows[:, 0], rows[:, 1]), 0.0, np.interp(at, rows[:, 0], rows[:, 2])])


def regulation_point(name: str, driver: PersonEntry) -> Vector:
    """The regulation's point ``v1``, ``v2``, ``p1``, ``p2`` or ``pm`` (3,) for this driver, mm.

    UN R125 tables I and II, from memory, unchecked; the hip point stands for the R point, and a driver on
    the right has the points mirrored.
    """
    at = np.array(figures()[name]["at"])
    across = 1.0 if driver_side(driver) == "left" else -1.0
    return np.array(driver.hip) + at * np.array([1.0, across, 1.0]) + seat_back_shift(driver.back_angle)


def eyes_of(driver: PersonEntry, choice: Choice = "own") -> Eyes:
    """The eyes of the driver, by the choice made."""
    return _regulation_eyes(driver) if choice == "r125" else _own_eyes(driver)


def _regulation_eyes(driver: PersonEntry) -> Eyes:
    near, far, through = (regulation_point(name, driver) for name in ("p1", "p2", "pm"))
    ahead = _ahead()
    return Eyes(
        mid=through + np.array([-ahead, 0.0, 0.0]),
        pivots=(near, far) if driver_side(driver) == "left" else (far, near),
        ahead=ahead,
        half=figures()["eyes"]["apart"] / 2.0,
        through=through,
        source="UN R125 E points from the hip as R point (points from memory, unchecked)",
    )


def _own_eyes(driver: PersonEntry) -> Eyes:
    mid, source = _own_mid(driver)
    pivot = mid + np.array([_ahead(), 0.0, 0.0])
    half = figures()["eyes"]["apart"] / 2.0
    return Eyes(mid=mid, pivots=(pivot, pivot), ahead=_ahead(), half=half, through=pivot, source=source)


def _own_mid(driver: PersonEntry) -> tuple[Vector, str]:
    """Halfway between his eyes (3,), mm: measured, or half a head length ahead of his helmet's middle."""
    if driver.eyes is not None:
        return np.array(driver.eyes), "measured on the seated driver"
    head, _, source, _ = head_centre(driver)
    forward = measure("head length", driver.people)["mean"] / 2.0
    return head - np.array([forward, 0.0, 0.0]), f"half a head length ahead of his helmet's middle, {source}"


def _ahead() -> float:
    """How far the eyes are ahead of the P point, mm: 104 and 65 mm make a triangle 98.79 mm high."""
    row = figures()["eyes"]
    return math.sqrt(row["from_p"] ** 2 - (row["apart"] / 2.0) ** 2)
