"""A scan of the body shell: read from STL, OBJ or PLY, in stated units, and stood in the car."""

from __future__ import annotations

import struct
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import trimesh

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.vectors import ACROSS, BACK, UP, dot, length, turn
from cagewright.plan.types import PairEntry, ScanEntry
from cagewright.shape.cloud import Cloud, cloud_of
from cagewright.shape.mesh import Mesh, Whole, mesh_of
from cagewright.shape.types import Array

KINDS = (".stl", ".obj", ".ply")
MM_PER = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
SHELL_SIZE = (300.0, 12_000.0)
"""The longest extent of anything a builder scans of one car, mm: outside it the units are wrong."""
Points = Mapping[str, tuple[float, float, float]]
"""The plan's named points, mm."""
MOST_TRIANGLES = 4_000_000
"""More than this is thinned before it is read, so that a check stays within 2 GB."""
PAIR_SLACK = 0.02
"""Share by which distances between picked points may differ before the units are doubted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scan:
    """A scan standing in the car's axes.

    Attributes:
        name: the file's name.
        mesh: the surface, mm.
        cloud: the same surface thinned to even points.
        watertight: every edge has two faces.
        residuals: how far each picked point lies from its measured place after the fit, mm; empty where the
            scan was placed by turn and move.
        notes: what the builder should know about it, in words.
    """

    name: str
    mesh: Mesh
    cloud: Cloud
    watertight: bool
    residuals: tuple[float, ...]
    notes: tuple[str, ...]


class _Refused(Exception):
    """Why a scan cannot be used: (code, found, wanted)."""


def read_scan(
    entry: ScanEntry,
    folder: Path,
    *,
    points: Points | None = None,
    where: Where | None = None,
) -> Scan:
    """The scan that ``entry`` names, in the car's axes.

    ``points`` (mm) are the plan's, for pairs that name one; ``where`` is the spot that a problem is
    reported at, the scan file itself where not given.

    Raises:
        ProblemsFound: the file is missing, broken, empty, no mesh of triangles, not numbers, or cannot be of
            that size in those units; or the pairs do not place it.
    """
    path = folder / entry.file
    try:
        return _read(entry, path, points or {})
    except _Refused as refused:
        code, found, wanted = refused.args
        spot = where or Where(file=str(path))
        raise ProblemsFound([Problem(code=code, where=spot, found=found, wanted=wanted)]) from None


def _read(entry: ScanEntry, path: Path, points: Points) -> Scan:
    corners, faces = _load(path)
    corners, faces, notes = _sound(path.name, corners, faces)
    corners = corners * MM_PER[entry.units]
    _check_size(path.name, corners, entry.units)
    corners, faces = _merged(corners, faces)
    placed, residuals = _place(entry, corners, points)
    watertight, more = _closure(placed, faces)
    if residuals and max(residuals) > 5.0:
        more.append(f"the picked points miss their measured places by up to {max(residuals):.1f} mm")
    mesh = mesh_of(placed, faces)
    return Scan(
        name=path.name,
        mesh=mesh,
        cloud=cloud_of(mesh),
        watertight=watertight,
        residuals=residuals,
        notes=tuple(notes + more),
    )


def _load(path: Path) -> tuple[Array, Whole]:
    kind = path.suffix.lower()
    if kind not in KINDS:
        raise _Refused(
            "scan-kind", f"'{path.name}' is no kind of scan that can be read", "wanted .stl, .obj or .ply"
        )
    if not path.is_file():
        raise _Refused("scan-missing", f"there is no file '{path.name}'", "wanted the scan beside the plan")
    if not path.stat().st_size:
        raise _Refused("scan-empty", f"'{path.name}' is empty", "wanted a mesh of triangles")
    _check_declared(path, kind)
    corners, faces = _parse(path, kind)
    if len(faces) > MOST_TRIANGLES:
        raise _Refused(
            "scan-too-large",
            f"'{path.name}' has {len(faces)} triangles",
            f"wanted {MOST_TRIANGLES} at most: thin it to about 3 mm between points first",
        )
    return corners, faces


def _parse(path: Path, kind: str) -> tuple[Array, Whole]:
    try:
        with path.open("rb") as file:
            loaded: Any = trimesh.load(file, file_type=kind[1:], process=False, maintain_order=True)
    except Exception as wrong:  # the readers raise whatever they stumble on
        raise _Refused(
            "scan-broken",
            f"'{path.name}' breaks off or is not what its name says ({type(wrong).__name__})",
            "wanted a whole file: export the scan again",
        ) from None
    every: list[Any] = loaded.dump() if isinstance(loaded, trimesh.Scene) else [loaded]
    parts = [p for p in every if isinstance(p, trimesh.Trimesh) and len(p.faces)]
    if not parts:
        raise _Refused(
            "scan-no-triangles",
            f"'{path.name}' holds no triangles",
            "wanted a mesh; a cloud of points must be meshed in the scanner's program first",
        )
    starts = np.cumsum([0] + [len(p.vertices) for p in parts])
    corners = np.concatenate([np.asarray(p.vertices, dtype=np.float64) for p in parts])
    faces = np.concatenate([
        np.asarray(p.faces, dtype=np.int64) + s for p, s in zip(parts, starts, strict=False)
    ])
    if faces.min() < 0 or faces.max() >= len(corners):
        raise _Refused("scan-broken", f"'{path.name}' has a triangle without corners", "wanted a whole file")
    return corners, faces


def _check_declared(path: Path, kind: str) -> None:
    """Refuse a file that declares more than it holds before any memory is asked for it.

    Raises:
        _Refused: it does.
    """
    size = path.stat().st_size
    with path.open("rb") as file:
        head = file.read(4096)
    if kind == ".stl" and not _is_text_stl(head):
        declared = struct.unpack("<I", head[80:84])[0] if len(head) >= 84 else 0
        if len(head) < 84 or 84 + 50 * declared > size:
            raise _Refused(
                "scan-broken",
                f"'{path.name}' declares {declared} triangles ({50 * declared / 1e9:.2f} GB) "
                f"and holds {max(size - 84, 0) // 50}",
                "wanted a whole file: export the scan again",
            )
    if kind == ".ply":
        for what, declared in _ply_counts(head):
            if declared > size:
                raise _Refused(
                    "scan-broken",
                    f"'{path.name}' declares {declared} {what} entries in {size} bytes",
                    "wanted a whole file: export the scan again",
                )


def _is_text_stl(head: bytes) -> bool:
    return head.lstrip()[:5].lower() == b"solid" and b"\0" not in head[:80] and b"facet" in head.lower()


def _ply_counts(head: bytes) -> list[tuple[str, int]]:
    words = [line.split() for line in head.split(b"end_header")[0].splitlines()]
    return [
        (w[1].decode("ascii", "replace"), int(w[2]))
        for w in words
        if len(w) == 3 and w[0] == b"element" and w[2].isdigit()
    ]


def _sound(name: str, corners: Array, faces: Whole) -> tuple[Array, Whole, list[str]]:
    """The mesh without faces of no area; refused where its corners are not numbers.

    Raises:
        _Refused: corners are not numbers, or no triangle has an area.
    """
    used = corners[faces]
    bad = int(np.count_nonzero(~np.isfinite(used).all(axis=(1, 2))))
    if bad:
        found = f"{bad} triangles of '{name}' have corners that are not numbers"
        raise _Refused("scan-not-numbers", found, "wanted finite coordinates: export the scan again")
    doubled_area = length(np.cross(used[:, 1] - used[:, 0], used[:, 2] - used[:, 0]))
    extent = float(np.ptp(used.reshape(-1, 3), axis=0).max())
    kept = doubled_area > 1e-14 * extent**2
    if not kept.any():
        raise _Refused("scan-no-triangles", f"every triangle of '{name}' is without area", "wanted a surface")
    lost = len(kept) - int(np.count_nonzero(kept))
    notes = [f"{lost} triangles without area were left out"] if lost else []
    return (*_used(corners, faces[kept]), notes)


def _used(corners: Array, faces: Whole) -> tuple[Array, Whole]:
    """The same faces without corners that none of them has: stray points say nothing of the size."""
    kept = np.zeros(len(corners), dtype=np.bool_)
    kept[faces] = True
    return corners[kept], (np.cumsum(kept) - 1)[faces]


def _check_size(name: str, corners: Array, units: str) -> None:
    longest = float(np.ptp(corners, axis=0).max())
    if not SHELL_SIZE[0] <= longest <= SHELL_SIZE[1]:
        raise _Refused(
            "scan-wrong-units",
            f"read in {units}, '{name}' is {longest:.4g} mm in its longest extent: wrong units?",
            f"wanted between {SHELL_SIZE[0]:.0f} and {SHELL_SIZE[1]:.0f} mm for a car's shell; "
            "say mm, cm, m or in as the scanner's program does",
        )


def _merged(corners: Array, faces: Whole) -> tuple[Array, Whole]:
    """The same faces on shared corners (an STL file repeats each); the same to 0.01 mm is one."""
    keys = np.round(corners * 100.0).astype(np.int64)
    keys -= keys.min(axis=0)
    span = keys.max(axis=0) + 1
    flat = (keys[:, 0] * span[1] + keys[:, 1]) * span[2] + keys[:, 2]
    _, first, back = np.unique(flat, return_index=True, return_inverse=True)
    return corners[first], back[faces]


def _closure(corners: Array, faces: Whole) -> tuple[bool, list[str]]:
    """Whether the surface is closed, and what is to be said about it."""
    edges = np.sort(faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    _, uses = np.unique(edges[:, 0] * np.int64(len(corners)) + edges[:, 1], return_counts=True)
    if not (uses == 2).all():
        return False, ["the scan is open or torn, so it has no inside; distances to it hold all the same"]
    a, b, c = (corners[faces[:, i]] - corners.mean(axis=0) for i in range(3))
    if float(dot(a, np.cross(b, c)).sum()) < 0.0:
        return True, ["the scan is inside out: its faces look inward; distances to it hold all the same"]
    return True, []


def _place(entry: ScanEntry, corners: Array, points: Points) -> tuple[Array, tuple[float, ...]]:
    if not entry.points:
        for axis, angle in zip((BACK, ACROSS, UP), entry.turn, strict=True):
            corners = turn(corners, axis, angle) if angle else corners
        return corners + np.array(entry.move), ()
    if any(entry.turn) or any(entry.move):
        raise _Refused(
            "scan-placed-twice", "the scan has both points and turn or move", "wanted one of the two"
        )
    if len(entry.points) < 3:
        raise _Refused("scan-pairs", f"{len(entry.points)} points place the scan", "wanted three or more")
    on_scan = np.array([pair.scan for pair in entry.points]) * MM_PER[entry.units]
    on_car = np.array([_car_point(pair, points) for pair in entry.points])
    _check_pairs(on_scan, on_car)
    rotation, middle_scan, middle_car = _rigid(on_scan, on_car)
    placed = (corners - middle_scan) @ rotation.T + middle_car
    left = length((on_scan - middle_scan) @ rotation.T + middle_car - on_car)
    return placed, tuple(float(v) for v in left)


def on_scan(entry: ScanEntry, place: tuple[float, float, float], points: Points) -> Array:
    """A place of the car in the scan file's own numbers (3,), as the scan stands now.

    The place and the plan's named points are in mm.

    Raises:
        ProblemsFound: the pairs do not place the scan.
    """
    try:
        placed, _ = _place(entry, np.vstack([np.zeros(3), np.eye(3)]), points)
    except _Refused as refused:
        code, found, wanted = refused.args
        spot = Where(file=entry.file)
        raise ProblemsFound([Problem(code=code, where=spot, found=found, wanted=wanted)]) from None
    turned = placed[1:] - placed[0]  # a row for where each axis of the scan points in the car
    return turned @ (np.array(place) - placed[0]) / MM_PER[entry.units]


def _car_point(pair: PairEntry, points: Points) -> tuple[float, float, float]:
    if not isinstance(pair.car, str):
        return pair.car
    if pair.car not in points:
        raise _Refused("unknown-name", f"no point is named '{pair.car}'", "wanted one of the plan's points")
    return points[pair.car]


def _check_pairs(on_scan: Array, on_car: Array) -> None:
    """Refuse pairs that are too close to a line, or that disagree about how large the car is.

    Raises:
        _Refused: they do.
    """
    for name, p in (("scan", on_scan), ("car", on_car)):
        spread = np.linalg.svd(p - p.mean(axis=0), compute_uv=False)
        if spread[1] < 0.02 * spread[0] or spread[0] < 50.0:
            raise _Refused(
                "scan-pairs-in-line",
                f"the points picked on the {name} lie together or in one line",
                "wanted three points well spread, such as both sills and the roof",
            )
    i, j = np.triu_indices(len(on_scan), 1)
    scan, car = length(on_scan[i] - on_scan[j]), length(on_car[i] - on_car[j])
    ratio = float(scan.sum() / car.sum())
    if abs(ratio - 1.0) > PAIR_SLACK:
        raise _Refused(
            "scan-wrong-units",
            f"the picked points are {ratio:.4g} times as far apart on the scan as on the car: wrong units, "
            "or the wrong points?",
            f"wanted the same distances within {PAIR_SLACK:.0%}",
        )


def _rigid(on_scan: Array, on_car: Array) -> tuple[Array, Array, Array]:
    """Rotation (3, 3) and both middles (3,) of the best rigid motion in least squares.

    Source: W. Kabsch, Acta Cryst. A32 (1976) 922 (from memory, unchecked).
    """
    middle_scan, middle_car = on_scan.mean(axis=0), on_car.mean(axis=0)
    u, _, vt = np.linalg.svd((on_scan - middle_scan).T @ (on_car - middle_car))
    mirror = np.sign(np.linalg.det(u @ vt))  # never a reflection: three points alone would allow one
    return (u @ np.diag([1.0, 1.0, mirror]) @ vt).T, middle_scan, middle_car
