"""What the cage weighs and where its centre of gravity is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from cagewright.base.curves import Arc, Chain, Piece
from cagewright.base.vectors import Vector, cross, length
from cagewright.shape.coupling_parts import coupling_mass
from cagewright.shape.feet import foot_faces, foot_plate
from cagewright.shape.gussets import gusset_shape
from cagewright.shape.part_types import Coupling
from cagewright.shape.types import Cage, Cope, End, FlatCut, Foot, Gusset, Lie, Member, Plate
from cagewright.stock.folding import fold_of
from cagewright.stock.tubes import Tube

STEEL = 7850.0
"""Density of plates, feet, gussets and filler, kg/m3 (EN 1991-1-1 Table A.4: 77 to 78.5 kN/m3, memory)."""

_NODES, _SHARES = np.polynomial.legendre.leggauss(4)

PartKind = Literal["member", "foot plate", "plate", "gusset", "coupling", "cap"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """Weight of one part.

    Attributes:
        name: of the part.
        kind: what it is.
        mass: kg.
        centre: (3,) centre of gravity, mm.
    """

    name: str
    kind: PartKind
    mass: float
    centre: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """Weight of the cage.

    Attributes:
        parts: every part: members, foot plates, plates, gussets.
        mass: kg, without weld metal and paint.
        centre: (3,) centre of gravity, mm.
    """

    parts: tuple[Weight, ...]
    mass: float
    centre: Vector


def weigh(cage: Cage) -> Weights:
    """The weight of every part and of the whole.

    A tube is its full length less what the cuts take off; bent tube keeps its volume (its outer wall thins
    as its inner wall thickens), so its centre stays on its axis. Cuts are integrated round the tube between
    their outside and inside lines, straight across the wall: within 0.2 g a cope.
    """
    parts = (*(member_weight(m) for m in cage.members), *sheet_weights(cage))
    mass = sum(p.mass for p in parts)
    centre = sum((p.mass * p.centre for p in parts), np.zeros(3)) / mass if mass > 0.0 else np.zeros(3)
    return Weights(parts=parts, mass=mass, centre=centre)


def sheet_weights(cage: Cage) -> tuple[Weight, ...]:
    """The weight of everything but the tubes: plates, gussets, couplings, caps."""
    return (
        *(_foot(f) for f in cage.feet),
        *(_plate(p) for p in cage.plates),
        *(_gusset(cage, g) for g in cage.gussets),
        *(_coupling(m, c) for m in cage.members for c in m.couplings),
        *(_cap(m, k) for m in cage.members for k in (0, 1) if m.caps[k] > 0.0),
    )


def member_weight(member: Member) -> Weight:
    """The finished tube's weight: its axis from end point to end point, less both cuts."""
    if member.lie is not None:
        return _rail_weight(member, member.lie)
    area = member.tube.properties.area
    volume, moment = area * member.path.length, area * _chain_moment(member.path)
    for end in member.ends:
        off, off_moment = cut_volume(member.tube, end)
        volume, moment = volume - off, moment - off_moment
    gap_volume, gap_moment = _beyond(member, area)
    volume, moment = volume - gap_volume, moment - gap_moment
    mass = volume * member.tube.steel.density * 1e-9
    return Weight(name=member.name, kind="member", mass=mass, centre=moment / volume)


def _rail_weight(member: Member, lie: Lie) -> Weight:
    """A rail's: its area by the length of its centroid's line between its two flat cuts."""
    p = member.tube.properties
    off = p.centroid[0] * lie.across + p.centroid[1] * lie.up
    cuts = [(e.cut.origin, e.cut.axis, _normal(e)) for e in member.ends]
    stops = [origin + off - (off @ normal / (axis @ normal)) * axis for origin, axis, normal in cuts]
    mass = p.area * float(length(stops[1] - stops[0])) * member.tube.steel.density * 1e-9
    return Weight(name=member.name, kind="member", mass=mass, centre=0.5 * (stops[0] + stops[1]))


def _normal(end: End) -> Vector:
    return end.cut.normal if isinstance(end.cut, FlatCut) else end.cut.axis


def _beyond(member: Member, area: float) -> tuple[float, Vector]:
    """Volume, mm3, and its moment (3,), mm4, between the path's end points and the cuts' origins."""
    volume, moment = 0.0, np.zeros(3)
    for end, at in zip(member.ends, (member.path.pieces[0], member.path.pieces[-1]), strict=True):
        point = _end_point(at, end)
        far = float((end.cut.origin - point) @ end.cut.axis)
        volume += area * far
        moment = moment + area * far * (point + 0.5 * far * end.cut.axis)
    return volume, moment


def _end_point(piece: Piece, end: End) -> Vector:
    return piece.start if end.which == "start" else piece.stop


def _chain_moment(path: Chain) -> Vector:
    """Integral (3,) of the axis point along the path, mm2."""
    return sum((_piece_moment(p) for p in path.pieces), np.zeros(3))


def _piece_moment(piece: Piece) -> Vector:
    if isinstance(piece, Arc):
        swept = np.sin(piece.angle) * piece.u + (1.0 - np.cos(piece.angle)) * piece.v
        return piece.radius * piece.angle * piece.centre + piece.radius**2 * swept
    return 0.5 * piece.length * (piece.start + piece.stop)


def cut_volume(tube: Tube, end: End) -> tuple[float, Vector]:
    """What a cut takes off beyond a square cut at its origin: volume, mm3, and moment (3,), mm4.

    Negative where the tube runs past the origin.
    """
    cut = end.cut
    if isinstance(cut, Cope):
        return _cope_volume(tube, cut)
    # a plane cut takes as much on one side as it leaves on the other; only its moment is not 0
    s = tube.properties
    slope, lean = np.tan(cut.tilt), 0.5 * np.tan(cut.tilt) ** 2
    # the tube is longest at phi = 0, so the cut is at w = -slope * (distance towards phi = 0)
    return 0.0, s.inertia * (lean * cut.axis - slope * cut.zero)


def _cope_volume(tube: Tube, cope: Cope) -> tuple[float, Vector]:
    """Gauss points across the wall, even steps round it; the cut runs straight from line to line."""
    share = 0.5 * (_NODES + 1.0)
    radii = tube.bore / 2.0 + share * tube.wall
    cut = cope.inside[:, None] * (1.0 - share) + cope.outside[:, None] * share
    area = 0.5 * tube.wall * _SHARES * radii * (2.0 * np.pi / len(cope.phi))
    side = cross(cope.axis, cope.zero)
    out = np.multiply.outer(np.cos(cope.phi), cope.zero) + np.multiply.outer(np.sin(cope.phi), side)
    volume = float(np.sum(cut * area))
    across = np.einsum("nr,ni->i", cut * area * radii, out)
    return volume, volume * cope.origin + 0.5 * float(np.sum(cut**2 * area)) * cope.axis + across


# --- sheet


def _foot(foot: Foot) -> Weight:
    """The plate and what is folded from it, sharp corners: a fold's own sheet is a few grams less."""
    thick = foot.plate[2]
    parts = [polygon(face) for face in (foot_plate(foot), *foot_faces(foot))]
    area = sum(size for size, _ in parts)
    centre = sum((size * at for size, at in parts), np.zeros(3)) / area
    return Weight(
        name=foot.name, kind="foot plate", mass=area * thick * STEEL * 1e-9,
        centre=centre + 0.5 * thick * foot.normal,
    )  # fmt: skip


def _coupling(member: Member, coupling: Coupling) -> Weight:
    """All its parts, less the tube that is taken out for it."""
    mass = coupling_mass(member, coupling)
    return Weight(name=coupling.name, kind="coupling", mass=mass, centre=coupling.point)


def _cap(member: Member, which: int) -> Weight:
    point = _end_point(member.path.pieces[-which], member.ends[which])
    mass = np.pi / 4.0 * member.tube.od**2 * member.caps[which] * STEEL * 1e-9
    return Weight(
        name=f"{member.name} {member.ends[which].which} cap", kind="cap", mass=float(mass), centre=point
    )


def _plate(plate: Plate) -> Weight:
    area, centre = polygon(plate.corners)
    off = [np.pi / 4.0 * hole.diameter**2 for hole in plate.holes]
    moment = area * centre - sum((o * h.point for o, h in zip(off, plate.holes, strict=True)), np.zeros(3))
    area -= sum(off)
    centre = moment / area if area > 0.0 else centre
    return Weight(name=plate.name, kind="plate", mass=area * plate.thickness * STEEL * 1e-9, centre=centre)


def polygon(corners: Vector) -> tuple[float, Vector]:
    """Area, mm2, and centre (3,), mm, of the flat polygon nearest to ``corners`` (n, 3)."""
    middle = corners.mean(axis=0)
    a, b = corners - middle, np.roll(corners, -1, axis=0) - middle
    halves = 0.5 * np.cross(a, b)
    whole = halves.sum(axis=0)
    area = float(length(whole))
    if area < 1e-9:
        return 0.0, middle
    share = halves @ (whole / area)
    return area, middle + share @ ((a + b) / 3.0) / area


def _gusset(cage: Cage, gusset: Gusset) -> Weight:
    shape = gusset_shape(cage, gusset, fold_of(gusset.thickness, ()))
    mass = shape.area * gusset.thickness * STEEL * 1e-9
    return Weight(name=gusset.name, kind="gusset", mass=mass, centre=shape.centre)
