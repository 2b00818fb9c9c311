"""The body's section at the main hoop, rounded out from its marks; and the hoop's places beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

import numpy as np
from scipy.optimize import brentq

from cagewright.draft.measured import Measured
from cagewright.shape.types import Array

OFF_CENTRE = 300.0
"""Where the roof is read beside the centre line, mm."""
BOWED = 8.0
"""A roof that stands more than this over a straight top is followed with two more bends, mm (ours)."""
BULGED = 5.0
"""A side that bulges more than this over a straight is followed with one more bend, mm (ours)."""
TAPED = 3.0
"""A bulge less than this is taken for the tape's own scatter, mm (ours: its standard deviation is 2)."""
KINKED = np.radians(2.0)
"""A leg that turns less than this at the waist runs straight past it (ours)."""
STEPPED = 30.0
"""A round that the roof and the corner's mark ask for is larger than the side's by so much where a post steps
the side in, mm (ours)."""
STICK = np.array([-np.sqrt(0.5), -np.sqrt(0.5)])
"""From the corner's mark into the cabin: it is read behind a stick laid across the corner at 45 degrees."""
LARGEST = 520.0
"""Largest round that is taken for the corner, mm."""
NAMES = ("hoop_foot", "hoop_waist", "hoop_side", "hoop_corner", "hoop_crown")
"""The hoop's places from the foot up; each but foot and corner only where the section asks for it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HalfSection:
    """One half of the section, half width and up, mm.

    Attributes:
        sill: inside of the body just over the sill.
        waist: at the waist.
        upper: below the corner.
        side: half width over the waist as a polynomial of the height over it, lowest power first.
        crown: (centre height, fall per mm2) of the roof: up = centre - fall half2.
        edge: where side and roof would meet without a round.
        centre: middle of the corner's round.
        radius: of that round, mm.
        touch: heights over the waist and half width where the round leaves side and roof.
        over: (middle, radius, half width where it leaves the roof) of the round from the corner's mark to the
            roof, where a post that ends below it steps the side in; None where one round touches both.
    """

    sill: Array
    waist: Array
    upper: Array
    side: tuple[float, float, float]
    crown: tuple[float, float]
    edge: Array
    centre: Array
    radius: float
    touch: tuple[float, float]
    over: tuple[Array, float, float] | None = None


def half_section(car: Measured, sides: tuple[str, ...]) -> HalfSection | None:
    """The section of one side, or of both at once, half way between the two at every mark.

    Args:
        car: as measured.
        sides: ``left``, ``right``, or both.
    """
    marks = {n: _mark(car, n, sides) for n in ("sill_side", "waist", "side_mid", "upper_side", "cant_rail")}
    middle = marks.pop("side_mid")
    heights = [h for h, side in zip(car.roof, ("left", "both", "right"), strict=True) if side in sides]
    known = [h for h in heights if h is not None]
    off = sum(known) / len(known) if known else None
    top = car.roof[1]
    if top is None or off is None or any(mark is None for mark in marks.values()):
        return None
    sill, waist, upper, corner = (mark for mark in marks.values() if mark is not None)
    side, crown = _side(waist, middle, upper), (top, max(top - off, 0.0) / OFF_CENTRE**2)
    edge = _edge(waist, side, crown, float(upper[1]))
    centre, radius, touch = _round(waist, side, crown, edge, corner)
    return HalfSection(
        sill=sill, waist=waist, upper=upper, side=side, crown=crown, edge=edge, centre=centre, radius=radius,
        touch=touch, over=_over(crown, corner, radius),
    )  # fmt: skip


def _mark(car: Measured, name: str, sides: tuple[str, ...]) -> Array | None:
    points = [car.points.get(f"{name}_{side}") for side in sides]
    known = [np.array([abs(p[1]), p[2]]) for p in points if p is not None]
    return np.mean(known, axis=0) if len(known) == len(sides) else None


def _side(waist: Array, middle: Array | None, upper: Array) -> tuple[float, float, float]:
    """The side over the waist: straight, or the parabola through its three marks where it bulges."""
    rise = float(upper[1] - waist[1])
    slope = float(upper[0] - waist[0]) / rise
    if middle is None:
        return float(waist[0]), slope, 0.0
    up = float(middle[1] - waist[1])
    bulge = float(middle[0]) - float(waist[0]) - slope * up
    bulge = np.sign(bulge) * max(abs(bulge) - TAPED, 0.0)  # what scatter may feign is not carried up
    bend = bulge / (up * (rise - up)) if 0.0 < up < rise else 0.0
    return float(waist[0]), slope + bend * rise, -bend


def _on_side(side: tuple[float, float, float], up: Array | float) -> Array:
    """(..., 2) the side's outline at heights over the waist: half width and height over the waist."""
    up = np.asarray(up, dtype=float)
    return np.stack([side[0] + side[1] * up + side[2] * up * up, up], axis=-1)


def _into(side: tuple[float, float, float], up: Array | float) -> Array:
    """(..., 2) unit, from the side into the cabin."""
    slope = side[1] + 2.0 * side[2] * np.asarray(up, dtype=float)
    return np.stack([-np.ones_like(slope), slope], axis=-1) / np.hypot(1.0, slope)[..., None]


def _under(crown: tuple[float, float], half: Array | float) -> Array:
    """(..., 2) unit, from the roof into the cabin."""
    slope = -2.0 * crown[1] * np.asarray(half, dtype=float)
    return np.stack([slope, -np.ones_like(slope)], axis=-1) / np.hypot(1.0, slope)[..., None]


def _edge(waist: Array, side: tuple[float, float, float], crown: tuple[float, float], low: float) -> Array:
    """Where the side's line meets the roof's parabola (2,)."""

    def over(up: float) -> float:
        half = side[0] + side[1] * up + side[2] * up * up
        return float(waist[1]) + up - (crown[0] - crown[1] * half * half)

    first, last = low - float(waist[1]), crown[0] - float(waist[1])
    up = float(cast("float", brentq(over, first, last))) if over(first) < 0.0 < over(last) else last
    return _on_side(side, up) + np.array([0.0, waist[1]])


def _round(
    waist: Array, side: tuple[float, float, float], crown: tuple[float, float], edge: Array, mark: Array
) -> tuple[Array, float, tuple[float, float]]:
    """Middle, radius and ends of the round that touches side and roof and passes the corner's mark.

    The middle of a round of radius R is where the two outlines, each moved in by R, cross; R is the largest
    at which it is R from the mark (plane geometry).
    """

    def off(radius: float) -> float:
        middle, _ = _middle(waist, side, crown, edge, radius)
        return float(np.hypot(*(mark - middle))) - radius

    grid = np.linspace(LARGEST, 0.0, 13)
    far = [off(r) for r in grid.tolist()]
    radius = next(
        (float(cast("float", brentq(off, b, a, xtol=0.01)))
         for a, b, one, two in zip(grid, grid[1:], far, far[1:], strict=False) if one > 0.0 >= two),
        LARGEST if far[0] <= 0.0 else 0.0,
    )  # fmt: skip
    middle, touch = _middle(waist, side, crown, edge, radius)
    return middle, radius, touch


def _over(crown: tuple[float, float], mark: Array, radius: float) -> tuple[Array, float, float] | None:
    """The round that touches the roof and stands at 45 degrees at the mark, where it is larger than that one.

    How far the mark lies under the roof, square to it, is R (1 - cos of the turn between the two).
    """
    half, size = float(mark[0]), 0.0
    for _ in range(12):
        into = _under(crown, half)
        depth = float((mark - np.array([half, crown[0] - crown[1] * half * half])) @ into)
        size = max(depth, 0.0) / max(1.0 - float(into @ STICK), 1e-3)
        half = float((mark + size * (STICK - into))[0])
    if not radius + STEPPED < size <= LARGEST:
        return None
    return mark + size * STICK, size, max(half, 0.0)


def _middle(
    waist: Array, side: tuple[float, float, float], crown: tuple[float, float], edge: Array, radius: float
) -> tuple[Array, tuple[float, float]]:
    """Where side and roof, each moved in by the radius, cross (2,), and from which height and half width."""
    up, half = float(edge[1] - waist[1]), float(edge[0])
    base = np.array([0.0, waist[1]])
    middle = edge
    for _ in range(12):
        one, two = (_on_side(side, up) + base, _into(side, up)), (
            np.array([half, crown[0] - crown[1] * half * half]), _under(crown, half))  # fmt: skip
        # along each outline's tangent to where the two moved lines cross: Newton's step
        t, v = np.array([-one[1][1], one[1][0]]), np.array([-two[1][1], two[1][0]])
        p, q = one[0] + radius * one[1], two[0] + radius * two[1]
        det = float(t[0] * v[1] - t[1] * v[0])
        if abs(det) < 1e-6:
            break
        a = float((q[0] - p[0]) * v[1] - (q[1] - p[1]) * v[0]) / det
        middle = p + a * t
        up, half = up + a * float(t[1]), half + float((middle - q) @ v) * float(v[0])
        if abs(a) < 1e-4:
            break
    return middle, (up, max(half, 0.0))


def section_line(half: HalfSection) -> Array:
    """The half section's line (n, 2) from the sill to the roof's middle, the corner rounded."""
    base = np.array([0.0, half.waist[1]])
    up, width = half.touch
    side = _on_side(half.side, np.linspace(0.0, max(up, 1.0), 14)) + base
    into = [-_into(half.side, up), -_under(half.crown, width)]
    first, last = (float(np.arctan2(v[1], v[0])) for v in into)
    a = np.linspace(first, last, 11)[1:-1]
    arc = half.centre + half.radius * np.stack([np.cos(a), np.sin(a)], axis=1)
    across = np.linspace(width, 0.0, 14)
    roof = np.stack([across, half.crown[0] - half.crown[1] * across**2], axis=1)
    line = np.concatenate([[half.sill], side, arc, roof] if half.radius > 1.0 else [[half.sill], side, roof])
    return line if half.over is None else _rounded_over(half, line)


def _rounded_over(half: HalfSection, line: Array) -> Array:
    """The line (n, 2) up the post to the corner's mark, then by the larger round to the roof."""
    assert half.over is not None
    middle, radius, width = half.over
    last = -_under(half.crown, width)
    a = np.linspace(np.pi / 4.0, float(np.arctan2(last[1], last[0])), 11)
    arc = middle + radius * np.stack([np.cos(a), np.sin(a)], axis=1)
    inside = arc[:, 0] <= _on_side(half.side, arc[:, 1] - half.waist[1])[:, 0]
    arc = arc[inside] if inside.any() else arc[-1:]
    below = int(np.argmin(np.hypot(*(line - arc[0]).T)))
    across = np.linspace(width, 0.0, 14)[1:]
    roof = np.stack([across, half.crown[0] - half.crown[1] * across**2], axis=1)
    return np.concatenate([line[: max(below, 1)], arc, roof])


def wanted_places(half: HalfSection) -> frozenset[str]:
    """Which of the hoop's places the section asks for."""
    low = half.waist - half.sill
    chord = half.upper - half.waist
    turn = np.arctan2(float(low[0] * chord[1] - low[1] * chord[0]), float(low @ chord))
    names = {"hoop_foot", "hoop_corner"}
    rise = float(half.edge[1] - half.waist[1])
    bulge = abs(half.side[2]) * rise * rise / 4.0
    names |= {"hoop_side"} if bulge > BULGED else set()
    names |= {"hoop_waist"} if abs(turn) >= KINKED else set()
    names |= {"hoop_crown"} if half.crown[1] * float(half.edge[0]) ** 2 * 0.6 > BOWED else set()
    return frozenset(names)


def hoop_places(half: HalfSection, *, off: float, foot: float) -> Mapping[str, Array]:
    """Each of the hoop's places (2,) half and up, ``off`` mm inside the section.

    Args:
        half: the section of that side.
        off: from the body to the tube's axis, mm.
        foot: height of the foot, mm.
    """
    low = half.waist - half.sill
    low = low / max(float(np.hypot(*low)), 1e-9)
    base = np.array([0.0, half.waist[1]])
    beside_low = half.sill + off * np.array([-low[1], low[0]])
    rise = float(half.edge[1] - half.waist[1])
    at = {up: _on_side(half.side, up) + base + off * _into(half.side, up) for up in (0.0, rise / 2.0, rise)}
    bulged = "hoop_side" in wanted_places(half)
    side = at[rise / 2.0]
    start, end = (at[0.0], side) if bulged else (at[0.0], at[rise])
    waist = _meet(beside_low, low, start, end - start) if "hoop_waist" in wanted_places(half) else start
    lean = at[rise] - side
    under = _under(half.crown, float(half.edge[0]))
    corner = _meet(side, lean, half.edge + off * under, np.array([under[1], -under[0]]))
    width = 0.36 * float(corner[0])
    top, fall = half.crown
    return {
        "hoop_foot": beside_low + low * (foot - beside_low[1]) / low[1],
        "hoop_waist": waist,
        "hoop_side": side,
        "hoop_corner": corner,
        "hoop_crown": np.array([width, top - fall * width**2 - off]),
    }


def _meet(p: Array, u: Array, q: Array, v: Array) -> Array:
    """Where the line through p along u meets the one through q along v."""
    det = float(u[0] * v[1] - u[1] * v[0])
    t = float((q[0] - p[0]) * v[1] - (q[1] - p[1]) * v[0]) / det
    return p + t * u
