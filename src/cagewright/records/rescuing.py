"""What can still be read of a damaged record: row by row through the database, then from the bare pages."""

from __future__ import annotations

import contextlib
import json
import sqlite3
from collections.abc import Generator, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

from cagewright.base.files import write_atomically
from cagewright.records.hashing import row_hash
from cagewright.records.pages import rows_in
from cagewright.records.tables import TABLES
from cagewright.records.types import Rescued

GAP = 2000
"""A walk along a table whose end is not known stops after this many numbers without a row."""


def rescue(path: Path) -> Rescued:
    """The rows that can be read from an SQLite file, damaged or not; the file is not written to.

    Rows are read one by one through the database where it opens, else straight from the file's pages.

    Args:
        path: the file.
    """
    found: dict[str, dict[int, dict[str, object]]] = {name: {} for name in TABLES}
    ends: dict[str, int] = {}
    for name in TABLES:
        ends[name] = _end(path, name)
        found[name] = dict(_walk(path, name, ends[name]))
    for name, row in rows_in(path):
        number = row["id"]
        if isinstance(number, int):
            found[name].setdefault(number, row)
    rows = {name: tuple(found[name][n] for n in sorted(found[name])) for name in TABLES}
    return Rescued(
        rows=rows,
        sealed={name: sum(_fits(row) for row in rows[name]) for name in TABLES},
        lost={name: max(0, ends[name] - len(rows[name])) for name in TABLES},
    )


def _fits(row: dict[str, object]) -> bool:
    with contextlib.suppress(TypeError, UnicodeError):
        return row_hash(row) == row.get("seal")
    return False


@contextlib.contextmanager
def _looking(path: Path) -> Generator[sqlite3.Connection]:
    with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, timeout=5.0)) as raw:
        raw.row_factory = sqlite3.Row
        yield raw


def _end(path: Path, table: str) -> int:
    """The highest row number that was given out; 0 where that cannot be read."""
    ends = [0]
    for asked in (
        f"SELECT seq FROM sqlite_sequence WHERE name = '{table}'",
        f"SELECT max(rowid) FROM {table}",
    ):
        with contextlib.suppress(sqlite3.DatabaseError, OverflowError, UnicodeError), _looking(path) as raw:
            got: Any = raw.execute(asked).fetchone()
            ends.append(got[0] if got and isinstance(got[0], int) and 0 < got[0] < 10_000_000 else 0)
    return max(ends)


def _walk(path: Path, table: str, end: int) -> Iterator[tuple[int, dict[str, object]]]:
    """Each row that can be read by its number; where one cannot, the next is tried."""
    number, missed = 0, 0
    with contextlib.suppress(sqlite3.DatabaseError, UnicodeError), _looking(path) as raw:
        while number < end or (not end and missed < GAP):
            number += 1
            row: Any = None
            with contextlib.suppress(sqlite3.DatabaseError, UnicodeError):
                row = raw.execute(f"SELECT * FROM {table} NOT INDEXED WHERE rowid = ?", (number,)).fetchone()
            missed = 0 if row is not None else missed + 1
            if row is not None:
                yield number, dict(row)


def write_rescued(found: Rescued, target: Path) -> Path:
    """The file of JSON lines with every row that could be read, its table, and whether its seal fits.

    Raises:
        ProblemsFound: the file cannot be written.
    """
    lines = [
        json.dumps({"table": name, "sealed": _fits(row), **row}, ensure_ascii=True, default=str)
        for name, rows in found.rows.items()
        for row in rows
    ]
    write_atomically(target, ("\n".join(lines) + "\n").encode("ascii"))
    return target


def can_be_read(path: Path) -> str:
    """How much can be read, in words, e.g. ``1 jobs, 2 revisions, 199 entries, 0 moves``."""
    return ", ".join(f"{len(rows)} {name}" for name, rows in rescue(path).rows.items())
