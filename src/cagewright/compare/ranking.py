"""How sure a ranking is: which cage takes up more, draw by draw, and how far they differ."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
HOLDS = 0.9
"""A ranking holds where it is so in this part of the draws (a choice, no source)."""
LOW, HIGH = 5.0, 95.0
"""The spread is told between these percentiles."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnEnergies:
    """What one case took up under one push in each of n draws.

    Attributes:
        energy: (n,) J; not a number where the push could not be solved.
        least: (n,) True where it took up at least so much: the push could not be followed further.
        kinds: what ended the count of each, n words.
    """

    energy: Floats
    least: Flags
    kinds: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """One case beside another over the same draws.

    Attributes:
        draws: how many.
        more: in how many of them it takes up more.
        less: in how many less.
        same: in how many as much, to the last digit: what differs plays no part in the push.
        untold: in how many it cannot be told.
        middle: J, the median difference; None where none can be told.
        low: J, its 5th percentile.
        high: J, its 95th.
        differences: (n,) J, not a number where it cannot be told.
    """

    draws: int
    more: int
    less: int
    same: int
    untold: int
    middle: float | None
    low: float | None
    high: float | None
    differences: Floats

    @property
    def holds(self) -> bool:
        """Whether one of the two is ahead in nearly all draws."""
        return max(self.more, self.less) >= HOLDS * self.draws

    @property
    def hidden(self) -> bool:
        """Whether so many draws cannot be told that one of the two might be ahead in nearly all."""
        return not self.holds and max(self.more, self.less) + self.untold >= HOLDS * self.draws


def ahead(one: DrawnEnergies, other: DrawnEnergies) -> Ahead:
    """``one`` beside ``other``, draw by draw; a lower bound decides only what it bounds.

    Raises:
        ValueError: they have not the same draws.
    """
    if len(one.energy) != len(other.energy):
        raise ValueError("the two have not the same draws")
    off = one.energy - other.energy
    more = (off > 0.0) & ~other.least
    less = (off < 0.0) & ~one.least
    same = (off == 0.0) & ~one.least & ~other.least
    told = np.isfinite(off) & ~one.least & ~other.least
    low, middle, high = np.percentile(off[told], [LOW, 50.0, HIGH]) if told.any() else (None, None, None)
    return Ahead(
        draws=len(off),
        more=int(more.sum()),
        less=int(less.sum()),
        same=int(same.sum()),
        untold=len(off) - int(more.sum()) - int(less.sum()) - int(same.sum()),
        middle=None if middle is None else float(middle),
        low=None if low is None else float(low),
        high=None if high is None else float(high),
        differences=np.where(told, off, np.nan),
    )
