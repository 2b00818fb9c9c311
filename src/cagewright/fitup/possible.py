"""Whether a reading can be true of a tube tacked near its place, and why not."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cagewright.base.units import MM_PER_IN
from cagewright.fitup.choose import as_planned
from cagewright.fitup.network import Network, Reading

FAR = 300.0
"""A reading this far from the plan is impossible for a tube that is tacked near its place, mm (assumed)."""
FAR_LEAN = 0.35
"""The same for a lean, rad (20 degrees; assumed)."""


class RefusedReading(Exception):
    """Why a reading cannot be used: code, what was found, what was wanted, and a word with its likes."""

    def __init__(
        self, code: str, found: str, wanted: str, like: tuple[str, Sequence[str]] | None = None
    ) -> None:
        super().__init__(found)
        self.code, self.wanted, self.like = code, wanted, like


def possible(reading: Reading, said: str, net: Network) -> None:
    """Nothing, where the reading can be true.

    Raises:
        RefusedReading: wrong units, no distance, between marks that cannot move, too far from the plan.
    """
    if reading.kind == "tape" and reading.seen <= 0.0:
        raise RefusedReading("impossible", "is no distance", "wanted more than 0")
    ends = [int(net.body[net.index[n]]) for n in (reading.a, reading.b) if n]
    if reading.kind == "tape" and ends[0] == ends[1]:
        found = "both marks are on one body, so it says nothing of where that is"
        raise RefusedReading("same-body", found, "wanted marks of two bodies")
    if set(ends) == {-1}:
        raise RefusedReading("same-body", "the mark does not move", "wanted a mark of a body that can move")
    plan, lean = as_planned(net, reading), reading.kind == "lean"
    if abs(reading.seen - plan) <= (FAR_LEAN if lean else FAR):
        return
    if lean:
        found = f"the plan has {np.degrees(plan):.1f} deg"
        wanted = f"wanted a reading within {np.degrees(FAR_LEAN):.0f} deg of it: read it again"
        raise RefusedReading("impossible", found, wanted)
    for factor, words in (
        (MM_PER_IN, "inches, read as mm"),
        (1.0 / MM_PER_IN, "mm, read as inches"),
        (10.0, "cm, read as mm"),
    ):
        if abs(reading.seen * factor - plan) < 0.05 * abs(plan):
            found = f"looks like {words} (the plan has {plan:.0f} mm)"
            raise RefusedReading("mixed-units", found, "wanted the unit written after the number")
    wanted = f"wanted a reading within {FAR:.0f} mm of it: read it again"
    raise RefusedReading("impossible", f"the plan has {plan:.0f} mm", wanted)
