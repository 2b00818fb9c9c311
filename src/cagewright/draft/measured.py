"""A survey's readings as points of the car, and everything there is to say about them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from cagewright.base.outliers import Outlier
from cagewright.base.units import LengthUnit
from cagewright.draft.network import Observation, Solved, solve
from cagewright.draft.observed import STATION, assumptions, observations, start_of
from cagewright.draft.sense import impossible_notes, range_notes
from cagewright.draft.telling import SurveyNote, label, taped
from cagewright.plan.readings import (
    AXES,
    ReadingRow,
    level_points,
    parts_of,
    points_of,
    reading_rows,
    row_named,
)
from cagewright.plan.survey import SurveyFile, readings_of
from cagewright.shape.types import Array

Span = tuple[float, float, float, float]
UNEVEN = 3.0
"""Smallest difference between left and right that is told, mm."""
Element = Literal[
    "main hoop", "front legs", "header bar", "backstays", "doorbars", "dash bar", "harness bar", "roof bars",
    "driver", "forward braces",
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
    "forward braces": ("front_foot", "floor_height"),
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
        tunnel: half width and height of its top, mm.
        back_angle: of the seat's back, rad.
        spreads: (3,) standard deviation of each point's coordinates, mm; of those that were read.
        settled: the readings without slips, solved: every point with the covariance of all.
        scatter: of all readings with what may be assumed: about 1 for a sound set.
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
    tunnel: tuple[float, float] | None
    back_angle: float | None
    spreads: dict[str, Array]
    settled: Solved
    scatter: float
    notes: tuple[SurveyNote, ...]


def measured(file: SurveyFile) -> Measured:
    """The points of the survey and the notes on it.

    Readings that the others contradict are left out; where a side was not read, the other side's is mirrored.
    """
    seen = tuple(observations(file))
    start = start_of(file)
    checked = solve([*seen, *assumptions(seen)], start)
    doubted = {id(slip.reading) for slip in checked.slips}
    sound = [o for o in seen if id(o) not in doubted]
    settled = solve(sound, start, most=0)
    points = dict(settled.points)
    mirrored = _mirror_missing(points)
    places = {n: p for n, p in points.items() if n not in level_points() and n != STATION}
    floors = [float(points[n][2]) for n in ("floor_left", "floor_right") if n in points]
    return Measured(
        points=places,
        mirrored=mirrored,
        station=_along(points, STATION, "back"),
        sill=_along(points, "sill_rear", "up"),
        floor=sum(floors) / len(floors) if floors else None,
        roof=(
            _along(points, "roof_left", "up"),
            _along(points, "roof_centre", "up"),
            _along(points, "roof_right", "up"),
        ),
        doors=_doors(points),
        dash=None if "dash" not in points else (float(points["dash"][0]), float(points["dash"][2])),
        tunnel=None if "tunnel" not in points else (float(points["tunnel"][1]), float(points["tunnel"][2])),
        back_angle=readings_of(file, "back_angle")[""][0],
        spreads=settled.spreads,
        settled=settled,
        scatter=checked.scatter,
        notes=_notes(file, checked, points, mirrored),
    )


def _notes(
    file: SurveyFile, checked: Solved, points: Mapping[str, Array], mirrored: frozenset[str]
) -> tuple[SurveyNote, ...]:
    impossible = tuple(impossible_notes(file, points))
    slips = () if impossible else tuple(_slip_note(slip, file.units) for slip in checked.slips)
    return (
        *impossible,
        *slips,
        *range_notes(file, points, frozenset(note.reading for note in slips)),
        *_missing_notes(file, points),
        *_unchecked_notes(checked),
        *_uneven_notes(points, mirrored, file.units),
    )


def _along(points: Mapping[str, Array], name: str, word: str) -> float | None:
    return float(points[name][AXES[word]]) if name in points else None


def _mirror_missing(points: dict[str, Array]) -> frozenset[str]:
    """Adds each point that only its twin on the other side is known of; returns their names."""
    added: dict[str, Array] = {}
    for name, place in points.items():
        for one, other in (("_left", "_right"), ("_right", "_left")):
            if name.endswith(one) and name.removesuffix(one) + other not in points:
                added[name.removesuffix(one) + other] = place * np.array([1.0, -1.0, 1.0])
    points.update(added)
    return frozenset(added)


def _doors(points: Mapping[str, Array]) -> dict[str, Span]:
    row = row_named("door")
    doors: dict[str, Span] = {}
    for side in row.parts:
        edges = [_along(points, n, w) for n, w in zip(points_of(row, side), row.values, strict=True)]
        front, rear, bottom, top = edges
        if front is not None and rear is not None and bottom is not None and top is not None:
            doors[side] = (front, rear, bottom, top)
    return doors


# --- what there is to say


def _slip_note(slip: Outlier[Observation], units: LengthUnit) -> SurveyNote:
    o = slip.reading
    words = f"{label(o)} reads {taped(o.seen, units)}; the other readings make it {taped(slip.others, units)}"
    words += f", {taped(abs(o.seen - slip.others), units)} {'less' if slip.others < o.seen else 'more'}"
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


INSTEAD: Mapping[str, str] = {
    "side_mid": "the side is taken as straight between its two marks",
    "rail_mid": "the roof rail is taken as straight from the pillar's top to the hoop",
    "pillar_mid": "the pillar is taken as straight between its two marks",
    "roof_mid": "the roof's middle line is taken as straight from header to hoop",
    "header": "the header bar goes straight between the legs, and nothing says how it clears the header",
    "back_angle": "the plan's usual lean stands in for shoulder, belts and sight",
    "helmet": "the helmet is reckoned from hip, lean and stature",
    "eye": "the eyes are reckoned from hip, lean and stature",
    "tunnel": "nothing is drafted from it",
}
"""What a draft takes in the place of a reading; of every other one a piece of the cage is left out."""


def _missing_note(row: ReadingRow, gone: list[str], points: Mapping[str, Array]) -> SurveyNote:
    parts = f" ({', '.join(p for p in gone if p)})" if any(gone) else ""
    names = [name for part in gone for name in points_of(row, part)]
    pieces = [element for element, needs in NEEDS.items() if row.id in needs]
    use = f"it is for {row.used}" + (f"; wanted by: {', '.join(pieces)}" if pieces else "")
    if names and all(name in points for name in names):
        return SurveyNote(
            kind="stood in", reading=row.id, part=gone[0],
            found=f"{row.title}{parts} was not read, but the other readings or the other side give it",
            advice=f"read it to be sure: {use}",
        )  # fmt: skip
    stands = INSTEAD.get(row.id, "nothing can stand in for it")
    return SurveyNote(
        kind="missing", reading=row.id, part=gone[0], found=f"{row.title}{parts} was not read",
        advice=f"{'it matters' if row.need == 'must' else 'it can wait'}: {use}; {stands}",
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


def _uneven_notes(
    points: Mapping[str, Array], mirrored: frozenset[str], units: LengthUnit
) -> Iterator[SurveyNote]:
    """How far each pair of points differs from being mirrors of each other."""
    for name, left in points.items():
        twin = f"{name.removesuffix('_left')}_right"
        if not name.endswith("_left") or twin not in points or mirrored & {name, twin}:
            continue
        right = points[twin]
        off = (right[0] - left[0], right[1] + left[1], right[2] - left[2])
        said = [
            f"{taped(abs(v), units)} further {word[0] if v > 0.0 else word[1]}"
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
    rows = (row for row in reading_rows() for part in parts_of(row) if point in points_of(row, part))
    return next((row.id for row in rows), "")
