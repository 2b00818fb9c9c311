"""Strength and flexibility of a joint on a rail: on square and rectangular tube by the standard, or a floor.

On hollow rails: EN 1993-1-8:2005 section 7.5, Table 7.11 (T and Y joints, chord face failure and punching; a
round branch: pi/4 times, with d1 for b1 and h1) and Table 7.14 for moments, within the ranges of Tables 7.8
and 7.9, gamma_M5 1.0; moments of a round branch by the same pi/4 are CIDECT Design Guide 3's. All **from
memory: check against the text before relying on it**. Symbols: b0 the width of the face landed on, h0 the
rail's other side, t0 its wall, d1 the branch, beta = d1/b0, theta the angle between the axes.

On an angle, a flat bar, and of one rail on another no formula is known: 'cannot tell'. So that the model has
no rigid joint without limit there, it is given the least that a loose plate carries under a point, 2 pi times
fy t2/4 (a fan of yield lines: Johansen, any text on yield lines), and is said to be outside every source.

Flexibility: no standard has one for a round branch on these. The face is taken as a round panel, clamped at
the rail's edges, with a stiff boss of the branch's size (as under a foot plate; assumed).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from cagewright.frame.feet import WEAKEST_SPAN, panel_stiffness, panel_tilting
from cagewright.stock.sections import Section, properties

WIDEST, NARROWEST = 0.8, 0.4
"""beta of a round branch within which Table 7.8 holds."""
SOURCE = "EN 1993-1-8:2005 section 7.5, from memory, unchecked"


@dataclass(frozen=True, slots=True, kw_only=True)
class RailJointSizes:
    """A joint on a rail, mm, rad and MPa.

    Attributes:
        main: the rail's section.
        branch: the section of what lands on it.
        face: width of the side landed on, b0.
        other: the rail's other side, h0.
        angle: theta, 0 to pi/2.
        main_yield: fy0.
        branch_yield: fy1.
    """

    main: Section
    branch: Section
    face: float
    other: float
    angle: float
    main_yield: float
    branch_yield: float

    @property
    def branch_od(self) -> float:
        """d1; the shorter side of a rail that lands."""
        return min(self.branch.width, self.branch.depth)


def judged(s: RailJointSizes) -> bool:
    """Whether a standard speaks of such a joint: round tube on square or rectangular tube."""
    return s.main.shape in {"square", "rectangle"} and s.branch.shape == "round"


def rail_joint_modes(s: RailJointSizes) -> dict[str, tuple[float, float, float]]:
    """Every way the joint can give, each with its axial (N), in-plane and out-of-plane (N mm) strength."""
    p = properties(s.branch)
    own = s.branch_yield
    branch = (p.area * own, p.plastic_minor * own, p.plastic_minor * own)
    if not judged(s):
        plate = 2.0 * math.pi * s.main_yield * s.main.wall**2 / 4.0
        arm = s.branch_od / 4.0
        return {"main wall": (plate, plate * arm, plate * arm), "branch": branch}
    shear = s.main_yield / math.sqrt(3.0) * s.main.wall
    sine, d = math.sin(s.angle), s.branch_od
    around = shear * math.pi * d * (1.0 + sine) / (2.0 * sine**2)
    turn = shear * d**2 / (4.0 * sine**2)
    return {
        "main wall": chord_face(s),
        "branch": branch,
        "punching": (around, turn * (1.0 + 3.0 * sine), turn * (3.0 + sine)),
    }


def chord_face(s: RailJointSizes) -> tuple[float, float, float]:
    """Chord face failure (Tables 7.11 and 7.14), axial N, in plane and out of plane N mm.

    beta is taken as 0.8 where it is more: the formulas are for narrower branches, and grow with it.
    """
    beta, t, b = min(s.branch_od / s.face, WIDEST), s.main.wall, s.face
    sine, d, unit = math.sin(s.angle), beta * b, s.main_yield * t**2
    left = math.sqrt(1.0 - beta)
    axial = unit / ((1.0 - beta) * sine) * (2.0 * beta / sine + 4.0 * left)
    in_plane = unit * d * (1.0 / (2.0 * beta) + 2.0 / left + beta / (1.0 - beta))
    out = d * (1.0 + beta) / (2.0 * (1.0 - beta)) + math.sqrt(2.0 * b * d * (1.0 + beta) / (1.0 - beta))
    out *= unit
    return math.pi / 4.0 * axial, math.pi / 4.0 * in_plane, math.pi / 4.0 * out


def rail_outside(s: RailJointSizes) -> tuple[str, ...]:
    """Why the joint's strength cannot be told, in words; empty within the source's ranges."""
    if s.branch.shape != "round":
        return ("cannot tell: no source for a rail on a rail",)
    if not judged(s):
        kind = "an angle" if s.main.shape == "angle" else "a flat bar"
        return (f"cannot tell: no source for a tube on {kind}",)
    beta, d, t = s.branch_od / s.face, s.branch_od, s.branch.wall
    limits = (
        (beta < NARROWEST, "the tube is narrower than 0.4 of the rail's face"),
        (beta > WIDEST, "the tube is wider than 0.8 of the rail's face"),
        (max(s.face, s.other) / s.main.wall > 35.0, "the rail's side over wall is more than 35"),
        (not 0.5 <= s.other / s.face <= 2.0, "the rail's sides differ by more than two to one"),
        (d / t > 50.0, "the tube's diameter over wall is more than 50"),
        (s.angle < math.radians(30.0) - 1e-9, "the angle is under 30°"),
    )
    return tuple(f"cannot tell: {words}" for broken, words in limits if broken)


def rail_flexibility(s: RailJointSizes) -> tuple[float, float, float]:
    """What the joint gives: mm/N along the branch, rad/(N mm) in the plane and out of it."""
    boss = s.branch_od / 2.0
    span = max(s.face / 2.0, WEAKEST_SPAN * boss) if judged(s) else max(s.face, 2.0 * boss)
    panel = {"span": span, "boss": boss, "thickness": s.main.wall}
    turn = 1.0 / panel_tilting(**panel)
    return 1.0 / panel_stiffness(**panel), turn, turn
