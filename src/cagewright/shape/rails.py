"""Rails in space: which way their section lies, the prism they are, and their cuts in one plane."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import Chain, Line, point_at
from cagewright.base.vectors import ACROSS, BACK, UP, Vector, cross, dot, length, square_to, unit
from cagewright.shape.types import FlatCut, Lie
from cagewright.stock.sections import HOLLOW, Section, outlines, strips

Array = NDArray[np.float64]
LEAST_LEAN = math.sin(math.radians(20.0))
"""A rail that runs within 20 degrees of a direction has no side that looks that way."""
WAYS = {"down": -UP, "up": UP, "front": -BACK, "rear": BACK, "left": -ACROSS, "right": ACROSS}
USUAL = ("down", "outside")
"""How a rail lies where the plan does not say."""


class NoSuchSide(ValueError):
    """A rail has no side that looks where the plan says; its text says which and what to do."""


def lie_of(path: Chain, ways: Sequence[str]) -> Lie:
    """How a rail's section lies along a straight path.

    ``ways`` says where its underside looks, and then where the back of an angle's standing leg does.

    Raises:
        NoSuchSide: it runs that way, or the two are one way.
    """
    along = unit(path.pieces[0].stop - path.pieces[0].start)
    first, second = (*ways, *USUAL[len(ways) :])[:2]
    up = -_square(first, along, path)
    side = _way(second, path)
    side = side - dot(side, along) * along - dot(side, up) * up
    if float(length(side)) < LEAST_LEAN:
        if len(ways) > 1:
            raise NoSuchSide(f"lies: {second} is no way beside {first}")
        side = cross(along, up)
    return Lie(across=-unit(side), up=up)


def _square(word: str, along: Vector, path: Chain) -> Vector:
    way = _way(word, path)
    flat = way - dot(way, along) * along
    if float(length(flat)) < LEAST_LEAN:
        raise NoSuchSide(f"it runs {word}, so no side of it looks that way")
    return unit(flat)


def _way(word: str, path: Chain) -> Vector:
    if word in WAYS:
        return WAYS[word]
    beside = float(point_at(path, path.length / 2.0)[1])
    return ACROSS * math.copysign(1.0, beside) * (1.0 if word == "outside" else -1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Prism:
    """A rail as the solid it is: an outline drawn along a straight line.

    Attributes:
        start: (3,) middle of the section's box at one end, mm.
        along: unit (3,).
        length: mm.
        lie: how the section lies.
        outline: (k, 2) its outside, in the section's axes, mm, anticlockwise.
    """

    start: Vector
    along: Vector
    length: float
    lie: Lie
    outline: Array

    def seen(self, points: Array) -> tuple[Array, Array]:
        """Points (..., 3) in the section's axes (..., 2) and along the rail (...,), mm."""
        off = points - self.start
        return np.stack([off @ self.lie.across, off @ self.lie.up], axis=-1), off @ self.along


def prism_of(path: Chain, section: Section, lie: Lie) -> Prism:
    """The rail of that section along a straight path.

    Raises:
        TypeError: the path is bent.
    """
    line = path.pieces[0]
    if not isinstance(line, Line):
        raise TypeError("a rail is straight")
    return Prism(
        start=line.start, along=line.direction, length=line.length, lie=lie, outline=outlines(section)[0][1]
    )


def first_met(prism: Prism, base: Array, axis: Vector, reach: float) -> tuple[Array, Array]:
    """Where lines first enter a rail coming from large w, w (n,) mm, and the face's outward normal (n, 3).

    Lines base (n, 3) + w axis (3,), ``axis`` away from the rail; -inf where they miss it within ``reach``.
    Plane geometry: the entry is the furthest crossing of the outline that looks against the line's way.
    """
    (at, run), (way, lean) = prism.seen(base), prism.seen(prism.start + axis)
    a, b = prism.outline, np.roll(prism.outline, -1, axis=0)
    edge = b - a
    out = np.stack([edge[:, 1], -edge[:, 0]], axis=1) / np.sqrt((edge**2).sum(axis=1))[:, None]
    facing = out @ way
    w = ((a * out).sum(axis=1) - at @ out.T) / np.where(facing > 1e-9, facing, 1.0)
    spot = at[:, None] + w[..., None] * way
    part = ((spot - a) * edge).sum(axis=-1) / (edge**2).sum(axis=1)
    place = run[:, None] + w * lean
    met = (facing > 1e-9) & (part >= -1e-9) & (part <= 1.0 + 1e-9)
    met &= (place >= -1e-9) & (place <= prism.length + 1e-9) & (np.abs(w) <= reach)
    w = np.where(met, w, -np.inf)
    pick = np.argmax(w, axis=1)
    normal = out[pick, :1] * prism.lie.across + out[pick, 1:] * prism.lie.up
    return np.take_along_axis(w, pick[:, None], axis=1)[:, 0], normal


def distance_to(prism: Prism, points: Array) -> Array:
    """From points (..., 3) to the outside of a rail, mm; inside it is counted as on its outline."""
    at, run = prism.seen(points)
    a, edge = prism.outline, np.roll(prism.outline, -1, axis=0) - prism.outline
    off = at[..., None, :] - a
    share = np.clip((off * edge).sum(axis=-1) / (edge**2).sum(axis=1), 0.0, 1.0)
    flat = np.sqrt(((off - share[..., None] * edge) ** 2).sum(axis=-1)).min(axis=-1)
    return np.hypot(flat, np.maximum(np.maximum(-run, run - prism.length), 0.0))


def plane_cut_of(
    end: Vector, axis: Vector, *, section: Section, lie: Lie, point: Vector, normal: Vector
) -> FlatCut:
    """The cut of a rail's end by the plane through ``point`` (3,) square to ``normal`` (3,).

    Raises:
        ValueError: the rail runs along the plane.
    """
    normal = unit(normal)
    lean = float(dot(axis, normal))
    if abs(lean) < 1e-6:
        raise ValueError("a rail that runs along a plane is not cut by it")
    normal = normal if lean > 0.0 else -normal
    origin = end + axis * (dot(point - end, normal) / abs(lean))
    tilt = math.atan2(float(length(axis - abs(lean) * normal)), abs(lean))
    loop = _loop(outlines(section)[0][1], lie, axis, normal)
    return FlatCut(
        origin=origin,
        axis=axis,
        normal=normal,
        zero=square_to(axis, normal if tilt > 1e-9 else lie.up),
        tilt=tilt if tilt > 1e-9 else 0.0,
        weld_length=float(length(np.roll(loop, -1, axis=0) - loop).sum()),
    )


def _loop(outline: Array, lie: Lie, axis: Vector, normal: Vector) -> Array:
    """The outline (k, 3) of a rail cut by a plane, about where the plane meets its axis, mm."""
    square = outline[:, :1] * lie.across + outline[:, 1:] * lie.up
    return square - (square @ normal / float(axis @ normal))[:, None] * axis


def cut_outline(cut: FlatCut, section: Section, lie: Lie) -> Array:
    """The outline (k, 3) of a rail's cut end, mm."""
    return cut.origin + _loop(outlines(section)[0][1], lie, cut.axis, cut.normal)


def furthest_of(cut: FlatCut, end: Vector, section: Section, lie: Lie) -> float:
    """How far short of ``end`` the cut's furthest point is, along the axis, mm (negative: past it)."""
    return float(((cut_outline(cut, section, lie) - end) @ cut.axis).min())


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A straight bar of rectangular outline: middle (3,), axes (3, 3) as rows, half sizes (3,), mm."""

    middle: Vector
    axes: Array
    half: Array


def boxes_of(path: Chain, section: Section, lie: Lie) -> tuple[Box, ...]:
    """The boxes a rail fills: one, or an angle's two legs."""
    line = path.pieces[0]
    axes = np.array([unit(line.stop - line.start), lie.across, lie.up])
    middle = 0.5 * (line.start + line.stop)
    if section.shape in HOLLOW or section.shape == "flat":
        half = np.array([line.length, section.width, section.depth]) / 2.0
        return (Box(middle=middle, axes=axes, half=half),)
    return tuple(_leg(a, b, t, line.length, middle, axes) for a, b, t in strips(section))


def _leg(a: Array, b: Array, t: float, run: float, middle: Vector, axes: Array) -> Box:
    centre, size = 0.5 * (a + b), np.abs(b - a)
    half = np.array([run, *np.where(size > 1e-9, size, t)]) / 2.0
    return Box(middle=middle + centre @ axes[1:], axes=axes, half=half)


def to_box(points: Array, box: Box) -> Array:
    """Distance (n,) from points (n, 3) to a box, mm; 0 inside."""
    off = np.abs((points - box.middle) @ box.axes.T)
    return np.sqrt((np.maximum(off - box.half, 0.0) ** 2).sum(axis=-1))


def overlap_of(one: Box, other: Box) -> float:
    """How far two boxes run into each other, mm; below 0 where they are apart.

    The least overlap over the fifteen axes that can part them (S. Gottschalk's separating axes).
    """
    ways = [*one.axes, *other.axes, *(cross(a, b) for a in one.axes for b in other.axes)]
    between = other.middle - one.middle
    least = math.inf
    for way in ways:
        size = float(length(way))
        if size < 1e-6:
            continue
        way = way / size
        reach = sum(float(np.abs(box.axes @ way) @ box.half) for box in (one, other))
        least = min(least, reach - abs(float(between @ way)))
    return least
