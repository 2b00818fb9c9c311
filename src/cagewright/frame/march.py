"""The loop that every push is followed by, whatever pushes: step by step, until its end."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from cagewright.frame.assemble import Assembly
from cagewright.frame.continuation import State, Steps, at_rest
from cagewright.frame.history import History, solution_of
from cagewright.frame.model import Solution
from cagewright.frame.release import Watch, ends_here, shed
from cagewright.frame.step_control import StepControl, accepts, failed, proposed, start_anew, step_control

GAVE_WAY = 0.01
"""A load that drops at once by more than this part of the largest so far is told as a fall."""


class Pusher(Protocol):
    """What pushes: a load that grows, or a tool that is moved."""

    a: Assembly
    steps: Steps

    def try_step(self, state: State, step: float) -> State | None:
        """``state`` moved on by ``step`` mm and in balance, or None where it does not settle."""
        ...

    def keep(self, history: History, old: State, new: State) -> None:
        """Keep ``new``, which was tried last, as the step after ``old``."""
        ...

    def past(self, history: History, state: State, target: float, control: StepControl) -> State | None:
        """The kept state past a place that no step leads over, or None where the push has stalled."""
        ...

    def rest(self, state: State) -> State | None:
        """The balance at the travel of ``state`` after something let go, or None where none is found."""
        ...


def march(way: Pusher, history: History, *, target: float, watches: Sequence[Watch]) -> Solution:
    """The push from rest to ``target`` mm (its sign is the way to go), or to where its steps end it.

    Args:
        way: what pushes.
        history: begun; it grows.
        target: mm.
        watches: what may let go.
    """
    steps, state = way.steps, at_rest(way.a.model)
    control = step_control(history, steps)
    while not control.used_up:
        if abs(state.travel) >= (1.0 - 1e-9) * abs(target):
            return solution_of(history, reached=True, end=f"reached {abs(target):.4g} mm")
        if not steps.goes_on(history):
            return _left(history, state)
        step = proposed(control, history, target)
        new = way.try_step(state.copy(), step)
        if new is None:
            if not failed(control, history, step):
                continue
            new = way.past(history, state, target, control)
            if new is None:
                break
        elif accepts(control, history, travel=new.travel, load=new.load):
            way.keep(history, state, new)
        else:
            continue
        losses, state = len(history.losses), new
        if steps.first:
            if ends_here(history, watches):
                return _left(history, new)
            continue
        without = shed(history, new, watches, way.rest, lambda old, now: way.keep(history, old, now))
        if without is None:
            break
        state = without
        if len(history.losses) > losses:
            start_anew(control)
    return solution_of(history, reached=False, end=f"stalled at {abs(state.travel):.4g} mm")


def _left(history: History, state: State) -> Solution:
    """What was followed; the rest of the push is not wanted."""
    return solution_of(history, reached=False, left=True, end=f"left at {abs(state.travel):.4g} mm")


def keep_fall(way: Pusher, history: History, old: State, new: State) -> None:
    """Keep ``new``, where the frame came to rest after it gave way at ``old``; what it shook out is spent."""
    way.keep(history, old, new)
    lost = history.work[-1] - history.stored[-1] - history.spent[-1]
    history.spent[-1] += max(lost, 0.0)
    if abs(old.load) - abs(new.load) > GAVE_WAY * history.largest:
        history.falls.append((abs(new.travel), abs(old.load), abs(new.load)))
