"""The log of every revision of every plan in a folder: what undo and redo walk, kept across restarts.

A *step* is a text of the plan with the step it was made from, so the steps of a plan form a tree; nothing is
ever taken out of it. A *revision* says which step was current from then on. Undo makes the step before
current again, redo the step after it that was current last; both are revisions with numbers of their own.
"""

from __future__ import annotations

import contextlib
import hashlib
import sqlite3
import threading
import time
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cagewright.base.problems import Problem, ProblemsFound, Where

SCHEMA = """
CREATE TABLE IF NOT EXISTS steps (
  step INTEGER PRIMARY KEY, plan TEXT NOT NULL, before INTEGER REFERENCES steps, words TEXT NOT NULL,
  part_of TEXT, hash TEXT NOT NULL, packed BLOB NOT NULL, made REAL NOT NULL);
CREATE INDEX IF NOT EXISTS steps_before ON steps (before);
CREATE TABLE IF NOT EXISTS revisions (
  plan TEXT NOT NULL, number INTEGER NOT NULL, step INTEGER NOT NULL REFERENCES steps,
  how TEXT NOT NULL, on_disk TEXT NOT NULL, made REAL NOT NULL, PRIMARY KEY (plan, number));
CREATE INDEX IF NOT EXISTS revisions_step ON revisions (step);
CREATE TABLE IF NOT EXISTS saved (plan TEXT PRIMARY KEY, number INTEGER NOT NULL);
"""
VERSION = 1


def hash_of(data: bytes) -> str:
    """The hash by which texts are told apart."""
    return hashlib.sha256(data).hexdigest()


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A text of the plan and how it came to be.

    Attributes:
        before: the step it was made from, None for the first.
        words: what was done, as the builder reads it.
        part_of: what several steps of one stroke share, None for a step by itself.
    """

    id: int
    before: int | None
    words: str
    part_of: str | None
    hash: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """Which step was current, from when on.

    Attributes:
        on_disk: hash of what stood in the plan file when this was written down.
    """

    number: int
    step: Step
    on_disk: str


class EditsLog:
    """The log of one folder, in ``.cagewright/edits.db``; every write is on the disk when it returns."""

    def __init__(self, file: Path) -> None:
        """The log in that file, made where it is not there.

        Raises:
            ProblemsFound: the file cannot be written, is broken, or another workbench has it open.
        """
        self._lock = threading.RLock()
        try:
            self._base = _opened(file)
        except (sqlite3.Error, OSError) as wrong:
            raise ProblemsFound([_refused(file, wrong)]) from wrong

    def close(self) -> None:
        """Let go of the file."""
        with self._lock:
            self._base.close()

    def last(self, plan: str) -> Revision | None:
        """The plan's newest revision; None where it has none."""
        row = self._one(f"{_REVISION} WHERE r.plan = ? ORDER BY r.number DESC LIMIT 1", plan)
        return None if row is None else Revision(number=row[0], on_disk=row[1], step=_step(row[2:]))

    def step(self, id: int) -> Step:
        """The step of that id.

        Raises:
            ValueError: there is none.
        """
        row = self._one(f"SELECT {_STEP} FROM steps s WHERE s.step = ?", id)
        if row is None:
            raise ValueError(f"there is no step {id}")
        return _step(row)

    def text(self, step: Step) -> bytes:
        """The bytes of the plan file at that step.

        Raises:
            ValueError: there is no such step.
        """
        row = self._one("SELECT packed FROM steps WHERE step = ?", step.id)
        if row is None:
            raise ValueError(f"there is no step {step.id}")
        return zlib.decompress(row[0])

    def ahead(self, step: Step) -> Step | None:
        """The step made from this one that was current last."""
        row = self._one(
            f"SELECT {_STEP} FROM steps s LEFT JOIN revisions r ON r.step = s.step WHERE s.before = ?"
            " GROUP BY s.step ORDER BY max(coalesce(r.number, -1)) DESC, s.step DESC LIMIT 1",
            step.id,
        )
        return None if row is None else _step(row)

    def kept(
        self, plan: str, data: bytes, *, before: Step | None, words: str, part_of: str | None = None
    ) -> Step:
        """A new step that is in the log but not current."""
        with self._lock, self._base:
            return self._put(plan, data, before, words, part_of)

    def add(
        self,
        plan: str,
        data: bytes,
        *,
        before: Step | None,
        words: str,
        on_disk: str,
        part_of: str | None = None,
        how: str = "edit",
    ) -> Revision:
        """A new step, current from now on."""
        with self._lock, self._base:
            step = self._put(plan, data, before, words, part_of)
            return self._now(plan, step, how, on_disk)

    def turn_to(self, plan: str, step: Step, *, how: str, on_disk: str) -> Revision:
        """An old step, current again from now on."""
        with self._lock, self._base:
            return self._now(plan, step, how, on_disk)

    def saved(self, plan: str) -> int:
        """The newest revision that the plan file is known to have held."""
        row = self._one("SELECT number FROM saved WHERE plan = ?", plan)
        return 0 if row is None else int(row[0])

    def mark_saved(self, plan: str, number: int) -> None:
        """Note that the plan file holds that revision; a note lost in a power cut does no harm."""
        with self._lock:
            self._base.execute("PRAGMA synchronous=NORMAL")
            with self._base:
                self._base.execute("INSERT OR REPLACE INTO saved VALUES (?, ?)", (plan, number))
            self._base.execute("PRAGMA synchronous=FULL")

    def _put(self, plan: str, data: bytes, before: Step | None, words: str, part_of: str | None) -> Step:
        row = self._base.execute(
            "INSERT INTO steps (plan, before, words, part_of, hash, packed, made) VALUES (?,?,?,?,?,?,?)",
            (plan, before and before.id, words, part_of, hash_of(data), zlib.compress(data), time.time()),
        )
        return self.step(row.lastrowid or 0)

    def _now(self, plan: str, step: Step, how: str, on_disk: str) -> Revision:
        row = self._one("SELECT coalesce(max(number), 0) + 1 FROM revisions WHERE plan = ?", plan)
        number = int(row[0])
        self._base.execute(
            "INSERT INTO revisions VALUES (?, ?, ?, ?, ?, ?)",
            (plan, number, step.id, how, on_disk, time.time()),
        )
        return Revision(number=number, step=step, on_disk=on_disk)

    def _one(self, sql: str, *values: object) -> Any:
        with self._lock:
            return self._base.execute(sql, values).fetchone()


_STEP = "s.step, s.before, s.words, s.part_of, s.hash"
_REVISION = f"SELECT r.number, r.on_disk, {_STEP} FROM revisions r JOIN steps s ON s.step = r.step"


def _step(row: tuple[Any, ...]) -> Step:
    id, before, words, part_of, hash = row
    return Step(id=id, before=before, words=words, part_of=part_of, hash=hash)


def _opened(file: Path) -> sqlite3.Connection:
    file.parent.mkdir(exist_ok=True)
    base = sqlite3.connect(file, check_same_thread=False, timeout=0.5)
    try:
        base.execute("PRAGMA locking_mode=EXCLUSIVE")  # the second workbench in a folder is refused
        base.execute("PRAGMA journal_mode=WAL")
        base.execute("PRAGMA synchronous=FULL")  # a revision that was answered survives a power cut
        base.executescript(SCHEMA)
        _check_version(base)
    except BaseException:
        with contextlib.suppress(sqlite3.Error):
            base.close()
        raise
    return base


def _check_version(base: sqlite3.Connection) -> None:
    version = base.execute("PRAGMA user_version").fetchone()[0]
    if version > VERSION:
        raise sqlite3.DatabaseError("it was written by a newer Cagewright")
    base.execute(f"PRAGMA user_version={VERSION}")


def _refused(file: Path, wrong: Exception) -> Problem:
    locked = "locked" in str(wrong)
    return Problem(
        code="log-locked" if locked else "log-refused",
        where=Where(file=file.as_posix()),
        found="another workbench has this folder open"
        if locked
        else f"the log of edits is refused ({wrong})",
        wanted="wanted one workbench at a time in a folder"
        if locked
        else "wanted a folder that can be written to; a broken log can be moved away, the plans are whole",
    )
