"""A scan stood in the car: by turn and move, or by picked points and then by what the car itself shows.

Picks alone leave some millimetres. What is then fitted in least squares with them: the scan's two halves as
mirrors of each other about the car's middle plane, and the measured marks, which lie on its metal.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.spatial import KDTree
from scipy.spatial.transform import Rotation

from cagewright.base.vectors import ACROSS, BACK, UP, dot, length, turn
from cagewright.plan.types import PairEntry, ScanEntry
from cagewright.shape.mesh import Whole
from cagewright.shape.scan_file import ScanRefused
from cagewright.shape.types import Array

Points = Mapping[str, tuple[float, float, float]]
"""The plan's named points, mm."""
MM_PER = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
PAIR_SLACK = 0.02
"""Share by which distances between picked points may differ before the units are doubted."""
PICK = 3.0
"""How far a pick on a scan lies beside the mark that was measured, as a standard deviation, mm (ours)."""
TAPE = 2.0
"""How far a measured mark lies beside the metal, likewise (ours)."""
MIDDLE = 1.0
"""How sure the middle plane of a scan is as a whole, likewise, where the shell is straight (ours)."""
WRONG = 60.0
"""A pick further out than this is no slip of the hand but the wrong place, mm (ours)."""
MISSED = 3.0 * PICK
"""From here on it is told how far the picks miss, mm."""
SIX = 6
"""Picks that are asked for."""
SAMPLE = 3000
"""Places of the scan that its halves are compared at."""
MATCH = 40.0
"""What lies further off than this has no counterpart on the other half, mm."""
SAME = 0.05
"""A scan that would be moved by less stays where its picks put it, mm."""
Motion = tuple[Array, Array]
"""Rotation (3, 3) and shift (3,) mm: a place p of the scan lies at rotation @ p + shift in the car."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """How a scan stands in the car.

    Attributes:
        motion: from the scan's own numbers, in mm, to the car.
        residuals: how far each picked point lies from its measured place, mm.
        spread: how far a place of the shell may stand off where it is, as a standard deviation, mm; 0 where
            the scan was placed by turn and move.
        notes: in words.
    """

    motion: Motion
    residuals: tuple[float, ...] = ()
    spread: float = 0.0
    notes: tuple[str, ...] = ()


def placing_of(entry: ScanEntry, points: Points, corners: Array, normals: Array, metal: Array) -> Placing:
    """How the scan that ``entry`` names stands.

    Args:
        entry: its picks, or turn and move.
        points: the plan's named points, mm.
        corners: (n, 3) places of the scan, mm, evenly spread.
        normals: (n, 3) unit, either way round.
        metal: (k, 3) measured places of the car that lie on its metal, mm; may be none.

    Raises:
        ScanRefused: the pairs do not place it.
    """
    if not entry.points:
        axes = np.eye(3)
        for axis, angle in zip((BACK, ACROSS, UP), entry.turn, strict=True):
            axes = turn(axes, axis, angle) if angle else axes
        return Placing(motion=(axes.T, np.array(entry.move)))
    if any(entry.turn) or any(entry.move):
        raise ScanRefused(
            "scan-placed-twice", "the scan has both points and turn or move", "wanted one of the two"
        )
    if len(entry.points) < 3:
        raise ScanRefused("scan-pairs", f"{len(entry.points)} points place the scan", "wanted three or more")
    on_scan = np.array([pair.scan for pair in entry.points]) * MM_PER[entry.units or "mm"]
    on_car = np.array([_car_point(pair, points) for pair in entry.points])
    _check_pairs(on_scan, on_car)
    picked = rigid(on_scan, on_car)
    _check_placed(on_scan, on_car, picked)
    spread = _expected(on_car, moved(picked, corners), residuals(on_scan, on_car, picked))
    said = _asked(entry, spread)
    motion, more = _refined(picked, on_scan, on_car, corners, normals, metal, spread)
    left = residuals(on_scan, on_car, motion)
    if max(left) > MISSED:
        more.append(f"the picked points miss their measured places by up to {max(left):.1f} mm")
    sure = min(spread, MIDDLE + TAPE / 2.0) if motion is not picked else spread
    return Placing(motion=motion, residuals=tuple(float(v) for v in left), spread=sure, notes=(*said, *more))


def moved(motion: Motion, points: Array) -> Array:
    """The places (n, 3) in the car's axes, mm."""
    return points @ motion[0].T + motion[1]


def back_on_scan(motion: Motion, place: Array) -> Array:
    """A place (3,) of the car in the scan's own axes, mm."""
    return motion[0].T @ (place - motion[1])


def residuals(on_scan: Array, on_car: Array, motion: Motion) -> Array:
    """How far (n,) each pick lies from its measured place, mm."""
    return length(moved(motion, on_scan) - on_car)


# --- by picked points


def _car_point(pair: PairEntry, points: Points) -> tuple[float, float, float]:
    if not isinstance(pair.car, str):
        return pair.car
    if pair.car not in points:
        raise ScanRefused(
            "unknown-name", f"no point is named '{pair.car}'", "wanted one of the plan's points"
        )
    return points[pair.car]


def _check_pairs(on_scan: Array, on_car: Array) -> None:
    """Refuse pairs that are too close to a line, or that disagree about how large the car is.

    Raises:
        ScanRefused: they do.
    """
    for name, p in (("scan", on_scan), ("car", on_car)):
        spread = np.linalg.svd(p - p.mean(axis=0), compute_uv=False)
        if spread[1] < 0.02 * spread[0] or spread[0] < 50.0:
            raise ScanRefused(
                "scan-pairs-in-line",
                f"the points picked on the {name} lie together or in one line",
                "wanted three points well spread, such as both sills and the roof",
            )
    i, j = np.triu_indices(len(on_scan), 1)
    scan, car = length(on_scan[i] - on_scan[j]), length(on_car[i] - on_car[j])
    ratio = float(scan.sum() / car.sum())
    if abs(ratio - 1.0) > PAIR_SLACK:
        raise ScanRefused(
            "scan-wrong-units",
            f"the picked points are {ratio:.4g} times as far apart on the scan as on the car: wrong units, "
            "or the wrong points?",
            f"wanted the same distances within {PAIR_SLACK:.0%}",
        )


def rigid(on_scan: Array, on_car: Array) -> Motion:
    """The best rigid motion in least squares, never a reflection: three points alone would allow one.

    Source: W. Kabsch, Acta Cryst. A32 (1976) 922 (from memory, unchecked).
    """
    return _best(on_scan, on_car, mirrored=False)


def _best(on_scan: Array, on_car: Array, *, mirrored: bool) -> Motion:
    one, two = on_scan.mean(axis=0), on_car.mean(axis=0)
    u, _, vt = np.linalg.svd((on_scan - one).T @ (on_car - two))
    flip = np.sign(np.linalg.det(u @ vt)) * (-1.0 if mirrored else 1.0)
    rotation = (u @ np.diag([1.0, 1.0, flip]) @ vt).T
    return rotation, two - rotation @ one


def _check_placed(on_scan: Array, on_car: Array, motion: Motion) -> None:
    """Refuse picks that no shift and turn brings together: a wrong place, or left picked for right.

    Raises:
        ScanRefused: they are.
    """
    left = residuals(on_scan, on_car, motion)
    if float(left.max()) <= WRONG:
        return
    mirror = residuals(on_scan, on_car, _best(on_scan, on_car, mirrored=True))
    found = f"point {int(np.argmax(left)) + 1} lies {left.max():.0f} mm from its measured place"
    if float(mirror.max()) < 0.3 * float(left.max()):
        found = (f"the picked points fit the car only as in a mirror (out by {mirror.max():.0f} mm, else "
                 f"{left.max():.0f} mm)")  # fmt: skip
        wanted = "left was picked for right, or the scan is mirrored: left is the driver's left as he sits"
        raise ScanRefused("scan-mirrored", found, wanted)
    raise ScanRefused("scan-wrong-place", found, "pick the points again: one of them is another place")


def _expected(on_car: Array, places: Array, left: Array) -> float:
    """How far a place of the shell may stand off after a fit to those picks, 1 sd of the worst tenth, mm.

    Each pick is out by ``PICK`` each way, or by what the residuals say where that is more: the covariance of
    a linear least-squares fit of a small turn and shift (statistics).
    """
    n = len(on_car)
    free = 3 * n - 6
    seen = float(np.sqrt(float((left**2).sum()) / free)) if free > 0 else 0.0
    middle = on_car.mean(axis=0)
    rows = np.concatenate([_rows(p - middle) for p in on_car])
    cov = np.linalg.inv(rows.T @ rows) * max(PICK, seen) ** 2
    low, high = np.quantile(places, [0.02, 0.98], axis=0)
    box = np.array([[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1])
                    for z in (low[2], high[2])])  # fmt: skip
    off = [float(np.trace(_rows(p - middle) @ cov @ _rows(p - middle).T)) for p in box]
    return float(np.sqrt(np.mean(off) / 3.0))


def _rows(p: Array) -> Array:
    """(3, 6) what a small turn and shift do to a place (3,)."""
    x, y, z = p
    return np.array([[0.0, z, -y, 1.0, 0.0, 0.0], [-z, 0.0, x, 0.0, 1.0, 0.0], [y, -x, 0.0, 0.0, 0.0, 1.0]])


def _along(p: Array, way: Array) -> Array:
    """(n, 6) what a small turn and shift do to places (n, 3) along unit ways (n, 3)."""
    return np.concatenate([np.cross(p, way), way], axis=1)


def _asked(entry: ScanEntry, spread: float) -> list[str]:
    if len(entry.points) >= SIX:
        return []
    return [
        f"{len(entry.points)} picked points place it to about {spread:.0f} mm (1 in 3 places further): pick "
        f"six, spread over the whole cabin, low and high, left and right, front and back"
    ]


# --- by the car's own middle plane and marks


def _refined(
    picked: Motion, on_scan: Array, on_car: Array, corners: Array, normals: Array, metal: Array,
    spread: float,
) -> tuple[Motion, list[str]]:  # fmt: skip
    """The motion that also makes the scan's halves mirrors and puts its metal on the measured marks."""
    step = max(1, len(corners) // SAMPLE)
    every, faces = moved(picked, corners), normals @ picked[0].T
    tree = KDTree(every)
    some = every[::step]
    delta: Motion = (np.eye(3), np.zeros(3))
    picks = moved(picked, on_scan)
    halves, matched, marks = np.inf, 0, np.zeros(0)
    for _ in range(12):
        rows, off, halves, matched = _mirror_rows(tree, every, faces, some, delta)
        more, missed, marks = _mark_rows(tree, every, faces, metal, delta)
        pick_rows = np.concatenate([_rows(p) for p in moved(delta, picks)]) / PICK
        pick_off = (moved(delta, picks) - on_car).ravel() / PICK
        a, b = np.concatenate([rows, more, pick_rows]), np.concatenate([off, missed, pick_off])
        found = np.linalg.lstsq(a, -b, rcond=None)[0]
        turned = Rotation.from_rotvec(found[:3]).as_matrix()
        delta = (turned @ delta[0], turned @ delta[1] + found[3:])
        if float(np.abs(found[3:]).max()) < 0.02 and float(np.abs(found[:3]).max()) < 1e-5:
            break
    if matched < len(some) // 4 and not len(marks):
        return picked, []
    shift = float(np.median(length(moved(delta, some) - some)))
    if shift < SAME:
        return picked, []
    if shift > 3.0 * max(spread, PICK):
        return picked, [
            f"its own middle plane and the measured marks would move it by {shift:.0f} mm, far more than "
            "the picks may be out: they were not used; pick the points again"
        ]
    rotation = delta[0] @ picked[0]
    said = f"placed by the picks, then by its own middle plane (its halves differ by {halves:.1f} mm)"
    said += f" and {len(marks)} measured marks (off by {np.median(marks):.1f} mm)" if len(marks) else ""
    return (rotation, delta[0] @ picked[1] + delta[1]), [f"{said}; that moved it by {shift:.1f} mm"]


def _matched(tree: KDTree, places: Array) -> tuple[Whole, Whole]:
    """Which of the places (n, 3) have a point of the tree within ``MATCH``, and which point that is."""
    found = tree.query(places, distance_upper_bound=MATCH)
    near = np.flatnonzero(np.isfinite(np.asarray(found[0])))
    return near, np.asarray(found[1])[near]


def _mirror_rows(
    tree: KDTree, every: Array, faces: Array, some: Array, delta: Motion
) -> tuple[Array, Array, float, int]:
    """Weighted rows (m, 6) and residuals (m,) of the halves as mirrors, their median and how many match."""
    flip = np.array([1.0, -1.0, 1.0])
    here = moved(delta, some)
    asked = moved((delta[0].T, -delta[0].T @ delta[1]), here * flip)  # in the frame that the tree is in
    near, which = _matched(tree, asked)
    p, q = here[near], moved(delta, every[which])
    normal = faces[which] @ delta[0].T
    off = dot(normal, p * flip - q)
    kept = np.abs(off) <= max(3.0 * float(np.median(np.abs(off))) if len(off) else 0.0, 1.0)
    p, q, normal, off = p[kept], q[kept], normal[kept], off[kept]
    if not len(p):
        return np.zeros((0, 6)), np.zeros(0), np.inf, 0
    rows = _along(p, normal * flip) - _along(q, normal)
    sure = MIDDLE * np.sqrt(float((rows[:, 4] ** 2).sum()))
    return rows / sure, off / sure, float(np.median(np.abs(off))), len(p)


def _mark_rows(
    tree: KDTree, every: Array, faces: Array, metal: Array, delta: Motion
) -> tuple[Array, Array, Array]:
    """Weighted rows (m, 6) and residuals (m,) of the measured marks on the scan, and how far each is off."""
    if not len(metal):
        return np.zeros((0, 6)), np.zeros(0), np.zeros(0)
    asked = moved((delta[0].T, -delta[0].T @ delta[1]), metal)
    near, which = _matched(tree, asked)
    q, normal = moved(delta, every[which]), faces[which] @ delta[0].T
    off = dot(normal, q - metal[near])
    rows = _along(q, normal)
    soft = np.minimum(1.0, 2.0 * TAPE / np.maximum(np.abs(off), 1e-6))  # one wrong reading must not rule
    return rows * (soft / TAPE)[:, None], off * soft / TAPE, np.abs(off)
