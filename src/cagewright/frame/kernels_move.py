"""Compiled: what a moving frame meets besides its own stiffness: its feet on a rigid body, and the ground.

The ground is flat. A contact's force over a step is its change of energy over its change of depth, so that it
takes and gives back exactly what it holds (discrete gradient: Gonzalez, J. Nonlinear Sci. 6 (1996) 449-467);
friction over a step works against the step's own sliding, and so never gives anything.
"""

# Numba infers the types of compiled functions, which carry no annotations.

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from cagewright.frame.kernels_compile import compiled
from cagewright.frame.kernels_contact import scatter_point
from cagewright.frame.kernels_ties import turned_through


class Floor(NamedTuple):
    """Flat ground.

    Attributes:
        normal: (3,) unit vector out of the ground.
        level: mm, place of the ground along its normal.
        stiff: N/mm of each contact point.
        soft: mm over which a contact comes to full stiffness.
        friction: sideways over normal force.
        creep: mm/s below which sliding is only partly resisted, so that sticking needs no memory.
    """

    normal: NDArray[np.float64]
    level: float
    stiff: float
    soft: float
    friction: float
    creep: float


@compiled
def _held(floor, depth):
    """Force N, slope N/mm and energy N mm of a contact ``depth`` mm in the ground."""
    if depth <= 0.0:
        return 0.0, 0.0, 0.0
    if depth < floor.soft:
        f = 0.5 * floor.stiff * depth * depth / floor.soft
        return f, floor.stiff * depth / floor.soft, f * depth / 3.0
    over = depth - 0.5 * floor.soft
    return floor.stiff * over, floor.stiff, 0.5 * floor.stiff * (over * over + floor.soft**2 / 12.0)


@compiled
def _mean_force(floor, before, after):
    """Force N of a contact over a step from one depth to another, its slope with the later, energy then."""
    f, slope, energy = _held(floor, after)
    moved = after - before
    if abs(moved) > 1e-7:
        mean = (energy - _held(floor, before)[2]) / moved
        return mean, (f - mean) / moved, energy
    return f, 0.5 * slope, energy


@compiled
def ground_pass(floor, points, slots, x0, x1, step, times, force, diag, off, wanted):
    """Add what the ground does over a step of ``step`` s from places ``x0`` to ``x1`` (n, 3).

    Stiffness is added ``times`` over. Returns (force out of the ground N, energy held N mm, lost to friction
    in the step N mm, points that press).
    """
    p, slide, k3, n = np.empty(3), np.empty(3), np.empty((3, 3)), floor.normal
    total = held = lost = 0.0
    touching = 0
    creep = floor.creep * step
    for c in range(points.first.shape[0]):
        i, j, s = points.first[c], points.second[c], points.part[c]
        before = after = points.radius[c] + floor.level
        for a in range(3):
            was = (1.0 - s) * x0[i, a] + s * x0[j, a]
            p[a] = (1.0 - s) * x1[i, a] + s * x1[j, a]
            before -= was * n[a]
            after -= p[a] * n[a]
            slide[a] = p[a] - was
        if before <= 0.0 and after <= 0.0:
            continue
        f, slope, energy = _mean_force(floor, before, after)
        held += energy
        total += f
        touching += 1
        run = creep * creep
        for a in range(3):
            # the move along the normal is before - after
            slide[a] -= (before - after) * n[a]
            run += slide[a] * slide[a]
        run = np.sqrt(run)
        drag = floor.friction * f / run if floor.friction > 0.0 else 0.0
        for a in range(3):
            g = f * n[a] - drag * slide[a]
            lost += drag * slide[a] * slide[a]
            force[i, a] -= (1.0 - s) * g
            force[j, a] -= s * g
        if wanted:
            for a in range(3):
                for b in range(3):
                    flat = (1.0 if a == b else 0.0) - n[a] * n[b]
                    k3[a, b] = times * (
                        slope * n[a] * n[b] + drag * (flat - slide[a] * slide[b] / (run * run))
                    )
            scatter_point(slots, diag, off, points.element[c], i, j, s, k3)
    return total, held, lost, touching


@compiled
def _cross(a, b, out):
    out[0], out[1], out[2] = a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


@compiled
def _skew(v, out):
    out[:, :] = 0.0
    out[0, 1], out[0, 2], out[1, 2] = -v[2], v[1], -v[0]
    out[1, 0], out[2, 0], out[2, 1] = v[2], -v[1], v[0]


@compiled
def feet_pass(feet, body, x, r, local_force, local, column, block, flip, force, diag, off, wanted):
    """Add the feet's forces and stiffness, found in the body's own axes, to feet and body.

    ``local_force`` (n, 6) and ``local`` (f, 6, 6) act on the spins and moves of a foot as the body sees them:
    u' = R'(du_f - du_b + d x dw_b), w' = R'(dw_f - dw_b), d from the body's node to the foot.
    """
    big, out, half = np.empty((6, 6)), np.empty(3), np.empty((3, 3))
    b, kb, k12 = np.zeros((6, 12)), np.empty((6, 12)), np.empty((12, 12))
    d, f, m = np.empty(3), np.empty(3), np.empty(3)
    sf, sd, sm, turn = np.empty((3, 3)), np.empty((3, 3)), np.empty((3, 3)), r[body]
    for k in range(feet.shape[0]):
        node = feet[k]
        for a in range(3):
            d[a] = x[node, a] - x[body, a]
            f[a] = m[a] = 0.0
            for c in range(3):
                f[a] += turn[a, c] * local_force[node, c]
                m[a] += turn[a, c] * local_force[node, 3 + c]
        _cross(d, f, out)
        for a in range(3):
            force[node, a] += f[a]
            force[node, 3 + a] += m[a]
            force[body, a] -= f[a]
            force[body, 3 + a] -= m[a] + out[a]
        if not wanted:
            continue
        _into_space(turn, local[k], half, big)
        _skew(f, sf)
        _skew(d, sd)
        _skew(m, sm)
        b[:, :] = 0.0
        for a in range(6):
            b[a, a], b[a, 6 + a] = 1.0, -1.0
        b[:3, 9:] = sd
        turned_through(b, big, kb, k12)
        _turning_with_body(sf, sd, sm, k12)
        _add(k12, column[node], column[body], block[k], flip[k], diag, off)


@compiled
def _into_space(turn, own, half, big):
    """Stiffness ``own`` (6, 6) in axes that are ``turn`` (3, 3) in space, as ``big`` (6, 6) in space."""
    for p in range(0, 6, 3):
        for q in range(0, 6, 3):
            for i in range(3):
                for j in range(3):
                    half[i, j] = 0.0
                    for a in range(3):
                        half[i, j] += turn[i, a] * own[p + a, q + j]
            for i in range(3):
                for j in range(3):
                    v = 0.0
                    for a in range(3):
                        v += half[i, a] * turn[j, a]
                    big[p + i, q + j] = v


@compiled
def _turning_with_body(sf, sd, sm, k12):
    """Add to ``k12`` (12, 12) that the foot's force and moment, as ``sf`` and ``sm``, turn with the body."""
    for i in range(3):
        for j in range(3):
            k12[i, 9 + j] -= sf[i, j]
            k12[6 + i, 9 + j] += sf[i, j]
            k12[9 + i, j] += sf[i, j]
            k12[9 + i, 6 + j] -= sf[i, j]
            k12[3 + i, 9 + j] -= 0.5 * sm[i, j]
            k12[9 + i, 3 + j] += 0.5 * sm[i, j]
            both = 0.0
            for a in range(3):
                both += sd[i, a] * sf[a, j] + sd[j, a] * sf[a, i]
            k12[9 + i, 9 + j] += 0.5 * both


@compiled
def _add(k12, ca, cb, block, flip, diag, off):
    diag[ca] += k12[:6, :6]
    diag[cb] += k12[6:, 6:]
    if flip:
        off[block] += k12[6:, :6]
    else:
        off[block] += k12[:6, 6:]
