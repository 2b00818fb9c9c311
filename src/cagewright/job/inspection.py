"""The inspection of a finished car by one rule book: what to measure with what, and what the readings say."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cagewright.base.answers import Answer
from cagewright.base.problems import Where
from cagewright.check.bench_of import bench_of
from cagewright.check.findings import CAUTION, WORST_FIRST, Finding, Verdict
from cagewright.check.hand import hands
from cagewright.check.inspected import Asks, asks_of, unit_of, wanted_of
from cagewright.check.judge import check_books
from cagewright.check.library import find_books
from cagewright.check.limit_words import say_limit
from cagewright.check.rules import Book, Rule
from cagewright.job.findings import reader_of, rule_findings
from cagewright.job.inspection_taken import RowTaken, in_file, in_record, to_keep
from cagewright.job.opening import Job
from cagewright.job.record import Hand, LineAnswer, OnBench, keep_inspected
from cagewright.records.jobs import history
from cagewright.records.opening import opened
from cagewright.records.types import JobHistory

STATIONS: tuple[tuple[str, frozenset[str]], ...] = (
    ("Papers, before the car", frozenset({"papers"})),
    (
        "At each door",
        frozenset({"doorbar", "doorbar post", "sill bar", "lateral rollbar", "lateral half-rollbar"}),
    ),
    (
        "From the front: screen and front rollbar",
        frozenset({"front rollbar", "windscreen pillar reinforcement", "dash bar"}),
    ),
    ("The main rollbar and what braces it", frozenset({"main rollbar", "diagonal", "harness bar"})),
    ("The roof", frozenset({"roof reinforcement", "transverse member", "longitudinal member"})),
    ("From the rear: backstays", frozenset({"backstay"})),
    ("Feet and floor, round the car", frozenset({"feet"})),
    ("The whole cage", frozenset()),
)
"""The order in which one walks round: each place with the roles it holds; ours, no source."""
OPEN: tuple[Verdict, ...] = WORST_FIRST[:4]


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectedRow:
    """One clause, looked at on the car.

    Attributes:
        rule: the row's id, by which a readings file names it.
        what: what is measured or seen, from where to where.
        tool: with what.
        limit: in the book's own units.
        wanted: how a reading is written.
        asks: how it is answered.
        unit: what a bare figure is in; empty where it has none.
        planned: what a plan comes to; empty without one.
        reading: as taken; empty where it was not.
        verdict: of the reading, else of the plan, else empty.
        why: what kept it from being told.
        by: who took the reading; empty where that is not known.
        taken: when.
        line: the reading's number in the record; 0 where it is not in one.
    """

    rule: str
    clause: str
    title: str
    what: str
    tool: str
    limit: str
    wanted: str
    asks: Asks
    unit: str
    planned: str
    reading: str
    verdict: str
    why: str
    by: str
    taken: str
    line: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """A place of the walk round the car, and what is looked at there, in the book's own order."""

    name: str
    rows: tuple[InspectedRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionAnswer(Answer):
    """An inspection; the headline says what is open.

    Attributes:
        revision: of the plan; empty without one.
        car: the job whose readings they are; empty for none of the record's.
        open_rows: ids of the rows that are open.
        open_points: what is broken, looks broken, cannot be told or was not looked at, in words.
    """

    title: str
    book: str
    edition: str
    revision: str
    car: str
    stations: tuple[Station, ...]
    open_rows: tuple[str, ...]
    open_points: tuple[str, ...]


def inspection_of(
    name: str, job: Job | None = None, readings: Path | None = None, *, kept: JobHistory | None = None
) -> InspectionAnswer:
    """The inspection by that rule book, blank where nothing is known of the car.

    Args:
        name: a built-in book's id, or a file of the builder's own.
        job: the plan of the car, where there is one.
        readings: the file of what was read on the car.
        kept: the job of the record that holds what was read, where no file does.

    Raises:
        ProblemsFound: the book is not known, or a reading of the file is of the wrong kind.
    """
    book = _book(name, job)
    taken = in_file(book, readings) if readings else in_record(book, kept.current) if kept else {}
    planned = _planned(job, book) if job else {}
    read = reader_of(job.cage) if job else str
    inches = kept.job.units == "in" if kept else job is not None and job.plan.units == "in"
    rows = [
        (_station(rule), _row(rule, planned.get(rule.id, ()), taken.get(rule.id), read, inches=inches))
        for rule in book.rules
    ]
    stations = [Station(name=s, rows=tuple(r for at, r in rows if at == s)) for s, _ in STATIONS]
    points = [row for station in stations for row in station.rows if _is_open(row)]
    return InspectionAnswer(
        headline=f"{len(points)} of {len(rows)} clauses open, {len(taken)} read on the car",
        level="fail" if any(r.verdict == "fail" for _, r in rows) else "look at" if points else "fine",
        cautions=(CAUTION,),
        title=book.title,
        book=book.id,
        edition=book.edition,
        revision=job.cage.revision if job else "",
        car=kept.job.name if kept else "",
        stations=tuple(station for station in stations if station.rows),
        open_rows=tuple(row.rule for row in points),
        open_points=tuple(map(_open, points)),
    )


def inspection_in(where: str, car: str, name: str, job: Job | None = None) -> InspectionAnswer:
    """The inspection with what the record holds of that job.

    Raises:
        ProblemsFound: the book or the job is not known, or the record is damaged.
    """
    with opened(where) as record:
        kept = history(record, car)
    return inspection_of(name, job, kept=kept)


def keep_read(
    where: str, car: str, name: str, row: str, text: str, *, hand: Hand, bench: OnBench | None = None
) -> LineAnswer:
    """A reading of a row, kept in that job of the record.

    Raises:
        ProblemsFound: it is of another kind than the row; no such book, row or job; nobody is named, or the
            record cannot be written.
    """
    book = _book(name, bench.job if bench else None)
    with opened(where) as record:
        inches = history(record, car).job.units == "in"
    return keep_inspected(
        where, car, book.id, row, to_keep(book, row, text, inches=inches), hand=hand, bench=bench
    )


def _book(name: str, job: Job | None) -> Book:
    return find_books((name,), job.path.parent if job else Path.cwd(), Where(file="inspect"))[0]


def _station(rule: Rule) -> str:
    """Where one stands: by the paper that says it, the feet, or the first place that holds all its roles."""
    if hands()[rule.measure].paper:
        return STATIONS[0][0]
    if rule.feet_of:
        return STATIONS[-2][0]
    roles = {*(rule.members or rule.joints_of)}
    return next((name for name, holds in STATIONS if roles and roles <= holds), STATIONS[-1][0])


def _planned(job: Job, book: Book) -> Mapping[str, list[Finding]]:
    """What the plan comes to by each row; a book that is asked for judges also a plan that names others."""
    named = [finding for finding in rule_findings(job) if finding.book == book.id]
    found: dict[str, list[Finding]] = {}
    for finding in named or check_books(job.cage, (book,), bench_of(job.plan, job.cage)):
        found.setdefault(finding.rule, []).append(finding)
    return found


def _row(
    rule: Rule, planned: Iterable[Finding], taken: RowTaken | None, say: Any, *, inches: bool
) -> InspectedRow:
    hand = hands()[rule.measure]
    worst = min(planned, key=lambda f: WORST_FIRST.index(f.verdict), default=None)
    said = worst.measured.said if worst and worst.measured else ""
    return InspectedRow(
        rule=rule.id,
        clause=rule.clause,
        title=rule.title,
        what=hand.what,
        tool=hand.paper or hand.tool,
        limit=say_limit(rule),
        wanted=wanted_of(rule),
        asks=asks_of(rule),
        unit=unit_of(rule, inches=inches),
        planned=say(said),
        reading=taken.read.said if taken else "",
        verdict=taken.read.verdict if taken else worst.verdict if worst else "",
        why=taken.read.why if taken else "",
        by=taken.by if taken else "",
        taken=taken.at if taken else "",
        line=taken.line if taken else 0,
    )


def _is_open(row: InspectedRow) -> bool:
    return row.verdict in OPEN or row.verdict == ""


def _open(row: InspectedRow) -> str:
    state = row.verdict or "not looked at"
    said = f", read {row.reading}" if row.reading else ""
    return f"{row.clause}: {row.title}: {state}{said}, wanted {row.limit}"
