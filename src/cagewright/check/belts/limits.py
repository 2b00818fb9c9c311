"""Belt limits: the rows of each standard, and the belt maker's own sheet, which wins."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, partial
from typing import Any, Literal

from cagewright.base.say import say_angle, say_length
from cagewright.base.units import Kind, LengthUnit, parse
from cagewright.check.belts.harness import tables
from cagewright.check.belts.measures import MEASURES
from cagewright.check.rules import BoundKind, LimitSide
from cagewright.check.said import Sort
from cagewright.plan.types import BeltKind, SheetEntry
from cagewright.stock.steels import Certainty

SeatWord = Literal["upright", "reclined"]
ALWAYS = "common-practice"
"""The standard whose rows every harness is looked at by, besides the one it answers to."""
_KIND: Mapping[Sort, Kind] = {
    "angle": "angle", "length": "length", "fine": "length", "area": "area", "count": "number",
}  # fmt: skip
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Standard:
    """A standard for belts: its id, title, edition and the rule books that lead to it."""

    id: str
    title: str
    edition: str
    rules: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BeltLimit:
    """One row.

    Attributes:
        standards: ids it belongs to.
        clause: as the standard numbers it.
        title: in our own words.
        measure: a word of ``MEASURES``.
        bounds: that must hold.
        advised: that the text only advises.
        seat: for which seat; None for any.
        points: for how many belts (5 or 6); None for any.
        belts: which belts it looks at; empty for all.
        source: where the figure was read.
        certainty: how sure it is.
        instead: the standard's rows that the sheet stands in place of, in words.
    """

    standards: tuple[str, ...]
    clause: str
    title: str
    measure: str
    bounds: tuple[LimitSide, ...] = ()
    advised: tuple[LimitSide, ...] = ()
    seat: SeatWord | None = None
    points: int | None = None
    belts: tuple[BeltKind, ...] = ()
    source: str
    certainty: Certainty
    instead: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Loads:
    """What each belt's mount must carry, N; ``shared`` where one tab holds two belts."""

    standards: tuple[str, ...]
    clause: str
    lap: float
    shoulder: float
    crotch: float
    shared: float | None
    source: str
    certainty: Certainty


@cache
def standards() -> dict[str, Standard]:
    """Every belt standard by id."""
    return {
        row["id"]: Standard(
            id=row["id"], title=row["title"], edition=row["edition"], rules=tuple(row["rules"])
        )
        for row in tables()["standard"]
    }


@cache
def limits() -> tuple[BeltLimit, ...]:
    """Every row of every standard."""
    return tuple(_limit(row) for row in tables()["limit"])


@cache
def loads() -> tuple[Loads, ...]:
    """What the mounts must carry, by standard."""
    return tuple(_loads(row) for row in tables()["load"])


def _loads(row: Mapping[str, Any]) -> Loads:
    return Loads(
        standards=tuple(row["standards"]),
        clause=row["clause"],
        lap=parse(row["lap"], "force"),
        shoulder=parse(row["shoulder"], "force"),
        crotch=parse(row["crotch"], "force"),
        shared=parse(row["shared"], "force") if "shared" in row else None,
        source=row["source"],
        certainty=row["certainty"],
    )


def _limit(row: Mapping[str, Any]) -> BeltLimit:
    sort = MEASURES[row["measure"]].sort
    return BeltLimit(
        standards=tuple(row["standards"]),
        clause=row["clause"],
        title=row["title"],
        measure=row["measure"],
        bounds=_bounds(row.get("low"), row.get("high"), sort),
        advised=_bounds(row.get("advised_low"), row.get("advised_high"), sort),
        seat=row.get("seat"),
        points=row.get("points"),
        belts=tuple(row.get("belts", ())),
        source=row["source"],
        certainty=row["certainty"],
    )


def _bounds(low: str | None, high: str | None, sort: Sort) -> tuple[LimitSide, ...]:
    sides: tuple[tuple[BoundKind, str | None], ...] = (("at_least", low), ("at_most", high))
    return tuple(
        LimitSide(
            kind=kind, value=parse(text if _KIND[sort] != "number" else float(text), _KIND[sort]), text=text
        )
        for kind, text in sides
        if text is not None
    )


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
        kinds: tuple[BoundKind, BoundKind] = ("at_least", "at_most")
        bounds = tuple(LimitSide(kind=k, value=v, text=say(v)) for k, v in zip(kinds, span, strict=True))
        replaced = [f"{limit.clause} ({limit.title})" for limit in standing if limit.measure in measures]
        rows.append(
            BeltLimit(
                standards=("belt-maker-sheet",),
                clause="belt maker's sheet",
                title=f"the belt maker's sheet: {field.replace('_', ' ')}",
                measure=measures[0],
                bounds=bounds,
                source=sheet.source,
                certainty="shop",
                instead="; ".join(replaced),
            )
        )
    return tuple(rows)
