"""What a database says went wrong, as a problem in the builder's words."""

from __future__ import annotations

import sqlite3
from collections.abc import Generator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, IntegrityError

from cagewright.base.problems import Problem, ProblemsFound, Where

Wrong = DBAPIError | sqlite3.Error

_SAFE = "this was not recorded, all before it stays"
_RESCUE = "run record check with --rescue for what can be read, or restore a backup"
_SAID: tuple[tuple[str, str, str, str], ...] = (
    ("malformed", "damaged", "the record is damaged", f"wanted a sound file: {_RESCUE}"),
    ("not a database", "damaged", "this is no record, or its beginning is damaged", f"wanted one: {_RESCUE}"),
    ("is full", "disk-full", f"the disk is full; {_SAFE}", "wanted room on it: make some, enter it again"),
    (
        "locked",
        "busy",
        f"another bench kept the record busy for too long; {_SAFE}",
        "wanted it free: try again",
    ),
    ("readonly", "cannot-write", "it cannot be written to", "wanted a file and a folder to write to"),
    ("unable to open", "cannot-open", "it cannot be opened", "wanted a file in a folder to write to"),
    ("disk i/o error", "disk-error", f"the disk refused; {_SAFE}", "wanted a sound disk with room on it"),
    (
        "append-only",
        "append-only",
        "a line would be changed or deleted",
        "wanted a new line that corrects it",
    ),
)
"""What the database's complaint holds, and the problem's code and words."""


def problem(code: str, record: str, found: str, wanted: str, nearest: str | None = None) -> Problem:
    """A problem of that record."""
    return Problem(code=code, where=Where(file=record), found=found, wanted=wanted, nearest=nearest)


def problem_of(record: str, wrong: Wrong) -> Problem:
    """The problem that the database's complaint stands for."""
    said = str(wrong.orig if isinstance(wrong, DBAPIError) else wrong)
    for sign, code, found, wanted in _SAID:
        if sign in said.lower():
            return problem(code, record, found, wanted)
    first = (said.strip().splitlines() or ["no reason given"])[0]
    return problem(
        "database", record, f"the database refused ({first})", "wanted a database that can be reached"
    )


@contextmanager
def in_words(record: str) -> Generator[None]:
    """Turn what the database complains of into a problem; a broken constraint is left to who knows its sense.

    Raises:
        ProblemsFound: the database refused.
        IntegrityError: a row that was there already, or refers to none.
    """
    try:
        yield
    except IntegrityError as wrong:
        if "append-only" in str(wrong.orig):
            raise ProblemsFound([problem_of(record, wrong)]) from wrong
        raise
    except (DBAPIError, sqlite3.Error) as wrong:
        raise ProblemsFound([problem_of(record, wrong)]) from wrong
