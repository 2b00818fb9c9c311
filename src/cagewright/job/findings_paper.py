"""The findings as a paper: the answer's rows in a table for each verdict, and small pictures of where."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from cagewright.base.drawing import Drawing
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.check.findings import WORST_FIRST, Verdict
from cagewright.job.findings import FindingRow, FindingsAnswer
from cagewright.make.views import cage_view
from cagewright.shape.types import Cage

MOST_NAMES = 5
"""More names than this are folded on paper; the tables in CSV and JSON name all."""
HEADS: dict[Verdict, str] = {
    "fail": "Fails",
    "looks broken": "Looks broken, by figures from memory: read the book",
    "look at": "To look at",
    "cannot tell": "Cannot tell",
    "looks kept": "Looks kept, by figures from memory: read the book",
    "pass": "Passes",
    "does not apply": "Does not apply",
}
"""The title of each verdict's table."""
BY: dict[str, str] = {"by the book": "rule books", "own check": "own checks"}


def findings_sheet(cage: Cage, answer: FindingsAnswer, *, fold: bool = True) -> Sheet:
    """The paper of the findings, rule books first in each verdict's tables.

    Args:
        cage: what was checked.
        answer: of every book and check.
        fold: name a few places of many and count the rest.
    """
    return Sheet(
        name="findings",
        title=f"Findings: {answer.headline}",
        kind="findings",
        tables=tuple(findings_tables(answer, fold=fold)),
        drawings=pictures(cage, answer) if fold else (),
        notes=(*answer.cautions, f"{answer.title}, revision {answer.revision}."),
    )


MOST_PICTURES = 6
PICTURE = (84.0, 62.0)
"""Width and height of a small picture, mm: three beside each other on a page turned on its side."""


def pictures(cage: Cage, answer: FindingsAnswer) -> tuple[Drawing, ...]:
    """Small pictures of where: the tubes of each rule that is broken or is to be looked at, drawn heavy."""
    groups: dict[tuple[str, str], list[FindingRow]] = {}
    for row in answer.rows:
        if row.verdict in {"fail", "looks broken", "look at"} and row.where.tubes:
            groups.setdefault((row.book, row.rule), []).append(row)
    return tuple(_picture(cage, group) for group in list(groups.values())[:MOST_PICTURES])


def _picture(cage: Cage, group: list[FindingRow]) -> Drawing:
    names = tuple(dict.fromkeys(name for row in group for name in row.where.tubes))
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


def findings_tables(answer: FindingsAnswer, *, fold: bool) -> Iterable[Table]:
    """A table for each verdict and judge that has findings, the worst first."""
    for verdict in WORST_FIRST:
        for judge, by in BY.items():
            taken = [row for row in answer.rows if (row.verdict, row.judge) == (verdict, judge)]
            if taken:
                yield _table(f"{HEADS[verdict]} ({by})", taken, fold=fold)


def _table(title: str, rows: Iterable[FindingRow], *, fold: bool) -> Table:
    """A row for each clause and reading: the places that share it stand together."""
    together: dict[tuple[str, ...], list[str]] = {}
    for row in rows:
        said = " / ".join(part for part in (row.measured.said if row.measured else "", row.limit) if part)
        todo = "; ".join(part for part in (row.why, row.advice) if part)
        together.setdefault((row.source, row.title, said, todo), []).append(row.where.words)
    made = [(*key[:3], places_of(places, fold=fold), key[3]) for key, places in together.items()]
    heads = ["clause", "what it asks", "measured", "where"]
    heads += ["what to do"] if any(row[4] for row in made) else []
    cells = tuple(tuple(cell or "–" for cell in row[: len(heads)]) for row in made)
    return Table(title=title, columns=tuple(Column(head=h) for h in heads), rows=cells)


def places_of(places: Iterable[str], *, fold: bool) -> str:
    """The places in words; of many, the first few and how many more."""
    names = list(dict.fromkeys(name for place in places for name in place.split(", ")))
    if not fold or len(names) <= MOST_NAMES:
        return ", ".join(names)
    few = MOST_NAMES - 2
    return f"{', '.join(names[:few])} and {len(names) - few} more"
