"""A change as a builder says it, for the list of what can be undone and for an alternative's note."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cagewright.base.names import listed, shown
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.plan.places import AtFoot, AtPoint, OnMember, Place
from cagewright.plan.types import TubeEntry
from cagewright.stock.sections import size_words

WAYS = (("back", "forward", "back"), ("across", "to the left", "to the right"), ("up", "down", "up"))
"""For back, across and up: the axis, and which way less and more of it is."""
LEAST = 0.05
"""Steps less than this, mm, are not told of."""
MOST = 4
"""So many names are said in full; of more, only how many."""


def _ways(step: Iterable[float]) -> Iterator[tuple[int, str, float]]:
    """For each axis along which the step goes: its number, which way in words, and how far, mm."""
    for n, ((_, less, more), by) in enumerate(zip(WAYS, step, strict=True)):
        if abs(by) >= LEAST:
            yield n, more if by > 0.0 else less, abs(by)


def step_words(before: Iterable[float], after: Iterable[float], units: LengthUnit) -> str:
    """``moved up 12.0 mm to 1220.0 mm``, one part for each axis that changes."""
    was, now = [float(v) for v in before], [float(v) for v in after]
    tails = (" back", " across", "")
    parts = [
        f"{way} {say_length(far, units)} to {say_length(now[n], units)}{tails[n]}"
        for n, way, far in _ways(b - a for a, b in zip(was, now, strict=True))
    ]
    return f"moved {', '.join(parts)}" if parts else "left where it was"


def by_words(by: Iterable[float], units: LengthUnit) -> str:
    """The step in words: ``120.0 mm back and 20.0 mm down``."""
    return " and ".join(f"{say_length(far, units)} {way}" for _, way, far in _ways(by))


def place_words(index: int, places: int) -> str:
    """The place of a path as the builder says it: ``start``, ``end`` or ``place 3``."""
    return "start" if index == 0 else "end" if index in (-1, places - 1) else f"place {index + 1}"


def sits_words(to: Place) -> str:
    """What a place is put on."""
    if isinstance(to, OnMember):
        return f"put on {shown(to.on)}"
    if isinstance(to, AtFoot):
        return f"put on foot {shown(to.foot)}"
    return f"put at point {shown(to.point)}" if isinstance(to, AtPoint) else "set free"


def some(names: Iterable[str]) -> str:
    """The names in a row, the many cut short: ``main hoop, header, dash bar, sill and 3 more``."""
    return listed(names, MOST)


def tube_words(tube: TubeEntry, units: LengthUnit) -> str:
    """The size and steel: ``38 x 2.5 mm E355+N``, ``1 1/2 x 0.095 in A513-5 1020``."""
    return f"{size_words(tube.section, units)} {tube.steel}"
