"""Belt limits: the rows of each standard, and the belt maker's own sheet, which wins."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache, partial
from importlib.resources import files
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, ValidationInfo

from cagewright.base.answers import Certainty
from cagewright.base.problems import Problem, ProblemsFound, nearest_word
from cagewright.base.say import say_angle, say_length
from cagewright.base.units import LengthUnit
from cagewright.check.belts.measures import MEASURES
from cagewright.check.rules import (
    LimitSide,
    Note,
    RuleEntry,
    Text,
    Texts,
    of_restated,
    quantity,
    side,
    wrong,
)
from cagewright.check.toml import rows_in, toml_source
from cagewright.plan.source import where_at
from cagewright.plan.types import BeltKind, SheetEntry

SeatWord = Literal["upright", "reclined"]
ALWAYS = "common-practice"
"""The standard whose rows every harness is looked at by, besides the one it answers to."""
SHEET_MEASURES: Mapping[str, tuple[str, ...]] = {
    "lap_angle": ("lap angle",),
    "shoulder_down": ("shoulder down",),
    "shoulder_inward": ("shoulder inward",),
    "shoulder_spread": ("shoulder spread",),
    "below_shoulder": ("below shoulder",),
    "lap_spread": ("lap spread",),
    "crotch_to_chest": ("crotch to chest line", "crotch to plumb"),
    "crotch_to_plumb": ("crotch to plumb", "crotch to chest line"),
    "crotch_spread": ("crotch spread",),
    "shoulder_free": ("shoulder free", "shoulder behind seat"),
    "lap_free": ("lap free",),
}
"""Which measures each figure of the belt maker's sheet settles, its own first."""
_SETTLED = {measures[0]: measures for measures in SHEET_MEASURES.values()}


class Standard(RuleEntry):
    """A standard for belts: its id, title, edition and the rule books that lead to it."""

    id: Text
    title: Text
    edition: Note
    rules: tuple[Text, ...] = ()


def _known(raw: Any) -> Any:
    if isinstance(raw, str) and raw not in MEASURES:
        raise wrong("unknown-measure", "wanted one of the belts' measures", like=(raw, MEASURES))
    return raw


def _side(raw: Any, info: ValidationInfo) -> LimitSide | None:
    measure = MEASURES.get(info.data.get("measure", ""))
    if measure is None or isinstance(raw, LimitSide):
        return raw if isinstance(raw, LimitSide) else None
    low = str(info.field_name).endswith("low")
    return side("at_least" if low else "at_most", raw, measure.sort)


Side = Annotated[LimitSide | None, BeforeValidator(_side)]


class BeltLimit(RuleEntry):
    """One row.

    Attributes:
        standards: ids it belongs to.
        clause: as the standard numbers it.
        title: in our own words.
        measure: a word of ``MEASURES``.
        low: that must hold.
        high: as ``low``.
        advised_low: that the text only advises.
        advised_high: as ``advised_low``.
        seat: for which seat; None for any.
        points: for how many belts (4, 5 or 6); None for any.
        belts: which belts it looks at; empty for all.
        certainty: how sure it is.
        source: where the figure was read.
        confirmed: a second source, independent of the first, that restates the same figure.
        instead: the standard's rows that the sheet stands in place of, in words.
    """

    standards: Texts
    clause: Text
    title: Text
    measure: Annotated[str, BeforeValidator(_known)]
    low: Side = None
    high: Side = None
    advised_low: Side = None
    advised_high: Side = None
    seat: SeatWord | None = None
    points: Literal[4, 5, 6] | None = None
    belts: tuple[BeltKind, ...] = ()
    certainty: Certainty
    source: Text
    confirmed: Annotated[Note, AfterValidator(of_restated)] = ""
    instead: Note = ""

    @property
    def bounds(self) -> tuple[LimitSide, ...]:
        """The limits that must hold."""
        return tuple(b for b in (self.low, self.high) if b)

    @property
    def advised(self) -> tuple[LimitSide, ...]:
        """The limits that the text only advises."""
        return tuple(b for b in (self.advised_low, self.advised_high) if b)


Newtons = Annotated[float, BeforeValidator(lambda raw: quantity(raw, "force"))]


class Loads(RuleEntry):
    """What each belt's mount must carry, N; ``shared`` where one tab holds two belts."""

    standards: Texts
    clause: Text
    lap: Newtons
    shoulder: Newtons
    crotch: Newtons
    shared: Newtons | None = None
    source: Text
    certainty: Certainty


class Upright(RuleEntry):
    """How far a back that counts as upright leans at most from the plumb line, rad."""

    most: Annotated[float, BeforeValidator(lambda raw: quantity(raw, "angle"))]
    source: Text
    certainty: Certainty


class Tables(RuleEntry):
    """The belts' data file."""

    upright: Upright
    standard: tuple[Standard, ...]
    limit: tuple[BeltLimit, ...]
    load: tuple[Loads, ...]


def read_tables(text: str, file: str) -> Tables:
    """The belt rows in the text.

    Raises:
        ProblemsFound: every mistake with its line; a row of a standard that there is not.
    """
    found = rows_in(text, file, Tables)
    known = {standard.id for standard in found.standard}
    problems = [
        Problem(
            code="unknown-standard",
            where=where_at(toml_source(text, file), (table, number)),
            found=f"no belt standard is called '{name}'",
            wanted=f"wanted one of {', '.join(sorted(known))}",
            nearest=nearest_word(name, known),
        )
        for table, rows in (("limit", found.limit), ("load", found.load))
        for number, row in enumerate(rows)
        for name in row.standards
        if name not in known
    ]
    if problems:
        raise ProblemsFound(problems)
    return found


@cache
def tables() -> Tables:
    """Every row of the belts' data file."""
    text = files("cagewright.check").joinpath("data", "belts.toml").read_text(encoding="utf-8")
    return read_tables(text, "belts.toml")


@cache
def standards() -> dict[str, Standard]:
    """Every belt standard by id."""
    return {standard.id: standard for standard in tables().standard}


def limits() -> tuple[BeltLimit, ...]:
    """Every row of every standard."""
    return tables().limit


def loads() -> tuple[Loads, ...]:
    """What the mounts must carry, by standard."""
    return tables().load


def limits_for(
    standard: str, sheet: SheetEntry | None, seat: SeatWord, points: int, units: LengthUnit = "mm"
) -> tuple[BeltLimit, ...]:
    """The rows that hold: the sheet's, those of the standard it does not settle, and common practice's.

    Without a sheet only the standard's own rows and common practice are taken.
    """
    own = sheet_limits(sheet, tuple(_held(standard, seat, points)), units) if sheet else ()
    settled = {measure for limit in own for measure in _SETTLED[limit.measure]}
    rest = [
        limit
        for name in dict.fromkeys((standard, ALWAYS))
        for limit in _held(name, seat, points)
        if limit.measure not in settled
    ]
    return (*own, *rest)


def _held(standard: str, seat: SeatWord, points: int) -> Iterable[BeltLimit]:
    for limit in limits():
        if standard in limit.standards and limit.seat in {None, seat} and limit.points in {None, points}:
            yield limit


def sheet_limits(
    sheet: SheetEntry, standing: tuple[BeltLimit, ...], units: LengthUnit = "mm"
) -> tuple[BeltLimit, ...]:
    """The belt maker's figures as rows; each says which of the ``standing`` rows it takes the place of."""
    rows: list[BeltLimit] = []
    for field, measures in SHEET_MEASURES.items():
        span = getattr(sheet, field)
        if span is None:
            continue
        sort = MEASURES[measures[0]].sort
        say = say_angle if sort == "angle" else partial(say_length, units=units)
        low = LimitSide(kind="at_least", value=span[0], text=say(span[0]))
        high = LimitSide(kind="at_most", value=span[1], text=say(span[1]))
        replaced = [f"{limit.clause} ({limit.title})" for limit in standing if limit.measure in measures]
        rows.append(
            BeltLimit(
                standards=("belt-maker-sheet",),
                clause="belt maker's sheet",
                title=f"the belt maker's sheet: {field.replace('_', ' ')}",
                measure=measures[0],
                low=low,
                high=high,
                source=sheet.source,
                certainty="shop",
                instead="; ".join(replaced),
            )
        )
    return tuple(rows)
