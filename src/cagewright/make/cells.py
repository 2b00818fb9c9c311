"""Cells of the shop's tables: lengths as the builder's tape reads, angles, weights."""

from __future__ import annotations

import math

from cagewright.base.say import say_length
from cagewright.base.sheet import Column, Table
from cagewright.base.units import KG_PER_LB, LengthUnit


def length_column(head: str, units: LengthUnit) -> Column:
    """A column of lengths; inch cells carry their own mark."""
    return Column(head=head, unit="mm" if units == "mm" else "", align="right")


def length_cell(mm: float, units: LengthUnit) -> str:
    """``517.5``, or ``20 3/8" (+0.0 mm)`` with the remainder stated."""
    return f"{round(mm, 1) + 0.0:.1f}" if units == "mm" else say_length(mm, units)


def angle_cell(rad: float | None) -> str:
    """The angle in degrees, or a dash where it is not known."""
    return "–" if rad is None else f"{round(math.degrees(rad), 1) + 0.0:.1f}°"


def mass_cell(kg: float, units: LengthUnit) -> str:
    """``3.21 kg``, with pounds besides where the tape reads inches."""
    return f"{kg:.2f} kg" if units == "mm" else f"{kg / KG_PER_LB:.2f} lb ({kg:.2f} kg)"


def money_cell(amount: float | None, currency: str) -> str:
    """The amount with its currency, or a dash where there are no prices."""
    return "–" if amount is None else f"{amount:.2f} {currency}".strip()


def facts(title: str, rows: tuple[tuple[str, str], ...]) -> Table:
    """A table of two columns: what, and how much."""
    return Table(title=title, columns=(Column(head=""), Column(head="", align="right")), rows=rows)
