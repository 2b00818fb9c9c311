"""Bringing a set of stated loads onto a frame: does it carry them, and if not, how much of them.

The path is followed by travel, not by load, so that a frame that gives way before the whole load is on it
does so as an answer. The last step lands on the whole load exactly.
"""

from __future__ import annotations

import numpy as np

from cagewright.frame import record as rec
from cagewright.frame.assemble import assembly, backsolve, evaluate, factorise
from cagewright.frame.model import Floats, FrameModel, Solution
from cagewright.frame.place import (
    Control,
    Place,
    Steps,
    advance,
    at_rest,
    damping,
    gauge,
    keep_place,
    unbalance,
)
from cagewright.frame.travel import try_step
from cagewright.frame.troubles import refuse, refuse_loose

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
    refuse(model)
    if not np.any(loads):
        raise ValueError("no load to carry")
    a = assembly(model)
    place = at_rest(model)
    evaluate(a, place.x, place.r)
    _, lost = factorise(a)
    if lost >= 0:
        refuse_loose(model, a)
    answer = backsolve(a, np.asarray(loads, float)[None])[0]
    size = float(np.sqrt((answer[:, :3] ** 2).sum()))
    if not size > 0.0:
        raise ValueError("the loads move nothing: they stand on held nodes")
    control = Control(a=a, pattern=loads, measure=answer[:, :3] / size, steps=steps or Steps(), answer=answer)
    return _follow(control, place, size / parts)


def _follow(control: Control, place: Place, full: float) -> Solution:
    record, steps, step = rec.start(control.a), control.steps, full
    record.stiffness = 1.0 / control.gauge(control.answer)
    for _ in range(MOST_TRIES):
        answer = control.answer
        new = try_step(control, place.copy(), step)
        if new is not None and new.load >= 1.0:
            new = _land(control, place.copy(), answer)
        if new is None:
            control.answer, step = answer, step * steps.cut
            if step < steps.smallest * full:
                break
            continue
        keep_place(record, control.pattern, place, new, control.negative)
        control.largest = max(control.largest, abs(new.load))
        if new.load == 1.0:
            return rec.solution(record, reached=True, end="carried the whole load")
        if new.load < place.load:
            return rec.solution(record, reached=False, end=f"gave way at {control.largest:.3g} of the load")
        place, step = new, min(full, step / steps.cut**0.5)
    return rec.solution(record, reached=False, end=f"stalled at {place.load:.3g} of the load")


def _land(control: Control, place: Place, answer: Floats) -> Place | None:
    """``place`` moved on to the whole load with the load held, or None where it does not settle."""
    a, steps = control.a, control.steps
    more = 1.0 - place.load
    advance(place, more, more * answer)
    place.load = 1.0
    sizes: list[float] = []
    for _ in range(steps.tries):
        evaluate(a, place.x, place.r)
        short = control.pattern - a.force
        size = unbalance(a, short) / float(np.abs(control.pattern).max())
        if size < steps.tolerance:
            place.travel = gauge(control.measure, place.x - a.model.nodes)
            return place
        if not np.isfinite(size):
            return None
        sizes.append(size)
        control.negative, _ = factorise(a)
        if control.negative:
            return None
        control.answer, rest = backsolve(a, np.stack([control.pattern, short]))
        advance(place, 0.0, damping(sizes) * rest)
    return None
