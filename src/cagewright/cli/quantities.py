"""Lengths, angles and speeds as options of commands: a bare number, or one with its unit."""

from __future__ import annotations

import math
from collections.abc import Callable

import typer

from cagewright.base.units import Kind, QuantityError, parse

_SAID = {"length": ("mm", 1.0), "angle": ("deg", math.pi / 180.0)}


def quantity(kind: Kind, *, low: float = -math.inf, high: float = math.inf) -> Callable[[str], float]:
    """What reads an option's text (``3``, ``'1/8 in'``, ``'30 deg'``) as a quantity in inside units.

    Args:
        kind: of the quantity: ``length`` in mm, ``angle`` in rad, ``speed`` in mm/s.
        low: least that is taken, in mm, degrees or mm/s.
        high: most that is taken, likewise.
    """
    unit, scale = _SAID.get(kind, ("mm/s", 1.0))

    def read(text: str) -> float:
        try:
            value = parse(text, kind)
        except QuantityError as wrong:
            raise typer.BadParameter(str(wrong)) from None
        if not low - 1e-9 <= value / scale <= high + 1e-9:
            most = f" to {high:g} {unit}" if math.isfinite(high) else " or more"
            raise typer.BadParameter(f"wanted {low:g} {unit}{most}")
        return value

    return read


TUBE_LENGTH = quantity("length", low=0.1)
"""A tube's diameter, wall, radius or length."""
