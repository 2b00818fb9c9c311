"""A hold point as a paper: what is asked before the act, ticked where the record shows it, to be signed."""

from __future__ import annotations

from cagewright.base.sheet import Column, Sheet, Table
from cagewright.job.hold import HoldAnswer

BOX, SHOWN = "☐", "✓"
ROOM = "\u00a0"
"""Keeps a cell as wide as what is to be written in it."""


def hold_sheet(answer: HoldAnswer) -> Sheet:
    """The paper of a hold point: open lines first, then the rest, what no torch gets to, and who goes on."""
    lines = sorted(answer.lines, key=lambda line: line.line is not None)
    rows = tuple(
        (line.words, SHOWN if line.line else BOX, f"line {line.line}" if line.line else "open", ROOM * 24)
        for line in lines
    )
    unreached = tuple((words, BOX) for words in (*answer.strange, *answer.unreached))
    tables = (
        _table("What has to be done, ticked and read", ("what", "", "record", "by, on"), rows),
        _table("To know before", ("what", "seen"), unreached),
        _table(
            "Who goes on",
            ("name", "date", "reason, where lines are open"),
            ((ROOM * 24, ROOM * 14, ROOM * 44),) * 2,
        ),
    )
    return Sheet(
        name=f"hold_{answer.act.replace('-', '_')}",
        title=f"Before {answer.before}: {answer.headline}",
        kind="fit-up",
        tables=tuple(table for table in tables if table.rows),
        drawings=(),
        notes=(*answer.cautions, f"{answer.against}.".capitalize()),
    )


def _table(title: str, heads: tuple[str, ...], rows: tuple[tuple[str, ...], ...]) -> Table:
    return Table(title=title, columns=tuple(Column(head=head) for head in heads), rows=rows)
