"""The next car of a kind that was measured: which few readings to take on it, and what they say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from cagewright.base.answers import Answer, Level, Sentence, Value, figure
from cagewright.base.drawing import Drawing
from cagewright.base.names import listed, shown
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.say import say_length
from cagewright.base.sheet import Column, Paper, Table
from cagewright.base.units import LengthUnit
from cagewright.draft.measured import Measured, measured
from cagewright.draft.next_car import (
    SURE,
    BodyMove,
    Key,
    Kind,
    fewest_checks,
    found_from,
    kind_of,
)
from cagewright.draft.next_judged import Found, NextCar, NextJudged, judged
from cagewright.draft.scanned import with_scan
from cagewright.job.survey import OpenSurvey
from cagewright.make.survey_sheet import survey_pages
from cagewright.plan.readings import parts_of, points_of, reading_rows, row_named
from cagewright.plan.survey import SurveyFile, readings_of
from cagewright.plan.survey_text import body_text

CAUTION = (
    "The check readings find what is told here; a dent at one mark alone, rust, cracks and patches they do "
    "not. How far sound shells of a kind differ is ours, with no source, until several of it are measured."
)
LEVELS: Mapping[NextCar, Level] = {
    "the same": "fine", "differs": "look at", "bent": "fail", "cannot tell": "cannot tell",
}  # fmt: skip
WAYS = {"back": ("back", "forward"), "out": ("out", "in"), "up": ("up", "down")}


@dataclass(frozen=True, slots=True, kw_only=True)
class NextReading:
    """One reading to take on the next car.

    Attributes:
        reading: its key in the file.
        part: of it.
        title: in words, with its side or station.
        hold: how to hold the tape.
        expected: what it is on a sound car of the kind.
        read: what was read; None where it was not.
        off: how far that is off.
    """

    reading: str
    part: str
    title: str
    hold: str
    expected: Value
    read: Value | None
    off: Value | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NextCarAnswer(Answer):
    """What to read on the next car of a kind, and what that says.

    Attributes:
        verdict: ``the same``, ``differs``, ``bent``, ``cannot tell``; empty before anything is read.
        readings: to take.
        found: what stands elsewhere, in words.
        read_these: readings of the survey to take there now.
        finds: from what on they find what, in words.
        alike: how far a mark of one sound shell is taken to stand off another's.
        tables: all of these, laid out.
    """

    verdict: str
    readings: tuple[NextReading, ...]
    found: tuple[Sentence, ...]
    read_these: tuple[str, ...]
    finds: tuple[Sentence, ...]
    alike: Value
    tables: tuple[Table, ...]
    units: LengthUnit


def next_car(
    bodies: Sequence[OpenSurvey], car: OpenSurvey | None = None, *, find: float | None = None
) -> NextCarAnswer:
    """The check readings for the next car of a kind, and what those taken on it say.

    Args:
        bodies: measured ones of the kind, the first to compare with.
        car: the next one, as far as it is read; None before.
        find: how large a difference has to show, mm; five times what a sound car may be off, where not given.

    Raises:
        ProblemsFound: a file has problems, or too little of a body was read to compare another with.
    """
    first, kind = file_of(bodies[0]), _kind(bodies, None if car is None else file_of(car).tape)
    rows = fewest_checks(kind, find=find)
    read = {} if car is None else _read_on(file_of(car))
    said = judged(kind, {k: v for k, v in read.items() if k in kind.keys}, find=find) if read else None
    wanted = tuple(_reading(kind, i, read, first.units) for i in rows)
    more = tuple(
        _reading(kind, i, read, first.units)
        for i, key in enumerate(kind.keys)
        if key in read and i not in rows
    )
    found = tuple(_found_words(one, first.units) for one in said.found) if said else ()
    level: Level = LEVELS[said.verdict] if said else "fine"
    again = tuple(_read_these(said, first)) if said else ()
    far = _found_from(kind, rows, said)
    finds = tuple(_finds(far, first.units))
    least = say_length(max((v for v in far.values() if v < FAR), default=0.0), first.units, places=0)
    return NextCarAnswer(
        headline=_headline(said, len(rows), found, least), level=level, cautions=(CAUTION,),
        verdict=said.verdict if said else "", readings=(*wanted, *more),
        found=tuple(Sentence(words=w, level=level) for w in found), read_these=again, finds=finds,
        alike=figure(SURE * kind.alike, "length", first.units,
                     rests_on="assumed" if kind.bodies == 1 else "measured"),
        tables=_tables((*wanted, *more), again), units=first.units,
    )  # fmt: skip


def next_text(answer: NextCarAnswer, title: str) -> str:
    """The text of a body's file for the next car, with the readings to take first."""
    wanted = [(one.reading, one.part) for one in answer.readings]
    expected = {(one.reading, one.part): f"{one.expected.said} on a sound one" for one in answer.readings}
    return body_text(title, answer.units, wanted, expected)


def next_pages(answer: NextCarAnswer, paper: Paper) -> tuple[Drawing, ...]:
    """The survey sheet of the readings to take, each with its picture of where."""
    ids = {one.reading for one in answer.readings}
    return survey_pages(paper, tuple(row for row in reading_rows() if row.id in ids))


def file_of(body: OpenSurvey) -> SurveyFile:
    """What the file says, with what its scan gives.

    Raises:
        ProblemsFound: it has problems.
    """
    if body.survey is None:
        raise ProblemsFound(body.problems)
    return with_scan(body.survey, body.path.parent).survey.file


def _kind(bodies: Sequence[OpenSurvey], tape: float | None) -> Kind:
    files = [file_of(body) for body in bodies]
    found = [_whole(file, body) for file, body in zip(files, bodies, strict=True)]
    if all(one.settled.points for one in found):
        kind = kind_of(found, tape=files[0].tape if tape is None else tape)
        if kind.keys:
            return kind
    where = Where(file=bodies[0].path.name)
    said, wanted = "too little of the body was read", "wanted marks that a tape reaches between"
    raise ProblemsFound([Problem(code="next-car", where=where, found=said, wanted=wanted)])


def _whole(file: SurveyFile, body: OpenSurvey) -> Measured:
    """The body as measured.

    Raises:
        ProblemsFound: a reading of it has to be taken again first.
    """
    found = measured(file)
    if wrong := next((n for n in found.notes if n.kind in ("impossible", "slip")), None):
        where = Where(file=body.path.name)
        raise ProblemsFound([Problem(code="next-car", where=where, found=wrong.found, wanted=wrong.advice)])
    return found


def _read_on(file: SurveyFile) -> dict[Key, float]:
    """Every reading of one number that was taken."""
    every = {
        (row.id, part): readings_of(file, row.id)[part] for row in reading_rows() for part in parts_of(row)
    }
    return {key: v[0] for key, v in every.items() if len(v) == 1 and v[0] is not None}


def _reading(kind: Kind, i: int, read: Mapping[Key, float], units: LengthUnit) -> NextReading:
    id, part = kind.keys[i]
    row, value = row_named(id), read.get((id, part))
    sure = SURE * float(np.sqrt(kind.covariance[i, i]))
    off = None if value is None else value - float(kind.expected[i])
    return NextReading(
        reading=id, part=part, title=f"{row.title}: {shown(part)}" if part else row.title, hold=row.hold,
        expected=figure(float(kind.expected[i]), "length", units, places=0, plus_minus=sure),
        read=None if value is None else figure(value, "length", units, places=0, rests_on="measured"),
        off=None if off is None else figure(off, "length", units, places=0, rests_on="measured"),
    )  # fmt: skip


# --- in words


def _headline(said: NextJudged | None, count: int, found: tuple[str, ...], least: str) -> str:
    if said is None:
        return f"{count} readings tell whether the next car is the same, to {least}"
    taken = f"by {len(said.off)} readings"
    if said.verdict == "the same":
        return f"the same {taken}: no part of it stands {least} elsewhere, or more"
    if said.doubted is not None:
        return f"cannot tell: read {_key_words(said.doubted)} again, it alone does not go with the others"
    if said.verdict == "cannot tell":
        return f"cannot tell {taken}: {listed(_parts(said.unseen))} would not show"
    if said.verdict == "bent":
        return f"this shell is bent, look before you buy: {found[0]}"
    alone = f" (only {_key_words(said.only)} says so: read that again first)" if said.only else ""
    return f"this one differs here, read these: {found[0]}{alone}"


def _key_words(key: Key) -> str:
    return ", ".join(filter(None, (f"‘{row_named(key[0]).title}’", shown(key[1]))))


def _parts(moves: Sequence[BodyMove]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(move.part for move in moves))


MOST_OTHERS = 3
"""So many other readings of the same figures are told."""
SIDES = {"both": "", "left": " on the left alone", "right": " on the right alone", "whole": ""}


def _found_words(one: Found, units: LengthUnit) -> str:
    """``front feet on the left alone: 24 ± 9 mm further back``; and what it may be instead."""
    far = figure(abs(one.far), "length", units, places=0, plus_minus=one.out).said
    others = tuple(dict.fromkeys(_move_words(m, one.far, "") for m in one.alike))
    told = f", or else {'; '.join(others[:MOST_OTHERS])}" if others else ""
    return _move_words(one.move, one.far, f"{far} ") + told


def _move_words(move: BodyMove, far: float, size: str) -> str:
    if move.side == "whole":
        return f"the whole shell {size}{move.part}"
    return f"{move.part}{SIDES[move.side]} {size}further {WAYS[move.way][int(far < 0.0)]}"


def _read_these(said: NextJudged, first: SurveyFile) -> Iterator[str]:
    """The readings of the survey at what may stand elsewhere, or what the readings taken leave unseen."""
    if said.doubted is not None:
        yield _key_words(said.doubted)
        return
    if said.only is not None:
        yield _key_words(said.only)
    moves = [m for one in said.found for m in (one.move, *one.alike)] or list(said.unseen)
    points = {name for move in moves for name in move.points}
    for row in reading_rows():
        if any(name in points for part in parts_of(row) for name in points_of(row, part)):
            yield row.title


FAR = 1000.0
"""What is found from here on only is not looked at, mm."""


def _found_from(kind: Kind, rows: Sequence[int], said: NextJudged | None) -> dict[str, float]:
    """From how far on each part of the body is found by its worst way, mm."""
    taken = [i for i, key in enumerate(kind.keys) if key in said.off] if said else rows
    worst: dict[str, float] = {}
    for move, far in zip(kind.moves, found_from(kind, taken), strict=True):
        if move.side != "whole":
            worst[move.part] = max(worst.get(move.part, 0.0), float(far))
    return worst


def _finds(worst: Mapping[str, float], units: LengthUnit) -> Iterator[Sentence]:
    for part, far in worst.items():
        told = far < FAR
        words = f"found from {say_length(far, units, places=0)} on" if told else "not looked at"
        yield Sentence(words=f"{part}: {words}", level="fine" if told else "cannot tell")


def _tables(readings: Sequence[NextReading], again: Sequence[str]) -> tuple[Table, ...]:
    heads = ("reading", "on a sound one", "read", "off")
    rows = tuple((r.title, r.expected.said, r.read.said if r.read else "", r.off.said if r.off else "")
                 for r in readings)  # fmt: skip
    first = Table(title="Check readings", columns=tuple(Column(head=h) for h in heads), rows=rows)
    more = Table(title="Read these", columns=(Column(head="reading"),), rows=tuple((one,) for one in again))
    return (first, more) if again else (first,)
