"""The built-in rows of steels and tube sizes."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Any

from cagewright.base.answers import Certainty
from cagewright.stock.steels import Softening, Steel, Typical


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeRow:
    """A tube size on sale: ``name`` as builders write it, ``od`` and ``wall`` in mm, its source."""

    name: str
    od: float
    wall: float
    source: str
    certainty: Certainty


def _data(file: str) -> dict[str, Any]:
    return tomllib.loads(files("cagewright.stock").joinpath("data", file).read_text(encoding="utf-8"))


@cache
def steels() -> dict[str, Steel]:
    """Every built-in steel by name."""
    nested = {"softening": Softening, "typical": Typical, "forms": tuple[Any, ...]}
    rows = (
        {key: _made(nested.get(key), value) for key, value in row.items()}
        for row in _data("steels.toml")["steel"]
    )
    return {row["name"]: Steel(**row) for row in rows}


def _made(kind: Any, value: Any) -> Any:
    if kind is None:
        return value
    return kind(**value) if isinstance(value, dict) else kind(value)


@cache
def sizes() -> tuple[SizeRow, ...]:
    """Every built-in tube size."""
    return tuple(SizeRow(**row) for row in _data("sizes.toml")["size"])


def softening_of(steel: Steel) -> Softening:
    """What is left beside the steel's welds: its own row's, else the lowest of its condition, assumed.

    A steel whose condition is not known, as a plan's own, takes the lowest of all.
    """
    if steel.softening is not None:
        return steel.softening
    kind = [s for s in steels().values() if s.softening and steel.condition in (None, s.condition)]
    name, low = min(((s.name, s.softening) for s in kind if s.softening), key=lambda pair: pair[1].part)
    words = f"lowest of {steel.condition or 'every'} steel{'' if steel.condition else ' there is'}, {name}"
    return replace(low, source=f"{words}: {low.source}", assumed=True)


@cache
def cautious_softening() -> Softening:
    """The most careful published figure, for any steel."""
    return Softening(**_data("steels.toml")["cautious_softening"])


def typical_of(steel: Steel) -> Typical:
    """What the steel is delivered at: its own row's figure, what its mill sheet says, or a factor for any."""
    if steel.certainty == "shop":
        return Typical(source=steel.source, certainty="shop")
    return steel.typical or Typical(**_data("steels.toml")["usual_typical"])
