"""Reading and printing quantities as a builder writes them: mm, inches with fractions, degrees, kg, N."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Literal

MM_PER_IN = 25.4
KG_PER_LB = 0.45359237
N_PER_LBF = 4.4482216152605
MPA_PER_KSI = 6.894757293168361
G = 9.80665
"""Standard gravity, m/s2 (CGPM 1901)."""

LengthUnit = Literal["mm", "in", "decimal in"]
"""Units in which a plan's figures are said; inches in fractions, or in decimals where the builder sets it."""
Kind = Literal[
    "length", "angle", "mass", "force", "stress", "area", "energy", "speed", "time", "share", "number",
]  # fmt: skip

_SCALE: dict[Kind, dict[str, float]] = {
    "length": {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_IN, '"': MM_PER_IN, "ft": 12 * MM_PER_IN},
    "angle": {"deg": math.pi / 180, "°": math.pi / 180, "rad": 1.0},
    "mass": {"kg": 1.0, "g": 0.001, "t": 1000.0, "lb": KG_PER_LB},
    "force": {"N": 1.0, "kN": 1000.0, "daN": 10.0, "lbf": N_PER_LBF},
    "stress": {"MPa": 1.0, "N/mm2": 1.0, "GPa": 1000.0, "ksi": MPA_PER_KSI},
    "area": {"mm2": 1.0, "cm2": 100.0, "in2": MM_PER_IN**2},
    "energy": {"J": 1.0, "kJ": 1000.0},
    "speed": {"mm/s": 1.0, "m/s": 1e3, "km/h": 1e3 / 3.6, "mph": 5280 * 12 * MM_PER_IN / 3600.0},
    "time": {"min": 1.0 / 60.0, "h": 1.0},
    "share": {"%": 0.01},
    "number": {},
}
_BARE: dict[Kind, str] = {
    "length": "mm", "angle": "deg", "mass": "kg", "force": "N", "stress": "MPa", "area": "mm2", "energy": "J",
    "speed": "m/s",
}  # fmt: skip
_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_QUANTITY = re.compile(
    rf"^\s*(?P<sign>[+-])?\s*(?:(?P<whole>\d+)(?:\s+|\s*-\s*))?(?P<num>\d+)\s*/\s*(?P<den>\d+)\s*(?P<funit>\S*)\s*$"
    rf"|^\s*(?P<value>{_NUMBER})\s*(?P<unit>\S*)\s*$"
)
LIMIT = 1e6
"""No quantity of this job is larger than this in its inside unit (1 km, 1000 t)."""


class QuantityError(ValueError):
    """A text that is no quantity of the wanted kind; its message says what was wanted."""


def parse(text: object, kind: Kind, *, bare: str | None = None) -> float:
    """The quantity in inside units: mm, rad, kg, N, MPa, mm2, J, mm/s or h.

    Args:
        text: a number, or text such as ``45``, ``1 3/4 in``, ``20-3/8"``, ``22 deg``.
        kind: which kind of quantity is wanted.
        bare: the unit of a number without one; by default mm, deg, kg, N, MPa, mm2, J, m/s. A time and a
            share always have theirs.

    Raises:
        QuantityError: not a quantity of that kind, not finite, or absurdly large.
    """
    if isinstance(text, bool) or not isinstance(text, int | float | str):
        raise QuantityError(f"wanted {_example(kind)}")
    value, unit = (_finite(float(text)), "") if not isinstance(text, str) else _split(text, kind)
    unit = unit or (bare or _BARE.get(kind, ""))
    scale = _SCALE[kind].get(unit) if kind != "number" else (1.0 if unit == "" else None)
    if scale is None:
        said = f"'{unit}' is no unit of {kind}" if unit else "it has no unit"
        raise QuantityError(f"{said}; wanted {_example(kind)}")
    return _finite(round(value * scale, 9) if kind == "length" else value * scale)


def _split(text: str, kind: Kind) -> tuple[float, str]:
    found = _QUANTITY.match(text) if len(text) <= 60 else None
    if found is None:
        raise QuantityError(f"wanted {_example(kind)}")
    if found["num"] is None:
        return _finite(float(found["value"])), found["unit"]
    return _fraction(found), found["funit"]


def _fraction(found: re.Match[str]) -> float:
    den = int(found["den"])
    if den not in (2, 4, 8, 16, 32, 64):
        raise QuantityError("a fraction is in halves, quarters, eighths, 16ths, 32nds or 64ths")
    if int(found["num"]) >= den and found["whole"]:
        raise QuantityError("the fraction after a whole number must be less than one")
    size = _finite(float(found["whole"] or 0)) + _finite(float(found["num"])) / den
    return -size if found["sign"] == "-" else size


def _finite(value: float) -> float:
    if not math.isfinite(value):
        raise QuantityError("wanted a finite number")
    if abs(value) > LIMIT:
        raise QuantityError(f"{value:.3g} is beyond anything in this job")
    return value


def _example(kind: Kind) -> str:
    return {
        "length": "a length such as 45, '45 mm' or '1 3/4 in'",
        "angle": "an angle such as 30 or '30 deg'",
        "mass": "a mass such as '1080 kg' or '2400 lb'",
        "force": "a force such as '30 kN' or '3000 lbf'",
        "stress": "a stress such as '355 MPa' or '50 ksi'",
        "area": "an area such as '120 cm2' or '9 in2'",
        "energy": "an energy such as '6 kJ'",
        "speed": "a speed such as '10 m/s', '36 km/h' or '25 mph'",
        "time": "a time such as '25 min' or '1.5 h'",
        "share": "a share such as '15 %'",
        "number": "a plain number",
    }[kind]


@dataclass(frozen=True, slots=True, kw_only=True)
class Inches:
    """A length on an inch tape: the nearest mark and what the mark leaves out.

    Attributes:
        text: e.g. ``20 3/8"``.
        remainder: true length less the mark, mm; never hidden when the mark is used as a setting.
    """

    text: str
    remainder: float


def to_inches(mm: float, *, denominator: int) -> Inches:
    """The nearest tape mark to ``mm`` in 1/``denominator`` inch, with the remainder in mm."""
    marks = round(abs(mm) / MM_PER_IN * denominator)
    whole, part = divmod(marks, denominator)
    shared = math.gcd(part, denominator)
    fraction = f"{part // shared}/{denominator // shared}" if part else ""
    body = " ".join(word for word in (str(whole) if whole or not part else "", fraction) if word)
    sign = "-" if mm < 0 and marks else ""
    exact = marks / denominator * MM_PER_IN * (-1 if mm < 0 else 1)
    return Inches(text=f'{sign}{body}"', remainder=mm - exact)
