"""The neutral frame file: a plain JSON frame that any frame program can be given.

``{nodes: [[x, y, z]], elements: [[i, j, od, wall]], fixed: [node], E, nu, fy, hardening, ultimate,
shear: true|false, torsion: "yields"|"elastic",
load: {node, direction, target}}`` in mm, MPa and N; ``notes`` are for people and passed over.
``hardening`` is the slope after yield as a part of E, up to the true stress ``ultimate`` and flat from there
(without end where left out); ``shear`` (true where left out) bends the tubes by shear too; ``torsion``
(``yields`` where left out) says whether torque and shear make a tube yield; ``target`` is mm of travel of
the loaded node.
"""

from __future__ import annotations

import json
import math
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

import numpy as np

from cagewright.base.problems import Problem, ProblemsFound, Where, nearest_word
from cagewright.frame.continuation import Steps
from cagewright.frame.model import (
    Floats,
    FrameModel,
    Material,
    Solution,
    bilinear,
    clamped,
    frame_model,
    tube_sections,
)
from cagewright.frame.travel import push_point

KEYS = ("nodes", "elements", "fixed", "E", "nu", "fy", "hardening", "ultimate", "shear", "torsion", "load")
LEFT_OUT = ("nu", "hardening", "ultimate", "shear", "torsion")
"""Keys that a frame may do without."""
LARGEST = 1e5
"""No cage is larger than this, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PointPush:
    """One node pushed: node number, unit direction (3,), travel wanted in mm."""

    node: int
    direction: Floats
    target: float


@dataclass(slots=True)
class _Reader:
    data: dict[str, Any]
    file: str
    lines: dict[str, int]
    problems: list[Problem]

    def wrong(self, key: str, found: str, wanted: str, *, code: str, nearest: str | None = None) -> None:
        where = Where(file=self.file, line=self.lines.get(key, 0), col=1 if self.lines.get(key) else 0)
        self.problems.append(Problem(code=code, where=where, found=found, wanted=wanted, nearest=nearest))


def read_frame_file(path: Path) -> tuple[FrameModel, PointPush]:
    """The frame and its push from a neutral frame file.

    Raises:
        ProblemsFound: every mistake in the file.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        found = f"cannot be read ({error.__class__.__name__})"
        raise ProblemsFound([_broken(str(path), found, "a JSON frame file")]) from error
    return parse_frame(text, file=str(path))


def _broken(file: str, found: str, wanted: str, line: int = 0, col: int = 0) -> Problem:
    where = Where(file=file, line=line, col=col)
    return Problem(code="frame-file", where=where, found=found, wanted=f"wanted {wanted}")


def parse_frame(text: str, *, file: str = "frame") -> tuple[FrameModel, PointPush]:
    """The frame and its push from the text of a neutral frame file.

    Raises:
        ProblemsFound: every mistake in the text.
    """
    repeated: list[str] = []
    try:
        data = json.loads(text, parse_int=_whole, object_pairs_hook=lambda pairs: _once(pairs, repeated))
    except json.JSONDecodeError as error:
        raise ProblemsFound([_broken(file, error.msg, "JSON", error.lineno, error.colno)]) from error
    except RecursionError as error:
        raise ProblemsFound([_broken(file, "nested too deep", "a frame")]) from error
    if not isinstance(data, dict):
        raise ProblemsFound([_broken(file, "no frame here", "{nodes, elements, ...}")])
    read = _Reader(cast("dict[str, Any]", data), file, _key_lines(text), [])
    for key in repeated:
        line = [n for n, words in enumerate(text.splitlines(), start=1) if f'"{key}"' in words][-1]
        read.lines[f"second {key}"] = line
        read.wrong(f"second {key}", f"'{key}' is given twice", "wanted it once", code="repeated-key")
    _check(read)
    if read.problems:
        raise ProblemsFound(read.problems)
    return _build(read.data)


def _whole(digits: str) -> float:
    """The whole number; one of more digits than any size, place or count has is taken as infinite."""
    return int(digits) if len(digits) < 18 else math.inf


def _once(pairs: list[tuple[str, Any]], repeated: list[str]) -> dict[str, Any]:
    """The pairs as a dictionary; keys that come again are added to ``repeated``."""
    names = [name for name, _ in pairs]
    repeated += sorted({name for name in names if names.count(name) > 1})
    return dict(pairs)


def _key_lines(text: str) -> dict[str, int]:
    """The first line that each known key stands on, for messages."""
    found: dict[str, int] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        for key in KEYS:
            if key not in found and f'"{key}"' in line:
                found[key] = number
    return found


def _check(read: _Reader) -> None:
    for key in read.data:
        if key not in (*KEYS, "notes"):
            read.wrong(key, f"'{key}' is no key of a frame", "wanted one of " + ", ".join(KEYS),
                       code="unknown-key", nearest=nearest_word(key, KEYS))  # fmt: skip
    for key in KEYS:
        if key not in read.data and key not in LEFT_OUT:
            read.wrong(key, f"'{key}' is missing", "wanted it", code="missing-key")
    if read.problems:
        return
    nodes = _check_nodes(read)
    _check_elements(read, nodes)
    _check_fixed(read, nodes)
    _check_numbers(read)
    _check_load(read, nodes)
    if not isinstance(read.data.get("shear", True), bool):
        read.wrong("shear", "'shear' is neither true nor false", "wanted true or false", code="not-a-switch")
    if read.data.get("torsion", "yields") not in ("yields", "elastic"):
        read.wrong("torsion", f"'torsion' is {read.data['torsion']}", "wanted \"yields\" or \"elastic\"",
                   code="not-a-switch")  # fmt: skip


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _check_nodes(read: _Reader) -> int:
    nodes = read.data["nodes"]
    if not isinstance(nodes, list) or not nodes:
        read.wrong("nodes", "no nodes", "wanted [[x, y, z], ...] in mm", code="no-nodes")
        return 0
    rows = cast("list[Any]", nodes)
    for k, row in enumerate(rows):
        if not (
            isinstance(row, list)
            and len(cast("list[Any]", row)) == 3
            and all(map(_number, cast("list[Any]", row)))
        ):
            read.wrong("nodes", f"node {k} is no place", "wanted three numbers, mm", code="not-a-place")
        elif any(abs(v) > LARGEST for v in cast("list[float]", row)):
            read.wrong("nodes", f"node {k} is more than 100 m away", "wanted mm", code="absurd-size")
    return len(rows)


def _check_elements(read: _Reader, nodes: int) -> None:
    rows = read.data["elements"]
    if not isinstance(rows, list) or not rows:
        read.wrong("elements", "no elements", "wanted [[node, node, od, wall], ...]", code="no-elements")
        return
    seen: dict[tuple[int, int], int] = {}
    for k, row in enumerate(cast("list[Any]", rows)):
        if not (
            isinstance(row, list)
            and len(cast("list[Any]", row)) == 4
            and all(map(_number, cast("list[Any]", row)))
        ):
            read.wrong(
                "elements",
                f"element {k} is not four numbers",
                "wanted [node, node, od, wall]",
                code="not-an-element",
            )
            continue
        i, j, od, wall = cast("list[float]", row)
        _check_ends(read, k, i, j, nodes, seen)
        if not 1.0 <= od <= 1000.0 or not 0.1 <= wall <= od / 2.0:
            read.wrong("elements", f"element {k} is a tube of {od:g} x {wall:g} mm",
                       "wanted an outside diameter of 1 to 1000 mm and a wall of 0.1 mm to half of it",
                       code="absurd-size")  # fmt: skip


def _check_ends(
    read: _Reader, k: int, i: float, j: float, nodes: int, seen: dict[tuple[int, int], int]
) -> None:
    if not all(float(v).is_integer() and 0 <= v < nodes for v in (i, j)):
        read.wrong("elements", f"element {k} runs between nodes {i:g} and {j:g}",
                   f"wanted node numbers 0 to {nodes - 1}", code="unknown-node")  # fmt: skip
        return
    a, b = sorted((int(i), int(j)))
    place = cast("list[Any]", read.data["nodes"])
    if a == b or place[a] == place[b]:
        read.wrong("elements", f"element {k} has no length", "wanted two places", code="no-length")
    elif (a, b) in seen:
        read.wrong(
            "elements",
            f"element {k} repeats element {seen[a, b]}",
            "wanted one tube between two nodes",
            code="repeated",
        )
    seen.setdefault((a, b), k)


def _check_fixed(read: _Reader, nodes: int) -> None:
    fixed = read.data["fixed"]
    if not isinstance(fixed, list) or not fixed:
        read.wrong("fixed", "the frame stands on nothing", "wanted at least one node held", code="no-support")
        return
    for v in cast("list[Any]", fixed):
        if not (_number(v) and float(v).is_integer() and 0 <= v < nodes):
            read.wrong(
                "fixed",
                f"fixed node {v} does not exist",
                f"wanted node numbers 0 to {nodes - 1}",
                code="unknown-node",
            )


_RANGES = {
    "E": (1.0, 1e6, "MPa, e.g. 210000"),
    "nu": (0.0, 0.499, "Poisson's ratio, 0 to 0.499"),
    "fy": (1.0, 1e4, "MPa, e.g. 350"),
    "hardening": (0.0, 0.9, "the slope after yield as a part of E, e.g. 0.01"),
    "ultimate": (1.0, 1e5, "MPa, where hardening ends, e.g. 540"),
}


def _check_numbers(read: _Reader) -> None:
    for key, (low, high, wanted) in _RANGES.items():
        value = read.data.get(key, low)
        if not _number(value) or not low <= value <= high:
            read.wrong(key, f"'{key}' is {value}", f"wanted {wanted}", code="absurd-size")


def _check_load(read: _Reader, nodes: int) -> None:
    load = read.data["load"]
    if not isinstance(load, dict):
        read.wrong("load", "no load", "wanted {node, direction, target}", code="no-load")
        return
    given = cast("dict[str, Any]", load)
    for key in given:
        if key not in ("node", "direction", "target"):
            read.wrong(
                "load",
                f"'{key}' is no key of a load",
                "wanted node, direction and target",
                code="unknown-key",
            )
    node, way, target = (given.get(k) for k in ("node", "direction", "target"))
    if not (_number(node) and float(cast("float", node)).is_integer() and 0 <= cast("float", node) < nodes):
        read.wrong(
            "load", f"load node {node} does not exist", f"wanted 0 to {nodes - 1}", code="unknown-node"
        )
    elif node in cast("list[Any]", read.data["fixed"] if isinstance(read.data["fixed"], list) else []):
        read.wrong("load", f"load node {node} is held", "wanted a node that can move", code="held-load")
    elif not read.problems and not (np.array(read.data["elements"], float)[:, :2] == node).any():
        read.wrong("load", f"no tube ends at load node {node}", "wanted a node of a tube", code="held-load")
    parts = cast("list[Any]", way) if isinstance(way, list) else []
    if len(parts) != 3 or not all(map(_number, parts)) or not 1e-6 <= max(map(abs, parts)) <= 1e6:
        read.wrong("load", f"load direction {way}", "wanted three numbers, the largest 1e-6 to 1e6 in size",
                   code="no-direction")  # fmt: skip
    if not _number(target) or not 0.0 < cast("float", target) <= 5000.0:
        read.wrong(
            "load",
            f"load target {target}",
            "wanted a travel of more than 0, at most 5000 mm",
            code="absurd-size",
        )


def _build(data: dict[str, Any]) -> tuple[FrameModel, PointPush]:
    nodes = np.array(data["nodes"], float)
    rows = np.array(data["elements"], float)
    young, nu = float(data["E"]), float(data.get("nu", 0.3))
    curve = bilinear(
        fy=float(data["fy"]), hardening=float(data.get("hardening", 0.0)), young=young,
        ultimate=float(data.get("ultimate", np.inf)),
    )  # fmt: skip
    model = frame_model(
        nodes=nodes,
        elements=rows[:, :2].astype(np.int64),
        sections=tube_sections(rows[:, 2], rows[:, 3], shear=bool(data.get("shear", True))),
        materials=(Material(young=young, shear=young / (2.0 * (1.0 + nu)), curve=curve),),
        torsion=data.get("torsion", "yields"),
        fixed=clamped(len(nodes), [int(v) for v in data["fixed"]]),
    )
    load = data["load"]
    way = np.array(load["direction"], float)
    push = PointPush(
        node=int(load["node"]), direction=way / np.linalg.norm(way), target=float(load["target"])
    )
    return model, push


def left_alone(model: FrameModel) -> tuple[str, ...]:
    """What of the frame is joined to nothing, in words: nodes without a tube, unjoined ones at one place."""
    ends = set(model.elements.ravel().tolist())
    said = [f"node {k} carries no tube" for k in range(len(model.nodes)) if k not in ends]
    at: dict[tuple[float, ...], list[int]] = {}
    for k, place in enumerate(model.nodes.round(3).tolist()):
        at.setdefault(tuple(place), []).append(k)
    for same in at.values():
        if len(same) > 1:
            said.append(f"nodes {', '.join(map(str, same))} stand at one place and are not joined there")
    return tuple(said)


def run_push(model: FrameModel, push: PointPush, *, steps: Steps | None = None) -> tuple[Solution, float]:
    """The push and the seconds it took alone; warm the kernels first for a time worth having."""
    begin = time.perf_counter()
    answer = push_point(model, node=push.node, direction=push.direction, target=push.target, steps=steps)
    return answer, time.perf_counter() - begin


def result_dict(answer: Solution, *, seconds: float) -> dict[str, Any]:
    """The result as plain JSON values: curve, mm and N; peak, N; energy, J; end; seconds; stiffness, N/mm."""
    # round a snap-back the travel goes back and comes again: shown as a fall in load at one travel
    travel, load = np.maximum.accumulate(answer.travel), answer.load
    return {
        "travel_mm": [float(v) for v in travel],
        "load_N": [float(v) for v in load],
        "peak_N": float(load.max()),
        "energy_J": float(answer.work[-1]) * 1e-3,
        "end": answer.end,
        "seconds": seconds,
        "stiffness_N_per_mm": answer.stiffness,
    }
