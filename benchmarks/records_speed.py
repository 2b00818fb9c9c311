"""Writing, opening and rescuing the record beside plain SQLite in the same run.

Run: ``python benchmarks/records_speed.py``. The peer of a write is one INSERT by the sqlite3 module, with the
same settings (WAL, synchronous FULL); that of opening SQLite's own ``PRAGMA quick_check`` of the same file;
that of rescuing its ``SELECT *``. Growth is shown for 500 to 8000 readings.
"""

from __future__ import annotations

import sqlite3
import statistics
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from cagewright.records.entries import Hand, add_reading
from cagewright.records.integrity import health
from cagewright.records.jobs import new_job
from cagewright.records.opening import Record, opened, writing
from cagewright.records.rescuing import rescue
from cagewright.records.rows import append
from cagewright.records.tables import entries

HAND = Hand(by="bench")


def seconds(work: Callable[[], object], times: int) -> float:
    """The median time of one run."""
    taken: list[float] = []
    for _ in range(times):
        began = time.perf_counter()
        work()
        taken.append(time.perf_counter() - began)
    return statistics.median(taken)


def plain(folder: Path) -> float:
    """One committed INSERT by the sqlite3 module."""
    with closing(sqlite3.connect(folder / "plain.sqlite", isolation_level=None)) as raw:
        raw.execute("PRAGMA journal_mode=WAL")
        raw.execute("PRAGMA synchronous=FULL")
        raw.execute("CREATE TABLE entries (id INTEGER PRIMARY KEY, a, b, c, d, e, f)")
        row = ("a", "b", "1032.5", "mm", 1032.5, "2026-03-01T09:30:00.000Z")
        return seconds(
            lambda: raw.execute("INSERT INTO entries (a, b, c, d, e, f) VALUES (?,?,?,?,?,?)", row), 200
        )


def fill(record: Record, count: int, job: str) -> None:
    """Many readings in one transaction, which the commands never do."""
    with writing(record) as connection:
        for number in range(count):
            append(connection, entries, {
                "job_uid": job, "revision_uid": None, "corrects_uid": None, "kind": "reading", "step": "1",
                "subject": "a", "other": f"k{number}", "text": "1000", "unit": "mm", "sort": "tape",
                "axis": "", "value": 1000.0, "used": True, "why": "", "note": "", "by": "bench", "taken": "",
            })  # fmt: skip


def select_all(path: Path) -> None:
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("SELECT * FROM entries").fetchall()


def quick(path: Path) -> None:
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("PRAGMA quick_check").fetchall()


def open_only(path: Path) -> None:
    with opened(path):
        pass


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        path = folder / "record.sqlite"
        peer = plain(folder)
        with opened(path, create=True) as record:
            job = new_job(record, "J", by="bench").uid
            ours = seconds(lambda: add_reading(record, "J", ("a", "b"), "1032.5", hand=HAND), 200)
            print(f"a reading: {ours * 1e3:.2f} ms, {ours / peer:.1f} x a bare INSERT ({peer * 1e3:.2f} ms)")
            print("readings  open ms x quick_check  check ms rescue ms x SELECT")
            have = 200
            for count in (500, 2000, 8000):
                fill(record, count - have, job)
                have = count
                looked, opening = seconds(lambda: quick(path), 5), seconds(lambda: open_only(path), 5)
                checked, read = seconds(lambda: health(record), 3), seconds(lambda: rescue(path), 3)
                ratio = read / seconds(lambda: select_all(path), 5)
                print(
                    f"{count:8d} {opening * 1e3:8.1f} {opening / looked:13.1f} {checked * 1e3:9.1f}"
                    f" {read * 1e3:9.1f} {ratio:8.1f}"
                )


if __name__ == "__main__":
    main()
