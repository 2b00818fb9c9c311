"""The nouns of a comparison: what is pushed, what came of it, and how fine a difference can be told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from cagewright.base.problems import Problem
from cagewright.base.units import LengthUnit
from cagewright.frame.answers import PASSED
from cagewright.frame.choices import Choices
from cagewright.frame.results import Band, Results
from cagewright.plan.types import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A plan to be pushed: the plan as it is or one alternative, its changes made."""

    name: str
    note: str
    plan: Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What came of one push.

    Attributes:
        push: by name.
        results: None where it could not be solved.
        refused: why not, in the builder's words; empty otherwise.
    """

    push: str
    results: Results | None
    refused: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill:
    """What a cage weighs and costs.

    Attributes:
        mass: of all parts, kg.
        cost: of the bars to buy, in the shop's currency; None without prices or with pieces no bar takes.
        doubt: how much cheaper it may be bought where the cutting plan is not proved least.
    """

    mass: float
    cost: float | None
    doubt: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """All that is known of one case.

    Attributes:
        name: of the alternative.
        note: the builder's.
        bill: None where it cannot be built.
        answers: one a push, in the study's order; none where it cannot be built.
        problems: why it cannot be built.
    """

    name: str
    note: str
    bill: Bill | None
    answers: tuple[Answer, ...]
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Alternatives side by side.

    Attributes:
        title: of the study.
        question: what it answers.
        plan: title of the plan.
        revision: the plan's mark.
        units: what the builder's tape reads.
        currency: of the costs.
        pushes: their names, in order.
        choices: simplifications of the strength model.
        outcomes: the plan as it is first, then the alternatives.
        resolution: by push and figure, the least difference that can be told, in the figure's inside unit;
            None where it could not be found out.
        banded: every push was also solved for the typical yield strength.
    """

    title: str
    question: str
    plan: str
    revision: str
    units: LengthUnit
    currency: str
    pushes: tuple[str, ...]
    choices: Choices
    outcomes: tuple[Outcome, ...]
    resolution: dict[tuple[str, str], float | None]
    banded: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One number by which pushes are compared.

    Attributes:
        key: for programs.
        head: for the table.
        unit: as printed.
        scale: printed number over the inside one.
        places: decimals printed.
        of: the number in inside units, or None for cannot tell.
        band: it for the least and the typical yield strength.
        floor: says that the number is a lower bound.
        absent: what None means where the whole push was followed; empty: cannot tell.
    """

    key: str
    head: str
    unit: str
    scale: float
    places: int
    of: Callable[[Results], float | None]
    band: Callable[[Band], tuple[float | None, float | None]] | None = None
    floor: Callable[[Results], bool] = lambda _: False
    absent: str = ""


def _margin(results: Results) -> float | None:
    """Least gap to the survival space, mm, negative inside it; None where a stall hides the end."""
    room = results.room
    if room is None or (not results.reached and room.touched is None):
        return None
    return room.least


def _drop(results: Results) -> float | None:
    return results.drop.height if results.drop else None


def joint_load(results: Results) -> float | None:
    """Load at which the first joint reaches its strength, N; None where none does (or cannot tell)."""
    loads = [j.over_load for j in results.joints if j.over_load is not None]
    return min(loads) if loads else None


def first_peak(results: Results) -> float | None:
    """The first largest load that is followed by a fall of a fiftieth, N: what the first parts to give carry.

    The load may climb past it later, once the tool meets other tubes. Without such a fall it is the largest
    load of the push, or None where the push stalled.
    """
    largest = np.maximum.accumulate(results.load)
    fallen = np.flatnonzero(results.load < PASSED * largest)
    if len(fallen):
        return float(largest[fallen[0]])
    return float(largest[-1]) if results.reached else None


def _no_peak_yet(results: Results) -> bool:
    largest = np.maximum.accumulate(results.load)
    return not bool((results.load < PASSED * largest).any())


FIGURES: tuple[Figure, ...] = (
    Figure(key="first_peak_N", head="first peak", unit="kN", scale=1e-3, places=1, of=first_peak,
           floor=_no_peak_yet),
    Figure(key="peak_N", head="largest load", unit="kN", scale=1e-3, places=1,
           of=lambda r: r.peak.load if r.peak else None, band=lambda b: b.peak,
           floor=lambda r: bool(r.peak and not r.peak.passed)),
    Figure(key="energy_J", head="energy", unit="J", scale=1.0, places=0,
           of=lambda r: r.energy, band=lambda b: b.energy),
    Figure(key="margin_mm", head="left to helmet", unit="mm", scale=1.0, places=0, of=_margin),
    Figure(key="drop_mm", head="drop", unit="mm", scale=1.0, places=0, of=_drop, band=lambda b: b.drop),
    Figure(key="stiffness_N_per_mm", head="stiffness", unit="kN/mm", scale=1e-3, places=2,
           of=lambda r: r.stiffness),
    Figure(key="first_yield_N", head="first yield", unit="kN", scale=1e-3, places=1,
           of=lambda r: r.first_yield.load if r.first_yield else None, band=lambda b: b.first_yield,
           absent="none"),
    Figure(key="joint_N", head="first joint at its strength", unit="kN", scale=1e-3, places=1, of=joint_load,
           absent="none"),
)  # fmt: skip
"""The figures of a push, in table order."""
