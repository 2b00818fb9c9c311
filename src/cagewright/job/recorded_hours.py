"""What the shop's record says a kind of work takes: hours entered for it in jobs that were signed off."""

from __future__ import annotations

from collections import defaultdict

from cagewright.job.against import job_kept
from cagewright.job.hours import ACTS, Act, Recorded, counts_of
from cagewright.records.jobs import all_jobs, history
from cagewright.records.opening import opened
from cagewright.records.types import JobHistory


def recorded_hours(where: str) -> tuple[Recorded, ...]:
    """Each kind of work with hours in the record, over all jobs that can be counted.

    Hours count where what they were worked at is a word of the shop file's times (``cope``, ``copes``). A job
    counts where it is signed off, as it may not be finished before, and keeps a plan that can be worked out.

    Args:
        where: the record.

    Raises:
        ProblemsFound: the record is not there, damaged or cannot be reached.
    """
    with opened(where) as record:
        jobs = [history(record, job.name) for job in all_jobs(record)]
    hours: defaultdict[Act, list[tuple[float, float]]] = defaultdict(list)
    for found in jobs:
        worked = _worked(found)
        plan = job_kept(found) if worked and _signed(found) else None
        counts = counts_of(plan.cage) if plan else {}
        for act in worked:
            if counts.get(act):
                hours[act].append((worked[act], counts[act]))
    return tuple(
        Recorded(act=act, hours=sum(h for h, _ in rows), count=sum(n for _, n in rows), jobs=len(rows))
        for act, rows in hours.items()
    )


def _signed(found: JobHistory) -> bool:
    return any(e.kind == "sign-off" and e.used for e in found.current)


def _worked(found: JobHistory) -> dict[Act, float]:
    worked: defaultdict[Act, float] = defaultdict(float)
    words = {form: act for act in ACTS for form in (act, f"{act}s")}
    for entry in found.current:
        act = words.get(entry.subject.strip().lower())
        if entry.kind == "hours" and entry.used and act:
            worked[act] += entry.value or 0.0
    return dict(worked)
