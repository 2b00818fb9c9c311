"""The built-in rows of steels and tube sizes."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from cagewright.stock.steels import Certainty, Steel


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeRow:
    """A tube size on sale: ``name`` as builders write it, ``od`` and ``wall`` in mm, its source."""

    name: str
    od: float
    wall: float
    source: str
    certainty: Certainty


def _rows(file: str, table: str) -> list[dict[str, Any]]:
    text = files("cagewright.stock").joinpath("data", file).read_text(encoding="utf-8")
    return tomllib.loads(text)[table]


@cache
def steels() -> dict[str, Steel]:
    """Every built-in steel by name."""
    return {row["name"]: Steel(**row) for row in _rows("steels.toml", "steel")}


@cache
def sizes() -> tuple[SizeRow, ...]:
    """Every built-in tube size."""
    return tuple(SizeRow(**row) for row in _rows("sizes.toml", "size"))
