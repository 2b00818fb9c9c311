"""Where a frame comes to rest after it gives way at once under a tool that does not move on.

A rig moves its tool by a set travel. Where the path of balance turns back in travel, or a part of the frame
lets go, no balance is left near by, and the frame jumps to another one at the same travel. That jump is fast;
where it ends is found by going downhill in energy with a drag on every node, as a frame that is shaken out
comes to rest: pseudo-transient continuation (C. T. Kelley and D. E. Keyes, SIAM J. Numer. Anal. 35 (1998)
508-523), each step of it brought to balance with its drag by Newton's method, so that the drag soon falls to
nothing (a proximal point iteration: R. T. Rockafellar, SIAM J. Control Optim. 14 (1976) 877-898).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.frame.assemble import Assembly, backsolve, evaluate, factorise
from cagewright.frame.continuation import State, advance, unbalance
from cagewright.frame.model import Floats

TRIES = 200
"""Most steps downhill."""
FIRST = 5.0
"""mm that the force out of balance moves its node in the first step, were it loose."""
FAR = 20.0
"""mm, the most that a node moves by one correction."""
CORRECTIONS = 8
"""Most corrections of a step; one that three bring to balance was an easy one."""
LEFT = 0.1
"""Part of the force out of balance at a step's start that it may leave beside its drag."""
EASIER, SLOWER, HARDER = 0.1, 0.3, 6.0
"""The drag is multiplied by one of these after an easy step, after another, and after one that failed."""
LEAST = 1e-9
"""N/mm, the least drag."""


@dataclass(slots=True, kw_only=True)
class _Place:
    """Where a falling frame is: its forces out of balance and its tangent.

    Attributes:
        state: nodes, turns.
        residual: (n, 6) N and N mm, what pulls it on.
        diag: (c, 6, 6) diagonal blocks.
        blocks: (b, 6, 6) the others.
    """

    state: State
    residual: Floats
    diag: Floats
    blocks: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fall:
    """What does not change as a frame falls: the tool's travel mm, and the force taken for balance, N.

    ``weight`` (6,) is the drag on a node's movements and turns for a drag of 1, ``loose`` (c, 6) the same on
    those that can move.
    """

    a: Assembly
    travel: float
    balance: float
    weight: Floats
    loose: Floats


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
    fall = _Fall(
        a=a, travel=travel, balance=tolerance * largest, weight=weight,
        loose=a.top.slots.free[a.top.active] * weight,
    )  # fmt: skip
    here = _place(fall, state.copy())
    drag, stiff = max(unbalance(a, here.residual) / FIRST, LEAST), 0.0
    for _ in range(TRIES):
        if unbalance(a, here.residual) < fall.balance and _stays(fall, here):
            return here.state
        there, corrections = _downhill(fall, here, drag)
        if there is None:
            stiff, drag = drag, HARDER * drag
            continue
        eased = drag * (EASIER if corrections <= 3 else SLOWER)
        if eased < 1.01 * stiff:
            # down to where it failed before by small steps only, and less and less wary of it
            eased, stiff = max(eased, SLOWER * drag), SLOWER * stiff
        here, drag = there, max(eased, LEAST)
    return None


def _place(fall: _Fall, state: State) -> _Place:
    a = fall.a
    evaluate(a, state.x, state.r, travel=fall.travel)
    return _Place(state=state, residual=-a.force, diag=a.diag.copy(), blocks=a.off.copy())


def _stays(fall: _Fall, here: _Place) -> bool:
    """Whether a frame in balance goes back when it is moved a little; its load is then known."""
    a = fall.a
    a.diag[:], a.off[:] = here.diag, here.blocks
    if factorise(a)[0] > 0:
        return False
    evaluate(a, here.state.x, here.state.r, travel=fall.travel)
    here.state.load = a.pressed[0]
    return True


def _downhill(fall: _Fall, here: _Place, drag: float) -> tuple[_Place | None, int]:
    """A step down in energy against ``drag``, N/mm, and its corrections; None where it does not settle."""
    a, state, moved = fall.a, here.state.copy(), np.zeros_like(here.residual)
    a.diag[:], a.off[:] = here.diag, here.blocks
    residual, sizes = here.residual, [unbalance(a, here.residual)]
    for k in range(CORRECTIONS):
        for dof in range(6):
            a.diag[:, dof, dof] += drag * fall.loose[:, dof]
        negative, _ = factorise(a)
        step = backsolve(a, residual[None])[0]
        if (k == 0 and negative > 0) or not float(np.abs(step[:, :3]).max()) <= FAR:
            break
        advance(state, 0.0, step)
        moved += step
        evaluate(a, state.x, state.r, travel=fall.travel)
        pull = -a.force
        residual = pull - drag * fall.weight * moved
        sizes.append(unbalance(a, residual))
        if sizes[-1] < max(LEFT * sizes[0], fall.balance):
            return _Place(state=state, residual=pull, diag=a.diag.copy(), blocks=a.off.copy()), k + 1
        if k > 0 and sizes[-1] > 2.0 * sizes[0] and sizes[-1] > 0.5 * sizes[-2]:
            break
    return None, CORRECTIONS
