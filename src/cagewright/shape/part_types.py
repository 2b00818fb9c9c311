"""Small parts: folds of a plate's edges, holes, couplings of tubes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from cagewright.base.vectors import Vector

if TYPE_CHECKING:  # a plan's entries take a quarter of a second to load
    from cagewright.plan.coupling_types import CouplingKind

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Coupling:
    """Where a tube comes apart, or is joined end to end.

    Attributes:
        name: ``member coupling 1``, counted from the member's start.
        kind: how it is made.
        along: its middle, mm along the member's path.
        point: (3,) its middle on the axis, mm.
        axis: unit (3,) along the travel from the member's start.
        od: of the tube, mm.
        wall: of the tube, mm.
        thickness: of each flange or lug, or of a sleeve's wall, mm.
        width: a flange's diameter, a lug's width, a sleeve's outside diameter, mm.
        length: all told, from end to end of what is fitted, mm.
        gap: what is taken out of the tube between its two parts, mm.
        count: of bolts or pins; of a sleeve on each side.
        bolt: diameter, mm; 0 without.
        grade: of them.
        slip: friction coefficient of clamped faces, or None where they are not preloaded.
        source: where the sizes come from that the plan does not say; empty where it says all.
    """

    name: str
    kind: CouplingKind
    along: float
    point: Vector
    axis: Vector
    od: float
    wall: float
    thickness: float
    width: float
    length: float
    gap: float
    count: int
    bolt: float
    grade: str
    slip: float | None
    source: str

    @property
    def parts(self) -> bool:
        """Whether it comes apart."""
        return self.kind != "inner sleeve"

    @property
    def circle(self) -> float:
        """Diameter of a flange's bolt circle, mm: halfway between the tube's outside and the rim."""
        return 0.5 * (self.od + self.width)

    @property
    def hole(self) -> float:
        """Diameter of the bolts' holes, mm; a pin's is half a millimetre more than the pin."""
        return self.bolt + 0.5 if self.kind == "double lug" else hole_for(self.bolt)

    @property
    def reach(self) -> float:
        """How far its outside is from the axis, mm."""
        return max(self.width, self.od) / 2.0


def hole_for(bolt: float) -> float:
    """Diameter of a bolt's hole, mm: 0.5 more to M8, 1 more above (EN 1090-2: 1 mm to M14; from memory)."""
    return bolt + (0.5 if bolt <= 8.0 else 1.0)
