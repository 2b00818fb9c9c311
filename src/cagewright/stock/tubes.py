"""What a member is made of: a section in a steel."""

from __future__ import annotations

from dataclasses import dataclass

from cagewright.stock.sections import Section, SectionProperties, properties, round_section
from cagewright.stock.steels import Steel


@dataclass(frozen=True, slots=True, kw_only=True)
class Tube:
    """One section in one steel: round tube, or a rail of another section."""

    section: Section
    steel: Steel

    @property
    def is_round(self) -> bool:
        """Whether it is round tube; only that has an outside diameter and a bore."""
        return self.section.shape == "round"

    @property
    def od(self) -> float:
        """Outside diameter of a round tube, mm.

        Raises:
            ValueError: it is not round.
        """
        if not self.is_round:
            raise ValueError(f"a {self.section.shape} section has no outside diameter")
        return self.section.width

    @property
    def wall(self) -> float:
        """Wall, of an angle or a flat bar its thickness, mm."""
        return self.section.wall

    @property
    def radius(self) -> float:
        """Of the circle round the section, mm; a round tube's outside."""
        return self.section.reach

    @property
    def across(self) -> float:
        """Diameter of the circle round the section, mm; a round tube's outside diameter."""
        return 2.0 * self.radius

    @property
    def bore(self) -> float:
        """Inside diameter of a round tube, mm."""
        return self.od - 2.0 * self.wall

    @property
    def properties(self) -> SectionProperties:
        """Its section's properties."""
        return properties(self.section)


def round_tube(*, od: float, wall: float, steel: Steel) -> Tube:
    """Round tube of ``od`` and ``wall`` mm.

    Raises:
        ValueError: the wall is more than half the diameter.
    """
    return Tube(section=round_section(od, wall), steel=steel)
