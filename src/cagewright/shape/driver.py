"""The seated driver as balls and rounded bars, and how near each tube comes to him."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

import numpy as np

from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector, length
from cagewright.plan.types import DriverEntry
from cagewright.shape.clearance import chords, points_at
from cagewright.shape.closest import closest_between_segments, closest_on_segments
from cagewright.shape.types import Cage, Member
from cagewright.stock.steels import Certainty

PartName = Literal["helmet", "shoulder", "hip", "knee"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part of the driver: everything within ``radius`` mm of the segment from ``one`` to ``two``.

    Attributes:
        name: what it is.
        one: (3,) mm.
        two: (3,) mm, the same point for a ball.
        radius: mm.
        doubt: how far it may be from where it is drawn, mm; 0 where it was measured.
        source: where its place and size come from.
        certainty: how sure they are.
    """

    name: PartName
    one: Vector
    two: Vector
    radius: float
    doubt: float
    source: str
    certainty: Certainty


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """How near a tube may come to a part, and how far a strapped-in body takes that part.

    Attributes:
        part: which part.
        gap: least distance, mm.
        reach: tubes within this of the part are padded, mm (assumed, no source).
        clause: of the source, empty where there is none.
        source: of the gap.
        certainty: how sure the gap is.
    """

    part: PartName
    gap: float
    reach: float
    clause: str
    source: str
    certainty: Certainty


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyGap:
    """How near one tube comes to one part of the driver.

    Attributes:
        member: its name.
        part: which part.
        gap: least distance between the tube's outside and the part, mm, never below 0.
        overlap: how far the two share space, mm; 0 where they are clear.
        along: where on the member, mm from its start.
        on_tube: (3,) the point of the tube's outside, mm.
        doubt: how far the part may be from where it is drawn, mm.
        reach: stretches of the member (start, stop), mm, that the part can reach.
    """

    member: str
    part: PartName
    gap: float
    overlap: float
    along: float
    on_tube: Vector
    doubt: float
    reach: tuple[tuple[float, float], ...]


@cache
def figures() -> dict[str, Any]:
    """The sourced figures of seated people, by table."""
    text = files("cagewright.shape").joinpath("data", "people.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def limits() -> tuple[Limit, ...]:
    """How near a tube may come to each part."""
    return tuple(Limit(**row) for row in figures()["limit"])


@cache
def measure(name: str, people: Literal["men", "women"]) -> dict[str, float]:
    """Mean, standard deviation and percentiles of one measure, mm.

    Raises:
        KeyError: no such measure.
    """
    for row in figures()["ansur"]["measure"]:
        if row["name"] == name:
            return row[people]
    raise KeyError(name)


def _own(driver: DriverEntry, name: str) -> float:
    """The measure of someone as many standard deviations from the mean as the driver's stature, mm."""
    stature, row = measure("stature", driver.people), measure(name, driver.people)
    return row["mean"] + row["sd"] * (driver.stature - stature["mean"]) / stature["sd"]


def head_centre(driver: DriverEntry) -> tuple[Vector, float, str, Certainty]:
    """The middle of the helmet's circle: (3,) mm, how far it may be out, its source, how sure.

    Measured where the plan gives it; else half a head length behind the measured eyes, at their height; else
    up the back to the neck base and on by the dummy's line, Z(lean) = 452.1 cos(lean) + 225.26 mm (50th
    percentile, GRSG document 2008), both in proportion to the driver's sitting height.
    """
    if driver.head is not None:
        return np.array(driver.head), 0.0, "measured on the seated driver", "shop"
    if driver.eyes is not None:
        head = measure("head length", driver.people)
        source = "half a head length (ANSUR II) behind the measured eyes"
        return (
            np.array(driver.eyes) + np.array([head["mean"] / 2.0, 0.0, 0.0]),
            head["sd"],
            source,
            "computed",
        )
    table, dummy = figures()["head"], figures()["dummy"]
    scale = _own(driver, "sitting height") / measure("sitting height", "men")["mean"]
    lean = driver.back_angle
    back = scale * (dummy["torso"] * math.sin(lean) - table["ahead_of_neck"])
    up = scale * (dummy["torso"] * math.cos(lean) + dummy["above"])
    source = "reckoned from hip, lean and stature by the dummy's line: measure the seated driver"
    return np.array(driver.hip) + np.array([back, 0.0, up]), table["doubt"], source, "memory"


def template_head(driver: DriverEntry) -> Vector:
    """The head circle's centre (3,) of the 95th percentile side template laid along the driver's back, mm.

    Source: Formula SAE Rules 2024, F.5.6.4 (read); laying all three circles on one line is ours.
    """
    table = figures()["template"]
    far = table["hip_to_shoulder"] + table["shoulder_to_head"]
    return np.array(driver.hip) + far * _up_back(driver)


def template_helmet(driver: DriverEntry) -> Part:
    """The helmet of the 95th percentile template on the driver's back, for a seat that others use too."""
    centre = template_head(driver)
    return Part(
        name="helmet",
        one=centre,
        two=centre,
        radius=figures()["template"]["head_circle"] / 2.0,
        doubt=0.0,
        source="the 95th percentile side template (Formula SAE Rules 2024, F.5.6.4) laid along the back",
        certainty="read",
    )


def _up_back(driver: DriverEntry) -> Vector:
    return np.array([math.sin(driver.back_angle), 0.0, math.cos(driver.back_angle)])


def driver_parts(driver: DriverEntry, units: LengthUnit = "mm") -> tuple[Part, ...]:
    """The seated driver: helmet, shoulders, hips and both knees; their sources said in ``units``."""
    return (_helmet(driver), _shoulders(driver, units), _hips(driver, units), *_knees(driver))


def _helmet(driver: DriverEntry) -> Part:
    centre, doubt, source, certainty = head_centre(driver)
    return Part(
        name="helmet",
        one=centre,
        two=centre,
        radius=driver.helmet / 2.0,
        doubt=doubt,
        source=source,
        certainty=certainty,
    )


def _shoulders(driver: DriverEntry, units: LengthUnit) -> Part:
    """A bar across whose top touches the shoulder's top and whose ends reach the shoulder breadth."""
    radius = figures()["posture"]["shoulder_round"]
    over_seat = _own(driver, "acromion above the seat") - figures()["dummy"]["hip_above_seat"]
    centre = np.array(driver.hip) + (over_seat - radius) * _up_back(driver)
    if driver.shoulder is not None:
        centre = np.array(driver.shoulder) - radius * _up_back(driver)
    return _across(driver, "shoulder", centre, driver.shoulders, ("shoulder breadth", units), radius)


def _hips(driver: DriverEntry, units: LengthUnit) -> Part:
    radius = figures()["template"]["hip_circle"] / 2.0
    return _across(driver, "hip", np.array(driver.hip), driver.hips, ("hip breadth, sitting", units), radius)


def _across(
    driver: DriverEntry,
    name: PartName,
    centre: Vector,
    own: float | None,
    measured_as: tuple[str, LengthUnit],
    radius: float,
) -> Part:
    breadth, units = measured_as
    wide = _own(driver, breadth) if own is None else own
    half = np.array([0.0, max(wide / 2.0 - radius, 0.0), 0.0])
    whose = "measured" if own else f"as {driver.people} of that stature (ANSUR II)"
    return Part(
        name=name,
        one=centre - half,
        two=centre + half,
        radius=radius,
        doubt=0.0 if own else measure(breadth, driver.people)["sd"] / 2.0,
        source=f"{breadth} {say_length(wide, units, places=0)}, {whose}",
        certainty="shop" if own else "computed",
    )


def _knees(driver: DriverEntry) -> tuple[Part, ...]:
    posture, leg = figures()["posture"], figures()["leg"]
    if driver.knees:
        return tuple(_knee(np.array(k), posture["knee_round"], 0.0, "measured", "shop") for k in driver.knees)
    thigh = leg["thigh"] * driver.stature / measure("stature", "men")["mean"]
    rise = posture["thigh_rise"]
    out = np.array([-thigh * math.cos(rise), posture["knee_spread"], thigh * math.sin(rise)])
    sides = (out * np.array([1.0, -1.0, 1.0]), out)
    doubt = 40.0  # the knees work the pedals
    return tuple(
        _knee(np.array(driver.hip) + side, posture["knee_round"], doubt, posture["source"], "memory")
        for side in sides
    )


def _knee(centre: Vector, radius: float, doubt: float, source: str, certainty: Certainty) -> Part:
    return Part(
        name="knee", one=centre, two=centre, radius=radius, doubt=doubt, source=source, certainty=certainty
    )


def driver_gaps(cage: Cage, parts: tuple[Part, ...]) -> tuple[BodyGap, ...]:
    """The gap from every tube to each part it could ever matter to, nearest first.

    A tube further from a part than the part's reach and 300 mm more is left out.
    """
    reach = {limit.part: limit.reach for limit in limits()}
    gaps = [_body_gap(member, part, reach[part.name]) for member in cage.members for part in parts]
    kept = [gap for gap in gaps if gap.gap < reach[gap.part] + 300.0]
    return tuple(sorted(kept, key=lambda gap: (gap.gap, -gap.overlap)))


def _body_gap(member: Member, part: Part, reach: float) -> BodyGap:
    along, points = chords(member.path, np.array([0.0, member.path.length]))
    n = len(points) - 1
    one, two = closest_between_segments(
        points[:-1], points[1:], np.broadcast_to(part.one, (n, 3)), np.broadcast_to(part.two, (n, 3))
    )
    i = int(np.argmin(length(one - two)))
    between = float(length(one[i] - two[i]))
    room = between - member.tube.od / 2.0 - part.radius
    toward = (two[i] - one[i]) / max(between, 1e-9)
    return BodyGap(
        member=member.name,
        part=part.name,
        gap=max(room, 0.0),
        overlap=max(-room, 0.0),
        along=float(along[i] + length(one[i] - points[i])),
        on_tube=one[i] + member.tube.od / 2.0 * toward,
        doubt=part.doubt,
        reach=_reached(member, part, reach) if room < reach else (),
    )


def _reached(member: Member, part: Part, reach: float) -> tuple[tuple[float, float], ...]:
    """Stretches (start, stop) of the member, mm, whose outside lies within ``reach`` of the part."""
    total = member.path.length
    along = np.linspace(0.0, total, max(2, int(np.ceil(total / 5.0)) + 1))
    points = points_at(member.path, along)
    one, two = (np.broadcast_to(end, points.shape) for end in (part.one, part.two))
    away = length(closest_on_segments(points, one, two) - points)
    near = away - member.tube.od / 2.0 - part.radius < reach
    edges = np.flatnonzero(np.diff(np.r_[False, near, False].astype(np.int8))).reshape(-1, 2)
    return tuple((float(along[i]), float(along[j - 1])) for i, j in edges)
