"""A row's limit in the book's own units, whatever keys it stands in."""

from __future__ import annotations

from cagewright.check.judge import say_bounds
from cagewright.check.rules import Rule
from cagewright.check.sizes import say_sizes
from cagewright.check.vocabulary import MEASURES


def say_limit(rule: Rule) -> str:
    """The row's limit in the book's own units."""
    measure = MEASURES[rule.measure]
    if rule.bounds and measure.sort is not None:
        return say_bounds(rule.bounds, measure.sort) + _rounding(rule)
    lines = (
        [say_sizes(rule.sizes)] if rule.sizes else [],
        [f"{step.text}: {say_sizes(step.sizes)}" for step in rule.table],
        [f"or {rule.rider.text}"] if rule.rider else [],
        [f"code {code}: {say_sizes(sizes)}" for code, sizes in rule.codes.items()],
        [", ".join(f"{n} {role}" for role, n in structure.items()) for structure in rule.structures],
        [" or ".join(rule.steels)] if rule.steels else [],
        [f"grade {' or '.join(rule.grades)}, or stronger"] if rule.grades else [],
    )
    said = "; ".join(line for group in lines for line in group)
    return said or ("yes" if rule.wanted else "no")


def _rounding(rule: Rule) -> str:
    if rule.allowance.share:
        return f" (rounding of {rule.allowance.share * 100:g} % allowed)"
    return " (with a rounding allowance)" if rule.allowance.amount else ""
