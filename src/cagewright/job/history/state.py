"""What every page knows of an open plan."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from cagewright.base.problems import Problem
from cagewright.job.history.open_plan import OpenPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanState:
    """An open plan as every page knows it.

    Attributes:
        id: its name in addresses.
        title: its own, or its file's.
        number: of the revision in the log.
        revision: the plan's mark; None where its text has problems.
        units: ``mm`` or ``in``: what a bare number is typed in.
        undo: what undo takes back, in words; None for nothing.
        redo: what redo does again.
        saved: whether the plan file holds this revision.
        trouble: why it does not.
        conflict: what stands in the way of saving until the builder decides.
        shown: what it says can be shown, whatever has to be put right before it can be made.
    """

    id: str
    title: str
    file: str
    number: int
    revision: str | None
    units: Literal["mm", "in"]
    undo: str | None
    redo: str | None
    saved: bool
    trouble: str | None
    conflict: str | None
    problems: tuple[Problem, ...]
    shown: bool


def without_folder(problem: Problem) -> Problem:
    """The problem with its file's name alone: a page need not know where it stands on this machine."""
    return replace(problem, where=replace(problem.where, file=problem.where.file.rsplit("/", 1)[-1]))


def state_of(opened: OpenPlan) -> PlanState:
    """The plan's state."""
    moment = opened.moment
    source = moment.document.source
    title = source.data.get("title")
    return PlanState(
        id=opened.id,
        title=title if isinstance(title, str) else opened.path.stem,
        file=opened.path.name,
        number=moment.number,
        revision=moment.job.cage.revision if moment.job else None,
        units=source.units,
        undo=opened.undo_words,
        redo=opened.redo_words,
        saved=opened.saved,
        trouble=opened.trouble,
        conflict=opened.conflict,
        problems=tuple(without_folder(p) for p in moment.problems),
        shown=moment.shown is not None,
    )
