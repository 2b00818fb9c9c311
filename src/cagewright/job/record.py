"""The shop's record: its jobs and their history, what was read and ticked at a step."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal, get_args

from cagewright.base.answers import Answer
from cagewright.base.names import named, shown
from cagewright.base.problems import Problem, ProblemsFound
from cagewright.records.entries import (
    Hand,
    add_hours,
    add_inspected,
    add_note,
    add_photo,
    add_reading,
    correct,
    sign,
    still_as_signed,
    tick,
)
from cagewright.records.fitting import read_at, says, when
from cagewright.records.jobs import add_revision, all_jobs, history, new_job
from cagewright.records.judging import ago
from cagewright.records.links import step_target
from cagewright.records.opening import Record, opened
from cagewright.records.photos import kept_photo, photo_file
from cagewright.records.rows import LONGEST
from cagewright.records.types import (
    Axis,
    Kept,
    PlanText,
    ReadingSort,
    RecordEntry,
    ShopJob,
    TickKind,
)

if TYPE_CHECKING:
    from cagewright.job.opening import Job

__all__ = ["Hand", "ago", "photo_file", "step_target"]
TICKS: tuple[TickKind, ...] = get_args(TickKind)
MOST_NOTE = LONGEST
"""Letters of a note."""
SORTS: tuple[ReadingSort, ...] = ("tape", "level", "lean", "place")


@dataclass(frozen=True, slots=True, kw_only=True)
class LineAnswer(Answer):
    """A line that was kept.

    Attributes:
        wrong: what is wrong with it, in words; empty where it is used.
        says: of a reading, as entered, with its unit; else empty.
        also: what somebody else read between the same marks, in words; else empty.
    """

    entry: RecordEntry
    wrong: tuple[str, ...] = ()
    says: str = ""
    also: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedAnswer(LineAnswer):
    """A signature that was kept.

    Attributes:
        covers: what it stands for, in words.
        leaves: what it does not, in words.
    """

    covers: tuple[str, ...] = ()
    leaves: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsAnswer(Answer):
    """Jobs of the record, in the order they were entered."""

    jobs: tuple[ShopJob, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionRow:
    """A plan as it stood, without its text."""

    uid: str
    mark: str
    file: str
    note: str
    by: str
    entered: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HistoryRow:
    """A line of a job's history.

    Attributes:
        what: it is about, in words.
        said: what it says, with its unit.
        plan: mark of the revision that was on the bench.
        unchanged_since_signed: of a sign-off, whether all before it stands as it was signed; else None.
    """

    entry: RecordEntry
    what: str
    said: str
    plan: str
    unchanged_since_signed: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class HistoryAnswer(Answer):
    """What is recorded of a job."""

    job: ShopJob
    revisions: tuple[RevisionRow, ...]
    lines: tuple[HistoryRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OnBench:
    """The plan that is on the bench.

    Attributes:
        file: its path from the shop folder.
        text: its own.
        job: what it came to; None where it has problems.
        moves: tubes that the builder tacks at another step than proposed.
    """

    file: str
    text: str
    job: Job | None
    moves: Mapping[str, int] = field(default_factory=dict[str, int])


# --- jobs


def start_job(
    where: str, name: str, *, by: str, customer: str = "", reference: str = "", title: str = "",
    units: Literal["mm", "in"] = "mm", bench: OnBench | None = None,
) -> JobsAnswer:  # fmt: skip
    """A new job, the plan on the bench in it; the record is made where there is none.

    Raises:
        ProblemsFound: the name is taken or empty, nobody is named, or the record cannot be written.
    """
    if bench is not None and bench.job is not None:
        units, title = bench.job.plan.units, bench.job.cage.title
    with opened(where, create=True) as record:
        made = new_job(record, name, by=by, customer=customer, reference=reference, title=title, units=units)
        _note_plan(record, made.name, bench, by)
    return JobsAnswer(headline=f"Job {made.name} is entered.", jobs=(made,))


def _note_plan(record: Record, job: str, bench: OnBench | None, by: str) -> None:
    """Put the plan as it stands into the job; nothing where its newest revision says the same."""
    if bench is not None and bench.job is not None:
        mark, others = bench.job.cage.revision, _beside(bench.job.path, bench.text)
        add_revision(record, job, mark=mark, file=bench.file, text=bench.text, by=by, others=others)


def _beside(path: Path, text: str) -> list[PlanText]:
    """The files that a plan is made of beside its own: those it includes, and its shop file."""
    # what reads plans takes a second to load, which entering a reading need not wait for
    from cagewright.plan.files import gather
    from cagewright.plan.read import reading_of_source
    from cagewright.plan.text import parse

    main = parse(text, file=path.name)
    read = gather(main, path.parent).sources
    others = [PlanText(path=s.file, text=s.text) for s in read if s.file != main.file]
    shop = reading_of_source(main, path.parent).sections.shop
    if shop and (path.parent / shop).is_file():
        others.append(PlanText(path=shop, text=(path.parent / shop).read_text(encoding="utf-8")))
    return others


def jobs_in(where: str, *, file: str | None = None) -> JobsAnswer:
    """The jobs; only those whose newest plan is that file (its path from the shop folder), where given.

    Raises:
        ProblemsFound: the record is not there, damaged or cannot be reached.
    """
    with opened(where) as record:
        jobs = tuple(j for j in all_jobs(record) if file is None or _file_of(record, j.name) == file)
    return JobsAnswer(headline=f"{len(jobs)} jobs.", jobs=jobs)


def _file_of(record: Record, job: str) -> str:
    plans = history(record, job).revisions
    return plans[-1].file if plans else ""


def file_of_job(where: str, name: str) -> str:
    """The plan file of that job's newest revision; empty where there is none.

    Raises:
        ProblemsFound: there is no such job, or the record is damaged.
    """
    with opened(where) as record:
        return _file_of(record, name)


def keep_plan(where: str, job: str, plan: Path, *, by: str, note: str = "") -> RevisionRow:
    """The plan as it stands with the files it is made of, kept.

    Raises:
        ProblemsFound: there is no such job, the plan has problems, or the record cannot be written.
    """
    # what works plans out takes a second to load, which entering a reading need not wait for
    from cagewright.job.opening import open_job

    with opened(where) as record:
        mark, text = open_job(plan).cage.revision, plan.read_text(encoding="utf-8")
        kept = add_revision(
            record, job, mark=mark, file=plan.name, text=text, by=by, others=_beside(plan, text), note=note
        )
    return RevisionRow(**{
        key: getattr(kept, key) for key in ("uid", "mark", "file", "note", "by", "entered")
    })


def history_of(where: str, job: str, *, whole: bool = False) -> HistoryAnswer:
    """What is recorded of a job: the lines that stand, or all of them.

    Raises:
        ProblemsFound: there is no such job, or the record is damaged.
    """
    with opened(where) as record:
        found = history(record, job)
        current = [e for e in found.current if e.kind == "sign-off" and e.used]
        signed = {e.id: still_as_signed(record, e) for e in current}
    marks = {r.uid: r.mark for r in found.revisions}
    return HistoryAnswer(
        headline=f"{found.job.name}, {len(found.revisions)} plan revisions",
        level="fine" if all(signed.values()) else "fail",
        job=found.job,
        revisions=tuple(
            RevisionRow(uid=r.uid, mark=r.mark, file=r.file, note=r.note, by=r.by, entered=r.entered)
            for r in found.revisions
        ),
        lines=tuple(
            HistoryRow(
                entry=e, what=_what(e), said=says(e) if e.kind == "reading" else e.text,
                plan=marks.get(e.revision_uid or "", ""), unchanged_since_signed=signed.get(e.id),
            )
            for e in (found.entries if whole else found.current)
        ),
    )  # fmt: skip


def _what(entry: RecordEntry) -> str:
    ends = " to ".join(shown(w) for w in (entry.subject, entry.other) if w)
    about = ends if entry.kind == "reading" else entry.subject
    if entry.kind == "inspection":
        about = f"{entry.subject} of {entry.other}"
    return " ".join(w for w in (entry.sort or entry.kind, about, entry.axis) if w)


# --- lines


def keep_reading(
    where: str, job: str, marks: tuple[str, str], text: str, *, hand: Hand, unit: str = "",
    sort: ReadingSort = "tape", axis: Axis = "", known: Collection[str] | None = None,
    bench: OnBench | None = None,
) -> LineAnswer:  # fmt: skip
    """The reading, kept as entered; a reading of the same marks that stood before stays in the history.

    Args:
        where: the record.
        job: its name.
        marks: the two marks as the plan has them or as they are shown; the second is empty for a place.
        text: as read off the tape.
        hand: who, when, where.
        unit: of ``text``; empty for the job's own, degrees for a lean.
        sort: what sort of reading it is.
        axis: of a lean or a place.
        known: marks that there are; None where they are not known.
        bench: the plan that it was taken on.

    Raises:
        ProblemsFound: there is no such job or step, nobody is named, or the record cannot be written.
    """
    first, second = (named(m, known) if known and m else m for m in marks)
    with opened(where) as record:
        _at_step(record, job, hand, bench)
        kept = add_reading(
            record, job, (first, second), text, hand=hand, unit=unit, sort=sort, axis=axis, known=known
        )
        return _kept(kept, also_read(history(record, job).current, kept.entry))


def also_read(current: Collection[RecordEntry], entry: RecordEntry) -> str:
    """What somebody else read between the same marks at the same step, and which of the two counts."""
    theirs = [
        e for e in current
        if e.kind == "reading" and e.used and e.step == entry.step and read_at(e) == read_at(entry)
        and e.by != entry.by and e.value != entry.value
    ]  # fmt: skip
    if not theirs or not entry.used:
        return ""
    other = max(theirs, key=when)
    counts = "the later one counts" if when(other) < when(entry) else "that later one counts"
    return f"{other.by} read {says(other)} {'before' if when(other) < when(entry) else 'after'}: {counts}"


def _kept(kept: Kept, also: str = "") -> LineAnswer:
    words = f"Line {kept.entry.id} is kept" + (" as entered and not used." if kept.wrong else ".")
    return LineAnswer(
        headline=words, level="look at" if kept.wrong else "fine", entry=kept.entry, wrong=kept.wrong,
        says=says(kept.entry), also=also,
    )  # fmt: skip


def known_marks(plan: Path | Job | None, listed: Path | None = None) -> frozenset[str] | None:
    """The marks that there are, of the plan and of a list, one a line; None where neither is given.

    Raises:
        ProblemsFound: the plan has problems.
    """
    if plan is None and listed is None:
        return None
    lines = listed.read_text(encoding="utf-8", errors="replace").splitlines() if listed else []
    names = {line.strip() for line in lines if line.strip() and not line.startswith("#")}
    if plan is not None:
        from cagewright.job.marks import marks_for
        from cagewright.job.opening import Job, open_job

        names |= {mark.name for mark in marks_for(plan if isinstance(plan, Job) else open_job(plan))}
    return frozenset(names)


def keep_tick(
    where: str, job: str, what: str, done: TickKind, *, hand: Hand, bench: OnBench | None = None
) -> LineAnswer:
    """The tick of what was tacked, checked, welded or the like, held to the plan that the job keeps.

    Raises:
        ProblemsFound: there is no such job, nobody is named, the plan has no such thing or step, or the
            record cannot be written.
    """
    # what works plans out takes a second to load, which a job without a plan need not wait for
    from cagewright.job.against import UNCHECKED, refused

    with opened(where) as record:
        _note_plan(record, job, bench, hand.by)
        checked = _held_to(
            record, job, hand, bench,
            lambda plan, moves: refused(plan, what, done, hand.step, record=record.name, moves=moves),
        )  # fmt: skip
        kept = tick(record, job, what, done, hand=hand)
    doubt = "" if checked else f"; {UNCHECKED}"
    return LineAnswer(headline=f"Line {kept.id}: {done} {shown(what)}{doubt}.", entry=kept)


def _at_step(record: Record, job: str, hand: Hand, bench: OnBench | None) -> None:
    """Put the plan as it stands into the job, and hold the line's step to the plan that the job keeps.

    Raises:
        ProblemsFound: that plan has no such step.
    """
    _note_plan(record, job, bench, hand.by)
    if hand.step:
        from cagewright.job.against import strange_steps

        _held_to(
            record, job, hand, bench,
            lambda plan, moves: strange_steps(plan, [hand.step], record=record.name, moves=moves),
        )  # fmt: skip


def _held_to(
    record: Record, job: str, hand: Hand, bench: OnBench | None,
    wrong_in: Callable[[Job, Mapping[str, int]], Iterable[Problem]],
) -> bool:  # fmt: skip
    """Whether the job keeps a plan that can be worked out; a line that is not sent again is held to it.

    Raises:
        ProblemsFound: what is wrong with the line by that plan.
    """
    found = history(record, job)
    if not found.revisions:
        return False
    from cagewright.job.against import job_kept

    plan = job_kept(found, bench.job if bench else None)
    if plan is not None and all(e.uid != hand.uid for e in found.entries):
        wrong = tuple(wrong_in(plan, bench.moves if bench else {}))
        if wrong:
            raise ProblemsFound(wrong)
    return plan is not None


def keep_photo(where: str, job: str, photo: str, *, hand: Hand, of: str = "") -> LineAnswer:
    """The reference to a photo; of a file its SHA-256 is kept too.

    Raises:
        ProblemsFound: there is no such job or step, nobody is named, or the record cannot be written.
    """
    sha256 = ""
    if "://" not in photo and Path(photo).is_file():
        with Path(photo).open("rb") as stream:
            sha256 = hashlib.file_digest(stream, "sha256").hexdigest()
    with opened(where) as record:
        _at_step(record, job, hand, None)
        kept = add_photo(record, job, photo, of=of, sha256=sha256, hand=hand)
    return LineAnswer(headline=f"Line {kept.id}: photo {photo}.", entry=kept)


def keep_photo_sent(
    where: str, job: str, data: bytes, called: str, *, folder: Path, hand: Hand, of: str = "",
    bench: OnBench | None = None,
) -> LineAnswer:  # fmt: skip
    """The photo itself, in the folder of photos, and the reference to it.

    Args:
        where: the record.
        job: its name.
        data: the picture.
        called: what the builder calls its file.
        folder: the one that the record is in.
        hand: who, when, where.
        of: what it shows.
        bench: the plan that was on the bench.

    Raises:
        ProblemsFound: it is no picture or too large, no such job or step, nobody is named, or nothing can be
            written.
    """
    stem = re.sub("[^a-z0-9]+", "-", f"{job}-step-{hand.step or '0'}".lower()).strip("-")[:60]
    with opened(where) as record:
        _at_step(record, job, hand, bench)
        reference, sha256 = kept_photo(folder, data, stem=stem, called=called)
        kept = add_photo(record, job, reference, of=of, sha256=sha256, hand=hand)
    return LineAnswer(headline=f"Line {kept.id}: photo {reference}.", entry=kept)


def keep_hours(
    where: str, job: str, said: str, *, hand: Hand, of: str = "", bench: OnBench | None = None
) -> LineAnswer:
    """The time that was worked.

    Raises:
        ProblemsFound: it is no time worked, no such job or step, nobody is named, or the record cannot be
            written.
    """
    with opened(where) as record:
        _at_step(record, job, hand, bench)
        kept = add_hours(record, job, said, of=of, hand=hand)
    return LineAnswer(headline=f"Line {kept.id}: {hours_said(kept.value)} by {kept.by}.", entry=kept)


def hours_said(hours: float | None) -> str:
    """The time worked as it is read, ``1.5 h``."""
    return f"{round(hours or 0.0, 2):g} h"


def keep_note(
    where: str, job: str, text: str, *, hand: Hand, of: str = "", bench: OnBench | None = None
) -> LineAnswer:
    """The note.

    Raises:
        ProblemsFound: there is no such job or step, nobody is named, or the record cannot be written.
    """
    with opened(where) as record:
        _at_step(record, job, hand, bench)
        kept = add_note(record, job, text, of=of, hand=hand)
    return LineAnswer(headline=f"Line {kept.id}: noted.", entry=kept)


def keep_inspected(
    where: str, job: str, book: str, row: str, text: str, *, hand: Hand, bench: OnBench | None = None
) -> LineAnswer:
    """What was read on the finished car for a row of a rule book; see ``job.inspection`` for its verdict.

    Raises:
        ProblemsFound: there is no such job or step, nobody is named, or the record cannot be written.
    """
    with opened(where) as record:
        _at_step(record, job, hand, bench)
        kept = add_inspected(record, job, book, row, text, hand=hand)
    return LineAnswer(headline=f"Line {kept.id}: {row} of {book} is {kept.text}.", entry=kept, says=kept.text)


def correct_line(
    where: str, job: str, line: int | str, *, hand: Hand, why: str, text: str | None = None,
    unit: str | None = None, marks: tuple[str, str] | None = None,
) -> LineAnswer:  # fmt: skip
    """The line that stands for an older one; withdrawn where nothing new is given.

    Raises:
        ProblemsFound: there is no such line or job, nobody is named, or the record cannot be written.
    """
    with opened(where) as record:
        return _kept(correct(record, job, line, hand=hand, why=why, text=text, unit=unit, marks=marks))


def sign_off(
    where: str, job: str, statement: str, *, hand: Hand, standing: str = "", seen: int | None = None,
    bench: OnBench | None = None,
) -> SignedAnswer:  # fmt: skip
    """The sign-off on all that the record says of a job so far; what it covers and does not is kept with it.

    Raises:
        ProblemsFound: no such job or step, nobody is named, the record cannot be written, or it has other
            than the ``seen`` lines.
    """
    # what works plans out takes a second to load
    from cagewright.job.signing import covered

    with opened(where) as record:
        _at_step(record, job, hand, bench)
        found = history(record, job)
        under = covered(found, bench.job, bench.moves) if bench else covered(found)
        note = "; ".join(w for w in (hand.note, *under.kept) if w)
        kept = sign(
            record, job, statement, hand=replace(hand, note=note[:MOST_NOTE]), standing=standing, seen=seen
        )
    return SignedAnswer(
        headline=f"Line {kept.id}: signed by {kept.by}.", entry=kept, covers=under.covers,
        leaves=under.leaves,
    )  # fmt: skip
