"""How far from what it says a push comes: no car lands, and no pole stands, quite as the rule has it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cagewright.base.vectors import ACROSS, BACK, Vector, turn


@dataclass(frozen=True, slots=True, kw_only=True)
class Off:
    """Degrees nose down and outer side down more than the push says, and mm that a pole stands further back.

    Loads at places are turned by the two angles; what presses has ``friction``, sideways over normal force.
    """

    pitch: float = 0.0
    roll: float = 0.0
    aside: float = 0.0
    friction: float = 0.0

    def turned(self, force: Vector) -> Vector:
        """The force (3,) turned by the two angles, about the car's axes across and back."""
        return turn(turn(force, ACROSS, math.radians(self.pitch)), BACK, math.radians(self.roll))


AS_SAID = Off()
"""A push as it is said."""
