"""Cells of the shop's tables: lengths as the builder's tape reads, angles, weights."""

from __future__ import annotations

from cagewright.base.say import number, say_angle, unit_of
from cagewright.base.sheet import Column, Table
from cagewright.base.units import LengthUnit


def length_column(head: str, units: LengthUnit) -> Column:
    """A column of lengths."""
    return Column(head=head, unit=unit_of("length", units), align="right")


def length_cell(mm: float, units: LengthUnit) -> str:
    """``517.5``, ``20 3/8``, ``20.375``."""
    return number(mm, "length", units)


def wall_cell(mm: float, units: LengthUnit) -> str:
    """A wall or a saw cut, finer than a tape reads: ``2.14``, ``0.084``."""
    return f"{mm:.2f}" if units == "mm" else number(mm, "length", "decimal in")


def angle_cell(rad: float | None) -> str:
    """The angle in degrees, or a dash where it is not known."""
    return "–" if rad is None else say_angle(rad)


def money_cell(amount: float | None, currency: str) -> str:
    """The amount with its currency, or a dash where there are no prices."""
    return "–" if amount is None else f"{amount:.2f} {currency}".strip()


def facts(title: str, rows: tuple[tuple[str, str], ...]) -> Table:
    """A table of two columns: what, and how much."""
    return Table(title=title, columns=(Column(head=""), Column(head="", align="right")), rows=rows)
