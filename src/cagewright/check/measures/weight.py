"""Tube size by the car's weight, with or without the driver, and the rider for larger thinner tubes."""

from __future__ import annotations

import math

from cagewright.check.bench import Gauged
from cagewright.check.measures.tube import STEEL_UNKNOWN, size_answer
from cagewright.check.readings import Measure, YesNo
from cagewright.check.rules import Rule, WeightStep
from cagewright.check.said import say
from cagewright.check.select import chosen
from cagewright.check.sizes import big_enough, either, rides, say_sizes
from cagewright.shape.types import Cage, Member, driver_body

ROUNDING = 1e-9
LIGHTEST_DRIVER, HEAVIEST_DRIVER = 51.3, 124.2
"""kg: ANSUR II (2012), 5th percentile woman and 99th percentile man, computed from the public files."""


def size_by_weight(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """Whether each member reaches the sizes of the car's line in the table.

    Where the weight is not fully known, every line it could fall on is tried, and only an answer they share
    counts.
    """
    del bench
    low, high, why = weight_span(cage, rule)
    lines = lines_met(rule.table, low, high)
    return tuple(_answer(cage, rule, member, lines, why) for member in chosen(cage, rule))


def weight_span(cage: Cage, rule: Rule) -> tuple[float, float, str]:
    """Least and most that the table's weight can be, kg, and what was not known or assumed."""
    if cage.car is None:
        return 0.0, math.inf, "the plan does not give the car's mass"
    mass = cage.car.mass
    if rule.weight == "listed":
        return _listed(cage, mass)
    if rule.weight == "without driver":
        return mass, mass, ""
    driver = driver_body(cage)
    if driver is not None and driver.mass is not None:
        return mass + driver.mass, mass + driver.mass, ""
    span = f"{say('mass', LIGHTEST_DRIVER, cage.units)} to {say('mass', HEAVIEST_DRIVER, cage.units)}"
    why = f"the table counts the driver, whose mass the plan does not give: {span} was tried"
    return mass + LIGHTEST_DRIVER, mass + HEAVIEST_DRIVER, why


def _listed(cage: Cage, mass: float) -> tuple[float, float, str]:
    """The weight that the class lists; not stated, anything up to the car's own with its driver."""
    if cage.car is not None and cage.car.listed is not None:
        return cage.car.listed, cage.car.listed, ""
    body = driver_body(cage)
    driver = body.mass if body is not None and body.mass is not None else HEAVIEST_DRIVER
    why = "the table is by the weight that the class lists (car: listed): at most the car's with its driver"
    return 0.0, mass + driver, why


def lines_met(table: tuple[WeightStep, ...], low: float, high: float) -> tuple[WeightStep, ...]:
    """The lines that a weight from ``low`` to ``high`` kg can fall on; between two lines, the heavier."""
    met: list[WeightStep] = []
    floor = -math.inf
    for step in table:
        top = math.inf if step.up_to is None else step.up_to.value * (1.0 + ROUNDING)
        if high > floor and low <= top:
            met.append(step)
        floor = top
    return tuple(met)


def _answer(cage: Cage, rule: Rule, member: Member, lines: tuple[WeightStep, ...], why: str) -> YesNo:
    if not lines:
        return size_answer(
            cage, member, None, "no line of the table", "the car is heavier than the table goes"
        )
    told = {
        either((big_enough(member.tube, line.sizes), rides(member.tube, line, rule.rider))) for line in lines
    }
    holds = told.pop() if len(told) == 1 else None
    limit = "; ".join(f"{line.text}: {say_sizes(line.sizes)}" for line in lines)
    if rule.rider is not None:
        limit = f"{limit}; or {rule.rider.text}"
    return size_answer(cage, member, holds, limit, why or (STEEL_UNKNOWN if holds is None else ""))


MEASURES = (
    Measure(
        name="tube size by weight", per="member", sort=None, needs=("members", "table"),
        takes=("rider", "weight"), own_limit=True, take=size_by_weight,
        meaning=(
            "Tube size against the line of a table by the car's weight. `weight` says which: `without "
            "driver`, `with driver` (where his mass is not given, every driver from 51.3 to 124.2 kg is "
            "tried) or `listed`, the class's own figure (`car: listed`; not given, anything up to the car's "
            "own weight with its driver). `rider` allows a thinner wall to a tube whose diameter is well "
            "over the line's least."
        ),
        passes="1.500 x 0.095 in at 2699 lb, where the line up to 2699 lb lists it",
        fails="1.500 x 0.095 in at 2700 lb, where the next line lists 1.750 x 0.095 in",
    ),
)  # fmt: skip
