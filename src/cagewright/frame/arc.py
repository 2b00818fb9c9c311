"""Following a frame round a snap-back, where neither load nor travel may be held.

Cylindrical arc length: each step moves the nodes by a set total amount (Crisfield, Computers & Structures
13 (1981) 55-62; Non-linear Finite Element Analysis vol. 1 (1991), 9.3).
"""

from __future__ import annotations

import numpy as np

from cagewright.frame import record as rec
from cagewright.frame.assemble import assembly, backsolve, evaluate, factorise
from cagewright.frame.model import Floats, FrameModel, Solution
from cagewright.frame.pace import Pace
from cagewright.frame.place import Control, Place, Steps, advance, at_rest, gauge, keep_place, unbalance
from cagewright.frame.troubles import refuse, refuse_loose


def push_arc(
    model: FrameModel,
    *,
    pattern: Floats,
    measure: Floats,
    target: float,
    steps: Steps | None = None,
    most: int = 400,
    arc: float | None = None,
) -> Solution:
    """The push along the path's own length until the measured travel passes ``target`` mm.

    Args:
        model: the frame.
        pattern: (n, 6) loads for a load factor of 1, N and N mm.
        measure: (n, 3) the travel is the sum of this times the displacements.
        target: mm of travel, at whose first passing the push ends.
        steps: ``size`` is the travel of the first step, which sets the arc length.
        most: most steps.
        arc: mm, root of the summed squares of all node movements in a step, instead of the first step's.

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
    state = Control(a=a, pattern=pattern, measure=measure, steps=steps, answer=answer)
    if arc is None:
        arc = abs(steps.size / gauge(measure, answer)) * _size(answer)
    return _follow(state, place, target, arc, most)


def _size(moved: Floats) -> float:
    return float(np.sqrt((moved[:, :3] ** 2).sum()))


def _follow(state: Control, place: Place, target: float, full: float, most: int) -> Solution:
    record = rec.start(state.a)
    record.stiffness = 1.0 / gauge(state.measure, state.answer)
    arc = full
    while abs(place.travel) < abs(target) and len(record.travel) <= most:
        answer = state.answer
        new = _try_arc(state, place.copy(), arc, target)
        if new is None:
            state.answer = answer
            arc *= state.steps.cut
            if arc < state.steps.smallest * full:
                return rec.solution(record, reached=False, end=f"stalled at {abs(place.travel):.4g} mm")
            continue
        keep_place(record, state.pattern, place, new, state.negative)
        state.last = _between(place.x, new.x)
        state.largest = max(state.largest, abs(new.load))
        place, arc = new, min(full, arc / state.steps.cut**0.5)
    if abs(place.travel) < abs(target):
        return rec.solution(
            record, reached=False, end=f"stopped after {most} steps at {abs(place.travel):.4g} mm"
        )
    return rec.solution(record, reached=True, end=f"reached {abs(target):.4g} mm")


LONGEST_WAY_ROUND = 200
"""Most arc steps round one snap-back."""


def go_round(state: Control, record: rec.Record, place: Place, target: float, p: Pace) -> Place | None:
    """The place past a snap-back that starts at ``place``, where the travel grows again, or None.

    The steps on the way, with travels that go back and come again, are kept in the record, and count as
    tries of the push.
    """
    if len(record.travel) < 3:
        return None
    back = next((k for k in range(len(record.travel) - 2, 0, -1) if _far(record, k, state.steps.size)), 0)
    arc = full = 0.5 * float(np.sqrt(((place.x - record.places[back]) ** 2).sum()))
    evaluate(state.a, place.x, place.r)
    factorise(state.a)
    state.answer = backsolve(state.a, state.pattern[None])[0]
    state.last = _between(record.places[-2], place.x)
    start = abs(place.travel)
    for _ in range(LONGEST_WAY_ROUND):
        p.tries += 1
        answer = state.answer
        new = _try_arc(state, place.copy(), arc, target)
        if new is None:
            state.answer = answer
            arc *= state.steps.cut
            if arc < 1e-4 * full:
                return None
            continue
        keep_place(record, state.pattern, place, new, state.negative)
        state.last = _between(place.x, new.x)
        grew = abs(new.travel) > abs(place.travel)
        state.largest, place, arc = record.largest, new, min(full, arc / state.steps.cut**0.5)
        if grew and abs(place.travel) > start:
            p.failed = np.inf
            return place
    return None


def _far(record: rec.Record, step: int, size: float) -> bool:
    return abs(record.travel[-1] - record.travel[step]) >= 0.5 * size


def _between(before: Floats, after: Floats) -> Floats:
    return np.concatenate([after - before, np.zeros_like(before)], axis=1)


def _try_arc(state: Control, place: Place, arc: float, target: float) -> Place | None:
    """``place`` moved on by ``arc`` and in balance, or None where it does not settle."""
    a, steps = state.a, state.steps
    begin = place.x.copy()
    answer = state.answer
    if state.last is None:
        forward = np.copysign(1.0, gauge(state.measure, answer) * target)
    else:
        forward = np.copysign(1.0, float((answer[:, :3] * state.last[:, :3]).sum()))
    more = forward * arc / _size(answer)
    advance(place, more, more * answer)
    for _ in range(steps.tries):
        evaluate(a, place.x, place.r)
        short = place.load * state.pattern - a.force
        off = unbalance(a, short) / max(state.largest, abs(place.load), 1e-12)
        if off / float(np.abs(state.pattern).max()) < steps.tolerance:
            place.travel = float(np.einsum("ij,ij->", state.measure, place.x - a.model.nodes))
            return place
        if not np.isfinite(off):
            return None
        state.negative, _ = factorise(a)
        state.answer, rest = backsolve(a, np.stack([state.pattern, short]))
        gain = _root(place.x - begin, rest[:, :3], state.answer[:, :3], arc)
        if gain is None:
            return None
        advance(place, gain, rest + gain * state.answer)
    return None


def _root(done: Floats, rest: Floats, answer: Floats, arc: float) -> float | None:
    """Load change that keeps the step's length ``arc`` and turns least from ``done``, or None."""
    base = done + rest
    a = float((answer**2).sum())
    b = 2.0 * float((base * answer).sum())
    c = float((base**2).sum()) - arc * arc
    inside = b * b - 4.0 * a * c
    if not inside >= 0.0 or a == 0.0:
        return None
    roots = [(-b + s * np.sqrt(inside)) / (2.0 * a) for s in (1.0, -1.0)]
    along = [float((done * (base + g * answer)).sum()) for g in roots]
    return roots[int(np.argmax(along))]
