"""The scan of the body in a plan: how it stands in the car, and placing it by points seen twice."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

import numpy as np

from cagewright.base.problems import ProblemsFound
from cagewright.base.units import LengthUnit, QuantityError, parse
from cagewright.job.opening import Job, scan_of
from cagewright.plan.write import Document, remove, set_value
from cagewright.shape.drafts import points_of
from cagewright.shape.scan import KINDS, MM_PER, on_scan

UNITS = {"mm": "millimetres", "cm": "centimetres", "m": "metres", "in": "inches"}
LEAST_POINTS = 3
MOST_POINTS = 20


class BadScan(ValueError):
    """What was asked of the scan cannot be done; its words say why."""


def scan_shown(job: Job) -> dict[str, Any] | None:
    """The plan's scan as the page shows it, JSON-ready; None where the plan has none. Lengths mm."""
    entry = job.plan.shell.scan if job.plan.shell else None
    if entry is None:
        return None
    shown: dict[str, Any] = {
        "file": entry.file,
        "units": entry.units,
        "placed": bool(entry.points or any(entry.turn) or any(entry.move)),
        "by_points": bool(entry.points),
        "points": [{"scan": list(pair.scan), "car": _car(pair.car)} for pair in entry.points],
        "wrong": None,
    }
    try:
        scan = scan_of(job)
    except ProblemsFound as found:
        return shown | {"wrong": [f"{p.found}; {p.wanted}" for p in found.problems]}
    assert scan is not None
    corners = scan.mesh.corners
    return shown | {
        "triangles": len(scan.mesh.faces),
        "size": [round(float(v)) for v in np.ptp(corners, axis=0)],
        "residuals": [round(v, 1) for v in scan.residuals],
        "notes": list(scan.notes),
    }


def _car(place: Any) -> Any:
    return place if isinstance(place, str) else [float(v) for v in place]


def named(job: Job) -> dict[str, list[float]]:
    """The plan's named points, (back, across, up) in mm, which a scan can be placed by."""
    return {name: [round(float(v), 2) for v in place] for name, place in points_of(job.plan).items()}


def picked(job: Job, point: Any) -> list[float]:
    """A place picked on the scan as it stands now, in the scan file's own numbers.

    Args:
        job: whose plan has a scan.
        point: (back, across, up) in mm.

    Raises:
        BadScan: the plan has no scan, or the place is no place.
    """
    entry = job.plan.shell.scan if job.plan.shell else None
    if entry is None:
        raise BadScan("the plan has no scan")
    points = {name: (float(p[0]), float(p[1]), float(p[2])) for name, p in points_of(job.plan).items()}
    return [round(float(v), 6) for v in on_scan(entry, place_of(point), points)]


def place_of(said: Any) -> tuple[float, float, float]:
    """The three numbers.

    Raises:
        BadScan: they are not three finite numbers.
    """
    given = cast("list[Any]", said) if isinstance(said, list) else []
    if len(given) != 3 or not all(isinstance(v, int | float) and abs(v) < 1e6 for v in given):
        raise BadScan("a place is three numbers")
    x, y, z = (float(v) for v in given)
    return x, y, z


def with_scan(document: Document, asked: Mapping[str, Any], units: LengthUnit) -> tuple[Document, str]:
    """The plan's text with its scan named, in other units, or placed anew; and what was done, in words.

    Args:
        document: the plan's text.
        asked: ``file``, ``units``, and ``points``: pairs of ``scan`` (three numbers of the scan file) and
            ``car`` (three lengths as typed, or a named point).
        units: of a length without a unit.

    Raises:
        BadScan: the units are not said, or a point is no point.
        ProblemsFound: the text cannot be edited there.
    """
    file, scan_units = asked.get("file"), asked.get("units")
    if not isinstance(file, str) or not file.lower().endswith(KINDS):
        raise BadScan("name a scan file: .stl, .obj or .ply")
    if scan_units not in MM_PER:
        raise BadScan("say which units the scan's program wrote: mm, cm, m or in")
    given = cast("list[Any]", asked.get("points") or [])[:MOST_POINTS]
    pairs = [_pair(cast("Mapping[str, Any]", pair), units) for pair in given]
    if 0 < len(pairs) < LEAST_POINTS:
        raise BadScan(f"{LEAST_POINTS} points or more place a scan")
    entry: dict[str, Any] = {"file": file, "units": scan_units} | ({"points": pairs} if pairs else {})
    words = f"placed the scan by {len(pairs)} points" if pairs else f"took {file} as the scan"
    return set_value(document, ("shell", "scan"), entry), words


def _pair(pair: Mapping[str, Any], units: LengthUnit) -> dict[str, Any]:
    car = pair.get("car")
    place = car if isinstance(car, str) else [_length(v, units) for v in cast("list[Any]", car or [])]
    if isinstance(place, list) and len(place) != 3:
        raise BadScan("a place on the car is back, across and up")
    return {"scan": list(place_of(pair.get("scan"))), "car": place}


def _length(typed: Any, units: LengthUnit) -> Any:
    if isinstance(typed, int | float):
        return typed
    text = " ".join(str(typed).replace(",", ".").split())
    try:
        parse(text, "length", bare=units)
    except QuantityError as wrong:
        raise BadScan(str(wrong)) from None
    return text if not text.replace(".", "", 1).lstrip("+-").isdigit() else float(text)


def without_scan(document: Document) -> tuple[Document, str]:
    """The plan's text without its scan, and what was done, in words.

    Raises:
        ProblemsFound: it has none.
    """
    return remove(document, ("shell", "scan")), "took the scan out of the plan"
