"""The linear solver: several cases at once, balance, stubs, and that it is the push's first step."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from frame_cases import model_of, portal_data

from cagewright.frame.assemble import topology
from cagewright.frame.continuation import Steps
from cagewright.frame.kernels_arrays import pack_beams
from cagewright.frame.linear import element_forces, solve_linear
from cagewright.frame.model import FrameModel
from cagewright.frame.neutral import parse_frame
from cagewright.frame.travel import push_point

DATA = Path(__file__).resolve().parents[2] / "data" / "frame"


def cage() -> FrameModel:
    return parse_frame(json.dumps(json.loads((DATA / "linear-shear.json").read_text())["frame"]))[0]


def test_cases_are_solved_together_as_apart():
    model = cage()
    loads = np.random.default_rng(0).standard_normal((6, len(model.nodes), 6))
    together = solve_linear(model, loads)
    for k in range(6):
        apart = solve_linear(model, loads[k : k + 1])
        assert together.displacement[k] == pytest.approx(apart.displacement[0], rel=1e-9, abs=1e-15)


def test_reactions_balance_the_loads():
    model = cage()
    loads = np.random.default_rng(1).standard_normal((1, len(model.nodes), 6))
    loads[:, model.fixed] = 0.0
    got = solve_linear(model, loads)
    force = loads[0] + got.reaction[0]
    assert np.abs(force[:, :3].sum(axis=0)).max() < 1e-8
    turning = (np.cross(model.nodes, force[:, :3]) + force[:, 3:]).sum(axis=0)
    assert np.abs(turning).max() < 1e-5
    assert got.energy[0] > 0.0


def test_member_forces_of_a_cantilever():
    data = portal_data()
    data["nodes"], data["elements"] = [[0, 0, 0], [400, 0, 0]], [[0, 1, 45, 2.5]]
    data["fixed"], data["load"] = [0], {"node": 1, "direction": [0, 0, 1], "target": 1}
    model = model_of(data)
    loads = np.zeros((2, 2, 6))
    loads[0, 1] = [700.0, 0, 0, 900.0, 0, 0]
    loads[1, 1] = [0, 0, 100.0, 0, 0, 0]
    got = solve_linear(model, loads)
    assert got.forces[0, 0] == pytest.approx([700.0, 900.0, 0, 0, 0, 0], abs=1e-6)
    # local y is up, so a load up bends about local z: 400 mm x 100 N at the start
    assert np.abs(got.forces[1, 0, [3, 5]]) == pytest.approx([40000.0, 0.0], abs=1e-5)
    assert np.abs(got.forces[1, 0, [0, 1, 2, 4]]).max() < 1e-6


def test_linear_is_the_start_of_the_push():
    model = cage()
    _, push = parse_frame(json.dumps(json.loads((DATA / "linear-shear.json").read_text())["frame"]))
    loads = np.zeros((1, len(model.nodes), 6))
    loads[0, push.node, :3] = push.direction
    per_newton = solve_linear(model, loads)
    small = push_point(model, node=push.node, direction=push.direction, target=1e-3, steps=Steps(size=1e-3))
    stiffness = 1.0 / (per_newton.displacement[0, push.node, :3] @ push.direction)
    assert small.load[-1] / 1e-3 == pytest.approx(stiffness, rel=1e-5)
    assert small.forces[-1] == pytest.approx(small.load[-1] * per_newton.forces[0], rel=1e-3, abs=1e-3)


def test_rigid_movement_strains_nothing():
    model = cage()
    spin = np.array([0.1, -0.2, 0.3])
    moved = np.concatenate(
        [np.cross(spin, model.nodes) + np.array([1, 2, 3]), np.tile(spin, (len(model.nodes), 1))], axis=1
    )
    assert np.abs(element_forces(pack_beams(model), moved[None])).max() < 1e-4


def test_topology_is_kept_for_the_same_joins_only():
    model = cage()
    assert topology(model) is topology(model)
    other = model_of(portal_data())
    assert topology(other) is not topology(model)
