"""How fast a drop is followed, beside OpenSeesPy on the same struck frame in the same run.

Run ``python benchmarks/drop_speed.py``. Processor time after the kernels are compiled; a peer that is not
installed is left out. Budget: 0.3 s of the demo's front corner from 600 mm in 20 s on one core.
"""

from __future__ import annotations

import json
import math
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "benchmarks"), str(ROOT / "scripts")]

import drop_renew_opensees as peer  # noqa: E402

from cagewright.frame.body import on_ground  # noqa: E402
from cagewright.frame.drop import fallen  # noqa: E402
from cagewright.frame.drop_body import car_body  # noqa: E402
from cagewright.frame.drop_case import DropCase  # noqa: E402
from cagewright.frame.follow import follow  # noqa: E402
from cagewright.frame.idealise import idealise  # noqa: E402
from cagewright.frame.moving import Pace, lumped, mover  # noqa: E402
from cagewright.frame.neutral import parse_frame  # noqa: E402
from cagewright.job.opening import open_job  # noqa: E402

BUDGET = 20.0
"""s of processor time."""


def taken(run: Callable[[], Any]) -> tuple[float, Any]:
    """Processor seconds of ``run`` and what it gave."""
    begin = time.process_time()
    found = run()
    return time.process_time() - begin, found


def demo() -> None:
    cage = open_job(ROOT / "examples" / "brackwater.yaml").cage
    model = idealise(cage)
    masses = lumped(model.model)
    car = car_body(cage, model.model, masses)
    case = DropCase(height=600.0, roll=math.radians(45.0), pitch=math.radians(10.0))
    fallen(model, car, masses, DropCase(height=600.0, time=1e-3))
    seconds, run = taken(lambda: fallen(model, car, masses, case))
    a = run.account
    print(f"demo, 0.3 s: {seconds:.1f} s of {BUDGET:.0f} allowed, {len(a.time) - 1} steps, "
          f"{a.corrections.mean():.1f} corrections each; unaccounted {np.abs(a.gap).max() / a.given:.3%}, "
          f"taken by the steps {a.numerical[-1] / a.given:.3%}")  # fmt: skip


def struck() -> None:
    frame, mass, speed, until = peer.frames()["struck-portal"]
    model, push = parse_frame(json.dumps(frame))
    masses = lumped(model)
    masses[push.node, :3] += mass
    start = np.zeros_like(masses)
    start[push.node, :3] = push.direction * speed

    def ours() -> Any:
        pace = Pace(longest=2e-4, rho=0.9)
        return follow(mover(on_ground(model), mass=masses, pace=pace), start, until=until)

    ours()
    seconds, run = taken(ours)
    print(f"struck portal, {until * 1e3:.0f} ms: {seconds:.2f} s in {len(run.account.time) - 1} steps")
    try:
        import openseespy.opensees as ops
    except (ImportError, RuntimeError):
        print("OpenSeesPy is not here: left out")
        return
    theirs, _ = taken(lambda: peer.motion(ops, frame, mass=mass, speed=speed, until=until))
    print(f"OpenSeesPy, {peer.STEP} s steps: {theirs:.2f} s, {theirs / seconds:.1f} times as long")


if __name__ == "__main__":
    demo()
    struck()
