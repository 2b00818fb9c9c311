"""Make CalculiX's answers about rails in tests/data/frame anew (tests never need it).

Run ``python scripts/rails_renew_calculix.py`` where ccx is installed. Torsion: bricks (C3D8I, four through a
wall) of an angle and a flat bar, both ends turned against each other as stiff outlines, free to warp or held
against it. Push: a box cantilever of B32R beams with a BOX section, pushed past yield.
"""

from __future__ import annotations

import json
import re
import subprocess
import tempfile
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
FILE = ROOT / "tests" / "data" / "frame" / "calculix_rails.json"
E, NU = 210_000.0, 0.3
THROUGH, ALONG, STEP = 4, 5.0, 10.0
"""Bricks through a wall; their size along a leg and along the bar, mm."""
TURN = 0.01
"""rad that the ends are turned against each other by."""


def run(deck: str) -> str:
    """What ccx prints of the deck."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "job.inp").write_text(deck)
        subprocess.run(["ccx", "job"], cwd=folder, check=True, capture_output=True)
        return Path(folder, "job.dat").read_text()


def cuts(size: float, wall: float, *, heel: bool) -> np.ndarray:
    """Where bricks end along a side of ``size`` mm: fine over the wall at its heel, coarser beyond."""
    fine = np.linspace(0.0, wall, THROUGH + 1)
    rest = np.linspace(wall, size, max(round((size - wall) / ALONG), 1) + 1)[1:]
    return np.concatenate([fine, rest]) if heel else np.linspace(0.0, size, round(size / ALONG) + 1)


def section(shape: str, width: float, depth: float, wall: float) -> tuple[np.ndarray, np.ndarray]:
    """Corners (n, 2) mm from the heel, and quadrilaterals (m, 4) of the section."""
    angle = shape == "angle"
    ys = cuts(width, wall, heel=angle)
    zs = cuts(depth, wall, heel=True) if angle else np.linspace(0.0, wall, THROUGH + 1)
    cells = [
        (i, k)
        for i in range(len(ys) - 1)
        for k in range(len(zs) - 1)
        if not angle or ys[i] < wall - 1e-9 or zs[k] < wall - 1e-9
    ]
    used = sorted({(i + a, k + b) for i, k in cells for a in (0, 1) for b in (0, 1)})
    number = {corner: n for n, corner in enumerate(used)}
    faces = [[number[i, k], number[i + 1, k], number[i + 1, k + 1], number[i, k + 1]] for i, k in cells]
    return np.array([(ys[i], zs[k]) for i, k in used]), np.array(faces)


def torsion(shape: str, width: float, depth: float, wall: float, long: float, *, held: bool) -> float:
    """Torque over twist per mm and G: the effective torsion constant, mm4."""
    corners, faces = section(shape, width, depth, wall)
    count = round(long / STEP)
    n = len(corners)
    lines = ["*NODE"]
    for s in range(count + 1):
        lines += [
            f"{s * n + k + 1}, {s * long / count:.9g}, {y:.9g}, {z:.9g}" for k, (y, z) in enumerate(corners)
        ]
    lines.append("*ELEMENT, TYPE=C3D8I, ELSET=ALL")
    for s in range(count):
        for f, face in enumerate(faces):
            nodes = [*(s * n + v + 1 for v in face), *((s + 1) * n + v + 1 for v in face)]
            lines.append(f"{s * len(faces) + f + 1}, {', '.join(map(str, nodes))}")
    lines += ["*NSET, NSET=FAR", *(str(count * n + k + 1) for k in range(n))]
    lines += ["*MATERIAL, NAME=STEEL", "*ELASTIC", f"{E}, {NU}", "*SOLID SECTION, ELSET=ALL, MATERIAL=STEEL"]
    middle = np.array([wall / 2.0, wall / 2.0]) if shape == "angle" else np.array([width, wall]) / 2.0
    lines += ["*STEP", "*STATIC", "*BOUNDARY"]
    for s, sign in ((0, -0.5), (count, 0.5)):
        for k, (y, z) in enumerate(corners - middle):
            node, turned = s * n + k + 1, sign * TURN
            lines += [f"{node}, 2, 2, {-turned * z:.12g}", f"{node}, 3, 3, {turned * y:.12g}"]
            lines += [f"{node}, 1, 1, 0."] if held or (s == 0 and k == 0) else []
    lines += ["*NODE PRINT, NSET=FAR", "RF", "*END STEP"]
    rows = np.array([
        [float(v) for v in line.split()]
        for line in run("\n".join(lines) + "\n").splitlines()
        if re.match(r"^\s*\d+\s+-?\d", line)
    ])
    place = corners[rows[:, 0].astype(int) - count * n - 1] - middle
    torque = float((place[:, 0] * rows[:, 3] - place[:, 1] * rows[:, 2]).sum())
    return torque / (E / 2.0 / (1.0 + NU) * TURN / long)


BOX = {"width": 60.0, "depth": 40.0, "wall": 3.0, "long": 600.0, "fy": 235.0, "slope": 2100.0, "target": 60.0}


def push() -> tuple[list[float], list[float]]:
    """Travel mm and load N of the box cantilever pushed along its depth at the tip."""
    b, count = BOX, 15
    step = b["long"] / (2 * count)
    lines = ["*NODE", *(f"{k + 1}, {k * step:.9g}, 0., 0." for k in range(2 * count + 1))]
    lines += ["*ELEMENT, TYPE=B32R, ELSET=ALL"]
    lines += [f"{e + 1}, {2 * e + 1}, {2 * e + 2}, {2 * e + 3}" for e in range(count)]
    wall = ", ".join([f"{b['wall']}"] * 4)
    lines += ["*BEAM SECTION, ELSET=ALL, MATERIAL=STEEL, SECTION=BOX"]
    lines += [f"{b['width']}, {b['depth']}, {wall}", "0., 1., 0."]
    lines += ["*MATERIAL, NAME=STEEL", "*ELASTIC", f"{E}, {NU}", "*PLASTIC", f"{b['fy']}, 0."]
    lines += [f"{b['fy'] + b['slope']}, 1.", "*BOUNDARY", "1, 1, 6", "*NSET, NSET=TIP", f"{2 * count + 1}"]
    lines += ["*STEP, NLGEOM, INC=2000", "*STATIC", "0.02, 1., 1e-6, 0.02", "*BOUNDARY"]
    lines += [f"{2 * count + 1}, 3, 3, {b['target']}", "*NODE PRINT, NSET=TIP", "U, RF", "*END STEP"]
    rows = [
        [float(v) for v in line.split()]
        for line in run("\n".join(lines) + "\n").splitlines()
        if re.match(r"^\s*\d+\s+-?\d", line)
    ]
    return [0.0, *(r[3] for r in rows[::2])], [0.0, *(r[3] for r in rows[1::2])]


def main() -> None:
    """Write the file."""
    version = subprocess.run(["ccx", "-v"], capture_output=True, text=True, check=False).stdout.split()[-1]
    bars = (("angle", 60.0, 40.0, 5.0), ("angle", 40.0, 40.0, 4.0), ("flat", 40.0, 6.0, 6.0))
    found = [
        {"shape": shape, "width": w, "depth": d, "wall": t, "long": long,
         **{how: round(torsion(shape, w, d, t, long, held=how == "held"), 2) for how in ("free", "held")}}
        for shape, w, d, t in bars
        for long in (200.0, 800.0)
    ]  # fmt: skip
    travel, load = push()
    kept = {
        "made_with": f"CalculiX {version}: C3D8I for torsion, B32R SECTION=BOX for the push",
        "torsion_mm4": found, "box": BOX,
        "push": {"travel_mm": [round(v, 4) for v in travel], "load_N": [round(v, 2) for v in load]},
    }  # fmt: skip
    FILE.write_text(json.dumps(kept, indent=1) + "\n")


if __name__ == "__main__":
    main()
