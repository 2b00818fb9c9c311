"""Simulated builds with known errors, read by a tape with 1 mm noise: how often the adjustment is right."""

from dataclasses import replace

import numpy as np
from scipy.special import chdtri

from cagewright.fitup.adjust import adjust
from cagewright.fitup.choose import choose_readings, tapes_of
from cagewright.fitup.marks import marks_of
from cagewright.fitup.network import Body, network
from cagewright.shape.resolve import resolve
from fitted import disturbed, taken
from small_plans import HOOP_FEET, hoop, plan


def random_cage(rng):
    """A hoop, two legs that lean by chance, a header and stays."""
    back, low, up = rng.uniform(-1150, -900), rng.uniform(150, 260), rng.uniform(1120, 1200)
    half, foot = rng.uniform(380, 470), rng.uniform(580, 660)
    legs = {
        f"leg_{side}": {
            "role": "lateral half-rollbar",
            "tube": "bar",
            "path": [
                {"foot": f"front_{side}"},
                [back + rng.uniform(20, 60), s * (foot - 20), 760],
                [back + 480, s * half, up],
                {"on": "hoop", "side": side, "up": 1150},
            ],
        }
        for side, s in (("left", -1), ("right", 1))
    }
    members = {
        "hoop": hoop(),
        **legs,
        "header": ("bar", [{"on": "leg_left", "back": back + 520}, {"on": "leg_right", "back": back + 520}]),
    }
    feet = {**HOOP_FEET, "front_left": [back, -foot, low], "front_right": [back, foot, low]}
    points = {
        "tunnel": [back / 2.0, 0.0, 250.0],
        "turret_l": [700.0, -520.0, 600.0],
        "turret_r": [700.0, 520.0, 600.0],
    }
    return resolve(plan(members, feet=feet)), {k: np.array(v) for k, v in points.items()}


def build(rng):
    cage, points = random_cage(rng)
    bodies = [Body(name=m.name, members=(m.name,)) for m in cage.members]
    net = network(marks_of(cage, points), bodies)
    readings = [c.reading for c in choose_readings(net, tapes_of(net, cage))]
    _, truth = disturbed(net, rng)
    return net, truth, taken(net, readings, truth, rng)


def tally(builds, seed):
    rng = np.random.default_rng(seed)
    inside = marks = found = alarms = 0
    for _ in range(builds):
        net, truth, seen = build(rng)
        plain = adjust(net, seen)
        alarms += bool(plain.outliers)
        free = np.flatnonzero(net.body >= 0)
        inside += sum(region_holds(plain, net.marks[i].name, truth[i]) for i in free)
        marks += len(free)
        k = int(rng.integers(len(seen)))
        seen[k] = replace(seen[k], seen=seen[k].seen + 12.0 * float(rng.choice([-1.0, 1.0])))
        found += any(s.reading is seen[k] for s in adjust(net, seen).outliers)
    return inside / marks, found / builds, alarms / builds


def region_holds(adjusted, mark, point, *, level=0.95):
    """Whether ``point`` lies in the mark's stated region of that level (chi-square with 3 freedoms)."""
    i = adjusted.net.index[mark]
    off = np.asarray(point, float) - adjusted.places[i]
    if adjusted.net.body[i] < 0:
        return bool(np.abs(off).max() < 1e-9)
    return bool(off @ np.linalg.solve(adjusted.mark_covariance[i], off) <= chdtri(3, 1.0 - level))
