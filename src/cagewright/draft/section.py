"""The body's section at the main hoop, rounded out from a dozen marks; and the hoop's places beside it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from cagewright.draft.measured import Measured
from cagewright.shape.types import Array

OFF_CENTRE = 300.0
"""Where the roof is read beside the centre line, mm."""
BOWED = 8.0
"""A roof that stands more than this over a straight top is followed with two more bends, mm (ours)."""
KINKED = math.radians(2.0)
"""A leg that turns less than this at the waist runs straight past it (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HalfSection:
    """One half of the section, half width and up, mm.

    Attributes:
        sill: inside of the body just over the sill.
        waist: at the waist.
        edge: where side and roof would meet without a round.
        side: unit, up along the side from the waist.
        roof: unit, in along the roof from the edge.
        radius: of the corner's round, mm.
        crown: (centre height, fall per mm2) of the roof: up = centre - fall half2.
    """

    sill: Array
    waist: Array
    edge: Array
    side: Array
    roof: Array
    radius: float
    crown: tuple[float, float]


def half_section(car: Measured, sides: tuple[str, ...]) -> HalfSection | None:
    """The section of one side, or of both at once, half way between the two at every mark.

    Args:
        car: as measured.
        sides: ``left``, ``right``, or both.
    """
    marks = {name: _mark(car, name, sides) for name in ("sill_side", "waist", "upper_side", "cant_rail")}
    heights = [h for h, side in zip(car.roof, ("left", "both", "right"), strict=True) if side in sides]
    known = [h for h in heights if h is not None]
    off = sum(known) / len(known) if known else None
    centre = car.roof[1]
    if centre is None or off is None or any(mark is None for mark in marks.values()):
        return None
    sill, waist, upper, corner = (mark for mark in marks.values() if mark is not None)
    fall = max(centre - off, 0.0) / OFF_CENTRE**2
    side = (upper - waist) / np.hypot(*(upper - waist))
    edge = _edge(waist, side, centre, fall)
    roof = np.array([-1.0, 2.0 * fall * edge[0]])
    roof = roof / np.hypot(*roof)
    radius = min(_round(corner - edge, side, roof), 300.0)
    return HalfSection(
        sill=sill, waist=waist, edge=edge, side=side, roof=roof, radius=radius, crown=(centre, fall)
    )  # fmt: skip


def _mark(car: Measured, name: str, sides: tuple[str, ...]) -> Array | None:
    points = [car.points.get(f"{name}_{side}") for side in sides]
    known = [np.array([abs(p[1]), p[2]]) for p in points if p is not None]
    return np.mean(known, axis=0) if len(known) == len(sides) else None


def _edge(waist: Array, side: Array, centre: float, fall: float) -> Array:
    """Where the side's line meets the roof's parabola: a root of a quadratic in the way along the side."""
    a = fall * float(side[0]) ** 2
    b = float(side[1]) + 2.0 * fall * float(waist[0]) * float(side[0])
    c = float(waist[1]) + fall * float(waist[0]) ** 2 - centre
    t = -c / b if a < 1e-12 else (-b + math.sqrt(max(b * b - 4.0 * a * c, 0.0))) / (2.0 * a)
    return waist + t * side


def _round(deep: Array, side: Array, roof: Array) -> float:
    """Radius of the round that touches both panels and passes a place on it, mm.

    With c = 1 / cos(turn / 2) the round's centre stands c R from the edge along the bisector b, and the
    place w on it: |w - c R b| = R, the larger root of (c2 - 1) R2 - 2 c (w . b) R + w2 = 0 (plane geometry).

    Args:
        deep: the place (2,), from the edge, mm.
        side: unit, up the side to the edge.
        roof: unit, in along the roof from the edge.
    """
    between = roof - side
    between = between / max(float(np.hypot(*between)), 1e-9)
    c = 1.0 / max(math.cos(math.acos(float(np.clip(side @ roof, -1.0, 1.0))) / 2.0), 1e-3)
    half = c * float(deep @ between)
    rest = half * half - (c * c - 1.0) * float(deep @ deep)
    return (half + math.sqrt(max(rest, 0.0))) / max(c * c - 1.0, 1e-6) if half > 0.0 else 0.0


def section_line(half: HalfSection) -> Array:
    """The half section's line (n, 2) from the sill to the roof's middle, the corner rounded."""
    turn = math.acos(float(np.clip(half.side @ half.roof, -1.0, 1.0)))
    back = min(half.radius * math.tan(turn / 2.0), 0.45 * float(half.edge[0]))
    radius = back / max(math.tan(turn / 2.0), 1e-6)
    first = half.edge - back * half.side
    normal = half.roof - (half.roof @ half.side) * half.side
    normal = normal / max(float(np.hypot(*normal)), 1e-9)
    a = np.linspace(0.0, turn, 9)[:, None]
    arc = first + radius * normal + radius * (np.sin(a) * half.side - np.cos(a) * normal)
    width = np.linspace(arc[-1][0], 0.0, 14)[1:]
    centre, fall = half.crown
    roof = np.stack([width, centre - fall * width**2], axis=1)
    # a wide round ends a little off the parabola: carried on at the parabola's own height
    return np.concatenate([[half.sill], [half.waist], arc, roof[roof[:, 1] >= arc[-1][1] - 1e-6]])


def hoop_places(half: HalfSection, *, off: float, foot: float) -> Array:
    """The hoop's places (n, 2) half and up from the foot to near the middle, ``off`` mm inside the section.

    Args:
        half: the section of that side.
        off: from the body to the tube's axis, mm.
        foot: height of the foot, mm.
    """
    low = half.waist - half.sill
    low = low / max(float(np.hypot(*low)), 1e-9)
    inward = np.array([-half.side[1], half.side[0]])
    beside_low = half.sill + off * np.array([-low[1], low[0]])
    waist = _meet(beside_low, low, half.waist + off * inward, half.side)
    normal = np.array([half.roof[1], -half.roof[0]])
    normal = normal if normal[1] < 0.0 else -normal
    corner = _meet(waist, half.side, half.edge + off * normal, half.roof)
    start = beside_low + low * (foot - beside_low[1]) / low[1]
    places = [start, waist, corner]
    turn = math.atan2(float(low[0] * half.side[1] - low[1] * half.side[0]), float(low @ half.side))
    if abs(turn) < KINKED:
        places = [start, corner]
    centre, fall = half.crown
    if fall * float(corner[0]) ** 2 * 0.6 > BOWED:
        width = 0.36 * float(corner[0])
        places.append(np.array([width, centre - fall * width**2 - off]))
    return np.array(places)


def _meet(p: Array, u: Array, q: Array, v: Array) -> Array:
    """Where the line through p along u meets the one through q along v."""
    det = float(u[0] * v[1] - u[1] * v[0])
    t = float((q[0] - p[0]) * v[1] - (q[1] - p[1]) * v[0]) / det
    return p + t * u
