"""Compiled: large rotations, and the change between spins and rotation vectors.

Crisfield, Non-linear Finite Element Analysis of Solids and Structures vol. 2 (1997), ch. 16.
"""

# Numba infers the types of compiled functions, which carry no annotations.

from __future__ import annotations

import numpy as np

from cagewright.frame.kernels_compile import compiled


@compiled
def spin(r, w):
    """Turn the rotation ``r`` (3, 3) further by the rotation vector ``w`` (3,), in place (Rodrigues)."""
    a2 = w[0] * w[0] + w[1] * w[1] + w[2] * w[2]
    if a2 < 1e-6:
        s = 1.0 - a2 / 6.0 * (1.0 - a2 / 20.0)
        c = 0.5 - a2 / 24.0 * (1.0 - a2 / 30.0)
    else:
        a = np.sqrt(a2)
        s = np.sin(a) / a
        c = (1.0 - np.cos(a)) / a2
    for j in range(3):
        x, y, z = r[0, j], r[1, j], r[2, j]
        ux, uy, uz = w[1] * z - w[2] * y, w[2] * x - w[0] * z, w[0] * y - w[1] * x
        r[0, j] = x + s * ux + c * (w[1] * uz - w[2] * uy)
        r[1, j] = y + s * uy + c * (w[2] * ux - w[0] * uz)
        r[2, j] = z + s * uz + c * (w[0] * uy - w[1] * ux)


@compiled
def move(x, r, step):
    """Add the displacement and spin increments ``step`` (n, 6) to places (n, 3) and rotations (n, 3, 3)."""
    for i in range(x.shape[0]):
        for j in range(3):
            x[i, j] += step[i, j]
        spin(r[i], step[i, 3:])


@compiled
def small_turn(vx, vy, vz, trace):
    """Rotation vector from the skew part (sine times axis) and the trace of a rotation matrix."""
    s2 = vx * vx + vy * vy + vz * vz
    if s2 < 1e-4 and trace > 0.0:
        f = 1.0 + s2 * (1.0 / 6.0 + s2 * (3.0 / 40.0 + s2 * (15.0 / 336.0 + s2 * 105.0 / 3456.0)))
    else:
        s = np.sqrt(s2)
        f = np.arctan2(s, 0.5 * (trace - 1.0)) / s if s > 0.0 else 1.0
    return vx * f, vy * f, vz * f


@compiled
def end_turn(rr, t):
    """Rotation vector of the end axes ``t`` (3, 3) seen in the element frame ``rr`` (3, 3)."""
    m01 = rr[0, 0] * t[0, 1] + rr[1, 0] * t[1, 1] + rr[2, 0] * t[2, 1]
    m02 = rr[0, 0] * t[0, 2] + rr[1, 0] * t[1, 2] + rr[2, 0] * t[2, 2]
    m10 = rr[0, 1] * t[0, 0] + rr[1, 1] * t[1, 0] + rr[2, 1] * t[2, 0]
    m12 = rr[0, 1] * t[0, 2] + rr[1, 1] * t[1, 2] + rr[2, 1] * t[2, 2]
    m20 = rr[0, 2] * t[0, 0] + rr[1, 2] * t[1, 0] + rr[2, 2] * t[2, 0]
    m21 = rr[0, 2] * t[0, 1] + rr[1, 2] * t[1, 1] + rr[2, 2] * t[2, 1]
    trace = 0.0
    for i in range(3):
        for j in range(3):
            trace += rr[j, i] * t[j, i]
    return small_turn(0.5 * (m21 - m12), 0.5 * (m02 - m20), 0.5 * (m10 - m01), trace)


@compiled
def turn_tangent(th, m, ts, kh):
    """Inverse spin map ``ts`` at the turn ``th`` and derivative ``kh`` of its transpose times ``m``.

    Crisfield vol. 2, eq. 16.97 and Battini and Pacoste, eq. 39, as series good to a turn of about 1 rad.
    """
    x, y, z = th[0], th[1], th[2]
    a2 = x * x + y * y + z * z
    # (1 - (a/2) cot(a/2)) / a2, and its derivative over a, divided by a
    c = 1.0 / 12.0 + a2 * (
        1.0 / 720.0
        + a2 * (1.0 / 30240.0 + a2 * (1.0 / 1209600.0 + a2 * (1.0 / 47900160.0 + a2 * 5.284190138687493e-10)))
    )
    dc = 1.0 / 360.0 + a2 * (
        1.0 / 7560.0 + a2 * (1.0 / 201600.0 + a2 * (1.0 / 5987520.0 + a2 * 5.284190138687493e-09))
    )
    d0 = 1.0 - c * a2
    ts[0, 0] = d0 + c * x * x
    ts[1, 1] = d0 + c * y * y
    ts[2, 2] = d0 + c * z * z
    ts[0, 1], ts[1, 0] = c * x * y + 0.5 * z, c * x * y - 0.5 * z
    ts[0, 2], ts[2, 0] = c * x * z - 0.5 * y, c * x * z + 0.5 * y
    ts[1, 2], ts[2, 1] = c * y * z + 0.5 * x, c * y * z - 0.5 * x
    dot = x * m[0] + y * m[1] + z * m[2]
    # d/dth [ m + th x m / 2 + c (th (th.m) - a2 m) ]
    for i in range(3):
        w = dc * (th[i] * dot - a2 * m[i])
        for j in range(3):
            kh[i, j] = w * th[j] + c * (th[i] * m[j] - 2.0 * m[i] * th[j])
        kh[i, i] += c * dot
    kh[0, 1] += 0.5 * m[2]
    kh[1, 0] -= 0.5 * m[2]
    kh[0, 2] -= 0.5 * m[1]
    kh[2, 0] += 0.5 * m[1]
    kh[1, 2] += 0.5 * m[0]
    kh[2, 1] -= 0.5 * m[0]
