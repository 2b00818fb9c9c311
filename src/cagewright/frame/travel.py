"""Pushing a frame to a stated travel, through the peak and beyond.

Displacement control with two right-hand sides (Batoz and Dhatt, Int. J. Numer. Methods Eng. 14 (1979)
1262-1267): the load follows from the travel, so that a falling load is no obstacle. A step that does not
settle is cut; where the travel itself turns back (a member snaps) the path is followed round by arc length
until the travel grows again. A push that can go no further has stalled, which is an answer.
"""

from __future__ import annotations

import numpy as np

from cagewright.frame import record as rec
from cagewright.frame.arc import go_round
from cagewright.frame.assemble import assembly, backsolve, evaluate, factorise
from cagewright.frame.model import Floats, FrameModel, Solution
from cagewright.frame.pace import FINEST, accepts, failed, pace, proposed
from cagewright.frame.place import Control, Place, Steps, advance, at_rest, damping, keep_place, unbalance
from cagewright.frame.troubles import refuse, refuse_loose


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


def _follow(control: Control, place: Place, target: float) -> Solution:
    steps, record = control.steps, rec.start(control.a)
    record.stiffness = 1.0 / control.gauge(control.answer)
    p = pace(record, full=steps.size, smallest=steps.smallest, cut=steps.cut)
    while not p.used_up:
        if abs(place.travel) >= (1.0 - 1e-9) * abs(target):
            return rec.solution(record, reached=True, end=f"reached {abs(target):.4g} mm")
        step = proposed(p, record, target)
        answer = control.answer
        new = try_step(control, place.copy(), step)
        if new is None:
            control.answer = answer
            if not failed(p, step):
                continue
            new = go_round(control, record, place, target, p)
            if new is None:
                break
            p.size, place = FINEST * p.full, new
        elif accepts(p, record, travel=new.travel, load=new.load):
            keep_place(record, control.pattern, place, new, control.negative)
            control.largest, place = record.largest, new
        else:
            control.answer = answer
    return rec.solution(record, reached=False, end=f"stalled at {abs(place.travel):.4g} mm")


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


def _travel(control: Control, place: Place) -> float:
    return float(np.einsum("ij,ij->", control.measure, place.x - control.a.model.nodes))
