"""Whole copies of an SQLite file, taken while benches go on writing."""

from __future__ import annotations

import contextlib
import os
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from cagewright.base.files import part_beside, settle

PAGES = 256
"""Pages copied at a time; between the times other benches may write."""


def copy_aside(path: Path, why: str) -> Path:
    """A copy of the record beside it, named by ``why`` and the time; where it was put."""
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%fZ")
    beside = path.with_name(f"{path.stem}.{why}.{stamp}{path.suffix}")
    copy_whole(path, beside)
    return beside


def copy_whole(source: Path, target: Path) -> None:
    """One file that holds all that was committed in ``source``, forced to the disk, put in place in one go.

    Args:
        source: an SQLite file, which others may be writing to.
        target: the copy; a file that is there is replaced.
    """
    handle, beside = part_beside(target)
    os.close(handle)
    try:
        pour(source, Path(beside))
        with closing(sqlite3.connect(beside)) as raw:
            raw.execute("PRAGMA journal_mode=DELETE")  # so that the copy is one file by itself
        settle(Path(beside))
        os.replace(beside, target)
        settle(target.parent)
    except BaseException:
        for left in (beside, f"{beside}-journal", f"{beside}-wal", f"{beside}-shm"):
            with contextlib.suppress(OSError):
                os.unlink(left)
        raise


def pour(source: Path, target: Path) -> None:
    """Put all that ``source`` holds into ``target``, as one change: others see it whole or not at all."""
    with (
        closing(sqlite3.connect(source, timeout=30.0)) as old,
        closing(sqlite3.connect(target, timeout=30.0)) as new,
    ):
        old.backup(new, pages=PAGES)
