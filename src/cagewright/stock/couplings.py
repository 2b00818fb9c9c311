"""What a coupling of a tube is made with where nobody says: rows with their source."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from cagewright.stock.steels import Certainty


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualCoupling:
    """A kind of coupling as it is usually made.

    Attributes:
        kind: what it is.
        count: of bolts or pins; through a sleeve on each of its sides.
        bolt: their diameter, mm.
        grade: their strength grade.
        source: where the figures come from.
        certainty: how sure they are.
        thickness: of each flange or lug, or of a sleeve's wall, mm; 0 for the tube's own wall.
        width: of a lug, mm; 0 where it goes by the tube.
        length: of a sleeve, mm; 0 for four diameters of the tube.
    """

    kind: str
    count: int
    bolt: float
    grade: str
    source: str
    certainty: Certainty
    thickness: float = 0.0
    width: float = 0.0
    length: float = 0.0


@cache
def usual_couplings() -> dict[str, UsualCoupling]:
    """Every kind by its name."""
    text = files("cagewright.stock").joinpath("data", "couplings.toml").read_text(encoding="utf-8")
    return {row["kind"]: UsualCoupling(**row) for row in tomllib.loads(text)["coupling"]}
