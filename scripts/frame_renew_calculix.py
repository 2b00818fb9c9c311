"""Make CalculiX's answers in tests/data/frame anew (tests never need it).

Run ``python scripts/frame_renew_calculix.py`` where ccx is installed.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "benchmarks"))

import frame_calculix  # noqa: E402
from frame_cages import cage, portal  # noqa: E402

FILE = ROOT / "tests" / "data" / "frame" / "calculix.json"


def along_axis(frame: dict[str, Any]) -> dict[str, Any]:
    """The frame with shear, pushed straight inboard."""
    return {**frame, "shear": True, "load": {**frame["load"], "direction": [0.0, -1.0, 0.0]}}


def main() -> None:
    """Write the file."""
    version = subprocess.run(["ccx", "-v"], capture_output=True, text=True, check=False).stdout.split()[-1]
    frames = {"roof": cage(push="roof"), "side": cage(push="side"), "braced": cage(brace=True),
              "portal": {**portal(), "shear": True}}  # fmt: skip
    linear = {}
    for name, frame in frames.items():
        load = np.zeros((1, len(frame["nodes"]), 6))
        load[0, frame["load"]["node"], :3] = np.array(frame["load"]["direction"]) * 1e3
        _, moved = frame_calculix.linear(frame, load)
        linear[name] = [[float(f"{v:.6g}") for v in row] for row in moved[0]]
    pushes = {}
    for name, frame in (
        ("portal", along_axis(portal())),
        ("cage", along_axis(cage(push="side", mesh=60.0, target=100.0))),
    ):
        _, travel, load = frame_calculix.push(frame)
        pushes[name] = {"travel_mm": [round(v, 4) for v in travel], "load_N": [round(v, 2) for v in load]}
    kept = {"made_with": f"CalculiX {version}, B32R, SECTION=PIPE", "linear": linear, "pushes": pushes}
    FILE.write_text(json.dumps(kept) + "\n")


if __name__ == "__main__":
    main()
