"""Code checks of one tube: section class, column strength, axial force with bending.

Formulas are restated from the standards named beside each; check the edition in force before relying on one.
"""

from __future__ import annotations

import math
from typing import Any, Literal

from scipy.optimize import brentq

CURVES = {"a0": 0.13, "a": 0.21, "b": 0.34, "c": 0.49, "d": 0.76}
"""Imperfection factors of the column curves, EN 1993-1-1:2005 Table 6.1 (second-hand)."""


def ec3_class(*, od: float, wall: float, fy: float) -> Literal[1, 2, 3, 4]:
    """Class of a round tube's section.

    EN 1993-1-1:2005 Table 5.2 (sheet 3): d/t up to 50, 70 or 90 epsilon^2, epsilon^2 = 235/fy (second-hand).

    Args:
        od: mm.
        wall: mm.
        fy: yield stress, MPa.
    """
    slender = od / wall / (235.0 / fy)
    if slender <= 50.0:
        return 1
    if slender <= 70.0:
        return 2
    return 3 if slender <= 90.0 else 4


def ec3_slenderness(*, area: float, inertia: float, length: float, young: float, fy: float) -> float:
    """Relative slenderness of a pinned column, sqrt(A fy / Ncr), Ncr = pi^2 E I / L^2.

    EN 1993-1-1:2005, 6.3.1.2(1).

    Args:
        area: mm2.
        inertia: mm4.
        length: buckling length, mm.
        young: E, MPa.
        fy: yield stress, MPa.
    """
    return math.sqrt(area * fy / euler_load(inertia=inertia, length=length, young=young))


def euler_load(*, inertia: float, length: float, young: float) -> float:
    """Elastic buckling load of a pinned column, N: pi^2 E I / L^2 (Euler)."""
    return math.pi**2 * young * inertia / length**2


def ec3_reduction(slenderness: float, *, curve: str) -> float:
    """Reduction factor chi of a column at a relative slenderness.

    EN 1993-1-1:2005, 6.3.1.2, eq. 6.49: chi = 1/(phi + sqrt(phi^2 - lambda^2)),
    phi = (1 + alpha (lambda - 0.2) + lambda^2)/2, not above 1.

    Args:
        slenderness: relative slenderness lambda.
        curve: ``a0``, ``a``, ``b``, ``c`` or ``d`` (hollow sections: hot finished a, cold formed c).

    Raises:
        ValueError: no such curve.
    """
    if curve not in CURVES:
        raise ValueError(f"no column curve '{curve}'")
    phi = 0.5 * (1.0 + CURVES[curve] * (slenderness - 0.2) + slenderness**2)
    return min(1.0, 1.0 / (phi + math.sqrt(phi**2 - slenderness**2))) if slenderness > 0.2 else 1.0


def ec3_column(*, area: float, inertia: float, length: float, young: float, fy: float, curve: str) -> float:
    """Buckling resistance of a pinned column, N, with gamma_M1 = 1: chi A fy (EN 1993-1-1:2005 eq. 6.47).

    Args:
        area: mm2.
        inertia: mm4.
        length: buckling length, mm.
        young: E, MPa.
        fy: yield stress, MPa.
        curve: see :func:`ec3_reduction`.
    """
    slender = ec3_slenderness(area=area, inertia=inertia, length=length, young=young, fy=fy)
    return ec3_reduction(slender, curve=curve) * area * fy


def aisc_column(*, area: float, inertia: float, length: float, young: float, fy: float) -> float:
    """Nominal strength of a pinned column, N: Fcr A.

    AISC 360-16, E3-2 and E3-3: Fcr = 0.658^(Fy/Fe) Fy where KL/r <= 4.71 sqrt(E/Fy), else 0.877 Fe.

    Args:
        area: mm2.
        inertia: mm4.
        length: effective length, mm.
        young: E, MPa.
        fy: yield stress, MPa.
    """
    slender = length / math.sqrt(inertia / area)
    elastic = math.pi**2 * young / slender**2
    if slender <= 4.71 * math.sqrt(young / fy):
        return 0.658 ** (fy / elastic) * fy * area
    return 0.877 * elastic * area


def aisc_bending_limits(*, young: float, fy: float) -> tuple[float, float]:
    """Largest D/t of a compact and of a noncompact round section in bending: 0.07 E/Fy and 0.31 E/Fy.

    AISC 360-16 Table B4.1b case 20 (second-hand).
    """
    return 0.07 * young / fy, 0.31 * young / fy


def aisc_axial_limit(*, young: float, fy: float) -> float:
    """Largest D/t of a nonslender round section in compression: 0.11 E/Fy (AISC 360-16 Table B4.1a)."""
    return 0.11 * young / fy


def aisc_bending(*, od: float, wall: float, young: float, fy: float) -> float:
    """Nominal bending strength of a round tube, N mm.

    AISC 360-16 F8, for D/t < 0.45 E/Fy: Mp if compact, (0.021 E/(D/t) + Fy) S if noncompact,
    0.33 E/(D/t) S if slender.

    Args:
        od: mm.
        wall: mm.
        young: E, MPa.
        fy: yield stress, MPa.

    Raises:
        ValueError: thinner than the clause covers.
    """
    bore, slender = od - 2.0 * wall, od / wall
    if slender >= 0.45 * young / fy:
        raise ValueError("AISC F8 covers D/t below 0.45 E/Fy")
    elastic = math.pi / 32.0 * (od**4 - bore**4) / od
    compact, noncompact = aisc_bending_limits(young=young, fy=fy)
    if slender <= compact:
        return (od**3 - bore**3) / 6.0 * fy
    if slender <= noncompact:
        return (0.021 * young / slender + fy) * elastic
    return 0.33 * young / slender * elastic


def moment_left_thin(n: float) -> float:
    """M/Mpl that a thin tube can carry beside n = N/Npl: cos(pi n / 2), exact for a thin ring."""
    return math.cos(0.5 * math.pi * min(abs(n), 1.0))


def moment_left(n: float, *, od: float, wall: float) -> float:
    """M/Mpl that a tube of any wall can carry beside n = N/Npl.

    The plastic stress block cut at a height h either side of the axis: the middle carries N, the rest M.

    Args:
        n: axial force over squash load, -1 to 1.
        od: mm.
        wall: mm.

    Raises:
        ValueError: more axial force than the section can carry.
    """
    n = abs(n)
    if n > 1.0:
        raise ValueError("more axial force than the squash load")
    outer, inner = od / 2.0, od / 2.0 - wall
    whole = math.pi * (outer**2 - inner**2)

    def middle(h: float) -> float:
        return (_strip(outer, h) - _strip(inner, h)) / whole - n

    root: Any = brentq(middle, 0.0, outer, xtol=1e-12) if 0.0 < n < 1.0 else n * outer
    h = float(root)
    return (_cap(outer, h) - _cap(inner, h)) / (outer**3 - inner**3)


def _strip(radius: float, h: float) -> float:
    """Area of a disc between -h and +h."""
    h = min(h, radius)
    return (
        2.0 * (h * math.sqrt(radius**2 - h**2) + radius**2 * math.asin(h / radius)) if radius > 0.0 else 0.0
    )


def _cap(radius: float, h: float) -> float:
    """First moment of a disc's cap above h, over that of a half disc's 2/3: (r^2 - h^2)^(3/2)."""
    return max(radius**2 - h**2, 0.0) ** 1.5


def shear_reduced(fy: float, *, torque_part: float) -> float:
    """Yield stress left for bending beside a torque T/Tpl: fy sqrt(1 - (T/Tpl)^2) (von Mises, from memory).

    Raises:
        ValueError: more torque than the section can carry.
    """
    if abs(torque_part) > 1.0:
        raise ValueError("more torque than the section can carry")
    return fy * math.sqrt(1.0 - torque_part**2)
