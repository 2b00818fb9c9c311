"""A frame on a body that moves: its feet are the same springs however the body turns."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import motions
from cagewright.frame.assemble import assembly, backsolve, evaluate, factorise
from cagewright.frame.body import RIGID, evaluate_carried, on_body
from cagewright.frame.kernels_turn import move
from cagewright.frame.model import Hinges, Springs, clamped


def turned(angle: float, axis: int) -> np.ndarray:
    """A rotation about one axis."""
    one, other = [k for k in range(3) if k != axis]
    out = np.eye(3)
    out[one, one] = out[other, other] = np.cos(angle)
    out[one, other], out[other, one] = -np.sin(angle), np.sin(angle)
    return out


def sprung(*, hinged: bool = False):
    """The sled with springs under two of its legs and, where asked, a foot on a hinge under a third."""
    model = motions.sled()
    fixed = clamped(8, [2, 3])
    rows = [(node, dof) for node in (0, 1) for dof in range(6)]
    springs = Springs(
        node=np.array([n for n, _ in rows]),
        dof=np.array([d for _, d in rows]),
        stiffness=np.array([2e3 if d < 3 else 3e7 for _, d in rows]),
        capacity=np.full((len(rows), 2), np.inf),
        names=("foot",) * len(rows),
    )
    if not hinged:
        return replace(model, fixed=fixed, springs=springs)
    nodes = np.vstack([model.nodes, model.nodes[2]])
    hinges = Hinges(
        ends=np.array([[8, 2]]), axes=turned(0.4, 0)[None], stiffness=np.array([[1e4] * 3 + [1e8] * 3]),
        capacity=np.full((1, 3), np.inf), names=("tilted",),
    )  # fmt: skip
    return replace(model, nodes=nodes, fixed=clamped(9, [3, 8]), springs=springs, hinges=hinges)


@pytest.mark.parametrize("hinged", [False, True])
def test_nothing_is_strained_when_body_and_frame_turn_together(hinged):
    body = motions.body_of()
    c = on_body(sprung(hinged=hinged), body)
    turn = turned(2.5, 0) @ turned(0.9, 1)
    x = (c.a.model.nodes - body.centre) @ turn.T + [10.0, 20.0, -30.0]
    evaluate_carried(c, x, np.tile(turn, (len(x), 1, 1)))
    free = c.a.top.slots.free > 0.0
    assert np.abs(c.a.force[free]).max() < 1e-3


@pytest.mark.parametrize("hinged", [False, True])
def test_a_foot_pushes_back_as_on_the_ground_and_the_body_takes_it(hinged):
    model = sprung(hinged=hinged)
    body, turn = motions.body_of(), turned(1.1, 2)
    moved = np.zeros((len(model.nodes), 3))
    moved[[0, 1, 2, 4, 5, 6]] = [1.5, -0.4, 0.8]
    if hinged:
        moved[8] = 0.0
    still = assembly(model)
    evaluate(still, model.nodes + moved, np.tile(np.eye(3), (len(moved), 1, 1)))
    c = on_body(model, body)
    x = np.vstack([(model.nodes + moved - body.centre) @ turn.T, np.zeros(3)])
    evaluate_carried(c, x, np.tile(turn, (len(x), 1, 1)))
    got = c.a.force[[0, 1, 4, 5], :3] @ turn
    assert got == pytest.approx(still.force[[0, 1, 4, 5], :3], abs=1e-2)
    # what all nodes push with adds up to nothing, in force and in moment
    alone = c.a.force.copy()
    if hinged:
        alone[8] = 0.0
    assert np.abs(alone[:, :3].sum(axis=0)).max() < 1e-2
    moment = (np.cross(x, alone[:, :3]) + alone[:, 3:]).sum(axis=0)
    assert np.abs(moment).max() < 1e-2 * np.abs(alone[:, :3]).max()


def test_the_tangent_is_how_the_forces_change():
    # held by a heavy drag, so that the free body does not fly away in the solve
    body, rng = motions.body_of(), np.random.default_rng(3)
    c = on_body(sprung(hinged=True), body)
    turn = turned(0.7, 0)
    x = (c.a.model.nodes - body.centre) @ turn.T
    r = np.tile(turn, (len(x), 1, 1))
    evaluate_carried(c, x, r)
    drag = np.array([1e3] * 3 + [1e8] * 3)
    c.a.diag[:, np.arange(6), np.arange(6)] += drag
    factorise(c.a)
    loads = rng.standard_normal((len(x), 6)) * c.a.top.slots.free * [1.0, 1, 1, 100, 100, 100]
    step = backsolve(c.a, loads[None])[0]
    forces, small = [], 1e-2 / np.abs(step[:, :3]).max()
    for way in (small, -small):
        there, turns = x.copy(), r.copy()
        move(there, turns, way * step)
        evaluate_carried(c, there, turns)
        forces.append(c.a.force.copy())
    found = (forces[0] - forces[1]) / (2.0 * small) + drag * step
    off = (found - loads) * c.a.top.slots.free
    assert np.abs(off[:, :3]).max() < 1e-3
    assert np.abs(off[:, 3:]).max() < 0.5


def test_what_is_called_rigid_is_held_ten_times_as_stiffly_as_its_tube():
    c = on_body(motions.sled(), motions.body_of())
    assert c.a.model.springs.stiffness[:3] == pytest.approx(RIGID[0])
    tube = 210e3 * np.pi / 4 * (40.0**2 - 20.0**2) / 100.0
    assert RIGID[0] > 5.0 * tube


def test_a_node_held_in_some_ways_only_is_refused():
    fixed = clamped(8, [0, 1, 2, 3])
    fixed[3, 4] = False
    with pytest.raises(ValueError, match="wholly"):
        on_body(replace(motions.sled(), fixed=fixed), motions.body_of())
