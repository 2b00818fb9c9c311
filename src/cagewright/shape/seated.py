"""People seated in the car as balls and rounded bars, and how near each tube comes to them."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Any, Literal

import numpy as np

from cagewright.base.names import shown
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector, length
from cagewright.plan.people import turns_of
from cagewright.plan.types import PersonEntry
from cagewright.shape.clearance import chords, points_at
from cagewright.shape.closest import closest_between_segments, closest_on_segments
from cagewright.shape.types import Cage, Member
from cagewright.stock.steels import Certainty

PartName = Literal["helmet", "shoulder", "hip", "knee"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyPart:
    """One part of a seated person: everything within ``radius`` mm of the segment from ``one`` to ``two``.

    Attributes:
        name: what it is.
        whose: the person's name, empty where nobody else sits in the car.
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
    whose: str = ""

    @property
    def words(self) -> str:
        """What it is and, where there are several people, whose."""
        return whose_words(self.whose, self.name)


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
    """How near one tube comes to one part of a seated person.

    Attributes:
        member: its name.
        part: which part.
        whose: the person's name, empty where nobody else sits in the car.
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
    whose: str = ""

    @property
    def words(self) -> str:
        """The part and, where there are several people, whose."""
        return whose_words(self.whose, self.part)


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


def _own(person: PersonEntry, name: str) -> float:
    """The measure of someone as many standard deviations from the mean as the person's stature, mm."""
    stature, row = measure("stature", person.people), measure(name, person.people)
    return row["mean"] + row["sd"] * (person.stature - stature["mean"]) / stature["sd"]


def head_centre(person: PersonEntry) -> tuple[Vector, float, str, Certainty]:
    """The middle of the helmet's circle: (3,) mm, how far it may be out, its source, how sure.

    Measured where the plan gives it; else half a head length behind the measured eyes, at their height; else
    up the back to the neck base and on by the dummy's line, Z(lean) = 452.1 cos(lean) + 225.26 mm (50th
    percentile, GRSG document 2008), both in proportion to the person's sitting height.
    """
    if person.head is not None:
        return np.array(person.head), 0.0, "measured in the seat", "shop"
    if person.eyes is not None:
        head = measure("head length", person.people)
        source = "half a head length (ANSUR II) behind the measured eyes"
        return (
            np.array(person.eyes) + np.array([head["mean"] / 2.0, 0.0, 0.0]),
            head["sd"],
            source,
            "computed",
        )
    table, dummy = figures()["head"], figures()["dummy"]
    scale = _own(person, "sitting height") / measure("sitting height", "men")["mean"]
    lean = person.back_angle
    back = scale * (dummy["torso"] * math.sin(lean) - table["ahead_of_neck"])
    up = scale * (dummy["torso"] * math.cos(lean) + dummy["above"])
    source = "reckoned from hip, lean and stature by the dummy's line: measure it in the seat"
    return np.array(person.hip) + np.array([back, 0.0, up]), table["doubt"], source, "memory"


def template_head(person: PersonEntry) -> Vector:
    """The head circle's centre (3,) of the 95th percentile side template laid along the person's back, mm.

    Source: Formula SAE Rules 2024, F.5.6.4 (read); laying all three circles on one line is ours.
    """
    table = figures()["template"]
    far = table["hip_to_shoulder"] + table["shoulder_to_head"]
    return np.array(person.hip) + far * _up_back(person)


def template_helmet(person: PersonEntry) -> BodyPart:
    """The helmet of the 95th percentile template on the person's back, for a seat that others use too."""
    centre = template_head(person)
    return BodyPart(
        name="helmet",
        one=centre,
        two=centre,
        radius=figures()["template"]["head_circle"] / 2.0,
        doubt=0.0,
        source="the 95th percentile side template (Formula SAE Rules 2024, F.5.6.4) laid along the back",
        certainty="read",
    )


def _up_back(person: PersonEntry) -> Vector:
    return np.array([math.sin(person.back_angle), 0.0, math.cos(person.back_angle)])


def whose_words(whose: str, thing: str) -> str:
    """The thing and, where several sit in the car, whose it is: ``codriver's helmet``."""
    return f"{shown(whose)}'s {thing}" if whose else thing


def sitting(cage: Cage) -> tuple[tuple[str, PersonEntry], ...]:
    """Everybody who ever sits in the car, in turn too: the name, empty for the only one, and the body."""
    several = len(cage.people) > 1
    return tuple(
        ((one.called or person.name) if len(turns) > 1 else person.name if several else "", one)
        for person in cage.people
        for turns in (turns_of(person.body),)
        for one in turns
    )


def everybody(cage: Cage) -> tuple[BodyPart, ...]:
    """Every part of every person seated in the car, the plan's order."""
    return tuple(
        part for whose, body in sitting(cage) for part in seated_parts(body, cage.units, whose=whose)
    )


def seated_parts(person: PersonEntry, units: LengthUnit = "mm", *, whose: str = "") -> tuple[BodyPart, ...]:
    """A seated person: helmet, shoulders, hips and both knees; their sources said in ``units``."""
    parts = (_helmet(person), _shoulders(person, units), _hips(person, units), *_knees(person))
    return tuple(replace(part, whose=whose) for part in parts) if whose else parts


def _helmet(person: PersonEntry) -> BodyPart:
    centre, doubt, source, certainty = head_centre(person)
    return BodyPart(
        name="helmet",
        one=centre,
        two=centre,
        radius=person.helmet / 2.0,
        doubt=doubt,
        source=source,
        certainty=certainty,
    )


def _shoulders(person: PersonEntry, units: LengthUnit) -> BodyPart:
    """A bar across whose top touches the shoulder's top and whose ends reach the shoulder breadth."""
    radius = figures()["posture"]["shoulder_round"]
    over_seat = _own(person, "acromion above the seat") - figures()["dummy"]["hip_above_seat"]
    centre = np.array(person.hip) + (over_seat - radius) * _up_back(person)
    if person.shoulder is not None:
        centre = np.array(person.shoulder) - radius * _up_back(person)
    return _across(person, "shoulder", centre, person.shoulders, ("shoulder breadth", units), radius)


def _hips(person: PersonEntry, units: LengthUnit) -> BodyPart:
    radius = figures()["template"]["hip_circle"] / 2.0
    return _across(person, "hip", np.array(person.hip), person.hips, ("hip breadth, sitting", units), radius)


def _across(
    person: PersonEntry,
    name: PartName,
    centre: Vector,
    own: float | None,
    measured_as: tuple[str, LengthUnit],
    radius: float,
) -> BodyPart:
    breadth, units = measured_as
    wide = _own(person, breadth) if own is None else own
    half = np.array([0.0, max(wide / 2.0 - radius, 0.0), 0.0])
    whose = "measured" if own else f"as {person.people} of that stature (ANSUR II)"
    return BodyPart(
        name=name,
        one=centre - half,
        two=centre + half,
        radius=radius,
        doubt=0.0 if own else measure(breadth, person.people)["sd"] / 2.0,
        source=f"{breadth} {say_length(wide, units, places=0)}, {whose}",
        certainty="shop" if own else "computed",
    )


def _knees(person: PersonEntry) -> tuple[BodyPart, ...]:
    posture, leg = figures()["posture"], figures()["leg"]
    if person.knees:
        return tuple(_knee(np.array(k), posture["knee_round"], 0.0, "measured", "shop") for k in person.knees)
    thigh = leg["thigh"] * person.stature / measure("stature", "men")["mean"]
    rise = posture["thigh_rise"]
    out = np.array([-thigh * math.cos(rise), posture["knee_spread"], thigh * math.sin(rise)])
    sides = (out * np.array([1.0, -1.0, 1.0]), out)
    doubt = 40.0  # the knees work the pedals
    return tuple(
        _knee(np.array(person.hip) + side, posture["knee_round"], doubt, posture["source"], "memory")
        for side in sides
    )


def _knee(centre: Vector, radius: float, doubt: float, source: str, certainty: Certainty) -> BodyPart:
    return BodyPart(
        name="knee", one=centre, two=centre, radius=radius, doubt=doubt, source=source, certainty=certainty
    )


def seated_gaps(cage: Cage, parts: tuple[BodyPart, ...]) -> tuple[BodyGap, ...]:
    """The gap from every tube to each part it could ever matter to, nearest first.

    A tube further from a part than the part's reach and 300 mm more is left out.
    """
    reach = {limit.part: limit.reach for limit in limits()}
    gaps = [_body_gap(member, part, reach[part.name]) for member in cage.members for part in parts]
    kept = [gap for gap in gaps if gap.gap < reach[gap.part] + 300.0]
    return tuple(sorted(kept, key=lambda gap: (gap.gap, -gap.overlap)))


def _body_gap(member: Member, part: BodyPart, reach: float) -> BodyGap:
    along, points = chords(member.path, np.array([0.0, member.path.length]))
    n = len(points) - 1
    one, two = closest_between_segments(
        points[:-1], points[1:], np.broadcast_to(part.one, (n, 3)), np.broadcast_to(part.two, (n, 3))
    )
    i = int(np.argmin(length(one - two)))
    between = float(length(one[i] - two[i]))
    room = between - member.tube.radius - part.radius
    toward = (two[i] - one[i]) / max(between, 1e-9)
    return BodyGap(
        member=member.name,
        part=part.name,
        whose=part.whose,
        gap=max(room, 0.0),
        overlap=max(-room, 0.0),
        along=float(along[i] + length(one[i] - points[i])),
        on_tube=one[i] + member.tube.radius * toward,
        doubt=part.doubt,
        reach=_reached(member, part, reach) if room < reach else (),
    )


def _reached(member: Member, part: BodyPart, reach: float) -> tuple[tuple[float, float], ...]:
    """Stretches (start, stop) of the member, mm, whose outside lies within ``reach`` of the part."""
    total = member.path.length
    along = np.linspace(0.0, total, max(2, int(np.ceil(total / 5.0)) + 1))
    points = points_at(member.path, along)
    one, two = (np.broadcast_to(end, points.shape) for end in (part.one, part.two))
    away = length(closest_on_segments(points, one, two) - points)
    near = away - member.tube.radius - part.radius < reach
    edges = np.flatnonzero(np.diff(np.r_[False, near, False].astype(np.int8))).reshape(-1, 2)
    return tuple((float(along[i]), float(along[j - 1])) for i, j in edges)
