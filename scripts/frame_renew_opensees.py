"""Make the outside curves in tests/data/frame anew with OpenSeesPy (tests never need it).

Run ``python scripts/frame_renew_opensees.py`` where OpenSeesPy imports. It is not open source and is
never a dependency: it only checks this solver from outside, on the same frame files.
"""

from __future__ import annotations

import json
import math
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "benchmarks"))

from frame_cages import cage, portal  # noqa: E402

from cagewright.frame.model import usual_toward  # noqa: E402

FIBRES = 24
DATA = ROOT / "tests" / "data" / "frame"


def axes_of(nodes: np.ndarray, elements: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Unit axis and local z of each element, as the frame model takes them."""
    along = nodes[elements[:, 1]] - nodes[elements[:, 0]]
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    toward = usual_toward(nodes, elements)
    y = toward - (toward * along).sum(axis=1, keepdims=True) * along
    y /= np.linalg.norm(y, axis=1, keepdims=True)
    return along, np.cross(along, y)


def turned(way: np.ndarray) -> np.ndarray:
    """Rotation that brings ``way`` onto the first axis."""
    first = way / np.linalg.norm(way)
    other = np.eye(3)[int(np.argmin(np.abs(first)))]
    third = np.cross(first, other)
    third /= np.linalg.norm(third)
    return np.stack([first, np.cross(third, first), third])


def build(ops: Any, frame: dict[str, Any], *, kind: str) -> None:
    """The frame in OpenSees, turned so that the push is along degree of freedom 1."""
    nodes = np.array(frame["nodes"], float)
    rows = np.array(frame["elements"], float)
    elements = rows[:, :2].astype(int)
    turn = turned(np.array(frame["load"]["direction"], float))
    _, z = axes_of(nodes, elements)
    young, nu = frame["E"], frame["nu"]
    shear = young / (2.0 * (1.0 + nu))
    ops.wipe()
    ops.model("basic", "-ndm", 3, "-ndf", 6)
    for k, p in enumerate(nodes @ turn.T):
        ops.node(k + 1, *map(float, p))
    for k in frame["fixed"]:
        ops.fix(k + 1, 1, 1, 1, 1, 1, 1)
    ops.uniaxialMaterial("Steel01", 1, frame["fy"], young, frame["hardening"])
    tags: dict[tuple[float, float], int] = {}
    for od, wall in rows[:, 2:]:
        if (od, wall) not in tags:
            tags[od, wall] = len(tags) + 1
            _section(ops, tags[od, wall], od, wall, shear)
    for e, (i, j) in enumerate(elements):
        od, wall = rows[e, 2:]
        area, inertia = tube(od, wall)
        ops.geomTransf("Corotational" if kind == "push" else "Linear", e + 1, *map(float, turn @ z[e]))
        if kind == "push":
            ops.element("dispBeamColumn", e + 1, int(i) + 1, int(j) + 1, e + 1, tags[od, wall])
        elif kind == "plain":
            ops.element("elasticBeamColumn", e + 1, int(i) + 1, int(j) + 1, area, young, shear,
                        2.0 * inertia, inertia, inertia, e + 1)  # fmt: skip
        else:
            ops.element("ElasticTimoshenkoBeam", e + 1, int(i) + 1, int(j) + 1, young, shear, area,
                        2.0 * inertia, inertia, inertia, 0.5 * area, 0.5 * area, e + 1)  # fmt: skip
    ops.timeSeries("Linear", 1)
    ops.pattern("Plain", 1, 1)
    ops.load(frame["load"]["node"] + 1, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0)


def tube(od: float, wall: float) -> tuple[float, float]:
    """Area mm2 and second moment mm4 of a round tube."""
    bore = od - 2.0 * wall
    return math.pi / 4.0 * (od**2 - bore**2), math.pi / 64.0 * (od**4 - bore**4)


def _section(ops: Any, tag: int, od: float, wall: float, shear: float) -> None:
    area, inertia = tube(od, wall)
    r = math.sqrt(2.0 * inertia / area)
    ops.section("Fiber", tag, "-GJ", shear * 2.0 * inertia)
    for k in range(FIBRES):
        angle = (k + 0.5) * 2.0 * math.pi / FIBRES
        ops.fiber(r * math.cos(angle), r * math.sin(angle), area / FIBRES, 1)
    ops.beamIntegration("Legendre", tag, tag, 2)


def _solver(ops: Any) -> None:
    ops.constraints("Plain")
    ops.numberer("RCM")
    ops.system("UmfPack")


def push_curve(
    ops: Any, frame: dict[str, Any], *, step: float = 3.0, tolerance: float = 1e-6
) -> dict[str, Any]:
    """Travel mm and load N of the frame's push, and the seconds of the analysis loop."""
    build(ops, frame, kind="push")
    _solver(ops)
    ops.test("NormDispIncr", tolerance, 30)
    ops.algorithm("Newton")
    ops.analysis("Static")
    node, target = frame["load"]["node"] + 1, frame["load"]["target"]
    travel, load = [0.0], [0.0]
    begin = time.perf_counter()
    while travel[-1] < target - 1e-9:
        size = min(step, target - travel[-1])
        ops.integrator("DisplacementControl", node, 1, size)
        if ops.analyze(1) != 0 and not _smaller(ops, node, size):
            break
        travel.append(ops.nodeDisp(node, 1))
        load.append(ops.getTime())
    return {"travel_mm": travel, "load_N": load, "seconds": time.perf_counter() - begin}


def _smaller(ops: Any, node: int, size: float) -> bool:
    ops.integrator("DisplacementControl", node, 1, size / 10.0)
    return ops.analyze(10) == 0


def linear_answer(ops: Any, frame: dict[str, Any], *, kind: str) -> list[list[float]]:
    """Displacements (n, 6) under 1 N along the push, in the frame file's axes."""
    build(ops, frame, kind=kind)
    _solver(ops)
    ops.integrator("LoadControl", 1.0)
    ops.algorithm("Linear")
    ops.analysis("Static")
    ops.analyze(1)
    moved = np.array([ops.nodeDisp(k + 1) for k in range(len(frame["nodes"]))])
    turn = turned(np.array(frame["load"]["direction"], float))
    return np.concatenate([moved[:, :3] @ turn, moved[:, 3:] @ turn], axis=1).tolist()


def frames() -> dict[str, dict[str, Any]]:
    """The frames whose curves are kept."""
    coarse = {"mesh": 60.0, "shear": False}
    return {
        "cage-roof": cage(push="roof", **coarse),
        "cage-side": cage(push="side", target=130.0, **coarse),
        "braced-roof": cage(push="roof", brace=True, **coarse),
        "braced-side": cage(push="side", brace=True, target=130.0, **coarse),
        "portal-roof": portal(push="roof"),
        "portal-side": portal(push="side"),
    }


def main() -> None:
    import openseespy.opensees as ops

    DATA.mkdir(parents=True, exist_ok=True)
    for name, frame in frames().items():
        curve = push_curve(ops, frame)
        del curve["seconds"]
        kept = {
            "made_with": f"OpenSees {ops.version()}, dispBeamColumn, 2 points, {FIBRES} fibres, Corotational",
            "frame": frame,
            "curve": {k: [round(v, 6) for v in values] for k, values in curve.items()},
        }
        (DATA / f"{name}.json").write_text(json.dumps(kept) + "\n")
        print(name, len(frame["elements"]), max(curve["load_N"]), curve["travel_mm"][-1])
    for kind in ("plain", "shear"):
        frame = {**cage(mesh=200.0, brace=True), "shear": kind == "shear"}
        moved = linear_answer(ops, frame, kind=kind)
        kept = {"made_with": f"OpenSees {ops.version()}", "frame": frame, "displacement": moved}
        (DATA / f"linear-{kind}.json").write_text(json.dumps(kept) + "\n")


if __name__ == "__main__":
    main()
