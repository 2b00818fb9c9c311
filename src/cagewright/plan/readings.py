"""What can be read on a stripped shell, as sourced rows: where to hold the tape, what for, what checks it."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

View = Literal["side", "section", "plan", "seat"]
Need = Literal["must", "should", "check"]
Term = tuple[str, str, float]
"""A coordinate that a number is the sum of: its point, its word (back, half, up) and its factor."""
AXES = {"back": 0, "half": 1, "up": 2, "front": 0, "rear": 0, "bottom": 2, "top": 2}
"""Which axis a word measures along: 0 back, 1 across, 2 up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow:
    """One reading of the survey sheet.

    Attributes:
        id: its key in the survey file.
        title: in a few words.
        hold: how to hold the tape.
        used: what it is used for.
        parts: sides or stations with their own numbers; empty for a single reading.
        values: what the tape says for each part.
        low: least plausible of each value, mm or degrees.
        high: greatest plausible of each value.
        point: the point the numbers belong to, its side added where the parts are sides; empty for none.
        at: the reading whose distance back is the point's too; empty where it has its own.
        centre: the point lies on the centre line.
        across: how far across the point of each part lies, mm; empty where it is read or does not matter.
        only: the point has no other coordinates than its values: a height, not a place.
        each: every value is a point of its own, with that one coordinate.
        between: for distances, the two points of each part.
        sums: for distances between heights or edges, the coordinates (point, word, factor) each part is the
            sum of.
        guard: readings that show a slip in this one.
        view: how it is sketched.
        need: whether a plan can be drafted without it.
    """

    id: str
    title: str
    hold: str
    used: str
    values: tuple[str, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    parts: tuple[str, ...] = ()
    point: str = ""
    at: str = ""
    centre: bool = False
    across: tuple[float, ...] = ()
    only: bool = False
    each: bool = False
    between: tuple[tuple[str, str], ...] = ()
    sums: tuple[tuple[Term, ...], ...] = ()
    guard: tuple[str, ...] = ()
    view: View = "side"
    need: Need = "should"


Way = Literal["back", "out", "up"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A part of the body whose marks go together from one car of a kind to the next.

    Attributes:
        name: in words, of both sides.
        points: its marks, without their side.
        ways: in which they may stand elsewhere.
    """

    name: str
    points: tuple[str, ...]
    ways: tuple[Way, ...]


@cache
def zones() -> tuple[Zone, ...]:
    """Every part of the body that may stand elsewhere on the next car of its kind."""
    rows = _table()["zone"]
    return tuple(Zone(name=r["name"], points=tuple(r["points"]), ways=tuple(r["ways"])) for r in rows)


@cache
def _table() -> dict[str, Any]:
    text = files("cagewright.plan").joinpath("data", "readings.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def reading_rows() -> tuple[ReadingRow, ...]:
    """Every reading, in the order it is taken."""
    return tuple(_row(row) for row in _table()["reading"])


def _row(row: dict[str, Any]) -> ReadingRow:
    given: dict[str, Any] = {
        key: tuple(value) if isinstance(value, list) else value for key, value in row.items()
    }
    given["between"] = tuple((a, b) for a, b in row.get("between", ()))
    given["sums"] = tuple(tuple((p, w, float(f)) for p, w, f in part) for part in row.get("sums", ()))
    return ReadingRow(**given)


def row_named(name: str) -> ReadingRow:
    """The reading of that id.

    Raises:
        KeyError: there is none.
    """
    return _by_name()[name]


@cache
def _by_name() -> dict[str, ReadingRow]:
    return {row.id: row for row in reading_rows()}


@cache
def nominal_points() -> dict[str, tuple[float, float, float]]:
    """Points of a made-up car by name, both sides, mm: for sketches, and to start puzzling from."""
    points: dict[str, tuple[float, float, float]] = {}
    for name, (x, y, z) in _table()["nominal"].items():
        if y == 0.0 or name in DRIVERS:
            points[name] = (x, y, z)
        else:
            points[f"{name}_left"], points[f"{name}_right"] = (x, y, z), (x, -y, z)
    return points


DRIVERS = frozenset({"hip", "helmet", "eye"})
"""Points of the driver, on whichever side he sits."""


def parts_of(row: ReadingRow) -> tuple[str, ...]:
    """The parts of a reading; one nameless part for a single reading."""
    return row.parts or ("",)


def points_of(row: ReadingRow, part: str) -> tuple[str, ...]:
    """Names of the points that a part's values belong to, one for each value; empty for a reading without."""
    if not row.point:
        return ()
    words = [f"{row.point}_{value}" if row.each else row.point for value in row.values]
    return tuple(f"{word}_{part}" if part else word for word in words)


@cache
def level_points() -> frozenset[str]:
    """The points that are no places of the car but a height or an edge: distances do not start at them."""
    rows = [row for row in reading_rows() if row.only or row.each]
    return frozenset(name for row in rows for part in parts_of(row) for name in points_of(row, part))
