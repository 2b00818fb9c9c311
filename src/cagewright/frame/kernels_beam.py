"""Compiled: the two-node co-rotational beam, its forces and its symmetric tangent.

Element frame and projection after Battini and Pacoste, Comput. Methods Appl. Mech. Engrg 191 (2002)
1755-1789 (frame on the chord and the mean of the ends' y axes); rotations and their tangents after
Crisfield, Non-linear Finite Element Analysis vol. 2 (1997), ch. 16-17. Everything of one element is
worked in its own frame on nine variables: the movement of one end against the other and the two spins.
"""

from __future__ import annotations

import numpy as np

from cagewright.frame.kernels_compile import compiled
from cagewright.frame.kernels_section import GAUSS, curve_at, yielded_element


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
    """Add the displacement and spin increments ``step`` (n, 6) to positions (n, 3) and rotations (n, 3, 3)."""
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
def frame_of(beams, x, r, e, rr, t, arm):
    """Element frame into ``rr``, end axes into ``t`` (2, 3, 3), stubs into ``arm`` (2, 3); length and frame ratios.

    Returns (present length, stretch, eta, eta11, eta12, eta21, eta22).
    """
    for s in range(2):
        node = beams.ends[e, s]
        for i in range(3):
            arm[s, i] = 0.0
            for j in range(3):
                t[s, i, j] = (
                    r[node, i, 0] * beams.axes[e, 0, j]
                    + r[node, i, 1] * beams.axes[e, 1, j]
                    + r[node, i, 2] * beams.axes[e, 2, j]
                )
        if beams.stubbed[e]:
            for i in range(3):
                for j in range(3):
                    arm[s, i] += r[node, i, j] * beams.stub[e, s, j]
    a, b = beams.ends[e, 0], beams.ends[e, 1]
    vx = x[b, 0] + arm[1, 0] - x[a, 0] - arm[0, 0]
    vy = x[b, 1] + arm[1, 1] - x[a, 1] - arm[0, 1]
    vz = x[b, 2] + arm[1, 2] - x[a, 2] - arm[0, 2]
    long = np.sqrt(vx * vx + vy * vy + vz * vz)
    ex, ey, ez = vx / long, vy / long, vz / long
    qx, qy, qz = (
        0.5 * (t[0, 0, 1] + t[1, 0, 1]),
        0.5 * (t[0, 1, 1] + t[1, 1, 1]),
        0.5 * (t[0, 2, 1] + t[1, 2, 1]),
    )
    zx, zy, zz = ey * qz - ez * qy, ez * qx - ex * qz, ex * qy - ey * qx
    size = np.sqrt(zx * zx + zy * zy + zz * zz)
    zx, zy, zz = zx / size, zy / size, zz / size
    rr[0, 0], rr[1, 0], rr[2, 0] = ex, ey, ez
    rr[0, 1], rr[1, 1], rr[2, 1] = zy * ez - zz * ey, zz * ex - zx * ez, zx * ey - zy * ex
    rr[0, 2], rr[1, 2], rr[2, 2] = zx, zy, zz
    q11 = q12 = q21 = q22 = 0.0
    for i in range(3):
        q11 += rr[i, 0] * t[0, i, 1]
        q12 += rr[i, 1] * t[0, i, 1]
        q21 += rr[i, 0] * t[1, i, 1]
        q22 += rr[i, 1] * t[1, i, 1]
    q1, q2 = 0.5 * (q11 + q21), 0.5 * (q12 + q22)
    rest = beams.length[e]
    return long, (long * long - rest * rest) / (long + rest), q1 / q2, q11 / q2, q12 / q2, q21 / q2, q22 / q2


@compiled
def still_elastic(beams, state, e, d):
    """True where no fibre of element ``e`` can be past first yield under mode deformations ``d`` (6,)."""
    if state.yielded[e, 0] or state.yielded[e, 1]:
        return False
    long = beams.length[e]
    # elastic fibres take the mode forces over their own rigidity
    ey = d[2] * beams.stiff[e, 2] / beams.rigid[e, 0]
    ez = d[3] * beams.stiff[e, 3] / beams.rigid[e, 1]
    oy = GAUSS * d[4] * beams.stiff[e, 4] / beams.rigid[e, 0]
    oz = GAUSS * d[5] * beams.stiff[e, 5] / beams.rigid[e, 1]
    room = beams.limit[e] - abs(d[0]) / long
    if room < 0.0:
        return False
    ry, rz = beams.reach[e, 0], beams.reach[e, 1]
    room *= room
    a, b = rz * (ey + oy), ry * (ez + oz)
    c, h = rz * (ey - oy), ry * (ez - oz)
    return a * a + b * b <= room and c * c + h * h <= room


@compiled
def mode_forces(beams, steels, state, e, d, f, k, part):
    """Mode forces ``f`` (6,) and tangent ``k`` (6, 6) of element ``e``; True where they are the plain elastic ones."""
    if still_elastic(beams, state, e, d):
        state.touched[e, 0] = state.touched[e, 1] = 0
        k[:, :] = 0.0
        for i in range(6):
            k[i, i] = beams.stiff[e, i]
            f[i] = k[i, i] * d[i]
        return True
    state.touched[e, 0] = state.touched[e, 1] = 1
    yielded_element(beams, steels, state, e, d, f, k, part)
    return False


@compiled
def _turn_tangent(th, m, ts, kh):
    """Inverse spin map ``ts`` at the turn ``th`` and derivative ``kh`` of its transpose times ``m``; (3, 3) each.

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


@compiled
def _nodal(f, k, m1, m2, ka):
    """Mode forces and tangent as end moments ``m1``, ``m2`` (3,) and tangent ``ka`` (7, 7) over stretch and turns."""
    m1[0], m1[1], m1[2] = -f[1], f[4] - f[2], f[5] - f[3]
    m2[0], m2[1], m2[2] = f[1], f[4] + f[2], f[5] + f[3]
    ka[:, :] = 0.0
    ka[0, 0] = k[0, 0]
    ka[1, 1] = ka[4, 4] = k[1, 1]
    ka[1, 4] = ka[4, 1] = -k[1, 1]
    for i in range(2):
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
def _to_spins(th1, th2, m1, m2, ka, ts, kh, tmp):
    """Change moments and tangent from turns to spins of the ends, in place."""
    for s in range(2):
        o = 1 + 3 * s
        th = th1 if s == 0 else th2
        m = m1 if s == 0 else m2
        _turn_tangent(th, m, ts, kh)
        for i in range(7):
            for j in range(3):
                tmp[i, j] = ka[i, o] * ts[0, j] + ka[i, o + 1] * ts[1, j] + ka[i, o + 2] * ts[2, j]
        for i in range(7):
            for j in range(3):
                ka[i, o + j] = tmp[i, j]
        for i in range(7):
            for j in range(3):
                tmp[i, j] = ts[0, j] * ka[o, i] + ts[1, j] * ka[o + 1, i] + ts[2, j] * ka[o + 2, i]
        for i in range(7):
            for j in range(3):
                ka[o + j, i] = tmp[i, j]
        for i in range(3):
            for j in range(3):
                ka[o + i, o + j] += kh[i, 0] * ts[0, j] + kh[i, 1] * ts[1, j] + kh[i, 2] * ts[2, j]
        x = ts[0, 0] * m[0] + ts[1, 0] * m[1] + ts[2, 0] * m[2]
        y = ts[0, 1] * m[0] + ts[1, 1] * m[1] + ts[2, 1] * m[2]
        z = ts[0, 2] * m[0] + ts[1, 2] * m[1] + ts[2, 2] * m[2]
        m[0], m[1], m[2] = x, y, z


@compiled
def _project(long, eta, h11, h12, h21, h22, pull, m1, m2, ka, b, tmp, f9, k9):
    """Forces ``f9`` (9,) and symmetric tangent ``k9`` (9, 9) on end movement and spins, in the element frame."""
    b[:, :] = 0.0
    b[0, 0] = 1.0
    for s in range(2):
        o = 1 + 3 * s
        b[o, 2] = eta / long
        b[o, 3], b[o, 4] = -0.5 * h12, 0.5 * h11
        b[o, 6], b[o, 7] = -0.5 * h22, 0.5 * h21
        b[o, 3 + 3 * s] += 1.0
        b[o + 1, 2] = 1.0 / long
        b[o + 1, 4 + 3 * s] = 1.0
        b[o + 2, 1] = -1.0 / long
        b[o + 2, 5 + 3 * s] = 1.0
    for j in range(9):
        f9[j] = b[0, j] * pull
        for i in range(3):
            f9[j] += b[1 + i, j] * m1[i] + b[4 + i, j] * m2[i]
    for i in range(7):
        for j in range(9):
            v = 0.0
            for k in range(7):
                v += ka[i, k] * b[k, j]
            tmp[i, j] = v
    for i in range(9):
        for j in range(9):
            v = 0.0
            for k in range(7):
                v += b[k, i] * tmp[k, j]
            k9[i, j] = v
    _geometric(long, eta, h11, h12, h21, h22, pull, m1, m2, f9, k9)
    for i in range(9):
        for j in range(i):
            v = 0.5 * (k9[i, j] + k9[j, i])
            k9[i, j] = k9[j, i] = v


@compiled
def _geometric(long, eta, h11, h12, h21, h22, pull, m1, m2, f9, k9):
    """Add what the turning of the element frame does to forces already there."""
    k9[1, 1] += pull / long
    k9[2, 2] += pull / long
    twist = m1[0] + m2[0]
    # frame spin per variable (rows x, y, z), transposed projection
    for o in range(0, 9, 3):
        nx, ny, nz = f9[o], f9[o + 1], f9[o + 2]
        if o == 0:
            nx = 0.0
        # spin x: -eta/long on z movement, etc.; -skew(n) times the spin rows
        for j in range(9):
            gx = gy = gz = 0.0
            if j == 1:
                gz = 1.0 / long
            elif j == 2:
                gx, gy = -eta / long, -1.0 / long
            elif j == 3:
                gx = 0.5 * h12
            elif j == 4:
                gx = -0.5 * h11
            elif j == 6:
                gx = 0.5 * h22
            elif j == 7:
                gx = -0.5 * h21
            k9[o, j] -= -nz * gy + ny * gz
            k9[o + 1, j] -= nz * gx - nx * gz
            k9[o + 2, j] -= -ny * gx + nx * gy
    k9[1, 0] -= f9[1] / long
    k9[2, 0] -= f9[2] / long


@compiled
def _rotate(rr, f9, k9, tmp):
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
def _stub(arm, f9, k9):
    """Carry forces and tangent from the tube's ends to the nodes over the rigid stubs ``arm`` (2, 3), in place."""
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
def _expand(k9, k12):
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


@compiled
def scatter(slots, diag, off, a, b, piece, k12):
    """Add a two-node piece's stiffness ``k12`` (12, 12) to the block matrix."""
    if slots.partly[a] or slots.partly[b]:
        for i in range(6):
            for j in range(6):
                fa, fb = slots.free[a, i], slots.free[b, i]
                k12[i, j] *= fa * slots.free[a, j]
                k12[6 + i, 6 + j] *= fb * slots.free[b, j]
                k12[i, 6 + j] *= fa * slots.free[b, j]
                k12[6 + i, j] *= fb * slots.free[a, j]
    ca, cb = slots.column[a], slots.column[b]
    if ca >= 0:
        for i in range(6):
            for j in range(6):
                diag[ca, i, j] += k12[i, j]
    if cb >= 0:
        for i in range(6):
            for j in range(6):
                diag[cb, i, j] += k12[6 + i, 6 + j]
    p = slots.block[piece]
    if p >= 0:
        shift = 6 if slots.flip[piece] else 0
        other = 6 - shift
        for i in range(6):
            for j in range(6):
                off[p, i, j] += k12[shift + i, other + j]


@compiled
def beams_pass(beams, steels, state, slots, x, r, force, diag, off, wanted):
    """Add every element's forces to ``force`` (n, 6) and, where ``wanted``, its tangent to the block matrix."""
    rr = np.empty((3, 3))
    t = np.empty((2, 3, 3))
    arm = np.empty((2, 3))
    f, part, f9 = np.empty(6), np.empty(6), np.empty(9)
    k, ka, ts, kh = np.empty((6, 6)), np.empty((7, 7)), np.empty((3, 3)), np.empty((3, 3))
    b, tmp = np.empty((7, 9)), np.empty((9, 9))
    k9, k12 = np.empty((9, 9)), np.empty((12, 12))
    th1, th2, m1, m2 = np.empty(3), np.empty(3), np.empty(3), np.empty(3)
    for e in range(beams.ends.shape[0]):
        long, stretch, eta, h11, h12, h21, h22 = frame_of(beams, x, r, e, rr, t, arm)
        th1[0], th1[1], th1[2] = end_turn(rr, t[0])
        th2[0], th2[1], th2[2] = end_turn(rr, t[1])
        d = state.deform[e]
        d[0], d[1] = stretch, th2[0] - th1[0]
        d[2], d[3] = th2[1] - th1[1], th2[2] - th1[2]
        d[4], d[5] = th2[1] + th1[1], th2[2] + th1[2]
        mode_forces(beams, steels, state, e, d, f, k, part)
        state.natural[e] = f
        _nodal(f, k, m1, m2, ka)
        _to_spins(th1, th2, m1, m2, ka, ts, kh, tmp)
        _project(long, eta, h11, h12, h21, h22, f[0], m1, m2, ka, b, tmp, f9, k9)
        _rotate(rr, f9, k9, tmp)
        if beams.stubbed[e]:
            _stub(arm, f9, k9)
        p, q = beams.ends[e, 0], beams.ends[e, 1]
        for i in range(3):
            force[p, i] -= f9[i]
            force[q, i] += f9[i]
            force[p, 3 + i] += f9[3 + i]
            force[q, 3 + i] += f9[6 + i]
        if wanted:
            _expand(k9, k12)
            scatter(slots, diag, off, p, q, e, k12)


@compiled
def keep(beams, steels, state, was):
    """Keep the present try; energy stored and spent in this step, N mm, and sections newly past yield.

    ``was`` (m, 2) holds for each section how far it had gone (0 elastic, 1 yielded, 2 hinge) and is
    brought up to date. The plastic work of a step is taken with the mean of the stress at its two ends.
    """
    stored = 0.0
    spent = 0.0
    fibres = steels.cosine.shape[0]
    for e in range(beams.ends.shape[0]):
        f, d, long = state.natural[e], state.deform[e], beams.length[e]
        if not state.touched[e, 0]:
            for i in range(6):
                stored += 0.5 * f[i] * d[i]
            continue
        stored += 0.5 * f[1] * d[1]
        for i in range(2):
            stored += 0.5 * beams.shear[e, i] * long * state.slip[e, i] ** 2
        for g in range(2):
            past, extra = _keep_section(beams, steels, state, e, g)
            stored += extra[0] * 0.5 * long
            spent += extra[1] * 0.5 * long
            if past:
                state.yielded[e, g] = 1
                was[e, g] = max(was[e, g], 2 if 5 * past >= 4 * fibres else 1)
    return stored, spent


@compiled
def _keep_section(beams, steels, state, e, g):
    """Fibres past yield, (elastic energy, plastic work) per mm of element of one section."""
    material = beams.material[e]
    young = steels.young[material]
    long, d = beams.length[e], state.deform[e]
    odd = 3.0 * (GAUSS if g == 1 else -GAUSS)
    ky = (d[2] + odd * (d[4] - 2.0 * state.slip[e, 0])) / long - state.extra[e, g, 0]
    kz = (d[3] + odd * (d[5] - 2.0 * state.slip[e, 1])) / long - state.extra[e, g, 1]
    held = 0.0
    work = 0.0
    past = 0
    for h in range(steels.cosine.shape[0]):
        y, z = beams.reach[e, 0] * steels.cosine[h], beams.reach[e, 1] * steels.sine[h]
        old, new = state.plastic[e, g, h], state.next[e, g, h]
        stress = young * (d[0] / long - y * kz + z * ky - new[0])
        held += 0.5 * stress * stress / young
        if new[1] > old[1]:
            rise = curve_at(steels, material, new[1]) - curve_at(steels, material, old[1])
            work += (abs(stress) - 0.5 * beams.factor[e] * rise) * (new[1] - old[1])
        if new[1] > 0.0:
            past += 1
        old[:] = new
    held *= beams.fibre[e]
    for i in range(2):
        c = beams.bend[e, i]
        if c > 0.0:
            held += 0.5 * state.extra[e, g, i] ** 2 / c
    return past, (held, work * beams.fibre[e])
