"""The welds of one step of the build: what they will pull, a better order, and what to set off beforehand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from cagewright.base.vectors import Vector
from cagewright.fitup.adjust import Adjusted
from cagewright.fitup.order import BuildStep, present_at, welded_before
from cagewright.fitup.shrink import (
    Bead,
    ShopFactor,
    Shrinkage,
    Shrunk,
    Watched,
    calibrate,
    propose,
    shrink,
    shrinkage_of,
    usual_beads,
)
from cagewright.shape.types import Cage, member_named

SEEN = 0.25
"""A predicted movement smaller than this says nothing about the shop's factor, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldStep:
    """The welds of one step.

    Attributes:
        step: of the build.
        pulls: what each weld does if nothing holds it back, in the step's order.
        as_listed: what they move in the step's order, each begun towards the inside.
        proposed: the same in the order, and begun on the sides, that keep the ends nearest their places.
        feet: welds of the step at feet, of which nothing is computed.
        factor: the shop's own, by which every shrinkage is multiplied.
    """

    step: BuildStep
    pulls: tuple[Shrinkage, ...]
    as_listed: Shrunk
    proposed: Shrunk
    feet: tuple[str, ...]
    factor: float


def weld_step(cage: Cage, steps: Sequence[BuildStep], number: int, *, factor: float = 1.0) -> WeldStep:
    """What the welds of a step pull, against the stiffness of all that is there and welded by then.

    Args:
        cage: as planned.
        steps: of the build.
        number: which one.
        factor: the shop's own; 1 where it has read nothing yet.

    Raises:
        FrameError: what is there at that step cannot stand.
        StopIteration: there is no such step.
    """
    step = next(s for s in steps if s.number == number)
    there = present_at(steps, number)
    made = [j.name for j in cage.joints if j.branch in there and any(m in there for m in j.mains)]
    joints = [name for name in step.weld if name in made]
    opened = tuple(j.name for j in cage.joints if j.branch in there and j.name not in made)
    watched = _ends(cage, there)
    built = {"present": there, "welded": welded_before(steps, number), "open_ends": opened}
    proposal = propose(cage, joints, watched, **built, factor=factor)
    return WeldStep(
        step=step,
        pulls=tuple(shrinkage_of(cage, j, factor=factor) for j in joints),
        as_listed=shrink(cage, usual_beads(cage, joints), watched, **built, factor=factor),
        proposed=shrink(cage, proposal, watched, **built, factor=factor),
        feet=tuple(name for name in step.weld if name not in {j.name for j in cage.joints}),
        factor=factor,
    )


def _ends(cage: Cage, there: Sequence[str]) -> tuple[Watched, ...]:
    return tuple(
        Watched(name=f"{m.name}.{e.which}", member=m.name, along=0.0 if e.which == "start" else m.path.length)
        for m in cage.members
        if m.name in there
        for e in m.ends
    )


def first_words(cage: Cage, bead: Bead) -> str:
    """The side that a weld is begun on, in words: ``on the rear side``, ``on the inside``."""
    way, at = bead.first, member_named(cage, bead.joint.rpartition(".")[0]).path.pieces[0].start
    axis = int(np.argmax(np.abs(way)))
    if axis == 1:
        return "on the inside" if (way[1] > 0.0) != (at[1] > 0.0) else "on the outside"
    return f"on the {(('front', 'rear'), ('', ''), ('under', 'top'))[axis][int(way[axis] > 0.0)]} side"


# --- the shop's own factor


def factor_from(found: WeldStep, before: Adjusted, after: Adjusted, *, size: float = 1.0) -> ShopFactor:
    """The shop's own factor from where the ends were before and after the welds of a step.

    Only ends that both sets of readings fix, and that the model says move by ``SEEN`` or more, count; each by
    how far it came along the way it was said to.

    Args:
        found: the step's welds as they were made (its ``proposed``), at any factor.
        before: positions read before welding.
        after: positions read after it.
        size: standard deviation of a movement, mm.
    """
    moves = found.proposed.moves / found.factor
    there = _places(before), _places(after)
    rows = [
        (float(np.sqrt(move @ move)), there[1][w.name] - there[0][w.name], move)
        for w, move in zip(found.proposed.watched, moves, strict=True)
        if w.name in there[0] and w.name in there[1] and float(np.sqrt(move @ move)) >= SEEN
    ]
    return calibrate([p for p, _, _ in rows], [float(m @ way) / p for p, m, way in rows], size=size)


def _places(adjusted: Adjusted) -> Mapping[str, Vector]:
    net = adjusted.net
    return {m.name: adjusted.places[i] for i, m in enumerate(net.marks) if m.member and net.body[i] >= 0}
