"""A survey's readings as points of the car, and everything there is to say about them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from cagewright.draft.network import Observation, Slip, Solved, solve
from cagewright.draft.sense import impossible_notes, range_notes
from cagewright.draft.telling import SurveyNote, label, number
from cagewright.plan.readings import ReadingRow, nominal_points, parts_of, reading_rows, row_named
from cagewright.plan.survey import SurveyFile, readings_of
from cagewright.shape.types import Array

Span = tuple[float, float, float, float]
STATION = "hoop_station"
CHALK = 2.0
"""How far a mark may lie beside the chalk line, as a standard deviation, mm (ours, no source)."""
ALIKE_SIDES = 6.0
"""How far left and right of a sound shell differ, as a standard deviation, mm (ours, no source)."""
UNEVEN = 3.0
"""Smallest difference between left and right that is told, mm."""
AXES: Mapping[str, int] = {"back": 0, "half": 1, "up": 2}
Element = Literal[
    "main hoop", "front legs", "header bar", "backstays", "doorbars", "dash bar", "harness bar", "roof bars",
    "driver",
]  # fmt: skip
NEEDS: Mapping[Element, tuple[str, ...]] = {
    "main hoop": (STATION, "sill_height", "sill_side", "waist", "upper_side", "cant_rail", "roof_height"),
    "front legs": ("front_foot", "pillar_base", "pillar_mid", "pillar_top", "rail_mid"),
    "header bar": ("pillar_top", "header"),
    "roof bars": ("pillar_top", "roof_mid"),
    "backstays": ("turret",),
    "doorbars": ("door", "floor_height"),
    "dash bar": ("dash",),
    "harness bar": ("hip", "back_angle"),
    "driver": ("hip", "helmet", "eye", "back_angle"),
}
"""Which readings each piece of the cage is drafted from, besides what the pieces it stands on need."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What the survey says of the car.

    Attributes:
        points: (3,) mm by name, slips left out; a side that was not read is the other side's mirror.
        mirrored: points taken from the other side.
        station: distance back of the main hoop, mm; None where neither read nor solved.
        sill: height of the sill at the hoop, mm.
        floor: height of the floor at the hoop, mm.
        roof: heights of the roof skin at the hoop, mm: left, centre, right.
        doors: front, rear, bottom, top of each opening, mm.
        dash: back and up of the dash bar, mm.
        back_angle: of the seat's back, rad.
        solved: the network.
        notes: slips, what is missing, what cannot be, differences between left and right.
    """

    points: dict[str, Array]
    mirrored: frozenset[str]
    station: float | None
    sill: float | None
    floor: float | None
    roof: tuple[float | None, float | None, float | None]
    doors: dict[str, Span]
    dash: tuple[float, float] | None
    back_angle: float | None
    solved: Solved
    notes: tuple[SurveyNote, ...]


def measured(file: SurveyFile) -> Measured:
    """The points of the survey and the notes on it.

    Readings that the others contradict are left out; where a side was not read, the other side's is mirrored.
    """
    seen = tuple(_observations(file))
    start = _start(file)
    checked = solve([*seen, *_alike_sides(seen)], start)
    doubted = {id(slip.observation) for slip in checked.slips}
    sound = [o for o in seen if id(o) not in doubted]
    solved = solve(sound, start, most=0)
    points = dict(solved.points)
    station = points.pop(STATION, None)
    mirrored = _mirror_missing(points)
    impossible = tuple(impossible_notes(file, points))
    notes = (
        *impossible,
        *(_slip_note(slip) for slip in checked.slips if not impossible),
        *range_notes(file, points),
        *_missing_notes(file, points),
        *_unchecked_notes(checked),
        *_uneven_notes(points, mirrored),
    )
    return Measured(
        points=points,
        mirrored=mirrored,
        station=None if station is None else float(station[0]),
        sill=_one(file, "sill_height", "rear"),
        floor=_mean(file, "floor_height", ("left", "right")),
        roof=(
            _one(file, "roof_height", "left"),
            _one(file, "roof_height", "centre"),
            _one(file, "roof_height", "right"),
        ),
        doors=_doors(file),
        dash=_dash(file),
        back_angle=_one(file, "back_angle", ""),
        solved=checked,
        notes=notes,
    )


def _start(file: SurveyFile) -> dict[str, tuple[float, float, float]]:
    """Roughly where each point is, the driver's on his side."""
    sign = -1.0 if file.driver.side == "left" else 1.0
    start = {n: (x, sign * abs(y) if n in _DRIVER else y, z) for n, (x, y, z) in nominal_points().items()}
    return start | {STATION: (1600.0, 0.0, 0.0)}


_DRIVER = ("hip", "helmet", "eye")


def _observations(file: SurveyFile) -> Iterator[Observation]:
    """Everything on the tape that is a coordinate or a distance, with what the chalk line stands for."""
    tape = file.tape
    for row in reading_rows():
        for k, part in enumerate(parts_of(row)):
            values = readings_of(file, row.id)[part]
            if row.between and values[0] is not None:
                a, b = row.between[k]
                yield Observation(
                    reading=row.id, part=part, value="distance", seen=values[0], spread=tape, point=a, other=b
                )  # fmt: skip
            elif row.point:
                yield from _coordinates(file, row, part, values)
    back = readings_of(file, STATION)[""][0]
    if back is not None:
        yield Observation(
            reading=STATION, part="", value="back", seen=back, spread=tape, point=STATION, axis=0
        )
        yield from (
            Observation(reading="", part="", value="", seen=0.0, spread=0.01, point=STATION, axis=axis)
            for axis in (1, 2)
        )
    for i, entry in enumerate(file.distances):
        a, b = entry.between
        yield Observation(
            reading="distances", part=str(i + 1), value="distance", seen=entry.distance, spread=tape, point=a,
            other=b,
        )  # fmt: skip


def _coordinates(
    file: SurveyFile, row: ReadingRow, part: str, values: Sequence[float | None]
) -> Iterator[Observation]:
    name = f"{row.point}_{part}" if part else row.point
    side = part or file.driver.side
    for value, seen in zip(row.values, values, strict=True):
        if seen is not None:
            sign = -1.0 if value == "half" and side == "left" else 1.0
            yield Observation(
                reading=row.id, part=part, value=value, seen=seen, spread=file.tape, point=name,
                axis=AXES[value], sign=sign,
            )  # fmt: skip
    if row.at and readings_of(file, row.at)[""][0] is not None:
        yield Observation(
            reading="", part="", value="", seen=0.0, spread=CHALK, point=name, other=row.at, axis=0
        )
    if row.centre:
        yield Observation(reading="", part="", value="", seen=0.0, spread=1.0, point=name, axis=1)


def _alike_sides(seen: Sequence[Observation]) -> Iterator[Observation]:
    """For the search for slips only: left and right of a sound shell are nearly mirrors."""
    names = {n for o in seen for n in (o.point, o.other)}
    for name in sorted(names):
        twin = f"{name.removesuffix('_left')}_right"
        if name.endswith("_left") and twin in names:
            for axis, sign in ((0, 1.0), (1, -1.0), (2, 1.0)):
                yield Observation(
                    reading="", part="", value="", seen=0.0, spread=ALIKE_SIDES, point=name, other=twin,
                    axis=axis, sign=sign,
                )  # fmt: skip


def _mirror_missing(points: dict[str, Array]) -> frozenset[str]:
    """Adds each point that only its twin on the other side is known of; returns their names."""
    added: dict[str, Array] = {}
    for name, place in points.items():
        for one, other in (("_left", "_right"), ("_right", "_left")):
            if name.endswith(one) and name.removesuffix(one) + other not in points:
                added[name.removesuffix(one) + other] = place * np.array([1.0, -1.0, 1.0])
    points.update(added)
    return frozenset(added)


def _one(file: SurveyFile, name: str, part: str) -> float | None:
    return readings_of(file, name)[part][0]


def _mean(file: SurveyFile, name: str, parts: tuple[str, ...]) -> float | None:
    values = [v for v in (_one(file, name, part) for part in parts) if v is not None]
    return sum(values) / len(values) if values else None


def _doors(file: SurveyFile) -> dict[str, Span]:
    doors: dict[str, Span] = {}
    for side, values in readings_of(file, "door").items():
        front, rear, bottom, top = values
        if front is not None and rear is not None and bottom is not None and top is not None:
            doors[side] = (front, rear, bottom, top)
    for side, other in (("left", "right"), ("right", "left")):
        if side not in doors and other in doors:
            doors[side] = doors[other]
    return doors


def _dash(file: SurveyFile) -> tuple[float, float] | None:
    back, up = readings_of(file, "dash")[""]
    return None if back is None or up is None else (back, up)


# --- what there is to say


def _slip_note(slip: Slip) -> SurveyNote:
    o = slip.observation
    words = f"{label(o)} reads {number(o.seen)}; the other readings make it {number(slip.others)}"
    words += f", {number(abs(o.seen - slip.others))} {'less' if slip.others < o.seen else 'more'}"
    if slip.alike:
        words += f". It may as well be {' or '.join(label(a) for a in slip.alike)}"
    what = "read it again; it is left out until then"
    return SurveyNote(kind="slip", reading=o.reading, part=o.part, found=words, advice=what)


def _missing_notes(file: SurveyFile, points: Mapping[str, Array]) -> Iterator[SurveyNote]:
    for row in reading_rows():
        given = readings_of(file, row.id)
        gone = [part for part, values in given.items() if any(v is None for v in values)]
        if not gone or row.need == "check":
            continue
        yield _missing_note(row, gone, points)


def _missing_note(row: ReadingRow, gone: list[str], points: Mapping[str, Array]) -> SurveyNote:
    parts = f" ({', '.join(p for p in gone if p)})" if any(gone) else ""
    names = [f"{row.point}_{part}" if part else row.point for part in gone] if row.point else []
    pieces = [element for element, needs in NEEDS.items() if row.id in needs]
    use = f"it is for {row.used}" + (f"; wanted by: {', '.join(pieces)}" if pieces else "")
    if names and all(name in points for name in names):
        return SurveyNote(
            kind="stood in", reading=row.id, part=gone[0],
            found=f"{row.title}{parts} was not read, but the other readings or the other side give it",
            advice=f"read it to be sure: {use}",
        )  # fmt: skip
    return SurveyNote(
        kind="missing", reading=row.id, part=gone[0], found=f"{row.title}{parts} was not read", advice=use,
        matters=row.need == "must",
    )  # fmt: skip


def _unchecked_notes(solved: Solved) -> Iterator[SurveyNote]:
    for name in dict.fromkeys(o.reading for o in solved.unchecked):
        mine = [o for o in solved.unchecked if o.reading == name]
        guards = row_named(name).guard if name != "distances" else ()
        hint = f"take {' or '.join(guards)} too" if guards else "read it twice"
        words = ", ".join(label(o) for o in mine)
        yield SurveyNote(
            kind="unchecked", reading=name, part=mine[0].part, found=f"nothing would show a slip in {words}",
            advice=hint,
        )  # fmt: skip


def _uneven_notes(points: Mapping[str, Array], mirrored: frozenset[str]) -> Iterator[SurveyNote]:
    """How far each pair of points differs from being mirrors of each other."""
    for name, left in points.items():
        twin = f"{name.removesuffix('_left')}_right"
        if not name.endswith("_left") or twin not in points or mirrored & {name, twin}:
            continue
        right = points[twin]
        off = (right[0] - left[0], right[1] + left[1], right[2] - left[2])
        said = [
            f"{number(abs(v))} further {word[0] if v > 0.0 else word[1]}"
            for v, word in zip(off, (("back", "forward"), ("out", "in"), ("up", "down")), strict=True)
            if abs(v) >= UNEVEN
        ]
        if said:
            point = name.removesuffix("_left").replace("_", " ")
            yield SurveyNote(
                kind="uneven", reading=_reading_of(name), part="right",
                found=f"{point}: the right side stands {' and '.join(said)} than the left",
                advice="shells differ by some millimetres; the draft follows each side where it matters",
            )  # fmt: skip


def _reading_of(point: str) -> str:
    base = point.removesuffix("_left").removesuffix("_right")
    return next((row.id for row in reading_rows() if row.point == base), "")
