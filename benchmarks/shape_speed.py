"""Plan to cage for 10, 40 and 160 members, and the copes alone, beside a plain root finder in the same run.

Run: ``python benchmarks/shape_speed.py [--quick]``. The cages are one bay of ten members (a hoop of four
bends, two bent legs, a header, two backstays, two diagonals and two door bars) repeated down a long car. The
peer finds every point of the same copes by itself: it walks down the wall line from the body until the
distance to the mains' axes is less than their radius, and ends with scipy's brentq. Growth is the exponent of
time against members fitted through the rows: 1 is in proportion. Budget: reading, resolving, copes and
findings of a 40-member plan in 50 ms warm, of which the copes are to take well under 25 ms.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np
from scipy.optimize import brentq

from cagewright.plan.types import Plan
from cagewright.shape import joints
from cagewright.shape.cope import POINTS, cut
from cagewright.shape.distance import to_piece
from cagewright.shape.resolve import resolve
from cagewright.shape.walls import Notch

BAY = 2600.0
TUBES = {
    "hoop": {"od": 45, "wall": 2.5, "steel": "E355+N", "clr": 135},
    "bar": {"od": 38, "wall": 2.5, "steel": "E355+N", "clr": 114},
}


def bay(index: int) -> tuple[dict, dict]:
    """The ten members of one bay and their feet."""
    x = index * BAY
    n = f"_{index}"
    hoop, leg, right = f"hoop{n}", f"leg{n}", f"leg_right{n}"
    members = {
        hoop: {
            "role": "main rollbar",
            "tube": "hoop",
            "path": [
                {"foot": f"a{n}"},
                {"at": (x, -650, 780)},
                {"at": (x, -500, 1235)},
                {"at": (x, 500, 1235)},
                {"at": (x, 650, 780)},
                {"foot": f"a_right{n}"},
            ],
        },
        leg: {
            "role": "lateral half-rollbar",
            "tube": "bar",
            "mirror": right,
            "path": [
                {"foot": f"b{n}"},
                {"at": (x - 1070, -640, 800)},
                {"at": (x - 600, -530, 1195)},
                {"on": hoop, "side": "left", "up": 1208},
            ],
        },
        f"header{n}": bar({"on": leg, "back": x - 600}, {"on": right, "back": x - 600}),
        f"stay{n}": {
            "role": "backstay",
            "tube": "bar",
            "mirror": f"stay_right{n}",
            "path": [{"on": hoop, "across": -440}, {"foot": f"c{n}"}],
        },
        f"cross{n}": bar({"on": hoop, "side": "right", "up": 285}, {"on": hoop, "across": -395}),
        f"rear{n}": bar({"on": f"stay_right{n}", "up": 1130}, {"on": f"stay{n}", "up": 690}),
        f"door{n}": {
            "role": "doorbar",
            "tube": "bar",
            "mirror": f"door_right{n}",
            "path": [{"on": leg, "up": 620}, {"on": hoop, "side": "left", "up": 630}],
        },
    }
    feet = {
        f"a{n}": foot((x, -655, 210), n, "a"),
        f"b{n}": foot((x - 1080, -640, 190), n, "b"),
        f"c{n}": foot((x + 700, -520, 590), n, "c"),
    }
    return members, feet


def bar(start: dict, end: dict) -> dict:
    return {"role": "diagonal", "tube": "bar", "path": [start, end]}


def foot(at: tuple[float, float, float], n: str, name: str) -> dict:
    return {"at": at, "on": "rigid", "plate": (120, 100, 3), "mirror": f"{name}_right{n}"}


def long_car(members: int) -> Plan:
    """A plan of that many members, in bays of ten."""
    bays = [bay(i) for i in range(members // 10)]
    return Plan.model_validate({
        "cagewright": 1,
        "title": f"{members} members",
        "tubes": TUBES,
        "members": {k: v for m, _ in bays for k, v in m.items()},
        "feet": {k: v for _, f in bays for k, v in f.items()},
    })


def best(work: Callable[[], object], times: int) -> float:
    """The shortest of several warm runs, s."""
    work()
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        spent.append(time.perf_counter() - start)
    return min(spent)


def notches_of(plan: Plan) -> list[Notch]:
    """Every notch of the plan, taken on its way into the cut."""
    taken: list[Notch] = []

    def listening(notches, *rest):
        taken.extend(notches)
        return cut(notches, *rest)

    joints.cut = listening
    try:
        resolve(plan)
    finally:
        joints.cut = cut
    return taken


def plain(notch: Notch) -> np.ndarray:
    """The cope's outside and bore (2, POINTS) point by point."""
    side = np.cross(notch.axis, notch.zero)
    top = max(m.reach for m in notch.mains)

    steps = np.linspace(top, -top, 800)

    def gap(w: float, base: np.ndarray) -> float:
        return float(gaps(np.array([w]), base)[0])

    def gaps(w: np.ndarray, base: np.ndarray) -> np.ndarray:
        spot = base + w[:, None] * notch.axis
        return np.min([to_piece(spot, p) - m.radius for m in notch.mains for p in m.pieces], axis=0)

    def first(base: np.ndarray) -> float:
        inside = np.nonzero(gaps(steps, base) < 0.0)[0]
        if len(inside) == 0:
            return np.nan  # passes beside, or only grazes between two steps
        return brentq(gap, steps[inside[0]], steps[inside[0] - 1], args=(base,), xtol=1e-9)

    turns = np.arange(POINTS) * 2.0 * np.pi / POINTS
    return np.array([
        [first(notch.origin + r * (np.cos(a) * notch.zero + np.sin(a) * side)) for a in turns]
        for r in (notch.radius, notch.bore)
    ])


def main() -> None:
    quick = "--quick" in sys.argv
    sizes = (10, 40) if quick else (10, 40, 160)
    rows = []
    print("members   resolve ms   copes   copes ms   ms a cope")
    for size in sizes:
        plan = long_car(size)
        notches = notches_of(plan)
        whole = best(lambda p=plan: resolve(p), 5 if quick else 15)
        copes = best(lambda n=notches: cut(n), 5 if quick else 15)
        rows.append((size, whole))
        each = 1e3 * copes / len(notches)
        print(f"{size:7d} {1e3 * whole:12.1f} {len(notches):7d} {1e3 * copes:10.1f} {each:11.3f}")
    growth = np.polyfit(np.log([r[0] for r in rows]), np.log([r[1] for r in rows]), 1)[0]
    print(f"resolve grows as members^{growth:.2f}")
    few = notches_of(long_car(10))[: 2 if quick else 6]
    ours = best(lambda: cut(few), 5)
    start = time.perf_counter()
    theirs = [plain(n) for n in few]
    spent = time.perf_counter() - start
    apart = max(
        float(np.abs(np.stack((c.outside, c.inside)) - t).max())
        for c, t in zip(cut(few), theirs, strict=True)
    )
    print(f"peer, a root finder point by point: {spent / ours:.0f} x our time, {apart:.1e} mm apart at most")


if __name__ == "__main__":
    main()
