"""Backup and restore of a record in an SQLite file."""

from __future__ import annotations

import contextlib
import os
import sqlite3
from contextlib import closing
from pathlib import Path

from cagewright.base.files import cannot_write
from cagewright.base.problems import ProblemsFound
from cagewright.records.copying import copy_aside, copy_whole, pour
from cagewright.records.opening import Record, quick_faults
from cagewright.records.tables import VERSIONS
from cagewright.records.troubles import in_words, problem


def back_up(record: Record, target: Path, *, replace: bool = False) -> Path:
    """The backup: one file with all that was committed, read back and found sound.

    Benches may go on writing meanwhile.

    Args:
        record: open.
        target: the backup's file.
        replace: an older file there may be replaced.

    Raises:
        ProblemsFound: the record is a server's, the file is there already, or cannot be written.
    """
    if record.path is None:
        wanted = "wanted the server's own backup: pg_dump of its database"
        raise ProblemsFound([
            problem("not-a-file", record.name, "the record is in a database server", wanted)
        ])
    _free(target, record.path, replace=replace)
    try:
        with in_words(target.as_posix()):
            copy_whole(record.path, target)
    except OSError as wrong:
        raise ProblemsFound([cannot_write(target, wrong)]) from wrong
    sound(target)
    return target


def _free(target: Path, source: Path, *, replace: bool) -> None:
    if target.exists() and os.path.samefile(target, source):
        raise ProblemsFound([
            problem("same-file", target.as_posix(), "this is the record itself", "wanted another file")
        ])
    if target.exists() and not replace:
        raise ProblemsFound([
            problem(
                "exists", target.as_posix(), "the file is there already", "wanted another name, or --replace"
            )
        ])


def sound(path: Path) -> str:
    """The version of the record in the file, which is sound throughout.

    Raises:
        ProblemsFound: it is not there, damaged, another program's or of a newer version.
    """
    name = path.as_posix()
    if not path.is_file() or not path.stat().st_size:
        raise ProblemsFound([problem("no-record", name, "there is no record", "wanted a backup's file")])
    with in_words(name):
        faults = quick_faults(path)
        if faults:
            wanted = "wanted a sound file: record check with --rescue tells what can be read"
            raise ProblemsFound([problem("damaged", name, f"the record is damaged ({faults[0]})", wanted)])
        with closing(sqlite3.connect(path)) as raw:
            version = str(raw.execute("SELECT version_num FROM alembic_version").fetchone()[0])
    if version not in VERSIONS:
        raise ProblemsFound([
            problem("newer-record", name, f"the record is of version {version}", "wanted a newer cagewright")
        ])
    return version


def restore(source: Path, target: Path, *, replace: bool = False) -> Path | None:
    """Where the record that was replaced now stands; None where there was none.

    A sound record is replaced in one change that other benches see whole or not at all; a damaged one is
    moved aside with its companions. Either is kept.

    Args:
        source: the backup.
        target: the record's file.
        replace: a record there may be replaced.

    Raises:
        ProblemsFound: the backup is not sound, or a record is there already.
    """
    sound(source)
    _free(target, source, replace=replace)
    try:
        with in_words(target.as_posix()):
            return _put_back(source, target)
    except OSError as wrong:
        raise ProblemsFound([cannot_write(target, wrong)]) from wrong


def _put_back(source: Path, target: Path) -> Path | None:
    if not target.exists():
        copy_whole(source, target)
        return None
    if _whole(target):
        aside = copy_aside(target, "before-restore")
        pour(source, target)
        return aside
    aside = _move_aside(target)
    copy_whole(source, target)
    return aside


def _whole(path: Path) -> bool:
    with contextlib.suppress(ProblemsFound, sqlite3.DatabaseError):
        return path.stat().st_size > 0 and not quick_faults(path)
    return False


def _move_aside(target: Path) -> Path:
    """Move a damaged record and its companions aside, under a name that is free."""
    number = 1
    while (aside := target.with_name(f"{target.stem}.damaged-{number}{target.suffix}")).exists():
        number += 1
    for tail in ("-wal", "-shm", ""):
        with contextlib.suppress(FileNotFoundError):
            os.replace(f"{target}{tail}", f"{aside}{tail}")
    return aside
