"""How sure a ranking is: which cage takes up more, draw by draw, and how far they differ."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cagewright.frame.counted import CountedCurve

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
HOLDS = 0.9
"""A ranking holds where it is so in this part of the draws (a choice, no source)."""
LOW, HIGH = 5.0, 95.0
"""The spread is told between these percentiles."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnPushes:
    """What one case did under one push in each of n draws.

    Attributes:
        curves: n curves as far as each counts; None where the push could not be solved.
        kinds: what ended the count of each, n words.
    """

    curves: tuple[CountedCurve | None, ...]
    kinds: tuple[str, ...]

    @property
    def ends(self) -> Floats:
        """Travel (n,) mm that each counts to; not a number where there is none."""
        return np.array([np.nan if c is None else c.travel[-1] for c in self.curves])

    def energies(self, travel: Floats) -> Floats:
        """What is taken up by ``travel`` (n,) mm of each draw, J; not a number where that is not known."""
        pairs = zip(self.curves, travel, strict=True)
        return np.array([np.nan if c is None else float(np.interp(t, c.travel, c.work)) for c, t in pairs])


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """One case beside another over the same draws, each by the lesser travel that the two count to.

    By that travel nothing has touched a person, torn or parted in either, and both were followed so far.

    Attributes:
        draws: how many.
        more: in how many of them it takes up more.
        less: in how many less.
        same: in how many as much, to the last digit: what differs plays no part in the push.
        untold: in how many one of the two could not be solved.
        further: in how many it counts further, to a later touch, tear or parting.
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
    further: int
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


def ahead(one: DrawnPushes, other: DrawnPushes) -> Ahead:
    """``one`` beside ``other``, draw by draw.

    Raises:
        ValueError: they have not the same draws.
    """
    if len(one.curves) != len(other.curves):
        raise ValueError("the two have not the same draws")
    ends = one.ends, other.ends
    by = np.minimum(*ends)
    off = one.energies(by) - other.energies(by)
    told = np.isfinite(off)
    low, middle, high = np.percentile(off[told], [LOW, 50.0, HIGH]) if told.any() else (None, None, None)
    return Ahead(
        draws=len(off),
        more=int((off > 0.0).sum()),
        less=int((off < 0.0).sum()),
        same=int((off == 0.0).sum()),
        untold=int((~told).sum()),
        further=int((ends[0] > ends[1]).sum()),
        middle=None if middle is None else float(middle),
        low=None if low is None else float(low),
        high=None if high is None else float(high),
        differences=off,
    )


def most_of_all(cases: Sequence[DrawnPushes]) -> Ints:
    """In how many draws each of the cases (c,) takes up the most, all by the least travel of any."""
    by = np.min([c.ends for c in cases], axis=0)
    energy = np.array([c.energies(by) for c in cases])
    energy = energy[:, np.isfinite(energy).all(axis=0)]
    return np.bincount(energy.argmax(axis=0), minlength=len(cases))
