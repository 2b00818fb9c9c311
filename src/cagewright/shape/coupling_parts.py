"""What couplings and capped ends are made of: flat parts, pieces of tube, bolts and pins."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from cagewright.base.vectors import cross, square_to
from cagewright.shape.flat_parts import FlatPart, Hole, disc
from cagewright.shape.part_types import Coupling
from cagewright.shape.types import Array, Cage, Member
from cagewright.stock.bolts import bolt_of

STEEL = 7850e-9
"""Density, kg/mm3."""
ROUND = 24
"""Corners of a lug's round end."""
SIDES = 16
"""Of the faces that stand for a sleeve in a picture."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallPart:
    """A part that is bought, or cut from tube, for a coupling.

    Attributes:
        name: of its coupling.
        kind: ``sleeve`` or ``inner sleeve``, cut from tube; ``bolt`` or ``pin``.
        member: that it belongs to.
        count: how many.
        od: outside diameter of tube, or the bolt's diameter, mm.
        wall: of tube, mm; 0 for a bolt.
        length: of tube, or what a bolt or pin clamps, mm.
        words: a bolt's size and grade as they are ordered; empty for tube.
    """

    name: str
    kind: Literal["sleeve", "inner sleeve", "bolt", "pin"]
    member: str
    count: int
    od: float
    wall: float
    length: float
    words: str = ""

    @property
    def mass(self) -> float:
        """Of all of them, kg; a bolt with its head and nut as a rod three diameters longer."""
        if self.wall:
            return self.count * math.pi * (self.od - self.wall) * self.wall * self.length * STEEL
        return self.count * math.pi / 4.0 * self.od**2 * (self.length + 3.0 * self.od) * STEEL


def coupling_flats(cage: Cage) -> tuple[FlatPart, ...]:
    """The flanges, lugs and caps of every member, in the members' order."""
    return tuple(
        part
        for member in cage.members
        for part in (*(p for c in member.couplings for p in _flats(member, c)), *_caps(member))
    )


def small_parts(cage: Cage) -> tuple[SmallPart, ...]:
    """What else couplings need: sleeves, bolts and pins, in the members' order."""
    return tuple(part for member in cage.members for c in member.couplings for part in _small(member, c))


def coupling_mass(member: Member, coupling: Coupling) -> float:
    """Of all its parts, less the tube taken out for it, kg."""
    flats = sum(part.area * part.thickness for part in _flats(member, coupling)) * STEEL
    out = member.tube.properties.area * coupling.gap * STEEL
    return flats + sum(part.mass for part in _small(member, coupling)) - out


def weld_line(coupling: Coupling) -> float:
    """Length of its welds, mm: round both flanges, along the lugs' slots, or once round a butt.

    A sleeve that is bolted has none.
    """
    round_it = math.pi * coupling.od
    if coupling.kind == "double lug":
        return 3.0 * 4.0 * coupling.od  # each lug lies in a slot of one diameter, welded on both faces twice
    return {"flange": 2.0 * round_it, "inner sleeve": round_it}.get(coupling.kind, 0.0)


def coupling_faces(c: Coupling) -> tuple[tuple[Array, float], ...]:
    """The middle faces (n, 3) of its sheet and tube for a picture, mm, each with its thickness."""
    up = np.array([0.0, 0.0, 1.0]) if abs(float(c.axis[2])) < 0.99 else np.array([1.0, 0.0, 0.0])
    two = square_to(c.axis, up)
    one = cross(two, c.axis)  # a pin lies level, along this
    if c.kind == "flange":
        ring = disc(c.width) @ np.array([one, two])
        return tuple((c.point + s * 0.5 * c.thickness * c.axis + ring, c.thickness) for s in (-1.0, 1.0))
    if c.kind == "double lug":
        off, outline = 1.5 * c.thickness + 0.5, _lug(c) - [c.od + 0.5 * c.gap, 0.0]
        rows = [(outline @ np.array([way * c.axis, two]), side, t)
                for way, side, t in ((1.0, off, c.thickness), (1.0, -off, c.thickness),
                                     (-1.0, 0.0, 2.0 * c.thickness))]  # fmt: skip
        return tuple((c.point + side * one + flat, t) for flat, side, t in rows)
    phi = 2.0 * math.pi * np.arange(SIDES + 1) / SIDES
    radius = 0.5 * (c.width - c.thickness)
    ring = c.point + radius * (np.multiply.outer(np.cos(phi), one) + np.multiply.outer(np.sin(phi), two))
    half = 0.5 * c.length * c.axis
    return tuple((np.array([a - half, b - half, b + half, a + half]), c.thickness)
                 for a, b in pairwise(ring))  # fmt: skip


def _flats(member: Member, c: Coupling) -> Iterator[FlatPart]:
    if c.kind == "flange":
        phi = 2.0 * math.pi * np.arange(c.count) / c.count
        at = 0.5 * c.circle * np.column_stack([np.cos(phi), np.sin(phi)])
        holes = tuple(Hole(centre=spot, diameter=c.hole) for spot in at)
        for k in (1, 2):
            yield _part(member, c, f"flange {k}", "flange", disc(c.width), c.thickness, holes)
    if c.kind == "double lug":
        for k, thickness in ((1, c.thickness), (2, c.thickness), (3, 2.0 * c.thickness)):
            outline = _lug(c)
            hole = (Hole(centre=np.array([c.od + 0.5 * c.gap, 0.0]), diameter=c.hole),)
            yield _part(member, c, f"lug {k}", "lug", outline, thickness, hole)


def _part(
    member: Member, c: Coupling, word: str, kind: Literal["flange", "lug"], outline: Array, thickness: float,
    holes: tuple[Hole, ...],
) -> FlatPart:  # fmt: skip
    name = f"{c.name} {word}"
    return FlatPart(name=name, kind=kind, outline=outline, thickness=thickness, names=(name,), holes=holes,
                    of=(member.name,), notes=(f"sizes: {c.source}",) if c.source else ())  # fmt: skip


def _lug(c: Coupling) -> Array:
    """A lug's outline: a diameter of the tube in its slot, then out to the pin, round about it."""
    reach, half = c.od + 0.5 * c.gap, 0.5 * c.width
    phi = np.linspace(-0.5 * math.pi, 0.5 * math.pi, ROUND)
    nose = np.column_stack([reach + half * np.cos(phi), half * np.sin(phi)])
    return np.concatenate([[[0.0, -half]], nose, [[0.0, half]]])


def _caps(member: Member) -> Iterator[FlatPart]:
    for which, thickness in zip(("start", "end"), member.caps, strict=True):
        if thickness > 0.0:
            name = f"{member.name} {which} cap"
            yield FlatPart(name=name, kind="cap", outline=disc(member.tube.od), thickness=thickness,
                           names=(name,), of=(member.name,))  # fmt: skip


def _small(member: Member, c: Coupling) -> Iterator[SmallPart]:
    if c.kind in ("sleeve", "tapered sleeve"):
        yield SmallPart(name=c.name, kind="sleeve", member=member.name, count=1, od=c.width,
                        wall=c.thickness, length=c.length)  # fmt: skip
    if c.kind == "inner sleeve":
        yield SmallPart(name=c.name, kind="inner sleeve", member=member.name, count=1, od=c.width,
                        wall=c.thickness, length=c.length)  # fmt: skip
        return
    size = bolt_of(c.bolt)
    words = f"{size.name if size else c.bolt} {c.grade}"
    clamps = {"flange": 2.0 * c.thickness, "double lug": 4.0 * c.thickness + 1.0}.get(c.kind, c.width)
    count = c.count * (2 if "sleeve" in c.kind else 1)
    yield SmallPart(name=c.name, kind="pin" if c.kind == "double lug" else "bolt", member=member.name,
                    count=count, od=c.bolt, wall=0.0, length=clamps, words=words)  # fmt: skip
