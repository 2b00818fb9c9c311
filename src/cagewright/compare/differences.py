"""What each change is worth: value, difference from the plan as it is, and whether it can be told."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from cagewright.compare.figures import FIGURES, Figure, cut_short, value_of
from cagewright.compare.ranking import ahead
from cagewright.compare.study import Comparison, Outcome, PushOutcome, same_travel
from cagewright.frame.results import Results

DRAWN = "by_J"
"""The figure that is drawn: what does not hold of it over the draws is no difference."""
Told = Literal["difference", "no difference", "cannot tell"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One figure of one alternative under one push.

    Attributes:
        figure: its key.
        value: in its inside unit, or None.
        bound: the value is at least (1) or at most (-1) that; 0 where it is exact.
        absent: what a missing value means; empty where it cannot be told.
        change: value less that of the plan as it is, or None.
        share: change over the plan's value, or None.
        told: whether the change can be told.
        why: why not, in words; empty for a difference.
    """

    figure: str
    value: float | None
    bound: int
    absent: str
    change: float | None
    share: float | None
    told: Told
    why: str


def differences(comparison: Comparison, outcome: Outcome, push: str) -> tuple[Difference, ...]:
    """Every figure of the outcome under the push, beside the plan as it is."""
    base, answer = answer_to(comparison.outcomes[0], push), answer_to(outcome, push)
    same = same_travel(comparison.outcomes, push)
    found = (_difference(f, base, answer, comparison.resolution.get((push, f.key)), same) for f in FIGURES)
    return tuple(_over_draws(comparison, outcome, push, one) for one in found)


def _over_draws(comparison: Comparison, outcome: Outcome, push: str, one: Difference) -> Difference:
    """A difference by the same travel that does not hold over the draws is none."""
    mine, base = (comparison.drawn.get((o.name, push)) for o in (outcome, comparison.outcomes[0]))
    if one.figure != DRAWN or one.told != "difference" or mine is None or base is None:
        return one
    over = ahead(mine, base)
    if over.holds and (over.more > over.less) == ((one.change or 0.0) > 0.0):
        return one
    why = f"a toss-up: more in {over.more} and less in {over.less} of {over.draws} draws"
    return replace(one, told="no difference", why=why)


def answer_to(outcome: Outcome, push: str) -> PushOutcome | None:
    """The outcome's answer to the push."""
    return next((a for a in outcome.answers if a.push == push), None)


def _difference(
    figure: Figure, base: PushOutcome | None, answer: PushOutcome | None, resolution: float | None,
    same: float | None,
) -> Difference:  # fmt: skip
    results, plan = (a.results if a else None for a in (answer, base))
    value, was = (value_of(figure, r, same) for r in (results, plan))
    change = None if value is None or was is None else value - was
    bounds = _bound(figure, results), _bound(figure, plan)
    told, why = _told(change, bounds, resolution)
    return Difference(
        figure=figure.key,
        value=value,
        bound=0 if value is None else bounds[0] or _rising(figure, results),
        absent=figure.absent(results) if results else "",
        change=change,
        share=change / abs(was) if change is not None and was else None,
        told=told,
        why=why,
    )


def _bound(figure: Figure, results: Results | None) -> int:
    return figure.grows if results is not None and cut_short(results) else 0


def _rising(figure: Figure, results: Results | None) -> int:
    """1 for a largest load that was still rising at the end of the travel."""
    rises = results is not None and results.counted.kind == "end of travel" and not results.peak.passed
    return int(figure.key == "peak_N" and rises)


def _told(change: float | None, bounds: tuple[int, int], resolution: float | None) -> tuple[Told, str]:
    if change is None:
        return "cannot tell", "one of the two pushes has no such value"
    # what is at least so much more, or at most so much less, is a difference all the same
    if any(bounds) and not (bounds[0] * change >= 0.0 and bounds[1] * change <= 0.0):
        return "cannot tell", "one of the two pushes could not be followed far enough"
    if resolution is None:
        return "cannot tell", "the plan itself gives no such value on another mesh"
    if abs(change) <= resolution:
        return "no difference", "less than the mesh alone makes"
    return "difference", ""
