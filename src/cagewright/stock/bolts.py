"""Bolts by size and grade, with the area that carries."""

from __future__ import annotations

import math
import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from cagewright.base.units import MM_PER_IN
from cagewright.stock.steels import Certainty


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltSize:
    """A thread: name, outside diameter and stress area.

    A name such as ``M10`` or ``7/16 UNF``, diameter in mm and stress area in mm2.
    """

    name: str
    diameter: float
    area: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltGrade:
    """A strength grade, MPa; ``shear`` is the share of tensile strength taken in shear on the stress area."""

    name: str
    tensile: float
    yield_strength: float
    shear: float
    source: str
    certainty: Certainty


GAMMA_M2 = 1.25
"""Partial factor of bolts (EN 1993-1-8:2005 Table 2.1, second-hand)."""


def shear_force(bolt: BoltSize, grade: BoltGrade, planes: int = 1) -> float:
    """What a bolt carries across its thread, N: av fub As / M2 a plane (EN 1993-1-8:2005 Table 3.4)."""
    return planes * grade.shear * grade.tensile * bolt.area / GAMMA_M2


def tension_force(bolt: BoltSize, grade: BoltGrade) -> float:
    """What a bolt carries along its axis, N: 0.9 fub As / M2 (EN 1993-1-8:2005 Table 3.4)."""
    return 0.9 * grade.tensile * bolt.area / GAMMA_M2


def stress_area(diameter: float, pitch: float) -> float:
    """The thread's stress area, mm2: pi/4 (d - 0.9382 p)^2 (ISO 898-1; the inch 0.9743/n is within 4 %).

    ISO 898-1 gives As = pi/4 ((d2 + d3)/2)^2, which for the 60-degree thread is d - 0.9382 p; ASME B1.1 gives
    0.7854 (D - 0.9743/n)^2 for inch threads. Both from memory.

    Diameter and pitch are in mm.
    """
    return math.pi / 4.0 * (diameter - 0.938194 * pitch) ** 2


def inch_stress_area(diameter: float, threads: float) -> float:
    """An inch thread's stress area, mm2: pi/4 (D - 0.9743/n)^2 (ASME B1.1, from memory).

    Args:
        diameter: mm.
        threads: per inch.
    """
    return math.pi / 4.0 * (diameter - 0.9743 / threads * MM_PER_IN) ** 2


def _rows(table: str) -> list[dict[str, Any]]:
    text = files("cagewright.stock").joinpath("data", "bolts.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)[table]


@cache
def sizes() -> dict[str, BoltSize]:
    """Every size by its name in small letters without blanks."""
    return {_plain(row["name"]): _size(row) for row in _rows("size")}


def _size(row: dict[str, Any]) -> BoltSize:
    if "threads" in row:
        area = inch_stress_area(row["diameter"], row["threads"])
    else:
        area = stress_area(row["diameter"], row["pitch"])
    return BoltSize(name=row["name"], diameter=row["diameter"], area=area)


@cache
def grades() -> dict[str, BoltGrade]:
    """Every grade by its name in small letters without blanks."""
    return {_plain(row["name"]): BoltGrade(**row) for row in _rows("grade")}


def bolt_named(size: str) -> BoltSize | None:
    """The size written so, or None where it is not known; ``7/16`` and ``7/16-20 UNF`` are one."""
    return sizes().get(_plain(size)) or sizes().get(_plain(_INCH.sub(r"\1 UNF", size.strip())))


def bolt_of(diameter: float) -> BoltSize | None:
    """The size of that outside diameter, mm, within 0.1 mm; None where there is none."""
    near = min(sizes().values(), key=lambda size: abs(size.diameter - diameter))
    return near if abs(near.diameter - diameter) <= 0.1 else None


def grade_named(grade: str) -> BoltGrade | None:
    """The grade written so, or None where it is not known; ``grade 8`` and ``8`` are one."""
    return grades().get(_plain(re.sub(r"(?i)\b(grade|gr\.?|class|iso)\b", "", grade)))


_INCH = re.compile(r"^(\d+/\d+)\s*(?:in|\")?\s*(?:-\s*\d+)?\s*(?:UNF)?$", re.IGNORECASE)


def _plain(text: str) -> str:
    return re.sub(r"\s+", "", text).lower()


_ISO = re.compile(r"^(?:grade |class )?(\d{1,2})\.\d$")


def strength_of(grade: str) -> float | None:
    """Least tensile strength of the grade, MPa; None where it is not known here.

    A grade without a row is read by its name where it is one of ISO 898-1, whose first figure is a hundredth
    of the tensile strength (4.6 has 400 MPa).
    """
    known = grade_named(grade)
    if known is not None:
        return known.tensile
    named = _ISO.match(grade.strip().lower())
    return 100.0 * int(named[1]) if named else None
