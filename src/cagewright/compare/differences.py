"""What each change is worth: value, difference from the plan as it is, and whether it can be told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cagewright.compare.figures import FIGURES, Figure, value_of
from cagewright.compare.study import Comparison, Outcome, PushOutcome

Told = Literal["difference", "no difference", "cannot tell"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One figure of one alternative under one push.

    Attributes:
        figure: its key.
        value: in its inside unit, or None.
        least: the value is a lower bound.
        absent: what a missing value means; empty where it cannot be told.
        change: value less that of the plan as it is, or None.
        share: change over the plan's value, or None.
        told: whether the change can be told.
        why: why not, in words; empty for a difference.
    """

    figure: str
    value: float | None
    least: bool
    absent: str
    change: float | None
    share: float | None
    told: Told
    why: str


def differences(comparison: Comparison, outcome: Outcome, push: str) -> tuple[Difference, ...]:
    """Every figure of the outcome under the push, beside the plan as it is."""
    base, answer = answer_to(comparison.outcomes[0], push), answer_to(outcome, push)
    upto = comparison.upto.get(push, 0.0)
    return tuple(
        _difference(f, base, answer, upto, comparison.resolution.get((push, f.key))) for f in FIGURES
    )


def answer_to(outcome: Outcome, push: str) -> PushOutcome | None:
    """The outcome's answer to the push."""
    return next((a for a in outcome.answers if a.push == push), None)


def _difference(
    figure: Figure,
    base: PushOutcome | None,
    answer: PushOutcome | None,
    upto: float,
    resolution: float | None,
) -> Difference:
    results = answer.results if answer else None
    value, was = (value_of(figure, a.results if a else None, upto) for a in (answer, base))
    change = None if value is None or was is None else value - was
    told, why = _told(change, _typical_change(figure, base, answer, upto), resolution)
    return Difference(
        figure=figure.key,
        value=value,
        least=bool(results and value is not None and figure.floor(results, upto)),
        absent=figure.absent(results) if results else "",
        change=change,
        share=change / abs(was) if change is not None and was else None,
        told=told,
        why=why,
    )


def _told(change: float | None, typical: float | None, resolution: float | None) -> tuple[Told, str]:
    if change is None:
        return "cannot tell", "one of the two pushes has no such value"
    if resolution is None:
        return "cannot tell", "the plan itself gives no such value on another mesh"
    if abs(change) <= resolution:
        return "no difference", "less than the mesh alone makes"
    if typical is not None and (typical * change <= 0.0 or abs(typical) <= resolution):
        return "no difference", "not so with the typical yield strength"
    return "difference", ""


def _typical_change(
    figure: Figure, base: PushOutcome | None, answer: PushOutcome | None, upto: float
) -> float | None:
    """The change with the typical yield strength, or None where it was not found out."""
    now, was = (value_of(figure, a.typical if a else None, upto) for a in (answer, base))
    return None if was is None or now is None else now - was
