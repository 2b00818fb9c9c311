"""Compiled: one steel fibre, one ring of fibres, and one yielded element between its two sections."""

from __future__ import annotations

import numpy as np

from cagewright.frame.kernels_compile import compiled

GAUSS = 1.0 / np.sqrt(3.0)


@compiled
def curve_at(steels, material, strain):
    """Yield stress, MPa, at an accumulated plastic ``strain``."""
    k = 0
    knots = steels.knots[material]
    while k + 1 < knots.shape[0] and knots[k + 1] <= strain:
        k += 1
    return steels.stress[material, k] + steels.slope[material, k] * (strain - knots[k])


@compiled
def flow(steels, material, factor, over, grown):
    """Plastic strain step that takes off ``over`` MPa of overstress, rise of the curve, slope there.

    Solves over = E d + c(grown + d) - c(grown) over the straight pieces of the curve c.
    """
    young = steels.young[material]
    knots = steels.knots[material]
    k = 0
    while k + 1 < knots.shape[0] and knots[k + 1] <= grown:
        k += 1
    step = 0.0
    rise = 0.0
    while True:
        slope = factor * steels.slope[material, k]
        d = (over - young * step - rise) / (young + slope)
        if k + 1 >= knots.shape[0] or grown + step + d <= knots[k + 1]:
            return step + d, rise + slope * d, slope
        d = knots[k + 1] - grown - step
        step += d
        rise += slope * d
        k += 1


@compiled
def fibre(steels, material, factor, strain, old, new):
    """Stress and tangent, MPa, of a fibre at ``strain``; ``old`` (3,) kept state, ``new`` (3,) written.

    One-dimensional plasticity with mixed hardening (Simo and Hughes, Computational Inelasticity, 1998, box 1.4).
    """
    young = steels.young[material]
    trial = young * (strain - old[0])
    off = trial - old[2]
    part = steels.kinematic[material]
    first = factor * steels.stress[material, 0]
    over = abs(off) - first
    if part < 1.0 and old[1] > 0.0:
        over -= (1.0 - part) * (factor * curve_at(steels, material, old[1]) - first)
    if over <= 0.0:
        new[0] = old[0]
        new[1] = old[1]
        new[2] = old[2]
        return trial, young
    step, rise, slope = flow(steels, material, factor, over, old[1])
    sign = 1.0 if off > 0.0 else -1.0
    new[0] = old[0] + sign * step
    new[1] = old[1] + step
    new[2] = old[2] + sign * part * rise
    return trial - young * sign * step, young * slope / (young + slope)


@compiled
def ring(beams, steels, state, e, g, stretch, cy, cz):
    """Pull, moments and their tangents of section ``g`` of element ``e``.

    Returns (N, My, Mz, dN/de, dN/dky, dN/dkz, dMy/dky, dMy/dkz, dMz/dkz), N and N mm.
    """
    ry, rz, area = beams.reach[e, 0], beams.reach[e, 1], beams.fibre[e]
    n = my = mz = 0.0
    nn = ny = nz = yy = yz = zz = 0.0
    for f in range(steels.cosine.shape[0]):
        y = ry * steels.cosine[f]
        z = rz * steels.sine[f]
        stress, slope = fibre(
            steels,
            beams.material[e],
            beams.factor[e],
            stretch - y * cz + z * cy,
            state.plastic[e, g, f],
            state.next[e, g, f],
        )
        n += stress
        my += stress * z
        mz -= stress * y
        nn += slope
        ny += slope * z
        nz -= slope * y
        yy += slope * z * z
        yz -= slope * y * z
        zz += slope * y * y
    return (
        n * area, my * area, mz * area,
        nn * area, ny * area, nz * area, yy * area, yz * area, zz * area,
    )  # fmt: skip


@compiled
def bent_ring(beams, steels, state, e, g, stretch, cy, cz):
    """As :func:`ring` with a bend's own flexibility in series: the fibres take what the bend does not."""
    by, bz = beams.bend[e, 0], beams.bend[e, 1]
    x, w = state.extra[e, g, 0], state.extra[e, g, 1]
    for _ in range(30):
        n, my, mz, nn, ny, nz, yy, yz, zz = ring(beams, steels, state, e, g, stretch, cy - x, cz - w)
        p = x - by * my
        q = w - bz * mz
        a, b, c, d = 1.0 + by * yy, by * yz, bz * yz, 1.0 + bz * zz
        det = a * d - b * c
        if abs(p) + abs(q) <= 1e-16 + 1e-12 * (abs(cy) + abs(cz)):
            break
        x -= (d * p - b * q) / det
        w -= (a * q - c * p) / det
    state.extra[e, g, 0] = x
    state.extra[e, g, 1] = w
    # D' = D - D[:, k] (I + C Dkk)^-1 C D[k, :]
    i11, i12, i21, i22 = d * by / det, -b * bz / det, -c * by / det, a * bz / det
    uy = i11 * ny + i12 * nz
    uz = i21 * ny + i22 * nz
    vy = i11 * yy + i12 * yz
    vz = i21 * yy + i22 * yz
    ty = i11 * yz + i12 * zz
    tz = i21 * yz + i22 * zz
    return (
        n, my, mz, nn - ny * uy - nz * uz, ny - yy * uy - yz * uz, nz - yz * uy - zz * uz,
        yy - yy * vy - yz * vz, yz - yy * ty - yz * tz, zz - yz * ty - zz * tz,
    )  # fmt: skip


@compiled
def both_rings(beams, steels, state, e, d, f, k):
    """Mode forces ``f`` (6,) and tangent ``k`` (6, 6) of the fibres for mode deformations ``d`` (6,).

    Modes: stretch, twist, even bending y and z, odd bending y and z. Curvature along the element is
    (even + 3 xi odd)/L, xi from -1 to 1, sampled at two Gauss points.
    """
    long = beams.length[e]
    f[:] = 0.0
    k[:, :] = 0.0
    bend = beams.bend[e, 0] != 0.0 or beams.bend[e, 1] != 0.0
    for g in range(2):
        odd = 3.0 * (GAUSS if g == 1 else -GAUSS)
        cy = (d[2] + odd * d[4]) / long
        cz = (d[3] + odd * d[5]) / long
        if bend:
            n, my, mz, nn, ny, nz, yy, yz, zz = bent_ring(beams, steels, state, e, g, d[0] / long, cy, cz)
        else:
            n, my, mz, nn, ny, nz, yy, yz, zz = ring(beams, steels, state, e, g, d[0] / long, cy, cz)
        f[0] += 0.5 * n
        f[2] += 0.5 * my
        f[3] += 0.5 * mz
        f[4] += 0.5 * odd * my
        f[5] += 0.5 * odd * mz
        h = 0.5 / long
        k[0, 0] += h * nn
        k[0, 2] += h * ny
        k[0, 3] += h * nz
        k[0, 4] += h * odd * ny
        k[0, 5] += h * odd * nz
        k[2, 2] += h * yy
        k[2, 3] += h * yz
        k[3, 3] += h * zz
        k[2, 4] += h * odd * yy
        k[2, 5] += h * odd * yz
        k[3, 4] += h * odd * yz
        k[3, 5] += h * odd * zz
        k[4, 4] += h * odd * odd * yy
        k[4, 5] += h * odd * odd * yz
        k[5, 5] += h * odd * odd * zz
    for i in range(6):
        for j in range(i):
            k[i, j] = k[j, i]


@compiled
def yielded_element(beams, steels, state, e, d, f, k, part):
    """As :func:`both_rings` with elastic twist and with shear strain found from G A_s slip L = 2 (odd force).

    Leaves the slip in the state; ``part`` (6,) is scratch for the deformation the fibres see.
    """
    long = beams.length[e]
    gy, gz = beams.shear[e, 0] * long, beams.shear[e, 1] * long
    sy, sz = state.slip[e, 0], state.slip[e, 1]
    sheared = gy > 0.0 and gz > 0.0
    if not sheared:
        sy = sz = 0.0
    part[:] = d
    a = b = c = det = 1.0
    uy = uz = wy = wz = downhill = 0.0
    t = 1.0
    for _ in range(50):
        part[4] = d[4] - 2.0 * sy
        part[5] = d[5] - 2.0 * sz
        both_rings(beams, steels, state, e, part, f, k)
        if not sheared:
            break
        p = gy * sy - 2.0 * f[4]
        q = gz * sz - 2.0 * f[5]
        uphill = p * wy + q * wz
        if uphill > 0.5 * downhill and downhill > 0.0 and t > 1e-3:
            # overshot from one yielded side to the other, where Newton alone goes to and fro: go part of the way
            t *= downhill / (downhill + uphill)
            sy, sz = uy + t * wy, uz + t * wz
            continue
        a, b, c = gy + 4.0 * k[4, 4], 4.0 * k[4, 5], gz + 4.0 * k[5, 5]
        det = a * c - b * b
        wy, wz = -(c * p - b * q) / det, -(a * q - b * p) / det
        if abs(wy) + abs(wz) <= 1e-15 + 1e-12 * (abs(sy) + abs(sz)):
            break
        downhill = -(p * wy + q * wz)
        uy, uz, t = sy, sz, 1.0
        sy, sz = sy + wy, sz + wz
    state.slip[e, 0] = sy
    state.slip[e, 1] = sz
    if sheared:
        _condense(k, a, b, c, det)
    f[1] = beams.stiff[e, 1] * d[1]
    k[1, 1] = beams.stiff[e, 1]


@compiled
def _condense(k, a, b, c, det):
    """Take the two shear strains out of ``k``: k - 4 k[:, odd] A^-1 k[odd, :]."""
    for i in range(6):
        u = 4.0 * (c * k[i, 4] - b * k[i, 5]) / det
        w = 4.0 * (a * k[i, 5] - b * k[i, 4]) / det
        if i < 4:
            for j in range(i + 1):
                k[i, j] -= u * k[j, 4] + w * k[j, 5]
                k[j, i] = k[i, j]
    k44, k45, k55 = k[4, 4], k[4, 5], k[5, 5]
    for i in range(4):
        u = 4.0 * (c * k[i, 4] - b * k[i, 5]) / det
        w = 4.0 * (a * k[i, 5] - b * k[i, 4]) / det
        r, t = k[i, 4] - u * k44 - w * k45, k[i, 5] - u * k45 - w * k55
        k[i, 4] = k[4, i] = r
        k[i, 5] = k[5, i] = t
    u, w = 4.0 * (c * k44 - b * k45) / det, 4.0 * (a * k45 - b * k44) / det
    x, y = 4.0 * (c * k45 - b * k55) / det, 4.0 * (a * k55 - b * k45) / det
    k[4, 4] = k44 - u * k44 - w * k45
    k[4, 5] = k[5, 4] = k45 - u * k45 - w * k55
    k[5, 5] = k55 - x * k45 - y * k55
