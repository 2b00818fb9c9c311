"""A push by arc length alone, to hold the way round a snap-back to published paths."""

from cagewright.frame.arc import _between, _size, _try_arc
from cagewright.frame.continuation import Continuation, Steps, at_rest, continuation, keep_state
from cagewright.frame.history import begin, solution_of
from cagewright.frame.model import Floats, FrameModel, Solution


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
    path = continuation(model, pattern=pattern, measure=measure, steps=steps)
    if arc is None:
        arc = abs(path.steps.size / path.gauge(path.tangent)) * _size(path.tangent)
    return _follow(path, target, arc, most)


def _follow(path: Continuation, target: float, full: float, most: int) -> Solution:
    history, state = begin(path.a), at_rest(path.a.model)
    history.stiffness = 1.0 / path.gauge(path.tangent)
    arc = full
    while abs(state.travel) < abs(target) and len(history.travel) <= most:
        tangent = path.tangent
        new = _try_arc(path, state.copy(), arc, target)
        if new is None:
            path.tangent = tangent
            arc *= path.steps.cut
            if arc < path.steps.smallest * full:
                return solution_of(history, reached=False, end=f"stalled at {abs(state.travel):.4g} mm")
            continue
        keep_state(history, path.pattern, state, new, path.negative)
        path.last = _between(state.x, new.x)
        path.largest = max(path.largest, abs(new.load))
        state, arc = new, min(full, arc / path.steps.cut**0.5)
    if abs(state.travel) < abs(target):
        return solution_of(
            history, reached=False, end=f"stopped after {most} steps at {abs(state.travel):.4g} mm"
        )
    return solution_of(history, reached=True, end=f"reached {abs(target):.4g} mm")
