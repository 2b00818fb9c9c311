"""What was read and ticked at a step, as the shop's record has it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from cagewright.base.answers import Level
from cagewright.fitup.choose import as_planned
from cagewright.fitup.network import AXES, Kind, Reading
from cagewright.fitup.order import within_for
from cagewright.fitup.sheet import step_network
from cagewright.job.marks import LEAN_WITHIN, entry_of, marks_for, said, steps_with
from cagewright.job.opening import Job
from cagewright.records.fitting import says, usable
from cagewright.records.jobs import history
from cagewright.records.opening import opened
from cagewright.records.types import (
    JobHistory,
    RecordEntry,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenRow:
    """A reading of a step as it was entered, and how it stands beside the plan.

    Attributes:
        line: its number in the record.
        kind: tape, level, lean or place.
        b: its second mark; empty for a place.
        axis: of a lean or a place.
        says: as entered, with its unit.
        start: what a field to correct it begins with.
        verdict: how far it is from the plan, in words; empty where that cannot be told.
        level: whether that is within.
    """

    line: int
    kind: str
    a: str
    b: str
    axis: str
    says: str
    start: str
    used: bool
    why: str
    by: str
    taken: str
    verdict: str
    level: Level


@dataclass(frozen=True, slots=True, kw_only=True)
class TickRow:
    """What was done to what, by whom and when, and its line in the record."""

    what: str
    done: str
    by: str
    taken: str
    line: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgressRow:
    """How many readings of a step are used, and the tick that ended it."""

    read: int
    done: TickRow | None


def told_of(where: str, job: str) -> JobHistory:
    """All that is recorded of the job.

    Raises:
        ProblemsFound: there is no such job, or the record is damaged.
    """
    with opened(where) as record:
        return history(record, job)


def progress_of(found: JobHistory) -> dict[str, ProgressRow]:
    """How far each step is."""
    steps = {e.step for e in found.current if e.step}
    return {
        s: ProgressRow(read=sum(e.used for e in readings_in(found, s)), done=_end(found, s)) for s in steps
    }


def _end(found: JobHistory, step: str) -> TickRow | None:
    """The newest tick that says the step is checked."""
    ticks = (t for t in ticks_in(found, step) if t.done == "check" and t.what == f"step {step}")
    return next(reversed(tuple(ticks)), None)


def ticks_in(found: JobHistory, step: str) -> tuple[TickRow, ...]:
    """The ticks that stand at that step, oldest first."""
    mine = (e for e in found.current if e.kind == "tick" and e.step == step and e.used)
    return tuple(TickRow(what=e.subject, done=e.text, by=e.by, taken=e.taken, line=e.id) for e in mine)


def readings_in(found: JobHistory, step: str) -> list[RecordEntry]:
    """The readings of the step that stand: the newest of each that is used, and all that cannot be used."""
    used = {e.id for e in usable(found, step=step)}
    mine = [e for e in found.current if e.kind == "reading" and e.step == step]
    return [e for e in mine if e.id in used or (not e.used and not _withdrawn(found, e))]


def _withdrawn(found: JobHistory, entry: RecordEntry) -> bool:
    """Whether the line only says that an older one, left as it was, does not count any more."""
    old = next((e for e in found.entries if e.uid == entry.corrects_uid), None)
    words = [(e.text, e.unit, e.subject, e.other, e.sort, e.axis) for e in (entry, old) if e]
    return not entry.used and len(words) == 2 and words[0] == words[1]


def taken_rows(
    job: Job, number: int, entries: Collection[RecordEntry], moves: Mapping[str, int] | None = None
) -> tuple[TakenRow, ...]:
    """The readings of a step as they were entered, and how each stands beside the plan.

    Raises:
        ProblemsFound: there is no such step.
    """
    steps, _ = steps_with(job, number, moves)
    net = step_network(job.cage, marks_for(job), steps, number)
    rows: list[TakenRow] = []
    for e in entries:
        kind: Kind = e.sort or "tape"
        verdict, level = "", "fine"
        if e.used and e.value is not None and {e.subject, e.other or e.subject} <= net.index.keys():
            axis = 2 if kind == "level" else AXES.index(e.axis) if e.axis else -1
            reading = Reading(name="", kind=kind, a=e.subject, b=e.other, axis=axis, seen=e.value, size=1.0)
            verdict, level = _verdict(kind, e.value, as_planned(net, reading), job)
        rows.append(
            TakenRow(
                line=e.id, kind=e.sort or e.kind, a=e.subject, b=e.other, axis=e.axis, says=says(e),
                start="" if e.value is None else entry_of(kind, e.value, job.cage.units), used=e.used,
                why=e.why, by=e.by, taken=e.taken, verdict=verdict, level=level,
            )
        )  # fmt: skip
    return tuple(rows)


def _verdict(kind: Kind, seen: float, planned: float, job: Job) -> tuple[str, Level]:
    off = seen - planned
    within = LEAN_WITHIN if kind == "lean" else within_for(abs(planned))
    size = said(kind, abs(off), job.cage.units).said
    nothing = said(kind, 0.0, job.cage.units).said
    words = "as planned" if size == nothing else f"{size} {'less' if off < 0.0 else 'more'}"
    return words, "fine" if abs(off) <= within + 1e-9 else "look at"
