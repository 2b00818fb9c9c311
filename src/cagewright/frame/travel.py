"""Pushing a frame to a stated travel, through the peak and beyond.

Displacement control with two right-hand sides (Batoz and Dhatt, Int. J. Numer. Methods Eng. 14 (1979)
1262-1267): the load follows from the travel, so that a falling load is no obstacle. A step that does not
settle is cut; where the travel itself turns back (a member snaps) the path is followed round by arc length
until the travel grows again, and where that is lost too, or something lets go, the travel is held while the
frame falls to another balance. A push that can go no further has stalled, which is an answer.
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
    continuation,
    damping,
    keep_state,
    last_state,
    unbalance,
)
from cagewright.frame.fall import HeldTravel, come_to_rest
from cagewright.frame.history import History, begin
from cagewright.frame.march import keep_fall, march
from cagewright.frame.model import Floats, FrameModel, Solution
from cagewright.frame.release import Watch
from cagewright.frame.step_control import StepControl, leap, start_anew


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
    path = LoadPath(path=continuation(model, pattern=pattern, measure=measure, steps=steps))
    history = begin(path.a)
    history.stiffness = 1.0 / path.path.gauge(path.path.tangent)
    return march(path, history, target=target, watches=watches)


class LoadPath:
    """A push by a growing load: a step is tried with its own tangent, which holds from when it is kept."""

    def __init__(self, path: Continuation) -> None:
        self.path, self.a, self.steps = path, path.a, path.steps
        self._tangent = path.tangent

    def try_step(self, state: State, step: float) -> State | None:
        """``state`` moved on by ``step`` mm and in balance, or None where it does not settle."""
        path, a, steps, tangent = self.path, self.a, self.steps, self.path.tangent
        goal = state.travel + step
        gain = path.gauge(tangent)
        if gain == 0.0:
            return None
        weaken(a, abs(step / steps.size))
        advance(state, step / gain, tangent * (step / gain))
        sizes: list[float] = []
        for _ in range(steps.tries):
            evaluate(a, state.x, state.r)
            residual = state.load * path.pattern - a.force
            size = unbalance(a, residual) / max(path.largest, abs(state.load), 1e-12)
            size /= max(float(np.abs(path.pattern).max()), 1e-300)
            if size < steps.tolerance:
                state.travel, self._tangent = goal, tangent
                return state
            if not np.isfinite(size) or size > 1e3 * max(min(sizes, default=np.inf), 1.0):
                return None
            sizes.append(size)
            path.negative, _ = factorise(a)
            tangent, correction = backsolve(a, np.stack([path.pattern, residual]))
            gain = path.gauge(tangent)
            if gain == 0.0:
                return None
            more = (goal - path.gauge(state.x - a.model.nodes) - path.gauge(correction)) / gain
            part = damping(sizes)
            advance(state, part * more, part * (correction + more * tangent))
            if float(np.abs(state.x).max()) > 1e7 * (1.0 + abs(goal)):
                return None
        return None

    def keep(self, history: History, old: State, new: State) -> None:
        """Keep ``new``, which was tried last, as the step after ``old``."""
        path = self.path
        path.tangent = self._tangent
        keep_state(history, path.pattern, old, new, path.negative)
        path.largest = history.largest

    def past(self, history: History, state: State, target: float, control: StepControl) -> State | None:
        """The kept state past a snap-back, by arc length; else at rest, the travel held.

        None where the push has stalled.
        """
        new = go_round(self.path, history, state, target, control)
        if new is None:
            last = last_state(history)
            goal = last.travel + float(np.copysign(leap(control, history), target))
            new = self._at_rest(last, goal)
            if new is not None:
                keep_fall(self, history, last, new)
        start_anew(control)
        return new

    def rest(self, state: State) -> State | None:
        """The balance at the travel of ``state`` after something let go, or None where none is found."""
        return self.try_step(state.copy(), 0.0) or self._at_rest(state, state.travel)

    def _at_rest(self, state: State, goal: float) -> State | None:
        """Where the frame comes to rest, the places that are pushed held at ``goal`` mm."""
        path = self.path
        balance = self.steps.tolerance * path.largest * float(np.abs(path.pattern).max())
        new = come_to_rest(HeldTravel(a=self.a, path=path, travel=goal), state, balance=balance)
        if new is not None:
            new.travel = goal
            path.negative, _ = factorise(self.a)
            self._tangent = backsolve(self.a, path.pattern[None])[0]
        return new
