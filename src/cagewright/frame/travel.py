"""Pushing a frame to a stated travel, through the peak and beyond.

Displacement control with two right-hand sides (Batoz and Dhatt, Int. J. Numer. Methods Eng. 14 (1979)
1262-1267): the load follows from the travel, so that a falling load is no obstacle. A step that does not
settle is cut; where the travel itself turns back (a member snaps) the path is followed round by arc length
until the travel grows again. A push that can go no further has stalled, which is an answer.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cagewright.frame.arc import go_round
from cagewright.frame.assemble import backsolve, evaluate, factorise, weaken
from cagewright.frame.continuation import (
    Continuation,
    State,
    Steps,
    advance,
    at_rest,
    continuation,
    damping,
    keep_state,
    unbalance,
)
from cagewright.frame.history import History, begin, solution_of
from cagewright.frame.model import Floats, FrameModel, Solution
from cagewright.frame.release import Watch, ends_here, shed
from cagewright.frame.step_control import FINEST, StepControl, accepts, failed, proposed, step_control


def push_point(
    model: FrameModel,
    *,
    node: int,
    direction: Floats,
    target: float,
    steps: Steps | None = None,
    watches: Sequence[Watch] = (),
) -> Solution:
    """The push of one node by ``target`` mm along ``direction`` (3,); load in N along the same direction.

    Raises:
        FrameError: the frame cannot stand, with the members named.
        ValueError: the direction has no length or the target is not more than 0.
    """
    way = np.asarray(direction, float)
    size = float(np.sqrt(way @ way))
    if not size > 0.0 or not target > 0.0:
        raise ValueError("a push needs a direction and a travel of more than 0 mm")
    pattern = np.zeros((len(model.nodes), 6))
    pattern[node, :3] = way / size
    return push_pattern(
        model, pattern=pattern, measure=pattern[:, :3], target=target, steps=steps, watches=watches
    )


def push_pattern(
    model: FrameModel,
    *,
    pattern: Floats,
    measure: Floats,
    target: float,
    steps: Steps | None = None,
    watches: Sequence[Watch] = (),
) -> Solution:
    """The push by a growing load pattern until the measured travel reaches ``target`` mm.

    Args:
        model: the frame.
        pattern: (n, 6) loads for a load factor of 1, N and N mm; they keep their direction.
        measure: (n, 3) the travel is the sum of this times the displacements.
        target: mm; its sign is the way to go.
        steps: how to follow the path.
        watches: what may let go on the way.

    Raises:
        FrameError: the frame cannot stand, with the members named.
    """
    return _follow(continuation(model, pattern=pattern, measure=measure, steps=steps), target, watches)


def _follow(path: Continuation, target: float, watches: Sequence[Watch]) -> Solution:
    steps, history, state = path.steps, begin(path.a), at_rest(path.a.model)
    history.stiffness = 1.0 / path.gauge(path.tangent)
    control = step_control(history, steps)
    while not control.used_up and steps.goes_on(history):
        if abs(state.travel) >= (1.0 - 1e-9) * abs(target):
            return solution_of(history, reached=True, end=f"reached {abs(target):.4g} mm")
        step = proposed(control, history, target)
        tangent = path.tangent
        new = try_step(path, state.copy(), step)
        if new is None:
            path.tangent = tangent
            if not failed(control, step):
                continue
            new = go_round(path, history, state, target, control)
            if new is None:
                break
            control.size = FINEST * control.full
        elif accepts(control, history, travel=new.travel, load=new.load):
            keep_state(history, path.pattern, state, new, path.negative)
            path.largest = history.largest
        else:
            path.tangent = tangent
            continue
        if steps.first and ends_here(history, watches):
            return solution_of(history, reached=False, end=f"ended at {abs(new.travel):.4g} mm")
        state = _shed(path, control, history, new, watches)
        if state is None:
            state = new
            break
    return solution_of(history, reached=False, end=f"stalled at {abs(state.travel):.4g} mm")


def _shed(
    path: Continuation, control: StepControl, history: History, state: State, watches: Sequence[Watch]
) -> State | None:
    """``state`` after what is at its limit has let go, the travel being held."""
    told = len(history.losses)
    new = shed(
        history,
        state,
        watches,
        lambda near: try_step(path, near.copy(), 0.0),
        lambda old, now: keep_state(history, path.pattern, old, now, path.negative),
    )
    if len(history.losses) > told:
        control.size, control.failed = FINEST * control.full, np.inf
    return new


def try_step(path: Continuation, state: State, step: float) -> State | None:
    """``state`` moved on by ``step`` mm and in balance, or None where it does not settle."""
    a, steps = path.a, path.steps
    goal = state.travel + step
    gain = path.gauge(path.tangent)
    if gain == 0.0:
        return None
    weaken(a, abs(step / steps.size))
    advance(state, step / gain, path.tangent * (step / gain))
    sizes: list[float] = []
    for _ in range(steps.tries):
        evaluate(a, state.x, state.r)
        residual = state.load * path.pattern - a.force
        size = unbalance(a, residual) / max(path.largest, abs(state.load), 1e-12)
        size /= max(float(np.abs(path.pattern).max()), 1e-300)
        if size < steps.tolerance:
            state.travel = goal
            return state
        if not np.isfinite(size) or size > 1e3 * max(min(sizes, default=np.inf), 1.0):
            return None
        sizes.append(size)
        path.negative, _ = factorise(a)
        path.tangent, correction = backsolve(a, np.stack([path.pattern, residual]))
        gain = path.gauge(path.tangent)
        if gain == 0.0:
            return None
        more = (goal - path.gauge(state.x - a.model.nodes) - path.gauge(correction)) / gain
        part = damping(sizes)
        advance(state, part * more, part * (correction + more * path.tangent))
        if float(np.abs(state.x).max()) > 1e7 * (1.0 + abs(goal)):
            return None
    return None
