"""What an edit changed: in the picture, the figures and the findings."""

from __future__ import annotations

from dataclasses import dataclass

from cagewright.base.problems import Problem, ProblemsFound
from cagewright.job.figures import Figures, figures_of
from cagewright.job.findings import FindingsAnswer, book_findings
from cagewright.job.history.open_plan import PlanMoment
from cagewright.job.history.state import PlanState, without_folder
from cagewright.job.scene.scene import delta, scene_of
from cagewright.job.scene.types import Delta


@dataclass(frozen=True, slots=True, kw_only=True)
class EditAnswer:
    """What an edit, or a trial of one, changed.

    Attributes:
        state: the plan's, after it.
        changed: in the picture; None where the plan's text has problems.
        figures: as they are now, with what each has changed by.
        findings: the rule books'; None for a trial, and where a book cannot be read.
        unjudged: why they could not be judged.
        blemishes: what has to be put right before papers and pushes, after it.
        unseen: why none of it can be shown though the edit was kept; empty where it can.
    """

    state: PlanState
    words: str | None
    changed: Delta | None
    figures: Figures | None
    findings: FindingsAnswer | None
    unjudged: tuple[Problem, ...] = ()
    blemishes: tuple[Problem, ...] = ()
    unseen: str = ""


def effects_of(
    before: PlanMoment, after: PlanMoment, *, state: PlanState, words: str | None, trial: bool = False
) -> EditAnswer:
    """What has changed in the picture, the figures, and the rule books' findings.

    Args:
        before: the moment before.
        after: the moment after.
        state: the plan's, after it.
        words: what was done.
        trial: nothing was kept: what takes longest to work out is left out, the books too.
    """
    job, figures, findings = after.shown, None, None
    if job is None:
        return EditAnswer(state=state, words=words, changed=None, figures=None, findings=None)
    new = scene_of(job, number=after.number)
    changed = delta(scene_of(before.shown, number=before.number), new) if before.shown else None
    unjudged: tuple[Problem, ...] = ()
    try:
        figures = figures_of(job, before.shown, quick=trial)
        findings = None if trial else book_findings(job)
    except ProblemsFound as found:
        unjudged = tuple(without_folder(p) for p in found.problems)
        figures = figures_of(job, before.shown, quick=True)
    return EditAnswer(
        state=state, words=words, changed=changed, figures=figures, findings=findings, unjudged=unjudged,
        blemishes=tuple(without_folder(p) for p in after.problems),
    )  # fmt: skip
