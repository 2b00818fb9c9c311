"""Small frames shared by the verification files: chains of elements along given corners."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from cagewright.frame.model import (
    ElementSections,
    FrameModel,
    Material,
    bilinear,
    clamped,
    frame_model,
    tube_sections,
)

YOUNG, SHEAR = 210e3, 81e3
"""E and G of steel, MPa (EN 1993-1-1:2005, 3.2.6)."""


def chain(corners: list[tuple[float, float, float]], each: int) -> np.ndarray:
    """Nodes along straight runs between ``corners``, ``each`` elements a run."""
    out = [np.array(corners[0], float)]
    for a, b in pairwise(corners):
        start, stop = np.array(a, float), np.array(b, float)
        out.extend(start + (stop - start) * k / each for k in range(1, each + 1))
    return np.array(out)


def arc(radius: float, degrees: float, count: int) -> np.ndarray:
    """Nodes on a flat arc from the origin, starting along x and turning to y."""
    a = np.linspace(0.0, np.radians(degrees), count + 1)
    return radius * np.stack([np.sin(a), 1.0 - np.cos(a), 0.0 * a], axis=1)


def run(
    nodes: np.ndarray, sections: ElementSections, material: Material, fixed: np.ndarray, **more
) -> FrameModel:
    """One chain of elements through ``nodes`` in order."""
    elements = np.stack([np.arange(len(nodes) - 1), np.arange(1, len(nodes))], axis=1)
    return frame_model(
        nodes=nodes, elements=elements, sections=sections, materials=(material,), fixed=fixed, **more
    )


def tube_run(nodes: np.ndarray, *, od: float = 45.0, wall: float = 2.5, fy: float | None = None,
             hardening: float = 0.0, shear: bool = False, fixed: np.ndarray | None = None,
             young: float = YOUNG, rigidity: float = SHEAR, **more) -> FrameModel:  # fmt: skip
    """A chain of one tube, built in at its first node unless ``fixed`` says otherwise."""
    m = len(nodes) - 1
    curve = None if fy is None else bilinear(fy=fy, hardening=hardening, young=young)
    return run(
        nodes, tube_sections(np.full(m, od), np.full(m, wall), shear=shear),
        Material(young=young, shear=rigidity, curve=curve),
        clamped(len(nodes), [0]) if fixed is None else fixed, **more,
    )  # fmt: skip


def flat(fixed: np.ndarray) -> np.ndarray:
    """``fixed`` with every node kept in the x-z plane."""
    out = fixed.copy()
    out[:, [1, 3, 5]] = True
    return out


def load_at(model: FrameModel, node: int, *, force=(0.0, 0.0, 0.0), moment=(0.0, 0.0, 0.0)) -> np.ndarray:
    """A load pattern (n, 6) with one loaded node."""
    out = np.zeros((len(model.nodes), 6))
    out[node] = [*force, *moment]
    return out


def order(errors: list[float]) -> float:
    """Observed order of convergence from the last two errors of meshes halved each time."""
    return float(np.log2(abs(errors[-2]) / abs(errors[-1])))
