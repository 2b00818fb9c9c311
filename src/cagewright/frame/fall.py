"""Where a frame comes to rest after it gives way at once under a tool that does not move on.

A rig moves its tool by a set travel. Where the path of balance turns back in travel, no balance is left near
by, and the frame jumps to another one at the same travel. That jump is fast; where it ends is found by going
downhill in energy with a drag on every node (pseudo-transient continuation: C. T. Kelley and D. E. Keyes,
SIAM J. Numer. Anal. 35 (1998) 508-523), as a frame that is shaken out comes to rest.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.frame.assemble import Assembly, backsolve, evaluate, factorise
from cagewright.frame.continuation import State, advance, unbalance
from cagewright.frame.model import Floats

TRIES = 800
"""Most steps downhill."""
FAR = 5.0
"""mm, the most that a node moves in a step downhill."""
TRUE = 0.3
"""How far the forces after a step may be from what its tangent foretold, over those before it."""


@dataclass(slots=True, kw_only=True)
class _Slope:
    """Where a falling frame is: its forces out of balance and its tangent.

    Attributes:
        state: nodes, turns.
        residual: (n, 6) N and N mm, what pulls it on.
        off: N, the largest of them.
        diag: (c, 6, 6) diagonal blocks.
        blocks: (b, 6, 6) the others.
    """

    state: State
    residual: Floats
    off: float
    diag: Floats
    blocks: Floats


def come_to_rest(
    a: Assembly, state: State, *, travel: float, tolerance: float, largest: float
) -> State | None:
    """``state`` moved to a balance it can stay in, the tool at ``travel`` mm, or None where none is found.

    Args:
        a: the frame with its tool.
        state: where it last was in balance; not moved.
        travel: of the tool, from its start.
        tolerance: largest force out of balance, over ``largest``.
        largest: N.
    """
    arm = float(a.beams.length.mean()) if len(a.beams.length) else 1.0
    weight = np.array([1.0, 1.0, 1.0, arm**2, arm**2, arm**2])
    here, drag = _slope(a, state.copy(), travel), 1.0
    for _ in range(TRIES):
        if here.off < tolerance * largest:
            a.diag[:], a.off[:] = here.diag, here.blocks
            if factorise(a)[0] == 0:
                evaluate(a, here.state.x, here.state.r, travel=travel)
                here.state.load = a.pressed[0]
                return here.state
        step, drag = _downhill(a, here, weight, drag)
        if step is None:
            return None
        there = here.state.copy()
        advance(there, 0.0, step)
        new = _slope(a, there, travel)
        error = unbalance(a, new.residual - drag * weight * step) / max(here.off, tolerance * largest, 1e-300)
        if error > TRUE:
            drag *= 4.0
            continue
        here = new
        drag = 0.25 * drag if error < 0.3 * TRUE and drag > 1e-6 else drag
    return None


def _slope(a: Assembly, state: State, travel: float) -> _Slope:
    evaluate(a, state.x, state.r, travel=travel)
    residual = -a.force
    return _Slope(
        state=state, residual=residual, off=unbalance(a, residual), diag=a.diag.copy(), blocks=a.off.copy()
    )


def _downhill(a: Assembly, here: _Slope, weight: Floats, drag: float) -> tuple[Floats | None, float]:
    """A step (n, 6) down in energy no longer than ``FAR``, and the drag, N/mm, that makes it so."""
    free = a.top.slots.free[a.top.active] * weight
    for _ in range(60):
        a.diag[:], a.off[:] = here.diag, here.blocks
        for dof in range(6):
            a.diag[:, dof, dof] += drag * free[:, dof]
        negative, _ = factorise(a)
        step = backsolve(a, here.residual[None])[0]
        if negative == 0 and float(np.abs(step[:, :3]).max()) <= FAR:
            return step, drag
        drag *= 4.0
    return None, drag
