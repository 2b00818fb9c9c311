"""Findings: one verdict of one rule or check, its measured value, its limit, where, and what to do."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, get_args

from cagewright.base.answers import Certainty, Level, Value

Judge = Literal["by the book", "own check"]
"""Who judges: a rule book, belt standard or maker's sheet that the plan names, or a check of this program."""

Known = Literal["read", "restated", "restated once", "remembered", "computed", "shop"]
"""How the figure judged by is known: read in the text, restated (twice), remembered, computed, your own."""
KNOWN: Mapping[Certainty, Known] = MappingProxyType({
    "read": "read", "second-hand": "restated once", "memory": "remembered", "computed": "computed",
    "shop": "shop",
})  # fmt: skip
"""How a figure is known, by the certainty of its row; one that a second source confirms is ``restated``."""

Verdict = Literal["fail", "looks broken", "look at", "cannot tell", "looks kept", "pass", "does not apply"]
WORST_FIRST: tuple[Verdict, ...] = get_args(Verdict)
"""The verdicts by what they cost the builder.

``looks broken`` and ``looks kept`` are a book's, by a figure that nobody read; ``look at`` is an own check's,
or what a book only advises.
"""

LEVEL: Mapping[Verdict, Level] = MappingProxyType({
    "fail": "fail", "looks broken": "look at", "look at": "look at", "cannot tell": "cannot tell",
    "looks kept": "fine", "pass": "fine", "does not apply": "fine",
})  # fmt: skip
OWN_WORDS: Mapping[Verdict, str] = MappingProxyType({
    "fail": "problem", "looks broken": "look at", "looks kept": "fine", "pass": "fine",
})  # fmt: skip
"""What an own check's verdict is called, where it is not as a rule book's: it neither passes nor fails."""

NO_SOURCE = "common practice, no source"
"""Said of a figure of our own that no text gives."""
UNREAD = "the figure is from memory, unchecked"
RESTATED_BROKEN = "restated once, not read"
RESTATED_KEPT = "one restatement"
CAUTION = (
    "Not a certificate: check the current rule book of your series; the scrutineer and the licensed engineer "
    "decide. Figures from memory were not checked against the text: by them a rule only looks kept or "
    "broken; by one that a single other source restates, a rule kept only looks kept."
)
"""Goes on every page that shows findings."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Location:
    """Where on the cage.

    The point is (back, across, up) in mm, where a single one is meant; ``part`` says which part of them,
    e.g. ``bend 2`` or ``start``.
    """

    members: tuple[str, ...] = ()
    feet: tuple[str, ...] = ()
    joints: tuple[str, ...] = ()
    point: tuple[float, float, float] | None = None
    part: str = ""

    def __str__(self) -> str:
        feet = (name if "foot" in name else f"foot {name}" for name in self.feet)
        joints = (f"joint {name}" for name in self.joints)
        names = ", ".join((*(() if self.joints or self.feet else self.members), *feet, *joints)) or "the cage"
        return f"{names} ({self.part})" if self.part else names


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One verdict of one rule or check.

    Attributes:
        rule: the row's id within its book.
        judge: who judges.
        book: the book's id.
        edition: the book's edition.
        clause: as the book numbers it.
        title: what the clause asks, in our own words.
        verdict: as far as what is known of the figure carries it.
        measured: what was measured, or None where there was nothing to measure.
        limit: the limit in the book's own units.
        where: members, feet or joints it is about.
        known: how the limit is known; one that is only remembered neither passes nor fails anything.
        why: what decided a 'cannot tell' or a 'does not apply', and any assumption made; empty otherwise.
        advice: what to do about it: which tube, which end, how far; empty on a pass.
        measure: the word of the rule books' vocabulary by which it was measured; empty for an own check.
    """

    rule: str
    judge: Judge
    book: str
    edition: str = ""
    clause: str = ""
    title: str
    verdict: Verdict
    measured: Value | None = None
    limit: str = ""
    where: Location = Location()
    known: Known
    why: str = ""
    advice: str = ""
    measure: str = ""

    def __post_init__(self) -> None:
        if self.verdict in _NEVER.get(self.known, ()):
            raise ValueError(f"{self.rule}: a figure {_HOW[self.known]} gives no '{self.verdict}'")


_NEVER: Mapping[Known, tuple[Verdict, ...]] = MappingProxyType({
    "remembered": ("pass", "fail"), "restated once": ("pass",),
})  # fmt: skip
_HOW: Mapping[Known, str] = MappingProxyType({"remembered": "from memory", "restated once": "restated once"})


def known_by(certainty: Certainty, confirmed: str = "") -> Known:
    """How a figure is known; ``confirmed`` names the second source of one that is restated."""
    return "restated" if certainty == "second-hand" and confirmed else KNOWN[certainty]


def doubt_of(kept: bool | None, known: Known) -> str:
    """What a verdict by such a figure has to say of it; empty where nothing."""
    if known == "remembered":
        return UNREAD
    if known == "restated once" and kept is not None:
        return RESTATED_KEPT if kept else RESTATED_BROKEN
    return ""


def verdict_of(kept: bool | None, judge: Judge, known: Known) -> Verdict:
    """The verdict on a limit that is kept, broken, or (None) cannot be told, as far as its source carries."""
    if kept is None:
        return "cannot tell"
    if known == "remembered":
        return "looks kept" if kept else ("looks broken" if judge == "by the book" else "look at")
    if kept and known == "restated once":
        return "looks kept"
    return "pass" if kept else "fail"


def said_verdict(verdict: Verdict, judge: Judge) -> str:
    """What it is called: a rule book's ``fail`` or ``pass``, an own check's ``problem`` or ``fine``."""
    return verdict if judge == "by the book" else OWN_WORDS.get(verdict, verdict)


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings in the order of ``WORST_FIRST``; as they came within a verdict."""
    return tuple(sorted(findings, key=lambda f: WORST_FIRST.index(f.verdict)))


def tally(findings: Iterable[Finding]) -> dict[Judge, dict[Verdict, int]]:
    """How many findings of each verdict, the books' and the own checks' apart."""
    found = Counter((f.judge, f.verdict) for f in findings)
    return {judge: {verdict: found[judge, verdict] for verdict in WORST_FIRST} for judge in get_args(Judge)}


def stamp(findings: Iterable[Finding]) -> str:
    """The strip for every sheet: ``rule books: 2 fail, 1 looks broken; own checks: 3 problems``."""
    counts = tally(findings)
    return f"rule books: {strip(counts, 'by the book')}; own checks: {strip(counts, 'own check')}"


def strip(counts: Mapping[Judge, Mapping[Verdict, int]], judge: Judge) -> str:
    """What one judge found that is to be acted on, counted; the worst also where there is none of it."""
    mine = counts[judge]
    if not any(mine.values()):
        return "none checked"
    fails = mine["fail"]
    first = f"{fails} fail" if judge == "by the book" else f"{fails} problem{'' if fails == 1 else 's'}"
    words: dict[Verdict, str] = {
        "looks broken": "looks broken" if mine["looks broken"] == 1 else "look broken",
        "look at": "to look at",
        "cannot tell": "you must supply",
    }
    return ", ".join([
        first,
        *(f"{mine[verdict]} {word}" for verdict, word in words.items() if mine[verdict]),
    ])


def any_failed(findings: Iterable[Finding]) -> bool:
    """True where any finding is a fail: the run ends with exit code 1."""
    return any(f.verdict == "fail" for f in findings)
