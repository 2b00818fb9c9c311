"""Sections of rails in the frame: fibres along their plates, about the shear centre, in principal axes.

An element of a rail runs along the shear centre's line. Its fibres stand where the plates' Gauss points are
(three a half plate along it, so that areas, second moments and plastic moduli of a plate come out exact), are
then moved and stretched so that area, centroid and both principal second moments are the section's own, and
carry shear along their plate: torque of a closed section evenly round it (Bredt), of an open one to and fro
through the wall (St Venant). Warping is left out: an angle or flat bar whose ends are held against warping is
stiffer in torsion than this.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from cagewright.base.vectors import Vector, cross, unit
from cagewright.frame.model import SHEAR_PART, Floats, Profile
from cagewright.shape.types import Lie
from cagewright.stock.sections import HOLLOW, Section, properties, strips

FIBRES = 24
"""Of a rail: six for each wall of a box, twelve for each leg of an angle, four rows of six for a flat bar."""
SIX = np.array([0.5 * (1.0 + s * math.sqrt(0.6)) for s in (-1.0, 0.0, 1.0)])
WEIGHTS = np.array([5.0, 8.0, 5.0]) / 36.0
PLATE = 5.0 / 6.0
"""Shear area of a plate along it as a part of its area (any handbook)."""
LINEAR = math.sqrt(3.0) * np.array([0.5 * (1.0 - 1.0 / math.sqrt(3.0)), 0.5 * (1.0 + 1.0 / math.sqrt(3.0))])
"""Shear that grows from nothing in the middle of a wall to its face, at two places, root mean square 1."""

_TO_AND_FRO = np.array([-1.0, 1.0]) / math.sqrt(3.0)
ROWS = {
    1: np.zeros(1),
    2: 0.5 * _TO_AND_FRO,
    4: 0.25 * np.concatenate([_TO_AND_FRO - 1.0, _TO_AND_FRO + 1.0]),
}
"""Gauss points through a wall, as parts of it: one row, two, or two to each half."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RailFrame:
    """A rail's element.

    Attributes:
        profile: its fibres.
        toward: unit (3,) of its local y axis: the one it bends stiffest about.
        offset: (3,) from its path to the shear centre, mm.
        shear: shear areas along local y and z, mm2.
    """

    profile: Profile
    toward: Vector
    offset: Vector
    shear: tuple[float, float]


def rail_frame(section: Section, lie: Lie, along: Vector) -> RailFrame:
    """The element of a rail whose section lies so along the unit direction ``along`` (3,)."""
    p = properties(section)
    plane = np.array([lie.across, lie.up])
    y = unit(math.cos(p.turn) * lie.across + math.sin(p.turn) * lie.up)
    turned = np.array([y, cross(along, y)]) @ plane.T  # (2, 2): from the section's axes to local y and z
    place, way, row, weight = _fibres(section)
    centre, shear_centre = np.array(p.centroid), np.array(p.shear_centre)
    fitted = _fitted(place @ turned.T, weight, np.array([p.minor, p.inertia]) / p.area)
    local = fitted + turned @ (centre - shear_centre)
    slips = np.stack([_even(way @ turned[k], weight, 0.5) for k in range(2)])
    table = np.stack([*local.T, _even(row, weight, 1.0), *slips, weight * FIBRES])
    return RailFrame(
        profile=Profile(table=table, offset=turned @ (centre - shear_centre)),
        toward=y,
        offset=shear_centre @ plane,
        shear=_shear_areas(section, turned),
    )


def _fibres(section: Section) -> tuple[Floats, Floats, Floats, Floats]:
    """Places (f, 2), ways along the wall (f, 2), shear of torque (f,) and shares of the area (f,)."""
    plates = strips(section)
    closed = section.shape in HOLLOW
    rows = FIBRES // (6 * len(plates))
    depth = ROWS[rows]
    parts = np.concatenate([0.5 * SIX, 0.5 + 0.5 * SIX])
    share = np.concatenate([WEIGHTS, WEIGHTS])
    twist = np.tile(LINEAR, 3)
    area = sum(float(np.hypot(*(b - a))) * t for a, b, t in plates)
    place, way, row, weight = [], [], [], []
    for k, (a, b, t) in enumerate(plates):
        run = (b - a) / np.hypot(*(b - a))
        out = np.array([-run[1], run[0]])
        # the shear of a force flows from toe to toe, so that an angle's first leg is followed backwards
        flow = -run if section.shape == "angle" and k == 0 else run
        for d in depth:
            place.append(a + parts[:, None] * (b - a) + d * t * out)
            way.append(np.tile(flow, (6, 1)))
            row.append(np.ones(6) if closed else math.copysign(1.0, d) * twist)
            weight.append(share * float(np.hypot(*(b - a))) * t / area / rows)
    return np.concatenate(place), np.concatenate(way), np.concatenate(row), np.concatenate(weight)


def _fitted(place: Floats, weight: Floats, spread: Floats) -> Floats:
    """The places (f, 2) moved and stretched to a mean of 0, mean squares ``spread`` (2,) and no product."""
    off = place - weight @ place
    value, way = np.linalg.eigh((weight[:, None] * off).T @ off)
    return off @ (way / np.sqrt(value)) @ way.T * np.sqrt(spread)


def _even(column: Floats, weight: Floats, mean: float) -> Floats:
    """A column (f,) of shear scaled to that mean square; to and fro where there is none."""
    square = float(weight @ column**2)
    if square < 1e-6:
        column, square = np.resize([1.0, -1.0], len(column)), 1.0
    return column * math.sqrt(mean / square)


def _shear_areas(section: Section, turned: Floats) -> tuple[float, float]:
    plates = strips(section)
    area = properties(section).area / sum(float(np.hypot(*(b - a))) * t for a, b, t in plates)
    found = np.zeros(2)
    for a, b, t in plates:
        run = turned @ ((b - a) / np.hypot(*(b - a)))
        along = np.array([1.0, 1.0]) if section.shape == "flat" else run**2
        found += PLATE * area * float(np.hypot(*(b - a))) * t * along
    least = 0.1 * SHEAR_PART * properties(section).area
    return max(float(found[0]), least), max(float(found[1]), least)
