"""The strengths the model uses: the least the standard promises, or what is delivered."""

from __future__ import annotations

from cagewright.frame.choices import Choices
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


def tear_of(steel: Steel, choices: Choices) -> float:
    """Mean strain over the gauge length at which a tube tears: its elongation at break, as a part."""
    return choices.elongation * (ELONGATION if steel.elongation is None else steel.elongation) / 100.0


def typical_words(steels: list[Steel]) -> str:
    """What each steel's typical yield strength was taken as, in words."""
    said: list[str] = []
    for steel in {s.name: s for s in steels}.values():
        row = typical_of(steel)
        size = f"{row.yield_strength:g} MPa" if row.yield_strength else f"{row.factor:g} times the least"
        said.append(f"{steel.name} {size} ({row.source})")
    return "; ".join(said)
