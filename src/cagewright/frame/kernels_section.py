"""Compiled: one steel fibre, one ring of fibres, and one yielded element between its two sections.

Numbers travel as small tuples, not as the packed frame: taking arrays out of a tuple inside a loop costs
more than the mechanics. ``shape`` is (half axis y, half axis z, fibre area), ``law`` is (E, yield factor,
kinematic part), ``curve`` (3, k) holds knots, stress and slope, ``memory`` (3, f) plastic strain, accumulated
plastic strain and shift of each fibre, ``angles`` (2, f) cosine and sine of each fibre's place.
"""

# Numba infers the types of compiled functions, which carry no annotations.
# pyright: basic

from __future__ import annotations

import numpy as np

from cagewright.frame.kernels_compile import compiled

GAUSS = 1.0 / np.sqrt(3.0)


@compiled
def curve_at(curve, strain):
    """Yield stress, MPa, at an accumulated plastic ``strain``."""
    k = 0
    while k + 1 < curve.shape[1] and curve[0, k + 1] <= strain:
        k += 1
    return curve[1, k] + curve[2, k] * (strain - curve[0, k])


@compiled
def flow(law, curve, over, grown):
    """Plastic strain step that takes off ``over`` MPa of overstress, rise of the curve, slope there.

    Solves over = E d + c(grown + d) - c(grown) over the straight pieces of the curve c.
    """
    young, factor = law[0], law[1]
    k = 0
    while k + 1 < curve.shape[1] and curve[0, k + 1] <= grown:
        k += 1
    step = 0.0
    rise = 0.0
    while True:
        slope = factor * curve[2, k]
        d = (over - young * step - rise) / (young + slope)
        if k + 1 >= curve.shape[1] or grown + step + d <= curve[0, k + 1]:
            return step + d, rise + slope * d, slope
        d = curve[0, k + 1] - grown - step
        step += d
        rise += slope * d
        k += 1


@compiled
def fibre(law, curve, strain, plastic, grown, shift):
    """Stress, tangent, plastic strain step and rise of the curve, MPa, of a fibre brought to ``strain``.

    From the kept ``plastic`` strain, accumulated plastic strain ``grown`` and ``shift``, MPa. One-dimensional
    plasticity with mixed hardening (Simo and Hughes, Computational Inelasticity, 1998, box 1.4).
    """
    young, factor, part = law
    trial = young * (strain - plastic)
    off = trial - shift
    first = factor * curve[1, 0]
    over = abs(off) - first
    if part < 1.0 and grown > 0.0:
        over -= (1.0 - part) * (factor * curve_at(curve, grown) - first)
    if over <= 0.0:
        return trial, young, 0.0, 0.0
    step, rise, slope = flow(law, curve, over, grown)
    if off < 0.0:
        return trial + young * step, young * slope / (young + slope), -step, rise
    return trial - young * step, young * slope / (young + slope), step, rise


@compiled
def ring(shape, law, curve, memory, angles, stretch, cy, cz):
    """Pull, moments and their tangents of a section stretched by ``stretch`` and bent by ``cy``, ``cz`` 1/mm.

    Returns (N, My, Mz, dN/de, dN/dky, dN/dkz, dMy/dky, dMy/dkz, dMz/dkz), N and N mm.
    """
    if curve.shape[1] == 1 and law[2] == 1.0:
        return _plain_ring(shape, law, curve, memory, angles, stretch, cy, cz)
    ry, rz, area = shape
    n = my = mz = 0.0
    nn = ny = nz = yy = yz = zz = 0.0
    for f in range(angles.shape[1]):
        y, z = ry * angles[0, f], rz * angles[1, f]
        strain = stretch - y * cz + z * cy
        stress, slope, _, _ = fibre(law, curve, strain, memory[0, f], memory[1, f], memory[2, f])
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
def _plain_ring(shape, law, curve, memory, angles, stretch, cy, cz):
    """As :func:`ring` for one hardening line that only shifts: no branches, so fibres run several at once."""
    ry, rz, area = shape
    young, factor = law[0], law[1]
    first, soft = factor * curve[1, 0], young + factor * curve[2, 0]
    after = young * (soft - young) / soft
    n = my = mz = 0.0
    nn = ny = nz = yy = yz = zz = 0.0
    for f in range(angles.shape[1]):
        y, z = ry * angles[0, f], rz * angles[1, f]
        stress = young * (stretch - y * cz + z * cy - memory[0, f])
        off = stress - memory[2, f]
        over = max(off - first, 0.0) + min(off + first, 0.0)
        stress -= young * over / soft
        slope = young if over == 0.0 else after
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
def bent_ring(shape, law, curve, memory, angles, bend, extra, stretch, cy, cz):
    """As :func:`ring` with a bend's own flexibility ``bend`` (y, z), 1/(N mm2), in series.

    The fibres take the curvature that the bend does not; ``extra`` (2,) 1/mm is where the bend's share was
    and is left.
    """
    by, bz = bend
    x, w = extra[0], extra[1]
    a = b = c = d = det = 1.0
    for tried in range(60):
        n, my, mz, nn, ny, nz, yy, yz, zz = ring(shape, law, curve, memory, angles, stretch, cy - x, cz - w)
        p = x - by * my
        q = w - bz * mz
        a, b, c, d = 1.0 + by * yy, by * yz, bz * yz, 1.0 + bz * zz
        det = a * d - b * c
        if abs(p) + abs(q) <= 1e-16 + 1e-12 * (abs(cy) + abs(cz)):
            break
        damp = 1.0 if tried < 10 else 0.5
        x -= damp * (d * p - b * q) / det
        w -= damp * (a * q - c * p) / det
    extra[0] = x
    extra[1] = w
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
def both_rings(shape, law, curve, memory, angles, bend, extra, long, d, f, k):
    """Mode forces ``f`` (6,) and tangent ``k`` (6, 6) of the fibres for mode deformations ``d`` (6,).

    Modes: stretch, twist, even bending y and z, odd bending y and z. Curvature along the element is
    (even + 3 xi odd)/L, xi from -1 to 1, sampled at two Gauss points; ``memory`` (2, 3, f), ``extra`` (2, 2).
    """
    f[:] = 0.0
    k[:, :] = 0.0
    bent = bend[0] != 0.0 or bend[1] != 0.0
    h = 0.5 / long
    for g in range(2):
        odd = 3.0 * (GAUSS if g == 1 else -GAUSS)
        cy, cz = (d[2] + odd * d[4]) / long, (d[3] + odd * d[5]) / long
        if bent:
            n, my, mz, nn, ny, nz, yy, yz, zz = bent_ring(
                shape, law, curve, memory[g], angles, bend, extra[g], d[0] / long, cy, cz
            )
        else:
            n, my, mz, nn, ny, nz, yy, yz, zz = ring(
                shape, law, curve, memory[g], angles, d[0] / long, cy, cz
            )
        f[0] += 0.5 * n
        f[2] += 0.5 * my
        f[3] += 0.5 * mz
        f[4] += 0.5 * odd * my
        f[5] += 0.5 * odd * mz
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
        k[3, 5] += h * odd * zz
        k[4, 4] += h * odd * odd * yy
        k[4, 5] += h * odd * odd * yz
        k[5, 5] += h * odd * odd * zz
    k[3, 4] = k[2, 5]
    for i in range(6):
        for j in range(i):
            k[i, j] = k[j, i]


@compiled
def yielded_element(shape, law, curve, memory, angles, bend, extra, shear, slip, long, d, f, k, part):
    """As :func:`both_rings` with shear strain found from G A_s slip L = 2 (odd force), left in ``slip`` (2,).

    ``shear`` (y, z) is G A_s, N, 0 where shear is left out; ``part`` (6,) is scratch for what the fibres see.
    """
    part[:] = d
    if shear[0] <= 0.0 or shear[1] <= 0.0:
        both_rings(shape, law, curve, memory, angles, bend, extra, long, part, f, k)
        return
    gy, gz = shear[0] * long, shear[1] * long
    sy, sz = slip[0], slip[1]
    a = b = c = det = 1.0
    uy = uz = wy = wz = downhill = 0.0
    t = 1.0
    for _ in range(60):
        part[4], part[5] = d[4] - 2.0 * sy, d[5] - 2.0 * sz
        both_rings(shape, law, curve, memory, angles, bend, extra, long, part, f, k)
        p, q = gy * sy - 2.0 * f[4], gz * sz - 2.0 * f[5]
        uphill = p * wy + q * wz
        if uphill > 0.5 * downhill and downhill > 0.0 and t > 1e-3:
            # overshot from one yielded side to the other, where Newton alone goes to and fro
            t *= downhill / (downhill + uphill)
            sy, sz = uy + t * wy, uz + t * wz
            continue
        a, b, c = gy + 4.0 * k[4, 4], 4.0 * k[4, 5], gz + 4.0 * k[5, 5]
        det = a * c - b * b
        wy, wz = -(c * p - b * q) / det, -(a * q - b * p) / det
        if abs(wy) + abs(wz) <= 1e-12 + 1e-8 * (abs(sy) + abs(sz)):
            # the last small step is along straight lines, so the forces follow without another round
            for i in range(6):
                f[i] -= 2.0 * (k[i, 4] * wy + k[i, 5] * wz)
            sy, sz = sy + wy, sz + wz
            break
        downhill = -(p * wy + q * wz)
        uy, uz, t = sy, sz, 1.0
        sy, sz = sy + wy, sz + wz
    slip[0], slip[1] = sy, sz
    _condense(k, a, b, c, det)


@compiled
def _condense(k, a, b, c, det):
    """Take the two shear strains out of ``k``: k - 4 k[:, odd] A^-1 k[odd, :]."""
    for i in range(4):
        u = 4.0 * (c * k[i, 4] - b * k[i, 5]) / det
        w = 4.0 * (a * k[i, 5] - b * k[i, 4]) / det
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
