"""What a row asks, in words: its limit and what it looks at; for pages about a book."""

from __future__ import annotations

from collections.abc import Sequence

from cagewright.check.judge import say_bounds
from cagewright.check.rules import CAGE_ROLES, FOOT, Applies, Landmark, Rule
from cagewright.check.said import say
from cagewright.check.sizes import say_sizes
from cagewright.check.vocabulary import MEASURES
from cagewright.plan.types import Role


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


def say_scope(rule: Rule) -> str:
    """What the row looks at: roles, feet or joints, end, side, and to which cars it applies."""
    t = rule
    parts = (
        _roles(t.members),
        _with("joined to", t.joined_to),
        _with("feet of", t.feet_of),
        _with("where cut:", t.joints_of),
        _with("on", t.joints_on),
        f"{t.end} end" if t.near else "",
        _near(t.near),
        f"{t.side} side" if rule.measure == "members per side" else "",
        _line(t, rule.measure),
        _with("above", t.above),
        f"body line '{t.opening}'" if t.opening else "",
        f"{t.fixing} feet" if t.fixing != "any" else "",
        f"weight {t.weight}" if t.table else "",
        say_applies(rule.applies),
    )
    return ", ".join(part for part in parts if part)


def _line(rule: Rule, measure: str) -> str:
    return f"{rule.line} line" if "line" in MEASURES[measure].needs + MEASURES[measure].takes else ""


def _near(near: Landmark | None) -> str:
    if near is None:
        return ""
    return "from a foot" if near is FOOT else f"from joints of {_roles(near.joint_of)} on {_roles(near.on)}"


def _with(word: str, roles: Sequence[Role]) -> str:
    return f"{word} {_roles(roles)}" if roles else ""


def _roles(roles: Sequence[Role]) -> str:
    missing = [role for role in CAGE_ROLES if role not in roles]
    if not missing:
        return "every tube of the cage"
    if len(missing) < len(roles):
        return f"every tube of the cage but {' and '.join(missing)}"
    return ", ".join(roles)


def say_applies(applies: Applies) -> str:
    """To which cars, in words; empty for every car."""
    words = f"cars called {' or '.join(applies.body)}" if applies.body else ""
    above = f"from {say('mass', applies.weight_from, 'mm')}" if applies.weight_from is not None else ""
    below = f"to {say('mass', applies.weight_to, 'mm')}" if applies.weight_to is not None else ""
    return ", ".join(word for word in (words, above, below) if word)
