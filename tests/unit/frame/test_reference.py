"""The compiled kernels against their numpy reference, and the tangent against differences of the forces."""

from __future__ import annotations

import numpy as np
import pytest

from cagewright.frame.assemble import assembly, backsolve, evaluate, factorise
from cagewright.frame.kernels_turn import move
from cagewright.frame.model import (
    FrameModel,
    HardeningCurve,
    Material,
    bilinear,
    clamped,
    frame_model,
    tube_sections,
)
from frame_materials import measured
from frame_reference import frame_answer, ldl

YOUNG = 210e3
NODES = np.array([[0, 0, 0], [400, 100, 50], [700, 300, 400], [600, -200, 300.0]])
ELEMENTS = np.array([[0, 1], [1, 2], [1, 3], [2, 3]])

CURVES = {
    "elastic": None,
    "plain": bilinear(fy=350.0, hardening=0.01, young=YOUNG),
    "perfect": bilinear(fy=350.0, hardening=0.0, young=YOUNG),
    "widening": bilinear(fy=350.0, hardening=0.02, young=YOUNG, kinematic=0.0),
    "to its ultimate": HardeningCurve(
        strain=np.array([0.0, 0.01]), stress=np.array([350.0, 420.0]), tail=0.0, kinematic=1.0
    ),
    "measured": measured(
        strain=np.array([0.00167, 0.004, 0.012, 0.05]), stress=np.array([350.0, 380.0, 440.0, 500.0]),
        young=YOUNG, kinematic=0.4,
    ),
}  # fmt: skip


def sample(
    steel: str, *, shear: bool = True, bent: bool = False, stubs: float = 0.0, torsion="yields"
) -> FrameModel:
    rng = np.random.default_rng(3)
    fixed = clamped(4, [0])
    fixed[3, 1] = True
    return frame_model(
        nodes=NODES,
        elements=ELEMENTS,
        sections=tube_sections([45.0, 38.0, 38.0, 45.0], [2.5] * 4, shear=shear),
        materials=(Material(young=YOUNG, shear=81e3, curve=CURVES[steel]),),
        fixed=fixed,
        stubs=stubs * rng.standard_normal((4, 2, 3)),
        bend_factor=np.array([1.0, 2.2, 1.0, 1.5]) if bent else None,
        yield_factor=np.array([1.0, 0.8, 1.0, 0.9]),
        torsion=torsion,
    )


def moved(model: FrameModel, size: float, seed: int = 0) -> tuple[np.ndarray, np.ndarray]:
    step = size * np.random.default_rng(seed).standard_normal((4, 6))
    step[:, :3] *= 200.0
    step[model.fixed] = 0.0
    x, r = model.nodes.copy(), np.tile(np.eye(3), (4, 1, 1))
    move(x, r, step)
    return x, r


def dense(a) -> np.ndarray:
    """The assembled block matrix as (6 c, 6 c), in elimination order."""
    c, pat = len(a.top.active), a.top.pattern
    out = np.zeros((6 * c, 6 * c))
    for i in range(c):
        out[6 * i : 6 * i + 6, 6 * i : 6 * i + 6] = a.diag[i]
        for p in range(pat.start[i], pat.start[i + 1]):
            j = pat.row[p]
            out[6 * i : 6 * i + 6, 6 * j : 6 * j + 6] = a.off[p]
            out[6 * j : 6 * j + 6, 6 * i : 6 * i + 6] = a.off[p].T
    return out


def in_order(a, matrix: np.ndarray) -> np.ndarray:
    """The reference's (6 n, 6 n) matrix in elimination order with held rows struck out as the kernels do."""
    at = (6 * a.top.active[:, None] + np.arange(6)).ravel()
    out = matrix[np.ix_(at, at)].copy()
    held = ~a.top.slots.free[a.top.active].astype(bool).ravel()
    out[held] = 0.0
    out[:, held] = 0.0
    return out


CASES = [
    (steel, shear, bent, stubs)
    for steel in CURVES
    for shear, bent, stubs in ((True, False, 0.0), (False, True, 0.0), (True, True, 15.0))
]


@pytest.mark.parametrize(("steel", "shear", "bent", "stubs"), CASES)
@pytest.mark.parametrize(("size", "torsion"), [(0.001, "elastic"), (0.02, "yields")])
def test_forces_and_tangent_equal_the_frame_reference(steel, shear, bent, stubs, size, torsion):
    model = sample(steel, shear=shear, bent=bent, stubs=stubs, torsion=torsion)
    a = assembly(model)
    # go out and keep, so that fibres remember, then come half way back
    x, r = moved(model, size)
    evaluate(a, x, r)
    from cagewright.frame.assemble import keep_step

    keep_step(a, np.zeros(0))
    x, r = moved(model, 0.5 * size)
    evaluate(a, x, r)
    if steel != "elastic" and size > 0.01:
        assert a.state.yielded.any(), "the case is meant to yield"
    force, stiff = frame_answer(model, a.state, x, r)
    # the kernels end their inner searches early, by a straight step: parts in a million where a fibre turns
    assert np.abs(a.force - force).max() < 1e-6 * np.abs(force).max()
    mine, theirs = dense(a), in_order(a, stiff)
    held = ~a.top.slots.free[a.top.active].astype(bool).ravel()
    mine[held, held] = 0.0
    assert np.abs(mine - theirs).max() < 1e-5 * np.abs(theirs).max()


@pytest.mark.parametrize("seed", range(3))
def test_factor_solves_and_counts_like_dense(seed):
    model = sample("elastic")
    a = assembly(model)
    x, r = moved(model, 0.6, seed)
    evaluate(a, x, r)
    matrix = dense(a)
    loads = np.random.default_rng(seed).standard_normal((2, 4, 6))
    negative, lost = factorise(a)
    assert lost == -1
    assert negative == int((np.linalg.eigvalsh(matrix) < 0.0).sum())
    assert negative == int((ldl(matrix)[1] < 0.0).sum())
    got = backsolve(a, loads)
    right = (loads * a.top.slots.free)[:, a.top.active].reshape(2, -1)
    want = np.linalg.solve(matrix, right.T).T.reshape(2, -1, 6)
    free = a.top.slots.free[a.top.active]
    assert np.allclose(got[:, a.top.active], want * free, rtol=1e-8, atol=1e-10 * np.abs(want).max())


def test_indefinite_frame_has_negative_pivots():
    counts = set()
    for seed in range(6):
        model = sample("elastic")
        a = assembly(model)
        evaluate(a, *moved(model, 0.6, seed))
        counts.add(factorise(a)[0])
    assert max(counts) > 0


@pytest.mark.parametrize(("steel", "shear", "bent", "stubs"), CASES)
def test_tangent_is_the_symmetric_part_of_force_differences(steel, shear, bent, stubs):
    if steel in ("measured", "to its ultimate"):
        pytest.skip("a kink in the curve has no tangent; the reference covers it")
    model = sample(steel, shear=shear, bent=bent, stubs=stubs)
    a = assembly(model)
    x, r = moved(model, 0.02)
    evaluate(a, x, r)
    mine = dense(a)
    act = a.top.active
    out = np.zeros_like(mine)
    for i, node in enumerate(act):
        for dof in range(6):
            h = 1e-4 if dof < 3 else 1e-6
            ends = []
            for sign in (1.0, -1.0):
                x2, r2, step = x.copy(), r.copy(), np.zeros((4, 6))
                step[node, dof] = sign * h
                move(x2, r2, step)
                evaluate(a, x2, r2, tangent=False)
                ends.append(a.force[act].ravel().copy())
            out[:, 6 * i + dof] = (ends[0] - ends[1]) / (2.0 * h)
    want = 0.5 * (out + out.T)
    free = a.top.slots.free[act].astype(bool).ravel()
    scale = np.sqrt(np.abs(np.diag(want)))
    off = np.abs(mine - want)[np.ix_(free, free)] / np.outer(scale[free], scale[free])
    # the frame's own spin about its axis is linearised without the change of its ratios: parts in 1e5
    assert off.max() < 1e-4
