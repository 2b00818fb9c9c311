"""What small parts are made of: folds of a plate's edges, and holes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cagewright.base.vectors import Vector

Edge = Literal[0, 1, 2, 3]
"""An edge of a plate, anticlockwise as it is seen: -y, +x, +y, -x of its own axes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeFold:
    """One fold of a plate.

    Attributes:
        edge: which edge it carries on from; the next fold on the same edge carries on from this one.
        by: how far the sheet runs on behind it, mm.
        angle: rad folded towards the shell; less than 0 away from it.
    """

    edge: Edge
    by: float
    angle: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundHole:
    """A round hole: centre (3,) and diameter, mm."""

    point: Vector
    diameter: float
