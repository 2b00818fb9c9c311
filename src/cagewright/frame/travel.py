"""Pushing a frame to a stated travel, through the peak and beyond.

Displacement control with two right-hand sides (Batoz and Dhatt, Int. J. Numer. Methods Eng. 14 (1979)
1262-1267): the load follows from the travel, so that a falling load is no obstacle. A step that does not
settle is cut; a push that cannot be cut further has stalled, which is an answer.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.frame import record as rec
from cagewright.frame.assemble import Assembly, assembly, backsolve, evaluate, factorise
from cagewright.frame.kernels_turn import move
from cagewright.frame.model import Floats, FrameModel, Solution
from cagewright.frame.pace import accepts, failed, pace, proposed
from cagewright.frame.troubles import refuse, refuse_loose


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
    """

    size: float = 3.0
    tolerance: float = 1e-5
    tries: int = 12
    cut: float = 0.4
    smallest: float = 2e-3


@dataclass(slots=True, kw_only=True)
class Place:
    """Where the frame is: positions (n, 3), rotations (n, 3, 3), load factor, travel in mm."""

    x: Floats
    r: Floats
    load: float
    travel: float

    def copy(self) -> Place:
        """A copy that can be moved without moving this one."""
        return Place(x=self.x.copy(), r=self.r.copy(), load=self.load, travel=self.travel)


def at_rest(model: FrameModel) -> Place:
    """The frame before any load."""
    return Place(x=model.nodes.copy(), r=np.tile(np.eye(3), (len(model.nodes), 1, 1)), load=0.0, travel=0.0)


def push_point(
    model: FrameModel, *, node: int, direction: Floats, target: float, steps: Steps | None = None
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
    return push_pattern(model, pattern=pattern, measure=pattern[:, :3], target=target, steps=steps)


def push_pattern(
    model: FrameModel, *, pattern: Floats, measure: Floats, target: float, steps: Steps | None = None
) -> Solution:
    """The push by a growing load pattern until the measured travel reaches ``target`` mm.

    Args:
        model: the frame.
        pattern: (n, 6) loads for a load factor of 1, N and N mm; they keep their direction.
        measure: (n, 3) the travel is the sum of this times the displacements.
        target: mm; its sign is the way to go.
        steps: how to follow the path.

    Raises:
        FrameError: the frame cannot stand, with the members named.
    """
    refuse(model)
    steps = steps or Steps()
    a = assembly(model)
    place = at_rest(model)
    evaluate(a, place.x, place.r)
    _, lost = factorise(a)
    if lost >= 0:
        refuse_loose(model, a)
    answer = backsolve(a, pattern[None])[0]
    control = Control(a=a, pattern=pattern, measure=measure, steps=steps, answer=answer)
    return _follow(control, place, target)


@dataclass(slots=True, kw_only=True)
class Control:
    """What a travel-controlled push carries along."""

    a: Assembly
    pattern: Floats
    measure: Floats
    steps: Steps
    answer: Floats
    largest: float = 0.0
    negative: int = 0

    def gauge(self, moved: Floats) -> float:
        """Travel, mm, in the movements (n, 6)."""
        return gauge(self.measure, moved)


def _follow(control: Control, place: Place, target: float) -> Solution:
    steps, record = control.steps, rec.start(control.a)
    record.stiffness = 1.0 / control.gauge(control.answer)
    p = pace(record, full=steps.size, smallest=steps.smallest, cut=steps.cut)
    while abs(target - place.travel) > 1e-9 * abs(target):
        step = proposed(p, record, target)
        answer = control.answer
        new = try_step(control, place.copy(), step)
        if new is None:
            control.answer = answer
            if failed(p, step):
                return rec.solution(record, reached=False, end=f"stalled at {abs(place.travel):.4g} mm")
        elif accepts(p, record, travel=new.travel, load=new.load):
            keep_place(record, control.pattern, place, new, control.negative)
            control.largest, place = record.largest, new
        else:
            control.answer = answer
    return rec.solution(record, reached=True, end=f"reached {abs(target):.4g} mm")


def gauge(measure: Floats, moved: Floats) -> float:
    """Travel, mm, in the movements ``moved`` (n, 6) as ``measure`` (n, 3) takes it."""
    return float(np.einsum("ij,ij->", measure, moved[:, :3]))


def keep_place(record: rec.Record, pattern: Floats, old: Place, new: Place, negative: int) -> None:
    """Keep ``new`` as the next step after ``old`` under the load pattern (n, 6)."""
    mean = 0.5 * (old.load + new.load)
    work = mean * float(np.einsum("ij,ij->", pattern[:, :3], new.x - old.x))
    if np.any(pattern[:, 3:]):
        work += mean * _turning_work(pattern, old.r, new.r)
    rec.keep(record, new.x, new.r, travel=new.travel, load=new.load, work=work, negative=negative)


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


def try_step(control: Control, place: Place, step: float) -> Place | None:
    """``place`` moved on by ``step`` mm and in balance, or None where it does not settle."""
    a, steps = control.a, control.steps
    goal = place.travel + step
    gain = control.gauge(control.answer)
    if gain == 0.0:
        return None
    advance(place, step / gain, control.answer * (step / gain))
    sizes: list[float] = []
    for _ in range(steps.tries):
        evaluate(a, place.x, place.r)
        short = place.load * control.pattern - a.force
        size = unbalance(a, short) / max(control.largest, abs(place.load), 1e-12)
        size /= max(float(np.abs(control.pattern).max()), 1e-300)
        if size < steps.tolerance:
            place.travel = goal
            return place
        if not np.isfinite(size) or size > 1e3 * max(min(sizes, default=np.inf), 1.0):
            return None
        sizes.append(size)
        control.negative, _ = factorise(a)
        control.answer, rest = backsolve(a, np.stack([control.pattern, short]))
        gain = control.gauge(control.answer)
        if gain == 0.0:
            return None
        more = (goal - _travel(control, place) - control.gauge(rest)) / gain
        part = damping(sizes)
        advance(place, part * more, part * (rest + more * control.answer))
        if float(np.abs(place.x).max()) > 1e7 * (1.0 + abs(goal)):
            return None
    return None


def damping(sizes: list[float]) -> float:
    """How much of a correction to take: half where the last ones went to and fro at the edge of yield."""
    return 0.5 if len(sizes) > 3 and sizes[-1] > 0.7 * sizes[-3] else 1.0


def _travel(control: Control, place: Place) -> float:
    return float(np.einsum("ij,ij->", control.measure, place.x - control.a.model.nodes))


def advance(place: Place, load: float, moved: Floats) -> None:
    """Move ``place`` on by the load change and the movements (n, 6), in place."""
    move(place.x, place.r, moved)
    place.load += load


def unbalance(a: Assembly, short: Floats) -> float:
    """Largest force out of balance, N, moments over the mean element length; 0 where it is only rounding."""
    held_off = short * a.top.slots.free
    arm = float(a.beams.length.mean()) if len(a.beams.length) else 1.0
    off = max(float(np.abs(held_off[:, :3]).max()), float(np.abs(held_off[:, 3:]).max()) / arm)
    return 0.0 if off < a.floor else off
