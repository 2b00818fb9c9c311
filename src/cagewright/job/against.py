"""What the lines of the shop's record are held to: names and steps of the plan that the job keeps."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from cagewright.base.names import named
from cagewright.base.problems import Problem, ProblemsFound, Where, nearest_word
from cagewright.job.opening import Job, open_job
from cagewright.job.order import steps_of
from cagewright.records.types import JobHistory, TickKind
from cagewright.shape.types import Cage

UNCHECKED = "not checked against a plan"
UNNAMED: frozenset[TickKind] = frozenset({"cut", "close", "paint"})
"""What these are done to need not be in the plan: sheet of the body, a cavity, a colour."""


def kept_plan(found: JobHistory, folder: Path) -> Path | None:
    """The plan of the job's newest revision with the files it is made of, written into the folder.

    A file that would stand outside of it is left out. None where the job keeps no plan.
    """
    newest = found.revisions[-1] if found.revisions else None
    if newest is None:
        return None
    for path, text in ((newest.file, newest.text), *((o.path, o.text) for o in newest.others)):
        at = Path(folder, path)
        if at.resolve().is_relative_to(folder.resolve()):
            at.parent.mkdir(parents=True, exist_ok=True)
            at.write_text(text, encoding="utf-8")
    return Path(folder, newest.file)


def job_kept(found: JobHistory, bench: Job | None = None) -> Job | None:
    """The job's newest plan, opened: the bench's where it is that revision.

    None where the job keeps no plan, or its plan cannot be worked out without files that are not kept.
    """
    if bench is not None and [r.mark for r in found.revisions][-1:] == [bench.cage.revision]:
        return bench
    with TemporaryDirectory() as folder:
        plan = kept_plan(found, Path(folder))
        try:
            opened = open_job(plan) if plan else None
            if opened:
                steps_of(opened)  # while its files are there
            return opened
        except ProblemsFound:
            return None


def names_in(cage: Cage) -> tuple[str, ...]:
    """All that a tick can name: tubes, joints, feet, gussets, plates."""
    kinds = (cage.members, cage.joints, cage.feet, cage.gussets, cage.plates)
    return tuple(one.name for kind in kinds for one in kind)


def numbers_in(job: Job, moves: Mapping[str, int] | None = None) -> tuple[str, ...]:
    """The numbers of the build's steps."""
    return tuple(str(step.number) for step in steps_of(job, moves))


def strange_steps(
    job: Job, asked: Iterable[str], *, record: str, moves: Mapping[str, int] | None = None
) -> Iterator[Problem]:
    """The numbers of steps that the build has not, each told with how many it has; see ``refused``."""
    wanted = dict.fromkeys(number for number in asked if number)
    numbers = numbers_in(job, moves) if wanted else ()
    for number in wanted:
        if number not in numbers:
            yield Problem(
                code="no-step", where=Where(file=record), found=f"there is no step {number}",
                wanted=f"wanted one of the {len(numbers)} steps of revision {job.cage.revision}",
            )  # fmt: skip


def refused(
    job: Job, what: str, done: TickKind, step: str, *, record: str, moves: Mapping[str, int] | None = None
) -> Iterator[Problem]:
    """What is wrong with a tick: the plan has no such thing, or no such step.

    Args:
        job: the plan that the job keeps.
        what: is ticked, as the plan has it or as it is shown.
        done: to it.
        step: of the build order; may be empty.
        record: where the record is.
        moves: tubes that the builder tacks at another step.
    """
    names, whole = names_in(job.cage), re.fullmatch(r"(?:step )?(\d+)", what.strip())
    yield from strange_steps(job, (whole[1] if whole else "", step), record=record, moves=moves)
    if not whole and done not in UNNAMED and named(what, names) not in names:
        yield Problem(
            code="not-in-plan", where=Where(file=record), found=f"this plan has no '{what}'",
            wanted=f"wanted a tube, joint, foot, gusset, plate or step of revision {job.cage.revision}",
            nearest=nearest_word(what, names),
        )  # fmt: skip
