"""Small elastic movement: one factor, as many load cases as asked."""

from __future__ import annotations

import numpy as np

from cagewright.frame.assemble import assembly, backsolve, evaluate, factorise
from cagewright.frame.model import Floats, FrameModel, LinearSolution
from cagewright.frame.pack import Beams
from cagewright.frame.troubles import refuse, refuse_loose


def solve_linear(model: FrameModel, loads: Floats) -> LinearSolution:
    """The frame's elastic answer to each load case (bars push and pull, nothing yields).

    Args:
        model: the frame.
        loads: (c, n, 6) N and N mm on the nodes.

    Raises:
        FrameError: the frame cannot stand, with the members named.
    """
    refuse(model)
    a = assembly(model)
    rest = np.tile(np.eye(3), (len(model.nodes), 1, 1))
    evaluate(a, model.nodes.copy(), rest)
    _, lost = factorise(a)
    if lost >= 0:
        refuse_loose(model, a)
    moved = backsolve(a, np.asarray(loads, float))
    forces = np.stack([element_forces(a.beams, d) for d in moved])
    pushed = np.stack([_pushed_back(model, a.beams, d, f) for d, f in zip(moved, forces, strict=True)])
    reaction = np.where(model.fixed, pushed - loads, 0.0)
    return LinearSolution(
        displacement=moved, forces=forces, reaction=reaction, energy=0.5 * (moved * loads).sum(axis=(1, 2))
    )


def _local(beams: Beams, moved: Floats) -> tuple[Floats, Floats, Floats]:
    """End movement difference (m, 3) and spins (m, 3) of both ends in element axes for ``moved`` (n, 6)."""
    a, b = moved[beams.ends[:, 0]], moved[beams.ends[:, 1]]
    gap = b[:, :3] + np.cross(b[:, 3:], beams.stub[:, 1]) - a[:, :3] - np.cross(a[:, 3:], beams.stub[:, 0])
    turned = [np.einsum("mij,mi->mj", beams.axes, v) for v in (gap, a[:, 3:], b[:, 3:])]
    return turned[0], turned[1], turned[2]


def element_forces(beams: Beams, moved: Floats) -> Floats:
    """Element forces (m, 6) for small movements (n, 6): pull, torque, My, Mz at start, My, Mz at stop."""
    gap, first, second = _local(beams, moved)
    chord_y, chord_z = -gap[:, 2] / beams.length, gap[:, 1] / beams.length
    deform = np.stack(
        [gap[:, 0], second[:, 0] - first[:, 0], second[:, 1] - first[:, 1], second[:, 2] - first[:, 2],
         second[:, 1] + first[:, 1] - 2.0 * chord_y, second[:, 2] + first[:, 2] - 2.0 * chord_z], axis=1,
    )  # fmt: skip
    return end_forces(beams.stiff * deform)


def end_forces(modes: Floats) -> Floats:
    """Element forces (..., 6) from mode forces (..., 6)."""
    even, odd = modes[..., 2:4], modes[..., 4:6]
    return np.concatenate([modes[..., :2], odd - even, odd + even], axis=-1)


def _pushed_back(model: FrameModel, beams: Beams, moved: Floats, forces: Floats) -> Floats:
    """Node forces (n, 6) that elements, bars and hinges hold ``moved`` (n, 6) with."""
    out = np.zeros((len(model.nodes), 6))
    pull, torque, my1, mz1, my2, mz2 = forces.T
    sheer_y, sheer_z = -(mz1 + mz2) / beams.length, (my1 + my2) / beams.length
    f = np.einsum("mij,mj->mi", beams.axes, np.stack([pull, sheer_y, sheer_z], axis=1))
    m1 = np.einsum("mij,mj->mi", beams.axes, np.stack([-torque, my1, mz1], axis=1))
    m2 = np.einsum("mij,mj->mi", beams.axes, np.stack([torque, my2, mz2], axis=1))
    np.add.at(out, beams.ends[:, 0], np.concatenate([-f, m1 - np.cross(beams.stub[:, 0], f)], axis=1))
    np.add.at(out, beams.ends[:, 1], np.concatenate([f, m2 + np.cross(beams.stub[:, 1], f)], axis=1))
    _add_ties(model, moved, out)
    return out


def _add_ties(model: FrameModel, moved: Floats, out: Floats) -> None:
    bars, hinges = model.bars, model.hinges
    if len(bars.area):
        gap = model.nodes[bars.ends[:, 1]] - model.nodes[bars.ends[:, 0]]
        long = np.sqrt((gap**2).sum(axis=1, keepdims=True))
        young = np.array([m.young for m in model.materials])[bars.material]
        drift = moved[bars.ends[:, 1], :3] - moved[bars.ends[:, 0], :3]
        pull = (
            (young * bars.area)[:, None] / long * (drift * gap / long).sum(axis=1, keepdims=True) * gap / long
        )
        np.add.at(out[:, :3], bars.ends[:, 0], -pull)
        np.add.at(out[:, :3], bars.ends[:, 1], pull)
    if len(hinges.ends):
        drift = moved[hinges.ends[:, 1]] - moved[hinges.ends[:, 0]]
        both = np.concatenate(
            [np.einsum("hij,hj->hi", hinges.axes, drift[:, s : s + 3]) for s in (0, 3)], axis=1
        )
        held = both * hinges.stiffness
        push = np.concatenate(
            [np.einsum("hij,hi->hj", hinges.axes, held[:, s : s + 3]) for s in (0, 3)], axis=1
        )
        np.add.at(out, hinges.ends[:, 0], -push)
        np.add.at(out, hinges.ends[:, 1], push)
