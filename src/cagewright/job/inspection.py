"""The inspection of a finished car by one rule book: what to measure with what, and what the readings say."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cagewright.base.answers import Answer
from cagewright.base.problems import Problem, ProblemsFound, Where, nearest_word
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.base.units import QuantityError
from cagewright.check.bench_of import bench_of
from cagewright.check.findings import CAUTION, WORST_FIRST, Finding, Verdict
from cagewright.check.hand import hands
from cagewright.check.inspected import Inspected, inspected, wanted_of
from cagewright.check.judge import check_books
from cagewright.check.library import find_books
from cagewright.check.limit_words import say_limit
from cagewright.check.rules import Book, Rule
from cagewright.job.findings import reader_of, rule_findings
from cagewright.job.opening import Job
from cagewright.plan.source import where_at
from cagewright.plan.text import decoded, parse, read_bytes

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
        planned: what a plan comes to; empty without one.
        reading: as taken; empty where it was not.
        verdict: of the reading, else of the plan, else empty.
        why: what kept it from being told.
    """

    rule: str
    clause: str
    title: str
    what: str
    tool: str
    limit: str
    wanted: str
    planned: str
    reading: str
    verdict: str
    why: str


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
        open_points: what is broken, looks broken, cannot be told or was not looked at, in words.
    """

    title: str
    book: str
    edition: str
    revision: str
    stations: tuple[Station, ...]
    open_points: tuple[str, ...]


def inspection_of(name: str, job: Job | None = None, readings: Path | None = None) -> InspectionAnswer:
    """The inspection by that rule book, blank where nothing is known of the car.

    Args:
        name: a built-in book's id, or a file of the builder's own.
        job: the plan of the car, where there is one.
        readings: the file of what was read on the car.

    Raises:
        ProblemsFound: the book is not known, or a reading is of the wrong kind.
    """
    folder = job.path.parent if job else Path.cwd()
    book = find_books((name,), folder, Where(file="inspect"))[0]
    taken = _readings(book, readings) if readings else {}
    planned = _planned(job, book) if job else {}
    read = reader_of(job.cage) if job else str
    rows = [
        (_station(rule), _row(rule, planned.get(rule.id, ()), taken.get(rule.id), read))
        for rule in book.rules
    ]
    stations = [Station(name=s, rows=tuple(r for at, r in rows if at == s)) for s, _ in STATIONS]
    points = tuple(_open(row) for station in stations for row in station.rows if _is_open(row))
    return InspectionAnswer(
        headline=f"{len(points)} of {len(rows)} clauses open, {len(taken)} read on the car",
        level="fail" if any(r.verdict == "fail" for _, r in rows) else "look at" if points else "fine",
        cautions=(CAUTION,),
        title=book.title,
        book=book.id,
        edition=book.edition,
        revision=job.cage.revision if job else "",
        stations=tuple(station for station in stations if station.rows),
        open_points=points,
    )


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


def _row(rule: Rule, planned: Iterable[Finding], read: Inspected | None, say: Any) -> InspectedRow:
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
        planned=say(said),
        reading=read.said if read else "",
        verdict=read.verdict if read else worst.verdict if worst else "",
        why=read.why if read else "",
    )


def _is_open(row: InspectedRow) -> bool:
    return row.verdict in OPEN or row.verdict == ""


def _open(row: InspectedRow) -> str:
    state = row.verdict or "not looked at"
    said = f", read {row.reading}" if row.reading else ""
    return f"{row.clause}: {row.title}: {state}{said}, wanted {row.limit}"


# ---------------------------------------------------------------- what was read


def _readings(book: Book, path: Path) -> Mapping[str, Inspected]:
    """The file's readings by row, judged.

    Raises:
        ProblemsFound: every reading that is of the wrong kind or of no row of the book, with line and word.
    """
    raw = read_bytes(path, file=path.as_posix())
    text = raw if isinstance(raw, Problem) else decoded(raw, file=path.as_posix())
    if isinstance(text, Problem):
        raise ProblemsFound([text])
    source = parse(text, file=path.as_posix())
    if source.problems:
        raise ProblemsFound(source.problems)
    entered = source.data.get("readings")
    if not isinstance(entered, dict):
        where = Where(file=path.as_posix())
        found, wanted = "there are no readings", "wanted 'readings:' with the rows' names under it"
        raise ProblemsFound([Problem(code="no-readings", where=where, found=found, wanted=wanted)])
    rules = {rule.id: rule for rule in book.rules}
    taken: dict[str, Inspected] = {}
    problems: list[Problem] = []
    for name, value in entered.items():
        where = where_at(source, ("readings", name))
        if name not in rules:
            found, wanted = f"'{name}' is no row of {book.id}", "wanted a row's name as on the sheet"
            near = nearest_word(name, rules)
            problems.append(Problem(code="no-row", where=where, found=found, wanted=wanted, nearest=near))
            continue
        try:
            taken[name] = inspected(rules[name], value)
        except QuantityError as wrong:
            found = f"{name} is read as '{value}': {wrong}"
            wanted = f"wanted {wanted_of(rules[name])}"
            problems.append(Problem(code="bad-reading", where=where, found=found, wanted=wanted))
    if problems:
        raise ProblemsFound(problems)
    return taken


# ---------------------------------------------------------------- the paper


def inspection_sheet(answer: InspectionAnswer) -> Sheet:
    """The paper: a table for each place, a box for each reading, and the open points."""
    heads = ("clause and row", "what it asks", "measure", "with", "limit", "planned", "reading", "verdict")
    tables = [
        Table(
            title=station.name,
            columns=tuple(Column(head=head) for head in heads),
            rows=tuple(
                (
                    f"{r.clause}, {r.rule}", r.title, r.what, r.tool, r.limit, r.planned or "–",
                    r.reading or "________", r.verdict or "☐",
                )
                for r in station.rows
            ),
        )
        for station in answer.stations
    ]  # fmt: skip
    points = tuple((point,) for point in answer.open_points)
    last = Table(title=f"Open points: {answer.headline}", columns=(Column(head="point"),), rows=points)
    signed = Table(
        title="",
        columns=tuple(Column(head=head) for head in ("car", "date", "looked at by", "signature")),
        rows=(("________________",) * 4,),
    )
    return Sheet(
        name=f"inspection_{answer.book}",
        title=f"{answer.title}, {answer.edition}",
        kind="inspection",
        tables=(signed, *tables, last) if points else (signed, *tables),
        notes=answer.cautions,
    )
