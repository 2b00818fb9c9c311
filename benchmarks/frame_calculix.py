"""The neutral frame file as a CalculiX input deck, linear or pushed past yield, and CalculiX run on it.

CalculiX is a general finite element program (ccx, GPL). Its ``B32R`` beams with a pipe section become bricks
inside the program, tied rigidly where beams meet. (Its two-node user element ``U1`` was tried first: in 2.20
a cantilever of two such elements bends the wrong way.) It is run as a whole process; what a process costs by
itself is told by a deck of one element.
"""

from __future__ import annotations

import shutil
import subprocess
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np

from cagewright.frame.model import usual_toward

INCREMENT = 0.02
"""Part of a push's travel in one increment."""


def installed() -> bool:
    """Whether ccx can be run here."""
    return shutil.which("ccx") is not None


def linear_deck(frame: dict[str, Any], loads: np.ndarray) -> str:
    """The input deck of a frame under each of ``loads`` (k, n, 6), one step a case."""
    lines = [*_frame(frame)]
    for load in loads:
        lines += ["*STEP", "*STATIC", "*CLOAD, OP=NEW"]
        lines += [f"{n + 1}, {d + 1}, {load[n, d]:.12g}" for n, d in np.argwhere(load != 0.0)]
        lines += ["*NODE PRINT, NSET=ALL", "U", "*END STEP"]
    return "\n".join(lines) + "\n"


def push_deck(frame: dict[str, Any]) -> str:
    """The input deck of a push past yield, large movements, travel prescribed.

    Raises:
        ValueError: the push is not along an axis.
    """
    load = frame["load"]
    way = np.array(load["direction"], float)
    if np.count_nonzero(way) != 1:
        raise ValueError("a prescribed travel in CalculiX goes along an axis")
    dof, node = int(np.flatnonzero(way)[0]), load["node"] + 1
    rise = frame["hardening"] * frame["E"] / (1.0 - frame["hardening"])
    far = load["target"] * float(np.sign(way[dof]))
    lines = [*_frame(frame, plastic=[f"{frame['fy']}, 0.", f"{frame['fy'] + rise}, 1."])]
    lines += ["*NSET, NSET=PUSHED", f"{node}", "*STEP, NLGEOM, INC=2000", "*STATIC"]
    lines += [f"{INCREMENT}, 1., 1e-6, {INCREMENT}", "*BOUNDARY", f"{node}, {dof + 1}, {dof + 1}, {far}"]
    lines += ["*NODE PRINT, NSET=PUSHED", "U, RF", "*END STEP"]
    return "\n".join(lines) + "\n"


def _frame(frame: dict[str, Any], plastic: list[str] | None = None) -> list[str]:
    nodes = np.array(frame["nodes"], float)
    rows = np.array(frame["elements"], float)
    ends = rows[:, :2].astype(int)
    middle = len(nodes) + 1
    lines = ["*NODE, NSET=ALL", *_numbered(nodes, 1), "*NODE", *_numbered(nodes[ends].mean(axis=1), middle)]
    for g, ((od, wall, *normal), members) in enumerate(_groups(nodes, rows, ends).items()):
        lines.append(f"*ELEMENT, TYPE=B32R, ELSET=E{g}")
        lines += [f"{e + 1}, {ends[e, 0] + 1}, {middle + e}, {ends[e, 1] + 1}" for e in members]
        lines.append(f"*BEAM SECTION, ELSET=E{g}, MATERIAL=STEEL, SECTION=PIPE")
        lines += [f"{od / 2.0:.9g}, {wall:.9g}", ", ".join(f"{v:.9g}" for v in normal)]
    lines += ["*MATERIAL, NAME=STEEL", "*ELASTIC", f"{frame['E']}, {frame['nu']}"]
    lines += ["*PLASTIC", *plastic] if plastic else []
    return [*lines, "*BOUNDARY", *(f"{k + 1}, 1, 6" for k in frame["fixed"])]


def _groups(nodes: np.ndarray, rows: np.ndarray, ends: np.ndarray) -> dict[tuple[float, ...], list[int]]:
    """Elements of one tube whose section looks the same way."""
    toward = usual_toward(nodes, ends)
    found: dict[tuple[float, ...], list[int]] = {}
    for e, row in enumerate(rows):
        along = nodes[ends[e, 1]] - nodes[ends[e, 0]]
        along = along / np.linalg.norm(along)
        first = toward[e] - (toward[e] @ along) * along
        normal = np.round(first / np.linalg.norm(first), 9)
        found.setdefault((float(row[2]), float(row[3]), *map(float, normal)), []).append(e)
    return found


def _numbered(places: np.ndarray, first: int) -> list[str]:
    return [f"{first + k}, {x:.9g}, {y:.9g}, {z:.9g}" for k, (x, y, z) in enumerate(places)]


def run(deck: str) -> tuple[float, str]:
    """Seconds of the whole process, and what it wrote of the nodes.

    Raises:
        RuntimeError: ccx gave up.
    """
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "job.inp").write_text(deck)
        begin = time.perf_counter()
        done = subprocess.run(["ccx", "job"], cwd=folder, capture_output=True, text=True, check=False)
        took = time.perf_counter() - begin
        out = Path(folder) / "job.dat"
        if done.returncode or "Job finished" not in done.stdout or not out.exists():
            raise RuntimeError(f"ccx failed: {done.stdout[-600:]}")
        return took, out.read_text()


def startup() -> float:
    """Best seconds of a whole process for one element: what it costs to start, read and write."""
    frame = {"nodes": [[0, 0, 0], [100.0, 0, 0]], "elements": [[0, 1, 45.0, 2.5]], "fixed": [0],
             "E": 210e3, "nu": 0.3}  # fmt: skip
    load = np.zeros((1, 2, 6))
    load[0, 1, 2] = 1.0
    return min(run(linear_deck(frame, load))[0] for _ in range(5))


def linear(frame: dict[str, Any], loads: np.ndarray, times: int = 1) -> tuple[float, np.ndarray]:
    """Best seconds of the whole process in ``times``, and movements (k, n, 3), mm."""
    runs = [run(linear_deck(frame, loads)) for _ in range(times)]
    count = len(frame["nodes"])
    rows = [line.split() for line in runs[0][1].splitlines()]
    found = [[float(v) for v in r[1:]] for r in rows if len(r) == 4 and r[0].isdigit() and int(r[0]) <= count]
    return min(took for took, _ in runs), np.array(found).reshape(-1, count, 3)


def push(frame: dict[str, Any]) -> tuple[float, list[float], list[float]]:
    """Seconds of the whole process, travels in mm and loads in N along the push."""
    took, text = run(push_deck(frame))
    dof = int(np.flatnonzero(frame["load"]["direction"])[0])
    sign = float(np.sign(frame["load"]["direction"][dof]))
    rows = [line.split() for line in text.splitlines()]
    node = str(frame["load"]["node"] + 1)
    values = [sign * float(r[1 + dof]) for r in rows if r[:1] == [node]]
    return took, [0.0, *values[0::2]], [0.0, *values[1::2]]
