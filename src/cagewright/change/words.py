"""A change as a builder says it, for the list of what can be undone and for an alternative's note."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cagewright.base.units import LengthUnit, to_inches
from cagewright.plan.places import AtFoot, AtPoint, OnMember, Place
from cagewright.plan.types import TubeEntry

WAYS = (("back", "forward", "back"), ("across", "to the left", "to the right"), ("up", "down", "up"))
"""For back, across and up: the axis, and which way less and more of it is."""
LEAST = 0.005
"""Steps less than this, mm, are not told of."""


def length(mm: float, units: LengthUnit) -> str:
    """The length as short as it can be said: ``12 mm``, ``12.5 mm``, ``20 3/8"``, ``20 3/8" (+0.3 mm)``."""
    if units == "mm":
        return f"{round(mm, 2) + 0.0:g} mm" if abs(mm) < 1e5 else f"{mm:.0f} mm"
    mark = to_inches(mm, denominator=64)
    left = "" if abs(mark.remainder) < 0.05 else f" ({mark.remainder:+.1f} mm)"
    return f"{mark.text}{left}"


def step_words(before: Iterable[float], after: Iterable[float], units: LengthUnit) -> str:
    """``moved up 12 mm to 1220 mm``, one part for each axis that changes."""
    parts: list[str] = []
    for (axis, less, more), was, now in zip(WAYS, before, after, strict=True):
        step = float(now) - float(was)
        if abs(step) >= LEAST:
            way = more if step > 0.0 else less
            here = "" if axis == "up" else f" {axis}" if axis == "across" else " back"
            parts.append(f"{way} {length(abs(step), units)} to {length(float(now), units)}{here}")
    return f"moved {', '.join(parts)}" if parts else "left where it was"


def place_words(index: int, places: int) -> str:
    """The place of a path as the builder says it: ``start``, ``end`` or ``place 3``."""
    return "start" if index == 0 else "end" if index in (-1, places - 1) else f"place {index + 1}"


def sits_words(to: Place) -> str:
    """What a place is put on."""
    if isinstance(to, OnMember):
        return f"put on {to.on}"
    if isinstance(to, AtFoot):
        return f"put on foot {to.foot}"
    return f"put at point {to.point}" if isinstance(to, AtPoint) else "set free"


def listed(names: Sequence[str], most: int = 4) -> str:
    """The names in a row, the many cut short: ``a, b and 3 more``."""
    if len(names) > most:
        return f"{', '.join(names[:most])} and {len(names) - most} more"
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))


def tube_words(tube: TubeEntry, units: LengthUnit) -> str:
    """The size and steel: ``38 x 2.5 mm E355+N``, ``1 1/2" x 0.095" A513-5 1020``."""
    if units == "mm":
        return f"{tube.od:g} x {tube.wall:g} mm {tube.steel}"
    return f'{length(tube.od, units)} x {tube.wall / 25.4:.3f}" {tube.steel}'
