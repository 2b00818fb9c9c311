"""Where the load of a push climbs again after it had flattened, and what takes it: feet, tubes just met."""

from __future__ import annotations

import numpy as np

from cagewright.frame.foot_use import foot_forces
from cagewright.frame.idealise import Idealised
from cagewright.frame.model import Floats, Ints, Solution
from cagewright.frame.pushes import Push
from cagewright.frame.results import Rise
from cagewright.frame.survival import gaps_to_tool, way_of

PARTS = 100
"""The travel is looked at in so many equal parts."""
WINDOW = 6
"""A slope is that over so many of them."""
STEEPER = 2.0
"""A climb is at least so many times as steep as the curve was just before it."""
LEAST = 0.08
"""And takes at least this part of the largest load."""
LOW, HIGH = 0.1, 0.95
"""A climb begins where the load has this part of it, and ends where it has that."""
MOST_FEET, SHARE = 3, 0.6
"""So many feet are named, or as many as take this part of the climb."""
TOUCHING = 0.5
"""A tube nearer to the tool than this, mm, is touched."""


def rises_of(model: Idealised, push: Push, solution: Solution) -> tuple[Rise, ...]:
    """Every climb of the load after the first loading, in order of travel."""
    stretches = climbs(solution.travel, solution.load)
    if not stretches or push.press is None:
        return ()
    way = way_of(push.press)
    feet = {p.foot.name: -(foot_forces(model, solution, p)[:, :3] @ way) for p in model.feet}
    touched = _touched(model, push, solution)
    return tuple(_rise(model, solution, steps, feet, touched) for steps in stretches)


def climbs(travel: Floats, load: Floats) -> list[tuple[int, int]]:
    """Kept steps (first, last) between which a curve (k,) climbs at least twice as steeply as just before."""
    if len(travel) < 3 or not load.max() > 0.0:
        return []
    at = np.linspace(0.0, float(travel[-1]), PARTS + 1)
    p = np.interp(at, travel, load)
    # a part is as high as its highest step, and so is a window: what climbs may tear again at once
    part = np.clip(np.searchsorted(at, travel), 0, PARTS)
    np.maximum.at(p, part, load)
    ahead = np.array([p[k : k + WINDOW + 1].max() for k in range(PARTS + 1)]) - p
    behind = p - np.concatenate([np.full(WINDOW, np.nan), p[:-WINDOW]])
    steep = (ahead >= STEEPER * np.maximum(behind, 0.0)) & (ahead >= LEAST * p.max())
    found: list[tuple[int, int]] = []
    k = WINDOW
    while k < PARTS:
        if not steep[k]:
            k += 1
            continue
        flat = np.flatnonzero(~steep[k:])
        last = k + (int(flat[0]) if len(flat) else PARTS + 1 - k) - 1
        found.append(_steps(travel, load, float(at[k]), float(at[min(last + WINDOW, PARTS)])))
        k = max(last, int(np.searchsorted(at, travel[found[-1][1]]))) + 1
    return found


def _steps(travel: Floats, load: Floats, start: float, stop: float) -> tuple[int, int]:
    """The steps of a climb between two travels, mm: from the last that is low to the first that is high."""
    first = max(int(np.searchsorted(travel, start, "right")) - 1, 0)
    end = max(int(np.searchsorted(travel, stop, "right")), first + 2)
    share = (load[first:end] - load[first]) / max(float(np.ptp(load[first:end])), 1e-12)
    share = share / share.max()
    top = int(np.argmax(share >= HIGH))
    return first + int(np.flatnonzero(share[:top] <= LOW)[-1]), first + top


def _rise(
    model: Idealised, solution: Solution, steps: tuple[int, int], feet: dict[str, Floats], touched: Ints
) -> Rise:
    first, last = steps
    (start, stop), (low, high) = solution.travel[[first, last]], solution.load[[first, last]]
    taken = {name: float(force[last] - force[first]) for name, force in feet.items()}
    most = sorted((n for n in taken if taken[n] > 0.0), key=lambda n: -taken[n])[:MOST_FEET]
    enough = np.flatnonzero(np.cumsum([taken[n] for n in most]) >= SHARE * (high - low))
    most = most[: int(enough[0]) + 1] if len(enough) else most
    met = np.flatnonzero((touched > max(first - 1, 0)) & (touched <= last))
    return Rise(
        start=float(start), stop=float(stop), low=float(low), high=float(high),
        feet=tuple((n, taken[n]) for n in most), met=tuple(model.cage.members[int(m)].name for m in met),
    )  # fmt: skip


def _touched(model: Idealised, push: Push, solution: Solution) -> Ints:
    """Number of the kept step at which the tool first comes to each member; 0 where it never does."""
    gaps = gaps_to_tool(model, push, solution)
    members = [gaps[:, model.member == i].min(axis=1) <= TOUCHING for i in range(len(model.cage.members))]
    return np.array([int(np.argmax(m)) for m in members])
