"""The room that has to be left to each person: helmet, torso, thighs and knees, as rounded bodies."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

import numpy as np

from cagewright.base.names import DRIVER, shown
from cagewright.base.vectors import Vector, cross, dot, length, unit
from cagewright.plan.types import PersonEntry
from cagewright.shape.closest import closest_between_segments, closest_on_segments
from cagewright.shape.seated import BodyPart, measure, seated_parts
from cagewright.shape.types import Array, Cage, bodies_of
from cagewright.stock.steels import Certainty

SpacePart = Literal["helmet", "torso", "left thigh", "right thigh", "left knee", "right knee"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """One part of a person's survival space: all within ``radius`` mm of a point, a line or a flat outline.

    Attributes:
        person: whose.
        part: which part of him.
        outline: (1, 3) a point, (2, 3) a line's ends or (4, 3) the corners of a flat outline in turn, mm.
        radius: mm.
        doubt: how far it may be from where it is taken to be, mm; 0 where it was measured.
        source: where its place and size come from.
        certainty: how sure they are.
    """

    person: str
    part: SpacePart
    outline: Array
    radius: float
    doubt: float
    source: str
    certainty: Certainty


@cache
def _figures() -> dict[str, Any]:
    text = files("cagewright.shape").joinpath("data", "survival.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def survival_spaces(cage: Cage) -> tuple[Space, ...]:
    """The survival space of everybody in the car, part by part; heads, trunks and legs at rest."""
    return tuple(space for name, body in bodies_of(cage) for space in _of(shown(name or DRIVER), body))


def _of(person: str, body: PersonEntry) -> tuple[Space, ...]:
    parts = seated_parts(body)
    by_name = {part.name: part for part in parts}
    hip = by_name["hip"]
    left, right = sorted((p for p in parts if p.name == "knee"), key=lambda knee: float(knee.one[1]))
    left_hip, right_hip = sorted((hip.one, hip.two), key=lambda end: float(end[1]))
    return (
        _round(person, "helmet", by_name["helmet"]),
        _torso(
            person, by_name["shoulder"], hip, measure(_figures()["torso"]["measure"], body.people)["mean"]
        ),
        _thigh(person, "left thigh", left_hip, left),
        _thigh(person, "right thigh", right_hip, right),
        _round(person, "left knee", left),
        _round(person, "right knee", right),
    )


def _round(person: str, name: SpacePart, part: BodyPart) -> Space:
    return Space(
        person=person, part=name, outline=part.one[None], radius=part.radius, doubt=part.doubt,
        source=part.source, certainty=part.certainty,
    )  # fmt: skip


def _torso(person: str, shoulders: BodyPart, hips: BodyPart, deep: float) -> Space:
    """A flat outline from the hips up to the shoulders, as thick as the chest is ``deep`` mm.

    It reaches as far out, up and down as the shoulders' and the hips' own rounds do.
    """
    row = _figures()["torso"]
    radius = deep / 2.0
    top, foot = 0.5 * (shoulders.one + shoulders.two), 0.5 * (hips.one + hips.two)
    up = unit(top - foot)
    edges = [
        (top - max(radius - shoulders.radius, 0.0) * up, _half(shoulders, radius)),
        (foot + max(radius - hips.radius, 0.0) * up, _half(hips, radius)),
    ]
    (high, over), (low, under) = ((at, np.array([0.0, half, 0.0])) for at, half in edges)
    outline = np.array([high - over, high + over, low + under, low - under])
    return Space(
        person=person, part="torso", outline=outline,
        radius=radius, doubt=max(row["doubt"], shoulders.doubt), source=row["source"],
        certainty=row["certainty"],
    )  # fmt: skip


def _half(part: BodyPart, radius: float) -> float:
    """Half the breadth of the outline whose round of ``radius`` mm reaches as far out as the part."""
    wide = 0.5 * float(length(part.two - part.one)) + part.radius
    return max(wide - radius, 0.0)


def _thigh(person: str, name: SpacePart, hip: Vector, knee: BodyPart) -> Space:
    row = _figures()["thigh"]
    measured = knee.certainty == "shop"
    return Space(
        person=person, part=name, outline=np.stack([hip, knee.one]), radius=row["round"],
        doubt=knee.doubt if measured else row["doubt"], source=row["source"], certainty=row["certainty"],
    )  # fmt: skip


STEP = 20.0
"""A line or outline is taken as balls no further apart than this, mm, where only points will do."""


def points_of(space: Space) -> Array:
    """Points (p, 3) of the space's outline, no more than ``STEP`` apart either way, its edges among them."""
    corners = space.outline
    if len(corners) < 4:
        return _between(corners[0], corners[-1]) if len(corners) == 2 else corners
    sides = (corners[0], corners[3]), (corners[1], corners[2])
    part = np.linspace(0.0, 1.0, max(len(_between(*side)) for side in sides))[:, None]
    rows = zip(*(a + part * (b - a) for a, b in sides), strict=True)
    return np.concatenate([_between(a, b) for a, b in rows])


def _between(a: Vector, b: Vector) -> Array:
    many = int(np.ceil(float(length(b - a)) / STEP)) + 1
    return a + np.linspace(0.0, 1.0, max(many, 2))[:, None] * (b - a)


def distances(one: Array, two: Array, outline: Array) -> Array:
    """From each segment ``one``-``two`` (n, 3) to a space's outline: (n,) mm, 0 where it passes through."""
    if len(outline) == 1:
        point = np.broadcast_to(outline[0], one.shape)
        return length(closest_on_segments(point, one, two) - point)
    corners = len(outline) if len(outline) > 2 else 1
    edges = [(outline[i], outline[(i + 1) % len(outline)]) for i in range(corners)]
    best = np.min([_to_segment(one, two, *edge) for edge in edges], axis=0)
    return best if corners == 1 else np.minimum(best, _to_flat(one, two, outline))


def _to_segment(one: Array, two: Array, start: Vector, stop: Vector) -> Array:
    ends = (np.broadcast_to(end, one.shape) for end in (start, stop))
    near, far = closest_between_segments(one, two, *ends)
    return length(near - far)


def _to_flat(one: Array, two: Array, outline: Array) -> Array:
    """From segments to the inside of a flat outline; infinite where no end and no crossing lies over it."""
    normal = unit(cross(outline[1] - outline[0], outline[3] - outline[0]))
    off = np.stack([(one - outline[0]) @ normal, (two - outline[0]) @ normal])
    over = np.stack([_over(one, outline, normal), _over(two, outline, normal)])
    best = np.where(over, np.abs(off), np.inf).min(axis=0)
    crosses = off[0] * off[1] < 0.0
    part = np.where(crosses, off[0] / np.where(crosses, off[0] - off[1], 1.0), 0.0)
    through = crosses & _over(one + part[:, None] * (two - one), outline, normal)
    return np.where(through, 0.0, best)


def _over(points: Array, outline: Array, normal: Vector) -> Any:
    """Whether each point (n, 3) lies square over the inside of a convex flat outline."""
    sides = [dot(points - outline[i], cross(normal, outline[(i + 1) % 4] - outline[i])) for i in range(4)]
    return np.all(np.stack(sides) >= 0.0, axis=0)
