"""Rows read straight from the pages, held to files that SQLite itself writes: every length and page size."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from cagewright.records.pages import _varint, rows_in
from cagewright.records.tables import TABLES

COLUMNS = [c.name for c in TABLES["jobs"].columns]


def table(path: Path, titles: list[str], page: int, numbers: list[int]) -> None:
    """A table with the columns of ``jobs``, written by SQLite alone."""
    with closing(sqlite3.connect(path)) as raw:
        raw.execute(f"PRAGMA page_size={page}")
        rest = ", ".join(f"{name} TEXT DEFAULT ''" for name in COLUMNS[1:])
        raw.execute(f"CREATE TABLE jobs (id INTEGER PRIMARY KEY, {rest})")
        with raw:
            raw.executemany(
                "INSERT INTO jobs (id, uid, name, title) VALUES (?, ?, 'n', ?)",
                [
                    (number, f"{i:032x}", title)
                    for i, (number, title) in enumerate(zip(numbers, titles, strict=True))
                ],
            )


@pytest.mark.parametrize("page", [512, 4096, 32768])
def test_every_length_of_row_is_read(tmp_path: Path, page: int):
    """Lengths round the point where a row no longer fits its page, and over several overflow pages."""
    near = [page + step for step in range(-130, 20)]
    titles = ["x" * n for n in (0, 1, 127, 128, *near, 3 * page, 9 * page + 7)]
    table(tmp_path / "r.sqlite", titles, page, list(range(1, len(titles) + 1)))
    found = {row["id"]: row["title"] for name, row in rows_in(tmp_path / "r.sqlite") if name == "jobs"}
    assert found == dict(enumerate(titles, start=1))


def test_every_size_of_number_is_read(tmp_path: Path):
    numbers = [1, 127, 128, 2**14, 2**21, 2**28, 2**35, 2**42, 2**49, 2**56, 2**56 + 255, 2**62]
    table(tmp_path / "r.sqlite", ["t"] * len(numbers), 4096, numbers)
    assert [row["id"] for _, row in rows_in(tmp_path / "r.sqlite")] == numbers


def test_the_longest_number_takes_nine_bytes():
    # file format 1.6: eight bytes give seven bits each, the ninth all eight
    assert _varint(b"\xff" * 9, 0) == (2**64 - 1, 9)
    assert _varint(b"\x81\x00", 0) == (128, 2)


def test_other_tables_are_left_alone(tmp_path: Path):
    with closing(sqlite3.connect(tmp_path / "r.sqlite")) as raw, raw:
        raw.execute("CREATE TABLE letters (a, b, c, d)")
        raw.execute("INSERT INTO letters VALUES (NULL, 'x', 'y', 'z')")
    assert list(rows_in(tmp_path / "r.sqlite")) == []
    assert list(rows_in(tmp_path / "none")) == []
