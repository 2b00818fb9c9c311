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


def typical_words(steels: list[Steel]) -> str:
    """What each steel's typical yield strength was taken as, in words."""
    said: list[str] = []
    for steel in {s.name: s for s in steels}.values():
        row = typical_of(steel)
        size = f"{row.yield_strength:g} MPa" if row.yield_strength else f"{row.factor:g} times the least"
        said.append(f"{steel.name} {size} ({row.source})")
    return "; ".join(said)
