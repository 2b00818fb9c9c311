"""The ways round each obstacle, as a paper of its own: they take too long to work out for every book."""

from __future__ import annotations

from cagewright.base.sheet import Sheet
from cagewright.job.obstacles import ObstaclesAnswer


def obstacles_sheet(answer: ObstaclesAnswer) -> Sheet:
    """Every obstacle with the ways round it, and the pushes where they were asked for."""
    return Sheet(
        name="obstacles",
        title="Round what is in the way",
        kind="trims",
        tables=(
            *(o.table for o in answer.obstacles),
            *(t for study in answer.pushed for t in study.tables),
        ),
        notes=(
            answer.headline,
            *answer.cautions,
            *answer.notes,
            *(n for study in answer.pushed for n in study.notes),
        ),
    )
