"""Where a frame comes to rest after it gives way at once under a rig that does not move on.

A rig moves its tool, or the places that it pulls, by a set travel. Where the path of balance turns back in
travel, or a part of the frame lets go, no balance is left near by, and the frame jumps to another one at the
same travel. That jump is fast;
where it ends is found by going downhill in energy with a drag on every node, as a frame that is shaken out
comes to rest: pseudo-transient continuation (C. T. Kelley and D. E. Keyes, SIAM J. Numer. Anal. 35 (1998)
508-523), each step of it brought to balance with its drag by Newton's method, so that the drag soon falls to
nothing (a proximal point iteration: R. T. Rockafellar, SIAM J. Control Optim. 14 (1976) 877-898).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from cagewright.frame.assemble import Assembly, backsolve, evaluate, factorise
from cagewright.frame.continuation import Continuation, State, advance, unbalance
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


class Rig(Protocol):
    """What pushes, standing still: the frame's own moves are then downhill in energy."""

    @property
    def a(self) -> Assembly:
        """The frame."""
        ...

    def pull(self, state: State) -> Floats:
        """Forces out of balance (n, 6) at ``state``, N and N mm, with the frame's tangent."""
        ...

    def correction(self, state: State, residual: Floats) -> tuple[int, Floats, float]:
        """By the factor of the tangent: ways down left, moves (n, 6), what the load changes by."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingTool:
    """A tool that stands at ``travel`` mm of its way; the load is what it feels."""

    a: Assembly
    travel: float

    def pull(self, state: State) -> Floats:
        """Forces out of balance (n, 6) at ``state``, N and N mm, with the frame's tangent."""
        evaluate(self.a, state.x, state.r, travel=self.travel)
        state.load = self.a.pressed[0]
        return -self.a.force

    def correction(self, state: State, residual: Floats) -> tuple[int, Floats, float]:
        """By the factor of the tangent: ways down that are left, moves (n, 6), and no change of the load."""
        negative, _ = factorise(self.a)
        return negative, backsolve(self.a, residual[None])[0], 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldTravel:
    """Loads together, their places held at ``travel`` mm as the path measures it; the load holds them."""

    a: Assembly
    path: Continuation
    travel: float

    def pull(self, state: State) -> Floats:
        """Forces out of balance (n, 6) at ``state``, N and N mm, with the frame's tangent."""
        evaluate(self.a, state.x, state.r)
        return state.load * self.path.pattern - self.a.force

    def correction(self, state: State, residual: Floats) -> tuple[int, Floats, float]:
        """By the factor of the tangent: ways down that are left, moves (n, 6), and what the load changes by.

        Two right-hand sides, as for travel control. Where more load moves its places back, one of the
        tangent's ways down is shut by holding them.
        """
        path = self.path
        negative, _ = factorise(self.a)
        tangent, moves = backsolve(self.a, np.stack([path.pattern, residual]))
        gain = path.gauge(tangent)
        more = (self.travel - path.gauge(state.x - self.a.model.nodes) - path.gauge(moves)) / (gain or np.inf)
        return negative - (gain < 0.0), moves + more * tangent, more


@dataclass(slots=True, kw_only=True)
class _Standing:
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
    """What does not change as a frame falls: its rig, and the force taken for balance, N.

    ``weight`` (6,) is the drag on a node's movements and turns for a drag of 1, ``loose`` (c, 6) the same on
    those that can move.
    """

    rig: Rig
    balance: float
    weight: Floats
    loose: Floats


def come_to_rest(rig: Rig, state: State, *, balance: float) -> State | None:
    """``state`` moved to a balance it can stay in, its rig standing still, or None where none is found.

    Args:
        rig: what pushes.
        state: where the frame last was in balance; not moved.
        balance: largest force out of balance, N.
    """
    a = rig.a
    weight = np.array([1.0] * 3 + [a.arm**2] * 3)
    fall = _Fall(rig=rig, balance=balance, weight=weight, loose=a.top.slots.free[a.top.active] * weight)
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


def _place(fall: _Fall, state: State) -> _Standing:
    residual = fall.rig.pull(state)
    a = fall.rig.a
    return _Standing(state=state, residual=residual, diag=a.diag.copy(), blocks=a.off.copy())


def _stays(fall: _Fall, here: _Standing) -> bool:
    """Whether a frame in balance goes back when it is moved a little; its tangent is then the assembly's."""
    a = fall.rig.a
    a.diag[:], a.off[:] = here.diag, here.blocks
    if fall.rig.correction(here.state, here.residual)[0] > 0:
        return False
    fall.rig.pull(here.state)
    return True


def _downhill(fall: _Fall, here: _Standing, drag: float) -> tuple[_Standing | None, int]:
    """A step down in energy against ``drag``, N/mm, and its corrections; None where it does not settle."""
    a, state, moved = fall.rig.a, here.state.copy(), np.zeros_like(here.residual)
    a.diag[:], a.off[:] = here.diag, here.blocks
    residual, sizes = here.residual, [unbalance(a, here.residual)]
    for k in range(CORRECTIONS):
        for dof in range(6):
            a.diag[:, dof, dof] += drag * fall.loose[:, dof]
        negative, step, more = fall.rig.correction(state, residual)
        if (k == 0 and negative > 0) or not float(np.abs(step[:, :3]).max()) <= FAR:
            break
        advance(state, more, step)
        moved += step
        pull = fall.rig.pull(state)
        residual = pull - drag * fall.weight * moved
        sizes.append(unbalance(a, residual))
        if sizes[-1] < max(LEFT * sizes[0], fall.balance):
            return _Standing(state=state, residual=pull, diag=a.diag.copy(), blocks=a.off.copy()), k + 1
        if k > 0 and sizes[-1] > 2.0 * sizes[0] and sizes[-1] > 0.5 * sizes[-2]:
            break
    return None, CORRECTIONS
