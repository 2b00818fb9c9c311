"""What was read at a step, from a readings file or the shop's record, and where that puts everything."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from cagewright.base.problems import ProblemsFound
from cagewright.fitup.adjust import Adjusted
from cagewright.fitup.readings import (
    FitUp,
    ReadingsFile,
    adjusted_readings,
    fitup_of,
    read_fitup,
    readings_text,
)
from cagewright.fitup.sheet import head_at
from cagewright.job.against import kept_plan
from cagewright.job.marks import marks_for, steps_with
from cagewright.job.opening import Job, open_job
from cagewright.records.fitting import reading_line, usable
from cagewright.records.types import JobHistory, RecordEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsTaken:
    """Readings, and where they have everything.

    Attributes:
        job: the plan that they were held to.
        fit: every reading, used or not.
        adjusted: where they have every body.
    """

    job: Job
    fit: FitUp
    adjusted: Adjusted


def taken_from_file(job: Job, path: Path) -> ReadingsTaken:
    """What a readings file says.

    Raises:
        ProblemsFound: the file has problems of its own, everything in it is held, or nothing is read yet.
    """
    fit = read_fitup(path, job.cage, marks_for(job))
    return ReadingsTaken(job=job, fit=fit, adjusted=adjusted_readings(fit))


def taken_from_record(
    job: Job, number: int, entries: Sequence[RecordEntry], moves: Mapping[str, int] | None = None
) -> ReadingsTaken:
    """What the record's entries say of a step.

    Raises:
        ProblemsFound: there is no such step, everything at it is held, or nothing is read yet.
    """
    steps, _ = steps_with(job, number, moves)
    lines = [reading_line(e) for e in entries if e.used]
    fit = fitup_of(head_at(job.cage, steps, number), lines, job.cage, marks_for(job))
    return ReadingsTaken(job=job, fit=fit, adjusted=adjusted_readings(fit))


def step_file(
    job: Job, number: int, entries: Sequence[RecordEntry], moves: Mapping[str, int] | None = None
) -> str:
    """The step's readings that are used, as the text of a readings file."""
    steps, _ = steps_with(job, number, moves)
    return readings_text(head_at(job.cage, steps, number), ((reading_line(e), "") for e in entries if e.used))


def job_file(found: JobHistory, step: str, plan: Path | None) -> tuple[str, int, str]:
    """A job's usable readings as a readings file: its text, how many they are, and a caution.

    Args:
        found: the job's history.
        step: of the build order; all of them where empty.
        plan: the plan file whose step it is; the job's newest plan where not given.
    """
    head, caution = _head(found, step, plan)
    lines = [(reading_line(e), "") for e in usable(found, step=step)]
    return readings_text(head, lines), len(lines), caution


def _head(found: JobHistory, step: str, plan: Path | None) -> tuple[ReadingsFile, str]:
    """What is there, welded and held at the step of the plan; and a caution where that cannot be told."""
    newest = found.revisions[-1] if found.revisions else None
    number = int(step) if step.isdecimal() else 0
    why = "the job has no plan" if number else "no step is named"
    with TemporaryDirectory() as folder:
        plan = plan or kept_plan(found, Path(folder))
        if plan is not None and number:
            try:
                job = open_job(plan)
                return head_at(job.cage, steps_with(job, number)[0], number), ""
            except ProblemsFound as wrong:
                why = f"the plan cannot be worked out alone ({wrong.problems[0].found})"
    head = ReadingsFile(plan=newest.mark if newest else "", step=number, units=found.job.units)
    return head, f"What is there and held is not in the file, for {why}: every tube counts as there and free."
