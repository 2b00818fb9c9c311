"""Findings: one verdict of one rule or check, its measured value, its limit, where, and what to do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from cagewright.stock.steels import Certainty

Verdict = Literal["pass", "fail", "cannot tell", "not applicable"]
WORST_FIRST: tuple[Verdict, ...] = ("fail", "cannot tell", "pass", "not applicable")

CAUTION = (
    "Not a certificate: check the current rule book of your series; the scrutineer and the licensed engineer "
    "decide. Figures marked 'memory' were not checked against the text and neither pass nor fail anything."
)
"""Goes on every page that shows findings."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What was measured.

    Attributes:
        value: in ``unit``; None where it could not be measured, or where the answer is a word.
        unit: ``mm``, ``mm2``, ``mm4``, ``rad``, ``MPa``, ``kg``, ``x OD``, ``%``, or empty for counts, ratios
            and words.
        text: as the builder reads it, in the units of his tape.
    """

    value: float | None
    unit: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where on the cage.

    Attributes:
        members: names.
        feet: names.
        joints: names.
        point: (back, across, up) in mm, where a single one is meant.
        part: which part of them, e.g. ``bend 2`` or ``start``.
    """

    members: tuple[str, ...] = ()
    feet: tuple[str, ...] = ()
    joints: tuple[str, ...] = ()
    point: tuple[float, float, float] | None = None
    part: str = ""

    def __str__(self) -> str:
        feet = (f"foot {name}" for name in self.feet)
        joints = (f"joint {name}" for name in self.joints)
        names = ", ".join((*(() if self.joints or self.feet else self.members), *feet, *joints)) or "the cage"
        return f"{names} ({self.part})" if self.part else names


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One verdict of one rule or check.

    Attributes:
        rule: the row's id within its book.
        book: the book's id.
        edition: the book's edition.
        clause: as the book numbers it.
        title: what the clause asks, in our own words.
        verdict: pass, fail, cannot tell or not applicable.
        measured: what was measured, or None where there was nothing to measure.
        limit: the limit in the book's own units.
        where: members, feet or joints it is about.
        certainty: how sure the limit is; a limit from memory neither passes nor fails.
        why: what decided a 'cannot tell' or a 'not applicable', and any assumption made; empty otherwise.
        advice: what to do about it: which tube, which end, how far; empty on a pass.
        warning: a limit from memory looks broken.
    """

    rule: str
    book: str
    edition: str
    clause: str
    title: str
    verdict: Verdict
    measured: Measured | None
    limit: str
    where: Spot
    certainty: Certainty
    why: str = ""
    advice: str = ""
    warning: bool = False


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings, fails first, then warnings, cannot tell, passes and not applicable; book order within."""
    return tuple(sorted(findings, key=lambda f: (WORST_FIRST.index(f.verdict), not f.warning)))


def by_member(findings: Iterable[Finding]) -> dict[str, tuple[Finding, ...]]:
    """Worst-first findings under each member, foot or joint they name; those of the whole cage under ``''``.

    The names themselves come worst first.
    """
    groups: dict[str, list[Finding]] = {}
    for finding in worst_first(findings):
        spot = finding.where
        for name in (*spot.members, *spot.feet, *spot.joints) or ("",):
            groups.setdefault(name, []).append(finding)
    return {name: tuple(group) for name, group in groups.items()}


def by_clause(findings: Iterable[Finding]) -> dict[tuple[str, str], tuple[Finding, ...]]:
    """Worst-first findings under each (book id, clause), the clauses themselves worst first."""
    groups: dict[tuple[str, str], list[Finding]] = {}
    for finding in worst_first(findings):
        groups.setdefault((finding.book, finding.clause), []).append(finding)
    return {key: tuple(group) for key, group in groups.items()}


def count(findings: Iterable[Finding], verdict: Verdict) -> int:
    """How many findings have that verdict."""
    return sum(f.verdict == verdict for f in findings)


def stamp(findings: Iterable[Finding]) -> str:
    """The words for every sheet: ``rules: 2 fail, 1 cannot tell``, or ``rules: none checked``."""
    found = tuple(findings)
    if not found:
        return "rules: none checked"
    return f"rules: {count(found, 'fail')} fail, {count(found, 'cannot tell')} cannot tell"


def any_failed(findings: Iterable[Finding]) -> bool:
    """True where any finding is a fail: the run ends with exit code 1."""
    return any(f.verdict == "fail" for f in findings)
