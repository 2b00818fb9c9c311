"""What the pages are told of an open plan."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from cagewright.base.problems import Problem, ProblemsFound

if TYPE_CHECKING:
    from cagewright.job.opening import Job
    from cagewright.workbench.opened import Moment, Opened


def problem_row(problem: Problem) -> dict[str, Any]:
    """The problem as the pages read it."""
    where = problem.where
    return {
        "code": problem.code,
        "where": {"file": where.file.rsplit("/", 1)[-1], "line": where.line, "col": where.col},
        "found": problem.found,
        "wanted": problem.wanted,
        "nearest": problem.nearest,
    }


def state_of(opened: Opened) -> dict[str, Any]:
    """The plan's state: its number, what can be undone, whether it is saved, what is wrong with it."""
    moment = opened.moment
    data = moment.document.source.data
    title, units = data.get("title"), data.get("units")
    conflict = opened.conflict
    return {
        "id": opened.id,
        "title": title if isinstance(title, str) else opened.path.stem,
        "file": opened.path.name,
        "number": moment.number,
        "revision": moment.job.cage.revision if moment.job else None,
        "units": "in" if units == "in" else "mm",
        "undo": opened.undo_words,
        "redo": opened.redo_words,
        "saved": opened.saved,
        "trouble": opened.trouble,
        "conflict": None if conflict is None else {"words": conflict},
        "problems": [problem_row(p) for p in moment.problems],
    }


def effects_of(before: Moment, after: Moment, *, trial: bool = False) -> dict[str, Any]:
    """What has changed in the picture, the figures, and the rule books' findings.

    Args:
        before: the moment before.
        after: the moment after.
        trial: nothing was kept: what takes longest to work out is left out.
    """
    from cagewright.workbench.scene import delta, scene_of

    if after.job is None:
        return {"changed": None, "figures": None, "findings": None}
    new = scene_of(after.job, number=after.number)
    changed = delta(scene_of(before.job, number=before.number), new) if before.job else None
    return {"changed": changed, **_judged(after.job, before.job, trial)}


def _judged(job: Job, before: Job | None, trial: bool) -> dict[str, Any]:
    """Figures and findings; without findings, and why, where a rule book cannot be read.

    A trial has no findings: the books take longer than a drag allows.
    """
    from cagewright.workbench.figures import figures_of, quick_findings

    try:
        figures = figures_of(job, before, quick=trial)
        return {"figures": figures, "findings": None if trial else quick_findings(job)}
    except ProblemsFound as found:
        rows = [problem_row(p) for p in found.problems]
        return {"figures": figures_of(job, before, quick=True), "findings": None, "unjudged": rows}
