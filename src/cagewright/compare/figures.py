"""The numbers by which pushes are compared, each as far as its push counts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cagewright.base.say import Quantity
from cagewright.frame.results import Results

Floats = NDArray[np.float64]
SLACK = 1e-6
"""Travels this near each other are the same, mm."""
GIVEN = 0.1
"""A cage has given way where its curve's slope is this part of what it was at the start."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One number by which pushes are compared.

    Attributes:
        key: for programs.
        head: for the table.
        quantity: what it is.
        of: the number in inside units, or None, by the results and the travel, mm, by which all are compared.
        grows: whether it could only be more (1) or less (-1) had the push been followed further than it could
            be told; 0 where that says nothing.
        absent: what None means for a push; empty: cannot tell.
        places: decimals said in a plan in mm, where not the usual ones.
    """

    key: str
    head: str
    quantity: Quantity
    of: Callable[[Results, float], float | None]
    grows: int = 0
    absent: Callable[[Results], str] = lambda _: ""
    places: int | None = None


def cut_short(results: Results) -> bool:
    """Whether the push counts only to where it could no longer be told what comes."""
    return results.counted.kind == "cannot tell"


def counted(results: Results) -> tuple[Floats, Floats]:
    """Travel, mm, and load, N, as far as the push counts; the end found between kept steps."""
    upto = results.counted.travel
    inside = results.travel < upto
    return np.append(results.travel[inside], upto), np.append(results.load[inside], results.counted.load)


def gives_way(results: Results) -> float | None:
    """The load at which the slope of the curve first falls to a tenth of what it was at the start, N.

    What the cage carries before it gives way, wherever the load goes once the tool meets other tubes. A
    tenth of the first slope is how tests of steel parts take their yield load (ECCS No. 45, 1986, from
    memory). None where the slope never falls so far.
    """
    if results.stiffness is None:
        return None
    travel, load = counted(results)
    slope = np.diff(load) / np.maximum(np.diff(travel), 1e-12)
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


def energy_by(results: Results, travel: float) -> float:
    """What is taken up by ``travel`` mm, J; a push not followed so far goes on with its last load."""
    last = min(travel, float(results.travel[-1]))
    more = float(results.load[-1]) * (travel - last) * 1e-3
    return float(np.interp(last, results.travel, results.work)) + more


def margin(results: Results) -> float | None:
    """Least gap to anybody's space, mm; 0 where it is touched, None where nobody sits in the car."""
    return None if results.room is None else max(min(p.least for p in results.room.parts), 0.0)


def drop(results: Results) -> float | None:
    """Height m g h of the energy taken up, mm; of a platen only.

    With the weight w of car and driver: h = E / w, crush included.
    """
    if results.push.kind != "platen" or not results.weight:
        return None
    return results.counted.energy * 1e3 / results.weight


def first_yield(results: Results) -> float | None:
    """Load at the first yield, N."""
    first = results.first_yield
    return first.load if first and first.travel <= results.counted.travel + SLACK else None


def joint_load(results: Results) -> float | None:
    """Load at which the first joint reaches its strength, N."""
    upto = results.counted.travel + SLACK
    loads = [
        j.over_load
        for j in results.joints
        if j.over_load is not None and j.over is not None and j.over <= upto
    ]
    return min(loads) if loads else None


def _none(results: Results) -> str:
    return "" if cut_short(results) else "none"


FIGURES: tuple[Figure, ...] = (
    Figure(key="by_J", head="takes up by the same travel", quantity="energy", of=energy_by),
    Figure(key="energy_J", head="takes up in all", quantity="energy",
           of=lambda r, _: r.counted.energy, grows=1),
    Figure(key="gives_way_N", head="gives way at", quantity="force", of=lambda r, _: gives_way(r),
           absent=_none),
    Figure(key="peak_N", head="largest load", quantity="force", of=lambda r, _: r.peak.load, grows=1),
    Figure(key="travel_mm", head="counted to", quantity="length", places=0,
           of=lambda r, _: r.counted.travel, grows=1),
    Figure(key="margin_mm", head="left to people", quantity="length", places=0, of=lambda r, _: margin(r),
           grows=-1),
    Figure(key="drop_mm", head="drop", quantity="length", places=0, of=lambda r, _: drop(r), grows=1,
           absent=lambda r: "" if r.push.kind == "platen" else "–"),
    Figure(key="stiffness_N_per_mm", head="stiffness", quantity="stiffness", of=lambda r, _: r.stiffness),
    Figure(key="first_yield_N", head="first yield", quantity="force", of=lambda r, _: first_yield(r),
           absent=_none),
    Figure(key="joint_N", head="first joint at its strength", quantity="force", of=lambda r, _: joint_load(r),
           absent=_none),
)  # fmt: skip
"""The figures of a push, in table order."""


def value_of(figure: Figure, results: Results | None, same: float | None) -> float | None:
    """The figure, or None where the push could not be solved; ``same`` mm is the travel of all."""
    return None if results is None or same is None else figure.of(results, same)
