"""Strength of a welded joint of one round tube on another, the weak link of most cages.

Source of every formula: EN 1993-1-8:2005 clause 7.4, Tables 7.1 to 7.6, gamma_M5 = 1.0, **from memory:
check against the text before relying on it**. Symbols: d0, t0 the main tube (chord), d1 the branch,
beta = d1/d0, gamma = d0/(2 t0), theta the angle between the axes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from cagewright.frame.rail_joints import RailJointSizes, rail_joint_modes, rail_outside
from cagewright.stock.sections import properties, round_section

Form = Literal["T", "X"]
"""T (or Y): one branch; X: another branch opposite it on the main."""
SOURCE = "EN 1993-1-8:2005 Tables 7.1-7.6, from memory, unchecked"


@dataclass(frozen=True, slots=True, kw_only=True)
class JointStrength:
    """What a joint carries, each alone.

    Attributes:
        axial: along the branch, N.
        in_plane: moment in the plane of the two axes, N mm.
        out_of_plane: moment square to it, N mm.
        governs: what gives first (axial, in_plane, out_of_plane): ``main wall``, ``punching``, ``branch``.
        outside: the validity limits of the source that the joint does not keep, in words; empty within them.
    """

    axial: float
    in_plane: float
    out_of_plane: float
    governs: tuple[str, str, str]
    outside: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class JointSizes:
    """The joint's sizes, mm and rad, and yield strengths, MPa.

    Attributes:
        main_od: d0.
        main_wall: t0.
        branch_od: d1.
        branch_wall: t1.
        angle: theta, 0 to pi/2.
        main_yield: fy0.
        branch_yield: fy1.
    """

    main_od: float
    main_wall: float
    branch_od: float
    branch_wall: float
    angle: float
    main_yield: float
    branch_yield: float


AnySizes = JointSizes | RailJointSizes
"""A joint of two round tubes, or one on a rail."""


def joint_strength(sizes: AnySizes, *, form: Form = "T", main_compression: float = 0.0) -> JointStrength:
    """The joint's three strengths: the least of main wall, punching shear and the branch itself.

    Args:
        sizes: the two tubes and their angle.
        form: T (also Y) or X.
        main_compression: largest compressive stress in the main tube beside the joint, MPa; 0 or less
            for tension.

    Raises:
        ValueError: an angle of 0 or less.
    """
    if sizes.angle <= 0.0:
        raise ValueError("a branch lying along its main has no joint strength")
    modes = joint_modes(sizes, form=form, main_compression=main_compression)
    least = [min((values[i], name) for name, values in modes.items()) for i in range(3)]
    return JointStrength(
        axial=least[0][0],
        in_plane=least[1][0],
        out_of_plane=least[2][0],
        governs=(least[0][1], least[1][1], least[2][1]),
        outside=outside_validity(sizes),
    )


def joint_modes(
    sizes: AnySizes, *, form: Form = "T", main_compression: float = 0.0
) -> dict[str, tuple[float, float, float]]:
    """Every way the joint can give, each with its axial (N), in-plane and out-of-plane (N mm) strength.

    Args:
        sizes: the two tubes and their angle.
        form: T (also Y) or X.
        main_compression: as in ``joint_strength``, MPa.
    """
    if isinstance(sizes, RailJointSizes):
        return rail_joint_modes(sizes)
    modes = {
        "main wall": _main_wall(sizes, form, chord_factor(main_compression, sizes.main_yield)),
        "branch": _branch(sizes),
    }
    if sizes.branch_od <= sizes.main_od - 2.0 * sizes.main_wall:
        modes["punching"] = _punching(sizes)
    return modes


def chord_factor(compression: float, yield_strength: float) -> float:
    """The factor kp = 1 - 0.3 np (1 + np), np = compression / fy0; 1 in tension, 0 at least (Table 7.2)."""
    share = max(compression, 0.0) / yield_strength
    return max(1.0 - 0.3 * share * (1.0 + share), 0.0)


def _main_wall(s: JointSizes, form: Form, kp: float) -> tuple[float, float, float]:
    beta, gamma, sine = min(s.branch_od / s.main_od, 1.0), s.main_od / (2.0 * s.main_wall), math.sin(s.angle)
    unit = s.main_yield * s.main_wall**2 * kp / sine
    axial = gamma**0.2 * (2.8 + 14.2 * beta**2) if form == "T" else 5.2 / (1.0 - 0.81 * beta)
    in_plane = 4.85 * math.sqrt(gamma) * beta * s.branch_od
    return unit * axial, unit * in_plane, unit * s.branch_od * 2.7 / (1.0 - 0.81 * beta)


def _punching(s: JointSizes) -> tuple[float, float, float]:
    sine = math.sin(s.angle)
    shear = s.main_yield / math.sqrt(3.0) * s.main_wall
    moment = shear * s.branch_od**2 / (4.0 * sine**2)
    axial = shear * math.pi * s.branch_od * (1.0 + sine) / (2.0 * sine**2)
    return axial, moment * (1.0 + 3.0 * sine), moment * (3.0 + sine)


def _branch(s: JointSizes) -> tuple[float, float, float]:
    tube = properties(round_section(s.branch_od, s.branch_wall))
    moment = tube.plastic * s.branch_yield
    return tube.area * s.branch_yield, moment, moment


def outside_validity(s: AnySizes) -> tuple[str, ...]:
    """The limits of Table 7.1, or on a rail of section 7.5, that the joint does not keep, in words."""
    if isinstance(s, RailJointSizes):
        return rail_outside(s)
    limits = (
        (s.branch_od / s.main_od < 0.2, "the branch is thinner than a fifth of the main tube"),
        (s.branch_od > s.main_od * 1.0001, "the branch is wider than the main tube"),
        (
            not 10.0 <= s.main_od / s.main_wall <= 50.0,
            "the main tube's diameter over wall is outside 10 to 50",
        ),
        (
            not 10.0 <= s.branch_od / s.branch_wall <= 50.0,
            "the branch's diameter over wall is outside 10 to 50",
        ),
        (s.angle < math.radians(30.0) - 1e-9, "the angle is under 30°"),
    )
    return tuple(words for broken, words in limits if broken)


def joint_use(strength: JointStrength, *, axial: float, in_plane: float, out_of_plane: float) -> float:
    """Share of the joint's strength used, 1 at its limit: N/N_Rd + (M_ip/M_ip,Rd)2 + M_op/M_op,Rd (7.4.2).

    Args:
        strength: the joint's strengths.
        axial: force along the branch, N, either sign.
        in_plane: moment, N mm, either sign.
        out_of_plane: moment, N mm, either sign.
    """
    return (
        abs(axial) / strength.axial
        + (in_plane / strength.in_plane) ** 2
        + abs(out_of_plane) / strength.out_of_plane
    )
