"""Jobs and the revisions of their plans."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from sqlalchemy import Connection, select
from sqlalchemy.exc import IntegrityError

from cagewright.base.problems import ProblemsFound, nearest_word
from cagewright.records.opening import Record, reading, writing
from cagewright.records.rows import (
    Row,
    append,
    fields_or_problems,
    keepable,
    others_text,
    rows_of,
    to_entry,
    to_job,
    to_revision,
)
from cagewright.records.tables import entries, jobs, revisions
from cagewright.records.troubles import problem
from cagewright.records.types import JobHistory, PlanRevision, PlanText, RecordEntry, ShopJob


def new_job(
    record: Record, name: str, *, by: str, customer: str = "", reference: str = "", title: str = "",
    units: Literal["mm", "in"] = "mm",
) -> ShopJob:  # fmt: skip
    """The job, new in the record.

    Args:
        record: open.
        name: short; no other job has it.
        by: who enters it.
        customer: as the shop calls him.
        reference: the customer's own.
        title: of the work.
        units: what a bare number on this job's tape means.

    Raises:
        ProblemsFound: the name is taken, or a field is empty or too long.
    """
    words = {"name": name, "customer": customer, "reference": reference, "title": title, "by": by}
    fields = fields_or_problems(record.name, words, must=("name", "by"))
    try:
        with writing(record) as connection:
            return to_job(append(connection, jobs, {**fields, "units": units}))
    except IntegrityError as wrong:
        found = f"there is a job '{fields['name']}' already"
        raise ProblemsFound([problem("job-exists", record.name, found, "wanted another name")]) from wrong


def all_jobs(record: Record) -> tuple[ShopJob, ...]:
    """Every job, in the order they were entered.

    Raises:
        ProblemsFound: the database refused.
    """
    with reading(record) as connection:
        return tuple(map(to_job, rows_of(connection, jobs)))


def job_row(connection: Connection, record: str, name: str) -> Row:
    """The row of the job of that name.

    Raises:
        ProblemsFound: there is none.
    """
    found = rows_of(connection, jobs, jobs.c.name == keepable(name))
    if found:
        return found[0]
    known = [row["name"] for row in rows_of(connection, jobs)]
    told = f"there is no job '{keepable(name)[:80]}'"
    raise ProblemsFound([
        problem("no-job", record, told, "wanted a job of this record", nearest_word(name, known))
    ])


def add_revision(
    record: Record, job: str, *, mark: str, file: str, text: str, by: str,
    others: Sequence[PlanText] = (), note: str = "",
) -> PlanRevision:  # fmt: skip
    """The plan as it stands, added to the job; the revision that is newest there if its text is the same.

    Args:
        record: open.
        job: its name.
        mark: the revision mark printed on the papers.
        file: name of the plan file.
        text: the plan, as written.
        by: who enters it.
        others: files it includes and its shop file.
        note: why it was changed.

    Raises:
        ProblemsFound: no such job, or a field is empty or too long.
    """
    words = fields_or_problems(
        record.name, {"mark": mark, "file": file, "note": note, "by": by}, must=("mark", "by")
    )
    whole = {"text": keepable(text), "others": keepable(others_text(others))}
    with writing(record) as connection:
        uid = job_row(connection, record.name, job)["uid"]
        older = rows_of(connection, revisions, revisions.c.job_uid == uid)
        if older and all(older[-1][key] == whole[key] for key in whole):
            return to_revision(older[-1])
        return to_revision(append(connection, revisions, {**words, **whole, "job_uid": uid}))


def newest_revision(connection: Connection, job_uid: str) -> str | None:
    """The uid of the job's newest revision; None where it has none."""
    mine = select(revisions.c.uid).where(revisions.c.job_uid == job_uid)
    return connection.scalar(mine.order_by(revisions.c.id.desc()).limit(1))


def history(record: Record, job: str) -> JobHistory:
    """All that is recorded of the job.

    Raises:
        ProblemsFound: no such job.
    """
    with reading(record) as connection:
        row = job_row(connection, record.name, job)
        plans = rows_of(connection, revisions, revisions.c.job_uid == row["uid"])
        lines = tuple(map(to_entry, rows_of(connection, entries, entries.c.job_uid == row["uid"])))
    return JobHistory(
        job=to_job(row), revisions=tuple(map(to_revision, plans)), entries=lines, current=standing(lines)
    )


def standing(lines: Sequence[RecordEntry]) -> tuple[RecordEntry, ...]:
    """The lines that no later one corrects, in order."""
    corrected = {line.corrects_uid for line in lines}
    return tuple(line for line in lines if line.uid not in corrected)
