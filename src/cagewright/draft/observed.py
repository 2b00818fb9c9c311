"""Everything on the tape as observations of points: coordinates, distances, sums, and what may be assumed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cagewright.draft.network import Observation
from cagewright.plan.readings import (
    AXES,
    DRIVERS,
    ReadingRow,
    nominal_points,
    parts_of,
    points_of,
    reading_rows,
    row_named,
)
from cagewright.plan.survey import SurveyFile, readings_of

STATION = "hoop_station"
CHALK = 2.0
"""How far a mark may lie beside the chalk line, as a standard deviation, mm (ours, no source)."""
ALIKE_SIDES = 6.0
"""How far left and right of a sound shell differ, as a standard deviation, mm (ours, no source)."""
PINNED = 0.01
"""A coordinate that does not matter is held at nought by this, mm."""
SILL_BOW = 4.0
"""How far a sill's middle lies off the line through its ends, as a standard deviation, mm (ours)."""
OVER_SILL = 100.0
"""The side over the sill is read this far over it, mm."""


def start_of(file: SurveyFile) -> dict[str, tuple[float, float, float]]:
    """Roughly where each point is, mm; the driver's on his side."""
    sign = -1.0 if file.driver.side == "left" else 1.0
    start = {n: (x, sign * abs(y) if n in DRIVERS else y, z) for n, (x, y, z) in nominal_points().items()}
    return start | {STATION: (1600.0, 0.0, 0.0)}


def observations(file: SurveyFile) -> Iterator[Observation]:
    """Everything on the tape that is a coordinate or a distance, with what the chalk line stands for."""
    for row in reading_rows():
        for k, part in enumerate(parts_of(row)):
            values = readings_of(file, row.id)[part]
            if row.point:
                yield from _coordinates(file, row, k, part, values)
            elif values[0] is not None and (row.between or row.sums):
                yield distance(row, k, part, values[0], file.tape)
    yield from _station(file)
    for i, entry in enumerate(file.distances):
        a, b = entry.between
        yield Observation(
            reading="distances", part=str(i + 1), value="distance", seen=entry.distance, spread=file.tape,
            point=a, other=b,
        )  # fmt: skip


def _station(file: SurveyFile) -> Iterator[Observation]:
    back = readings_of(file, STATION)[""][0]
    if back is not None:
        yield Observation(
            reading=STATION,
            part="",
            value="back",
            seen=back,
            spread=_spread(file, STATION, ""),
            point=STATION,
            axis=0,
        )
        yield from (_pinned(STATION, axis) for axis in (1, 2))


def _pinned(point: str, axis: int, at: float = 0.0, spread: float = PINNED) -> Observation:
    return Observation(reading="", part="", value="", seen=at, spread=spread, point=point, axis=axis)


def distance(row: ReadingRow, k: int, part: str, seen: float, tape: float) -> Observation:
    """The k-th part of a reading that is a distance, between two points or as a sum of coordinates."""
    if row.between:
        a, b = row.between[k]
        return Observation(
            reading=row.id, part=part, value="distance", seen=seen, spread=tape, point=a, other=b
        )
    (point, word, factor), *more = row.sums[k]
    return Observation(
        reading=row.id, part=part, value="distance", seen=seen, spread=tape, point=point, axis=AXES[word],
        sign=factor, more=tuple((p, AXES[w], f) for p, w, f in more),
    )  # fmt: skip


def _coordinates(
    file: SurveyFile, row: ReadingRow, k: int, part: str, values: Sequence[float | None]
) -> Iterator[Observation]:
    names = points_of(row, part)
    side, spread = file.driver.side if names[0] in DRIVERS else part, _spread(file, row.id, part)
    for name, value, seen in zip(names, row.values, values, strict=True):
        if seen is not None:
            sign = -1.0 if value == "half" and side == "left" else 1.0
            yield Observation(
                reading=row.id, part=part, value=value, seen=seen, spread=spread, point=name,
                axis=AXES[value], sign=sign,
            )  # fmt: skip
    yield from _where_else(file, row, k, names)


def _spread(file: SurveyFile, name: str, part: str) -> float:
    """How far a reading may be out, by tape or off the scan, as a standard deviation, mm."""
    scan = file.from_scan
    return scan.spread if scan is not None and f"{name} {part}".strip() in scan.readings else file.tape


def _where_else(file: SurveyFile, row: ReadingRow, k: int, names: tuple[str, ...]) -> Iterator[Observation]:
    """What a point's coordinates are besides those that are read: the chalk line, the centre line, nought."""
    if row.at and readings_of(file, row.at)[""][0] is not None:
        yield Observation(
            reading="", part="", value="", seen=0.0, spread=CHALK, point=names[0], other=row.at, axis=0
        )
    if row.centre:
        yield _pinned(names[0], 1, spread=1.0)
    if row.across:
        yield _pinned(names[0], 1, row.across[k], CHALK)
    if row.only or row.each:
        for i, name in enumerate(dict.fromkeys(names)):
            read = {AXES[row.values[i]]} if row.each else {AXES[value] for value in row.values}
            yield from (_pinned(name, axis) for axis in (0, 1, 2) if axis not in read)


def assumptions(seen: Sequence[Observation]) -> Iterator[Observation]:
    """For the search for slips only: left and right are nearly mirrors, a sill is nearly straight."""
    names = {n for o in seen for n in (o.point, o.other)}
    for name in sorted(names):
        twin = f"{name.removesuffix('_left')}_right"
        if name.endswith("_left") and twin in names:
            for axis, sign in ((0, 1.0), (1, -1.0), (2, 1.0)):
                yield Observation(
                    reading="", part="", value="", seen=0.0, spread=ALIKE_SIDES, point=name, other=twin,
                    axis=axis, sign=sign,
                )  # fmt: skip
    heights = [f"sill_{part}" for part in row_named("sill_height").parts]
    if names >= set(heights):
        front, middle, rear = heights
        yield Observation(
            reading="", part="", value="", seen=0.0, spread=SILL_BOW, point=middle, axis=2,
            more=((front, 2, -0.5), (rear, 2, -0.5)),
        )  # fmt: skip
    for side in ("left", "right"):
        if names >= {"sill_rear", f"sill_side_{side}"}:
            yield Observation(
                reading="", part="", value="", seen=OVER_SILL, spread=ALIKE_SIDES, point=f"sill_side_{side}",
                other="sill_rear", axis=2,
            )  # fmt: skip
