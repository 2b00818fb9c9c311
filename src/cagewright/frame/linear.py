"""Small elastic movement: one factor, as many load cases as asked."""

from __future__ import annotations

import numpy as np

from cagewright.frame.assemble import backsolve
from cagewright.frame.errors import factorised
from cagewright.frame.kernels_arrays import Beams
from cagewright.frame.model import Flags, Floats, FrameModel, LinearSolution


def solve_linear(model: FrameModel, loads: Floats) -> LinearSolution:
    """The frame's elastic answer to each load case (bars push and pull, nothing yields).

    Args:
        model: the frame.
        loads: (c, n, 6) N and N mm on the nodes.

    Raises:
        FrameError: the frame cannot stand, with the members named.
    """
    a = factorised(model)
    loads = np.asarray(loads, float)
    moved = backsolve(a, loads)
    forces = element_forces(a.beams, moved)
    reaction = np.where(model.fixed, _pushed_back(model, a.beams, moved, forces) - loads, 0.0)
    energy = 0.5 * np.einsum("cij,cij->c", moved, loads)
    return LinearSolution(displacement=moved, forces=forces, reaction=reaction, energy=energy)


def _local(beams: Beams, moved: Floats) -> tuple[Floats, Floats, Floats]:
    """End movement difference and spins of both ends (c, m, 3) in element axes for ``moved`` (c, n, 6)."""
    a, b = moved[:, beams.ends[:, 0]], moved[:, beams.ends[:, 1]]
    gap = b[..., :3] - a[..., :3]
    if beams.stubbed.any():
        gap = gap + np.cross(b[..., 3:], beams.stub[:, 1]) - np.cross(a[..., 3:], beams.stub[:, 0])
    return _into(beams.axes, gap), _into(beams.axes, a[..., 3:]), _into(beams.axes, b[..., 3:])


def _into(axes: Floats, v: Floats) -> Floats:
    """``v`` (c, m, 3) seen in the elements' axes (m, 3, 3); three products are quicker than einsum here."""
    return v[..., 0:1] * axes[:, 0] + v[..., 1:2] * axes[:, 1] + v[..., 2:3] * axes[:, 2]


def element_forces(beams: Beams, moved: Floats) -> Floats:
    """Element forces (c, m, 6) for small movements (c, n, 6): pull, torque, My and Mz at start, at stop."""
    gap, first, second = _local(beams, moved)
    even, odd = second - first, second + first
    deform = np.empty((len(moved), len(beams.ends), 6))
    deform[..., 0], deform[..., 1:4] = gap[..., 0], even
    deform[..., 4] = odd[..., 1] + 2.0 * gap[..., 2] / beams.length
    deform[..., 5] = odd[..., 2] - 2.0 * gap[..., 1] / beams.length
    modes = beams.stiff * deform
    if beams.coupled.any():
        y, z = beams.offset.T
        pull = beams.stiff[:, 0] * (deform[..., 0] + z * deform[..., 2] - y * deform[..., 3])
        modes[..., 0] = pull
        modes[..., 2] += pull * z
        modes[..., 3] -= pull * y
    return end_forces(modes)


def end_forces(modes: Floats) -> Floats:
    """Element forces (..., 6) from mode forces (..., 6)."""
    even, odd = modes[..., 2:4], modes[..., 4:6]
    return np.concatenate([modes[..., :2], odd - even, odd + even], axis=-1)


def _pushed_back(model: FrameModel, beams: Beams, moved: Floats, forces: Floats) -> Floats:
    """Node forces (c, n, 6) that members hold ``moved`` (c, n, 6) with, good at held nodes only."""
    held: Flags = np.asarray(model.fixed.any(axis=1), np.bool_)
    near = np.flatnonzero(held[beams.ends].any(axis=1))
    long = beams.length[near]
    pull, torque, my1, mz1, my2, mz2 = np.moveaxis(forces[:, near], -1, 0)
    f, m1, m2 = (
        np.einsum("mij,cmj->cmi", beams.axes[near], np.stack(v, axis=-1))
        for v in ((pull, -(mz1 + mz2) / long, (my1 + my2) / long), (-torque, my1, mz1), (torque, my2, mz2))
    )
    start = np.concatenate([-f, m1 - np.cross(beams.stub[near, 0], f)], axis=-1)
    stop = np.concatenate([f, m2 + np.cross(beams.stub[near, 1], f)], axis=-1)
    out = np.zeros_like(moved)
    for k in range(len(moved)):
        np.add.at(out[k], beams.ends[near, 0], start[k])
        np.add.at(out[k], beams.ends[near, 1], stop[k])
        _add_ties(model, moved[k], out[k])
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
        apart = model.nodes[hinges.ends[:, 1]] - model.nodes[hinges.ends[:, 0]]
        drift[:, :3] -= np.cross(moved[hinges.ends[:, 0], 3:], apart)
        both = np.concatenate(
            [np.einsum("hij,hj->hi", hinges.axes, drift[:, s : s + 3]) for s in (0, 3)], axis=1
        )
        held = both * hinges.stiffness
        push = np.concatenate(
            [np.einsum("hij,hi->hj", hinges.axes, held[:, s : s + 3]) for s in (0, 3)], axis=1
        )
        np.add.at(out, hinges.ends[:, 0], -push)
        np.add.at(out[:, 3:], hinges.ends[:, 0], -np.cross(apart, push[:, :3]))
        np.add.at(out, hinges.ends[:, 1], push)
