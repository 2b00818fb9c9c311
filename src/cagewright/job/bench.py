"""What was read and ticked at a step, as the shop's record has it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from cagewright.base.answers import Answer, Level
from cagewright.fitup.choose import as_planned
from cagewright.fitup.network import AXES, Kind, Reading
from cagewright.fitup.order import within_for
from cagewright.fitup.sheet import step_network
from cagewright.job.marks import LEAN_WITHIN, entry_of, marks_for, said, steps_with
from cagewright.job.opening import Job
from cagewright.job.record import also_read, hours_said
from cagewright.records.entries import still_as_signed
from cagewright.records.fitting import says, usable, when
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
        also: what somebody else read between the same marks, in words; else empty.
    """

    line: int
    uid: str
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
    also: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TickRow:
    """What was done to what, by whom and when, and its line in the record, by number and by name."""

    what: str
    done: str
    by: str
    taken: str
    line: int
    uid: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgressRow:
    """How many readings of a step are used, and the tick that ended it."""

    read: int
    done: TickRow | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordRow:
    """A photo, a note, hours or a signature.

    Attributes:
        uid: the line's name.
        kind: photo, note, hours or sign-off.
        about: what it shows, is about or signs for, as the plan names it.
        said: the note, the hours, the photo's file; of a signature the signer's standing.
        as_signed: of a signature, whether all before it stands as it was signed; else None.
    """

    uid: str
    line: int
    kind: str
    about: str
    said: str
    note: str
    by: str
    taken: str
    as_signed: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StepRecord(Answer):
    """What is kept beside the readings and ticks of a step.

    Attributes:
        rows: photos, notes and hours of the step, signatures of the whole job, the newest first.
        hours: worked on the whole job, in words, by everybody and by each.
        count: lines that the job has; a signature says how many the signer saw.
    """

    rows: tuple[RecordRow, ...]
    hours: str
    count: int


def record_at(where: str, job: str, step: str) -> StepRecord:
    """Photos, notes and hours of the step, and the job's signatures.

    Raises:
        ProblemsFound: there is no such job, or the record is damaged.
    """
    with opened(where) as record:
        found = history(record, job)
        mine = [e for e in found.current if e.used and (e.kind == "sign-off" or e.step == step)]
        rows = [
            RecordRow(
                uid=e.uid, line=e.id, kind=e.kind, about=e.subject, note=e.note, by=e.by, taken=e.taken,
                said={"hours": hours_said(e.value), "sign-off": e.other}.get(e.kind, e.text),
                as_signed=still_as_signed(record, e) if e.kind == "sign-off" else None,
            )
            for e in sorted(mine, key=when, reverse=True)
            if e.kind in {"photo", "note", "hours", "sign-off"}
        ]  # fmt: skip
    return StepRecord(
        headline=f"{len(rows)} photos, notes, hours and signatures at step {step}.",
        rows=tuple(rows), hours=_worked(found), count=len(found.entries),
    )  # fmt: skip


def _worked(found: JobHistory) -> str:
    """The hours of the whole job, and of each where there are several people."""
    each: dict[str, float] = {}
    for e in found.current:
        if e.kind == "hours" and e.used:
            each[e.by] = each.get(e.by, 0.0) + (e.value or 0.0)
    if not each:
        return ""
    parts = f" ({', '.join(f'{by} {hours_said(h)}' for by, h in each.items())})" if len(each) > 1 else ""
    return f"{hours_said(sum(each.values()))} worked on this job{parts}."


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
    return tuple(
        TickRow(what=e.subject, done=e.text, by=e.by, taken=e.taken, line=e.id, uid=e.uid)
        for e in sorted(mine, key=when)
    )


def readings_in(found: JobHistory, step: str) -> list[RecordEntry]:
    """The readings of the step that stand: the newest of each that is used, and all that cannot be used."""
    used = {e.id for e in usable(found, step=step)}
    mine = [e for e in found.current if e.kind == "reading" and e.step == step]
    stand = [e for e in mine if e.id in used or (not e.used and not _withdrawn(found, e))]
    return sorted(stand, key=when)


def _withdrawn(found: JobHistory, entry: RecordEntry) -> bool:
    """Whether the line only says that an older one, left as it was, does not count any more."""
    old = next((e for e in found.entries if e.uid == entry.corrects_uid), None)
    words = [(e.text, e.unit, e.subject, e.other, e.sort, e.axis) for e in (entry, old) if e]
    return not entry.used and len(words) == 2 and words[0] == words[1]


def taken_rows(
    job: Job, number: int, entries: Collection[RecordEntry], moves: Mapping[str, int] | None = None,
    *, current: Collection[RecordEntry] = (),
) -> tuple[TakenRow, ...]:  # fmt: skip
    """The readings of a step as they were entered, and how each stands beside the plan.

    Args:
        job: the plan, opened.
        number: of the step.
        entries: the readings.
        moves: tubes that the builder tacks at another step.
        current: every line of the job that stands, also what somebody else read between the same marks.

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
                line=e.id, uid=e.uid, kind=e.sort or e.kind, a=e.subject, b=e.other, axis=e.axis,
                says=says(e),
                start="" if e.value is None else entry_of(kind, e.value, job.cage.units), used=e.used,
                why=e.why, by=e.by, taken=e.taken, verdict=verdict, level=level,
                also=also_read(current, e),
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
