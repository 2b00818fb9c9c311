"""Compiled: one steel fibre, one ring of fibres, and one yielded element between its two sections.

A fibre carries normal stress s and shear t' = sqrt(3) t along the ring, so that von Mises' stress is the
length of (s, t'), strains eps and g = gamma / sqrt(3) do the same work, and the elastic law is s = E eps,
t' = 3 G g. Return to the yield circle with the stated hardening in these two (J. C. Simo and T. J. R. Hughes,
Computational Inelasticity, 1998, ch. 3, the other stresses being nothing), with the consistent tangent.

Numbers travel as small tuples, not as the packed frame: taking arrays out of a tuple inside a loop costs
more than the mechanics. ``shape`` is (half axis y, half axis z, fibre area), ``law`` is (E, 3 G, yield
factor, kinematic part), ``curve`` (3, k) holds knots, stress and slope, ``memory`` (5, f) plastic strain in
pull and in shear, accumulated plastic strain, and the yield circle's shift in both, ``web`` (3,) shear strain
g of a fibre for each twist and shear slip, ``places`` (6, f) each fibre's place over the half axes, its shear
for a twist and for slips along y and z, and its weight: in a ring cosine and sine, 1, both again, 1.
"""

# Numba infers the types of compiled functions, which carry no annotations.

from __future__ import annotations

import numpy as np

from cagewright.frame.kernels_compile import compiled

GAUSS = 1.0 / np.sqrt(3.0)
"""Both integration points along an element lie at -GAUSS and +GAUSS of its half length."""
NOTHING = 1e-12
"""MPa2, so that an unloaded fibre divides by something."""
ON = 1.0 + 1e-11
"""A fibre this near to its yield circle, in squares, is on it and elastic, as the step before left it."""
FAR = 1e30
"""A strain that no fibre comes to."""


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

    Solves over = E d + c(grown + d) - c(grown) over the straight pieces of the curve c; ``law`` is (E, yield
    factor).
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
    """Stress, tangent, plastic strain step and rise of the curve, MPa, of a bar brought to ``strain``.

    From the kept ``plastic`` strain, accumulated plastic strain ``grown`` and ``shift``, MPa. One-dimensional
    plasticity with mixed hardening (Simo and Hughes, box 1.4); ``law`` is (E, yield factor, kinematic part).
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
    step, rise, slope = flow((young, factor), curve, over, grown)
    if off < 0.0:
        return trial + young * step, young * slope / (young + slope), -step, rise
    return trial - young * step, young * slope / (young + slope), step, rise


@compiled
def _rise_at(factor, curve, grown, step):
    """Rise of the curve over a plastic ``step`` from ``grown``, MPa, and its slope there."""
    k = 0
    while k + 1 < curve.shape[1] and curve[0, k + 1] <= grown + step:
        k += 1
    now = curve[1, k] + curve[2, k] * (grown + step - curve[0, k])
    return factor * (now - curve_at(curve, grown)), factor * curve[2, k]


@compiled
def return_to(law, curve, x, y, grown):
    """The plastic strain step d that brings the trial stresses ``x``, ``y`` (from the circle's middle) back.

    Returns (d, rise of the curve, slope there, circle's size before, u, w) with the flow along
    (x u, y w), u = 1/(size + E d + rise), w the same with 3 G: the root of (x u)2 + (y w)2 = 1. One over its
    root is nearly straight in d, so Newton on it is there in a few rounds.
    """
    young, triple, factor, part = law
    first = factor * curve[1, 0]
    size = first + (1.0 - part) * (factor * curve_at(curve, grown) - first)
    square = x * x + y * y
    if square <= size * size:
        return 0.0, 0.0, 0.0, size, 0.0, 0.0
    stiff = (young * x * x + triple * y * y) / square
    d, _, _ = flow((stiff, factor), curve, np.sqrt(square) - size, grown)
    rise = slope = u = w = 0.0
    for _ in range(50):
        rise, slope = _rise_at(factor, curve, grown, d)
        u, w = 1.0 / (size + young * d + rise), 1.0 / (size + triple * d + rise)
        a, b = (x * u) ** 2, (y * w) ** 2
        fall = a * u * (young + slope) + b * w * (triple + slope)
        more = ((a + b) * np.sqrt(a + b) - (a + b)) / fall
        d += more
        if abs(more) <= 1e-15 + 1e-13 * d:
            break
    return d, rise, slope, size, u, w


@compiled
def two_lines(law, curve):
    """A steel of one or two hardening lines as plain numbers for :func:`two_line_ring`."""
    young, triple, factor, part = law
    first, rise_one = factor * curve[1, 0], factor * curve[2, 0]
    if curve.shape[1] > 1:
        return young, triple, first, 1.0 - part, rise_one, factor * curve[2, 1], curve[0, 1]
    return young, triple, first, 1.0 - part, rise_one, rise_one, FAR


@compiled
def any_ring(shape, law, curve, memory, places, web, strain, out, tan):
    """Forces ``out`` (6,) and symmetric tangent ``tan`` (6, 6) of a section under ``strain`` (6,).

    In order: stretch, twist (1/mm), curvature y and z (1/mm), shear slip y and z; pull N, torque and moments
    N mm, shear forces N.
    """
    young, triple = law[0], law[1]
    n, q = np.zeros(6), np.zeros(6)
    out[:] = 0.0
    tan[:, :] = 0.0
    for f in range(places.shape[1]):
        area = shape[2] * places[5, f]
        n[0], n[2], n[3] = 1.0, shape[1] * places[1, f], -shape[0] * places[0, f]
        q[1], q[4], q[5] = web[0] * places[2, f], web[1] * places[3, f], web[2] * places[4, f]
        eps, g = (n * strain).sum(), (q * strain).sum()
        pull, slide = young * (eps - memory[0, f]), triple * (g - memory[1, f])
        d, rise, slope, size, u, w = return_to(
            law, curve, pull - memory[3, f], slide - memory[4, f], memory[2, f]
        )
        one, both, two = young, 0.0, triple
        if d > 0.0:
            a, b = u * (pull - memory[3, f]), w * (slide - memory[4, f])
            pull, slide = pull - young * d * a, slide - triple * d * b
            fall = a * a * u * (young + slope) + b * b * w * (triple + slope)
            k = (size + rise - d * slope) / fall
            one = young * (1.0 - young * d * u) - k * (young * a * u) ** 2
            both = -k * young * triple * a * b * u * w
            two = triple * (1.0 - triple * d * w) - k * (triple * b * w) ** 2
        for i in range(6):
            out[i] += area * (pull * n[i] + slide * q[i])
            for j in range(6):
                turned = both * (n[i] * q[j] + q[i] * n[j])
                tan[i, j] += area * (one * n[i] * n[j] + turned + two * q[i] * q[j])


@compiled
def two_line_ring(shape, lines, memory, angles, web, strain, out, tan):
    """As :func:`any_ring` for hardening along one line or two: no branches, so fibres run several at once.

    A ring that is elastic all round is found by the first pass, which costs a quarter of the second.
    """
    ry, rz, area = shape
    young, triple, first, wide, rise_one, rise_two, knot = lines
    e0, e1, e2, g0, g1, g2 = (
        strain[0], rz * strain[2], -ry * strain[3], web[0] * strain[1], web[1] * strain[4], web[2] * strain[5]
    )  # fmt: skip
    count = angles.shape[1]
    most = 0.0
    f0 = f1 = f2 = f3 = f4 = f5 = 0.0
    for f in range(count):
        c, s = angles[0, f], angles[1, f]
        before = memory[2, f] if memory[2, f] < knot else knot
        size = first + wide * (rise_one * before + rise_two * (memory[2, f] - before))
        pull = young * (e0 + e1 * s + e2 * c - memory[0, f])
        slide = triple * (g0 + g1 * c + g2 * s - memory[1, f])
        x, y = pull - memory[3, f], slide - memory[4, f]
        over = x * x + y * y - size * size * ON
        most = over if over > most else most
        f0 += pull
        f1 += pull * s
        f2 += pull * c
        f3 += slide
        f4 += slide * c
        f5 += slide * s
    n1, n2, q0, q1, q2 = rz, -ry, web[0], web[1], web[2]
    if most <= 0.0:
        out[0], out[2], out[3] = area * f0, area * n1 * f1, area * n2 * f2
        out[1], out[4], out[5] = area * q0 * f3, area * q1 * f4, area * q2 * f5
        tan[:, :] = 0.0
        one, two = area * count * young, area * count * triple
        tan[0, 0], tan[2, 2], tan[3, 3] = one, 0.5 * one * rz * rz, 0.5 * one * ry * ry
        tan[1, 1], tan[4, 4], tan[5, 5] = two * q0 * q0, 0.5 * two * q1 * q1, 0.5 * two * q2 * q2
        return
    a00 = a01 = a02 = a11 = a12 = a22 = 0.0
    b00 = b01 = b02 = b11 = b12 = b21 = 0.0
    c00 = c01 = c02 = c11 = c12 = c22 = 0.0
    for f in range(count):
        c, s = angles[0, f], angles[1, f]
        before = memory[2, f] if memory[2, f] < knot else knot
        size = first + wide * (rise_one * before + rise_two * (memory[2, f] - before))
        x = young * (e0 + e1 * s + e2 * c - memory[0, f]) - memory[3, f]
        y = triple * (g0 + g1 * c + g2 * s - memory[1, f]) - memory[4, f]
        square = x * x + y * y + NOTHING
        room = knot - before
        over = np.sqrt(square) - size
        gives = 1.0 if square > size * size * ON else 0.0
        # as if both directions were equally stiff, by the mean of the two; then one round of Newton's method
        # as in return_to, which leaves parts in ten million
        stiff = young * x * x + triple * y * y + young * NOTHING
        near = over * square <= room * (stiff + rise_one * square)
        d = over if near else over - (rise_one - rise_two) * room
        slope = rise_one if near else rise_two
        d = gives * d * square / (stiff + slope * square)
        lower = d if d < room else room
        level = size + rise_one * lower + rise_two * (d - lower)
        u, w = level + young * d, level + triple * d
        inverse = 1.0 / (u * w)
        u, w = w * inverse, u * inverse
        a, b = (x * u) ** 2, (y * w) ** 2
        fall = a * u * (young + slope) + b * w * (triple + slope) + NOTHING
        d += gives * ((a + b) * (np.sqrt(a + b) - 1.0)) / fall
        slope = rise_one if d < room else rise_two
        lower = d if d < room else room
        level = size + rise_one * lower + rise_two * (d - lower)
        u, w = level + young * d, level + triple * d
        inverse = 1.0 / (u * w)
        u, w = w * inverse, u * inverse
        a, b = x * u, y * w
        # onto the circle itself: what is left of the error in d only turns the flow
        trim = 1.5 - 0.5 * (a * a + b * b)
        pull, slide = gives * (x - trim * a * level), gives * (y - trim * b * level)
        fall = a * a * u * (young + slope) + b * b * w * (triple + slope) + NOTHING
        k = gives * (level - d * slope) / fall
        a, b = young * a * u, triple * b * w
        one = young * (1.0 - young * d * u) - k * a * a
        both = -k * a * b
        two = triple * (1.0 - triple * d * w) - k * b * b
        f0 -= pull
        f1 -= pull * s
        f2 -= pull * c
        f3 -= slide
        f4 -= slide * c
        f5 -= slide * s
        cc, ss, cs = c * c, s * s, c * s
        a00 += one
        a01 += one * s
        a02 += one * c
        a11 += one * ss
        a12 += one * cs
        a22 += one * cc
        b00 += both
        b01 += both * c
        b02 += both * s
        b11 += both * cs
        b12 += both * ss
        b21 += both * cc
        c00 += two
        c01 += two * c
        c02 += two * s
        c11 += two * cc
        c12 += two * cs
        c22 += two * ss
    out[0], out[2], out[3] = area * f0, area * n1 * f1, area * n2 * f2
    out[1], out[4], out[5] = area * q0 * f3, area * q1 * f4, area * q2 * f5
    m0, m1, m2, p0, p1, p2 = area, area * n1, area * n2, area * q0, area * q1, area * q2
    tan[0, 0], tan[2, 2], tan[3, 3] = m0 * a00, m1 * n1 * a11, m2 * n2 * a22
    tan[1, 1], tan[4, 4], tan[5, 5] = p0 * q0 * c00, p1 * q1 * c11, p2 * q2 * c22
    tan[0, 2] = tan[2, 0] = m1 * a01
    tan[0, 3] = tan[3, 0] = m2 * a02
    tan[2, 3] = tan[3, 2] = m1 * n2 * a12
    tan[0, 1] = tan[1, 0] = p0 * b00
    tan[0, 4] = tan[4, 0] = p1 * b01
    tan[0, 5] = tan[5, 0] = p2 * b02
    tan[2, 1] = tan[1, 2] = m1 * q0 * b02
    tan[2, 4] = tan[4, 2] = m1 * q1 * b11
    tan[2, 5] = tan[5, 2] = m1 * q2 * b12
    tan[3, 1] = tan[1, 3] = m2 * q0 * b01
    tan[3, 4] = tan[4, 3] = m2 * q1 * b21
    tan[3, 5] = tan[5, 3] = m2 * q2 * b11
    tan[1, 4] = tan[4, 1] = p0 * q1 * c01
    tan[1, 5] = tan[5, 1] = p0 * q2 * c02
    tan[4, 5] = tan[5, 4] = p1 * q2 * c12


@compiled
def strain_at(g, long, d, slip, extra, strain):
    """Strains (6,) of the section at Gauss point ``g`` for mode deformations ``d`` (6,); see ``any_ring``.

    Modes: stretch, twist, even bending y and z, odd bending y and z. Curvature along the element is
    (even + 3 xi (odd - 2 slip))/L, xi from -1 to 1, less what a bend's own flexibility ``extra`` (2,) takes.
    """
    odd = 3.0 * (GAUSS if g == 1 else -GAUSS)
    strain[0] = d[0] / long
    strain[1] = d[1] / long
    strain[2] = (d[2] + odd * (d[4] - 2.0 * slip[0])) / long - extra[0]
    strain[3] = (d[3] + odd * (d[5] - 2.0 * slip[1])) / long - extra[1]
    strain[4], strain[5] = slip[0], slip[1]


@compiled
def _in_series(bend, extra, out, tan, give, miss):
    """Put a bend's own flexibility ``bend`` (y, z), 1/(N mm2), in series with a ring, as far as it is linear.

    ``give`` (2, 6) becomes how the share ``extra`` (2,) changes with the strains, ``miss`` (2,) the change it
    still needs; forces and tangent become those of both together.
    """
    by, bz = bend
    p, q = extra[0] - by * out[2], extra[1] - bz * out[3]
    a, b, c, d = 1.0 + by * tan[2, 2], by * tan[2, 3], bz * tan[2, 3], 1.0 + bz * tan[3, 3]
    det = a * d - b * c
    miss[0], miss[1] = -(d * p - b * q) / det, -(a * q - c * p) / det
    for j in range(6):
        u, v = by * tan[2, j], bz * tan[3, j]
        give[0, j], give[1, j] = (d * u - b * v) / det, (a * v - c * u) / det
    for i in range(6):
        u, v = (
            (tan[2, 2], tan[3, 2]) if i == 2 else (tan[2, 3], tan[3, 3]) if i == 3 else (tan[i, 2], tan[i, 3])
        )
        out[i] -= u * miss[0] + v * miss[1]
    y0, y1, y2, y3, y4, y5 = tan[2, 0], tan[2, 1], tan[2, 2], tan[2, 3], tan[2, 4], tan[2, 5]
    z0, z1, z2, z3, z4, z5 = tan[3, 0], tan[3, 1], tan[3, 2], tan[3, 3], tan[3, 4], tan[3, 5]
    rows = ((y0, z0), (y1, z1), (y2, z2), (y3, z3), (y4, z4), (y5, z5))
    for i in range(6):
        for j in range(6):
            tan[i, j] -= rows[i][0] * give[0, j] + rows[i][1] * give[1, j]


@compiled
def yielded_element(
    shape, law, curve, memory, places, web, core, bend, sheared, long, d, extra, slip, lean, f, k, work, ring
):  # fmt: skip
    """Mode forces ``f`` (6,) and tangent ``k`` (6, 6) of an element that may have yielded, for ``d`` (6,).

    ``memory`` (2, 5, f); ``core`` (3,) what carries twist and shear beside the fibres and never yields, N mm2
    and N. Shear strain comes from balance inside the element, L V = 2 (odd force), and a bend's own share of
    the curvature from M/EI on both: both unknowns are found together by Newton's method, from ``slip`` (2,)
    and ``extra`` (2, 2), where they are left; ``lean`` (6, 6) becomes how both change with ``d``, slips
    first. ``work`` is scratch from :func:`scratch`; ``ring`` says that the section is one.
    """
    strain, out, tan, give, miss, big, whole = work
    straight = ring and curve.shape[1] <= 2
    lines = two_lines(law, curve)
    web = (web[0], web[1], web[2])
    bent = bend[0] != 0.0 or bend[1] != 0.0
    sy, sz = slip[0], slip[1]
    wy = wz = downhill = 0.0
    t = 1.0
    a = b = c = det = p = q = 0.0
    for tried in range(80):
        slip[0], slip[1] = sy, sz
        off = 0.0
        for g in range(2):
            strain_at(g, long, d, slip, extra[g], strain)
            if straight:
                two_line_ring(shape, lines, memory[g], places, web, strain, out[g], tan[g])
            else:
                any_ring(shape, law, curve, memory[g], places, web, strain, out[g], tan[g])
            for i in range(3):
                j = 1 if i == 0 else 3 + i
                out[g, j] += core[i] * strain[j]
                tan[g, j, j] += core[i]
            if bent:
                _in_series(bend, extra[g], out[g], tan[g], give[g], miss[g])
                bent_by = 1e-14 + abs(strain[2]) + abs(strain[3])
                off = max(off, (abs(miss[g, 0]) + abs(miss[g, 1])) / bent_by)
        _into_modes(long, out, tan, whole, big)
        p, q = whole[6], whole[7]
        uphill = p * wy + q * wz
        if uphill > 0.5 * downhill and downhill > 0.0 and t > 1e-3:
            # overshot from one yielded side to the other, where Newton alone goes to and fro
            back = t
            t *= downhill / (downhill + uphill)
            sy, sz = sy + (t - back) * wy, sz + (t - back) * wz
            continue
        wy = wz = 0.0
        if sheared:
            a, b, c = big[6, 6], big[6, 7], big[7, 7]
            det = a * c - b * b
            wy, wz = -(c * p - b * q) / det, -(a * q - b * p) / det
        small = abs(wy) + abs(wz) <= 1e-14 + 1e-6 * (abs(sy) + abs(sz))
        if bent:
            ease = 1.0 if tried < 20 else 0.5
            for g in range(2):
                odd = -6.0 * (GAUSS if g == 1 else -GAUSS) / long
                for i in range(2):
                    extra[g, i] += ease * (
                        miss[g, i] + (give[g, i, 2] * odd + give[g, i, 4]) * wy
                        + (give[g, i, 3] * odd + give[g, i, 5]) * wz
                    )  # fmt: skip
        downhill = -(p * wy + q * wz)
        t = 1.0
        sy, sz = sy + wy, sz + wz
        if small and off <= 1e-6:
            break
    slip[0], slip[1] = sy, sz
    # the last small step is along straight lines, so the forces follow without another round
    one = 1.0 / det if sheared else 0.0
    for i in range(6):
        f[i] = whole[i] + big[i, 6] * wy + big[i, 7] * wz
        u, v = one * (c * big[i, 6] - b * big[i, 7]), one * (a * big[i, 7] - b * big[i, 6])
        lean[0, i], lean[1, i] = -u, -v
        for j in range(i + 1):
            k[i, j] = k[j, i] = big[j, i] - u * big[j, 6] - v * big[j, 7]
    if bent:
        for g in range(2):
            odd = 3.0 * (GAUSS if g == 1 else -GAUSS) / long
            for i in range(2):
                y, z = give[g, i, 2], give[g, i, 3]
                row = lean[2 + 2 * g + i]
                for j in range(4):
                    row[j] = give[g, i, j] / long
                row[4], row[5] = y * odd, z * odd
                for j in range(6):
                    row[j] += (give[g, i, 4] - 2.0 * odd * y) * lean[0, j]
                    row[j] += (give[g, i, 5] - 2.0 * odd * z) * lean[1, j]


@compiled
def _into_modes(long, out, tan, whole, big):
    """Forces ``whole`` (8,) and tangent ``big`` (8, 8; above the diagonal) on the modes and the two slips.

    Both sections stand for half the element. What is even along it takes their sum, what is odd their
    difference; a slip takes twice as much from the odd turns.
    """
    n, o = 1.0 / long, 3.0 * GAUSS / long
    h = 0.5 * long
    hn, ho = h * n, h * o
    for i in range(4):
        whole[i] = hn * (out[0, i] + out[1, i])
        for j in range(i, 4):
            big[i, j] = hn * n * (tan[0, i, j] + tan[1, i, j])
        for j in range(2):
            odd = tan[1, i, 2 + j] - tan[0, i, 2 + j]
            big[i, 4 + j] = hn * o * odd
            big[i, 6 + j] = hn * (tan[0, i, 4 + j] + tan[1, i, 4 + j] - 2.0 * o * odd)
    for i in range(2):
        odd = out[1, 2 + i] - out[0, 2 + i]
        whole[4 + i] = ho * odd
        whole[6 + i] = h * (out[0, 4 + i] + out[1, 4 + i] - 2.0 * o * odd)
        for j in range(2):
            both = tan[0, 2 + i, 2 + j] + tan[1, 2 + i, 2 + j]
            mixed = tan[1, 2 + i, 4 + j] - tan[0, 2 + i, 4 + j]
            other = tan[1, 2 + j, 4 + i] - tan[0, 2 + j, 4 + i]
            big[4 + i, 4 + j] = ho * o * both
            big[4 + i, 6 + j] = ho * (mixed - 2.0 * o * both)
            slide = tan[0, 4 + i, 4 + j] + tan[1, 4 + i, 4 + j]
            big[6 + i, 6 + j] = h * (slide - 2.0 * o * (mixed + other) + 4.0 * o * o * both)


@compiled
def scratch():
    """Room for :func:`yielded_element`."""
    return (
        np.empty(6), np.empty((2, 6)), np.empty((2, 6, 6)), np.empty((2, 2, 6)), np.zeros((2, 2)),
        np.empty((8, 8)), np.empty(8),
    )  # fmt: skip
