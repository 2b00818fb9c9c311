"""What a survey of the stripped shell says: every reading, what is doubtful, and the points it gives."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from hashlib import blake2b
from pathlib import Path
from typing import Any, Literal, cast

from cagewright.base.answers import Answer, Level, Value, figure
from cagewright.base.drawing import Drawing
from cagewright.base.names import listed, shown
from cagewright.base.problems import Problem, ProblemsFound
from cagewright.base.say import good_to, say
from cagewright.base.sheet import Paper
from cagewright.base.units import LengthUnit, QuantityError, parse
from cagewright.draft.measured import Measured, measured
from cagewright.draft.scanned import with_scan
from cagewright.draft.sense import plausible
from cagewright.draft.telling import GRAVE, Kind, SurveyNote
from cagewright.job.books import BookRow, books
from cagewright.job.wishes import SurveyField, fields_of
from cagewright.make.survey_sheet import SKETCH, TITLE, sketch_of, survey_pages
from cagewright.make.svg import to_svg
from cagewright.plan.readings import ReadingRow, parts_of, reading_rows, row_named
from cagewright.plan.survey import (
    BODY,
    TWICE,
    UNREAD,
    Survey,
    SurveyFile,
    read_survey_text,
    readings_of,
    where_read,
)
from cagewright.plan.survey_text import blank_survey, survey_text
from cagewright.plan.text import parse as parse_text
from cagewright.plan.write import Document, load_document, save, set_value

SHEET_TITLE = TITLE
NEEDS = {
    "must": "No plan can be drafted without it.",
    "should": "Without it a part of the cage is left out, or stands where the other readings put it.",
    "check": "Shows a slip in the others.",
}
TAGS: Mapping[Kind, str] = {
    "impossible": "cannot be", "slip": "does not fit", "range": "not plausible", "missing": "not read",
    "stood in": "taken from elsewhere", "unchecked": "nothing checks it", "uneven": "uneven",
    "scan": "not used",
}  # fmt: skip
Mark = Literal["wrong", "done", "begun", "must", "open"]
"""How far a reading has come."""
SURE = 2.0
"""A point's figures are told with this many standard deviations either way."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingNote:
    """One thing to know about a survey.

    Attributes:
        kind: what it is about.
        tag: the same in two or three words.
        level: how it stands: ``fail`` is to be taken again.
        reading: which reading; ``distances`` for a plain distance.
        line: of the survey's file; None where it is not in it.
        advice: what to do, or what it matters for.
    """

    kind: Kind
    tag: str
    level: Level
    reading: str
    part: str
    line: int | None
    found: str
    advice: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingField:
    """One number of a reading.

    Attributes:
        value: which: back, half, up, ...
        label: the same over its field.
        text: as it stands in the file, without the file's own unit; empty where it is not read.
        unit: of a number without one.
        mm: as read, mm or rad; None where it is not.
    """

    value: str
    label: str
    text: str
    unit: str
    plausible: str
    mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingPart:
    """The side or station of a reading: its key, its name as read, and its numbers.

    Attributes:
        from_scan: that it was taken off the scan, with its values where the file has none; else empty.
    """

    part: str
    side: str
    fields: tuple[ReadingField, ...]
    from_scan: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyReading:
    """One reading with its fields and what is said of it.

    Attributes:
        number: on the sheet, from 1.
        id: its key in the file.
        title: in a few words.
        hold: how to hold the tape.
        used: what it is used for.
        need: ``must``, ``should`` or ``check``; and why, in words.
        checked_by: titles of the readings that show a slip in it.
        done: all of it is read.
        begun: some of it is.
        mark: ``wrong``, ``done``, ``begun``, ``must`` or ``open``.
        state: the same in words.
    """

    number: int
    id: str
    title: str
    hold: str
    used: str
    need: str
    need_words: str
    checked_by: tuple[str, ...]
    parts: tuple[ReadingPart, ...]
    done: bool
    begun: bool
    mark: Mark
    state: str
    level: Level
    notes: tuple[ReadingNote, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredPoint:
    """A point of the car that the readings give.

    Attributes:
        shown: its name as read.
        at: back, across and up, mm.
        said: the same in the units of the tape, with what they may be out.
        mirrored: taken from the other side.
    """

    name: str
    shown: str
    at: tuple[float, float, float]
    said: tuple[Value, Value, Value]
    mirrored: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyAnswer(Answer):
    """A survey as it stands.

    Attributes:
        mark: tells its text from every other.
        problems: of the text; with any there is no more.
        title: of the plan to come.
        datum: what is measured from.
        readings: in the order they are taken.
        done: how many are read.
        missing: titles of those that no plan can be drafted without.
        besides: those that belong to no reading.
        points: that the readings give.
        scatter: of the readings over what the tape is taken to be out; about 1 for a sound set.
        from_scan: readings that were taken from the scan, in words.
        car: what the file says of car and driver, as fields.
        wishes: what the builder wishes for.
        books: rule books that may be named.
    """

    file: str
    mark: str
    problems: tuple[Problem, ...] = ()
    title: str = ""
    datum: str = ""
    units: LengthUnit = "mm"
    readings: tuple[SurveyReading, ...] = ()
    done: int = 0
    missing: tuple[str, ...] = ()
    notes: tuple[ReadingNote, ...] = ()
    besides: tuple[ReadingNote, ...] = ()
    points: tuple[MeasuredPoint, ...] = ()
    scatter: float | None = None
    from_scan: tuple[str, ...] = ()
    car: tuple[SurveyField, ...] = ()
    wishes: tuple[SurveyField, ...] = ()
    books: tuple[BookRow, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenSurvey:
    """A survey's file as it stands.

    Attributes:
        survey: as read; None where the text has problems.
        body: the text of its body's file, where it names one that can be read.
    """

    path: Path
    document: Document
    survey: Survey | None
    problems: tuple[Problem, ...] = ()
    body: Document | None = None

    @property
    def mark(self) -> str:
        """Tells this text, and its body's, from every other."""
        text = self.document.text + (self.body.text if self.body else "")
        return blake2b(text.encode("utf-8", "replace"), digest_size=8).hexdigest()

    @property
    def body_path(self) -> Path | None:
        """Its body's file, where it names one."""
        return None if self.body is None else self.path.parent / str(self.document.source.data["body"])

    @property
    def readings_in(self) -> Document:
        """The text that its readings stand in."""
        return self.body or self.document

    @property
    def units(self) -> LengthUnit:
        """Of a number without one."""
        return self.document.source.units


def open_survey(path: Path) -> OpenSurvey:
    """The survey in that file, or the body by itself.

    Raises:
        ProblemsFound: the file is not YAML with keys at its top.
    """
    document = load_document(path)
    return _opened(path, document, _body_of(path, document))


def _body_of(path: Path, document: Document) -> Document | None:
    """The text of the body's file that a survey names beside it, where there is one that can be read."""
    named = document.source.data.get("body")
    if BODY in document.source.data or not isinstance(named, str) or Path(named).name != named:
        return None
    try:
        return load_document(path.parent / named)
    except ProblemsFound:
        return None


def body_named(path: Path) -> Path | None:
    """The body's file that the survey's file names; None for none, or one that cannot be read."""
    try:
        return open_survey(path).body_path
    except ProblemsFound:
        return None


def _opened(path: Path, document: Document, body: Document | None) -> OpenSurvey:
    name = str(document.source.data.get("body"))
    try:
        other = None if body is None else parse_text(body.text, file=name)
        survey = read_survey_text(document.text, file=path.name, folder=path.parent, body=other)
    except ProblemsFound as found:
        return OpenSurvey(path=path, document=document, survey=None, problems=found.problems, body=body)
    return OpenSurvey(path=path, document=document, survey=survey, body=body)


Edit = Callable[[Document], Document]


def tried(survey: OpenSurvey, edit: Edit, *, readings: bool = False) -> OpenSurvey:
    """The survey after the edit; nothing is saved.

    Args:
        survey: as it stands.
        edit: of its text.
        readings: the edit is of readings, which stand in its body's file where it names one.

    Raises:
        ProblemsFound: the edit cannot be made, or is of what the body's own file says.
    """
    document, body = survey.document, survey.body
    if readings and body is not None:
        body = edit(body)
    else:
        document = edit(document)
    after = _opened(survey.path, document, body)
    if any(problem.code == TWICE for problem in after.problems):
        raise ProblemsFound(after.problems)
    return after


def saved(survey: OpenSurvey) -> OpenSurvey:
    """The survey, written into its file, and what its body's file says into that where it was changed."""
    save(survey.document, survey.path)
    if survey.body is not None and survey.body_path is not None:
        save(survey.body, survey.body_path)
    return survey


# --- the answer


def survey_answer(survey: OpenSurvey) -> SurveyAnswer:
    """What the survey says, what is doubtful in it, and the points it gives; with problems only these."""
    if survey.survey is None:
        count = len(survey.problems)
        return SurveyAnswer(
            headline=f"the survey has {count} problem{'' if count == 1 else 's'}", level="fail",
            file=survey.path.name, mark=survey.mark, problems=survey.problems, title=survey.path.stem,
        )  # fmt: skip
    read, taken, notes = survey.survey, (), ()
    try:
        scanned = with_scan(survey.survey, survey.path.parent)
        read, taken = scanned.survey, scanned.names
    except ProblemsFound as found:
        notes = tuple(
            SurveyNote(kind="scan", reading="", part="", found=p.found, advice=p.wanted)
            for p in found.problems
        )
    found = measured(read.file)
    notes = tuple(_note(note, survey.survey) for note in (*notes, *found.notes))
    rows = tuple(_reading(n, row, survey, notes, read.file) for n, row in enumerate(reading_rows(), 1))
    missing = tuple(row.title for row in rows if row.need == "must" and not row.done)
    again = len({(note.reading, note.part) for note in notes if note.level == "fail" and note.kind != "scan"})
    done = sum(row.done for row in rows)
    file = survey.survey.file
    car, wishes = fields_of(file, survey.document) if survey.survey.job else ((), ())
    return SurveyAnswer(
        headline=_headline(again, missing, done, len(rows), job=survey.survey.job),
        level="fail" if any(n.level == "fail" for n in notes) else "look at" if missing else "fine",
        file=survey.path.name,
        mark=survey.mark,
        title=file.title,
        datum=file.datum,
        units=file.units,
        readings=rows,
        done=done,
        missing=missing,
        notes=notes,
        besides=tuple(n for n in notes if n.reading not in {row.id for row in rows}),
        points=_points(found, file.units),
        scatter=found.scatter,
        from_scan=tuple(in_words(name) for name in taken),
        car=car,
        wishes=wishes,
        books=books(survey.path.parent).books,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedBody(Answer):
    """A body's file that is about to be changed, and who follows it.

    Attributes:
        body: its file.
        surveys: files of other surveys that name it.
        plans: titles of plans laid out from any of them.
    """

    body: str
    surveys: tuple[str, ...]
    plans: tuple[str, ...]


def shared_body(body: str, surveys: tuple[str, ...], plans: tuple[str, ...]) -> SharedBody:
    """What to ask before a body's file is changed."""
    others = f"; {' and '.join(surveys)} stand{'s' if len(surveys) == 1 else ''} on it too" if surveys else ""
    drawn = f"; laid out from it: {listed(plans)}" if plans else ""
    stay = ". A plan stays as it is until it is laid out again" if plans else ""
    return SharedBody(
        headline=f"the reading is written into {body}{others}{drawn}{stay}", level="look at",
        body=body, surveys=surveys, plans=plans,
    )  # fmt: skip


def _headline(again: int, missing: tuple[str, ...], done: int, of: int, *, job: bool) -> str:
    if again:
        return f"{again} reading{'' if again == 1 else 's'} to take again; left out until then"
    if not job:
        return f"a body with no job on it: {done} of {of} read"
    if missing:
        more = " and more" if len(missing) > 2 else ""
        return f"{len(missing)} still needed: {'; '.join(missing[:2]).lower()}{more}"
    return f"enough for a first plan: {done} of {of} read"


def _note(note: SurveyNote, read: Survey) -> ReadingNote:
    grave, open_ = note.kind in GRAVE, note.kind == "missing"
    return ReadingNote(
        kind=note.kind,
        tag=TAGS[note.kind],
        level="fail" if grave else "look at" if open_ else "fine",
        reading=note.reading,
        part=note.part,
        line=where_read(read, note.reading, note.part).line if note.reading else None,
        found=in_words(note.found),
        advice=in_words(note.advice),
    )


def in_words(text: str) -> str:
    """The text with readings called by their titles where it has their keys in the file."""
    return _keys().sub(lambda found: f"‘{row_named(found[0]).title}’", text)


@cache
def _keys() -> re.Pattern[str]:
    """The keys that could be nothing but keys: plain words such as ``door`` and ``dash`` stay."""
    keys = sorted((row.id for row in reading_rows() if "_" in row.id), key=len, reverse=True)
    return re.compile(rf"\b({'|'.join(map(re.escape, keys))})\b")


def _reading(
    number: int, row: ReadingRow, survey: OpenSurvey, notes: tuple[ReadingNote, ...], scanned: SurveyFile
) -> SurveyReading:
    assert survey.survey is not None
    file = survey.survey.file
    numbers = [v for values in readings_of(file, row.id).values() for v in values]
    done, begun = all(v is not None for v in numbers), any(v is not None for v in numbers)
    mine = tuple(n for n in notes if n.reading == row.id)
    mark, state, level = _state(row, done=done, begun=begun, wrong=any(n.level == "fail" for n in mine))
    return SurveyReading(
        number=number, id=row.id, title=row.title, hold=row.hold, used=row.used, need=row.need,
        need_words=NEEDS[row.need], checked_by=tuple(row_named(name).title for name in row.guard),
        parts=tuple(_part(row, part, survey.readings_in, file, scanned) for part in parts_of(row)),
        done=done, begun=begun, mark=mark, state=state, level=level,
        # one that nobody has begun needs no complaint: its state says that it is wanted
        notes=tuple(n for n in mine if begun or n.kind == "stood in"),
    )  # fmt: skip


def _state(row: ReadingRow, *, done: bool, begun: bool, wrong: bool) -> tuple[Mark, str, Level]:
    if wrong:
        return "wrong", "take it again", "fail"
    if done:
        return "done", "read", "fine"
    if begun:
        return "begun", "not all read", "look at"
    if row.need == "must":
        return "must", "needed", "look at"
    return "open", "checks the others" if row.need == "check" else "wanted", "fine"


def _from_scan(row: ReadingRow, part: str, file: SurveyFile, scanned: SurveyFile) -> str:
    """``from scan +-4.6 mm``, with the values where they do not stand in the file yet."""
    mark = scanned.from_scan
    if mark is None or f"{row.id} {part}".strip() not in mark.readings:
        return ""
    words = f"from scan{good_to(SURE * mark.spread, file.units)}".replace(", ", " ")
    if all(v is not None for v in readings_of(file, row.id)[part]):
        return words
    numbers = zip(row.values, readings_of(scanned, row.id)[part], strict=True)
    said = ", ".join(f"{value} {say(v, 'length', file.units)}" for value, v in numbers if v is not None)
    return f"{words}: {said}; not in the file yet"


LABELS = {"half": "half, from the string"}


def _part(
    row: ReadingRow, part: str, document: Document, file: SurveyFile, scanned: SurveyFile
) -> ReadingPart:
    side = shown(part)
    single = len(row.parts) > 1 and len(row.values) == 1
    unit = "°" if row.values == ("lean",) else document.source.units
    said, given = _raw(document, row, part), readings_of(file, row.id)[part]
    return ReadingPart(
        part=part,
        side="" if single else side,
        fields=tuple(
            ReadingField(
                value=value,
                label=side if single else LABELS.get(value, value),
                text=_text_of(raw, "deg" if unit == "°" else unit),
                unit=unit,
                plausible=plausible(value, low, high, file.units),
                mm=mm,
            )
            for value, raw, mm, low, high in zip(row.values, said, given, row.low, row.high, strict=True)
        ),
        from_scan=_from_scan(row, part, file, scanned),
    )


def _raw(document: Document, row: ReadingRow, part: str) -> list[Any]:
    """What stands in the file for each value of a part."""
    readings = document.source.data.get("readings")
    said: Any = cast("Mapping[str, Any]", readings).get(row.id) if isinstance(readings, Mapping) else None
    if row.parts:
        said = cast("Mapping[str, Any]", said).get(part) if isinstance(said, Mapping) else None
    values: list[Any] = list(cast("list[Any]", said)) if isinstance(said, list) else [said]
    return values if len(values) == len(row.values) else [None] * len(row.values)


def _text_of(raw: Any, unit: str) -> str:
    """What stands in the file as the field shows it: without the unit where it is the file's own."""
    if raw is None or raw == UNREAD:
        return ""
    text = f"{raw:g}" if isinstance(raw, float) else str(raw)
    return text.removesuffix(unit).strip() if text.endswith(f" {unit}") else text.strip()


def _points(found: Measured, units: LengthUnit) -> tuple[MeasuredPoint, ...]:
    made: list[MeasuredPoint] = []
    for name, place in found.points.items():
        spread = found.spreads.get(name)
        out = [None] * 3 if spread is None else [SURE * float(s) for s in spread]
        back, across, up = (
            figure(float(v), "length", units, rests_on="measured", plus_minus=o)
            for v, o in zip(place, out, strict=True)
        )
        made.append(
            MeasuredPoint(
                name=name,
                shown=shown(name),
                at=(float(place[0]), float(place[1]), float(place[2])),
                said=(back, across, up),
                mirrored=name in found.mirrored,
            )
        )
    return tuple(made)


# --- one reading typed


class BadReading(ValueError):
    """A field's text is no reading; its words say what was wanted."""

    def __init__(self, part: str, value: str, wanted: str) -> None:
        super().__init__(wanted)
        self.part, self.value = part, value


def with_reading(document: Document, name: str, part: str, texts: list[str], units: str) -> Document:
    """The survey's text with one part of a reading set.

    Args:
        document: the text.
        name: of the reading.
        part: of the reading; empty for a reading without parts.
        texts: what was typed for each value; empty for not read.
        units: of a number without a unit.

    Raises:
        BadReading: a text is no reading.
        KeyError: there is no such reading or part.
        ProblemsFound: the text cannot be edited there.
    """
    row = row_named(name)
    if part not in parts_of(row) or len(texts) != len(row.values):
        raise KeyError(part)
    values = [_written(part, value, text, units) for value, text in zip(row.values, texts, strict=True)]
    said: Any = values[0] if len(values) == 1 else values
    if all(v == UNREAD for v in values):
        said = UNREAD
    readings = document.source.data.get("readings")
    if readings is not None and not isinstance(readings, Mapping):
        return set_value(document, ("readings",), {name: {part: said} if part else said})
    held: Any = cast("Mapping[str, Any]", readings or {}).get(name)
    if not part:
        return set_value(document, ("readings", name), said)
    if isinstance(held, Mapping):
        return set_value(document, ("readings", name, part), said)
    return set_value(document, ("readings", name), {part: said})


def reading_words(name: str, part: str, texts: list[str]) -> str:
    """What setting a reading is called where it can be taken back.

    Raises:
        KeyError: there is no such reading.
    """
    said = ", ".join(text.strip() for text in texts if text.strip()) or "not read"
    return f"{' '.join(filter(None, (row_named(name).title, shown(part))))}: {said}"


def _written(part: str, value: str, text: str, units: str) -> str:
    """The text as the file says it, with its unit.

    Raises:
        BadReading: it is no reading.
    """
    text = " ".join(text.replace(",", ".").split())
    if not text or text == UNREAD:
        return UNREAD
    try:
        if value == "lean":
            parse(text, "angle")
        else:
            parse(text, "length", bare=units)
    except QuantityError as wrong:
        raise BadReading(part, value, str(wrong)) from None
    unit = "deg" if value == "lean" else units
    return f"{text} {unit}" if text[-1].isdigit() or text.endswith(".") else text


def sketch_svg(name: str) -> str:
    """The sketch of where the tape goes for that reading, as SVG.

    Raises:
        KeyError: there is no such reading.
    """
    row = row_named(name)
    ink = sketch_of(row, (0.0, 0.0))
    drawing = Drawing(
        name=f"sketch_{name}",
        title=f"Where the tape goes: {row.title}",
        box=(-1.0, -1.0, SKETCH[0] + 1.0, SKETCH[1] + 1.0),
        scale=1.0,
        strokes=ink.strokes,
        labels=ink.labels,
    )
    return to_svg(drawing)


# --- files and papers


def blank_text(title: str) -> str:
    """A commented survey file to fill in."""
    return survey_text(blank_survey(title))


def sheet_pages(paper: Paper) -> tuple[Drawing, ...]:
    """The survey sheet to print, a drawing for each page."""
    return survey_pages(paper)
