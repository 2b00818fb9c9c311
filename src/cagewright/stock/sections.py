"""Sections of the bars a shop buys: tube, angle and flat bar, and what each is as a beam.

A section lies in a plane with a first axis along its width and a second along its depth, both from the middle
of the box round it. An angle's heel is at the low end of both: its first leg lies along the width, its second
stands along the depth.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cagewright.base.say import say_size
from cagewright.base.units import LengthUnit

Array = NDArray[np.float64]
Shape = Literal["round", "square", "rectangle", "angle", "flat"]
HOLLOW: tuple[Shape, ...] = ("round", "square", "rectangle")
"""Shapes that are tube."""
ARC_STEPS = 24
"""Chords that stand for a quarter of a corner; they leave out a thousandth of its area."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One size of bar.

    Attributes:
        shape: what it is.
        width: along its first axis, mm; an outside diameter, an angle's first leg, a flat bar's width.
        depth: along its second axis, mm; a flat bar's thickness.
        wall: mm; a flat bar's thickness.
        corner: outside radius of a hollow section's corners, or of the fillet between an angle's legs (its
            toes are then rounded with half of it), mm; 0 for sharp corners.
    """

    shape: Shape
    width: float
    depth: float
    wall: float
    corner: float = 0.0

    def __post_init__(self) -> None:
        wrong = fault(self)
        if wrong:
            raise ValueError(wrong)

    @property
    def reach(self) -> float:
        """Radius of the circle round the section, about the middle of its box, mm."""
        if self.shape == "round":
            return self.width / 2.0
        cut = min(self.corner, self.width / 2.0, self.depth / 2.0) if self.shape in HOLLOW else 0.0
        return math.hypot(self.width / 2.0 - cut, self.depth / 2.0 - cut) + cut


def fault(section: Section) -> str:
    """Why there can be no such section, in words; empty where there can."""
    least, wall = min(section.width, section.depth), section.wall
    size = " x ".join(f"{v:g}" for v in dict.fromkeys((section.width, section.depth)))
    if not (least > 0.0 and wall > 0.0 and section.corner >= 0.0):
        return "a section needs sizes of more than 0"
    if section.shape == "flat":
        return "" if section.depth == wall <= section.width else "a flat bar is at least as wide as thick"
    if wall > least / 2.0:
        what = {"round": "a tube", "angle": "an angle"}.get(section.shape, "a section")
        return f"{what} of {size} mm cannot have a wall of {wall:g} mm"
    room = least - wall if section.shape == "angle" else least / 2.0
    if section.corner > room:
        return f"a section of {size} mm cannot have corners of {section.corner:g} mm radius"
    return ""


def alike(one: Section, other: Section, within: float) -> bool:
    """Whether two sections are one size on a supplier's list, to ``within`` mm; corners are not looked at."""
    sizes = ((one.width, other.width), (one.depth, other.depth), (one.wall, other.wall))
    return one.shape == other.shape and all(abs(a - b) < within for a, b in sizes)


WORDS: dict[Shape, str] = {
    "round": "",
    "square": " square",
    "rectangle": " rectangular",
    "angle": " angle",
    "flat": " flat",
}
"""What is said behind a size."""


def size_words(section: Section, units: LengthUnit) -> str:
    """The size as it is ordered: ``45 x 2.5 mm``, ``40 x 40 x 3 mm square``, ``1 1/2 x 1/4 in flat``."""
    side = None if section.shape in ("round", "flat") else section.depth
    return f"{say_size(section.width, section.wall, units, side=side)}{WORDS[section.shape]}"


def round_section(od: float, wall: float) -> Section:
    """Round tube of ``od`` and ``wall`` mm."""
    return Section(shape="round", width=od, depth=od, wall=wall)


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionProperties:
    """What a section is as a beam, about its principal axes through its centroid.

    Attributes:
        area: A, mm2.
        inertia: the larger second moment of area, mm4.
        minor: the smaller one, mm4.
        elastic: least modulus for bending about the stiffer axis, mm3.
        elastic_minor: about the other.
        plastic: plastic modulus about the stiffer axis, mm3.
        plastic_minor: about the other.
        torsion: St Venant's constant J, mm4; warping is left out.
        twist: torque over shear yield stress when the wall yields all through, mm3.
        centroid: (first, second) from the middle of the box, mm.
        shear_centre: (first, second) from the middle of the box, mm.
        turn: rad from the first axis to the stiffer principal axis, towards the second.
    """

    area: float
    inertia: float
    minor: float
    elastic: float
    elastic_minor: float
    plastic: float
    plastic_minor: float
    torsion: float
    twist: float
    centroid: tuple[float, float] = (0.0, 0.0)
    shear_centre: tuple[float, float] = (0.0, 0.0)
    turn: float = 0.0


@cache
def properties(section: Section) -> SectionProperties:
    """The properties of a section: closed forms of round tube, areas between exact outlines for the rest.

    Torsion: hollow sections by EN 10219-2 Annex B (Bredt with the wall's own part); flat bar and angle by
    R. J. Roark, Formulas for Stress and Strain, 7th ed., Table 10.1 (both from memory; the tests compare
    them with Prandtl's series and with solids).
    """
    if section.shape == "round":
        return _round(section.width, section.wall)
    rings = outlines(section)
    parts = [(s, _moments(ring)) for s, ring in rings]
    area = sum(s * m[0] for s, m in parts)
    first = np.sum([s * m[1] for s, m in parts], axis=0)
    second = np.sum([s * m[2] for s, m in parts], axis=0)
    centroid: Array = first / area
    about = second - area * np.outer(centroid, centroid)
    minor, major = np.linalg.eigvalsh(about)
    turn = _turn(about)
    elastic, plastic = zip(*(_moduli(rings, centroid, turn + q) for q in (0.0, math.pi / 2.0)), strict=True)
    torsion, twist = _torsion(section)
    return SectionProperties(
        area=float(area), inertia=float(major), minor=float(minor),
        elastic=float(major) / elastic[0], elastic_minor=float(minor) / elastic[1],
        plastic=plastic[0], plastic_minor=plastic[1], torsion=torsion, twist=twist,
        centroid=(float(centroid[0]), float(centroid[1])), shear_centre=_shear_centre(section), turn=turn,
    )  # fmt: skip


def _round(od: float, wall: float) -> SectionProperties:
    """A = pi/4 (D2 - d2), I = pi/64 (D4 - d4), Wel = 2 I / D, Wpl = (D3 - d3)/6, J = 2 I (any handbook)."""
    bore = od - 2.0 * wall
    inertia = math.pi / 64.0 * (od**4 - bore**4)
    elastic, plastic = 2.0 * inertia / od, (od**3 - bore**3) / 6.0
    return SectionProperties(
        area=math.pi / 4.0 * (od**2 - bore**2), inertia=inertia, minor=inertia,
        elastic=elastic, elastic_minor=elastic, plastic=plastic, plastic_minor=plastic,
        torsion=2.0 * inertia, twist=math.pi / 2.0 * plastic,
    )  # fmt: skip


def outlines(section: Section) -> tuple[tuple[float, Array], ...]:
    """The section's outlines: +1 with the outside (n, 2) and, of a hollow one, -1 with the bore, mm.

    Corners are chords; points run anticlockwise about the middle of the box.
    """
    w, d, t, r = section.width / 2.0, section.depth / 2.0, section.wall, section.corner
    if section.shape == "angle":
        return ((1.0, _angle_outline(section)),)
    outer = _box(w, d, w if section.shape == "round" else r if section.shape != "flat" else 0.0)
    if section.shape == "flat":
        return ((1.0, outer),)
    inner = w - t if section.shape == "round" else max(r - t, 0.0)
    if min(w, d) - t < 1e-9:
        return ((1.0, outer),)
    return ((1.0, outer), (-1.0, _box(w - t, d - t, inner)))


def _box(w: float, d: float, r: float) -> Array:
    """A rectangle of half sides ``w`` and ``d`` with corners of radius ``r``, (n, 2)."""
    corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
    return np.concatenate([
        _arc((x * (w - r), y * (d - r)), r, math.pi + k * math.pi / 2.0) for k, (x, y) in enumerate(corners)
    ])


def _arc(centre: tuple[float, float], r: float, start: float, sweep: float = math.pi / 2.0) -> Array:
    if r <= 0.0:
        return np.array([centre])
    a = start + sweep * np.linspace(0.0, 1.0, ARC_STEPS + 1)
    return np.array(centre) + r * np.stack([np.cos(a), np.sin(a)], axis=1)


def _angle_outline(section: Section) -> Array:
    """Heel, first leg's toe, fillet, second leg's toe, anticlockwise (n, 2)."""
    w, d, t, r = section.width / 2.0, section.depth / 2.0, section.wall, section.corner
    toe = min(r / 2.0, t)
    return np.concatenate([
        np.array([(-w, -d), (w, -d)]),
        _arc((w - toe, t - d - toe), toe, 0.0),
        _arc((t - w + r, t - d + r), r, 1.5 * math.pi, -math.pi / 2.0),
        _arc((t - w - toe, d - toe), toe, 0.0),
        np.array([(-w, d)]),
    ])


def _moments(points: Array) -> tuple[float, Array, Array]:
    """Area, first (2,) and second (2, 2) moments of the polygon about the origin (Green's theorem)."""
    a, b = points, np.roll(points, -1, axis=0)
    cross = a[:, 0] * b[:, 1] - b[:, 0] * a[:, 1]
    first = ((a + b) * cross[:, None]).sum(axis=0) / 6.0
    twice = 2.0 * (_outer(a, a) + _outer(b, b)) + _outer(a, b) + _outer(b, a)
    return 0.5 * float(cross.sum()), first, (twice * cross[:, None, None]).sum(axis=0) / 24.0


def _outer(a: Array, b: Array) -> Array:
    return a[:, :, None] * b[:, None, :]


def _turn(about: Array) -> float:
    """Rad from the first axis to that about which ``about`` (2, 2) bends stiffest, over -90 to 90 degrees."""
    _, ways = np.linalg.eigh(about)
    axis = ways[:, 0]  # the spread is least along the axis it bends stiffest about
    if abs(float(about[0, 0] - about[1, 1])) + 2.0 * abs(float(about[0, 1])) < 1e-9 * float(np.trace(about)):
        return 0.0
    return float((math.atan2(axis[1], axis[0]) + math.pi / 2.0) % math.pi - math.pi / 2.0)


def _moduli(rings: tuple[tuple[float, Array], ...], centroid: Array, turn: float) -> tuple[float, float]:
    """Furthest fibre from the axis at ``turn`` through the centroid, mm, and plastic modulus, mm3."""
    normal = np.array([-math.sin(turn), math.cos(turn)])
    far = max(float(np.abs((ring - centroid) @ normal).max()) for _, ring in rings)
    half = 0.5 * sum(s * _moments(ring)[0] for s, ring in rings)
    low, high, level = -far, far, 0.0
    for _ in range(60):
        level = 0.5 * (low + high)
        above = sum(s * _beyond(ring - centroid, normal, level)[0] for s, ring in rings)
        low, high = (level, high) if above > half else (low, level)
    lever = sum(s * _beyond(ring - centroid, normal, level)[1] for s, ring in rings)
    return far, 2.0 * lever


def _beyond(points: Array, normal: Array, level: float) -> tuple[float, float]:
    """Area of a polygon beyond ``level`` mm along ``normal`` (2,), and its first moment along it."""
    side = points @ normal - level
    kept: list[Array] = []
    for k in range(len(points)):
        a, b, u, v = (
            points[k],
            points[(k + 1) % len(points)],
            float(side[k]),
            float(side[(k + 1) % len(side)]),
        )
        if u >= 0.0:
            kept.append(a)
        if (u >= 0.0) != (v >= 0.0):
            kept.append(a + u / (u - v) * (b - a))
    if len(kept) < 3:
        return 0.0, 0.0
    area, first, _ = _moments(np.array(kept))
    return area, float(first @ normal)


def _torsion(section: Section) -> tuple[float, float]:
    """St Venant's constant, mm4, and the torque over shear yield stress when all of it yields, mm3."""
    b, h, t, r = section.width, section.depth, section.wall, section.corner
    if section.shape == "flat":
        # a heap of sand on the bar (A. Nadai): t2/2 (b - t/3)
        return _strip(b, t, 0.21, 12.0), t**2 / 2.0 * (b - t / 3.0)
    if section.shape == "angle":
        corner = 2.0 * (2.0 * t + 3.0 * r - math.sqrt(2.0) * (2.0 * r + t))
        whole = _strip(b, t, 0.21, 12.0) + _strip(h - t, t, 0.105, 192.0)
        return whole + (0.07 + 0.076 * r / t) * corner**4, t**2 / 2.0 * (b + h - t - t / 3.0)
    mean = (r + max(r - t, 0.0)) / 2.0
    inside = (b - t) * (h - t) - mean**2 * (4.0 - math.pi)
    round_it = 2.0 * (b + h - 2.0 * t) - 2.0 * mean * (4.0 - math.pi)
    return t**3 * round_it / 3.0 + 4.0 * inside**2 * t / round_it, 2.0 * inside * t


def _strip(long: float, t: float, end: float, high: float) -> float:
    """A strip's own part, mm4: b t3 (1/3 - ``end`` t/b (1 - t4 / (``high`` b4)))."""
    return long * t**3 * (1.0 / 3.0 - end * t / long * (1.0 - t**4 / (high * long**4)))


def _shear_centre(section: Section) -> tuple[float, float]:
    """Where a force across does not twist it: the middle, or where the middles of an angle's legs meet."""
    if section.shape != "angle":
        return (0.0, 0.0)
    return (0.5 * (section.wall - section.width), 0.5 * (section.wall - section.depth))


def strips(section: Section) -> tuple[tuple[Array, Array, float], ...]:
    """The plates a section is made of: middle line's start and stop (2,), and thickness, mm.

    Corners are sharp; a round tube is none.
    """
    w, d, t = section.width / 2.0, section.depth / 2.0, section.wall
    if section.shape == "round":
        return ()
    if section.shape == "flat":
        return ((np.array([-w, 0.0]), np.array([w, 0.0]), t),)
    x, y = w - t / 2.0, d - t / 2.0
    if section.shape == "angle":
        return (
            (np.array([-x, -y]), np.array([w, -y]), t),
            (np.array([-x, -y]), np.array([-x, d]), t),
        )
    ring = [np.array(p) for p in ((-x, -y), (x, -y), (x, y), (-x, y))]
    return tuple((a, b, t) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))
