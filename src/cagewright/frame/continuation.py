"""Where a frame is on its path, and what every way of following the path needs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from cagewright.frame.assemble import Assembly, backsolve
from cagewright.frame.errors import factorised
from cagewright.frame.history import History, append
from cagewright.frame.kernels_turn import move
from cagewright.frame.model import Floats, FrameModel


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """How a path is followed.

    Attributes:
        size: mm of travel of a full step; steps are shorter where the curve bends.
        tolerance: largest force out of balance, as a part of the largest load so far (moments over the
            mean element length).
        tries: most corrections a step.
        cut: a step that does not settle is tried again at this part of its size.
        smallest: part of ``size`` below which the push has stalled.
        enough: asked after each kept step whether the rest of the push is wanted; None follows it all.
        first: the push is followed no further than to where the first thing lets go.
        redo: a step is taken again shorter where the curve bulges by more than so many times what is allowed.
    """

    size: float = 3.0
    tolerance: float = 1e-5
    tries: int = 12
    cut: float = 0.4
    smallest: float = 2e-3
    first: bool = False
    redo: float = 1.5
    enough: Callable[[History], bool] | None = None

    def goes_on(self, history: History) -> bool:
        """Whether the rest of the push is wanted."""
        return self.enough is None or not self.enough(history)


@dataclass(slots=True, kw_only=True)
class State:
    """Where the frame is: positions (n, 3), rotations (n, 3, 3), load factor, travel in mm."""

    x: Floats
    r: Floats
    load: float
    travel: float

    def copy(self) -> State:
        """A copy that can be moved without moving this one."""
        return State(x=self.x.copy(), r=self.r.copy(), load=self.load, travel=self.travel)


def at_rest(model: FrameModel) -> State:
    """The frame before any load."""
    return State(x=model.nodes.copy(), r=np.tile(np.eye(3), (len(model.nodes), 1, 1)), load=0.0, travel=0.0)


def last_state(history: History) -> State:
    """Where the frame was at the last kept step."""
    x, r = history.positions[-1].copy(), history.rotations[-1].copy()
    return State(x=x, r=r, load=history.load[-1], travel=history.travel[-1])


@dataclass(slots=True, kw_only=True)
class Continuation:
    """A path of balance being followed.

    Attributes:
        a: the frame.
        pattern: (n, 6) loads for a load factor of 1, N and N mm.
        measure: (n, 3) the travel is the sum of this times the displacements.
        steps: how it is followed.
        tangent: (n, 6) displacement for each unit of load, mm and rad.
        last: (n, 6) movement of the last arc.
        largest: load so far.
        negative: pivots of the last factor below 0.
    """

    a: Assembly
    pattern: Floats
    measure: Floats
    steps: Steps
    tangent: Floats
    last: Floats | None = None
    largest: float = 0.0
    negative: int = 0

    def gauge(self, moved: Floats) -> float:
        """Travel, mm, in the movements (n, 3 or 6) as ``measure`` takes it."""
        return float(np.einsum("ij,ij->", self.measure, moved[:, :3]))


def continuation(model: FrameModel, *, pattern: Floats, measure: Floats, steps: Steps | None) -> Continuation:
    """The path of ``model`` at rest under a growing load pattern, with its first tangent.

    Raises:
        FrameError: the frame cannot stand, with the members named.
    """
    a = factorised(model)
    tangent = backsolve(a, pattern[None])[0]
    return Continuation(a=a, pattern=pattern, measure=measure, steps=steps or Steps(), tangent=tangent)


def keep_state(history: History, pattern: Floats, old: State, new: State, negative: int) -> None:
    """Keep ``new`` as the next step after ``old`` under the load pattern (n, 6)."""
    mean = 0.5 * (old.load + new.load)
    work = mean * float(np.einsum("ij,ij->", pattern[:, :3], new.x - old.x))
    if np.any(pattern[:, 3:]):
        work += mean * _turning_work(pattern, old.r, new.r)
    append(history, new.x, new.r, travel=new.travel, load=new.load, work=work, negative=negative)


def _turning_work(pattern: Floats, old: Floats, new: Floats) -> float:
    """Work of unit moments over a step: moment times the rotation vector of the step (half-step exact)."""
    between = np.einsum("nij,nkj->nik", new, old)
    skew = np.stack(
        [
            between[:, 2, 1] - between[:, 1, 2],
            between[:, 0, 2] - between[:, 2, 0],
            between[:, 1, 0] - between[:, 0, 1],
        ],
        axis=1,
    )
    sine = 0.5 * np.sqrt((skew**2).sum(axis=1))
    angle = np.arctan2(sine, 0.5 * (np.trace(between, axis1=1, axis2=2) - 1.0))
    scale = np.where(sine > 1e-12, angle / np.maximum(2.0 * sine, 1e-300), 0.5)
    return float((pattern[:, 3:] * skew * scale[:, None]).sum())


def damping(sizes: list[float]) -> float:
    """How much of a correction to take: half where the last ones went to and fro at the edge of yield."""
    return 0.5 if len(sizes) > 3 and sizes[-1] > 0.7 * sizes[-3] else 1.0


def diverging(sizes: list[float]) -> bool:
    """Whether the forces out of balance, one a correction so far, are not on their way down.

    A step that settles has lost most of it after six corrections; one that throws the frame off the tool and
    back never does, and is sooner tried again shorter.
    """
    return len(sizes) >= 6 and min(sizes[-4:]) > 0.3 * sizes[0] and sizes[-1] > 0.1


def advance(state: State, load: float, moved: Floats) -> None:
    """Move ``state`` on by the load change and the movements (n, 6), in place."""
    move(state.x, state.r, moved)
    state.load += load


def unbalance(a: Assembly, residual: Floats) -> float:
    """Largest force out of balance, N, moments over the mean element length; 0 where it is only rounding."""
    held_off = np.abs(residual * a.top.slots.free)
    off = max(float(held_off[:, :3].max()), float(held_off[:, 3:].max()) / a.arm)
    return 0.0 if off < a.floor else off
