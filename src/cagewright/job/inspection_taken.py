"""What was read on a finished car, from a file or from the shop's record, judged by the rows of a book."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cagewright.base.problems import Problem, ProblemsFound, Where, nearest_word
from cagewright.base.units import QuantityError
from cagewright.check.inspected import Inspected, inspected, unit_of, wanted_of
from cagewright.check.rules import Book, Rule
from cagewright.plan.source import where_at
from cagewright.plan.text import decoded, parse, read_bytes
from cagewright.records.types import RecordEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class RowTaken:
    """A reading of one row, judged.

    Attributes:
        read: what it says and its verdict.
        by: who took it; empty where a file does not say.
        at: when.
        line: its number in the record; 0 for a file's.
    """

    read: Inspected
    by: str = ""
    at: str = ""
    line: int = 0


def in_file(book: Book, path: Path) -> Mapping[str, RowTaken]:
    """The file's readings by row, judged.

    Raises:
        ProblemsFound: every reading that is of the wrong kind or of no row of the book, with line and word.
    """
    raw = read_bytes(path, file=path.as_posix())
    text = raw if isinstance(raw, Problem) else decoded(raw, file=path.as_posix())
    if isinstance(text, Problem):
        raise ProblemsFound([text])
    source = parse(text, file=path.as_posix())
    if source.problems:
        raise ProblemsFound(source.problems)
    entered = source.data.get("readings")
    if not isinstance(entered, dict):
        where = Where(file=path.as_posix())
        found, wanted = "there are no readings", "wanted 'readings:' with the rows' names under it"
        raise ProblemsFound([Problem(code="no-readings", where=where, found=found, wanted=wanted)])
    taken: dict[str, RowTaken] = {}
    problems: list[Problem] = []
    for name, value in entered.items():
        read = _judged(book, name, value, where_at(source, ("readings", name)))
        if isinstance(read, Problem):
            problems.append(read)
        else:
            taken[name] = RowTaken(read=read)
    if problems:
        raise ProblemsFound(problems)
    return taken


def in_record(book: Book, lines: Iterable[RecordEntry]) -> Mapping[str, RowTaken]:
    """The newest reading of each row that stands in the record, judged by the book as it is now.

    Args:
        book: the one it was read for.
        lines: of the job's history, those that stand, oldest first.
    """
    taken: dict[str, RowTaken] = {}
    for line in lines:
        if line.kind != "inspection" or not line.used or line.other != book.id:
            continue
        read = _judged(book, line.subject, line.text, Where(file=book.id))
        if not isinstance(read, Problem):  # the book has another row by now: what was read is in the history
            taken[line.subject] = RowTaken(read=read, by=line.by, at=line.taken, line=line.id)
    return taken


def to_keep(book: Book, row: str, text: str, *, inches: bool) -> str:
    """The reading as the record keeps it, with its unit.

    Args:
        book: whose row it is.
        row: the row's id.
        text: as typed; a bare figure is in the tape's own unit.
        inches: what the shop's tape is in.

    Raises:
        ProblemsFound: there is no such row, or the reading is of another kind than it.
    """
    rule = next((rule for rule in book.rules if rule.id == row), None)
    unit = unit_of(rule, inches=inches) if rule else ""
    whole = f"{text.strip()} {unit}" if unit and text.strip()[-1:].isdigit() else text.strip()
    read = _judged(book, row, whole, Where(file=book.id))
    if isinstance(read, Problem):
        raise ProblemsFound([read])
    return whole


def _judged(book: Book, row: str, value: Any, where: Where) -> Inspected | Problem:
    rules: Mapping[str, Rule] = {rule.id: rule for rule in book.rules}
    if row not in rules:
        found, wanted = f"'{row}' is no row of {book.id}", "wanted a row's name as on the sheet"
        near = nearest_word(row, rules)
        return Problem(code="no-row", where=where, found=found, wanted=wanted, nearest=near)
    try:
        return inspected(rules[row], value)
    except QuantityError as wrong:
        wanted = f"wanted {wanted_of(rules[row])}"
        return Problem(
            code="bad-reading", where=where, found=f"{row} is read as '{value}': {wrong}", wanted=wanted
        )
