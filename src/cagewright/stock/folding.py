"""How sheet takes a fold: the inside radius, where its length does not change, and what a fold uses of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

SOURCE = "DIN 6935, from memory; held to its tabled compensation values"
"""Where the K-factor comes from that a shop has not entered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldTrial:
    """How the shop's folder takes one sheet: thickness, inside radius of the fold and K-factor, mm and none.

    Either figure is None where the shop has not entered it.
    """

    thickness: float
    radius: float | None = None
    k: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fold:
    """How a sheet is folded.

    Attributes:
        thickness: mm.
        radius: inside radius, mm.
        k: where the length does not change, as a share of the thickness from the inside.
        source: where ``radius`` and ``k`` come from.
    """

    thickness: float
    radius: float
    k: float
    source: str

    def allowance(self, angle: float) -> float:
        """Sheet that a fold of ``angle`` rad uses between its two tangent lines, mm: angle (r + K t)."""
        return abs(angle) * (self.radius + self.k * self.thickness)

    def setback(self, angle: float, *, inside: bool) -> float:
        """From a face's sharp corner to where the fold begins on it, mm: (r [+ t]) tan(angle / 2).

        The face on the ``inside`` of the fold turns with the inside radius, the other with that and the
        thickness.
        """
        return (self.radius + (0.0 if inside else self.thickness)) * math.tan(abs(angle) / 2.0)


def k_factor(radius: float, thickness: float) -> float:
    """The share of the thickness, from the inside, where the length of a fold does not change.

    k/2 with k = 0.65 + 0.5 lg(r/t), at most 1 (DIN 6935, from memory); at least 0.2 where a radius is far
    below the thickness, for which it was not meant.
    """
    return min(max(0.65 + 0.5 * math.log10(radius / thickness), 0.4), 1.0) / 2.0


def fold_of(thickness: float, trials: Sequence[FoldTrial]) -> Fold:
    """How the shop folds that sheet: as it entered for the thickness (within 0.1 mm), else as usual.

    The usual inside radius is the thickness, common practice without a source.
    """
    mine = next((t for t in trials if abs(t.thickness - thickness) <= 0.1), None)
    radius = thickness if mine is None or mine.radius is None else mine.radius
    own_k = None if mine is None else mine.k
    said = [
        "inside radius from the shop file"
        if mine is not None and mine.radius is not None
        else "inside radius as thick as the sheet, common practice, no source",
        "K-factor from the shop file" if own_k is not None else f"K-factor by {SOURCE}",
    ]
    k = k_factor(radius, thickness) if own_k is None else own_k
    return Fold(thickness=thickness, radius=radius, k=k, source="; ".join(said))
