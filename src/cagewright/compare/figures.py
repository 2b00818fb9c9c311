"""The numbers by which pushes are compared, each over the travel that all of them were followed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cagewright.frame.answers import PASSED
from cagewright.frame.results import Results

Floats = NDArray[np.float64]
SLACK = 1e-6
"""Travels this near each other are the same, mm."""
HALFWAY = 0.5
"""A push followed for less than this part of its travel is left out instead of cutting the others short."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One number by which pushes are compared.

    Attributes:
        key: for programs.
        head: for the table.
        unit: as printed.
        scale: printed number over the inside one.
        places: decimals printed.
        of: the number in inside units up to so many mm of travel, or None.
        floor: says that the number is a lower bound.
        absent: what None means for a push; empty: cannot tell.
    """

    key: str
    head: str
    unit: str
    scale: float
    places: int
    of: Callable[[Results, float], float | None]
    floor: Callable[[Results, float], bool] = lambda _r, _t: False
    absent: Callable[[Results], str] = lambda _: ""


def followed(results: Results) -> float:
    """How far the push was followed, mm."""
    return float(results.travel[-1])


def common_travel(results: Sequence[Results]) -> float:
    """The travel over which these can be compared, mm: as far as all were followed that got halfway."""
    ends = [followed(r) for r in results if followed(r) >= HALFWAY * r.push.travel]
    return min(ends, default=0.0)


def told(results: Results | None, upto: float) -> bool:
    """Whether the push was followed so far that its figures can be told."""
    return results is not None and upto > 0.0 and followed(results) >= upto - SLACK


def _curve(results: Results, upto: float) -> tuple[Floats, Floats]:
    """Travel and load up to ``upto`` mm, the end found between kept steps."""
    inside = results.travel < upto
    end = np.interp(upto, results.travel, results.load)
    return np.append(results.travel[inside], upto), np.append(results.load[inside], end)


def largest_load(results: Results, upto: float) -> float:
    """The largest load, N."""
    return float(_curve(results, upto)[1].max())


def still_rising(results: Results, upto: float) -> bool:
    """Whether the load has not fallen a fiftieth below its largest by then: the true peak is more."""
    load = _curve(results, upto)[1]
    return not bool((load[int(load.argmax()) :] < PASSED * load.max()).any())


def first_peak(results: Results, upto: float) -> float:
    """The first largest load that is followed by a fall of a fiftieth, N: what the first parts to give carry.

    The load may climb past it later, once the tool meets other tubes. Without such a fall it is the largest
    load.
    """
    load = _curve(results, upto)[1]
    largest = np.maximum.accumulate(load)
    fallen = np.flatnonzero(load < PASSED * largest)
    return float(largest[fallen[0]]) if len(fallen) else float(largest[-1])


def no_peak_yet(results: Results, upto: float) -> bool:
    """Whether no load so far is followed by a fall of a fiftieth."""
    load = _curve(results, upto)[1]
    return not bool((load < PASSED * np.maximum.accumulate(load)).any())


def energy(results: Results, upto: float) -> float:
    """Energy taken up, J."""
    return float(np.interp(upto, results.travel, results.work))


def margin(results: Results, upto: float) -> float | None:
    """Least gap to the survival space, mm, negative inside it; None where it belongs to another travel."""
    room = results.room
    if room is None or abs(room.followed - upto) > SLACK:
        return None
    return room.least


def drop(results: Results, upto: float) -> float | None:
    """Height m g h of the energy taken up before the survival space is touched, mm; of a platen only.

    With the weight w of car and driver: h = E / w, crush included.
    """
    if results.push.kind != "platen" or not results.weight:
        return None
    touched = results.room.touched if results.room else None
    end = upto if touched is None else min(touched, upto)
    return energy(results, end) * 1e3 / results.weight


def first_yield(results: Results, upto: float) -> float | None:
    """Load at the first yield, N."""
    first = results.first_yield
    return first.load if first and first.travel <= upto + SLACK else None


def joint_load(results: Results, upto: float) -> float | None:
    """Load at which the first joint reaches its strength, N."""
    loads = [
        j.over_load
        for j in results.joints
        if j.over_load is not None and j.over is not None and j.over <= upto + SLACK
    ]
    return min(loads) if loads else None


def _none(results: Results) -> str:
    return "none" if results.reached else ""


FIGURES: tuple[Figure, ...] = (
    Figure(key="first_peak_N", head="first peak", unit="kN", scale=1e-3, places=1, of=first_peak,
           floor=no_peak_yet),
    Figure(key="peak_N", head="largest load", unit="kN", scale=1e-3, places=1, of=largest_load,
           floor=still_rising),
    Figure(key="energy_J", head="energy", unit="J", scale=1.0, places=0, of=energy),
    Figure(key="margin_mm", head="left to helmet", unit="mm", scale=1.0, places=0, of=margin),
    Figure(key="drop_mm", head="drop", unit="mm", scale=1.0, places=0, of=drop,
           absent=lambda r: "" if r.push.kind == "platen" else "–"),
    Figure(key="stiffness_N_per_mm", head="stiffness", unit="kN/mm", scale=1e-3, places=2,
           of=lambda r, _: r.stiffness),
    Figure(key="first_yield_N", head="first yield", unit="kN", scale=1e-3, places=1, of=first_yield,
           absent=_none),
    Figure(key="joint_N", head="first joint at its strength", unit="kN", scale=1e-3, places=1, of=joint_load,
           absent=_none),
)  # fmt: skip
"""The figures of a push, in table order."""


def value_of(figure: Figure, results: Results | None, upto: float) -> float | None:
    """The figure up to ``upto`` mm, or None where the push was not followed so far."""
    return figure.of(results, upto) if results is not None and told(results, upto) else None
