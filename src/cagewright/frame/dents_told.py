"""The dents that a push leaves, and where a dented tube bends: it is weaker there than the model has it."""

from __future__ import annotations

import numpy as np

from cagewright.base.say import say_length
from cagewright.frame.dents import DEEP, SOURCE, bending_left
from cagewright.frame.idealise import Idealised
from cagewright.frame.members import along_of
from cagewright.frame.model import Solution
from cagewright.frame.results import Dent
from cagewright.frame.spots import spot_on

NEAR = 1.0
"""A tube bends at a dent where a hinge is within this many diameters of it."""


def dents_told(model: Idealised, solution: Solution, travel: float) -> tuple[Dent, ...]:
    """Each member's deepest dent by ``travel`` mm, where it is deep enough to tell; the deepest first."""
    if not solution.dent.size:
        return ()
    step = min(int(np.searchsorted(solution.travel, travel - 1e-9)), len(solution.travel) - 1)
    depth, found = solution.dent[step], list[Dent]()
    hinged = [
        (int(model.member[e.index]), along_of(model, e.index, 0.5))
        for e in solution.events
        if e.kind == "hinge" and e.travel <= travel
    ]
    for number, member in enumerate(model.cage.members):
        mine = np.flatnonzero(model.member == number)
        element, od = int(mine[int(np.argmax(depth[mine]))]), member.tube.across
        if depth[element] < DEEP * od:
            continue
        start, stop = (float(v) for v in model.along[element])
        bends = any(m == number and start - NEAR * od <= at <= stop + NEAR * od for m, at in hinged)
        left = bending_left(float(depth[element]), od)
        spot = spot_on(model.cage, member, along_of(model, element, 0.5))
        found.append(Dent(spot=spot, depth=float(depth[element]), left=left, bends=bends))
    return tuple(sorted(found, key=lambda d: -d.depth))


def dent_notes(model: Idealised, dents: tuple[Dent, ...]) -> tuple[str, ...]:
    """A warning for each dent at which its tube bends through, and where the dents' formula is from."""
    units = model.cage.units
    said = [
        f"{d.spot.words} is dented {say_length(d.depth, units, places=1)} and bends there: a dented tube has "
        f"{d.left:.0%} of its bending strength left, and that is not counted"
        for d in dents
        if d.bends
    ]
    return (*said, SOURCE) if dents else ()
