"""Make the outside curve of a steel plate shear wall anew with OpenSeesPy (tests never need it).

Run ``python scripts/frame_renew_strips.py`` where OpenSeesPy imports. The wall is one half of the storey
tested by Timler and Kulak, University of Alberta Structural Engineering Report 114 (1983); its measures are
from memory, unchecked. Strips are two-dimensional corotational trusses that go slack when pushed.
"""

from __future__ import annotations

import json
import math
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from cagewright.frame.strips import chords, pull_angle

FIBRES = 24
WIDTH, HEIGHT, SHEET, STRIPS = 3750.0, 2500.0, 5.0, 15
POST = {"area": 16_500.0, "inertia": 308e6}
BEAM = {"area": 18_400.0, "inertia": 726e6}
FILE = Path(__file__).resolve().parents[1] / "tests" / "data" / "frame" / "strips-wall.json"


def wall() -> dict[str, Any]:
    """Nodes in the wall's plane, posts, beam, pinned corners and strips one way at the angle of pull."""
    angle = pull_angle(thickness=SHEET, width=WIDTH, height=HEIGHT, post_area=POST["area"],
                       post_inertia=POST["inertia"], beam_area=BEAM["area"])  # fmt: skip
    outline = np.array([[0, 0], [WIDTH, 0], [WIDTH, HEIGHT], [0, HEIGHT]])
    strips = chords(outline, np.array([math.sin(angle), math.cos(angle)]), STRIPS)
    ends = [tuple(np.round(p, 6)) for pair, _ in strips for p in pair]
    nodes: list[tuple[float, float]] = []
    runs = {
        "left": _run(nodes, ends, (0.0, 0.0), (0.0, HEIGHT)),
        "right": _run(nodes, ends, (WIDTH, 0.0), (WIDTH, HEIGHT)),
        "top": _run(nodes, ends, (0.0, HEIGHT), (WIDTH, HEIGHT)),
        "base": _run(nodes, ends, (0.0, 0.0), (WIDTH, 0.0)),
    }
    return {
        "angle": angle,
        "nodes": nodes,
        "posts": [list(p) for side in ("left", "right") for p in pairwise(runs[side])],
        "beam": [list(p) for p in pairwise(runs["top"])],
        "pins": [[runs["top"][0], runs["left"][-1]], [runs["top"][-1], runs["right"][-1]]],
        "fixed": [runs["left"][0], runs["right"][0], *runs["base"]],
        "strips": [[_on(nodes, runs, a), _on(nodes, runs, b), t * SHEET] for (a, b), t in strips],
        "pushed": runs["top"],
        "post": POST, "bar": BEAM, "E": 200e3, "sheet_fy": 271.0, "post_fy": 300.0, "hardening": 0.01,
        "height": HEIGHT, "width": WIDTH, "thickness": SHEET, "target": 25.0,
    }  # fmt: skip


def _run(nodes: list[Any], ends: list[Any], a: tuple[float, float], b: tuple[float, float]) -> list[int]:
    """Numbers of new nodes from ``a`` to ``b``: at both, at strips' ends, never 500 mm apart."""
    start, way = np.array(a), np.array(b) - np.array(a)
    size = float(np.linalg.norm(way))
    way = way / size
    on = [float((np.array(p) - start) @ way) for p in ends]
    on = [s for s, p in zip(on, ends, strict=True) if np.linalg.norm(start + s * way - np.array(p)) < 1e-3]
    marks = sorted({0.0, size, *(round(s, 6) for s in on), *np.arange(1, int(size / 250.0)) * 250.0})
    first = len(nodes)
    nodes.extend(tuple(float(v) for v in np.round(start + s * way, 6)) for s in marks)
    return list(range(first, len(nodes)))


def _on(nodes: list[Any], runs: dict[str, list[int]], p: Any) -> int:
    """The node of a tube at ``p``, a post's before the beam's at a corner."""
    order = [*runs["left"], *runs["right"], *runs["base"], *runs["top"]]
    return min(order, key=lambda k: round(float(np.linalg.norm(np.array(nodes[k]) - p)), 3))


def curve(ops: Any, w: dict[str, Any], *, strips: bool = True) -> dict[str, list[float]]:
    """Travel mm of the beam's middle and load N along it, in OpenSees."""
    ops.wipe()
    ops.model("basic", "-ndm", 2, "-ndf", 3)
    for k, p in enumerate(w["nodes"]):
        ops.node(k + 1, *p)
    for k in sorted(set(w["fixed"])):
        ops.fix(k + 1, 1, 1, 1)
    for a, b in w["pins"]:
        ops.equalDOF(a + 1, b + 1, 1, 2)
    ops.uniaxialMaterial("Steel01", 1, w["post_fy"], w["E"], w["hardening"])
    ops.uniaxialMaterial("ElasticPP", 2, w["E"], w["sheet_fy"] / w["E"], -1e-9)
    ops.geomTransf("Corotational", 1)
    tag = 0
    for section, (part, pieces) in enumerate((("post", "posts"), ("bar", "beam")), start=1):
        area, inertia = w[part]["area"], w[part]["inertia"]
        r = math.sqrt(2.0 * inertia / area)
        ops.section("Fiber", section)
        for k in range(FIBRES):
            ops.fiber(r * math.cos((k + 0.5) * 2.0 * math.pi / FIBRES), 0.0, area / FIBRES, 1)
        ops.beamIntegration("Legendre", section, section, 2)
        for a, b in w[pieces]:
            tag += 1
            ops.element("dispBeamColumn", tag, a + 1, b + 1, 1, section)
    for a, b, area in w["strips"] if strips else []:
        tag += 1
        ops.element("corotTruss", tag, a + 1, b + 1, area, 2)
    return _pushed(ops, w)


def _pushed(ops: Any, w: dict[str, Any]) -> dict[str, list[float]]:
    ops.timeSeries("Linear", 1)
    ops.pattern("Plain", 1, 1)
    middle = w["pushed"][len(w["pushed"]) // 2]
    ops.load(middle + 1, 1.0, 0.0, 0.0)
    ops.constraints("Transformation")
    ops.numberer("RCM")
    ops.system("UmfPack")
    ops.test("NormUnbalance", 1.0, 200)
    ops.algorithm("Newton")
    ops.integrator("DisplacementControl", middle + 1, 1, 0.25)
    ops.analysis("Static")
    travel, load = [0.0], [0.0]
    while travel[-1] < w["target"] - 1e-9:
        if ops.analyze(1) != 0:
            raise RuntimeError(f"OpenSees stopped at {travel[-1]} mm")
        travel.append(ops.nodeDisp(middle + 1, 1))
        load.append(ops.getTime())
    return {"travel_mm": travel, "load_N": load}


def main() -> None:
    import openseespy.opensees as ops

    w = wall()
    found = {name: curve(ops, w, strips=name == "curve") for name in ("curve", "bare")}
    kept = {
        "made_with": f"OpenSees {ops.version()}, corotTruss of ElasticPP without push, dispBeamColumn",
        "wall": w,
        **{name: {k: [round(v, 4) for v in row] for k, row in c.items()} for name, c in found.items()},
    }
    FILE.write_text(json.dumps(kept) + "\n")
    print(math.degrees(w["angle"]), max(found["curve"]["load_N"]), max(found["bare"]["load_N"]))


if __name__ == "__main__":
    main()
