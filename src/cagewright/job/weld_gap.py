"""The widest gap that a weld bridges, as the plan's weld or the shop file has it."""

from __future__ import annotations

from cagewright.base.answers import Value, figure
from cagewright.job.opening import Job
from cagewright.shape.types import End


def weld_gap(job: Job, end: End) -> Value | None:
    """The widest gap that the end's weld is said to bridge, and by what; None where nobody says."""
    for gap, why in ((end.bridges, "the weld in the plan"), (job.shop.weld_gap, "the shop file")):
        if gap is not None:
            return figure(gap, "length", job.cage.units, rests_on="plan", why=why)
    return None
