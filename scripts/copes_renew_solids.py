"""Renew tests/data/copes/*.json: cope curves from boolean cuts of solids, made without any of Cagewright.

Run in a separate environment that has build123d (which brings the Open CASCADE kernel):

    python -m venv solids && solids/bin/pip install build123d
    solids/bin/python scripts/copes_renew_solids.py

Each case states its tubes as places and a centreline radius. The mains are swept solids, the branch is a
solid cylinder of its outside (and of its bore); the mains are cut away and the points of the edge that is
left on the branch's wall are written, in mm.
"""

from __future__ import annotations

import json
import math
from pathlib import Path

from build123d import Circle, FilletPolyline, GeomType, Plane, Polyline, Solid, Vector, sweep

FOLDER = Path(__file__).parents[1] / "tests" / "data" / "copes"
HOOP = {"od": 45.0, "clr": 135.0, "path": [[0, 0, -400], [0, 0, 500], [0, 700, 500]]}
"""An upright and a top tube with one square corner between them, in the plane x = 0."""
CORNER = [0.0, 135.0 * (1.0 - math.sqrt(0.5)), 500.0 - 135.0 * (1.0 - math.sqrt(0.5))]
"""The middle of the bend on its centre line."""
POST = {"od": 45.0, "path": [[0, 0, -500], [0, 0, 500]]}


def _from(end: list[float], run: list[float]) -> list[list[float]]:
    return [end, [e + r for e, r in zip(end, run, strict=True)]]


def _lean(degrees: float, size: float = 400.0) -> list[float]:
    """A run that makes that angle with straight up, in the plane of x and z."""
    return [size * math.sin(math.radians(degrees)), 0.0, size * math.cos(math.radians(degrees))]


BAR = {"od": 38.0, "wall": 2.5}
CASES = {
    "straight_90": {"mains": [POST], "branch": {**BAR, "path": _from([0, 0, 0], _lean(90))}},
    "straight_60_offset_3": {"mains": [POST], "branch": {**BAR, "path": _from([0, 3, 20], _lean(60))}},
    "straight_37_offset_back": {
        "mains": [POST],
        "branch": {**BAR, "path": _from([0, -2.5, 0], _lean(37, 600))},
    },
    "straight_equal_71": {
        "mains": [POST],
        "branch": {"od": 45.0, "wall": 3.0, "path": _from([0, 0, 0], _lean(71))},
    },
    "bend_from_behind": {"mains": [HOOP], "branch": {**BAR, "path": _from(CORNER, [-500, 0, 0])}},
    "bend_front_leg": {"mains": [HOOP], "branch": {**BAR, "path": _from(CORNER, [-500, -40, -130])}},
    "bend_inside_diagonal": {"mains": [HOOP], "branch": {**BAR, "path": _from(CORNER, [0, 420, -500])}},
    "bend_from_outside": {"mains": [HOOP], "branch": {**BAR, "path": _from(CORNER, [120, -400, 330])}},
    "bend_start_offset_3": {"mains": [HOOP], "branch": {**BAR, "path": _from([3, 0, 368], [90, -500, 120])}},
    "bend_start_along": {"mains": [HOOP], "branch": {**BAR, "path": _from([0, 0, 365], [-300, 60, -260])}},
    "corner_of_two": {
        "mains": [POST, {"od": 38.0, "path": [[0, 0, 28], [0, 600, 60]]}],
        "branch": {**BAR, "path": _from([0, 0, 0], [70, 430, -150])},
    },
    "corner_of_bend_and_bar": {
        "mains": [HOOP, {"od": 38.0, "path": [CORNER, [-500, CORNER[1] + 20, CORNER[2]]]}],
        "branch": {**BAR, "path": _from([0.0, CORNER[1] + 14.0, CORNER[2] + 9.0], [-330, 300, -180])},
    },
    "corner_of_three": {
        "mains": [
            POST,
            {"od": 38.0, "path": [[0, 0, 25], [0, 600, 25]]},
            {"od": 30.0, "path": [[0, 0, -30], [300, 500, -60]]},
        ],
        "branch": {**BAR, "path": _from([0, 0, 0], [220, 430, 15])},
    },
}  # fmt: skip


def tube(path: list[list[float]], radius: float, clr: float | None) -> Solid:
    """The solid of a tube's outside."""
    points = [Vector(*p) for p in path]
    line = FilletPolyline(*points, radius=clr) if clr else Polyline(*points)
    start = Plane(origin=points[0], z_dir=points[1] - points[0])
    return sweep(start * Circle(radius), path=line)


def wall_edges(case: dict, radius: float) -> list[list[list[float]]]:
    """Points along each edge that the mains leave on the branch's wall of that radius, mm."""
    end, far = (Vector(*p) for p in case["branch"]["path"])
    axis = (far - end).normalized()
    size = (far - end).length
    room = 150.0
    base = Plane(origin=end - axis * room, z_dir=axis)
    left = Solid.make_cylinder(radius, size + room, base)
    for main in case["mains"]:
        left = left - tube(main["path"], main["od"] / 2.0, main.get("clr"))
    body = max(left.solids(), key=lambda s: (s.center() - end).dot(axis))
    found = (_on_wall(edge, end, axis, radius, size) for edge in body.edges())
    return [points for points in found if points]


def _on_wall(edge, end: Vector, axis: Vector, radius: float, size: float) -> list[list[float]]:
    samples = [edge @ (i / 120.0) for i in range(121)]
    up = [(p - end).dot(axis) for p in samples]
    out = [((p - end) - axis * u).length for p, u in zip(samples, up, strict=True)]
    seam = edge.geom_type == GeomType.LINE and abs((edge % 0.5).dot(axis)) > 1.0 - 1e-9
    if seam or max(abs(o - radius) for o in out) > 1e-3 or min(up) > size - 1.0:
        return []
    return [[round(c, 6) for c in (p.X, p.Y, p.Z)] for p in samples]


def main() -> None:
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, case in CASES.items():
        branch = case["branch"]
        radius = branch["od"] / 2.0
        data = {
            "source": "boolean of solids, Open CASCADE through build123d; scripts/copes_renew_solids.py",
            **case,
            "outside": wall_edges(case, radius),
            "inside": wall_edges(case, radius - branch["wall"]),
        }
        (FOLDER / f"{name}.json").write_text(json.dumps(data, separators=(",", ":")) + "\n", encoding="utf-8")
        print(name, len(data["outside"]), len(data["inside"]))


if __name__ == "__main__":
    main()
