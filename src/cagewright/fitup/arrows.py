"""What to pull, as arrows: from where an end is to where the plan wants it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector
from cagewright.fitup.adjust import Adjusted
from cagewright.fitup.pull import EndStands, Stands, off_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrow:
    """One pull.

    Attributes:
        mark: the mark that is pulled.
        member: the tube it is on.
        start: (3,) where it is, mm; further off by the stretch it was asked for.
        stop: (3,) where the plan wants it, mm.
        stands: how the end stands.
        words: which way and how far, without stretch: ``4 mm back and 2 mm in``.
    """

    mark: str
    member: str
    start: Vector
    stop: Vector
    stands: Stands
    words: str


def arrows_of(
    adjusted: Adjusted, stands: Sequence[EndStands], *, stretch: float = 1.0, units: LengthUnit = "mm"
) -> tuple[Arrow, ...]:
    """An arrow for every end that is not in place, in the order of ``stands``.

    Args:
        adjusted: where everything is.
        stands: how the ends stand, as ``stands_of`` has them.
        stretch: arrows are drawn so many times as long as the pull, for a few mm cannot be seen on a cage.
        units: what the builder's tape reads.

    Raises:
        ValueError: a stretch that is not more than 0.
    """
    if not stretch > 0.0:
        raise ValueError("arrows are stretched by more than 0")
    return tuple(_arrow(adjusted, s, stretch, units) for s in stands if s.stands != "in place")


def _arrow(adjusted: Adjusted, s: EndStands, stretch: float, units: LengthUnit) -> Arrow:
    wanted = adjusted.net.points[adjusted.net.index[s.mark]]
    return Arrow(
        mark=s.mark,
        member=s.member,
        start=wanted + stretch * s.off,
        stop=wanted,
        stands=s.stands,
        words=off_words(-s.off, None, wanted, units),
    )
