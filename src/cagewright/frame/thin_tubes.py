"""Tubes so thin that their wall buckles as they bend: their class, and what is left of their strength.

Sources, both from memory: EN 1993-1-1:2005 Table 5.2 (sheet 3) for the classes; ISO 19902 clause 13 (tubular
members in bending) for the strength. A cage's usual tubes (D/t 12 to 25) are class 1 and keep all.
"""

from __future__ import annotations

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
