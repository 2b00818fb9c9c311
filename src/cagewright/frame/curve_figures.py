"""Numbers drawn from a push's curve: peak, energy, wanted loads, the drop it stands for."""

from __future__ import annotations

import numpy as np

from cagewright.frame.model import Floats, Solution
from cagewright.frame.push_places import G, people_mass
from cagewright.frame.pushes import Demand, Push
from cagewright.frame.results import Drop, Met, Peak, SurvivalSpace
from cagewright.shape.types import Cage

FROM_ABOVE = 0.5
"""A platen whose way is less upright than this (cosine) does not stand for a fall."""
PASSED = 0.98
"""A load that has fallen below this part of its largest has passed its peak."""


def peak_of(solution: Solution, weight: float | None) -> Peak | None:
    """The largest load, or None where the push stalled: it might have risen further."""
    if not solution.reached:
        return None
    k = int(np.argmax(solution.load))
    load = float(solution.load[k])
    return Peak(
        load=load,
        travel=float(solution.travel[k]),
        weights=load / weight if weight else None,
        passed=bool(solution.load[k:].min() < PASSED * load),
    )


def energy_of(solution: Solution) -> float | None:
    """J put in over the whole travel, or None where it was not followed."""
    return float(solution.work[-1]) * 1e-3 if solution.reached else None


def weights_of(cage: Cage, demand: Demand, whole: float) -> float | None:
    """The load a demand wants on this cage, N; None where it needs the car's mass and that is not known."""
    if demand.whole:
        return whole
    loads = [demand.load] if demand.load is not None else []
    if demand.weights > 0.0:
        if cage.car is None:
            return None
        more = {"car": 0.0, "car and driver": people_mass(cage), "car + 150 kg": 150.0}[demand.mass]
        loads.append(demand.weights * G * (cage.car.mass + more))
    return min(loads) if loads else None


def met_of(demand: Demand, solution: Solution, load: float | None) -> Met:
    """Whether the push reached ``load`` N within the demand's travel; a mean over the travel where it is one.

    What was reached before a stall counts; what was not is "cannot tell" where the push stalled too early.
    """
    last = float(solution.travel[-1])
    within = last if demand.within is None else demand.within
    travel, curve = _up_to(solution.travel, _curve(demand, solution), within)
    followed = solution.reached if demand.within is None else last >= within - 1e-9
    if demand.mean:
        reached = float(curve[-1])
        when = within if load is not None and reached >= load and followed else None
    else:
        reached, when = float(curve.max()), None if load is None else _when(travel, curve, load)
    met = None if load is None or (when is None and not followed) else when is not None
    return Met(demand=demand, load=load, met=met, travel=when, reached=reached)


def _curve(demand: Demand, solution: Solution) -> Floats:
    """The load, or its mean over the travel so far (k,), N."""
    if not demand.mean:
        return solution.load
    return np.divide(
        solution.work, solution.travel, out=np.zeros_like(solution.work), where=solution.travel > 0.0
    )


def _up_to(travel: Floats, curve: Floats, within: float) -> tuple[Floats, Floats]:
    """The curve as far as ``within`` mm, its end found between kept steps."""
    inside = travel < within
    end = min(within, float(travel[-1]))
    return np.append(travel[inside], end), np.append(curve[inside], np.interp(end, travel, curve))


def _when(travel: Floats, curve: Floats, load: float) -> float | None:
    over = np.flatnonzero(curve >= load)
    if not len(over):
        return None
    k = int(over[0])
    if k == 0:
        return float(travel[0])
    share = (load - curve[k - 1]) / (curve[k] - curve[k - 1])
    return float(travel[k - 1] + share * (travel[k] - travel[k - 1]))


def absorbed_of(solution: Solution, room: SurvivalSpace | None) -> tuple[float, float] | None:
    """J taken up, and mm of travel, when the survival space is touched or the push ends.

    None where the push stalled before either.
    """
    touched = room.touched if room else None
    if touched is None and not solution.reached:
        return None
    travel = float(solution.travel[-1]) if touched is None else touched
    return float(np.interp(travel, solution.travel, solution.work)) * 1e-3, travel


def drop_of(
    push: Push, absorbed: tuple[float, float] | None, weight: float | None, room: SurvivalSpace | None
) -> Drop | None:
    """The drop whose energy the cage takes up; None for a push that does not come from above.

    With the car's weight w falling by ``height`` in all, crush included, w height = energy; the clear height
    is less by how far the middle of the car comes down in the crush (the vertical part of the travel).
    """
    upright = _upright(push)
    if weight is None or absorbed is None or push.kind != "platen" or upright < FROM_ABOVE:
        return None
    energy, travel = absorbed
    height = energy * 1e3 / weight
    touched = room is not None and room.touched is not None
    return Drop(
        energy=energy,
        travel=travel,
        height=height,
        free=max(height - travel * upright, 0.0),
        until="the survival space is touched" if touched else "the push ends",
    )


def _upright(push: Push) -> float:
    """The vertical part of the platen's way, 0 to 1."""
    way = getattr(push.press, "way", None)
    return 0.0 if way is None else abs(float(way[2])) / float(np.sqrt(way @ way))
