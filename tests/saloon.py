"""A saloon-like inner surface of any number of triangles, for scans in tests and benchmarks."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np

FLOOR, HALF_WIDTH = 120.0, 760.0
ROOF = (
    [300.0, 430.0, 1000.0, 1300.0, 1600.0, 1950.0, 2500.0],
    [820.0, 880.0, 1275.0, 1330.0, 1335.0, 1310.0, 960.0],
)


def saloon(triangles: int, *, noise: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
    """Corners (n, 3) mm and faces (m, 3) of an open shell with about that many triangles."""
    back = max(4, int(np.sqrt(triangles / 2.0 * 0.6)))
    round_ = max(8, triangles // (2 * back))
    x = np.linspace(300.0, 2500.0, back + 1)
    angle = np.linspace(0.0, 2.0 * np.pi, round_, endpoint=False)
    roof = np.interp(x, *ROOF)[:, None]
    power = np.where(np.sin(angle) > 0.0, 4.0, 8.0)
    size = (np.abs(np.cos(angle)) ** power + np.abs(np.sin(angle)) ** power) ** (-1.0 / power)
    y = HALF_WIDTH * size * np.cos(angle) * np.ones_like(roof)
    z = (roof + FLOOR) / 2.0 + (roof - FLOOR) / 2.0 * size * np.sin(angle)
    corners = np.stack([x[:, None] * np.ones_like(y), y, z], axis=2).reshape(-1, 3)
    if noise:
        corners = corners + np.random.default_rng(1).normal(0.0, noise, corners.shape)
    i, j = (v.ravel() for v in np.meshgrid(np.arange(back), np.arange(round_), indexing="ij"))
    a, b = i * round_ + j, i * round_ + (j + 1) % round_
    c, d = a + round_, b + round_
    return corners, np.concatenate([np.stack([a, b, c], axis=1), np.stack([b, d, c], axis=1)])


def box(size: tuple[float, float, float], *, middle=(0.0, 0.0, 0.0)) -> tuple[np.ndarray, np.ndarray]:
    """Corners and outward faces of a closed box, mm."""
    corners = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]) * np.array(size) / 2.0
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    faces = [f for a, b, c, d in quads for f in ((a, b, c), (a, c, d))]
    return corners + np.array(middle), np.array(faces)


def stl(path: Path, corners: np.ndarray, faces: np.ndarray) -> Path:
    """The surface as a binary STL file."""
    rows = np.zeros(len(faces), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])
    rows["corners"] = corners[faces]
    path.write_bytes(b"a shell for tests".ljust(80) + struct.pack("<I", len(faces)) + rows.tobytes())
    return path
