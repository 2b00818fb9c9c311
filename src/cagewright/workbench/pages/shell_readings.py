"""A survey as its page shows it: every reading with its fields and what is said of it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any, cast

from cagewright.base.drawing import Drawing
from cagewright.base.units import QuantityError, parse
from cagewright.draft.measured import measured
from cagewright.draft.telling import GRAVE, SurveyNote
from cagewright.make.survey_sheet import SKETCH, sketch_of
from cagewright.make.svg import to_svg
from cagewright.plan.readings import ReadingRow, parts_of, reading_rows, row_named
from cagewright.plan.survey import UNREAD, SurveyFile, readings_of
from cagewright.plan.write import Document, set_value
from cagewright.workbench.shopfolder.surveys import OpenSurvey

NEEDS = {
    "must": "No plan can be drafted without it.",
    "should": "Without it a part of the cage is left out, or stands where the other readings put it.",
    "check": "Shows a slip in the others.",
}


class BadReading(ValueError):
    """A field's text is no reading; its words say what was wanted."""

    def __init__(self, part: str, value: str, wanted: str) -> None:
        super().__init__(wanted)
        self.part, self.value = part, value


def readings_shown(survey: OpenSurvey) -> dict[str, Any]:
    """The survey's readings, what is said of them and the points they give, JSON-ready; lengths mm.

    Where the text has problems only they are shown.
    """
    shown: dict[str, Any] = {"id": survey.id, "file": survey.path.name, "mark": survey.mark}
    shown["problems"] = [_problem(p) for p in survey.problems]
    if survey.survey is None:
        return shown | {"title": survey.path.stem, "rows": [], "done": 0, "of": len(reading_rows())}
    file = survey.survey.file
    found = measured(file)
    rows = [_row(number, row, survey, found.notes) for number, row in enumerate(reading_rows(), 1)]
    return shown | {
        "title": file.title,
        "datum": file.datum,
        "units": file.units,
        "rows": rows,
        "done": sum(row["done"] for row in rows),
        "of": len(rows),
        "must": [row["id"] for row in rows if row["need"] == "must" and not row["done"]],
        "grave": sum(note.kind in GRAVE for note in found.notes),
        "notes": [_note(n) for n in found.notes if n.reading not in {row["id"] for row in rows}],
        "points": {name: [round(float(v), 2) for v in p] for name, p in found.points.items()},
        "mirrored": sorted(found.mirrored),
    }


def _problem(problem: Any) -> dict[str, Any]:
    return {
        "code": problem.code,
        "where": str(problem.where),
        "found": problem.found,
        "wanted": problem.wanted,
        "nearest": problem.nearest,
    }


def _row(number: int, row: ReadingRow, survey: OpenSurvey, notes: Iterable[SurveyNote]) -> dict[str, Any]:
    file = cast("Any", survey.survey).file
    given = readings_of(file, row.id)
    return {
        "number": number,
        "id": row.id,
        "title": row.title,
        "hold": row.hold,
        "used": row.used,
        "need": row.need,
        "need_words": NEEDS[row.need],
        "checked_by": [row_named(name).title for name in row.guard],
        "angle": row.values == ("lean",),
        "plausible": plausible(row, file.units),
        "parts": [_part(row, part, survey, file) for part in parts_of(row)],
        "done": all(v is not None for values in given.values() for v in values),
        "begun": any(v is not None for values in given.values() for v in values),
        "notes": [_note(n) for n in notes if n.reading == row.id],
    }


def plausible(row: ReadingRow, units: str) -> list[str]:
    """The plausible range of each value in words, in the units of the tape."""
    if row.values == ("lean",):
        return [f"{low:g} to {high:g}°" for low, high in zip(row.low, row.high, strict=True)]
    scale = 25.4 if units == "in" else 1.0
    return [
        f"{low / scale:.0f} to {high / scale:.0f} {units}"
        for low, high in zip(row.low, row.high, strict=True)
    ]


def _part(row: ReadingRow, part: str, survey: OpenSurvey, file: SurveyFile) -> dict[str, Any]:
    said = _said(survey.document, row, part)
    given = readings_of(file, row.id)[part]
    return {
        "part": part,
        "fields": [
            {"value": value, "text": text_of(raw, row, file.units), "mm": mm}
            for value, raw, mm in zip(row.values, said, given, strict=True)
        ],
    }


def _said(document: Document, row: ReadingRow, part: str) -> list[Any]:
    """What stands in the file for each value of a part."""
    readings = document.source.data.get("readings")
    said: Any = cast("Mapping[str, Any]", readings).get(row.id) if isinstance(readings, Mapping) else None
    if row.parts:
        said = cast("Mapping[str, Any]", said).get(part) if isinstance(said, Mapping) else None
    values: list[Any] = list(cast("list[Any]", said)) if isinstance(said, list) else [said]
    return values if len(values) == len(row.values) else [None] * len(row.values)


def text_of(raw: Any, row: ReadingRow, units: str) -> str:
    """What stands in the file as the field shows it: without the unit where it is the file's own."""
    if raw is None or raw == UNREAD:
        return ""
    unit = "deg" if row.values == ("lean",) else units
    text = f"{raw:g}" if isinstance(raw, float) else str(raw)
    return text.removesuffix(unit).strip() if text.endswith(f" {unit}") else text.strip()


def _note(note: SurveyNote) -> dict[str, Any]:
    return {
        "kind": note.kind,
        "reading": note.reading,
        "part": note.part,
        "found": in_words(note.found),
        "advice": in_words(note.advice),
        "grave": note.kind in GRAVE or note.matters,
    }


def in_words(text: str) -> str:
    """The text with readings called by their titles, as on the page, where it has their keys in the file."""
    return _keys().sub(lambda found: f"‘{row_named(found[0]).title}’", text)


@cache
def _keys() -> re.Pattern[str]:
    """The keys that could be nothing but keys: plain words such as ``door`` and ``dash`` stay."""
    keys = sorted((row.id for row in reading_rows() if "_" in row.id), key=len, reverse=True)
    return re.compile(rf"\b({'|'.join(map(re.escape, keys))})\b")


# --- one reading typed


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
