"""The shop's record as the Fit-up page uses it: the plan's jobs, their readings and ticks."""

from __future__ import annotations

import os
import threading
from collections.abc import Generator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cagewright.job.history.open_plan import OpenPlan, bytes_of
from cagewright.records.entries import Hand, add_reading, correct, tick
from cagewright.records.fitting import usable
from cagewright.records.jobs import add_revision, all_jobs, history, new_job
from cagewright.records.nouns import Entry, History, Kept, ShopJob, TickKind
from cagewright.records.opening import Record, opened

FILE = "record.sqlite"
"""The record in the shop folder, where ``CAGEWRIGHT_RECORD`` names no other."""


def where_of_record(folder: Path) -> str:
    """The record that the shop uses: a path or an address."""
    return os.environ.get("CAGEWRIGHT_RECORD") or (folder / FILE).as_posix()


_TURN = threading.RLock()


@contextmanager
def _open(where: str, *, create: bool = False) -> Generator[Record]:
    """The record, one request at a time: while one makes it, another must not find half of it."""
    with _TURN, opened(where, create=create) as record:
        yield record


def is_there(where: str) -> bool:
    """Whether there is a record; an address is taken as one."""
    with _TURN:
        return "://" in where or Path(where).is_file()


def jobs_of(where: str, file: str) -> tuple[ShopJob, ...]:
    """The jobs whose newest plan is that file (its path from the shop folder); none without a record.

    Raises:
        ProblemsFound: the record is damaged or cannot be reached.
    """
    if not is_there(where):
        return ()
    with _open(where) as record:
        return tuple(job for job in all_jobs(record) if _file_of(record, job) == file)


def _file_of(record: Record, job: ShopJob) -> str:
    plans = history(record, job.name).revisions
    return plans[-1].file if plans else ""


def file_of_job(where: str, name: str) -> str:
    """The plan file of that job's newest revision; empty where there is none.

    Raises:
        ProblemsFound: there is no such job, or the record is damaged.
    """
    if not is_there(where):
        return ""
    with _open(where) as record:
        plans = history(record, name).revisions
    return plans[-1].file if plans else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OnBench:
    """The plan that is on the bench, and its file's path from the shop folder."""

    plan: OpenPlan
    file: str


def start_job(where: str, bench: OnBench, *, name: str, by: str, customer: str = "") -> ShopJob:
    """A new job for the plan, the plan as it stands in it; the record is made where there is none.

    Raises:
        ProblemsFound: the name is taken or empty, nobody is named, or the record cannot be written.
    """
    with _open(where, create=True) as record:
        stood = bench.plan.stood
        units, title = (stood.plan.units, stood.cage.title) if stood else ("mm", "")
        job = new_job(record, name, by=by, customer=customer, title=title, units=units)
        _note_plan(record, job.name, bench, by)
        return job


def _note_plan(record: Record, job: str, bench: OnBench, by: str) -> None:
    """Put the plan as it stands into the job; nothing where its newest revision says the same."""
    now = bench.plan.moment
    if now.job is not None:
        text = bytes_of(now.document).decode("utf-8")
        add_revision(record, job, mark=now.job.cage.revision, file=bench.file, text=text, by=by)


def told_of(where: str, job: str) -> History:
    """All that is recorded of the job.

    Raises:
        ProblemsFound: there is no such job, or the record is damaged.
    """
    with _open(where) as record:
        return history(record, job)


def keep_reading(where: str, bench: OnBench, job: str, asked: dict[str, Any], known: frozenset[str]) -> Kept:
    """The reading, kept as entered; a reading of the same marks that stood before stays in the history.

    Args:
        where: the record.
        bench: the plan.
        job: its name.
        asked: ``kind``, ``a``, ``b``, ``axis``, ``says``, ``unit``, ``by``, ``step``, ``note``: texts.
        known: names of the marks.

    Raises:
        ProblemsFound: there is no such job, nobody is named, or the record cannot be written.
    """
    hand = Hand(by=asked["by"], step=asked["step"], note=asked["note"])
    with _open(where) as record:
        _note_plan(record, job, bench, asked["by"])
        return add_reading(
            record, job, (asked["a"], asked["b"]), asked["says"], hand=hand, unit=asked["unit"],
            sort=asked["kind"], axis=asked["axis"], known=known,
        )  # fmt: skip


def keep_tick(
    where: str, bench: OnBench, job: str, what: str, done: TickKind, *, by: str, step: str
) -> Entry:
    """The tick of what was tacked, checked or welded.

    Raises:
        ProblemsFound: there is no such job, nobody is named, or the record cannot be written.
    """
    with _open(where) as record:
        _note_plan(record, job, bench, by)
        return tick(record, job, what, done, hand=Hand(by=by, step=step))


def withdraw(where: str, job: str, line: int, *, by: str, why: str) -> Kept:
    """The line that says that line ``line`` does not stand any more.

    Raises:
        ProblemsFound: there is no such line or job, nobody is named, or the record cannot be written.
    """
    with _open(where) as record:
        return correct(record, job, line, hand=Hand(by=by), why=why)


def ticks_in(found: History, step: str) -> list[Entry]:
    """The ticks that stand at that step, oldest first."""
    return [e for e in found.current if e.kind == "tick" and e.step == step and e.used]


def readings_in(found: History, step: str) -> list[Entry]:
    """The readings of the step that stand: the newest of each that is used, and all that cannot be used."""
    used = {e.id for e in usable(found, step=step)}
    mine = [e for e in found.current if e.kind == "reading" and e.step == step]
    return [e for e in mine if e.id in used or (not e.used and not _withdrawn(found, e))]


def _withdrawn(found: History, entry: Entry) -> bool:
    """Whether the line only says that an older one, left as it was, does not count any more."""
    old = next((e for e in found.entries if e.uid == entry.corrects_uid), None)
    said = [(e.text, e.unit, e.subject, e.other, e.sort, e.axis) for e in (entry, old) if e]
    return not entry.used and len(said) == 2 and said[0] == said[1]
