"""Linear frames against PyNiteFEA (open-source, MIT; run here), which leaves shear out."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from cagewright.frame.linear import solve_linear
from cagewright.frame.neutral import parse_frame

Pynite = pytest.importorskip("Pynite")
DATA = Path(__file__).resolve().parents[1] / "data" / "frame"


def pynite_answer(model, loads: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Displacements (n, 6) and reactions (n, 6) of the frame under ``loads`` (n, 6)."""
    fe: Any = Pynite.FEModel3D()
    steel = model.materials[0]
    fe.add_material("steel", steel.young, steel.shear, steel.young / (2 * steel.shear) - 1, 0.0)
    for k, p in enumerate(model.nodes):
        fe.add_node(f"N{k}", *map(float, p))
    s = model.sections
    for e, (i, j) in enumerate(model.elements):
        fe.add_section(f"S{e}", s.area[e], s.inertia_y[e], s.inertia_z[e], s.torsion[e])
        fe.add_member(f"M{e}", f"N{i}", f"N{j}", "steel", f"S{e}")
    for k in np.flatnonzero(model.fixed.any(axis=1)):
        fe.def_support(f"N{k}", *map(bool, model.fixed[k]))
    for k, row in enumerate(loads):
        for name, value in zip(("FX", "FY", "FZ", "MX", "MY", "MZ"), row, strict=True):
            if value:
                fe.add_node_load(f"N{k}", name, float(value))
    fe.analyze_linear()
    combo = "Combo 1"
    names = ("DX", "DY", "DZ", "RX", "RY", "RZ")
    moved = [[getattr(fe.nodes[f"N{k}"], n)[combo] for n in names] for k in range(len(model.nodes))]
    pushed = [[getattr(fe.nodes[f"N{k}"], "Rxn" + n)[combo] for n in ("FX", "FY", "FZ", "MX", "MY", "MZ")]
              for k in range(len(model.nodes))]  # fmt: skip
    return np.array(moved, float), np.array(pushed, float)


def test_cage_displacements_and_reactions():
    data = json.loads((DATA / "linear-plain.json").read_text())
    model, push = parse_frame(json.dumps(data["frame"]))
    loads = np.random.default_rng(5).standard_normal((len(model.nodes), 6)) * [100, 100, 100, 1e4, 1e4, 1e4]
    loads[model.fixed] = 0.0
    loads[push.node, :3] += 5000.0 * push.direction
    got = solve_linear(model, loads[None])
    moved, pushed = pynite_answer(model, loads)
    for columns in (slice(0, 3), slice(3, 6)):
        want = moved[:, columns]
        assert np.abs(got.displacement[0][:, columns] - want).max() < 1e-6 * np.abs(want).max()
        want = pushed[:, columns]
        assert np.abs(got.reaction[0][:, columns] - want).max() < 1e-6 * np.abs(want).max()
