"""Small frames shared by the unit tests of the frame solver."""

from __future__ import annotations

import json
from typing import Any

import numpy as np

from cagewright.frame.model import FrameModel
from cagewright.frame.neutral import parse_frame


def portal_data(**more: Any) -> dict[str, Any]:
    """A hoop 1 m high and 1.2 m wide as a neutral frame, pushed sideways at one corner."""
    nodes = [[0, -600, z] for z in range(0, 1001, 100)]
    nodes += [[0, y, 1000] for y in range(-500, 601, 100)]
    nodes += [[0, 600, z] for z in range(900, -1, -100)]
    return {
        "nodes": nodes, "elements": [[i, i + 1, 45, 2.5] for i in range(len(nodes) - 1)],
        "fixed": [0, len(nodes) - 1], "E": 210000, "nu": 0.3, "fy": 350, "hardening": 0.01, "shear": True,
        "load": {"node": 22, "direction": [0, -1, 0], "target": 100}, **more,
    }  # fmt: skip


def model_of(data: dict[str, Any]) -> FrameModel:
    return parse_frame(json.dumps(data))[0]


def out_of_balance(
    answer, pattern: np.ndarray, factor: np.ndarray, step: int, nodes: np.ndarray
) -> tuple[float, float]:
    """Sum of forces, and of moments about the origin, at a kept step, over the largest load force."""
    place = nodes + answer.displacement[step]
    force = factor[step] * pattern + answer.reaction[step]
    total = force[:, :3].sum(axis=0)
    turning = (np.cross(place, force[:, :3]) + force[:, 3:]).sum(axis=0)
    size = max(float(np.abs(factor[step] * pattern[:, :3]).max()), 1e-12)
    return float(np.abs(total).max()) / size, float(np.abs(turning).max()) / size / 1000.0
