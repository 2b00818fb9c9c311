"""The strengths the model uses: the least the standard promises, or what is delivered."""

from __future__ import annotations

import math

import numpy as np

from cagewright.frame.choices import Choices
from cagewright.frame.model import FLAT, HardeningCurve, to_ultimate
from cagewright.stock.catalogue import typical_of
from cagewright.stock.steels import Steel


def yield_of(steel: Steel, choices: Choices) -> float:
    """The yield strength the model uses, MPa.

    Raises:
        ValueError: none is known.
    """
    if steel.yield_strength is None:
        raise ValueError(f"no yield strength is known for {steel.name}")
    if choices.strength == "least":
        return steel.yield_strength
    row = typical_of(steel)
    return row.yield_strength or row.factor * steel.yield_strength


def tensile_of(steel: Steel) -> float:
    """The tensile strength of the steel, MPa.

    Raises:
        ValueError: none is known.
    """
    if steel.tensile is None:
        raise ValueError(f"no tensile strength is known for {steel.name}")
    return steel.tensile


ELONGATION = 10.0
"""Elongation at break of a steel that has no figure, %: the least of the drawn tubes in the catalogue."""


def hardening_of(steel: Steel, choices: Choices) -> HardeningCurve:
    """From the yield strength straight to the true stress at the uniform elongation, and no further.

    The true stress there is Rm (1 + A_u), the true strain ln(1 + A_u), with A_u the uniform elongation: the
    steel's own, else the part ``uniform`` of its elongation at break. A steel delivered stronger than the
    least is taken as stronger at its ultimate by as much. Without a tensile strength nothing hardens.
    """
    first, least = yield_of(steel, choices), steel.yield_strength or 0.0
    uniform = uniform_of(steel, choices)
    last = (steel.tensile or 0.0) * first / least * (1.0 + uniform)
    strain = math.log1p(uniform) - last / steel.modulus
    if last <= first or strain <= 0.0:
        return HardeningCurve(strain=np.zeros(1), stress=np.array([first]), tail=FLAT)
    return to_ultimate(fy=first, ultimate=last, strain=strain)


def uniform_of(steel: Steel, choices: Choices) -> float:
    """Uniform elongation, as a part: the steel's own, else a part of that at break."""
    return (steel.uniform or choices.uniform * elongation_of(steel)) / 100.0


def elongation_of(steel: Steel) -> float:
    """Elongation at break, %, assumed where the steel has no figure."""
    return ELONGATION if steel.elongation is None else steel.elongation


def limits_words(steels: list[Steel]) -> str:
    """What is taken of each steel's elongation, in words."""
    said = "; ".join(
        f"{s.name} to {elongation_of(s):g} %" + ("" if s.elongation else " (assumed)")
        for s in {s.name: s for s in steels}.values()
    )
    return (
        "a tube tears where its outside is stretched by its elongation at break, mean over one diameter: "
        f"{said}; it hardens until half of that where no uniform elongation is known (assumed)"
    )


def tear_of(steel: Steel, choices: Choices) -> float:
    """Mean strain over the gauge length at which a tube tears: its elongation at break, as a part."""
    return choices.elongation * elongation_of(steel) / 100.0


def typical_words(steels: list[Steel]) -> str:
    """What each steel's typical yield strength was taken as, in words."""
    said: list[str] = []
    for steel in {s.name: s for s in steels}.values():
        row = typical_of(steel)
        size = f"{row.yield_strength:g} MPa" if row.yield_strength else f"{row.factor:g} times the least"
        said.append(f"{steel.name} {size} ({row.source})")
    return "; ".join(said)
