"""Numbers drawn from a push's curve: peak, energy, wanted loads, the drop it stands for."""

from __future__ import annotations

import numpy as np

from cagewright.frame.counted import CountedCurve
from cagewright.frame.model import Floats
from cagewright.frame.push_places import G, people_mass
from cagewright.frame.pushes import Demand, Push
from cagewright.frame.results import Drop, Met, Moment, Peak
from cagewright.shape.types import Cage

FROM_ABOVE = 0.5
"""A platen whose way is less upright than this (cosine) does not stand for a fall."""
PASSED = 0.98
"""A load that has fallen below this part of its largest has passed its peak."""


def peak_of(curve: CountedCurve, weight: float | None) -> Peak:
    """The largest load of what counts."""
    k = int(np.argmax(curve.load))
    load = float(curve.load[k])
    return Peak(
        load=load,
        travel=float(curve.travel[k]),
        weights=load / weight if weight else None,
        passed=bool(curve.load[k:].min() < PASSED * load),
    )


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


def met_of(demand: Demand, curve: CountedCurve, load: float | None, *, whole: bool) -> Met:
    """Whether the push reached ``load`` N within the demand's travel; a mean over the travel where it is one.

    What was reached while the push counts stands; what was not is "cannot tell" where it stopped counting
    before the travel that is wanted.

    Args:
        demand: what is wanted.
        curve: of the push as far as it counts.
        load: N; None where that is not known.
        whole: the push counts to the end of its stated travel.
    """
    last = float(curve.travel[-1])
    within = last if demand.within is None else demand.within
    travel, loads = _up_to(curve.travel, _curve(demand, curve), within)
    followed = whole if demand.within is None else last >= within - 1e-9
    if demand.mean:
        reached = float(loads[-1])
        when = within if load is not None and reached >= load and followed else None
    else:
        reached, when = float(loads.max()), None if load is None else _when(travel, loads, load)
    met = None if load is None or (when is None and not followed) else when is not None
    return Met(demand=demand, load=load, met=met, travel=when, reached=reached)


def _curve(demand: Demand, curve: CountedCurve) -> Floats:
    """The load, or its mean over the travel so far (k,), N."""
    if not demand.mean:
        return curve.load
    work = curve.work * 1e3
    return np.divide(work, curve.travel, out=np.zeros_like(work), where=curve.travel > 0.0)


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


def drop_of(push: Push, upto: Moment, weight: float | None) -> Drop | None:
    """The drop whose energy the cage takes up; None for a push that does not come from above.

    With the car's weight w falling by ``height`` in all, crush included, w height = energy; the clear height
    is less by how far the middle of the car comes down in the crush (the vertical part of the travel).
    """
    upright = _upright(push)
    if weight is None or push.kind != "platen" or upright < FROM_ABOVE:
        return None
    height = upto.energy * 1e3 / weight
    return Drop(height=height, free=max(height - upto.travel * upright, 0.0))


def _upright(push: Push) -> float:
    """The vertical part of the platen's way, 0 to 1."""
    way = getattr(push.press, "way", None)
    return 0.0 if way is None else abs(float(way[2])) / float(np.sqrt(way @ way))
