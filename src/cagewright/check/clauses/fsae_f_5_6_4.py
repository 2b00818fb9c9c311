"""Formula SAE Rules 2024 (v1.0), F.5.6.4: the side template of a 95th percentile man (read in the text)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cagewright.base.say import say_length
from cagewright.check.bench import Gauged
from cagewright.check.clauses.clause import Clause
from cagewright.check.findings import Location
from cagewright.check.measures.helmet import helmet_under_line
from cagewright.check.readings import YesNo, at
from cagewright.check.rules import Rule
from cagewright.plan.types import PersonEntry
from cagewright.shape.types import Cage, bodies_of

HIP_TO_SHOULDER, SHOULDER_TO_HEAD, HEAD = 490.0, 280.0, 300.0
"""mm, F.5.6.4: template lengths and the diameter of the head-with-helmet circle."""
LEAST = 50.0
"""mm, F.5.6.3: helmet to the lines from the top of the main rollbar."""


def template_under_lines(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """Whether the template's head keeps 50 mm from the lines from the top of the main rollbar.

    The template sits on the plan's hip point, its back and neck both leaning as the driver's back.
    """
    if not bodies_of(cage):
        why, ask = "the plan has no driver", "give the driver's hip point and back angle in the plan"
        return (YesNo(spot=Location(), holds=None, text="", limit=_limit(cage), why=why, advice=ask),)
    seated = replace(cage, people=tuple(replace(p, body=template(p.body)) for p in cage.people if p.body))
    amounts = [
        amount
        for word in ("front", "rear")
        for amount in helmet_under_line(seated, rule.model_copy(update={"line": word}), bench)
    ]
    return tuple(_answer(cage, amount.spot, amount.low) for amount in amounts if amount.low is not None)


def template(person: PersonEntry) -> PersonEntry:
    """The person with the template's head where the template puts it."""
    back = np.array([np.sin(person.back_angle), 0.0, np.cos(person.back_angle)])
    head = np.array(person.hip) + (HIP_TO_SHOULDER + SHOULDER_TO_HEAD) * back
    return person.model_copy(update={"head": at(head), "helmet": HEAD})


def _limit(cage: Cage) -> str:
    return f"at least {say_length(LEAST, cage.units)} from the line"


def _answer(cage: Cage, spot: Location, gap: float) -> YesNo:
    return YesNo(
        spot=spot,
        holds=gap >= LEAST - 1e-6,
        text=say_length(gap, cage.units),
        limit=_limit(cage),
        advice=f"lower the seat or raise {spot}: {say_length(LEAST - gap, cage.units)} short for a tall man",
    )


CLAUSE = Clause(
    name="fsae f.5.6.4 template",
    meaning=(
        "The template of a 95th percentile man (490 mm hip to shoulder, 280 mm shoulder to the middle of a "
        "300 mm head circle) on the driver's hip point, leaning as his back, keeps 50 mm from the lines "
        "from the top of the main rollbar to the top of the front rollbar and to the foot of each backstay."
    ),
    passes="a template's head 80 mm under both lines",
    fails="a template's head 20 mm under the front line",
    take=template_under_lines,
)
