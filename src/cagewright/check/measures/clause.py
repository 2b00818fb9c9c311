"""The measure that hands a row to its clause's own function."""

from __future__ import annotations

from cagewright.check.bench import Gauged
from cagewright.check.clauses import CLAUSES
from cagewright.check.readings import Measure, YesNo
from cagewright.check.rules import Rule
from cagewright.shape.types import Cage


def clause(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """What the row's own function answers."""
    return CLAUSES[rule.function].take(cage, rule, bench)


MEASURES = (
    Measure(
        name="clause",
        per="cage",
        sort=None,
        needs=("function",),
        takes=("members",),
        meaning="What no row can say: one function of the program, named by its clause (`function`).",
        passes="what the function's own example says passes",
        fails="what the function's own example says fails",
        own_limit=True,
        take=clause,
    ),
)
