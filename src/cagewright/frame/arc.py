"""Following a frame round a snap-back, where neither load nor travel may be held.

Cylindrical arc length: each step moves the nodes by a set total amount (Crisfield, Computers & Structures
13 (1981) 55-62; Non-linear Finite Element Analysis vol. 1 (1991), 9.3).
"""

from __future__ import annotations

import numpy as np

from cagewright.frame.assemble import backsolve, evaluate, factorise
from cagewright.frame.continuation import (
    Continuation,
    State,
    advance,
    keep_state,
    unbalance,
)
from cagewright.frame.history import History
from cagewright.frame.model import Floats
from cagewright.frame.step_control import StepControl


def _size(moved: Floats) -> float:
    return float(np.sqrt((moved[:, :3] ** 2).sum()))


LONGEST_WAY_ROUND = 200
"""Most arc steps round one snap-back."""


def go_round(
    path: Continuation, history: History, state: State, target: float, control: StepControl
) -> State | None:
    """The state past a snap-back that starts at ``state``, where the travel grows again, or None.

    The steps on the way, with travels that go back and come again, are kept in the history, and count as
    tries of the push.
    """
    if len(history.travel) < 3:
        return None
    back = next((k for k in range(len(history.travel) - 2, 0, -1) if _far(history, k, path.steps.size)), 0)
    arc = full = 0.5 * float(np.sqrt(((state.x - history.positions[back]) ** 2).sum()))
    evaluate(path.a, state.x, state.r)
    factorise(path.a)
    path.tangent = backsolve(path.a, path.pattern[None])[0]
    path.last = _between(history.positions[-2], state.x)
    start = abs(state.travel)
    for _ in range(LONGEST_WAY_ROUND):
        control.tries += 1
        tangent = path.tangent
        new = _try_arc(path, state.copy(), arc, target)
        if new is None:
            path.tangent = tangent
            arc *= path.steps.cut
            if arc < 1e-4 * full:
                return None
            continue
        keep_state(history, path.pattern, state, new, path.negative)
        path.last = _between(state.x, new.x)
        grew = abs(new.travel) > abs(state.travel)
        path.largest, state, arc = history.largest, new, min(full, arc / path.steps.cut**0.5)
        if grew and abs(state.travel) > start:
            control.failed = np.inf
            return state
    return None


def _far(history: History, step: int, size: float) -> bool:
    return abs(history.travel[-1] - history.travel[step]) >= 0.5 * size


def _between(before: Floats, after: Floats) -> Floats:
    return np.concatenate([after - before, np.zeros_like(before)], axis=1)


def _try_arc(path: Continuation, state: State, arc: float, target: float) -> State | None:
    """``state`` moved on by ``arc`` and in balance, or None where it does not settle."""
    a, steps = path.a, path.steps
    before = state.x.copy()
    tangent = path.tangent
    if path.last is None:
        forward = np.copysign(1.0, path.gauge(tangent) * target)
    else:
        forward = np.copysign(1.0, float((tangent[:, :3] * path.last[:, :3]).sum()))
    more = forward * arc / _size(tangent)
    advance(state, more, more * tangent)
    for _ in range(steps.tries):
        evaluate(a, state.x, state.r)
        residual = state.load * path.pattern - a.force
        off = unbalance(a, residual) / max(path.largest, abs(state.load), 1e-12)
        if off / float(np.abs(path.pattern).max()) < steps.tolerance:
            state.travel = path.gauge(state.x - a.model.nodes)
            return state
        if not np.isfinite(off):
            return None
        path.negative, _ = factorise(a)
        path.tangent, correction = backsolve(a, np.stack([path.pattern, residual]))
        gain = _root(state.x - before, correction[:, :3], path.tangent[:, :3], arc)
        if gain is None:
            return None
        advance(state, gain, correction + gain * path.tangent)
    return None


def _root(done: Floats, correction: Floats, tangent: Floats, arc: float) -> float | None:
    """Load change that keeps the step's length ``arc`` and turns least from ``done``, or None."""
    base = done + correction
    a = float((tangent**2).sum())
    b = 2.0 * float((base * tangent).sum())
    c = float((base**2).sum()) - arc * arc
    inside = b * b - 4.0 * a * c
    if not inside >= 0.0 or a == 0.0:
        return None
    roots = [(-b + s * np.sqrt(inside)) / (2.0 * a) for s in (1.0, -1.0)]
    along = [float((done * (base + g * tangent)).sum()) for g in roots]
    return roots[int(np.argmax(along))]
