"""Readings taken from a scan: sections, openings and edges give what a tape would, where there is metal."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from cagewright.base.problems import Where
from cagewright.draft.measured import measured
from cagewright.draft.openings import DOOR, NoMetal, roof_front, side_openings
from cagewright.draft.slabs import corner_of, half_at, roof_at, slab_at
from cagewright.plan.readings import parts_of, row_named
from cagewright.plan.survey import FromScan, Survey, SurveyFile, readings_of
from cagewright.shape.scan import Scan, read_scan
from cagewright.shape.types import Array

Values = tuple[float | None, ...]
Read = Callable[[str, int], Values | None]
OVER_SILL = 100.0
"""The side is read this far over the sill, mm."""
BELOW_RAIL = 150.0
"""The upper side is read this far below the roof rail's corner, mm."""
OFF_CENTRE = 300.0
SIGNS = {"left": -1, "right": 1}
BEHIND_DOOR = 20.0
"""The hoop stands this far behind the door opening's rear edge where nobody says where, mm."""
HEADER = 40.0
"""The pillar is read as far behind the screen's upper edge: the header's depth, mm (ours)."""
NO_BOX: Mapping[int, tuple[float, float]] = {}
SAME_LEVEL = 12.0
"""Level metal within this height is one, mm."""
LEVEL = 0.85
"""Upward share of the normal of a sill's top or a floor."""
ON_METAL = ("sill_side", "waist", "side_mid", "upper_side", "cant_rail", "pillar_", "rail_mid", "roof_",
            "header")  # fmt: skip
"""Points of a survey that lie on bare metal, by how their names begin."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadOff:
    """What a scan gave a survey: the survey with it, the names of those readings, and the scan itself."""

    survey: Survey
    names: tuple[str, ...]
    scan: Scan | None


def with_scan(read: Survey, folder: Path) -> ReadOff:
    """The survey, with what was not read taken from the scan where it names one.

    Args:
        read: the survey.
        folder: the scan's name is relative to it.

    Raises:
        ProblemsFound: the scan cannot be used.
    """
    if read.file.scan is None:
        return ReadOff(survey=read, names=(), scan=None)
    where = Where(file=read.source.file if read.source else "survey")
    found = measured(read.file)
    known = {n: p for n, p in found.points.items() if n not in found.mirrored}
    points = {n: (float(p[0]), float(p[1]), float(p[2])) for n, p in known.items()}
    metal = np.array([p for n, p in known.items() if n.startswith(ON_METAL)]).reshape(-1, 3)
    scan = read_scan(read.file.scan, folder, points=points, metal=metal, where=where)
    file, names = filled(read.file, scan)
    return ReadOff(survey=Survey(file=file, source=read.source), names=names, scan=scan)


def filled(file: SurveyFile, scan: Scan) -> tuple[SurveyFile, tuple[str, ...]]:
    """The survey with what was not read taken from the scan, and the names of those readings.

    Where along the car the hoop stands and how far back the pillar's ends are is taken from the door's and
    the screen's edges where it was not read; the waist's height from the side window's lower edge. What was
    read on the car is never replaced. Where the scan has no metal nothing is taken.

    Args:
        file: the survey.
        scan: standing in the car's axes.
    """
    taken: list[str] = []
    for group in (_edge_readers, _level_readers, _section_readers):
        file = _filled(file, group(file, scan), taken)
    before = file.from_scan.readings if file.from_scan else ()
    mark = FromScan(spread=round(_spread(scan), 1), readings=(*before, *taken))
    return (file.model_copy(update={"from_scan": mark}) if taken else file), tuple(taken)


def _spread(scan: Scan) -> float:
    """How far a reading off the scan may be out, as a standard deviation, mm: a section's own is 1 mm."""
    return float(np.hypot(1.0, np.hypot(scan.noise, scan.spread)))


def _filled(file: SurveyFile, readers: Mapping[str, Read], taken: list[str]) -> SurveyFile:
    given = {name: dict(parts) for name, parts in file.readings.items()}
    for name, read in readers.items():
        for part in parts_of(row_named(name)):
            values = readings_of(file, name)[part]
            found = read(part, SIGNS.get(part, 0)) if any(v is None for v in values) else None
            if found is None or any(v is None for v in found):
                continue
            kept = tuple(f if v is None else v for v, f in zip(values, found, strict=True))
            given.setdefault(name, {})[part] = kept
            taken.append(f"{name} {part}".strip())
    return file.model_copy(update={"readings": given})


# --- edges of openings


def _edge_readers(_file: SurveyFile, scan: Scan) -> dict[str, Read]:
    """The doors' edges, and the hoop's place behind them."""
    doors = {part: _door(scan, sign) for part, sign in SIGNS.items()}
    rears = [d.rear for d in doors.values() if d is not None]

    def door(part: str, sign: int) -> Values | None:
        del sign
        found = doors[part]
        return None if found is None else (found.front, found.rear, found.low, found.high)

    return {
        "door": door,
        "hoop_station": lambda _part, _sign: (max(rears) + BEHIND_DOOR,) if rears else None,
    }


def _door(scan: Scan, sign: int) -> NoMetal | None:
    found = side_openings(scan.cloud, sign)
    return found[0] if found and found[0].area > DOOR else None


def _window(scan: Scan, sign: int, door: NoMetal | None) -> NoMetal | None:
    """The side window behind the door."""
    if door is None:
        return None
    return next((o for o in side_openings(scan.cloud, sign) if o.front > door.rear), None)


# --- level metal: sill and floor


def _level_readers(file: SurveyFile, scan: Scan) -> dict[str, Read]:
    station = readings_of(file, "hoop_station")[""][0]
    front = [v[0] for v in readings_of(file, "door").values() if v[0] is not None]
    if station is None or not front:
        return {}
    places = {"front": front[0], "middle": (front[0] + station) / 2.0, "rear": station}

    def sill(part: str, sign: int) -> Values | None:
        del sign
        return _level_at(scan, places[part], (0.85, 0.99))

    def floor(part: str, sign: int) -> Values | None:
        del part
        return _level_at(scan, station, (0.45, 0.75), sign)

    return {"sill_height": sill, "floor_height": floor}


def _level_at(scan: Scan, back: float, share: tuple[float, float], sign: int = 0) -> Values | None:
    """Height of level metal in the lower third of the car at shares of its half width; of both sides."""
    p, n = scan.cloud.points, scan.cloud.normals
    near = np.abs(p[:, 0] - back) < 60.0
    if not near.any():
        return None
    p, n = p[near], n[near]
    far = float(np.quantile(np.abs(p[:, 1]), 0.995))
    low, high = np.quantile(p[:, 2], [0.005, 0.995])
    half = np.abs(p[:, 1]) / far
    kept = (half > share[0]) & (half < share[1]) & (p[:, 2] < low + (high - low) / 3.0)
    kept &= (np.abs(n[:, 2]) > LEVEL) & ((p[:, 1] * sign > 0.0) if sign else True)
    up = p[kept][:, 2]
    if len(up) < 9:
        return None
    top = up if sign else up[up > np.quantile(up, 0.9) - SAME_LEVEL]  # the sill over the floor
    return (float(np.median(top)),)


# --- sections


def _section_readers(file: SurveyFile, scan: Scan) -> dict[str, Read]:
    """How each reading is taken from a section, for those whose place along the car is known."""
    station = readings_of(file, "hoop_station")[""][0]
    readers: dict[str, Read] = {} if station is None else _hoop_readers(file, scan, station)
    base, top = (_backs(file, name) for name in ("pillar_base", "pillar_top"))
    if top is None:
        front = roof_front(scan.cloud)
        top = None if front is None else front + HEADER
    box = file.car.pillars == "edge"
    runs = _pillar_runs(scan, base, top) if box and base is not None and top is not None else {}
    for name, back in (("pillar_base", base), ("pillar_top", top), ("pillar_mid", _between(base, top))):
        readers[name] = _corner_reader(scan, back, box=runs)
    readers["rail_mid"] = _corner_reader(scan, _between(top, station))
    for name, back in (("header", top), ("roof_mid", _between(top, station))):
        readers[name] = _roof_reader(scan, back)
    return readers


def _backs(file: SurveyFile, name: str) -> float | None:
    known = [v[0] for v in readings_of(file, name).values() if v[0] is not None]
    return sum(known) / len(known) if known else None


def _between(a: float | None, b: float | None) -> float | None:
    return None if a is None or b is None else (a + b) / 2.0


def _hoop_readers(file: SurveyFile, scan: Scan, station: float) -> dict[str, Read]:
    slab = slab_at(scan.cloud, station)
    sill = readings_of(file, "sill_height")["rear"][0]
    corners = {part: corner_of(slab, sign) for part, sign in SIGNS.items()}
    known = [v[1] for v in readings_of(file, "waist").values() if v[1] is not None]
    windows = [_window(scan, sign, _door(scan, sign)) for sign in SIGNS.values()] if not known else []
    waist = known[0] if known else next((w.low for w in windows if w is not None), None)

    def side(up: float | None, sign: int) -> Values | None:
        half = None if up is None else half_at(slab, up, sign)
        return None if half is None else (half, up)

    def upper(part: str) -> float | None:
        corner = corners[part]
        return None if corner is None else corner[1] - BELOW_RAIL

    def roof(part: str, sign: int) -> Values | None:
        del part
        up = roof_at(slab, sign * OFF_CENTRE)
        return None if up is None else (up,)

    return {
        "sill_side": lambda _, sign: side(None if sill is None else sill + OVER_SILL, sign),
        "waist": lambda _, sign: side(waist, sign),
        "upper_side": lambda part, sign: side(upper(part), sign),
        "side_mid": lambda part, sign: side(_between(waist, upper(part)), sign),
        "cant_rail": lambda part, _: corners[part],
        "roof_height": roof,
    }


def _pillar_runs(scan: Scan, base: float, top: float) -> dict[int, tuple[float, float]]:
    """How each side's boxed pillar runs, half and up for each mm back: as the corner behind it does."""
    found: dict[int, tuple[float, float]] = {}
    for sign in SIGNS.values():
        low, high = (corner_of(slab_at(scan.cloud, back), sign) for back in (base, top))
        if low is not None and high is not None:
            found[sign] = ((high[0] - low[0]) / (top - base), (high[1] - low[1]) / (top - base))
    return found


def _corner_reader(
    scan: Scan, back: float | None, *, box: Mapping[int, tuple[float, float]] = NO_BOX
) -> Read:
    slab = None if back is None else slab_at(scan.cloud, back)

    def read(part: str, sign: int) -> Values | None:
        del part
        corner = None if slab is None else corner_of(slab, sign, box=box.get(sign))
        return None if corner is None else (back, *corner)

    return read


def _roof_reader(scan: Scan, back: float | None) -> Read:
    def read(part: str, sign: int) -> Values | None:
        del part, sign
        up = None if back is None else roof_at(slab_at(scan.cloud, back), 0.0)
        return None if up is None else (back, up)

    return read


# --- what a foot stands on


def normal_at(scan: Scan, place: Array, inward: Array) -> Array | None:
    """Unit normal (3,) of the metal at a place (3,) mm, on the side of ``inward``; None without metal."""
    near = scan.cloud.tree.query_ball_point(place, 60.0)
    if len(near) < 20:
        return None
    points = scan.cloud.points[near]
    off = points - np.median(points, axis=0)
    normal = np.linalg.eigh(off.T @ off)[1][:, 0]
    return normal if float(normal @ inward) > 0.0 else -normal
