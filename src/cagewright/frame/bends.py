"""Bends are more flexible than straight tubes: the wall ovals."""

from __future__ import annotations


def bend_parameter(*, radius: float, wall: float, mean_radius: float) -> float:
    """The flexibility characteristic h = T R / r^2 of a bend (ASME B31.3 Table D300).

    Args:
        radius: bend radius on the centre line, mm.
        wall: mm.
        mean_radius: of the tube's wall, (od - wall)/2, mm.
    """
    return wall * radius / mean_radius**2


def bend_factor(*, od: float, wall: float, radius: float) -> float:
    """How many times more flexible in bending a bend is than a straight tube, at least 1.

    ASME B31.3 Table D300: k = 1.65/h, for a long bend: a short one between stiff straights is stiffer.

    Args:
        od: mm.
        wall: mm.
        radius: bend radius on the centre line, mm.

    Raises:
        ValueError: the bend's radius is not more than the tube's.
    """
    if not radius > od / 2.0 > wall > 0.0:
        raise ValueError("a bend needs a wall, and a radius of more than half the tube")
    return max(1.0, 1.65 / bend_parameter(radius=radius, wall=wall, mean_radius=(od - wall) / 2.0))
