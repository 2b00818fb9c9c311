"""The nouns of a comparison: what is pushed, what came of it, and how fine a difference can be told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from cagewright.base.problems import Problem
from cagewright.base.units import LengthUnit
from cagewright.compare.ranking import DrawnPushes
from cagewright.frame.choices import Choices
from cagewright.frame.results import Results
from cagewright.plan.types import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A plan to be pushed: the plan as it is or one alternative, its changes made."""

    name: str
    note: str
    plan: Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class PushOutcome:
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
    answers: tuple[PushOutcome, ...]
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
        draws: how many draws each case was pushed in; 0 for none.
        drawn: by case and push, what it did in each draw; a case that cannot be built has none.
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
    draws: int = 0
    drawn: dict[tuple[str, str], DrawnPushes] = field(default_factory=dict[tuple[str, str], DrawnPushes])


def same_travel(outcomes: Sequence[Outcome], push: str) -> float | None:
    """The least travel, mm, that any of the cases counts to under the push; None where none was solved.

    By that travel nothing has touched a person, torn or parted in any of them, and all were followed so far.
    """
    every = [a.results for o in outcomes for a in o.answers if a.push == push and a.results is not None]
    return min((r.counted.travel for r in every), default=None)
