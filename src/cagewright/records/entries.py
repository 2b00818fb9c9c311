"""Lines of a job's history: readings, photos, ticks, notes, hours, corrections, sign-offs."""

from __future__ import annotations

import re
from collections.abc import Collection, Generator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select
from sqlalchemy.exc import IntegrityError

from cagewright.base.problems import Problem, ProblemsFound
from cagewright.records.hashing import chain_hash
from cagewright.records.jobs import job_row, newest_revision
from cagewright.records.judging import in_utc, judge, time_faults, worked
from cagewright.records.opening import Record, reading, utc_now, writing
from cagewright.records.rows import Row, append, fields_or_problems, keepable, rows_of, to_entry
from cagewright.records.tables import entries
from cagewright.records.troubles import problem
from cagewright.records.types import Axis, EntryKind, Kept, ReadingSort, RecordEntry, TickKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """Who did something, and when and where in the build order.

    Attributes:
        by: who.
        taken: when, as stated, ISO 8601 with its time zone; empty for now.
        step: of the build order; may be empty.
        note: anything else; may be empty.
        uid: the line's name where it has one already, 32 hexadecimal digits: a line that is here under it is
            the answer, and nothing is entered twice. Empty for a new one.
    """

    by: str
    taken: str = ""
    step: str = ""
    note: str = ""
    uid: str = ""


def add_reading(
    record: Record, job: str, marks: tuple[str, str], text: str, *, hand: Hand, unit: str = "",
    sort: ReadingSort = "tape", axis: Axis = "", known: Collection[str] | None = None,
) -> Kept:  # fmt: skip
    """The reading, kept as entered whatever it says; not used where something is wrong with it.

    Args:
        record: open.
        job: its name.
        marks: the two marks; the second is empty for a place.
        text: as read off the tape.
        hand: who, when, where.
        unit: of ``text``; empty for the job's own, degrees for a lean.
        sort: what sort of reading it is.
        axis: of a lean or a place.
        known: marks that there are; None where they are not known.

    Raises:
        ProblemsFound: no such job, nobody named, or a field too long to keep.
    """
    words = {"subject": marks[0], "other": marks[1], "text": text, "unit": unit, "taken": hand.taken}
    kept = fields_or_problems(record.name, words)
    with _entering(record, job, "reading", hand) as (connection, row, here):
        if here is not None:
            return Kept(entry=here, wrong=() if here.used else tuple(here.why.split("; ")))
        judged = judge(
            kept["text"], kept["unit"], sort=sort, axis=axis, job_units=row["units"],
            marks=(kept["subject"], kept["other"]), known=known, taken=kept["taken"],
        )  # fmt: skip
        own = kept["unit"] or ("deg" if sort == "lean" else row["units"])
        fields = {
            **kept, "kind": "reading", "unit": own, "sort": sort, "axis": axis, "value": judged.value,
            "used": not judged.wrong, "why": "; ".join(judged.wrong),
        }  # fmt: skip
        return Kept(entry=_add(connection, record, row, hand, fields), wrong=judged.wrong)


def add_photo(
    record: Record, job: str, reference: str, *, hand: Hand, of: str = "", sha256: str = ""
) -> RecordEntry:
    """The reference to a photo: its path or address, what it shows, and the SHA-256 of its file where known.

    Raises:
        ProblemsFound: no such job, or a field is empty or too long.
    """
    return _plain(record, job, "photo", hand, must=("text",), text=reference, subject=of, other=sha256)


def add_note(record: Record, job: str, text: str, *, hand: Hand, of: str = "") -> RecordEntry:
    """The note, of the member, joint or mark named, or of the whole job.

    Raises:
        ProblemsFound: no such job, or a field is empty or too long.
    """
    return _plain(record, job, "note", hand, must=("text",), text=text, subject=of)


def add_hours(record: Record, job: str, said: str, *, hand: Hand, of: str = "") -> RecordEntry:
    """The time that was worked, at the member, joint or step named, or on the whole job.

    Raises:
        ProblemsFound: no such job, a field is empty or too long, or it is no time that a man works in a day.
    """
    hours = worked(said)
    if isinstance(hours, str):
        wanted = "wanted hours such as 1.5, 1:30 or 45 min, a day at most"
        raise ProblemsFound([problem("no-hours", record.name, hours, wanted)])
    return _plain(record, job, "hours", hand, must=("text",), text=said, subject=of, unit="h", value=hours)


def add_inspected(record: Record, job: str, book: str, row: str, text: str, *, hand: Hand) -> RecordEntry:
    """What was read on the finished car for that row of a rule book.

    Raises:
        ProblemsFound: no such job, or a field is empty or too long.
    """
    return _plain(
        record, job, "inspection", hand, must=("subject", "text"), text=text, subject=row, other=book
    )


def tick(record: Record, job: str, what: str, done: TickKind, *, hand: Hand) -> RecordEntry:
    """The tick: that the joint, member or step ``what`` was tacked, checked or welded.

    Raises:
        ProblemsFound: no such job, or a field is empty or too long.
    """
    return _plain(record, job, "tick", hand, must=("subject",), text=done, subject=what)


def sign(
    record: Record, job: str, statement: str, *, hand: Hand, standing: str = "", seen: int | None = None
) -> RecordEntry:
    """The sign-off: a statement by the named person on all that the record says of the job so far.

    Its ``text`` is a digest of every line before it, so that it can be shown what was signed.

    Args:
        record: open.
        job: its name.
        statement: what is signed for.
        hand: who, when, where.
        standing: as what, e.g. ``welder`` or ``scrutineer``.
        seen: how many lines the signer has before him; None where he looks at the record itself.

    Raises:
        ProblemsFound: no such job, a field is empty or too long, or lines have come that he has not seen.
    """
    words = fields_or_problems(record.name, {"subject": statement, "other": standing}, must=("subject",))
    with _entering(record, job, "sign-off", hand) as (connection, row, here):
        if here is not None:
            return here
        lines = _hashes(connection, row["uid"], None)
        if seen is not None and seen != len(lines):
            found = f"the record has {len(lines)} lines and {seen} of them were seen by who signs"
            raise ProblemsFound([problem("not-seen", record.name, found, "wanted a look at the rest first")])
        return _add(connection, record, row, hand, {**words, "kind": "sign-off", "text": chain_hash(lines)})


def still_as_signed(record: Record, entry: RecordEntry) -> bool:
    """Whether all that stood before the sign-off stands there unchanged.

    Raises:
        ProblemsFound: the database refused.
    """
    with reading(record) as connection:
        return chain_hash(_hashes(connection, entry.job_uid, entry.id)) == entry.text


def _hashes(connection: Connection, job_uid: str, before: int | None) -> list[str]:
    wanted = [entries.c.job_uid == job_uid]
    if before is not None:
        wanted.append(entries.c.id < before)
    return list(connection.scalars(select(entries.c.seal).where(*wanted).order_by(entries.c.id)))


def correct(
    record: Record, job: str, number: int | str, *, hand: Hand, why: str, text: str | None = None,
    unit: str | None = None, marks: tuple[str, str] | None = None, known: Collection[str] | None = None,
    sort: ReadingSort | None = None, axis: Axis | None = None,
) -> Kept:  # fmt: skip
    """The line that from now on stands for an older one; the older one stays as it was.

    Without a new ``text`` or ``marks`` the line is withdrawn: it is kept and no longer counts.

    Args:
        record: open.
        job: its name.
        number: of the line that is wrong, or its uid.
        hand: who corrects it, and when.
        why: what was wrong.
        text: what it should say; the old one's where None.
        unit: of a reading; the old one's where None.
        marks: of a reading; the old one's where None.
        known: marks that there are; None where they are not known.
        sort: of a reading; the old one's where None.
        axis: of a reading; the old one's where None.

    Raises:
        ProblemsFound: no such job or line, it was corrected before, it is not to be changed, or no reason.
    """
    words = fields_or_problems(record.name, {"why": why, "text": text or ""}, must=("why",))
    withdrawn = all(new is None for new in (text, unit, marks, sort, axis))
    wrong: tuple[str, ...] = ()
    try:
        with _entering(record, job, None, hand) as (connection, row, here):
            if here is not None:
                return Kept(entry=here, wrong=())
            old = _line(connection, record, row, number)
            if withdrawn:
                fields = _withdrawn(old, words["why"])
            elif old.kind == "reading":
                new = _Reworded(
                    text=old.text if text is None else words["text"],
                    unit=old.unit if unit is None else unit.strip(),
                    marks=marks or (old.subject, old.other),
                    sort=sort or old.sort or "tape",
                    axis=old.axis if axis is None else axis,
                )
                fields, wrong = _reading_again(new, row, known, words["why"])
            else:
                fields = _said_again(record, old, words)
            return Kept(entry=_add(connection, record, row, hand, fields, of=old), wrong=wrong)
    except IntegrityError as clash:
        raise ProblemsFound([_corrected_before(record, number)]) from clash


_SAME = ("kind", "subject", "other", "text", "unit", "sort", "axis", "value")


def _withdrawn(old: RecordEntry, why: str) -> dict[str, Any]:
    return {**{key: getattr(old, key) for key in _SAME}, "used": False, "why": why}


def _said_again(record: Record, old: RecordEntry, words: dict[str, str]) -> dict[str, Any]:
    if old.kind in {"sign-off", "tick", "hours"} or not words["text"]:
        found = f"line {old.id} is a {old.kind}, which is not reworded"
        wanted = "wanted it withdrawn (nothing new in its place) and a new one entered"
        raise ProblemsFound([problem("not-to-be-changed", record.name, found, wanted)])
    return {**{key: getattr(old, key) for key in _SAME}, "text": words["text"], "why": words["why"]}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Reworded:
    """What a reading should have said."""

    text: str
    unit: str
    marks: tuple[str, str]
    sort: ReadingSort
    axis: Axis


def _reading_again(
    new: _Reworded, job: Row, known: Collection[str] | None, why: str
) -> tuple[dict[str, Any], tuple[str, ...]]:
    judged = judge(
        new.text, new.unit, sort=new.sort, axis=new.axis, job_units=job["units"], marks=new.marks, known=known
    )
    return {
        "kind": "reading", "subject": new.marks[0], "other": new.marks[1], "text": new.text, "unit": new.unit,
        "sort": new.sort, "axis": new.axis, "value": judged.value, "used": not judged.wrong,
        "why": "; ".join((why, *judged.wrong)),
    }, judged.wrong  # fmt: skip


def _line(connection: Connection, record: Record, job: Row, number: int | str) -> RecordEntry:
    """The job's line of that number or uid, which nothing corrects yet.

    Raises:
        ProblemsFound: there is none, or it was corrected before.
    """
    named = entries.c.uid == number if isinstance(number, str) else entries.c.id == number
    found = rows_of(connection, entries, named, entries.c.job_uid == job["uid"])
    if not found:
        raise ProblemsFound([
            problem(
                "no-line",
                record.name,
                f"the job has no line {number}",
                "wanted a line's number: see record show",
            )
        ])
    old = to_entry(found[0])
    later = rows_of(connection, entries, entries.c.corrects_uid == old.uid)
    if later:
        raise ProblemsFound([_corrected_before(record, number, later[0]["id"])])
    return old


def _corrected_before(record: Record, number: int | str, by: int | None = None) -> Problem:
    wanted = f"wanted line {by}, which stands for it now" if by else "wanted the line that stands for it now"
    return problem("corrected-before", record.name, f"line {number} has been corrected before", wanted)


def _plain(
    record: Record, job: str, kind: EntryKind, hand: Hand, *, must: tuple[str, ...],
    value: float | None = None, **words: str,
) -> RecordEntry:  # fmt: skip
    kept = fields_or_problems(record.name, words, must=must)
    with _entering(record, job, kind, hand) as (connection, row, here):
        return here or _add(connection, record, row, hand, {**kept, "kind": kind, "value": value})


@contextmanager
def _entering(
    record: Record, job: str, kind: EntryKind | None, hand: Hand
) -> Generator[tuple[Connection, Row, RecordEntry | None]]:
    """A connection to write by, the job's row, and the line where it is here already under its own name.

    Raises:
        ProblemsFound: there is no such job, the name is none, or it is another line's.
    """
    if hand.uid and not re.fullmatch("[0-9a-f]{32}", hand.uid):
        found, wanted = f"'{hand.uid[:40]}' is no name of a line", "wanted 32 hexadecimal digits"
        raise ProblemsFound([problem("no-uid", record.name, found, wanted)])
    with writing(record) as connection:
        row = job_row(connection, record.name, job)
        there = rows_of(connection, entries, entries.c.uid == hand.uid) if hand.uid else []
        here = to_entry(there[0]) if there else None
        if here and (here.job_uid != row["uid"] or kind not in {None, here.kind}):
            found = f"line {here.id} is here under that name with another content"
            raise ProblemsFound([problem("clash", record.name, found, "wanted a name of its own")])
        yield connection, row, here


def _add(
    connection: Connection,
    record: Record,
    job: Row,
    hand: Hand,
    fields: dict[str, Any],
    of: RecordEntry | None = None,
) -> RecordEntry:
    words = {"by": hand.by, "step": hand.step or (of.step if of else ""), "note": hand.note}
    taken = keepable(hand.taken).strip()
    if fields["kind"] != "reading" and time_faults(taken):
        raise ProblemsFound([
            problem("no-time", record.name, time_faults(taken)[0], "wanted a time such as 2026-03-01T09:30Z")
        ])
    whole: dict[str, Any] = {
        "subject": "", "other": "", "text": "", "unit": "", "sort": "", "axis": "",
        "value": None, "used": True, "why": "",
        **fields,
        **fields_or_problems(record.name, words, must=("by",)),
        "taken": in_utc(taken) if taken else utc_now(),
        "job_uid": job["uid"],
        "revision_uid": newest_revision(connection, job["uid"]),
        "corrects_uid": of.uid if of else None,
        **({"uid": hand.uid} if hand.uid else {}),
    }  # fmt: skip
    return to_entry(append(connection, entries, whole))
