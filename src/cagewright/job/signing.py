"""What a signature under a job's record stands for, and what it does not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import get_args

from cagewright.base.answers import Answer
from cagewright.base.names import listed
from cagewright.job.against import UNCHECKED, job_kept
from cagewright.job.hold import ACTS, DONE, HoldLine, ToDo, asked_before, held, strange_in
from cagewright.job.opening import Job
from cagewright.job.order import steps_of
from cagewright.records.jobs import history
from cagewright.records.opening import opened
from cagewright.records.types import JobHistory, RecordEntry, TickKind

NOTHING_LEFT = "nothing that the build order asks for stands open"
NOT_ENTERED = "A signature stands for what the record shows. What nobody entered it does not cover."
_PAST: dict[TickKind, str] = {
    "tack": "tacked", "check": "checked", "weld": "welded", "pull": "pulled", "cut": "cut",
    "close": "closed", "paint": "painted",
}  # fmt: skip
_MANY: dict[str, tuple[str, str]] = {
    "reading": ("reading", "readings"), "photo": ("photo", "photos"), "note": ("note", "notes"),
    "hours": ("entry of hours", "entries of hours"),
    "inspection": ("reading of an inspection", "readings of an inspection"),
    "sign-off": ("earlier signature", "earlier signatures"),
}  # fmt: skip
FEW = 3
"""Names that are kept with the signature, of each kind that stands open."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CoveredAnswer(Answer):
    """What a signature stands for, and what it does not.

    Attributes:
        covers: in words: the plan revision, and the lines by what they are.
        leaves: in words: what the build order asks for and no line shows, and lines that do not count.
        kept: both as they are kept with the signature, with a few names of each.
        lines: that the job has.
    """

    covers: tuple[str, ...]
    leaves: tuple[str, ...]
    kept: tuple[str, ...]
    lines: int


def covered_in(
    where: str, name: str, bench: Job | None = None, moves: Mapping[str, int] | None = None
) -> CoveredAnswer:
    """What a signature under the job would stand for now.

    Args:
        where: the record.
        name: the job's.
        bench: the plan on the bench, opened.
        moves: tubes that the builder tacks at another step.

    Raises:
        ProblemsFound: there is no such job, or the record is damaged.
    """
    with opened(where) as record:
        return covered(history(record, name), bench, moves)


def covered(
    found: JobHistory, bench: Job | None = None, moves: Mapping[str, int] | None = None
) -> CoveredAnswer:
    """The same of a history at hand."""
    job, used = job_kept(found, bench), [e for e in found.current if e.used]
    covers = (f"plan revision {found.revisions[-1].mark}" if found.revisions else "no plan", *_counted(used))
    unused = len(found.current) - len(used)
    more = (f"{unused} lines that do not count",) if unused else ()
    if job is None:
        leaves = kept = (f"{UNCHECKED}: what the build order asks for is not in it", *more)
    else:
        steps = steps_of(job, moves)
        lines = held(dict.fromkeys(one for act in ACTS for one in asked_before(act, steps)), used)
        strange = (*strange_in(job, steps, used), *more)
        leaves, kept = ((*_open(lines, most), *strange) for most in (None, FEW))
    return CoveredAnswer(
        headline=f"It covers {len(used)} lines of {covers[0]}.",
        level="look at" if leaves else "fine",
        cautions=(NOT_ENTERED,),
        covers=covers,
        leaves=leaves or (NOTHING_LEFT,),
        kept=(f"covers {', '.join(covers)}", f"does not cover: {'; '.join(kept) or NOTHING_LEFT}"),
        lines=len(found.entries),
    )


def _counted(used: Sequence[RecordEntry]) -> Iterator[str]:
    """The lines by what they are, in words."""
    ticks = Counter[str](e.text for e in used if e.kind == "tick")
    yield from (f"{ticks[kind]} ticked as {word}" for kind, word in _PAST.items() if ticks[kind])
    kinds = Counter[str](e.kind for e in used)
    yield from (
        f"{n} {word if n == 1 else words}" for kind, (word, words) in _MANY.items() if (n := kinds[kind])
    )


def _open(lines: Sequence[HoldLine], most: int | None) -> Iterator[str]:
    """What stands open, by what is to be done."""
    for done in get_args(ToDo):
        mine = [line for line in lines if line.done == done]
        left = [f"step {line.what}" if done == "read" else line.what for line in mine if line.line is None]
        if left:
            yield f"{len(left)} of {len(mine)} not {DONE[done]}: {listed(left, most)}"
