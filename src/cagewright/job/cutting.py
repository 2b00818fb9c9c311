"""What the shop cuts, bends and welds."""

from __future__ import annotations

from cagewright.job.opening import Job
from cagewright.make.work import Work, work_out


def work_of(job: Job) -> Work:
    """The shop's numbers: cuts, nesting, bends, saw settings, welds, weights."""
    return job.cache.get(("work", job.key), lambda: work_out(job.cage, job.shop))
