"""Following a frame under a tool that is moved: its travel is set, so a falling force is no obstacle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.frame.assemble import Assembly, backsolve, evaluate, factorise, push_on, weaken
from cagewright.frame.continuation import State, Steps, advance, damping, diverging, unbalance
from cagewright.frame.fall import StandingTool, come_to_rest
from cagewright.frame.history import History, append
from cagewright.frame.march import keep_fall
from cagewright.frame.model import Floats
from cagewright.frame.step_control import StepControl, leap, start_anew


@dataclass(slots=True, kw_only=True)
class ToolPath:
    """What a push with a tool carries along.

    Attributes:
        a: the frame with its tool.
        steps: how it is followed.
        start: mm, travel of the tool at first touch.
        largest: N, load so far.
        negative: pivots of the last kept step's factor below 0.
        drift: (n, 6) how the frame moves for each mm more.
    """

    a: Assembly
    steps: Steps
    start: float
    largest: float = 0.0
    negative: int = 0
    drift: Floats | None = None

    def try_step(self, state: State, step: float) -> State | None:
        """``state`` with the tool ``step`` mm further, in balance, or None where it does not settle."""
        a, steps = self.a, self.steps
        goal = state.travel + step
        sizes, forces = list[float](), list[float]()
        weaken(a, step / steps.size)
        if self.drift is not None:
            # carried along, so that the tool does not first sink in by the whole step
            advance(state, 0.0, self.drift * step)
        for _ in range(2 * steps.tries):
            evaluate(a, state.x, state.r, travel=self.start + goal)
            residual = -a.force
            force = a.pressed[0]
            raw = unbalance(a, residual)
            off = raw / max(self.largest, abs(force), 1e-12)
            if off < steps.tolerance and (force > 0.0 or self.largest > 0.0):
                state.travel, state.load = goal, force
                return state
            if not np.isfinite(off) or off > 1e4 * max(min(sizes, default=np.inf), 1.0):
                return None
            sizes.append(off)
            forces.append(raw)
            if diverging(sizes):
                return None
            factorise(a)
            # by force alone: at first touch the load that sizes are measured by falls with each correction
            advance(state, 0.0, damping(forces) * backsolve(a, residual[None])[0])
            if float(np.abs(state.x).max()) > 1e7:
                return None
        return None

    def keep(self, history: History, old: State, new: State) -> None:
        """Keep ``new`` as the step after ``old``, and find how the frame moves on by its tangent."""
        a = self.a
        self.negative, _ = factorise(a)
        push = push_on(a, new.x, self.start + new.travel)
        self.drift = backsolve(a, push[None])[0]
        work = 0.5 * (old.load + new.load) * (new.travel - old.travel)
        append(history, new.x, new.r, travel=new.travel, load=new.load, work=work, negative=self.negative)
        self.largest = history.largest
        if len(history.load) == 2:
            history.stiffness = new.load / new.travel

    def past(self, history: History, state: State, target: float, control: StepControl) -> State | None:
        """The state kept after the frame gave way at ``state``, or None where it does not come to rest."""
        goal = min(state.travel + leap(control, history), target)
        new = self._at_rest(state, goal)
        if new is None:
            return None
        keep_fall(self, history, state, new)
        start_anew(control)
        return new

    def rest(self, state: State) -> State | None:
        """The balance at the travel of ``state`` after something let go, or None where none is found."""
        return self._at_rest(state, state.travel)

    def _at_rest(self, state: State, goal: float) -> State | None:
        rig = StandingTool(a=self.a, travel=self.start + goal)
        new = come_to_rest(rig, state, balance=self.steps.tolerance * self.largest)
        if new is not None:
            new.travel = goal
        return new
