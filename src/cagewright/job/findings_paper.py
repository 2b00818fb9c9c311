"""The findings as a paper: the answer's rows in a table for each verdict, and small pictures of where."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from cagewright.base.drawing import Drawing
from cagewright.base.names import paired
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.check.body.near_driver import PADDED
from cagewright.check.findings import WORST_FIRST, Verdict
from cagewright.check.torch.findings import ACCESS
from cagewright.job.findings import FindingRow, FindingsAnswer
from cagewright.job.padding import Padding, stretches_of
from cagewright.make.views import cage_view
from cagewright.shape.types import Cage

MOST_NAMES = 5
"""More names than this are folded on paper; the tables in CSV and JSON name all."""
HEADS: dict[Verdict, str] = {
    "fail": "Fails",
    "looks broken": "Looks broken: read the book",
    "look at": "To look at",
    "cannot tell": "Cannot tell",
    "looks kept": "Looks kept: read the book",
    "pass": "Passes",
    "does not apply": "Does not apply",
}
"""The title of each verdict's table."""
OWN_HEADS: dict[Verdict, str] = {"fail": "Problems", "looks kept": "Fine, by common practice", "pass": "Fine"}
"""The same of an own check, where it is called otherwise."""
BY: dict[str, str] = {"by the book": "rule books", "own check": "own checks"}


def findings_sheet(cage: Cage, answer: FindingsAnswer) -> Sheet:
    """The paper to work from: what to do with a box for each, and the padding list."""
    padding = answer.padding
    view = None
    if padding and padding.rows:
        padded = stretches_of(padding)
        view = cage_view(cage, "three-quarter", box=PICTURE, numbers=False, caption=False, padded=padded)
        view = replace(view, name="where_padding", title="Padding, the heavy lines")
    pads = (padding_table(padding),) if padding and padding.rows else ()
    return Sheet(
        name="findings",
        title=f"Findings: {answer.headline}",
        kind="findings",
        tables=(actions_table(answer), *pads),
        drawings=(view,) if view else (),
        notes=(*answer.cautions, f"{answer.title}, revision {answer.revision}."),
    )


def every_finding_sheet(cage: Cage, answer: FindingsAnswer, *, fold: bool = True) -> Sheet:
    """The paper of every finding: a tick for each clause, then each verdict's tables, rule books first.

    Args:
        cage: what was checked.
        answer: of every book and check.
        fold: name a few places of many and count the rest.
    """
    return Sheet(
        name="every_finding",
        title=f"Every finding: {answer.headline}",
        kind="every finding",
        tables=(ticks_table(answer), *findings_tables(answer, fold=fold, padding=not fold)),
        drawings=pictures(cage, answer) if fold else (),
        notes=(*answer.cautions, f"{answer.title}, revision {answer.revision}."),
    )


BOX = "☐"


def actions_table(answer: FindingsAnswer) -> Table:
    """What to do, numbered as on screen, with a box to tick."""
    heads = ("No", "what to do", "found", "why", "done")
    rows = tuple(
        (str(n), a.words, a.said + (" (own)" if a.judge == "own check" else ""), a.why, BOX)
        for n, a in enumerate(answer.actions, start=1)
    )
    return Table(title="What to do, the costliest first", columns=tuple(map(_column, heads)), rows=rows)


def padding_table(padding: Padding) -> Table:
    """The padding list, tube by tube."""
    heads = ("tube", "from its start", "to", "in reach", "kind", "asked by", "to buy", "fitted")
    rows = tuple(
        (r.shown, r.start.said, r.stop.said, r.reach, r.kind, r.asked, r.length.said, BOX)
        for r in padding.rows
    )
    return Table(title=f"Padding: {padding.words}", columns=tuple(map(_column, heads)), rows=rows)


def ticks_table(answer: FindingsAnswer) -> Table:
    """A line for each clause of the rule books with the worst that was found by it, and a box to tick."""
    clauses: dict[tuple[str, str, str], list[FindingRow]] = {}
    for row in answer.rows:
        if row.judge == "by the book":
            clauses.setdefault((row.book, row.clause, row.title), []).append(row)
    order = sorted(clauses.items(), key=lambda one: one[0][:2])
    rows = tuple(
        (source, title, min(found, key=lambda r: WORST_FIRST.index(r.verdict)).said, BOX)
        for (_, source, title), found in order
    )
    heads = ("clause", "what it asks", "found", "seen")
    return Table(title="Clause by clause", columns=tuple(map(_column, heads)), rows=rows)


def _column(head: str) -> Column:
    return Column(head=head)


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
    return replace(view, name=f"where_{group[0].rule}", title=f"{group[0].said}: {group[0].title}")


def findings_tables(answer: FindingsAnswer, *, fold: bool, padding: bool = True) -> Iterable[Table]:
    """A table for each verdict and judge that has findings, the worst first.

    Folded, it has a line for each clause, with its readings one below the other; else one for each finding.

    Args:
        answer: of every book and check.
        fold: name a few places of many and count the rest.
        padding: say what is to be padded tube by tube, also where the padding list stands beside it.
    """
    numbers = {name: n for n, action in enumerate(answer.actions, start=1) for name in action.findings}
    for verdict in WORST_FIRST:
        for judge, by in BY.items():
            taken = [row for row in answer.rows if (row.verdict, row.judge) == (verdict, judge)]
            if taken:
                own = OWN_HEADS.get(verdict, HEADS[verdict]) if judge == "own check" else HEADS[verdict]
                made = _folded(taken, numbers, padding=padding) if fold else _each(taken)
                yield _filled(f"{own} ({by})", made)


_HEADS = ("clause", "what it asks", "wanted", "found", "why", "what to do")
_WHERE = "the cage"
"""What a finding is of that is not of one tube, joint or foot: it goes without saying."""


def _each(rows: Iterable[FindingRow]) -> Iterable[tuple[str, ...]]:
    for r in rows:
        yield r.source, r.title, r.limit, _found((r,), fold=False), r.why, r.advice


def _folded(
    rows: Iterable[FindingRow], numbers: Mapping[str, int], *, padding: bool
) -> Iterable[tuple[str, ...]]:
    clauses: dict[tuple[str, str, str], list[FindingRow]] = {}
    for row in rows:
        clauses.setdefault((row.source, row.title, row.limit), []).append(row)
    for key, found in clauses.items():
        whys = dict.fromkeys(part for row in found for part in row.why.split("; ") if part)
        listed = found[0].rule == PADDED and not padding
        where = f"{len(found)} tubes: the padding list says where" if listed else _found(found, fold=True)
        yield *key, where, "; ".join(whys), _to_do(found, numbers)


def _found(rows: Iterable[FindingRow], *, fold: bool) -> str:
    """What was measured, with where: a line for each reading, the places that share it together."""
    readings: dict[str, list[str]] = {}
    for row in rows:
        readings.setdefault(row.measured.said if row.measured else "", []).append(row.where.words)
    lines: list[str] = []
    for said, places in readings.items():
        names = {name for place in places for name in place.split(", ")}
        told = names == {_WHERE} or all(name in said for name in names)
        lines.append(": ".join(part for part in ("" if told else places_of(places, fold=fold), said) if part))
    return "\n".join(line for line in lines if line)


def _to_do(rows: Sequence[FindingRow], numbers: Mapping[str, int]) -> str:
    """The number under which it stands in what to do; an advice that differs from place to place as it is."""
    asked = [row for row in rows if row.advice or row.id in numbers]
    if not asked:
        return ""
    number = ", ".join(str(n) for n in sorted({numbers[row.id] for row in asked if row.id in numbers}))
    lines = [f"{row.where.words}: {row.advice}" for row in asked if row.rule == ACCESS]
    return "\n".join([f"see no. {number}" if number else "", *lines]).strip()


def _filled(title: str, rows: Iterable[tuple[str, ...]]) -> Table:
    """A table without the columns that are empty all the way down."""
    made = list(rows)
    kept = [at for at, head in enumerate(_HEADS) if head == _HEADS[0] or any(row[at] for row in made)]
    cells = tuple(tuple(row[at] or "–" for at in kept) for row in made)
    return Table(title=title, columns=tuple(_column(_HEADS[at]) for at in kept), rows=cells)


def places_of(places: Iterable[str], *, fold: bool) -> str:
    """The places in words; of many, both sides of one as one, the first few and how many more."""
    names = list(dict.fromkeys(name for place in places for name in place.split(", ")))
    if not fold:
        return ", ".join(names)
    if len(paired(names)) <= MOST_NAMES:
        return ", ".join(paired(names))
    few = max(n for n in range(len(names)) if len(paired(names[:n])) <= MOST_NAMES - 2)
    return f"{', '.join(paired(names[:few]))} and {len(names) - few} more"
