"""How a figure is said: one house style for commands, pages and papers, by the units of the plan.

A plan in mm is said in mm, kN, J and kg; a plan in inches in inches to the nearest 1/32 (or in decimals of an
inch where the builder sets it), lbf, ft lbf and lb, without a remainder in mm. Lists for machines are always
in decimals.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from cagewright.base.units import KG_PER_LB, MM_PER_IN, MPA_PER_KSI, N_PER_LBF, LengthUnit

Quantity = Literal[
    "length", "run", "angle", "mass", "force", "moment", "energy", "stress", "stiffness", "area", "speed",
    "inertia", "line mass", "number",
]  # fmt: skip
"""What kind of figure it is. ``run`` is a length of tube, ``line mass`` the mass of a length of it."""
DENOMINATOR = 32
"""The finest mark of an inch tape."""
_LBF_IN = N_PER_LBF * MM_PER_IN
_LB_FT = KG_PER_LB / (12.0 * MM_PER_IN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """A unit as it is said.

    Attributes:
        unit: its sign.
        size: the inside unit (mm, rad, kg, N, N mm, J, MPa, N/mm, mm2, mm/s, mm4, kg/mm) in one of it.
        places: decimals.
        least: the smallest figure said in it where a smaller unit is there, in the inside unit.
    """

    unit: str
    size: float
    places: int
    least: float = 0.0


_METRIC: dict[Quantity, tuple[Scale, ...]] = {
    "length": (Scale(unit="mm", size=1.0, places=1),),
    "run": (Scale(unit="m", size=1000.0, places=2),),
    "angle": (Scale(unit="°", size=math.pi / 180.0, places=1),),
    "mass": (Scale(unit="kg", size=1.0, places=2),),
    "force": (
        Scale(unit="kN", size=1000.0, places=1, least=999.5), Scale(unit="N", size=1.0, places=0),
    ),
    "moment": (
        Scale(unit="kN m", size=1e6, places=2, least=999.5e3), Scale(unit="N m", size=1e3, places=0),
    ),
    "energy": (Scale(unit="J", size=1.0, places=0),),
    "stress": (Scale(unit="MPa", size=1.0, places=0),),
    "stiffness": (Scale(unit="kN/mm", size=1000.0, places=2),),
    "area": (Scale(unit="cm²", size=100.0, places=1),),
    "speed": (Scale(unit="m/s", size=1000.0, places=1),),
    "inertia": (Scale(unit="cm⁴", size=1e4, places=2),),
    "line mass": (Scale(unit="kg/m", size=1e-3, places=2),),
    "number": (Scale(unit="", size=1.0, places=2),),
}  # fmt: skip
_INCH: dict[Quantity, tuple[Scale, ...]] = {
    "length": (Scale(unit="in", size=MM_PER_IN, places=3),),
    "run": (Scale(unit="ft", size=12.0 * MM_PER_IN, places=2),),
    "angle": _METRIC["angle"],
    "mass": (Scale(unit="lb", size=KG_PER_LB, places=1),),
    "force": (Scale(unit="lbf", size=N_PER_LBF, places=0),),
    "moment": (Scale(unit="ft lbf", size=12.0 * _LBF_IN, places=0),),
    "energy": (Scale(unit="ft lbf", size=12.0 * _LBF_IN / 1000.0, places=0),),
    "stress": (Scale(unit="ksi", size=MPA_PER_KSI, places=1),),
    "stiffness": (Scale(unit="lbf/in", size=N_PER_LBF / MM_PER_IN, places=0),),
    "area": (Scale(unit="in²", size=MM_PER_IN**2, places=2),),
    "speed": (Scale(unit="ft/s", size=12.0 * MM_PER_IN, places=1),),
    "inertia": (Scale(unit="in⁴", size=MM_PER_IN**4, places=4),),
    "line mass": (Scale(unit="lb/ft", size=_LB_FT, places=2),),
    "number": _METRIC["number"],
}  # fmt: skip
PLAIN_UNIT: dict[Quantity, str] = {
    "length": "mm", "run": "mm", "angle": "deg", "mass": "kg", "force": "N", "moment": "N mm", "energy": "J",
    "stress": "MPa", "stiffness": "N/mm", "area": "mm2", "speed": "mm/s", "inertia": "mm4",
    "line mass": "kg/mm", "number": "",
}  # fmt: skip
"""The unit of each quantity in what is written for programs."""


def scale_of(quantity: Quantity, units: LengthUnit, size: float = math.inf) -> Scale:
    """The scale in which figures of that size are said; of a table or a graph, where no size is given.

    Args:
        quantity: what is said.
        units: of the plan.
        size: the figure in the inside unit, or the largest of several.
    """
    known = (_METRIC if units == "mm" else _INCH)[quantity]
    return next((s for s in known if abs(size) >= s.least), known[-1])


def unit_of(quantity: Quantity, units: LengthUnit) -> str:
    """The unit for the head of a column or the axis of a graph."""
    return scale_of(quantity, units).unit


def number(value: float, quantity: Quantity, units: LengthUnit, *, places: int | None = None) -> str:
    """The figure in ``unit_of(quantity, units)``, without it: for a column whose head says the unit."""
    if quantity == "length" and units == "in":
        return fraction(value)
    return _digits(value, scale_of(quantity, units), places)


def say(
    value: float,
    quantity: Quantity,
    units: LengthUnit,
    *,
    places: int | None = None,
    plus_minus: float | None = None,
    signed: bool = False,
) -> str:
    """The figure with its unit: ``517.5 mm``, ``20 3/8"``, ``35.2 kN``, ``7913 lbf``, ``12.4 ± 0.6 mm``.

    Args:
        value: in the inside unit.
        quantity: what it is.
        units: of the plan.
        places: decimals, where not the usual ones; an inch fraction has none.
        plus_minus: how far it may be out either way, in the inside unit.
        signed: a plus before what is not negative.
    """
    tape = quantity == "length" and units == "in"
    scale = scale_of(quantity, units, value)
    text = fraction(value) if tape else _digits(value, scale, places)
    text = f"+{text}" if signed and not text.startswith("-") else text
    if plus_minus is not None and math.isfinite(plus_minus):
        out = fraction(_up(plus_minus)) if tape else _digits(plus_minus, scale, places)
        text = f"{text} ± {out}"
    if quantity == "length" and units != "mm":
        return f'{text}"'
    return f"{text}{'' if scale.unit in ('', '°') else ' '}{scale.unit}"


def say_size(od: float, wall: float, units: LengthUnit, *, side: float | None = None) -> str:
    """The size of a tube as it is ordered, od and wall in mm: ``45 x 2.5 mm``, ``1 3/4 x 0.095 in``.

    Of other sections ``od`` is the first side and ``side`` the second.
    """
    outside = [od] if side is None else [od, side]
    if units == "mm":
        return f"{' x '.join(f'{v:g}' for v in (*outside, wall))} mm"
    return f"{' x '.join([*(_on_the_rule(v, units) for v in outside), f'{wall / MM_PER_IN:.3f}'])} in"


def _on_the_rule(mm: float, units: LengthUnit) -> str:
    mark = round(mm / MM_PER_IN * 64.0) / 64.0
    whole = units == "in" and abs(mark * MM_PER_IN - mm) < 0.01
    return fraction(mm, denominator=64) if whole else f"{mm / MM_PER_IN:.3f}"


def say_length(mm: float, units: LengthUnit, *, places: int = 1) -> str:
    """The length as the builder reads it: ``517.5 mm``, or ``20 3/8"``."""
    return say(mm, "length", units, places=places if units == "mm" else None)


def say_angle(rad: float, *, places: int = 1) -> str:
    """The angle in degrees, e.g. ``22.5°``."""
    return say(rad, "angle", "mm", places=places)


def fraction(mm: float, *, denominator: int = DENOMINATOR) -> str:
    """The nearest mark of an inch tape, without its sign: ``20 3/8``."""
    marks = round(abs(mm) / MM_PER_IN * denominator)
    whole, part = divmod(marks, denominator)
    shared = math.gcd(part, denominator)
    words = (
        str(whole) if whole or not part else "",
        f"{part // shared}/{denominator // shared}" if part else "",
    )
    return ("-" if mm < 0.0 and marks else "") + " ".join(word for word in words if word)


def span(low: float, high: float, quantity: Quantity, units: LengthUnit, *, places: int | None = None) -> str:
    """Two figures and one unit: ``6 to 14 mm``, ``1/4 to 9/16"``."""
    one = say(low, quantity, units, places=places)
    two = say(high, quantity, units, places=places)
    tail = '"' if two.endswith('"') else f" {scale_of(quantity, units, high).unit}"
    alike = one.endswith(tail) and two.endswith(tail)
    return f"{one.removesuffix(tail) if alike else one} to {two}"


def good_to(give: float, units: LengthUnit) -> str:
    """``, +-8 mm`` behind a length that may be out by so much (mm); nothing under half a millimetre."""
    return f", +-{say_length(math.ceil(give), units, places=0)}" if give >= 0.5 else ""


def _digits(value: float, scale: Scale, places: int | None) -> str:
    text = f"{value / scale.size:.{scale.places if places is None else places}f}"
    return text.removeprefix("-") if float(text) == 0.0 else text


def _up(mm: float) -> float:
    """The next mark of the tape that is not less."""
    step = MM_PER_IN / DENOMINATOR
    return math.ceil(mm / step - 1e-9) * step
