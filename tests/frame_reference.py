"""The compiled kernels' formulas once more in plain numpy, slow and dense, to check them by.

Written from the same papers but the long way round: full 12 x 12 matrices with Battini and Pacoste's
projection spelled out, one element at a time, no shortcuts for elements that stay elastic. The tests hold
the kernels to it. No command uses it.
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import brentq

from cagewright.frame.kernels_arrays import Beams, BeamState, pack_beams
from cagewright.frame.kernels_section import GAUSS
from cagewright.frame.model import Floats, FrameModel, HardeningCurve


def skew(v: Floats) -> Floats:
    """The matrix (3, 3) whose product with w is v x w."""
    return np.array([[0.0, -v[2], v[1]], [v[2], 0.0, -v[0]], [-v[1], v[0], 0.0]])


def turn_vector(r: Floats) -> Floats:
    """Rotation vector (3,) of a rotation matrix (3, 3) that turns by less than pi."""
    v = 0.5 * np.array([r[2, 1] - r[1, 2], r[0, 2] - r[2, 0], r[1, 0] - r[0, 1]])
    sine = float(np.sqrt(v @ v))
    if sine < 1e-12:
        return v
    return v * (np.arctan2(sine, 0.5 * (np.trace(r) - 1.0)) / sine)


def spin_inverse(th: Floats) -> Floats:
    """The matrix (3, 3) that takes a spin to the change of the rotation vector ``th`` (3,)."""
    a = float(np.sqrt(th @ th))
    c = 1.0 / 12.0 + a * a / 720.0 if a < 1e-3 else (1.0 - 0.5 * a / np.tan(0.5 * a)) / (a * a)
    return np.eye(3) - 0.5 * skew(th) + c * (np.outer(th, th) - a * a * np.eye(3))


def spin_inverse_change(th: Floats, m: Floats) -> Floats:
    """Derivative (3, 3) over the rotation vector of spin_inverse' m (Battini and Pacoste, eq. 39)."""
    a = float(np.sqrt(th @ th))
    if a < 0.05:
        eta = 1.0 / 12.0 + a**2 / 720.0 + a**4 / 30240.0
        mu = 1.0 / 360.0 + a**2 / 7560.0 + a**4 / 201600.0
    else:
        s, half = np.sin(a), np.sin(0.5 * a) ** 2
        eta = (2.0 * s - a * (1.0 + np.cos(a))) / (2.0 * a * a * s)
        mu = (a * (a + s) - 8.0 * half) / (4.0 * a**4 * half)
    first = eta * (np.outer(th, m) - 2.0 * np.outer(m, th) + float(th @ m) * np.eye(3))
    return first + mu * skew(th) @ skew(th) @ np.outer(m, th) - 0.5 * skew(m)


def stress_at(
    curve: HardeningCurve | None, *, young: float, triple: float, factor: float, strain: Floats, kept: Floats
) -> tuple[Floats, Floats]:
    """Stresses (2,) and tangent (2, 2), MPa, of a fibre at ``strain`` (2,): pull, shear over the root of 3.

    ``kept`` (5,): plastic strain in both, accumulated, shift in both. The flow is found by bracketing on von
    Mises' circle, the tangent by inverting the elastic law, the flow's turning and its consistency at once.
    """
    law = np.diag([young, triple])
    trial = law @ (strain - kept[:2])
    if curve is None:
        return trial, law
    off, base = trial - kept[3:], _rise(curve, kept[2])
    width = factor * (curve.stress[0] + (1.0 - curve.kinematic) * (base - curve.stress[0]))

    def rise(step: float) -> float:
        return factor * (_rise(curve, kept[2] + step) - base)

    def flow(step: float) -> Floats:
        return off / (width + np.diag(law) * step + rise(step))

    if float(np.hypot(*off)) <= width:
        return trial, law
    most = float(np.hypot(*off)) / min(young, triple)
    high = float(brentq(lambda step: float(np.hypot(*flow(step))) - 1.0, 0.0, most, xtol=1e-18, rtol=1e-14))
    n, slope = flow(high), factor * _slope(curve, kept[2] + high)
    size = width + (1.0 - curve.kinematic) * rise(high)
    # unknowns: stresses, step; the shift grows along n by the kinematic part of the rise
    moved = curve.kinematic * slope
    turn = (np.eye(2) - np.outer(n, n)) / size
    held = np.eye(2) + high * law @ turn + curve.kinematic * rise(high) * turn
    # d(xi) = held^-1 (law d(eps) - (law n + moved n) d(step)); n . d(xi) = (1 - kinematic) slope d(step)
    inverse = np.linalg.inv(held)
    along = law @ n + moved * n
    below = (1.0 - curve.kinematic) * slope + n @ inverse @ along
    step = (n @ inverse @ law) / below
    relative = inverse @ (law - np.outer(along, step))
    tangent = law - np.outer(law @ n, step) - high * law @ turn @ relative
    return trial - high * law @ n, tangent


def _rise(curve: HardeningCurve, strain: float) -> float:
    beyond = max(strain - curve.strain[-1], 0.0) * curve.tail
    return float(np.interp(strain, curve.strain, curve.stress)) + beyond


def _slope(curve: HardeningCurve, strain: float) -> float:
    k = int(np.searchsorted(curve.strain, strain, side="right")) - 1
    if k >= len(curve.strain) - 1:
        return curve.tail
    return float((curve.stress[k + 1] - curve.stress[k]) / (curve.strain[k + 1] - curve.strain[k]))


def section_at(
    model: FrameModel, beams: Beams, memory: Floats, e: int, *, strains: Floats
) -> tuple[Floats, Floats]:
    """Forces (6,) and tangent (6, 6) of a ring of fibres at (stretch, curvature y, z, twist, slip y, z).

    A tube's wall shears by its radius times the twist and by the slip's part along the wall.
    """
    steel, s = model.materials[model.material[e]], model.sections
    yields = model.torsion == "yields"
    force, tangent = np.zeros(6), np.zeros((6, 6))
    arms = np.sqrt([s.torsion[e] / s.area[e], *(beams.shear[e] * 2.0 / (steel.shear * s.area[e]))])
    for f in range(model.fibres):
        angle = (f + 0.5) * 2.0 * np.pi / model.fibres
        c, sn = np.cos(angle), np.sin(angle)
        lever = np.zeros((2, 6))
        lever[0, :3] = 1.0, beams.reach[e, 1] * sn, -beams.reach[e, 0] * c
        if yields:
            lever[1, 3:] = np.array([arms[0], arms[1] * c, arms[2] * sn]) / np.sqrt(3.0)
        stress, slope = stress_at(
            steel.curve, young=steel.young, triple=3.0 * steel.shear, factor=float(model.yield_factor[e]),
            strain=lever @ strains, kept=memory[:, f],
        )  # fmt: skip
        force += lever.T @ stress * beams.fibre[e]
        tangent += lever.T @ slope @ lever * beams.fibre[e]
    if not yields:
        core = np.array([0.0, 0.0, 0.0, steel.shear * s.torsion[e], *beams.shear[e]])
        force += core * strains
        tangent += np.diag(core)
    return force, tangent


def _bent_section(
    model: FrameModel, beams: Beams, memory: Floats, e: int, strains: Floats
) -> tuple[Floats, Floats]:
    """As :func:`section_at`, with a bend's own flexibility in series, by damped Newton."""
    soft = np.array([0.0, beams.bend[e, 0], beams.bend[e, 1], 0.0, 0.0, 0.0])
    share = np.zeros(6)
    force, tangent = np.zeros(6), np.zeros((6, 6))
    for tried in range(200):
        force, tangent = section_at(model, beams, memory, e, strains=strains - share)
        miss = share - soft * force
        if np.abs(miss).max() < 1e-15:
            break
        share = share - (1.0 if tried < 20 else 0.5) * np.linalg.solve(
            np.eye(6) + soft[:, None] * tangent, miss
        )
    return force, np.asarray(np.linalg.solve(np.eye(6) + tangent * soft, tangent), float)


def natural_forces(
    model: FrameModel, beams: Beams, memory: Floats, e: int, d: Floats
) -> tuple[Floats, Floats]:
    """Mode forces (6,) and tangent (6, 6) for mode deformations ``d`` (6,); ``memory`` (2, 5, f)."""
    slip = np.zeros(2)
    sheared = bool(np.all(beams.shear[e] > 0.0))
    force, tangent = np.zeros(8), np.zeros((8, 8))
    for tried in range(400):
        force, tangent = _fibre_modes(model, beams, memory, e, np.concatenate([d, slip]))
        if not sheared:
            break
        step = np.linalg.solve(tangent[6:, 6:], force[6:])
        if np.abs(step).max() < 1e-14:
            tangent = tangent - tangent[:, 6:] @ np.linalg.solve(tangent[6:, 6:], tangent[6:])
            break
        slip = slip - (1.0 if tried < 15 else 0.3) * step
    return force[:6], tangent[:6, :6]


def _fibre_modes(model: FrameModel, beams: Beams, memory: Floats, e: int, d: Floats) -> tuple[Floats, Floats]:
    """Forces (8,) and tangent (8, 8) on the six modes and the two slips."""
    long = beams.length[e]
    force, tangent = np.zeros(8), np.zeros((8, 8))
    for g, xi in enumerate((-GAUSS, GAUSS)):
        strain = np.zeros((6, 8))
        strain[0, 0] = strain[1, 2] = strain[2, 3] = strain[3, 1] = 1.0 / long
        strain[1, 4] = strain[2, 5] = 3.0 * xi / long
        strain[1, 6] = strain[2, 7] = -6.0 * xi / long
        strain[4, 6] = strain[5, 7] = 1.0
        f, k = _bent_section(model, beams, memory[g], e, strain @ d)
        force += 0.5 * long * strain.T @ f
        tangent += 0.5 * long * strain.T @ k @ strain
    return force, tangent


def element_answer(
    model: FrameModel, beams: Beams, state: BeamState, e: int, x: Floats, r: Floats
) -> tuple[Floats, Floats]:
    """Forces (12,) and symmetric tangent (12, 12) of element ``e`` on its two nodes, in the car's axes."""
    i, j = model.elements[e]
    arms = [r[n] @ model.stubs[e, s] for s, n in enumerate((i, j))]
    ends = [r[n] @ beams.axes[e] for n in (i, j)]
    gap = x[j] + arms[1] - x[i] - arms[0]
    long = float(np.sqrt(gap @ gap))
    frame = _mean_frame(gap / long, ends)
    turns = [turn_vector(frame.T @ t) for t in ends]
    to_modes = np.zeros((6, 7))
    to_modes[0, 0] = 1.0
    for k in range(3):
        to_modes[1 + k, [1 + k, 4 + k]] = -1.0, 1.0
    to_modes[4, [2, 5]] = to_modes[5, [3, 6]] = 1.0
    d = to_modes @ np.concatenate([[long - beams.length[e]], *turns])
    f, k = natural_forces(model, beams, state.memory[e], e, d)
    local, tangent = to_modes.T @ f, to_modes.T @ k @ to_modes
    force, stiff = _to_nodes(local, tangent, turns, frame, ends, long)
    return _over_stubs(force, stiff, arms)


def _mean_frame(along: Floats, ends: list[Floats]) -> Floats:
    q = 0.5 * (ends[0][:, 1] + ends[1][:, 1])
    third = np.cross(along, q)
    third /= np.sqrt(third @ third)
    return np.stack([along, np.cross(third, along), third], axis=1)


def _to_nodes(local: Floats, tangent: Floats, turns: list[Floats], frame: Floats, ends: list[Floats],
              long: float) -> tuple[Floats, Floats]:  # fmt: skip
    """Battini and Pacoste, eq. 24-37: B' f and B' K B + K_m, symmetric part."""
    maps = np.eye(7)
    bend = np.zeros((7, 7))
    for s, th in enumerate(turns):
        o = slice(1 + 3 * s, 4 + 3 * s)
        maps[o, o] = spin_inverse(th)
        bend[o, o] = spin_inverse_change(th, local[o]) @ spin_inverse(th)
    f, k = maps.T @ local, maps.T @ tangent @ maps + bend
    spin = _frame_spin(frame, ends, long)
    wide = np.kron(np.eye(4), frame)
    pick = np.zeros((6, 12))
    pick[:3, 3:6] = pick[3:, 9:] = np.eye(3)
    project = pick - np.vstack([spin, spin])
    axial = np.concatenate([[-1.0, 0.0, 0.0], np.zeros(3), [1.0, 0.0, 0.0], np.zeros(3)])
    b = np.vstack([axial, project]) @ wide.T
    inner = project.T @ f[1:]
    turning = np.vstack([skew(inner[o : o + 3]) for o in range(0, 12, 3)])
    geometric = -turning @ spin
    cross = np.diag([0.0, f[0] / long, f[0] / long])
    geometric[:3, :3] += cross
    geometric[6:9, 6:9] += cross
    geometric[:3, 6:9] -= cross
    geometric[6:9, :3] -= cross
    shrink = np.zeros(12)
    shrink[[1, 2, 7, 8]] = -inner[[1, 2, 7, 8]] / long
    geometric += np.outer(shrink, axial)
    stiff = b.T @ k @ b + wide @ geometric @ wide.T
    return b.T @ f, 0.5 * (stiff + stiff.T)


def _frame_spin(frame: Floats, ends: list[Floats], long: float) -> Floats:
    """Spin (3, 12) of the element frame over the nodes' movements and spins, all in that frame."""
    q1, q2 = frame.T @ ends[0][:, 1], frame.T @ ends[1][:, 1]
    q = 0.5 * (q1 + q2)
    eta, n1, n2 = q[0] / q[1], q1 / q[1], q2 / q[1]
    spin = np.zeros((3, 12))
    spin[0, [2, 8]] = eta / long, -eta / long
    spin[0, [3, 4, 9, 10]] = 0.5 * n1[1], -0.5 * n1[0], 0.5 * n2[1], -0.5 * n2[0]
    spin[1, [2, 8]] = 1.0 / long, -1.0 / long
    spin[2, [1, 7]] = -1.0 / long, 1.0 / long
    return spin


def _over_stubs(force: Floats, stiff: Floats, arms: list[Floats]) -> tuple[Floats, Floats]:
    carry = np.eye(12)
    for s, arm in enumerate(arms):
        carry[6 * s : 6 * s + 3, 6 * s + 3 : 6 * s + 6] = -skew(arm)
    whole = carry.T @ stiff @ carry
    for s, arm in enumerate(arms):
        f, o = force[6 * s : 6 * s + 3], slice(6 * s + 3, 6 * s + 6)
        # moment arm x f turns with the node: d(arm x f) = (spin x arm) x f
        turning = np.outer(arm, f) - float(arm @ f) * np.eye(3)
        whole[o, o] += 0.5 * (turning + turning.T)
    return carry.T @ force, whole


def frame_answer(model: FrameModel, state: BeamState, x: Floats, r: Floats) -> tuple[Floats, Floats]:
    """Forces (n, 6) and dense tangent (6 n, 6 n) of all elements at places (n, 3) and rotations (n, 3, 3)."""
    beams = pack_beams(model)
    n = len(model.nodes)
    force, stiff = np.zeros(6 * n), np.zeros((6 * n, 6 * n))
    for e, (i, j) in enumerate(model.elements):
        f, k = element_answer(model, beams, state, e, x, r)
        at = np.concatenate([np.arange(6 * i, 6 * i + 6), np.arange(6 * j, 6 * j + 6)])
        force[at] += f
        stiff[np.ix_(at, at)] += k
    return force.reshape(n, 6), stiff


def ldl(matrix: Floats) -> tuple[Floats, Floats]:
    """Unit lower L (n, n) and pivots d (n,) with L d L' = ``matrix``, without pivoting."""
    n = len(matrix)
    lower, d = np.eye(n), np.zeros(n)
    for j in range(n):
        d[j] = matrix[j, j] - (lower[j, :j] ** 2 * d[:j]).sum()
        lower[j + 1 :, j] = (matrix[j + 1 :, j] - lower[j + 1 :, :j] @ (lower[j, :j] * d[:j])) / d[j]
    return lower, d
