"""Compiled: the two-node co-rotational beam, its forces and its symmetric tangent.

Element frame and projection after Battini and Pacoste, Comput. Methods Appl. Mech. Engrg 191 (2002)
1755-1789 (frame on the chord and the mean of the ends' y axes); rotations and their tangents after
Crisfield, Non-linear Finite Element Analysis vol. 2 (1997), ch. 16-17. Everything of one element is
worked in its own frame on nine variables: the movement of one end against the other and the two spins.
"""

from __future__ import annotations

import numpy as np

from cagewright.frame.kernels_compile import compiled
from cagewright.frame.kernels_section import GAUSS, fibre, yielded_element


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
def frame_of(ends, axes, rest, stub, stubbed, x, r, rr, t, arm):
    """Element frame into ``rr``, end axes into ``t`` (2, 3, 3), stubs into ``arm`` (2, 3); length and frame ratios.

    Returns (present length, stretch, eta, eta11, eta12, eta21, eta22).
    """
    for s in range(2):
        node = ends[s]
        for i in range(3):
            arm[s, i] = 0.0
            for j in range(3):
                t[s, i, j] = (
                    r[node, i, 0] * axes[0, j] + r[node, i, 1] * axes[1, j] + r[node, i, 2] * axes[2, j]
                )
        if stubbed:
            for i in range(3):
                for j in range(3):
                    arm[s, i] += r[node, i, j] * stub[s, j]
    a, b = ends[0], ends[1]
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
    return long, (long * long - rest * rest) / (long + rest), q1 / q2, q11 / q2, q12 / q2, q21 / q2, q22 / q2


@compiled
def still_elastic(stiff, rigid_y, rigid_z, shape, limit, long, d):
    """True where no fibre can be past the strain ``limit`` under mode deformations ``d`` (6,).

    ``stiff`` (6,) is the element's elastic stiffness, ``rigid_y`` and ``rigid_z`` the fibres' own E I.
    """
    room = limit - abs(d[0]) / long
    if room < 0.0:
        return False
    ry, rz = shape[0], shape[1]
    # elastic fibres take the mode forces over their own rigidity
    ey, ez = rz * d[2] * stiff[2] / rigid_y, ry * d[3] * stiff[3] / rigid_z
    oy, oz = GAUSS * rz * d[4] * stiff[4] / rigid_y, GAUSS * ry * d[5] * stiff[5] / rigid_z
    room *= room
    return (ey + oy) ** 2 + (ez + oz) ** 2 <= room and (ey - oy) ** 2 + (ez - oz) ** 2 <= room


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
def _project(long, eta, h11, h12, h21, h22, pull, m1, m2, ka, v, tmp, f9, k9):
    """Forces ``f9`` (9,) and symmetric tangent ``k9`` (9, 9) on end movement and spins, in the element frame."""
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
    """Add what the turning of the element frame does to forces already there: - skew(force) times frame spin."""
    k9[1, 1] += pull / long
    k9[2, 2] += pull / long
    k9[1, 0] -= f9[1] / long
    k9[2, 0] -= f9[2] / long
    for o in range(0, 9, 3):
        x, y, z = f9[o], f9[o + 1], f9[o + 2]
        if o == 0:
            x = 0.0
        # the frame's spin: x from eta and the ends' spins, y = - up movement / long, z = across movement / long
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
def scatter(column, free, partly, block, flip, diag, off, a, b, k12):
    """Add a two-node piece's stiffness ``k12`` (12, 12) to the block matrix; ``block`` and ``flip`` say where."""
    if partly[a] or partly[b]:
        for i in range(6):
            for j in range(6):
                fa, fb = free[a, i], free[b, i]
                k12[i, j] *= fa * free[a, j]
                k12[6 + i, 6 + j] *= fb * free[b, j]
                k12[i, 6 + j] *= fa * free[b, j]
                k12[6 + i, j] *= fb * free[a, j]
    ca, cb = column[a], column[b]
    if ca >= 0:
        for i in range(6):
            for j in range(6):
                diag[ca, i, j] += k12[i, j]
    if cb >= 0:
        for i in range(6):
            for j in range(6):
                diag[cb, i, j] += k12[6 + i, 6 + j]
    p = block
    if p >= 0:
        shift = 6 if flip else 0
        other = 6 - shift
        for i in range(6):
            for j in range(6):
                off[p, i, j] += k12[shift + i, other + j]


@compiled
def beams_pass(beams, steels, state, slots, x, r, force, diag, off, wanted):
    """Add every element's forces to ``force`` (n, 6) and, where ``wanted``, its tangent to the block matrix."""
    rr, t, arm = np.empty((3, 3)), np.empty((2, 3, 3)), np.empty((2, 3))
    f, part, f9, v = np.empty(6), np.empty(6), np.empty(9), np.empty(7)
    k, ka, ts, kh = np.empty((6, 6)), np.empty((7, 7)), np.empty((3, 3)), np.empty((3, 3))
    tmp, k9, k12 = np.empty((9, 9)), np.empty((9, 9)), np.empty((12, 12))
    th1, th2, m1, m2 = np.empty(3), np.empty(3), np.empty(3), np.empty(3)
    ends, length, axes, stiff, rigid = beams.ends, beams.length, beams.axes, beams.stiff, beams.rigid
    reach, fibre_area, limit, factor, bend = beams.reach, beams.fibre, beams.limit, beams.factor, beams.bend
    material, stub, stubbed, shear = beams.material, beams.stub, beams.stubbed, beams.shear
    young, kinematic, curve, angles = steels.young, steels.kinematic, steels.curve, steels.angles
    yielded, touched, memory, natural = state.yielded, state.touched, state.memory, state.natural
    deform, slip, extra = state.deform, state.slip, state.extra
    column, free, partly, block, flip = slots.column, slots.free, slots.partly, slots.block, slots.flip
    for e in range(ends.shape[0]):
        long, stretch, eta, h11, h12, h21, h22 = frame_of(
            ends[e], axes[e], length[e], stub[e], stubbed[e], x, r, rr, t, arm
        )
        th1[0], th1[1], th1[2] = end_turn(rr, t[0])
        th2[0], th2[1], th2[2] = end_turn(rr, t[1])
        d = deform[e]
        d[0], d[1] = stretch, th2[0] - th1[0]
        d[2], d[3] = th2[1] - th1[1], th2[2] - th1[2]
        d[4], d[5] = th2[1] + th1[1], th2[2] + th1[2]
        shape = (reach[e, 0], reach[e, 1], fibre_area[e])
        elastic = not (yielded[e, 0] or yielded[e, 1]) and still_elastic(
            stiff[e], rigid[e, 0], rigid[e, 1], shape, limit[e], length[e], d
        )
        touched[e] = not elastic
        if elastic:
            k[:, :] = 0.0
            for i in range(6):
                k[i, i] = stiff[e, i]
                f[i] = stiff[e, i] * d[i]
        else:
            m = material[e]
            yielded_element(
                shape, (young[m], factor[e], kinematic[m]), curve[m], memory[e], angles, (bend[e, 0], bend[e, 1]),
                extra[e], (shear[e, 0], shear[e, 1]), slip[e], length[e], d, f, k, part,
            )  # fmt: skip
            f[1] = stiff[e, 1] * d[1]
            k[1, 1] = stiff[e, 1]
        for i in range(6):
            natural[e, i] = f[i]
        _nodal(f, k, m1, m2, ka)
        _to_spins(th1, th2, m1, m2, ka, ts, kh, tmp)
        _project(long, eta, h11, h12, h21, h22, f[0], m1, m2, ka, v, tmp, f9, k9)
        _rotate(rr, f9, k9, tmp)
        if stubbed[e]:
            _stub(arm, f9, k9)
        p, q = ends[e, 0], ends[e, 1]
        for i in range(3):
            force[p, i] -= f9[i]
            force[q, i] += f9[i]
            force[p, 3 + i] += f9[3 + i]
            force[q, 3 + i] += f9[6 + i]
        if wanted:
            _expand(k9, k12)
            scatter(column, free, partly, block[e], flip[e], diag, off, p, q, k12)


@compiled
def keep(beams, steels, state, was):
    """Keep the present try; energy stored and spent in this step, N mm.

    ``was`` (m, 2) holds for each section how far it had gone (0 elastic, 1 yielded, 2 hinge) and is
    brought up to date. The plastic work of a fibre is exact where it flows along one straight hardening line.
    """
    stored = 0.0
    spent = 0.0
    fibres = steels.angles.shape[1]
    for e in range(beams.ends.shape[0]):
        f, d, long = state.natural[e], state.deform[e], beams.length[e]
        if not state.touched[e]:
            for i in range(6):
                stored += 0.5 * f[i] * d[i]
            continue
        stored += 0.5 * f[1] * d[1]
        m = beams.material[e]
        law = (steels.young[m], beams.factor[e], steels.kinematic[m])
        shape = (beams.reach[e, 0], beams.reach[e, 1], beams.fibre[e])
        for i in range(2):
            stored += 0.5 * beams.shear[e, i] * long * state.slip[e, i] ** 2
        for g in range(2):
            odd = 3.0 * (GAUSS if g == 1 else -GAUSS)
            cy = (d[2] + odd * (d[4] - 2.0 * state.slip[e, 0])) / long - state.extra[e, g, 0]
            cz = (d[3] + odd * (d[5] - 2.0 * state.slip[e, 1])) / long - state.extra[e, g, 1]
            past, held, work = _keep_ring(
                shape, law, steels.curve[m], state.memory[e, g], steels.angles, d[0] / long, cy, cz
            )
            for i in range(2):
                if beams.bend[e, i] > 0.0:
                    held += 0.5 * state.extra[e, g, i] ** 2 / beams.bend[e, i]
            stored += held * 0.5 * long
            spent += work * 0.5 * long
            if past:
                state.yielded[e, g] = 1
                was[e, g] = max(was[e, g], 2 if 5 * past >= 4 * fibres else 1)
    return stored, spent


@compiled
def _keep_ring(shape, law, curve, memory, angles, stretch, cy, cz):
    """Fibres past yield, elastic energy and plastic work per mm of element of one section."""
    held = 0.0
    work = 0.0
    past = 0
    for h in range(angles.shape[1]):
        y, z = shape[0] * angles[0, h], shape[1] * angles[1, h]
        strain = stretch - y * cz + z * cy
        stress, _, step, rise = fibre(law, curve, strain, memory[0, h], memory[1, h], memory[2, h])
        held += 0.5 * stress * stress / law[0]
        if step != 0.0:
            work += (abs(stress) - 0.5 * rise) * abs(step)
            memory[0, h] += step
            memory[1, h] += abs(step)
            memory[2, h] += law[2] * (rise if step > 0.0 else -rise)
        if memory[1, h] > 0.0:
            past += 1
    return past, held * shape[2], work * shape[2]
