"""A scan of the body shell: read in stated units, cleaned, and stood in the car."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.plan.types import ScanEntry
from cagewright.shape.cloud import Cloud, cloud_moved, cloud_of
from cagewright.shape.mesh import Mesh, mesh_of
from cagewright.shape.scan_clean import cleaned, cleaned_cloud, closure
from cagewright.shape.scan_file import ScanRefused, loaded
from cagewright.shape.scan_placing import MM_PER, Motion, Points, back_on_scan, moved, placing_of
from cagewright.shape.scan_units import check_size
from cagewright.shape.types import Array

POINT_SPACING = 8.0
"""A cloud of points is thinned to one for each cube of this size, mm."""
SURE = 2.0
"""A scan's spread is told with this many standard deviations either way."""
NO_METAL: Array = np.zeros((0, 3))
STILL: Motion = (np.eye(3), np.zeros(3))


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
        signed: it is a surface of triangles; a cloud of points has no side that is the inside.
        noise: how far its places scatter, as a standard deviation, mm.
        spread: how far it may stand off its place, likewise.
        motion: from the file's own axes, in mm, to the car.
    """

    name: str
    mesh: Mesh
    cloud: Cloud
    watertight: bool
    residuals: tuple[float, ...]
    notes: tuple[str, ...]
    signed: bool = True
    noise: float = 0.0
    spread: float = 0.0
    motion: Motion = STILL

    @property
    def give(self) -> float:
        """How far a distance to it may be out either way, ``SURE`` standard deviations, mm."""
        return SURE * float(np.hypot(self.noise, self.spread))


def read_scan(
    entry: ScanEntry,
    folder: Path,
    *,
    points: Points | None = None,
    metal: Array = NO_METAL,
    where: Where | None = None,
) -> Scan:
    """The scan that ``entry`` names, in the car's axes.

    Args:
        entry: which file, its units, and how it stands.
        folder: the file's name is relative to it.
        points: the plan's, for pairs that name one, mm.
        metal: (k, 3) measured places that lie on the car's metal, which help to place it, mm.
        where: the spot that a problem is reported at, the scan file itself where not given.

    Raises:
        ProblemsFound: the file is missing, broken, empty, not numbers, its units are not stated, or it
            cannot be of that size in them; or the pairs do not place it.
    """
    path = folder / entry.file
    try:
        return _read(entry, path, points or {}, metal)
    except ScanRefused as refused:
        code, found, wanted = refused.args
        spot = where or Where(file=str(path))
        raise ProblemsFound([Problem(code=code, where=spot, found=found, wanted=wanted)]) from None


def _read(entry: ScanEntry, path: Path, points: Points, metal: Array) -> Scan:
    per = MM_PER[entry.units or "m"]  # of a cloud that says none, so much is kept as one in metres needs
    raw = loaded(path, spacing=POINT_SPACING / per)
    doubts = check_size(path.name, float(np.ptp(raw.corners, axis=0).max()), entry.units)
    corners = raw.corners * per
    signed = len(raw.faces) > 0
    clean = cleaned(corners, raw.faces) if signed else cleaned_cloud(corners, POINT_SPACING)
    cloud = cloud_of(mesh_of(clean.corners, clean.faces))
    placing = placing_of(entry, points, cloud.points, cloud.normals, metal)
    placed = moved(placing.motion, clean.corners)
    watertight, more = closure(placed, clean.faces) if signed else (False, [])
    return Scan(
        name=path.name,
        mesh=mesh_of(placed, clean.faces),
        cloud=cloud_moved(cloud, *placing.motion),
        watertight=watertight,
        residuals=placing.residuals,
        notes=(*doubts, *raw.notes, *clean.notes, *more, *placing.notes),
        signed=signed,
        noise=clean.noise,
        spread=placing.spread,
        motion=placing.motion,
    )


def on_scan(scan: Scan, place: tuple[float, float, float], units: str) -> Array:
    """A place of the car, mm, in the scan file's own numbers (3,), which are in ``units``."""
    return back_on_scan(scan.motion, np.array(place)) / MM_PER[units]
