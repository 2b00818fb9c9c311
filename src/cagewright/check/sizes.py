"""Tube sizes against a book's list: OD and wall together, for the steels and makes each size holds for."""

from __future__ import annotations

import re
from collections.abc import Iterable

from cagewright.base.units import MM_PER_IN, LengthUnit
from cagewright.check.rules import LeastSize, Rider, WeightStep
from cagewright.stock.catalogue import steels
from cagewright.stock.sections import size_words
from cagewright.stock.steels import Steel
from cagewright.stock.tubes import Tube

ROUNDING = 1e-6
"""mm: what unit conversion may leave on a nominal size."""


def both(*parts: bool | None) -> bool | None:
    """All of them: False where any is, else None where any is unknown, else True."""
    if False in parts:
        return False
    return None if None in parts else True


def either(parts: Iterable[bool | None]) -> bool | None:
    """Any of them: True where any is, else None where any is unknown, else False."""
    seen = tuple(parts)
    if True in seen:
        return True
    return None if None in seen else False


def is_4130(steel: Steel) -> bool | None:
    """Whether the steel is chromium-molybdenum 4130; None for a plan's own steel whose name does not say."""
    return _is_called(steel, r"4130|25CrMo4")


def is_r8(steel: Steel) -> bool | None:
    """Whether the steel is the trade's R8; None for a plan's own steel whose name does not say."""
    return _is_called(steel, r"\bR8\b")


def _is_called(steel: Steel, words: str) -> bool | None:
    if re.search(words, steel.name):
        return True
    return False if steel.name in steels() else None


def is_seamless_or_drawn(steel: Steel) -> bool | None:
    """Whether the tube is seamless or drawn over a mandrel; None where neither row nor name says."""
    return True if "DOM" in steel.name else steel.is_sold("seamless", "drawn")


def holds_for(size: LeastSize, steel: Steel) -> bool | None:
    """Whether a book's size may be used for that steel and make."""
    by_steel = {"4130": is_4130(steel), "R8": is_r8(steel)}.get(size.steel, True)
    by_make = is_seamless_or_drawn(steel) if size.make == "seamless or drawn" else True
    return both(by_steel, by_make)


def is_at_least(tube: Tube, size: LeastSize) -> bool:
    """Whether it is round tube whose OD and wall both reach the size."""
    return tube.is_round and tube.od >= size.od - ROUNDING and tube.wall >= size.wall - ROUNDING


def big_enough(tube: Tube, sizes: Iterable[LeastSize]) -> bool | None:
    """Whether the tube reaches any of the sizes, in its steel; None where the steel or make is not known."""
    return either(both(is_at_least(tube, size), holds_for(size, tube.steel)) for size in sizes)


def rides(tube: Tube, step: WeightStep, rider: Rider | None) -> bool:
    """Whether the tube passes by the rider: OD well over the line's least OD, wall at least the rider's."""
    if rider is None or not tube.is_round:
        return False
    least = min(size.od for size in step.sizes)
    return tube.od >= least + rider.more_od.value - ROUNDING and tube.wall >= rider.wall.value - ROUNDING


def say_sizes(sizes: Iterable[LeastSize]) -> str:
    """The sizes as the book writes them, with 'or' between."""
    return " or ".join(size.text for size in sizes)


def say_tube(tube: Tube, units: LengthUnit) -> str:
    """The tube's size and steel: ``45 x 2.5 mm E355+N`` or ``1.750 x 0.095 in 4130+N``."""
    if not tube.is_round:
        return f"{size_words(tube.section, units)} {tube.steel.name}"
    if units == "mm":
        return f"{tube.od:g} x {tube.wall:g} mm {tube.steel.name}"
    return f"{tube.od / MM_PER_IN:.3f} x {tube.wall / MM_PER_IN:.3f} in {tube.steel.name}"
