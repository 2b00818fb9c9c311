"""Sections so thin that their wall buckles as they bend: their class, and what is left of their strength.

Sources, all from memory: EN 1993-1-1:2005 Table 5.2 for the classes (sheet 1 for walls held on both sides,
sheet 2 for outstands, sheet 3 for round tube and angles); ISO 19902 clause 13 (members in bending) for round
 tube's strength; EN 1993-1-5 4.4 for what a class 4 plate has left. A cage's usual tubes (D/t 12 to 25)
are class 1 and keep all.
"""

from __future__ import annotations

import math

from cagewright.stock.sections import Section

CLASSES = (50.0, 70.0, 90.0)
"""D/t over 235/fy up to which a tube in bending or under push is class 1, 2 and 3."""


def tube_class(od: float, wall: float, fy: float) -> int:
    """1 bends through and goes on turning, 2 bends through, 3 yields outside, 4 buckles first (Table 5.2).

    Args:
        od: mm.
        wall: mm.
        fy: MPa.
    """
    slender = od / wall / (235.0 / fy)
    return 1 + sum(slender > most * (1.0 + 1e-9) for most in CLASSES)


def bending_part(od: float, wall: float, fy: float, young: float) -> float:
    """The part of its plastic moment at which a tube's wall buckles, 1 for a thick one (ISO 19902).

    With x = fy D/(E t): 1 up to 0.0517, 1.13 - 2.58 x up to 0.1034, 0.94 - 0.76 x beyond.

    Args:
        od: mm.
        wall: mm.
        fy: MPa.
        young: E, MPa.
    """
    x = fy * od / (young * wall)
    if x <= 0.0517:
        return 1.0
    return max(1.13 - 2.58 * x if x <= 0.1034 else 0.94 - 0.76 * x, 0.1)


HELD, OUTSTAND = (33.0, 38.0, 42.0), (9.0, 10.0, 14.0)
"""c/t over the root of 235/fy up to which a plate under even push is class 1, 2 and 3."""
LEG, BOTH = 15.0, 11.5
"""An angle under push is class 3 up to this leg over thickness, and this half sum of legs over thickness."""


def plate_ratio(section: Section) -> float:
    """Flat width over thickness of the widest plate of a rail, corners left out."""
    if section.shape == "angle":
        return max(section.width, section.depth) / section.wall
    if section.shape == "flat":
        return 0.5 * section.width / section.wall
    inside = max(section.width, section.depth) - 2.0 * max(section.corner, section.wall)
    return inside / section.wall


def class_of(section: Section, fy: float) -> int:
    """The class of a section at ``fy`` MPa, of a rail that of its widest plate under even push, 1 to 4.

    A flat bar is two outstands from its middle (assumed). What a class 4 rail carries cannot be told.
    """
    if section.shape == "round":
        return tube_class(section.width, section.wall, fy)
    ratio, eps = plate_ratio(section), math.sqrt(235.0 / fy)
    if section.shape == "angle":
        both = (section.width + section.depth) / (2.0 * section.wall)
        if ratio > LEG * eps * (1.0 + 1e-9) or both > BOTH * eps * (1.0 + 1e-9):
            return 4
    limits = HELD if section.shape in {"square", "rectangle"} else OUTSTAND
    return min(
        1 + sum(ratio > most * eps * (1.0 + 1e-9) for most in limits), 4 if section.shape != "angle" else 3
    )


def yield_part(section: Section, fy: float, young: float) -> float:
    """The part of its yield strength at which the section's wall buckles, 1 for a thick one.

    Round tube by ``bending_part``; a rail of class 4 by the effective part of its widest plate,
    (lp - 0.188)/lp2 for outstands and (lp - 0.22)/lp2 for held walls, lp = c/t / (28.4 eps root k) with k
    0.43 and 4: a figure to go on with, not one to pass by.

    Args:
        section: the section.
        fy: MPa.
        young: E, MPa.
    """
    if section.shape == "round":
        return bending_part(section.width, section.wall, fy, young)
    if class_of(section, fy) < 4:
        return 1.0
    held = section.shape in {"square", "rectangle"}
    k, less = (4.0, 0.22) if held else (0.43, 0.188)
    slender = plate_ratio(section) / (28.4 * math.sqrt(235.0 / fy) * math.sqrt(k))
    return min(max((slender - less) / slender**2, 0.1), 1.0)
