"""Compiled: from an element's own forces to its nodes, in its own frame, then in the car's axes.

Projection after Battini and Pacoste, Comput. Methods Appl. Mech. Engrg 191 (2002) 1755-1789, on nine
variables: the movement of one end against the other and the two spins.
"""

# Numba infers the types of compiled functions, which carry no annotations.

from __future__ import annotations

from cagewright.frame.kernels_compile import compiled
from cagewright.frame.kernels_turn import turn_tangent


@compiled
def nodal(f, k, m1, m2, ka):
    """Mode forces and tangent as end moments ``m1``, ``m2`` (3,) and ``ka`` (7, 7) over stretch and turns."""
    m1[0], m1[1], m1[2] = -f[1], f[4] - f[2], f[5] - f[3]
    m2[0], m2[1], m2[2] = f[1], f[4] + f[2], f[5] + f[3]
    ka[:, :] = 0.0
    ka[0, 0] = k[0, 0]
    ka[1, 1] = ka[4, 4] = k[1, 1]
    ka[1, 4] = ka[4, 1] = -k[1, 1]
    ka[0, 1] = ka[1, 0] = -k[0, 1]
    ka[0, 4] = ka[4, 0] = k[0, 1]
    for i in range(2):
        first, second = k[1, 4 + i] - k[1, 2 + i], k[1, 4 + i] + k[1, 2 + i]
        ka[4, 2 + i] = ka[2 + i, 4] = first
        ka[4, 5 + i] = ka[5 + i, 4] = second
        ka[1, 2 + i] = ka[2 + i, 1] = -first
        ka[1, 5 + i] = ka[5 + i, 1] = -second
        even, odd = k[0, 2 + i], k[0, 4 + i]
        ka[0, 2 + i] = ka[2 + i, 0] = odd - even
        ka[0, 5 + i] = ka[5 + i, 0] = odd + even
        for j in range(2):
            ee, oo, eo, oe = k[2 + i, 2 + j], k[4 + i, 4 + j], k[2 + i, 4 + j], k[4 + i, 2 + j]
            ka[2 + i, 2 + j] = ee + oo - eo - oe
            ka[5 + i, 5 + j] = ee + oo + eo + oe
            ka[2 + i, 5 + j] = oo - ee - eo + oe
            ka[5 + j, 2 + i] = ka[2 + i, 5 + j]


@compiled
def to_spins(th1, th2, m1, m2, ka, ts1, ts2, kh, tmp):
    """Change moments and tangent from turns to spins of the ends, in place."""
    turn_tangent(th2, m2, ts2, kh)
    _one_end(4, m2, ka, ts2, kh, tmp)
    turn_tangent(th1, m1, ts1, kh)
    _one_end(1, m1, ka, ts1, kh, tmp)
    # the block between the ends, whose two sides turn differently
    for i in range(3):
        for j in range(3):
            tmp[i, j] = ka[1 + i, 4] * ts2[0, j] + ka[1 + i, 5] * ts2[1, j] + ka[1 + i, 6] * ts2[2, j]
    for i in range(3):
        for j in range(3):
            v = ts1[0, i] * tmp[0, j] + ts1[1, i] * tmp[1, j] + ts1[2, i] * tmp[2, j]
            ka[1 + i, 4 + j] = v
            ka[4 + j, 1 + i] = v


@compiled
def _one_end(o, m, ka, ts, kh, tmp):
    """The moments ``m`` and the tangent of the end whose turns start at row ``o``, in place."""
    for i in range(3):
        for j in range(3):
            tmp[i, j] = ka[o + i, o] * ts[0, j] + ka[o + i, o + 1] * ts[1, j] + ka[o + i, o + 2] * ts[2, j]
    for i in range(3):
        for j in range(3):
            ka[o + i, o + j] = (
                ts[0, i] * tmp[0, j] + ts[1, i] * tmp[1, j] + ts[2, i] * tmp[2, j]
                + kh[i, 0] * ts[0, j] + kh[i, 1] * ts[1, j] + kh[i, 2] * ts[2, j]
            )  # fmt: skip
    x = ka[0, o] * ts[0, 0] + ka[0, o + 1] * ts[1, 0] + ka[0, o + 2] * ts[2, 0]
    y = ka[0, o] * ts[0, 1] + ka[0, o + 1] * ts[1, 1] + ka[0, o + 2] * ts[2, 1]
    z = ka[0, o] * ts[0, 2] + ka[0, o + 1] * ts[1, 2] + ka[0, o + 2] * ts[2, 2]
    ka[0, o] = ka[o, 0] = x
    ka[0, o + 1] = ka[o + 1, 0] = y
    ka[0, o + 2] = ka[o + 2, 0] = z
    x = ts[0, 0] * m[0] + ts[1, 0] * m[1] + ts[2, 0] * m[2]
    y = ts[0, 1] * m[0] + ts[1, 1] * m[1] + ts[2, 1] * m[2]
    z = ts[0, 2] * m[0] + ts[1, 2] * m[1] + ts[2, 2] * m[2]
    m[0], m[1], m[2] = x, y, z


@compiled
def _gather(v, long, eta, h11, h12, h21, h22, out):
    """Row ``v`` (7,) over stretch and spins against the frame, as ``out`` (9,) over end movement and spins.

    The transpose of Battini and Pacoste's projection, eq. 28-31, with their ratios eta.
    """
    twist, even, odd = v[1] + v[4], v[2] + v[5], v[3] + v[6]
    out[0] = v[0]
    out[1] = -odd / long
    out[2] = (eta * twist + even) / long
    out[3] = v[1] - 0.5 * h12 * twist
    out[4] = v[2] + 0.5 * h11 * twist
    out[5] = v[3]
    out[6] = v[4] - 0.5 * h22 * twist
    out[7] = v[5] + 0.5 * h21 * twist
    out[8] = v[6]


@compiled
def project(long, eta, h11, h12, h21, h22, pull, m1, m2, ka, v, tmp, f9, k9):
    """Forces ``f9`` (9,) and symmetric tangent ``k9`` (9, 9) on end movement and spins, element frame."""
    v[0] = pull
    for i in range(3):
        v[1 + i], v[4 + i] = m1[i], m2[i]
    _gather(v, long, eta, h11, h12, h21, h22, f9)
    for i in range(7):
        _gather(ka[i], long, eta, h11, h12, h21, h22, tmp[i])
    for j in range(9):
        for i in range(7):
            v[i] = tmp[i, j]
        _gather(v, long, eta, h11, h12, h21, h22, k9[j])
    _geometric(long, eta, h11, h12, h21, h22, pull, f9, k9)
    for i in range(9):
        for j in range(i):
            s = 0.5 * (k9[i, j] + k9[j, i])
            k9[i, j] = k9[j, i] = s


@compiled
def _geometric(long, eta, h11, h12, h21, h22, pull, f9, k9):
    """Add what the turning of the frame does to forces already there: - skew(force) times frame spin."""
    k9[1, 1] += pull / long
    k9[2, 2] += pull / long
    k9[1, 0] -= f9[1] / long
    k9[2, 0] -= f9[2] / long
    for o in range(0, 9, 3):
        x, y, z = f9[o], f9[o + 1], f9[o + 2]
        if o == 0:
            x = 0.0
        # the frame's spin: x from eta and the ends' spins, y and z from the end's movement / long
        k9[o, 1] -= y / long
        k9[o + 1, 1] += x / long
        k9[o, 2] -= z / long
        k9[o + 2, 2] += x / long
        k9[o + 1, 2] += z * eta / long
        k9[o + 2, 2] -= y * eta / long
        k9[o + 1, 3] -= 0.5 * h12 * z
        k9[o + 2, 3] += 0.5 * h12 * y
        k9[o + 1, 4] += 0.5 * h11 * z
        k9[o + 2, 4] -= 0.5 * h11 * y
        k9[o + 1, 6] -= 0.5 * h22 * z
        k9[o + 2, 6] += 0.5 * h22 * y
        k9[o + 1, 7] += 0.5 * h21 * z
        k9[o + 2, 7] -= 0.5 * h21 * y


@compiled
def rotate(rr, f9, k9, tmp):
    """Turn forces and tangent from the element frame into the car's axes, in place."""
    for o in range(0, 9, 3):
        x, y, z = f9[o], f9[o + 1], f9[o + 2]
        for i in range(3):
            f9[o + i] = rr[i, 0] * x + rr[i, 1] * y + rr[i, 2] * z
    for o in range(0, 9, 3):
        for p in range(o, 9, 3):
            for i in range(3):
                for j in range(3):
                    tmp[i, j] = (
                        rr[i, 0] * k9[o, p + j] + rr[i, 1] * k9[o + 1, p + j] + rr[i, 2] * k9[o + 2, p + j]
                    )
            for i in range(3):
                for j in range(3):
                    v = tmp[i, 0] * rr[j, 0] + tmp[i, 1] * rr[j, 1] + tmp[i, 2] * rr[j, 2]
                    k9[o + i, p + j] = v
                    if p > o:
                        k9[p + j, o + i] = v


@compiled
def carry_stub(arm, f9, k9):
    """Carry forces and tangent from the tube's ends to the nodes over stubs ``arm`` (2, 3), in place."""
    for s in range(2):
        o = 3 + 3 * s
        sign = 1.0 if s == 0 else -1.0
        ax, ay, az = sign * arm[s, 0], sign * arm[s, 1], sign * arm[s, 2]
        # movement of the end += skew(a) spin; columns then rows
        for i in range(9):
            x, y, z = k9[i, 0], k9[i, 1], k9[i, 2]
            k9[i, o] += y * az - z * ay
            k9[i, o + 1] += z * ax - x * az
            k9[i, o + 2] += x * ay - y * ax
        for i in range(9):
            x, y, z = k9[0, i], k9[1, i], k9[2, i]
            k9[o, i] += y * az - z * ay
            k9[o + 1, i] += z * ax - x * az
            k9[o + 2, i] += x * ay - y * ax
        x, y, z = f9[0], f9[1], f9[2]
        f9[o] += y * az - z * ay
        f9[o + 1] += z * ax - x * az
        f9[o + 2] += x * ay - y * ax
        dot = ax * x + ay * y + az * z
        a = (ax, ay, az)
        n = (x, y, z)
        for i in range(3):
            for j in range(3):
                k9[o + i, o + j] -= 0.5 * (a[i] * n[j] + n[i] * a[j])
            k9[o + i, o + i] += dot


@compiled
def expand(k9, k12):
    """From end movement and two spins (9) to two nodes of six (12)."""
    for i in range(3):
        for j in range(3):
            v = k9[i, j]
            k12[i, j] = k12[6 + i, 6 + j] = v
            k12[i, 6 + j] = k12[6 + i, j] = -v
            for s in range(2):
                v = k9[i, 3 + 3 * s + j]
                c = 3 + 6 * s + j
                k12[6 + i, c] = k12[c, 6 + i] = v
                k12[i, c] = k12[c, i] = -v
                for t in range(2):
                    k12[3 + 6 * t + i, c] = k9[3 + 3 * t + i, 3 + 3 * s + j]
