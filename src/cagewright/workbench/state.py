"""What the pages are told of an open plan."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from cagewright.base.problems import Problem

if TYPE_CHECKING:
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


def answer_of(opened: Opened, before: Moment, after: Moment, words: str | None = None) -> dict[str, Any]:
    """What an edit, a trial, an undo or a redo is answered with."""
    return {
        "state": state_of(opened),
        "words": words,
        "problems": [problem_row(p) for p in after.problems],
        **_effects(before, after),
    }


def _effects(before: Moment, after: Moment) -> dict[str, Any]:
    """What has changed in the picture, the quick figures, and the findings that are quick to judge."""
    from cagewright.workbench.scene import delta, scene_of

    if after.job is None:
        return {"changed": None, "figures": None, "findings": None}
    new = scene_of(after.job, number=after.number)
    return {
        "changed": delta(scene_of(before.job, number=before.number), new) if before.job else None,
        "figures": None,
        "findings": None,
    }
