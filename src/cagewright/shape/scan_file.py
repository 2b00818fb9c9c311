"""The bytes of a scan as corners and triangles, or as points alone: STL, OBJ, PLY, GLB, XYZ, E57."""

from __future__ import annotations

import struct
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from cagewright.base.vectors import length
from cagewright.shape.mesh import Whole
from cagewright.shape.splats import thinned
from cagewright.shape.types import Array

KINDS = (".stl", ".obj", ".ply", ".glb", ".xyz", ".e57")
KINDS_SAID = ".stl, .obj, .ply, .glb, .xyz or .e57"
MOST_TRIANGLES = 4_000_000
"""More than this is thinned before it is read, so that a check stays within 2 GB."""
MOST_POINTS = 100_000_000
SOME = 2_000_000
"""Points of a cloud read and thinned together."""


class ScanRefused(Exception):
    """Why a scan cannot be used: (code, found, wanted)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Raw:
    """What a scan file holds, in its own numbers.

    ``corners`` (n, 3) and ``faces`` (m, 3) of them: none of a cloud of points, which is thinned already;
    ``notes`` in words.
    """

    corners: Array
    faces: Whole
    notes: tuple[str, ...] = ()


def loaded(path: Path, *, spacing: float) -> Raw:
    """What the file holds, triangles without area and stray corners left out.

    A cloud is thinned to one point for each cube of ``spacing`` (in the file's own numbers).

    Raises:
        ScanRefused: it is missing, broken, empty, too large, or not numbers.
    """
    kind = path.suffix.lower()
    if kind not in KINDS:
        found = f"'{path.name}' is no kind of scan that can be read"
        raise ScanRefused("scan-kind", found, f"wanted {KINDS_SAID}")
    if not path.is_file():
        raise ScanRefused(
            "scan-missing", f"there is no file '{path.name}'", "wanted the scan beside the plan"
        )
    if not path.stat().st_size:
        raise ScanRefused("scan-empty", f"'{path.name}' is empty", "wanted a mesh or a cloud of points")
    _check_declared(path, kind)
    if kind in (".xyz", ".e57"):
        return _cloud(path.name, list(_some_points(path, kind)), spacing)
    corners, faces = _parsed(path, kind)
    if not len(faces):
        return _cloud(path.name, [corners], spacing)
    if len(faces) > MOST_TRIANGLES:
        found = f"'{path.name}' has {len(faces)} triangles"
        wanted = f"wanted {MOST_TRIANGLES} at most: thin it to about 3 mm between points first"
        raise ScanRefused("scan-too-large", found, wanted)
    return _sound(path.name, corners, faces)


def _broken(path: Path, wrong: Exception) -> ScanRefused:
    return ScanRefused(
        "scan-broken",
        f"'{path.name}' breaks off or is not what its name says ({type(wrong).__name__})",
        "wanted a whole file: export the scan again",
    )


def _parsed(path: Path, kind: str) -> tuple[Array, Whole]:
    """Corners and triangles of every part; corners alone of a cloud.

    Raises:
        ScanRefused: it breaks off, is not what its name says, or is empty.
    """
    import trimesh  # loads for a third of a second; only a scan waits for it

    try:
        with path.open("rb") as file:
            read: Any = trimesh.load(file, file_type=kind[1:], process=False, maintain_order=True)
        every: list[Any] = read.dump() if isinstance(read, trimesh.Scene) else [read]
    except Exception as wrong:  # the readers raise whatever they stumble on
        refused = _broken(path, wrong)
        raise refused from None
    parts = [p for p in every if isinstance(p, trimesh.Trimesh) and len(p.faces)]
    points = [np.asarray(p.vertices, dtype=np.float64) for p in every if isinstance(p, trimesh.PointCloud)]
    if not parts and sum(map(len, points)):
        return np.concatenate(points), np.zeros((0, 3), dtype=np.int64)
    if not parts:
        found = f"'{path.name}' holds neither triangles nor points"
        raise ScanRefused("scan-no-triangles", found, "wanted a mesh or a cloud of points")
    starts = np.cumsum([0] + [len(p.vertices) for p in parts])
    corners = np.concatenate([np.asarray(p.vertices, dtype=np.float64) for p in parts])
    faces = np.concatenate([
        np.asarray(p.faces, dtype=np.int64) + s for p, s in zip(parts, starts, strict=False)
    ])
    if faces.min() < 0 or faces.max() >= len(corners):
        raise ScanRefused(
            "scan-broken", f"'{path.name}' has a triangle without corners", "wanted a whole file"
        )
    return corners, faces


# --- clouds of points


def _cloud(name: str, parts: list[Array], spacing: float) -> Raw:
    points = np.concatenate([p for p in parts if p.ndim == 2 and p.shape[1] == 3] or [np.zeros((0, 3))])
    bad = int(np.count_nonzero(~np.isfinite(points).all(axis=1)))
    if bad:
        found = f"{bad} points of '{name}' are not numbers"
        raise ScanRefused("scan-not-numbers", found, "wanted finite coordinates: export the scan again")
    points = thinned(points, spacing) if len(points) else points
    if len(points) < 100:
        found = f"'{name}' holds {len(points)} points"
        raise ScanRefused("scan-no-triangles", found, "wanted a mesh, or a cloud of many points")
    return Raw(corners=points, faces=np.zeros((0, 3), dtype=np.int64))


def _some_points(path: Path, kind: str) -> Iterator[Array]:
    """The points of an XYZ or E57 file, some at a time.

    Raises:
        ScanRefused: it breaks off, is not what its name says, or E57 cannot be read here.
    """
    try:
        count = 0
        for some in _xyz(path) if kind == ".xyz" else _e57(path):
            count += len(some)
            if count > MOST_POINTS:
                found = f"'{path.name}' has more than {MOST_POINTS} points"
                raise ScanRefused("scan-too-large", found, "thin it to about 3 mm between points first")
            yield some
    except ScanRefused:
        raise
    except Exception as wrong:  # the readers raise whatever they stumble on
        refused = _broken(path, wrong)
        raise refused from None


def _xyz(path: Path) -> Iterator[Array]:
    """The first three numbers of every line, set apart by blanks, commas or semicolons.

    Raises:
        ValueError: no line has three.
    """
    with path.open(encoding="utf-8") as file:
        skip, apart = 0, None
        for line in file:
            words = line.replace(";", " ").replace(",", " ").split()
            try:
                enough = len([float(w) for w in words[:3]]) == 3
            except ValueError:
                enough = False
            if enough:
                apart = next((c for c in ";," if c in line), None)
                break
            skip += 1
            if skip > 20:
                raise ValueError("no numbers")
        file.seek(0)
        first = skip
        while True:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", UserWarning)  # of no lines left
                some = np.loadtxt(
                    file, usecols=(0, 1, 2), ndmin=2, max_rows=SOME, skiprows=first, delimiter=apart,
                    comments=("#", "//"),
                )  # fmt: skip
            if not some.size:
                return
            first = 0
            yield some


def _e57(path: Path) -> Iterator[Array]:
    """Every scan of the file in its own place, points that the scanner marked as invalid left out.

    Raises:
        ScanRefused: what reads E57 is not installed.
    """
    try:
        import pye57  # the extra 'scan': see docs/decisions
    except ImportError:
        raise ScanRefused(
            "scan-kind", f"'{path.name}' is E57, which needs one more part",
            "wanted pip install 'cagewright[scan]', or the cloud as .ply or .xyz",
        ) from None  # fmt: skip
    file: Any = pye57.E57(str(path))
    try:
        for i in range(int(file.scan_count)):
            yield from _e57_scan(file, i)
    finally:
        file.close()


def _e57_scan(file: Any, i: int) -> Iterator[Array]:
    header = file.get_header(i)
    have = set(header.point_fields)
    round_ = not {"cartesianX", "cartesianY", "cartesianZ"} <= have
    names = ["sphericalRange", "sphericalAzimuth", "sphericalElevation"] if round_ else [
        "cartesianX", "cartesianY", "cartesianZ"]  # fmt: skip
    valid = "sphericalInvalidState" if round_ else "cartesianInvalidState"
    fields = [*names, *([valid] if valid in have else [])]
    data, buffers = file.make_buffers(fields, min(SOME, max(int(header.point_count), 1)))
    reader = header.points.reader(buffers)
    while True:
        count = int(reader.read())
        if not count:
            return
        some = np.stack([np.asarray(data[n][:count], dtype=np.float64) for n in names], axis=1)
        some = some[np.asarray(data[valid][:count]) == 0] if valid in data else some
        if round_:
            r, around, up = some.T
            some = np.stack([r * np.cos(up) * np.cos(around), r * np.cos(up) * np.sin(around),
                             r * np.sin(up)], axis=1)  # fmt: skip
        yield file.to_global(some, header.rotation, header.translation) if header.has_pose() else some


# --- what is refused before any memory is asked for


def _check_declared(path: Path, kind: str) -> None:
    """Refuse a file that declares more than it holds before any memory is asked for it.

    Raises:
        ScanRefused: it does.
    """
    size = path.stat().st_size
    with path.open("rb") as file:
        head = file.read(4096)
    if kind == ".stl" and not _is_text_stl(head):
        declared = struct.unpack("<I", head[80:84])[0] if len(head) >= 84 else 0
        if len(head) < 84 or 84 + 50 * declared > size:
            raise ScanRefused(
                "scan-broken",
                f"'{path.name}' declares {declared} triangles ({50 * declared / 1e9:.2f} GB) "
                f"and holds {max(size - 84, 0) // 50}",
                "wanted a whole file: export the scan again",
            )
    for what, declared in _ply_counts(head) if kind == ".ply" else _heads(head, kind, size):
        if declared > size:
            raise ScanRefused(
                "scan-broken",
                f"'{path.name}' declares {declared} {what} entries in {size} bytes",
                "wanted a whole file: export the scan again",
            )


def _heads(head: bytes, kind: str, size: int) -> list[tuple[str, int]]:
    """The length that a GLB's or an E57's own head gives, as byte entries; more than it has where it is none.

    Sources: glTF 2.0 (Khronos), 4.4.2; ASTM E2807, table 1 (both from memory).
    """
    if kind == ".glb":
        return [
            ("byte", struct.unpack("<I", head[8:12])[0] if head[:4] == b"glTF" and size >= 12 else size + 1)
        ]
    if kind == ".e57":
        return [("byte", struct.unpack("<Q", head[16:24])[0] if head[:8] == b"ASTM-E57" and size >= 48
                 else size + 1)]  # fmt: skip
    return []


def _is_text_stl(head: bytes) -> bool:
    return head.lstrip()[:5].lower() == b"solid" and b"\0" not in head[:80] and b"facet" in head.lower()


def _ply_counts(head: bytes) -> list[tuple[str, int]]:
    words = [line.split() for line in head.split(b"end_header")[0].splitlines()]
    return [
        (w[1].decode("ascii", "replace"), int(w[2]))
        for w in words
        if len(w) == 3 and w[0] == b"element" and w[2].isdigit()
    ]


def _sound(name: str, corners: Array, faces: Whole) -> Raw:
    """The mesh without faces of no area; refused where its corners are not numbers.

    Raises:
        ScanRefused: corners are not numbers, or no triangle has an area.
    """
    used = corners[faces]
    bad = int(np.count_nonzero(~np.isfinite(used).all(axis=(1, 2))))
    if bad:
        found = f"{bad} triangles of '{name}' have corners that are not numbers"
        raise ScanRefused("scan-not-numbers", found, "wanted finite coordinates: export the scan again")
    doubled_area = length(np.cross(used[:, 1] - used[:, 0], used[:, 2] - used[:, 0]))
    extent = float(np.ptp(used.reshape(-1, 3), axis=0).max())
    kept = doubled_area > 1e-14 * extent**2
    if not kept.any():
        raise ScanRefused(
            "scan-no-triangles", f"every triangle of '{name}' is without area", "wanted a surface"
        )
    lost = len(kept) - int(np.count_nonzero(kept))
    notes = (f"{lost} triangles without area were left out",) if lost else ()
    corners, faces = used_only(corners, faces[kept])
    return Raw(corners=corners, faces=faces, notes=notes)


def used_only(corners: Array, faces: Whole) -> tuple[Array, Whole]:
    """The same faces without corners that none of them has: stray points say nothing of the size."""
    kept = np.zeros(len(corners), dtype=np.bool_)
    kept[faces] = True
    return corners[kept], (np.cumsum(kept) - 1)[faces]
