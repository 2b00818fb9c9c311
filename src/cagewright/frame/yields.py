"""The yield strength the model uses: the least the standard promises, or what is delivered."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from cagewright.frame.choices import Choices
from cagewright.stock.steels import Certainty, Steel


@dataclass(frozen=True, slots=True, kw_only=True)
class Typical:
    """What a steel is delivered at: MPa, or a factor on its least; where that is from and how sure."""

    steel: str
    yield_strength: float | None = None
    factor: float = 1.0
    source: str
    certainty: Certainty


@cache
def typicals() -> dict[str, Typical]:
    """Every row by steel name, ``rest`` for the others."""
    text = files("cagewright.frame").joinpath("data", "typical.toml").read_text(encoding="utf-8")
    return {row["steel"]: Typical(**row) for row in tomllib.loads(text)["typical"]}


def typical_of(steel: Steel) -> Typical:
    """The steel's row; a steel from a mill sheet is what the sheet says."""
    if steel.certainty == "shop":
        return Typical(steel=steel.name, factor=1.0, source=steel.source, certainty="shop")
    return typicals().get(steel.name, typicals()["rest"])


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


def typical_words(steels: list[Steel]) -> str:
    """What each steel's typical yield strength was taken as, in words."""
    said: list[str] = []
    for steel in {s.name: s for s in steels}.values():
        row = typical_of(steel)
        size = f"{row.yield_strength:g} MPa" if row.yield_strength else f"{row.factor:g} times the least"
        said.append(f"{steel.name} {size} ({row.source})")
    return "; ".join(said)
