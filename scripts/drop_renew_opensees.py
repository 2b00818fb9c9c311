"""Make the outside motions in tests/data/frame anew with OpenSeesPy (tests never need it).

Run ``python scripts/drop_renew_opensees.py`` where OpenSeesPy imports. It is not open source and is never a
dependency: it only checks this solver's motion from outside, on the same frames and lumped masses.
"""

from __future__ import annotations

import json
from typing import Any

from frame_renew_opensees import DATA, build, cage, portal

from cagewright.frame.moving import lumped
from cagewright.frame.neutral import parse_frame

STEP, EVERY = 5e-5, 10
"""s of each step, and of how many the travel is kept."""


def frames() -> dict[str, tuple[dict[str, Any], float, float, float]]:
    """Frames, the mass t that strikes at the pushed node, its speed mm/s, how long it is followed s."""
    coarse = {"mesh": 250.0, "shear": False}
    return {
        "struck-portal": (portal(push="side"), 0.2, 4e3, 0.05),
        "struck-cage": (cage(push="roof", **coarse), 0.6, 6e3, 0.04),
    }


def motion(ops: Any, frame: dict[str, Any], *, mass: float, speed: float, until: float) -> dict[str, Any]:
    """Travel of the struck node along the blow, mm, over time, ms; Newmark's mean acceleration."""
    build(ops, frame, kind="push")
    ops.remove("loadPattern", 1)
    node = frame["load"]["node"]
    masses = lumped(parse_frame(json.dumps(frame))[0])
    masses[node, :3] += mass
    for k, row in enumerate(masses):
        ops.mass(k + 1, *map(float, row))
    ops.setNodeVel(node + 1, 1, speed * mass / masses[node, 0], "-commit")
    ops.constraints("Plain")
    ops.numberer("RCM")
    ops.system("UmfPack")
    ops.test("NormDispIncr", 1e-8, 30)
    ops.algorithm("Newton")
    ops.integrator("Newmark", 0.5, 0.25)
    ops.analysis("Transient")
    time, travel = [0.0], [0.0]
    for _ in range(round(until / STEP / EVERY)):
        if ops.analyze(EVERY, STEP) != 0:
            break
        time.append(ops.getTime() * 1e3)
        travel.append(ops.nodeDisp(node + 1, 1))
    return {"time_ms": time, "travel_mm": travel}


def main() -> None:
    import openseespy.opensees as ops

    for name, (frame, mass, speed, until) in frames().items():
        found = motion(ops, frame, mass=mass, speed=speed, until=until)
        kept = {
            "made_with": f"OpenSees {ops.version()}, dispBeamColumn, Corotational, Newmark 1/2 1/4, {STEP} s",
            "frame": frame, "mass_t": mass, "speed_mm_s": speed,
            "motion": {k: [round(v, 5) for v in values] for k, values in found.items()},
        }  # fmt: skip
        (DATA / f"{name}.json").write_text(json.dumps(kept) + "\n")
        print(
            name,
            len(frame["elements"]),
            max(found["travel_mm"]),
            found["travel_mm"][-1],
            len(found["time_ms"]),
        )


if __name__ == "__main__":
    main()
