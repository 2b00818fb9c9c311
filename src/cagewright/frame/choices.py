"""Every simplification of the strength model, in one place, each with its switch."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """How a cage becomes a frame; docs/theory/idealise.md says why each is as it is.

    Attributes:
        mesh: longest element, mm.
        shear: tubes are flexible in shear (Timoshenko); leaving it out makes a cage 7 to 12 % too stiff.
        bends: bends are more flexible than straight tube, by the piping code's factor.
        stubs: a branch starts at its main tube's surface, carried there by a rigid stub from the axis.
        joints: ``yield`` lets each joint give at its strength, ``report`` only compares its force with it;
            ``both`` answers both ways and keeps the worse (where only one way is solved, joints give).
        flexibility: of joints stiffer than the published formulas' range: 1 gives them that of the range's
            edge, 0 makes them as good as rigid. The truth lies between, and a push is solved with both.
        softened: ``steel`` softens beside welds by the steel's row, ``cautious`` by the most careful
            published row, ``none`` not at all.
        feet: ``shell`` stands each foot on springs with capacities, ``rigid`` holds it.
        plates: sheet between members carries pull as strips.
        strength: ``least`` takes the yield strength the standard promises, ``typical`` what is delivered.
        dents: tubes' walls give where a platen or pole presses.
        thin: a tube whose wall buckles as it bends yields at the lower stress that ISO 19902 leaves it.
        torsion: torque and shear make a tube ``yields`` together with pull and bending, or stay ``elastic``.
        uniform: part of the elongation at break that a steel without a uniform elongation hardens to.
        tearing: tubes, open welds and feet let go at their limit, and the push goes on without them.
        elongation: multiplies the strain at which a tube tears.
        fibres: of a section, a multiple of 4.
    """

    mesh: float = 40.0
    shear: bool = True
    bends: bool = True
    stubs: bool = True
    joints: Literal["both", "report", "yield"] = "both"
    flexibility: float = 1.0
    softened: Literal["steel", "cautious", "none"] = "steel"
    feet: Literal["shell", "rigid"] = "shell"
    plates: bool = True
    strength: Literal["least", "typical"] = "least"
    dents: bool = True
    thin: bool = True
    torsion: Literal["yields", "elastic"] = "yields"
    uniform: float = 0.5
    tearing: bool = True
    elongation: float = 1.0
    fibres: int = 24

    def __post_init__(self) -> None:
        if not 5.0 <= self.mesh <= 500.0:
            raise ValueError("the longest element must be between 5 and 500 mm")
        if not 0.0 <= self.flexibility <= 1.0:
            raise ValueError("flexibility is a part of the formula's, from 0 to 1")
        if not 0.0 <= self.uniform <= 1.0:
            raise ValueError("the uniform elongation is a part of that at break, from 0 to 1")
