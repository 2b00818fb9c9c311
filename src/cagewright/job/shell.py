"""The scan of the body in a plan: how it stands in the car, and placing it by points seen twice."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import zip_longest
from typing import Any, cast

import numpy as np

from cagewright.base.answers import Answer, Value, figure
from cagewright.base.problems import ProblemsFound
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit, QuantityError, parse
from cagewright.job.opening import Job, scan_of
from cagewright.plan.write import Document, remove, set_value
from cagewright.shape.drafts import points_of
from cagewright.shape.scan import on_scan
from cagewright.shape.scan_file import KINDS, KINDS_SAID
from cagewright.shape.scan_placing import MM_PER

UNITS = {"mm": "millimetres", "cm": "centimetres", "m": "metres", "in": "inches"}
LEAST_POINTS = 3
MOST_POINTS = 20


class BadScan(ValueError):
    """What was asked of the scan cannot be done; its words say why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScanPair:
    """A point seen on the scan and measured on the car.

    Attributes:
        scan: in the scan file's own numbers.
        car: back, across and up, mm, or a named point.
        off: how far the two lie apart as the scan stands; None where it cannot be read.
    """

    scan: tuple[float, ...]
    car: str | tuple[float, ...]
    off: Value | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ScanAnswer(Answer):
    """The plan's scan, and how it stands in the car.

    Attributes:
        units: that it was written in; and in words.
        placed: whether it stands anywhere but where the scanner left it; and how, in words.
        points: that it is placed by.
        wrong: why it cannot be used; empty where it can.
        triangles: how many; None where it cannot be read.
        size: back, across and up as it stands, mm; in words too.
        notes: what to know about it.
    """

    file: str
    units: str
    units_words: str
    placed: bool
    placing: str
    points: tuple[ScanPair, ...]
    wrong: tuple[str, ...] = ()
    triangles: int | None = None
    size: tuple[float, ...] = ()
    size_words: str = ""
    notes: tuple[str, ...] = ()


def scan_answer(job: Job) -> ScanAnswer | None:
    """The plan's scan; None where the plan has none."""
    entry = job.plan.shell.scan if job.plan.shell else None
    if entry is None:
        return None
    placing = "not yet: it stands as the scanner left it"
    if entry.points:
        placing = f"by {len(entry.points)} points"
    elif any(entry.turn) or any(entry.move):
        placing = "by turn and move"
    try:
        scan, wrong = scan_of(job), ()
    except ProblemsFound as found:
        scan, wrong = None, tuple(f"{p.found}; {p.wanted}" for p in found.problems)
    units = job.cage.units
    offs = [figure(v, "length", units, rests_on="measured") for v in scan.residuals] if scan else []
    pairs = [
        ScanPair(
            scan=tuple(pair.scan),
            car=pair.car if isinstance(pair.car, str) else tuple(float(v) for v in pair.car),
            off=off,
        )
        for pair, off in zip_longest(entry.points, offs[: len(entry.points)])
    ]
    size = tuple(float(v) for v in np.ptp(scan.mesh.corners, axis=0)) if scan else ()
    worst = f", out by up to {max(offs, key=lambda off: off.value or 0.0).said}" if offs else ""
    return ScanAnswer(
        headline=f"{entry.file} cannot be used" if wrong else f"{entry.file} is placed {placing}{worst}",
        level="fail" if wrong else "look at" if placing.startswith("not") else "fine",
        file=entry.file,
        units=entry.units or "",
        units_words=UNITS[entry.units] if entry.units else "not said",
        placed=not placing.startswith("not"),
        placing=placing,
        points=tuple(pairs),
        wrong=wrong,
        triangles=len(scan.mesh.faces) if scan else None,
        size=size,
        size_words=" × ".join(say_length(v, units, places=0) for v in size),
        notes=scan.notes if scan else (),
    )


def named_points(job: Job) -> tuple[str, ...]:
    """The plan's named points, which a scan can be placed by."""
    return tuple(points_of(job.plan))


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
    place, scan = place_of(point), scan_of(job)
    assert scan is not None
    assert entry.units is not None
    return [round(float(v), 6) for v in on_scan(scan, place, entry.units)]


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


def scan_placed(document: Document, asked: Mapping[str, Any], units: LengthUnit) -> tuple[Document, str]:
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
        raise BadScan(f"name a scan file: {KINDS_SAID}")
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


_FROM = re.compile(r"^# Drafted from (\S+?)\.? ", re.MULTILINE)


def survey_named(text: str) -> str | None:
    """The survey file that a plan's text says it was drafted from; None where it says none."""
    found = _FROM.search(text[:2000])
    return found[1] if found else None
