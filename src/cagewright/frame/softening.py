"""The softened zone beside a weld."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from cagewright.stock.steels import Certainty


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """Softened zone: ``part`` of the yield strength is left within ``reach`` mm of the weld."""

    part: float
    reach: float
    source: str
    certainty: Certainty


@cache
def zones() -> dict[str, Zone]:
    """Every row by steel name, with ``rest`` for steels that keep their strength and ``cautious`` for any."""
    text = files("cagewright.frame").joinpath("data", "softening.toml").read_text(encoding="utf-8")
    rows = tomllib.loads(text)["zone"]
    return {
        name: Zone(part=row["part"], reach=row["reach"], source=row["source"], certainty=row["certainty"])
        for row in rows
        for name in row["steels"]
    }


def zone_for(steel: str, *, cautious: bool = False) -> Zone:
    """The zone of a steel; ``cautious`` takes the most careful published row for any steel."""
    return zones()["cautious"] if cautious else zones().get(steel, zones()["rest"])
