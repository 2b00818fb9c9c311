"""What cannot be on any car, and what hardly is: order of heights and distances, and plausible ranges."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from cagewright.base.say import span
from cagewright.base.units import LengthUnit
from cagewright.draft.telling import SurveyNote, taped
from cagewright.plan.readings import reading_rows
from cagewright.plan.survey import SurveyFile, readings_of
from cagewright.shape.types import Array

LEAN_OFF = math.radians(3.0)
"""A bevel gauge further out than this from the pillar's two marks is doubtful (ours, no source)."""
SILL_OFF = 15.0
"""The sill's middle height this far off its ends' mean is doubtful, mm (ours, no source)."""
STICK = 500.0
"""Length of the stick laid along the seat's back, mm."""
OFFSET_OFF = 20.0
"""Stick and gauge that differ by more than this at the stick's end are doubtful, mm (ours: 2.3 degrees)."""
ROOF_OFF = 25.0
"""The roof's two sides this far apart in height are doubtful, mm (ours, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """One thing lies beyond another on every car.

    Attributes:
        axis: 0 back, 1 across (as half width), 2 up.
        less: the point that comes first.
        more: the point that comes after.
        words: what is wrong where it does not.
    """

    axis: int
    less: str
    more: str
    words: str


ORDERS = (
    Order(axis=2, less="sill_side", more="waist", words="the waist is not above the sill"),
    Order(axis=2, less="waist", more="side_mid", words="the mark half way up is not above the waist"),
    Order(
        axis=2,
        less="side_mid",
        more="upper_side",
        words="the mark half way up the side is over the upper one",
    ),
    Order(axis=2, less="waist", more="upper_side", words="the mark below the rail is not above the waist"),
    Order(axis=2, less="upper_side", more="cant_rail", words="the roof rail is not above the mark below it"),
    Order(axis=1, less="cant_rail", more="waist", words="the roof rail stands further out than the waist"),
    Order(axis=0, less="pillar_base", more="pillar_top", words="the pillar's top is not behind its bottom"),
    Order(axis=2, less="pillar_base", more="pillar_top", words="the pillar's top is not above its bottom"),
    Order(axis=0, less="pillar_top", more="cant_rail", words="the pillar's top is not ahead of the hoop"),
    Order(axis=0, less="front_foot", more="cant_rail", words="the front foot is not ahead of the hoop"),
    Order(axis=0, less="cant_rail", more="turret", words="the backstay's foot is not behind the hoop"),
    Order(
        axis=2, less="turret", more="cant_rail", words="the backstay's foot is not below the hoop's corner"
    ),
    Order(axis=0, less="hip", more="cant_rail", words="the driver's hip is not ahead of the hoop"),
    Order(axis=2, less="hip", more="helmet", words="the helmet is not above the hip"),
)


def impossible_notes(file: SurveyFile, points: Mapping[str, Array]) -> Iterator[SurveyNote]:
    """What cannot be on any car: one point before or under another, a helmet through the roof."""
    for order in ORDERS:
        for side in ("_left", "_right"):
            note = _out_of_order(order, side, file, points)
            if note is not None:
                yield note
    yield from _through_roof(file, points)
    yield from _short_distances(file)


def _out_of_order(
    order: Order, side: str, file: SurveyFile, points: Mapping[str, Array]
) -> SurveyNote | None:
    less, more = (points.get(n, points.get(n + side)) for n in (order.less, order.more))
    if less is None or more is None:
        return None
    a, b = (abs(float(p[order.axis])) if order.axis == 1 else float(p[order.axis]) for p in (less, more))
    if a < b:
        return None
    word = ("back", "half", "up")[order.axis]
    return SurveyNote(
        kind="impossible", reading=order.more, part=side[1:],
        found=f"{order.words} on the {side[1:]}: {order.less} is {taped(a, file.units)} {word}, "
        f"{order.more} {taped(b, file.units)}",
        advice="no car is so: read both again",
    )  # fmt: skip


def _through_roof(file: SurveyFile, points: Mapping[str, Array]) -> Iterator[SurveyNote]:
    roof, helmet = readings_of(file, "roof_height")["centre"][0], points.get("helmet")
    if roof is not None and helmet is not None and float(helmet[2]) + file.driver.helmet / 2.0 > roof:
        top = float(helmet[2]) + file.driver.helmet / 2.0
        yield SurveyNote(
            kind="impossible", reading="helmet", part="",
            found=f"the top of the helmet, {taped(top, file.units)} up, is over the roof, "
            f"{taped(roof, file.units)} up",
            advice="read helmet and roof again, or set the seat lower",
        )  # fmt: skip


def _short_distances(file: SurveyFile) -> Iterator[SurveyNote]:
    """Distances round a triangle of which one is longer than the other two together."""
    sides: dict[frozenset[str], tuple[float, str]] = {}
    for row in reading_rows():
        for pair, values in zip(row.between, readings_of(file, row.id).values(), strict=False):
            if values[0] is not None:
                sides[frozenset(pair)] = (values[0], row.id)
    for entry in file.distances:
        sides.setdefault(frozenset(entry.between), (entry.distance, "distances"))
    beside: dict[str, set[str]] = {}
    for a, b in (sorted(pair) for pair in sides):
        beside.setdefault(a, set()).add(b)
        beside.setdefault(b, set()).add(a)
    for a, b in sorted(tuple(sorted(pair)) for pair in sides):
        for c in sorted(n for n in beside[a] & beside[b] if n > b):
            held = [sides[frozenset(p)] for p in ((a, b), (b, c), (a, c))]
            longest = max(held)
            if longest[0] > sum(s for s, _ in held) - longest[0] + 4.0 * file.tape:
                yield SurveyNote(
                    kind="impossible", reading=longest[1], part="",
                    found=f"between {a}, {b} and {c} one distance, "
                    f"{taped(longest[0], file.units)}, is longer than the other two together",
                    advice="no triangle is so: read all three again",
                )  # fmt: skip


def range_notes(
    file: SurveyFile, points: Mapping[str, Array], slipped: frozenset[str] = frozenset()
) -> Iterator[SurveyNote]:
    """Numbers outside the plausible range, and heights and leans that do not go together.

    Args:
        file: the survey.
        points: as solved, slips left out.
        slipped: readings that the others have already shown to be out, which need not be doubted twice.
    """
    for row in reading_rows():
        for part, values in readings_of(file, row.id).items():
            for value, seen, low, high in zip(row.values, values, row.low, row.high, strict=True):
                scale = math.degrees(1.0) if value == "lean" else 1.0
                if seen is not None and not low <= seen * scale <= high:
                    seen_words = f"{seen * scale:.6g} deg" if value == "lean" else taped(seen, file.units)
                    yield SurveyNote(
                        kind="range", reading=row.id, part=part,
                        found=f"{row.id} {part} {value} reads {seen_words}".replace("  ", " "),
                        advice=f"cars have {plausible(value, low, high, file.units)}: read it again",
                    )  # fmt: skip
    yield from _sill_note(file) if "sill_height" not in slipped else ()
    yield from _roof_notes(file) if "roof_height" not in slipped else ()
    yield from _lean_notes(file, points)
    yield from _offset_note(file)


def plausible(value: str, low: float, high: float, units: LengthUnit) -> str:
    """The plausible range of a reading in words, in the units of the tape (degrees for a lean)."""
    if value == "lean":
        return f"{low:g} to {high:g} deg"
    return span(low, high, "length", units, places=0 if units == "mm" else None)


def _sill_note(file: SurveyFile) -> Iterator[SurveyNote]:
    heights = [values[0] for values in readings_of(file, "sill_height").values()]
    known = [h for h in heights if h is not None]
    if len(known) == 3 and abs(known[1] - (known[0] + known[2]) / 2.0) > SILL_OFF:
        yield SurveyNote(
            kind="range", reading="sill_height", part="middle",
            found=f"the sill's middle is {taped(known[1], file.units)} up, its ends "
            f"{taped(known[0], file.units)} and {taped(known[2], file.units)}: a sill is straight",
            advice="read all three again from the same level line",
        )  # fmt: skip


def _roof_notes(file: SurveyFile) -> Iterator[SurveyNote]:
    centre, left, right = (values[0] for values in readings_of(file, "roof_height").values())
    for side, height in (("left", left), ("right", right)):
        if centre is not None and height is not None and height > centre + 4.0 * file.tape:
            yield SurveyNote(
                kind="range", reading="roof_height", part=side,
                found=f"the roof is {taped(height, file.units)} up on the {side}, "
                f"{taped(centre, file.units)} in the middle",
                advice="roofs are highest in the middle: read both again",
            )  # fmt: skip
    if left is not None and right is not None and abs(left - right) > ROOF_OFF:
        yield SurveyNote(
            kind="range", reading="roof_height", part="left",
            found=f"the roof is {taped(left, file.units)} up on the left, "
            f"{taped(right, file.units)} on the right",
            advice="level the car across, then read both again",
        )  # fmt: skip


def _offset_note(file: SurveyFile) -> Iterator[SurveyNote]:
    """The seat's lean by gauge and by stick: offset = stick sin(lean)."""
    lean, offset = readings_of(file, "back_angle")[""][0], readings_of(file, "back_offset")[""][0]
    if lean is None or offset is None or abs(STICK * math.sin(lean) - offset) <= OFFSET_OFF:
        return
    other = math.degrees(math.asin(min(max(offset / STICK, -1.0), 1.0)))
    yield SurveyNote(
        kind="range", reading="back_angle", part="",
        found=f"the seat's back leans {math.degrees(lean):.1f} deg by the gauge, {other:.1f} deg by the "
        f"stick (back_offset {taped(offset, file.units)})",
        advice="one of the two is out: take both again",
    )  # fmt: skip


def _lean_notes(file: SurveyFile, points: Mapping[str, Array]) -> Iterator[SurveyNote]:
    for side, values in readings_of(file, "pillar_lean").items():
        base, top = points.get(f"pillar_base_{side}"), points.get(f"pillar_top_{side}")
        if values[0] is None or base is None or top is None:
            continue
        way = np.asarray(top - base)
        lean = math.atan2(float(way[0]), float(way[2]))
        if abs(lean - values[0]) > LEAN_OFF:
            yield SurveyNote(
                kind="range", reading="pillar_lean", part=side,
                found=f"the {side} pillar's gauge reads {math.degrees(values[0]):.1f} deg, its two marks "
                f"make {math.degrees(lean):.1f} deg",
                advice="read the gauge and both marks again",
            )  # fmt: skip
