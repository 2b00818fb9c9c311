"""The numbers by which pushes are compared, each over the travel that all of them were followed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cagewright.base.say import Quantity
from cagewright.frame.curve_figures import PASSED
from cagewright.frame.results import Results

Floats = NDArray[np.float64]
SLACK = 1e-6
"""Travels this near each other are the same, mm."""
GIVEN = 0.1
"""A cage has given way where its curve's slope is this part of what it was at the start."""
HALFWAY = 0.5
"""A push followed for less than this part of its travel is left out instead of cutting the others short."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One number by which pushes are compared.

    Attributes:
        key: for programs.
        head: for the table.
        quantity: what it is.
        of: the number in inside units up to so many mm of travel, or None.
        floor: says that the number is a lower bound.
        absent: what None means for a push; empty: cannot tell.
        places: decimals said in a plan in mm, where not the usual ones.
    """

    key: str
    head: str
    quantity: Quantity
    of: Callable[[Results, float], float | None]
    floor: Callable[[Results, float], bool] = lambda _r, _t: False
    absent: Callable[[Results], str] = lambda _: ""
    places: int | None = None


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


def gives_way(results: Results, upto: float) -> float | None:
    """The load at which the slope of the curve first falls to a tenth of what it was at the start, N.

    What the cage carries before it gives way, wherever the load goes once the tool meets other tubes. A
    tenth of the first slope is how tests of steel parts take their yield load (ECCS No. 45, 1986, from
    memory). None where the slope never falls so far.
    """
    if results.stiffness is None:
        return None
    travel, load = _curve(results, upto)
    slope = np.diff(load) / np.diff(travel)
    low = np.flatnonzero(slope < GIVEN * results.stiffness)
    if not len(low):
        return None
    k = int(low[0])
    if k == 0:
        return float(load[0])
    # slopes belong to the middles of the steps; the load is taken where the line between two passes the tenth
    middle = 0.5 * (travel[1:] + travel[:-1])
    share = (slope[k - 1] - GIVEN * results.stiffness) / (slope[k - 1] - slope[k])
    at = middle[k - 1] + share * (middle[k] - middle[k - 1])
    return float(np.interp(at, travel, load))


def energy(results: Results, upto: float) -> float:
    """Energy taken up, J; in a part of a step the load is taken as straight."""
    travel, load = results.travel, results.load
    k = max(int(np.searchsorted(travel, upto + SLACK)) - 1, 0)
    mean = 0.5 * (load[k] + np.interp(upto, travel, load))
    return float(results.work[k] + mean * (min(upto, travel[-1]) - travel[k]) * 1e-3)


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
    Figure(key="gives_way_N", head="gives way at", quantity="force", of=gives_way,
           absent=_none),
    Figure(key="peak_N", head="largest load", quantity="force", of=largest_load,
           floor=still_rising),
    Figure(key="energy_J", head="energy", quantity="energy", of=energy),
    Figure(key="margin_mm", head="left to helmet", quantity="length", places=0, of=margin),
    Figure(key="drop_mm", head="drop", quantity="length", places=0, of=drop,
           absent=lambda r: "" if r.push.kind == "platen" else "–"),
    Figure(key="stiffness_N_per_mm", head="stiffness", quantity="stiffness",
           of=lambda r, _: r.stiffness),
    Figure(key="first_yield_N", head="first yield", quantity="force", of=first_yield,
           absent=_none),
    Figure(key="joint_N", head="first joint at its strength", quantity="force", of=joint_load,
           absent=_none),
)  # fmt: skip
"""The figures of a push, in table order."""


def value_of(figure: Figure, results: Results | None, upto: float) -> float | None:
    """The figure up to ``upto`` mm, or None where the push was not followed so far."""
    return figure.of(results, upto) if results is not None and told(results, upto) else None
