"""Round tube: size, section properties and weight."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cagewright.stock.steels import Steel


@dataclass(frozen=True, slots=True, kw_only=True)
class Tube:
    """One size of round tube in one steel.

    Attributes:
        od: outside diameter, mm.
        wall: wall thickness, mm, more than 0 and at most half the diameter.
        steel: what it is made of.
    """

    od: float
    wall: float
    steel: Steel

    def __post_init__(self) -> None:
        if not 0.0 < self.wall <= self.od / 2.0:
            raise ValueError(f"a tube of {self.od:g} mm cannot have a wall of {self.wall:g} mm")

    @property
    def radius(self) -> float:
        """Outside radius, mm."""
        return self.od / 2.0

    @property
    def bore(self) -> float:
        """Inside diameter, mm."""
        return self.od - 2.0 * self.wall


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Exact properties of a circular hollow section (no corner or rounding allowance).

    Attributes:
        area: A = pi/4 (D2 - d2), mm2.
        inertia: I = pi/64 (D4 - d4), mm4.
        elastic: Wel = 2 I / D, mm3.
        plastic: Wpl = (D3 - d3)/6, mm3.
        torsion: J = 2 I, mm4.
    """

    area: float
    inertia: float
    elastic: float
    plastic: float
    torsion: float


def section(od: float, wall: float) -> Section:
    """The section properties of a tube of ``od`` and ``wall`` mm (any strength-of-materials handbook)."""
    bore = od - 2.0 * wall
    inertia = math.pi / 64.0 * (od**4 - bore**4)
    return Section(
        area=math.pi / 4.0 * (od**2 - bore**2),
        inertia=inertia,
        elastic=2.0 * inertia / od,
        plastic=(od**3 - bore**3) / 6.0,
        torsion=2.0 * inertia,
    )
