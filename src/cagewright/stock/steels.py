"""Steels as sourced rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cagewright.base.answers import Certainty

Form = Literal["seamless", "welded", "drawn"]
"""How tube is made: without a seam, welded and left so, or welded and then drawn over a mandrel."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Softening:
    """What welding leaves of the yield strength beside a weld.

    Attributes:
        part: of the yield strength that is left.
        reach: how far from the weld, mm.
        source: where the figures come from.
        certainty: how sure they are.
        assumed: the steel has no figure of its own; this is the lowest of its kind.
    """

    part: float
    reach: float
    source: str
    certainty: Certainty
    assumed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Typical:
    """The yield strength delivered: in MPa, or as a factor on the least."""

    yield_strength: float | None = None
    factor: float = 1.0
    source: str
    certainty: Certainty


@dataclass(frozen=True, slots=True, kw_only=True)
class Steel:
    """A steel as delivered, with the least values its standard promises.

    Attributes:
        name: as written in plans, e.g. ``E355+N``.
        yield_strength: ReH or Rp0.2, MPa; None where the standard gives none.
        tensile: Rm, MPa; None where unknown.
        elongation: A at break, %; None where unknown.
        uniform: Agt less the elastic part, %: strain when a test piece begins to neck; None where unknown.
        modulus: E, MPa.
        poisson: Poisson's ratio.
        density: kg/m3.
        condition: as delivered: cold work is lost beside a weld; None where unknown.
        forms: how tube of it is sold; none where that is left open.
        softening: beside welds; None without a figure of its own.
        typical: yield strength delivered; None without a figure of its own.
        source: where the figures come from.
        certainty: how sure they are.
    """

    name: str
    yield_strength: float | None = None
    tensile: float | None = None
    elongation: float | None = None
    uniform: float | None = None
    modulus: float = 210_000.0
    poisson: float = 0.3
    density: float = 7850.0
    condition: Literal["normalised", "cold worked"] | None = None
    forms: tuple[Form, ...] = ()
    softening: Softening | None = None
    typical: Typical | None = None
    source: str
    certainty: Certainty

    def is_sold(self, *forms: Form) -> bool | None:
        """Whether its tube is made one of these ways; None where others are sold too, or that is open."""
        inside = {form in forms for form in self.forms}
        return inside.pop() if len(inside) == 1 else None
