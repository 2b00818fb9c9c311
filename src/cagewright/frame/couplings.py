"""What a coupling of a tube carries, and where it is in the frame.

Bolts by EN 1993-1-8:2005 Table 3.4 (AISC 360 J3 has the same in other letters), slip by 3.9.1, pins by Table
3.10, all from memory, held to tabled values in the tests. What no published rule covers is said in words and
not judged.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from cagewright.base.vectors import Vector, cross, square_to
from cagewright.frame.joint_places import ARM, STIFF
from cagewright.frame.mesh import FrameMesh
from cagewright.frame.model import Floats, Hinges
from cagewright.frame.yields import tensile_of
from cagewright.shape.part_types import Coupling
from cagewright.shape.types import Cage, Member
from cagewright.stock.bolts import (
    GAMMA_M2,
    BoltGrade,
    BoltSize,
    bolt_of,
    grade_named,
    shear_force,
    tension_force,
)

PLATE_YIELD, PLATE_TENSILE = 235.0, 360.0
"""Flanges, lugs and sleeves are taken as S235, MPa (EN 1993-1-1 Table 3.1, from memory)."""
NEVER = 1e12
"""More than anything in a cage carries, N and N mm."""
FREE = 1e-6
"""A pin turns as good as freely: this part of the stiffness of what no formula speaks of."""


def bolt_bearing(
    size: BoltSize,
    grade: BoltGrade,
    *,
    tensile: float,
    thickness: float,
    end: float,
    side: float,
    hole: float,
) -> float:
    """Of one bolt on a sheet, N: k1 alpha_b fu d t / gamma_M2 (Table 3.4, an end bolt).

    Args:
        size: of the bolt.
        grade: of the bolt.
        tensile: fu of the sheet, MPa.
        thickness: of the sheet, mm.
        end: e1, hole's middle to the sheet's end along the force, mm.
        side: e2, to its side, mm.
        hole: d0, mm.
    """
    along = min(end / (3.0 * hole), grade.tensile / tensile, 1.0)
    across = min(max(2.8 * side / hole - 1.7, 0.0), 2.5)
    return across * along * tensile * size.diameter * thickness / GAMMA_M2


def bolt_slip(size: BoltSize, grade: BoltGrade, friction: float, faces: int = 1) -> float:
    """Force at which one preloaded bolt lets its faces slip, N: n mu 0.7 fub As / gamma_M3 (3.9.1)."""
    return faces * friction * 0.7 * grade.tensile * size.area / GAMMA_M2


def pin_strengths(
    diameter: float, grade: BoltGrade, *, lug: float, middle: float, clear: float
) -> dict[str, float]:
    """A pin in double shear by Table 3.10, N for the whole joint, by what gives.

    Args:
        diameter: of the pin, mm.
        grade: of the pin.
        lug: a, thickness of each outer lug, mm.
        middle: b, of the one between, mm.
        clear: c, between two lugs, mm.
    """
    area, modulus = math.pi / 4.0 * diameter**2, math.pi / 32.0 * diameter**3
    shear = 2.0 * 0.6 * area * grade.tensile / GAMMA_M2
    bending = 1.5 * modulus * grade.yield_strength * 8.0 / (middle + 4.0 * clear + 2.0 * lug)
    both = 1.0 / math.hypot(1.0 / shear, 1.0 / bending)  # (M/MRd)2 + (V/VRd)2 <= 1
    bearing = 1.5 * diameter * min(PLATE_YIELD, grade.yield_strength)
    return {"pin": both, "lugs at the pin": bearing * min(2.0 * lug, middle)}


def lug_net(width: float, hole: float, thickness: float) -> float:
    """Pull at which a lug's eye gives, N: the a and c of Table 3.9 type A solved for the force.

    a >= F/(2 t fy) + 2 d0/3 beyond the hole, c >= F/(2 t fy) + d0/3 beside it; a and c are both the ring that
    a round eye has.
    """
    ring = 0.5 * (width - hole)
    return max(min(ring - 2.0 * hole / 3.0, ring - hole / 3.0), 0.0) * 2.0 * thickness * PLATE_YIELD


def flange_tension(c: Coupling, bolts: float, tensile_yield: float = PLATE_YIELD) -> tuple[float, str]:
    """Pull of a ring of bolts on two round flanges, N, and what gives: flange or bolts with their prying.

    tf >= sqrt(2 N / (fy pi f3)) and n >= N (1 - 1/f3 + 1/(f3 ln(r1/r2))) / (0.9 Tu), with r1 to the rim, r2
    to the bolts, r3 = (d - t)/2, k1 = ln(r2/r3), k3 = k1 + 2, f3 = (k3 + sqrt(k3^2 - 4 k1)) / (2 k1) (CIDECT
    design guide 1 after Igarashi; from memory, unchecked).

    Args:
        c: the coupling.
        bolts: what all its bolts carry in pull, N.
        tensile_yield: fy of the flanges, MPa.
    """
    r1, r2, r3 = c.width / 2.0, c.circle / 2.0, (c.od - c.wall) / 2.0
    k1 = math.log(r2 / r3)
    k3 = k1 + 2.0
    f3 = (k3 + math.sqrt(k3**2 - 4.0 * k1)) / (2.0 * k1)
    flange = c.thickness**2 * tensile_yield * math.pi * f3 / 2.0
    pried = bolts / (1.0 - 1.0 / f3 + 1.0 / (f3 * math.log(r1 / r2)))
    return (flange, "flange") if flange < pried else (pried, "bolts")


@dataclass(frozen=True, slots=True, kw_only=True)
class CouplingStrength:
    """What a coupling carries.

    Attributes:
        axial: N along the tube.
        shear: N across it; None where no rule covers it.
        bending: N mm about its two axes, the pin's own first; infinite for a sound butt, 0 about a pin.
        governs: what gives first along the tube.
        untold: what no published rule covers, in words.
        source: where the formulas come from.
    """

    axial: float
    shear: float | None
    bending: tuple[float, float]
    governs: str
    untold: tuple[str, ...]
    source: str


EN = "EN 1993-1-8:2005 Table 3.4, from memory"


def coupling_strength(c: Coupling, *, tube_tensile: float) -> CouplingStrength:
    """What the coupling carries; ``tube_tensile`` is fu of the tube, MPa.

    Raises:
        ValueError: its bolts' size or grade is not known.
    """
    if not c.parts:
        return CouplingStrength(axial=math.inf, shear=math.inf, bending=(math.inf, math.inf),
                                governs="the tube", untold=(), source="a full butt weld carries what the "
                                "tube does: EN 1993-1-8:2005 4.7.1, from memory")  # fmt: skip
    size, grade = bolt_of(c.bolt), grade_named(c.grade)
    if size is None or grade is None:
        raise ValueError(f"a bolt of {c.bolt} mm and grade '{c.grade}' is not known")
    make = {"flange": _flange, "double lug": _lug}.get(c.kind, _sleeve)
    return make(c, size, grade, tube_tensile)


def _flange(c: Coupling, size: BoltSize, grade: BoltGrade, tube_tensile: float) -> CouplingStrength:
    """A ring of bolts: pull with prying, bending by the outermost bolt, shear by all."""
    del tube_tensile
    axial, governs = flange_tension(c, c.count * tension_force(size, grade))
    edge = 0.5 * (c.width - c.circle)
    one = min(
        shear_force(size, grade),
        bolt_bearing(size, grade, tensile=PLATE_TENSILE, thickness=c.thickness, end=edge, side=edge,
                     hole=c.hole),
    )  # fmt: skip
    if c.slip is not None:
        one = bolt_slip(size, grade, c.slip)
    # a ring of n bolts at radius r: the outermost carries 2 M / (n r), at most a bolt's share of the pull
    bending = 0.25 * axial * c.circle
    return CouplingStrength(
        axial=axial, shear=c.count * one, bending=(bending, bending), governs=governs,
        untold=("bending of a ring of bolts: its outermost bolt by statics, its prying as in pull",),
        source=f"{EN}; flanges by CIDECT design guide 1, from memory",
    )  # fmt: skip


def _lug(c: Coupling, size: BoltSize, grade: BoltGrade, tube_tensile: float) -> CouplingStrength:
    del size, tube_tensile
    ways = pin_strengths(c.bolt, grade, lug=c.thickness, middle=2.0 * c.thickness, clear=0.5)
    ways["eye of the lugs"] = lug_net(c.width, c.hole, 2.0 * c.thickness)
    governs = min(ways, key=lambda word: ways[word])
    return CouplingStrength(
        axial=ways[governs], shear=ways[governs], bending=(0.0, math.inf), governs=governs,
        untold=("bending across the pin's axis, which no rule for pins covers",),
        source="EN 1993-1-8:2005 Tables 3.9 and 3.10, from memory",
    )  # fmt: skip


def _sleeve(c: Coupling, size: BoltSize, grade: BoltGrade, tube_tensile: float) -> CouplingStrength:
    """Bolts straight through sleeve and tube on either side, in two planes each; bending by the sleeve."""
    end = c.length / 2.0 / (c.count + 1)
    side = math.pi / 4.0 * c.od  # far from the next bolt round the tube
    on = {
        "bolts": shear_force(size, grade, 2),
        "tube at the bolts": 2.0 * bolt_bearing(
            size, grade, tensile=tube_tensile, thickness=c.wall, end=end, side=side, hole=c.hole),
        "sleeve at the bolts": 2.0 * bolt_bearing(
            size, grade, tensile=PLATE_TENSILE, thickness=c.thickness, end=end, side=side, hole=c.hole),
    }  # fmt: skip
    if c.slip is not None:
        on["slip"] = bolt_slip(size, grade, c.slip, faces=2)
    governs = min(on, key=lambda word: on[word])
    inner = c.width - 2.0 * c.thickness
    plastic = (c.width**3 - inner**3) / 6.0 * PLATE_YIELD
    untold = ["how far a sleeve over a tube grips it in bending: counted as the sleeve's own full bending"]
    if c.kind == "tapered sleeve":
        untold.append("what a taper holds: its bolts alone are counted")
    return CouplingStrength(
        axial=c.count * on[governs], shear=None, bending=(plastic, plastic), governs=governs,
        untold=tuple(untold), source=EN,
    )  # fmt: skip


# --- in the frame


@dataclass(frozen=True, slots=True, kw_only=True)
class CouplingPlace:
    """A coupling in the frame: its member, its axes (3, 3), its strength, its row in the frame's hinges."""

    coupling: Coupling
    member: str
    axes: Floats
    strength: CouplingStrength
    hinge: int


def coupling_places(cage: Cage, first: int) -> tuple[CouplingPlace, ...]:
    """Every coupling that comes apart, in the members' order; their hinges follow ``first`` others."""
    every = [(m, c) for m in cage.members for c in m.couplings if c.parts]
    return tuple(_place(m, c, first + k) for k, (m, c) in enumerate(every))


def _place(member: Member, c: Coupling, hinge: int) -> CouplingPlace:
    # a pin lies level where it can, as is usual; then across the tube
    up: Vector = np.array([0.0, 0.0, 1.0]) if abs(float(c.axis[2])) < 0.99 else np.array([1.0, 0.0, 0.0])
    second = square_to(c.axis, up)
    return CouplingPlace(
        coupling=c, member=member.name, axes=np.array([c.axis, cross(second, c.axis), second]),
        strength=coupling_strength(c, tube_tensile=tensile_of(member.tube.steel)), hinge=hinge,
    )  # fmt: skip


def hinges_after(joints: Hinges, couplings: Hinges) -> Hinges:
    """The joints' hinges and the couplings' after them."""
    if not len(couplings.ends):
        return joints
    return replace(
        joints,
        ends=np.concatenate([joints.ends, couplings.ends]),
        axes=np.concatenate([joints.axes, couplings.axes]),
        stiffness=np.concatenate([joints.stiffness, couplings.stiffness]),
        capacity=np.concatenate([joints.capacity, couplings.capacity]),
        names=(*joints.names, *couplings.names),
    )


def hinges_of(mesh: FrameMesh, places: tuple[CouplingPlace, ...], *, gives: bool) -> Hinges:
    """The couplings as hinges, stiff but about a pin, giving at their strength where they may."""
    strengths = [p.strength for p in places]
    turn = STIFF * ARM**2
    stiffness = [[STIFF, STIFF, STIFF, turn, *(turn if b > 0.0 else FREE * turn for b in s.bending)]
                 for s in strengths]  # fmt: skip
    capacity = [[s.axial, *(b if b > 0.0 else NEVER for b in s.bending)] for s in strengths]
    return Hinges(
        ends=np.array([mesh.parted[p.coupling.name] for p in places], np.int64).reshape(-1, 2),
        axes=np.array([p.axes for p in places]).reshape(-1, 3, 3),
        stiffness=np.array(stiffness).reshape(-1, 6),
        capacity=np.minimum(capacity, NEVER).reshape(-1, 3) if gives else np.full((len(places), 3), np.inf),
        names=tuple(p.coupling.name for p in places),
    )
