"""How far a welded joint of round tubes gives while nothing yields: the main's wall bends under the branch.

Source: H. Fessler, P. B. Mockford and J. J. Webster, Proc. Instn Civ. Engrs 81 (1986) 217-232, formulas for a
single branch. Along the branch and in the plane: read, as the tubular joint element of a general research
code has them; out of the plane, and the range they were fitted in: from memory. Symbols: D, T the main tube,
beta = d/D of the branch, gamma = D/(2 T), theta the angle between the axes.

A cage's joints (beta 0.8 to 1, gamma 7 to 9) lie outside that range. All three formulas fall as the branch
gets wider and the wall thicker, so that such a joint is stiffer than the formula at its range's edge and
softer than a rigid one: the truth lies between, and both are solved. The formula along the branch itself
vanishes at beta 1, which no joint of real walls does; that is why it is never used past its edge.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from cagewright.frame.joint_strength import AnySizes
from cagewright.frame.rail_joints import RailJointSizes, rail_flexibility

WIDEST = 0.8
"""beta up to which the formulas were fitted (from memory)."""
THICKEST = 10.0
"""gamma down to which they were fitted (from memory)."""
SOURCE = "Fessler, Mockford and Webster 1986 (out of the plane from memory)"


@dataclass(frozen=True, slots=True, kw_only=True)
class JointFlexibility:
    """What a joint gives for a load of 1.

    Attributes:
        axial: along the branch, mm/N.
        in_plane: turn in the plane of the two axes, rad/(N mm).
        out_of_plane: turn square to it, rad/(N mm).
        fitted: the joint lies within the range of the formulas; else this is the formula at the range's edge.
    """

    axial: float
    in_plane: float
    out_of_plane: float
    fitted: bool


def joint_flexibility(sizes: AnySizes, *, young: float) -> JointFlexibility:
    """The joint's flexibility, of a joint stiffer than the formulas' range that of the range's edge.

    A joint softer than the range (a narrow branch, a thin main) gets the formula as it stands, which is the
    softer of the two.

    Args:
        sizes: the two tubes and their angle.
        young: E of the main tube, MPa.
    """
    if isinstance(sizes, RailJointSizes):
        axial, in_plane, out_of_plane = rail_flexibility(sizes)
        return JointFlexibility(axial=axial, in_plane=in_plane, out_of_plane=out_of_plane, fitted=True)
    own_beta, own_gamma = sizes.branch_od / sizes.main_od, sizes.main_od / (2.0 * sizes.main_wall)
    beta, gamma = min(own_beta, WIDEST), max(own_gamma, THICKEST)
    sine, od = math.sin(sizes.angle), sizes.main_od
    return JointFlexibility(
        axial=1.95 * gamma**2.15 * (1.0 - beta) ** 1.3 * sine**2.19 / (young * od),
        in_plane=134.0 * gamma**1.73 * math.exp(-4.52 * beta) * sine**1.22 / (young * od**3),
        out_of_plane=85.5 * gamma**2.2 * math.exp(-3.85 * beta) * sine**2.16 / (young * od**3),
        fitted=own_beta <= WIDEST and own_gamma >= THICKEST,
    )


PULLED, TURNED = 60.0, 80.0
"""A joint has parted when it is pulled out by 60 fy d1/E, or turned by 80 fy/E: the deformation limits of
J. A. Yura, N. Zettlemoyer and I. F. Edwards, Ultimate capacity equations for tubular joints, OTC 3690 (1980),
from memory. They were set as the end of a joint's use; where it tears is not known better."""


def deformation_limits(sizes: AnySizes, *, young: float) -> tuple[float, float, float]:
    """Pull-out in mm and turns in and out of the plane in rad at which the joint counts as parted.

    Args:
        sizes: the two tubes; the yield strength is the branch's.
        young: E, MPa.
    """
    strain = sizes.branch_yield / young
    return PULLED * strain * sizes.branch_od, TURNED * strain, TURNED * strain
