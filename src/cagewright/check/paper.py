"""Findings as a paper: fails, warnings, what cannot be told, passes; each with its clause and place."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from cagewright.base.drawing import Drawing
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.check.findings import CAUTION, Finding, by_clause, stamp, worst_first
from cagewright.make.views import cage_view
from cagewright.shape.types import Cage

MOST_NAMES = 5
"""More names than this are folded on paper; the tables in CSV and JSON name all."""

Group = tuple[str, Callable[[Finding], bool]]
GROUPS: tuple[Group, ...] = (
    ("Fails", lambda f: f.verdict == "fail"),
    ("Looks broken, by figures from memory: read the book", lambda f: f.verdict == "looks broken"),
    ("To look at", lambda f: f.verdict == "look at"),
    ("Cannot tell", lambda f: f.verdict == "cannot tell"),
    ("Looks kept, by figures from memory: read the book", lambda f: f.verdict == "looks kept"),
    ("Passes", lambda f: f.verdict == "pass"),
    ("Does not apply", lambda f: f.verdict == "does not apply"),
)
"""The tables of the paper in order; a finding stands in the first that takes it."""


def findings_sheet(cage: Cage, findings: Iterable[Finding], *, fold: bool = True) -> Sheet:
    """The paper of the findings, a table for each kind of verdict.

    Args:
        cage: what was checked.
        findings: of every book and check.
        fold: name a few places of many and count the rest.
    """
    found = tuple(findings)
    return Sheet(
        name="findings",
        title=f"Findings: {stamp(found)}",
        kind="findings",
        tables=tuple(_tables(found, fold=fold)),
        drawings=pictures(cage, found) if fold else (),
        notes=(CAUTION, f"{cage.title}, revision {cage.revision}."),
    )


MOST_PICTURES = 6
PICTURE = (84.0, 62.0)
"""Width and height of a small picture, mm: three beside each other on a page turned on its side."""


def pictures(cage: Cage, findings: Iterable[Finding]) -> tuple[Drawing, ...]:
    """Small pictures of where: the tubes of each rule that is broken or is to be looked at, drawn heavy."""
    groups: dict[tuple[str, str], list[Finding]] = {}
    for f in worst_first(findings):
        if f.verdict in {"fail", "looks broken", "look at"} and tubes_of(cage, f):
            groups.setdefault((f.book, f.rule), []).append(f)
    return tuple(_picture(cage, group) for group in list(groups.values())[:MOST_PICTURES])


def _picture(cage: Cage, group: list[Finding]) -> Drawing:
    names = tuple(dict.fromkeys(name for f in group for name in tubes_of(cage, f)))
    fails = group[0].verdict == "fail"
    view = cage_view(
        cage,
        "three-quarter",
        box=PICTURE,
        numbers=False,
        caption=False,
        selected=() if fails else names,
        wrong=names if fails else (),
    )
    return replace(view, name=f"where_{group[0].rule}", title=f"{group[0].verdict}: {group[0].title}")


def tubes_of(cage: Cage, finding: Finding) -> tuple[str, ...]:
    """The tubes a finding is about: those it names, the branches of its joints, and those on its feet."""
    spot = finding.where
    branches = (name.split(".")[0] for name in spot.joints)
    landed = (m for foot in cage.feet if foot.name in spot.feet for m in foot.members)
    known = {m.name for m in cage.members}
    return tuple(name for name in dict.fromkeys((*spot.members, *branches, *landed)) if name in known)


def _tables(findings: tuple[Finding, ...], *, fold: bool) -> Iterable[Table]:
    left = findings
    for title, takes in GROUPS:
        taken = [f for f in left if takes(f)]
        left = tuple(f for f in left if not takes(f))
        if taken:
            yield _table(title, taken, fold=fold)


def _table(title: str, findings: list[Finding], *, fold: bool) -> Table:
    rows = _rows(findings, fold=fold)
    heads = ["clause", "what it asks", "measured", "where"]
    if any(row[4] for row in rows):
        heads.append("what to do")
    cells = tuple(tuple(cell or "–" for cell in row[: len(heads)]) for row in rows)
    return Table(title=title, columns=tuple(Column(head=h) for h in heads), rows=cells)


def _rows(findings: Iterable[Finding], *, fold: bool) -> list[tuple[str, ...]]:
    """A row for each clause and reading: the places that share it stand together."""
    rows: list[tuple[str, ...]] = []
    for (book, clause), group in by_clause(findings).items():
        together: dict[tuple[str, ...], list[str]] = {}
        for f in group:
            said = " / ".join(part for part in (f.measured.text if f.measured else "", f.limit) if part)
            todo = "; ".join(part for part in (f.why, f.advice) if part)
            together.setdefault((_clause(book, clause), f.title, said, todo), []).append(str(f.where))
        rows += [(*key[:3], places_of(places, fold=fold), key[3]) for key, places in together.items()]
    return rows


def _clause(book: str, clause: str) -> str:
    return clause if book == clause else f"{clause} ({book})"


def places_of(places: Iterable[str], *, fold: bool) -> str:
    """The places in words; of many, the first few and how many more."""
    names = list(dict.fromkeys(name for place in places for name in place.split(", ")))
    if not fold or len(names) <= MOST_NAMES:
        return ", ".join(names)
    few = MOST_NAMES - 2
    return f"{', '.join(names[:few])} and {len(names) - few} more"
