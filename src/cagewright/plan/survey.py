"""The survey file: tape readings on a stripped shell, and what the builder wishes for."""

# ruff: noqa: RUF012 (pydantic copies defaults; ruff cannot see from here that Entry is a pydantic model)
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal, NoReturn, TypeVar, cast

from pydantic import BeforeValidator, Field, ValidationInfo, model_validator
from pydantic_core import PydanticCustomError

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.units import QuantityError, parse
from cagewright.plan.files import load
from cagewright.plan.places import Entry, Name, OwnName, Text
from cagewright.plan.quantities import (
    Angle,
    Area,
    Count,
    Length,
    Mass,
    NotNegative,
    Place3,
    Positive,
    Version,
)
from cagewright.plan.readings import (
    ReadingRow,
    level_points,
    parts_of,
    points_of,
    reading_rows,
    row_named,
)
from cagewright.plan.report import near
from cagewright.plan.source import where_at
from cagewright.plan.text import Source, say
from cagewright.plan.text import parse as tree_of
from cagewright.plan.types import LineFace, ScanEntry, TubeEntry
from cagewright.plan.wording import entry_of

UNREAD = "unread"
"""Stands where a reading has not been taken yet."""
Values = Mapping[str, tuple[float | None, ...]]
"""Each part's numbers in the row's order, mm or rad; None where not taken yet."""
Measured = TypeVar("Measured", bound="OfTheBody")


def _values(value: Any, info: ValidationInfo) -> dict[str, dict[str, tuple[float | None, ...]]]:
    if not isinstance(value, Mapping):
        raise PydanticCustomError("wrong-type", "{wanted}", {"wanted": "wanted 'reading: value' lines"})
    units = (info.context or {}).get("units", "mm")
    given = cast("Mapping[str, Any]", value)
    read = {name: _reading(name, said, units) for name, said in given.items()}
    return {name: parts for name, parts in read.items() if parts}


def _reading(name: str, said: Any, units: str) -> dict[str, tuple[float | None, ...]]:
    known = [row.id for row in reading_rows()]
    if name not in known:
        wanted = "wanted one of the survey's readings"
        _refuse("unknown-reading", f"has the reading {say(name)}", wanted, (name, known))
    row = row_named(name)
    if said is None or said == UNREAD:
        return {}
    if not row.parts:
        return _taken({"": _numbers(row, "", said, units)})
    if not isinstance(said, Mapping):
        parts = ", ".join(f"{part}: ..." for part in row.parts)
        _refuse("wrong-type", f"has {name}: {say(said)}", f"wanted {{{parts}}}")
    held = cast("Mapping[str, Any]", said)
    for part in held:
        if part not in row.parts:
            wanted = f"wanted {', '.join(row.parts)}"
            _refuse("unknown-part", f"has {say(part)} in {name}", wanted, (part, list(row.parts)), part)
    return _taken({part: _numbers(row, part, held[part], units) for part in row.parts if part in held})


def _taken(parts: dict[str, tuple[float | None, ...]]) -> dict[str, tuple[float | None, ...]]:
    return {part: values for part, values in parts.items() if any(v is not None for v in values)}


def _numbers(row: ReadingRow, part: str, said: Any, units: str) -> tuple[float | None, ...]:
    label = f"{row.id} {part}".strip()
    if said is None or said == UNREAD:
        return tuple(None for _ in row.values)
    items = cast("list[Any]", said) if isinstance(said, list | tuple) else [said]
    if len(items) != len(row.values):
        wanted = (
            f"wanted [{', '.join(row.values)}]"
            if len(row.values) > 1
            else f"wanted one {' '.join(row.values)}"
        )
        _refuse("wrong-count", f"has {label}: {say(said)}", wanted, part=part)
    return tuple(
        _number(f"{label} {v}", v, item, units, part) for v, item in zip(row.values, items, strict=True)
    )


def _number(label: str, value: str, item: Any, units: str, part: str) -> float | None:
    if item == UNREAD or item is None:
        return None
    try:
        return parse(item, "angle") if value == "lean" else parse(item, "length", bare=units)
    except QuantityError as wrong:
        _refuse("bad-quantity", f"has {label}: {say(item)}", f"{wrong}, or '{UNREAD}'", part=part)


def _refuse(
    code: str, found: str, wanted: str, like: tuple[str, list[str]] | None = None, part: str = ""
) -> NoReturn:
    told: dict[str, Any] = {"found": found, "wanted": wanted, "part": (part,) if part else ()}
    raise PydanticCustomError(cast("Any", code), "{wanted}", told | ({"like": like} if like else {}))


Readings = Annotated[dict[str, dict[str, tuple[float | None, ...]]], BeforeValidator(_values)]
"""What was read, by reading and part; mm and rad."""


class DistanceEntry(Entry):
    """A plain distance between two points of the survey, where coordinates are hard to take."""

    between: tuple[Name, Name]
    distance: Positive

    @model_validator(mode="after")
    def _two_points(self) -> DistanceEntry:
        if self.between[0] == self.between[1]:
            told = {"found": f"is from {self.between[0]} to itself", "wanted": "wanted two different points"}
            raise PydanticCustomError("same-point", "{wanted}", told)
        return self


class ObstacleEntry(Entry):
    """Something in the car that tubes must miss: its middle and how far it reaches all round."""

    at: Place3
    size: Positive
    note: Text = ""


class SurveyCar(Entry):
    """The car.

    Attributes:
        mass: ready to race without the driver.
        body: its kind.
        rules: books it answers to.
        pillars: where the screen pillars were marked: in the open corner between screen and door, or on a
            box: its edge that looks into the car, its face to the middle of the car, or its face to the back.
    """

    mass: Mass
    body: Text = ""
    rules: tuple[Text, ...] = ()
    pillars: LineFace = "corner"


class SurveyDriver(Entry):
    """The driver: which side he sits on, stature, and the diameter of the circle round the helmet."""

    side: Literal["left", "right"] = "left"
    stature: Positive = 1755.0
    helmet: Positive = 300.0
    people: Literal["men", "women"] = "men"


class SurveyCodriver(Entry):
    """Whoever sits beside the driver, on the other side: measured as the driver is, nothing checks it.

    Attributes:
        hip: hip point: back from the datum, half from the string, up from the level line.
        head: middle of the helmet, likewise.
        back_angle: lean of the seat's back from upright.
        stature: standing height.
        helmet: diameter of the circle round the helmet.
        people: whose published measures fill in the rest.
    """

    hip: Place3
    head: Place3 | None = None
    back_angle: Angle | None = None
    stature: Positive = 1755.0
    helmet: Positive = 300.0
    people: Literal["men", "women"] = "men"


BaseStructure = Literal[
    "main rollbar and lateral half-rollbars",
    "main and front rollbar",
    "lateral rollbars",
    "rear rollbar with roof loop",
    "four-point roll bar",
    "six-point roll bar",
]
"""What a cage is built up from, in the regulations' words and the trade's."""


class WishesEntry(Entry):
    """What the builder wishes for.

    Attributes:
        base_structure: what the cage is built up from.
        gap: between tube and body along roof, pillars and sides, mm.
        doorbars: on each side.
        doorbar_heights: of their axes at the main hoop, over the level line, where the builder states them.
        doorbar_spacing: usual, or evenly: as far from the sill to the lowest as from each to the next.
        doorbar_slope: how much of the sill's slope they follow.
        post_back: how far back the posts between them stand; in line with the pillar brace where not given.
        door: level bars, or two that cross.
        roof: one diagonal, an X, or a V open to the front.
        diagonals: in the main hoop, one or two that cross.
        rear: a diagonal between the backstays, or none.
        harness_bar: across the hoop at shoulder height.
        dash_bar: between the front legs.
        pillar_braces: beside the screen pillars.
        gussets: at the corners of the roof.
        plate: thickness of the foot plates, mm.
        plate_area: contact area wanted of the legs' plates, mm2; what the rule book asks where not given.
    """

    base_structure: BaseStructure = "main rollbar and lateral half-rollbars"
    gap: NotNegative = 10.0
    doorbars: Annotated[Count, Field(ge=1, le=4)] = 2
    doorbar_heights: Annotated[tuple[Positive, ...], Field(max_length=4)] = ()
    doorbar_spacing: Literal["usual", "even"] = "usual"
    doorbar_slope: Literal["level", "half", "sill"] = "level"
    post_back: Length | None = None
    door: Literal["bars", "X"] = "bars"
    roof: Literal["V", "X", "diagonal"] = "diagonal"
    diagonals: Literal[1, 2] = 1
    rear: Literal["diagonal", "none"] = "diagonal"
    harness_bar: bool = True
    dash_bar: bool = True
    pillar_braces: bool = True
    gussets: bool = True
    plate: Positive = 3.0
    plate_area: Area | None = None


class FromScan(Entry):
    """Which readings were taken off a scan, and how far each may be out, as a standard deviation."""

    spread: Positive
    readings: tuple[Text, ...] = ()


class OfTheBody(Entry):
    """What of a survey is of the body and of no job.

    Distances back and heights are from the ``datum``; ``tape`` is how far one reading is out, as a
    standard deviation, mm.
    """

    datum: Text = ""
    tape: Positive = 2.0
    readings: Readings = {}
    distances: tuple[DistanceEntry, ...] = ()
    obstacles: dict[OwnName, ObstacleEntry] = {}
    scan: ScanEntry | None = None
    from_scan: FromScan | None = None


OF_THE_BODY = tuple(OfTheBody.model_fields)
"""Keys of a body file that stand for the survey's own; the survey may not have them too."""
TWICE = "body-and-own"
"""Code of the problem where it has."""
BODY = "cagewright_body"
"""The key by which a body's file is known."""


class OfTheJob(Entry):
    """What of a survey is of one job; tubes not given are what the rule book and the shop's dies allow."""

    cagewright_survey: Version
    title: Text
    units: Literal["mm", "in"] = "mm"
    shop: Text | None = None
    car: SurveyCar
    driver: SurveyDriver = SurveyDriver()
    codriver: SurveyCodriver | None = None
    tubes: dict[Literal["hoop", "bar"], TubeEntry] = {}
    wishes: WishesEntry = WishesEntry()


class SurveyFile(OfTheBody, OfTheJob):
    """A whole survey file: the job, and the body or the name of its own file."""

    body: Text = ""
    note: Text = ""


class BodyFile(OfTheBody):
    """A body measured once, for the surveys that name it."""

    cagewright_body: Version
    title: Text
    units: Literal["mm", "in"] = "mm"
    note: Text = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """A survey as read.

    Attributes:
        file: what the file says, with what its body's file says in it.
        source: its text, for the places of problems; None for a survey made in code.
        body: the text of its body's file, where it names one.
        job: whether it is of a job; not where the file is a body by itself, with nobody's car and wishes.
    """

    file: SurveyFile
    source: Source | None = None
    body: Source | None = None
    job: bool = True


def where_read(survey: Survey, reading: str, part: str = "") -> Where:
    """Where a reading stands in the survey's file."""
    source = survey.body or survey.source
    if source is None:
        return Where(file="survey")
    keys = ("readings", reading, part) if part else ("readings", reading)
    return where_at(source, keys)


def read_survey(path: Path | str) -> Survey:
    """The survey in the file, or the body by itself.

    Raises:
        ProblemsFound: every problem of the file.
    """
    where = Path(path)
    return _survey(load(where, file=where.as_posix()), where.parent)


def read_survey_text(
    text: str, *, file: str = "survey", folder: Path | None = None, body: Source | None = None
) -> Survey:
    """The survey in the text, or the body by itself.

    Args:
        text: of the file.
        file: its name in problems.
        folder: where its body's file is looked for.
        body: the text of that file, where it is another than on the disk.

    Raises:
        ProblemsFound: every problem of the text.
    """
    return _survey(tree_of(text, file=file), folder, body)


def _survey(source: Source, folder: Path | None, body: Source | None = None) -> Survey:
    if BODY in source.data:
        return _body_alone(source)
    read = _entry(source, SurveyFile)
    return _with_body(read, source, folder, body) if read.body else Survey(file=read, source=source)


def _body_alone(source: Source) -> Survey:
    read = _entry(source, BodyFile)
    nobody = SurveyFile(cagewright_survey=1, title=read.title, units=read.units, car=SurveyCar(mass=1000.0))
    file = nobody.model_copy(update={key: getattr(read, key) for key in OF_THE_BODY})
    return Survey(file=file, source=source, job=False)


def _entry(source: Source, model: type[Measured]) -> Measured:
    """The file as the model says.

    Raises:
        ProblemsFound: every problem of the file, each reading's at its own line.
    """
    broken = _reading_problems(source) if source.readable else []
    data = {k: v for k, v in source.data.items() if k != "readings" or not broken}
    read = entry_of(source, model, data=data, problems=broken)
    if problems := _strange_points(read, source):
        raise ProblemsFound(problems)
    return read


def _with_body(read: SurveyFile, source: Source, folder: Path | None, body: Source | None) -> Survey:
    """The survey with what its body's file says.

    Raises:
        ProblemsFound: the body's file is not there or has problems, or the survey says the same things too.
    """
    both = [key for key in OF_THE_BODY if key in source.data]
    if both:
        found, wanted = f"'{both[0]}' stands here, and the body's file has it", "wanted it there alone"
        at = where_at(source, (both[0],))
        raise ProblemsFound([Problem(code=TWICE, where=at, found=found, wanted=wanted)])
    if folder is None or Path(read.body).name != read.body:
        where = where_at(source, ("body",))
        found, wanted = f"the body '{read.body}' cannot be looked for", "wanted a file beside the survey"
        raise ProblemsFound([Problem(code="body-file", where=where, found=found, wanted=wanted)])
    body = body or load(folder / read.body, file=read.body)
    file = _entry(body, BodyFile)
    whole = read.model_copy(update={key: getattr(file, key) for key in OF_THE_BODY})
    return Survey(file=whole, source=source, body=body)


def _reading_problems(source: Source) -> list[Problem]:
    """What is wrong with each reading, at its own line."""
    given = source.data.get("readings")
    if not isinstance(given, Mapping):
        return []
    found: list[Problem] = []
    for name, said in cast("Mapping[str, Any]", given).items():
        try:
            _reading(name, said, source.units)
        except PydanticCustomError as wrong:
            told = wrong.context or {}
            where = where_at(source, ("readings", name, *told.get("part", ())))
            words = f"the survey {told['found']}"
            close = near(*told["like"]) if "like" in told else None
            found.append(
                Problem(code=wrong.type, where=where, found=words, wanted=told["wanted"], nearest=close)
            )
    return found


def _strange_points(read: OfTheBody, source: Source) -> list[Problem]:
    known = point_names()
    return [
        Problem(
            code="unknown-point",
            where=where_at(source, ("distances", i, "between", j)),
            found=f"there is no point {say(name)} in a survey",
            wanted=f"wanted one of {', '.join(known)}",
            nearest=near(name, known),
        )
        for i, entry in enumerate(read.distances)
        for j, name in enumerate(entry.between)
        if name not in known
    ]


def point_names() -> tuple[str, ...]:
    """Every point of a survey that a distance can start or end at."""
    names = (name for row in reading_rows() for part in parts_of(row) for name in points_of(row, part))
    return tuple(name for name in dict.fromkeys(names) if name not in level_points())


def readings_of(file: SurveyFile, name: str) -> Values:
    """The numbers of one reading by part; None for each that was not taken."""
    row = row_named(name)
    given = file.readings.get(name, {})
    return {part: given.get(part) or tuple(None for _ in row.values) for part in parts_of(row)}
