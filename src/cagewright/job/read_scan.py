"""What a scan gives a survey: readings taken off it, written into its file, and what is still to read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, cast

from cagewright.base.answers import Answer, Value, figure
from cagewright.base.drawing import Drawing
from cagewright.base.names import shown
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.sheet import Paper
from cagewright.draft.openings import roof_openings
from cagewright.draft.scanned import with_scan
from cagewright.job.survey import SURE, OpenSurvey, with_reading
from cagewright.make.survey_sheet import survey_pages
from cagewright.plan.readings import ReadingRow, parts_of, reading_rows, row_named
from cagewright.plan.survey import SurveyFile, readings_of
from cagewright.plan.write import Document, set_value
from cagewright.shape.scan import Scan


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenReading:
    """One reading that was taken off the scan: its title, its side or station, and its numbers."""

    title: str
    part: str
    values: tuple[Value, ...]
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedReading:
    """One reading to be taken at the car: which sides or stations of it, and how to hold the tape."""

    title: str
    parts: tuple[str, ...]
    hold: str
    need: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadScanAnswer(Answer):
    """What was taken off a scan.

    Attributes:
        taken: readings, each ``from scan +-`` so much.
        asked: what the car still has to be asked, checks left out.
        openings: where the roof has no metal, in words.
        notes: what is to be known of the scan.
    """

    taken: tuple[TakenReading, ...]
    asked: tuple[AskedReading, ...]
    openings: tuple[str, ...]
    notes: tuple[str, ...]


def read_scan_answer(survey: OpenSurvey) -> tuple[ReadScanAnswer, Document]:
    """What the survey's scan gives, and the text that its readings stand in with them.

    Raises:
        ProblemsFound: the survey's text has problems, it names no scan, or the scan cannot be used.
    """
    if survey.survey is None:
        raise ProblemsFound(survey.problems)
    if survey.survey.file.scan is None:
        where = Where(file=survey.path.name)
        wanted = "wanted scan: {file: shell.ply, units: mm, points: [...]}, six points seen on scan and car"
        raise ProblemsFound([
            Problem(code="no-scan", where=where, found="the survey names no scan", wanted=wanted)
        ])
    found = with_scan(survey.survey, survey.path.parent)
    assert found.scan is not None
    file = found.survey.file
    spread = 0.0 if file.from_scan is None else SURE * file.from_scan.spread
    taken = tuple(_taken(file, name, spread) for name in found.names)
    rest = tuple(_asked(row, file) for row in asked_rows(file))
    within = figure(spread, "length", file.units).said
    return ReadScanAnswer(
        headline=f"{len(taken)} readings taken from the scan, +-{within}; {len(rest)} to read at the car",
        level="look at" if any(one.need == "must" for one in rest) else "fine",
        taken=taken,
        asked=rest,
        openings=_openings(found.scan, file),
        notes=found.scan.notes,
    ), _written(survey.readings_in, file, found.names)


def asked_rows(file: SurveyFile) -> tuple[ReadingRow, ...]:
    """The readings that are still open, without those that only check others."""
    return tuple(row for row in reading_rows() if row.need != "check" and _open(row, file))


def rest_pages(file: SurveyFile, paper: Paper) -> tuple[Drawing, ...]:
    """The survey sheet of what is still open, each reading with its picture of where."""
    return survey_pages(paper, asked_rows(file))


def _open(row: ReadingRow, file: SurveyFile) -> tuple[str, ...]:
    values = readings_of(file, row.id)
    return tuple(shown(p) or "all" for p in parts_of(row) if any(v is None for v in values[p]))


def _asked(row: ReadingRow, file: SurveyFile) -> AskedReading:
    parts = tuple(part for part in _open(row, file) if part != "all")
    return AskedReading(title=row.title, parts=parts, hold=row.hold, need=row.need)


def _taken(file: SurveyFile, name: str, spread: float) -> TakenReading:
    row, part = row_named(name.split(" ")[0]), name.partition(" ")[2]
    numbers = readings_of(file, row.id)[part]
    values = tuple(
        figure(float(v), "length", file.units, rests_on="measured", plus_minus=spread)
        for v in numbers
        if v is not None
    )
    words = ", ".join(f"{word} {v.said}" for word, v in zip(row.values, values, strict=True))
    return TakenReading(title=row.title, part=shown(part), values=values, said=words)


def _openings(scan: Scan, file: SurveyFile) -> tuple[str, ...]:
    return tuple(
        "the roof has no metal from {} to {} back, {} wide: nothing is read there".format(
            *(figure(v, "length", file.units).said for v in (one.front, one.rear, one.high - one.low))
        )
        for one in roof_openings(scan.cloud)
    )


def _written(document: Document, file: SurveyFile, names: tuple[str, ...]) -> Document:
    """The survey's text with the readings, and which they are, set."""
    for name in names:
        reading, _, part = name.partition(" ")
        texts = [f"{v:.1f} mm" for v in readings_of(file, reading)[part] if v is not None]
        document = with_reading(document, reading, part, texts, "mm")
    if file.from_scan is None:
        return document
    held: Any = document.source.data.get("from_scan")
    before = cast("list[str]", held.get("readings", [])) if isinstance(held, Mapping) else []
    every = [*before, *(name for name in names if name not in before)]
    return set_value(document, ("from_scan",), {"spread": f"{file.from_scan.spread:g} mm", "readings": every})
