"""Readings taken from a scan: sections cut across the car give what a tape would."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np

from cagewright.base.problems import Where
from cagewright.plan.readings import parts_of, row_named
from cagewright.plan.survey import Survey, SurveyFile, readings_of
from cagewright.shape.mesh import Mesh
from cagewright.shape.scan import read_scan
from cagewright.shape.types import Array

Values = tuple[float | None, ...]
Read = Callable[[str, int], Values | None]
OVER_SILL = 100.0
"""The side is read this far over the sill, mm."""
BELOW_RAIL = 150.0
"""The upper side is read this far below the roof rail's corner, mm."""
OFF_CENTRE = 300.0
SIGNS = {"left": -1, "right": 1}
PAST_TUNNEL = 350.0
"""Nothing nearer to the centre line than this is the body's side, mm."""


def with_scan(read: Survey, folder: Path) -> tuple[Survey, tuple[str, ...]]:
    """The survey, with what was not read taken from the scan where it names one; and what was taken.

    Args:
        read: the survey.
        folder: the scan's name is relative to it.

    Raises:
        ProblemsFound: the scan cannot be used.
    """
    if read.file.scan is None:
        return read, ()
    where = Where(file=read.source.file if read.source else "survey")
    file, taken = filled(read.file, read_scan(read.file.scan, folder, where=where).mesh)
    return Survey(file=file, source=read.source), taken


def filled(file: SurveyFile, mesh: Mesh) -> tuple[SurveyFile, tuple[str, ...]]:
    """The survey with what was not read taken from the scan, and the names of those readings.

    A section needs to know where: the hoop's station, the sill's height and the waist's height must be read,
    and how far back the pillar's bottom and top are. What was read on the car is never replaced.

    Args:
        file: the survey.
        mesh: the scan, standing in the car's axes.
    """
    given = {name: dict(parts) for name, parts in file.readings.items()}
    taken: list[str] = []
    for name, read in _readers(file, mesh).items():
        for part in parts_of(row_named(name)):
            values = readings_of(file, name)[part]
            found = read(part, SIGNS.get(part, 0)) if any(v is None for v in values) else None
            if found is None or any(v is None for v in found):
                continue
            kept = tuple(f if v is None else v for v, f in zip(values, found, strict=True))
            given.setdefault(name, {})[part] = kept
            taken.append(f"{name} {part}".strip())
    return file.model_copy(update={"readings": given}), tuple(taken)


def _readers(file: SurveyFile, mesh: Mesh) -> dict[str, Read]:
    """How each reading is taken from a section, for those whose place along the car is known."""
    station = readings_of(file, "hoop_station")[""][0]
    readers: dict[str, Read] = {}
    if station is not None:
        readers |= _hoop_readers(file, section_at(mesh, station))
    base, top = (_backs(file, name) for name in ("pillar_base", "pillar_top"))
    for name, back in (("pillar_base", base), ("pillar_top", top), ("pillar_mid", _between(base, top))):
        readers[name] = _corner_reader(mesh, back)
    readers["rail_mid"] = _corner_reader(mesh, _between(top, station))
    for name, back in (("header", top), ("roof_mid", _between(top, station))):
        readers[name] = _roof_reader(mesh, back)
    return readers


def _backs(file: SurveyFile, name: str) -> float | None:
    known = [v[0] for v in readings_of(file, name).values() if v[0] is not None]
    return sum(known) / len(known) if known else None


def _between(a: float | None, b: float | None) -> float | None:
    return None if a is None or b is None else (a + b) / 2.0


def _hoop_readers(file: SurveyFile, cut: Array) -> dict[str, Read]:
    sill = readings_of(file, "sill_height")["rear"][0]
    waists = [v[1] for v in readings_of(file, "waist").values() if v[1] is not None]

    def side(up: float | None, sign: int) -> Values | None:
        half = None if up is None else half_at(cut, up, sign)
        return None if half is None else (half, up)

    def upper(sign: int) -> Values | None:
        corner = corner_of(cut, sign)
        return None if corner is None else side(corner[1] - BELOW_RAIL, sign)

    def roof(part: str, sign: int) -> Values | None:
        del part
        up = roof_at(cut, sign * OFF_CENTRE)
        return None if up is None else (up,)

    return {
        "sill_side": lambda _, sign: side(None if sill is None else sill + OVER_SILL, sign),
        "waist": lambda _, sign: side(waists[0] if waists else None, sign),
        "upper_side": lambda _, sign: upper(sign),
        "cant_rail": lambda _, sign: corner_of(cut, sign),
        "roof_height": roof,
    }


def _corner_reader(mesh: Mesh, back: float | None) -> Read:
    cut = None if back is None else section_at(mesh, back)

    def read(part: str, sign: int) -> Values | None:
        del part
        corner = None if cut is None else corner_of(cut, sign)
        return None if corner is None else (back, *corner)

    return read


def _roof_reader(mesh: Mesh, back: float | None) -> Read:
    def read(part: str, sign: int) -> Values | None:
        del part, sign
        up = None if back is None else roof_at(section_at(mesh, back), 0.0)
        return None if up is None else (back, up)

    return read


def section_at(mesh: Mesh, back: float) -> Array:
    """Where the plane at that distance back cuts the mesh: (k, 2, 2) segments by (across, up), mm."""
    corners = mesh.corners[mesh.faces]
    off = corners[:, :, 0] - back
    off = np.where(np.abs(off) < 1e-9, 1e-9, off)
    crossed = (off.min(axis=1) < 0.0) & (off.max(axis=1) > 0.0)
    corners, off = corners[crossed], off[crossed]
    after = np.roll(off, -1, axis=1)
    share = off / np.where(off == after, 1.0, off - after)
    points = corners + share[:, :, None] * (np.roll(corners, -1, axis=1) - corners)
    cut = (off < 0.0) != (after < 0.0)
    return points[cut].reshape(-1, 2, 3)[:, :, 1:]


def half_at(cut: Array, up: float, sign: int) -> float | None:
    """Half width of the body's side at a height, mm; None where the section has none there."""
    across = _crossings(cut[:, :, ::-1], up) * sign
    beyond = across[across > PAST_TUNNEL]
    return float(beyond.min()) if len(beyond) else None


def roof_at(cut: Array, across: float) -> float | None:
    """Height of the highest skin over a place across the car, mm; None where there is none."""
    heights = _crossings(cut, across)
    return float(heights.max()) if len(heights) else None


def _crossings(cut: Array, at: float) -> Array:
    """The second coordinate of every segment where its first is ``at``."""
    first = cut[:, :, 0] - at
    first = np.where(np.abs(first) < 1e-9, 1e-9, first)
    over = cut[(first[:, 0] < 0.0) != (first[:, 1] < 0.0)]
    a, b = over[:, 0], over[:, 1]
    share = (at - a[:, 0]) / (b[:, 0] - a[:, 0])
    return a[:, 1] + share * (b[:, 1] - a[:, 1])


def corner_of(cut: Array, sign: int) -> tuple[float, float] | None:
    """The deepest place behind a stick laid across the corner of side and roof: (half, up) mm.

    The stick stands square to the way out and up; of places equally far that way the middle is taken.
    """
    points = cut.reshape(-1, 2) * np.array([sign, 1.0])
    points = points[points[:, 0] > 0.0]
    if not len(points):
        return None
    far = points @ np.array([1.0, 1.0])
    deepest = points[far > far.max() - 0.05].mean(axis=0)
    return float(deepest[0]), float(deepest[1])
