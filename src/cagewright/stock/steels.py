"""Steels as sourced rows."""

from __future__ import annotations

from dataclasses import dataclass

from cagewright.base.answers import Certainty


@dataclass(frozen=True, slots=True, kw_only=True)
class Steel:
    """A steel as delivered, with the least values its standard promises.

    Attributes:
        name: as written in plans, e.g. ``E355+N``.
        yield_strength: ReH or Rp0.2, MPa; None where the standard gives none.
        tensile: Rm, MPa.
        elongation: A, %; None where unknown.
        modulus: E, MPa.
        poisson: Poisson's ratio.
        density: kg/m3.
        seamless: True, False, or None where the grade leaves it open.
        source: where the figures come from.
        certainty: how sure they are.
    """

    name: str
    yield_strength: float | None = None
    tensile: float
    elongation: float | None = None
    modulus: float = 210_000.0
    poisson: float = 0.3
    density: float = 7850.0
    seamless: bool | None = None
    source: str
    certainty: Certainty
