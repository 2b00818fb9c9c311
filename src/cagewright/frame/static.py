"""Bringing a set of stated loads onto a frame: does it carry them, and if not, how much of them.

The path is followed by travel, not by load, so that a frame that gives way before the whole load is on it
does so as an answer. The last step lands on the whole load exactly.
"""

from __future__ import annotations

import numpy as np

from cagewright.frame.assemble import backsolve, evaluate, factorise
from cagewright.frame.continuation import (
    Continuation,
    State,
    Steps,
    advance,
    at_rest,
    damping,
    keep_state,
    unbalance,
)
from cagewright.frame.errors import factorised
from cagewright.frame.history import begin, solution_of
from cagewright.frame.model import Floats, FrameModel, Solution
from cagewright.frame.travel import try_step

MOST_TRIES = 2000
"""Most steps tried: a hundred times the travel of a frame that stays elastic."""


def carry(model: FrameModel, *, loads: Floats, parts: int = 20, steps: Steps | None = None) -> Solution:
    """The frame brought under ``loads`` (n, 6), N and N mm; the answer's load is the part of them carried.

    Its travel, mm, is along the frame's first elastic answer, per unit of that. ``reached`` is True where
    all of the load is carried; ``end`` says so, or at what part the frame gave way.

    Args:
        model: the frame.
        loads: the whole load; forces keep their direction.
        parts: about how many steps an elastic frame takes.
        steps: tolerance and cutting of steps; its size is not used.

    Raises:
        FrameError: the frame cannot stand, with the members named.
        ValueError: there is no load.
    """
    if not np.any(loads):
        raise ValueError("no load to carry")
    a = factorised(model)
    tangent = backsolve(a, np.asarray(loads, float)[None])[0]
    size = float(np.sqrt((tangent[:, :3] ** 2).sum()))
    if not size > 0.0:
        raise ValueError("the loads move nothing: they stand on held nodes")
    path = Continuation(
        a=a, pattern=loads, measure=tangent[:, :3] / size, steps=steps or Steps(), tangent=tangent
    )
    return _follow(path, size / parts)


def _follow(path: Continuation, full: float) -> Solution:
    history, steps, step, state = begin(path.a), path.steps, full, at_rest(path.a.model)
    history.stiffness = 1.0 / path.gauge(path.tangent)
    for _ in range(MOST_TRIES):
        tangent = path.tangent
        new = try_step(path, state.copy(), step)
        if new is not None and new.load >= 1.0:
            new = _land(path, state.copy(), tangent)
        if new is None:
            path.tangent, step = tangent, step * steps.cut
            if step < steps.smallest * full:
                break
            continue
        keep_state(history, path.pattern, state, new, path.negative)
        path.largest = max(path.largest, abs(new.load))
        if new.load == 1.0:
            return solution_of(history, reached=True, end="carried the whole load")
        if new.load < state.load:
            return solution_of(history, reached=False, end=f"gave way at {path.largest:.3g} of the load")
        state, step = new, min(full, step / steps.cut**0.5)
    return solution_of(history, reached=False, end=f"stalled at {state.load:.3g} of the load")


def _land(path: Continuation, state: State, tangent: Floats) -> State | None:
    """``state`` moved on to the whole load with the load held, or None where it does not settle."""
    a, steps = path.a, path.steps
    more = 1.0 - state.load
    advance(state, more, more * tangent)
    state.load = 1.0
    sizes: list[float] = []
    for _ in range(steps.tries):
        evaluate(a, state.x, state.r)
        residual = path.pattern - a.force
        size = unbalance(a, residual) / float(np.abs(path.pattern).max())
        if size < steps.tolerance:
            state.travel = path.gauge(state.x - a.model.nodes)
            return state
        if not np.isfinite(size):
            return None
        sizes.append(size)
        path.negative, _ = factorise(a)
        if path.negative:
            return None
        path.tangent, correction = backsolve(a, np.stack([path.pattern, residual]))
        advance(state, 0.0, damping(sizes) * correction)
    return None
