"""The weld map: every weld line with its length, its suggested throat and leg, and the filler it takes.

The suggestion is the usual full-strength target, a throat no less than the thinner wall (a >= t), and for an
equal-leg fillet z = a sqrt(2) (throat as in EN 1993-1-8:2005 4.5.2; target: common practice, no source).
A welding procedure and the welder who holds it come before any figure here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import nearest
from cagewright.base.vectors import Vector, cross, length
from cagewright.make.weights import STEEL
from cagewright.shape.coupling_parts import weld_line
from cagewright.shape.feet import footprint
from cagewright.shape.gussets import gusset_shape
from cagewright.shape.types import Cage, Cope, End, FlatCut, Foot, Member, Plate, member_named
from cagewright.stock.folding import fold_of

WeldKind = Literal[
    "tube to tube",
    "tube to foot plate",
    "foot plate to shell",
    "plate edge",
    "gusset edge",
    "coupling",
    "cap",
]
NARROW, WIDE = math.radians(60.0), math.radians(120.0)
"""Between these angles a weld may be taken as a fillet (EN 1993-1-8:2005 4.3.2.1, from memory, unchecked)."""
WIDEST = math.radians(150.0)
"""Filler is estimated no wider open than this; a wall that runs on along its main is a groove."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weld:
    """One weld line.

    Attributes:
        name: of the joint, foot, plate or gusset.
        kind: what is welded to what.
        members: the parts joined, by name.
        length: of the line, all round or along the edges, mm.
        throat: suggested, a >= the thinner wall, mm; None where a thickness is not known.
        leg: of the equal-leg fillet with that throat, z = a sqrt(2), mm; None likewise.
        least_angle: smallest angle between the surfaces through the weld, rad.
        narrow: length of line under 60 degrees, mm: too tight for a fillet, weld it as a groove.
        wide: length of line over 120 degrees, mm: too open for a fillet.
        filler: weld metal, kg; None where the throat is.
    """

    name: str
    kind: WeldKind
    members: tuple[str, ...]
    length: float
    throat: float | None
    leg: float | None
    least_angle: float
    narrow: float
    wide: float
    filler: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldMap:
    """Every weld of the cage, in build order of the file, with its totals in mm and kg."""

    welds: tuple[Weld, ...]
    length: float
    filler: float


def weld_map(cage: Cage) -> WeldMap:
    """Every weld line of the cage.

    Filler is a^2 tan(beta / 2) times length times density, the triangle of throat a in an angle beta (a^2
    where the surfaces are square), without reinforcement, spatter or stub ends.
    """
    welds = (*_tubes(cage), *_feet(cage), *_plates(cage), *_gussets(cage), *_on_tubes(cage))
    return WeldMap(
        welds=welds,
        length=sum(w.length for w in welds),
        filler=sum(w.filler or 0.0 for w in welds),
    )


def throat_for(*thickness: float) -> float:
    """Suggested throat, mm: the thinner of the parts."""
    return min(thickness)


def leg_for(throat: float) -> float:
    """Leg of an equal-leg fillet between square surfaces, mm: z = a sqrt(2)."""
    return throat * math.sqrt(2.0)


def filler_mass(throat: float, line: float, open_share: float = 1.0) -> float:
    """Weld metal, kg: a^2 times ``line`` mm times ``open_share`` (mean tan(beta / 2)) at 7850 kg/m3."""
    return throat**2 * open_share * line * STEEL * 1e-9


# --- tubes


def _tubes(cage: Cage) -> Iterator[Weld]:
    for member in cage.members:
        for end in member.ends:
            if isinstance(end.cut, Cope):
                yield _coped(cage, member, end, end.cut)


def _coped(cage: Cage, member: Member, end: End, cope: Cope) -> Weld:
    throat = throat_for(member.tube.wall, *(member_named(cage, m).tube.wall for m in cope.mains))
    share = _line_shares(cope, member.tube.radius)
    met = cope.on >= 0
    return Weld(
        name=end.joint or f"{member.name}.{end.which}", kind="tube to tube",
        members=(member.name, *cope.mains), length=cope.weld_length, throat=throat,
        leg=leg_for(throat), least_angle=cope.least_bevel,
        narrow=cope.weld_length * float(share[met & (cope.bevel < NARROW)].sum()),
        wide=cope.weld_length * float(share[met & (cope.bevel > WIDE)].sum()),
        filler=filler_mass(throat, cope.weld_length, _openness(cope, share)),
    )  # fmt: skip


def _line_shares(cope: Cope, radius: float) -> NDArray[np.float64]:
    """Share (n,) of the weld line that each of the cope's points stands for."""
    side = cross(cope.axis, cope.zero)
    out = np.multiply.outer(np.cos(cope.phi), cope.zero) + np.multiply.outer(np.sin(cope.phi), side)
    line = radius * out + np.multiply.outer(cope.outside, cope.axis)
    ahead = length(np.roll(line, -1, axis=0) - line)
    share = 0.5 * (ahead + np.roll(ahead, 1)) * (cope.on >= 0)
    return share / max(float(share.sum()), 1e-12)


def _openness(cope: Cope, share: NDArray[np.float64]) -> float:
    """Mean of tan(beta / 2) along the line, beta the angle between the surfaces through the weld."""
    return float(share @ np.tan(np.minimum(cope.bevel, WIDEST) / 2.0))


# --- feet


def _feet(cage: Cage) -> Iterator[Weld]:
    for foot in cage.feet:
        for name in foot.members:
            member = member_named(cage, name)
            yield from (_on_plate(member, e, foot) for e in member.ends if e.foot == foot.name)
        yield _to_shell(foot)


def _on_plate(member: Member, end: End, foot: Foot) -> Weld:
    throat = throat_for(member.tube.wall, foot.plate[2])
    line = end.cut.weld_length
    least = end.cut.least_bevel if isinstance(end.cut, Cope) else _least_flat(end.cut)
    narrow, wide, share = (
        _flat_shares(end.cut, member.tube.radius) if isinstance(end.cut, FlatCut) else (0.0, 0.0, 1.0)
    )
    return Weld(
        name=foot.name, kind="tube to foot plate", members=(member.name, foot.name), length=line,
        throat=throat, leg=leg_for(throat), least_angle=least, narrow=line * narrow, wide=line * wide,
        filler=filler_mass(throat, line, share),
    )  # fmt: skip


def _least_flat(cut: FlatCut) -> float:
    return math.pi / 2.0 - cut.tilt


def _flat_shares(cut: FlatCut, radius: float) -> tuple[float, float, float]:
    """Shares of the line under 60 and over 120 degrees, and the mean of tan(beta / 2) along it.

    At phi the angle between wall and plate is pi/2 + asin(sin(tilt) cos(phi)): open on the long side.
    """
    phi = np.linspace(0.0, 2.0 * np.pi, 720, endpoint=False)
    beta = np.pi / 2.0 + np.arcsin(np.sin(cut.tilt) * np.cos(phi))
    pace = np.sqrt(1.0 + (np.tan(cut.tilt) * np.sin(phi)) ** 2)
    share = pace / pace.sum()
    return (
        float(share[beta < NARROW].sum()),
        float(share[beta > WIDE].sum()),
        float(share @ np.tan(np.minimum(beta, WIDEST) / 2.0)),
    )


def _to_shell(foot: Foot) -> Weld:
    """All round the foot plate; the shell's thickness is not in the plan, so neither throat nor filler."""
    round_it = 2.0 * sum(footprint(foot))
    sides = 0.0 if foot.raised else 2.0 * sum(fold.by for fold in foot.folds)
    return Weld(
        name=foot.name, kind="foot plate to shell", members=(foot.name,), length=round_it + sides,
        throat=None, leg=None, least_angle=math.pi / 2.0, narrow=0.0, wide=0.0, filler=None,
    )  # fmt: skip


# --- sheet


def _plates(cage: Cage) -> Iterator[Weld]:
    for plate in cage.plates:
        line = plate_weld(cage, plate)
        walls = (member_named(cage, m).tube.wall for m in plate.members)
        yield _edge(
            plate.name, "plate edge", (plate.name, *plate.members), line, throat_for(plate.thickness, *walls)
        )


def plate_weld(cage: Cage, plate: Plate) -> float:
    """Length of the plate's edges that lie on its members, mm; all its edges where it names none."""
    ahead = np.roll(plate.corners, -1, axis=0)
    edges = zip(plate.corners, ahead, strict=True)
    members = [member_named(cage, m) for m in plate.members]
    return sum(float(length(b - a)) for a, b in edges if not members or any(_on(m, a, b) for m in members))


def _on(member: Member, a: Vector, b: Vector) -> bool:
    """Whether the edge from ``a`` to ``b`` (3,) runs along the member, within a tube radius and 3 mm."""
    near = member.tube.radius + 3.0
    return all(nearest(member.path, a + t * (b - a))[1] <= near for t in (0.0, 0.25, 0.5, 0.75, 1.0))


def _gussets(cage: Cage) -> Iterator[Weld]:
    for gusset in cage.gussets:
        walls = (member_named(cage, m).tube.wall for m in gusset.between)
        throat = throat_for(gusset.thickness, *walls)
        line = gusset_shape(cage, gusset, fold_of(gusset.thickness, ())).weld
        yield _edge(gusset.name, "gusset edge", (gusset.name, *gusset.between), line, throat)


def _on_tubes(cage: Cage) -> Iterator[Weld]:
    """Couplings and caps."""
    for member in cage.members:
        wall = member.tube.wall
        for c in member.couplings:
            line = weld_line(c)
            if line > 0.0:
                yield _edge(c.name, "coupling", (member.name,), line, throat_for(wall, c.thickness))
        for end, thickness in zip(member.ends, member.caps, strict=True):
            if thickness > 0.0:
                round_it = math.pi * member.tube.od
                name = f"{member.name} {end.which} cap"
                yield _edge(name, "cap", (member.name,), round_it, throat_for(wall, thickness))


def _edge(name: str, kind: WeldKind, members: tuple[str, ...], line: float, throat: float) -> Weld:
    return Weld(
        name=name, kind=kind, members=members, length=line, throat=throat, leg=leg_for(throat),
        least_angle=math.pi / 2.0, narrow=0.0, wide=0.0, filler=filler_mass(throat, line),
    )  # fmt: skip
