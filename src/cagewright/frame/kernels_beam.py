"""Compiled: the two-node co-rotational beam, its forces and its symmetric tangent.

Element frame and projection after Battini and Pacoste, Comput. Methods Appl. Mech. Engrg 191 (2002)
1755-1789 (frame on the chord and the mean of the ends' y axes); rotations and their tangents after
Crisfield, Non-linear Finite Element Analysis vol. 2 (1997), ch. 16-17. Everything of one element is
worked in its own frame on nine variables: the movement of one end against the other and the two spins.
"""

# Numba infers the types of compiled functions, which carry no annotations.

from __future__ import annotations

import numpy as np

from cagewright.frame.kernels_compile import compiled
from cagewright.frame.kernels_project import carry_stub, expand, nodal, project, rotate, to_spins
from cagewright.frame.kernels_section import GAUSS, return_to, scratch, strain_at, yielded_element
from cagewright.frame.kernels_turn import end_turn


@compiled
def frame_of(ends, axes, rest, stub, stubbed, x, r, rr, t, arm):
    """Element frame into ``rr``, end axes into ``t`` (2, 3, 3), stubs into ``arm`` (2, 3); its ratios.

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
def stress_bound(share, e, d):
    """No fibre's stress over yield, as if elastic, is more than this under mode deformations ``d`` (6,).

    The bending of the more bent Gauss point, the pull, the twist and the shear each where it is largest;
    ``share`` is the beams' own.
    """
    y, z, by, bz = share[e, 2] * d[2], share[e, 3] * d[3], share[e, 4] * d[4], share[e, 5] * d[5]
    pull = np.sqrt(y * y + z * z + by * by + bz * bz + 2.0 * abs(y * by + z * bz)) + share[e, 0] * abs(d[0])
    y, z = share[e, 6] * d[4], share[e, 7] * d[5]
    slide = share[e, 1] * abs(d[1]) + np.sqrt(y * y + z * z)
    return np.sqrt(pull * pull + slide * slide)


@compiled
def scatter(column, free, partly, block, flip, diag, off, a, b, k12):
    """Add a two-node piece's stiffness ``k12`` (12, 12) to the blocks that ``block`` and ``flip`` say."""
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
def scatter_free(column, block, flip, diag, off, a, b, k9):
    """As :func:`scatter` for an element none of whose nodes is partly held, from ``k9`` (9, 9) itself."""
    ca, cb = column[a], column[b]
    for i in range(3):
        for j in range(3):
            moved, one, two = k9[i, j], k9[i, 3 + j], k9[i, 6 + j]
            if ca >= 0:
                diag[ca, i, j] += moved
                diag[ca, i, 3 + j] -= one
                diag[ca, 3 + j, i] -= one
                diag[ca, 3 + i, 3 + j] += k9[3 + i, 3 + j]
            if cb >= 0:
                diag[cb, i, j] += moved
                diag[cb, i, 3 + j] += two
                diag[cb, 3 + j, i] += two
                diag[cb, 3 + i, 3 + j] += k9[6 + i, 6 + j]
            if block >= 0 and flip:
                off[block, j, i] -= moved
                off[block, 3 + j, i] -= two
                off[block, i, 3 + j] += one
                off[block, 3 + j, 3 + i] += k9[3 + i, 6 + j]
            elif block >= 0:
                off[block, i, j] -= moved
                off[block, i, 3 + j] -= two
                off[block, 3 + j, i] += one
                off[block, 3 + i, 3 + j] += k9[3 + i, 6 + j]


@compiled
def _carry_on(was, now, lean, slip, extra):
    """Slips and extra curvatures brought along a small change of the deformations, to start near the end."""
    size = 0.0
    for i in range(6):
        size += abs(now[i] - was[i])
    if size > 0.05:
        return
    for j in range(6):
        change = now[j] - was[j]
        slip[0] += lean[0, j] * change
        slip[1] += lean[1, j] * change
        for g in range(2):
            for i in range(2):
                extra[g, i] += lean[2 + 2 * g + i, j] * change


@compiled
def beams_pass(beams, steels, state, slots, x, r, force, diag, off, wanted):
    """Add every element's forces to ``force`` (n, 6) and, where ``wanted``, its tangent to the blocks."""
    rr, t, arm = np.empty((3, 3)), np.empty((2, 3, 3)), np.empty((2, 3))
    f, f9, v, work = np.empty(6), np.empty(9), np.empty(7), scratch()
    now = np.empty(6)
    k, ka, ts, kh = np.empty((6, 6)), np.empty((7, 7)), np.empty((3, 3)), np.empty((3, 3))
    tmp, k9, k12 = np.empty((9, 9)), np.empty((9, 9)), np.empty((12, 12))
    th1, th2, m1, m2, ts2 = np.empty(3), np.empty(3), np.empty(3), np.empty(3), np.empty((3, 3))
    ends, length, axes, stiff = beams.ends, beams.length, beams.axes, beams.stiff
    reach, fibre_area, factor, bend = beams.reach, beams.fibre, beams.factor, beams.bend
    material, stub, stubbed, shear, web, core, share = (
        beams.material, beams.stub, beams.stubbed, beams.shear, beams.web, beams.core, beams.share
    )  # fmt: skip
    kind, coupled = beams.kind, beams.coupled
    young, triple, kinematic, curve, places = (
        steels.young, steels.triple, steels.kinematic, steels.curve, steels.places
    )  # fmt: skip
    yielded, touched, memory, natural = state.yielded, state.touched, state.memory, state.natural
    deform, slip, extra, lean, hold = state.deform, state.slip, state.extra, state.lean, state.hold
    column, free, partly, block, flip = slots.column, slots.free, slots.partly, slots.block, slots.flip
    for e in range(ends.shape[0]):
        if hold[e] == 0.0:
            natural[e, :] = 0.0
            touched[e] = 0
            continue
        long, stretch, eta, h11, h12, h21, h22 = frame_of(
            ends[e], axes[e], length[e], stub[e], stubbed[e], x, r, rr, t, arm
        )
        th1[0], th1[1], th1[2] = end_turn(rr, t[0])
        th2[0], th2[1], th2[2] = end_turn(rr, t[1])
        now[0], now[1] = stretch, th2[0] - th1[0]
        now[2], now[3] = th2[1] - th1[1], th2[2] - th1[2]
        now[4], now[5] = th2[1] + th1[1], th2[2] + th1[2]
        d = deform[e]
        if touched[e]:
            _carry_on(d, now, lean[e], slip[e], extra[e])
        d[:] = now
        elastic = not (yielded[e, 0] or yielded[e, 1]) and not coupled[e] and stress_bound(share, e, d) <= 1.0
        if elastic:
            k[:, :] = 0.0
            for i in range(6):
                k[i, i] = stiff[e, i]
                f[i] = stiff[e, i] * d[i]
        else:
            m = material[e]
            sheared = shear[e, 0] > 0.0 and shear[e, 1] > 0.0
            if sheared and not touched[e]:
                for i in range(2):
                    slip[e, i] = 2.0 * stiff[e, 4 + i] * d[4 + i] / (shear[e, i] * length[e])
            yielded_element(
                (reach[e, 0], reach[e, 1], fibre_area[e]), (young[m], triple[m], factor[e], kinematic[m]),
                curve[m], memory[e], places[kind[e]], web[e], core[e], (bend[e, 0], bend[e, 1]), sheared,
                length[e], d, extra[e], slip[e], lean[e], f, k, work, kind[e] == 0,
            )  # fmt: skip
        touched[e] = not elastic
        if hold[e] < 1.0:
            for i in range(6):
                f[i] *= hold[e]
                for j in range(6):
                    k[i, j] *= hold[e]
        for i in range(6):
            natural[e, i] = f[i]
        nodal(f, k, m1, m2, ka)
        to_spins(th1, th2, m1, m2, ka, ts, ts2, kh, tmp)
        project(long, eta, h11, h12, h21, h22, f[0], m1, m2, ka, v, tmp, f9, k9)
        rotate(rr, f9, k9, tmp)
        if stubbed[e]:
            carry_stub(arm, f9, k9)
        p, q = ends[e, 0], ends[e, 1]
        for i in range(3):
            force[p, i] -= f9[i]
            force[q, i] += f9[i]
            force[p, 3 + i] += f9[3 + i]
            force[q, 3 + i] += f9[6 + i]
        if wanted and not (partly[p] or partly[q]):
            scatter_free(column, block[e], flip[e], diag, off, p, q, k9)
        elif wanted:
            expand(k9, k12)
            scatter(column, free, partly, block[e], flip[e], diag, off, p, q, k12)


@compiled
def keep(beams, steels, state, was, use, skin):
    """Keep the present try; energy stored and spent in this step, N mm.

    ``was`` (m, 2) holds for each section how far it had gone (0 elastic, 1 yielded, 2 hinge) and ``use``
    (m, 2, 2) its largest elastic stress over yield at the step before and at this one; both are brought up to
    date, and ``skin`` (m, 2) becomes the strain of each section's outermost fibre in pull. The plastic work
    of a fibre is exact where it flows along one straight hardening line.
    """
    stored = 0.0
    spent = 0.0
    strain, share = np.empty(6), beams.share
    fibres = steels.places.shape[2]
    for e in range(beams.ends.shape[0]):
        f, d, long = state.natural[e], state.deform[e], beams.length[e]
        if state.hold[e] == 0.0:
            continue
        use[e, :, 0] = use[e, :, 1]
        stretch, places = d[0] / long, steels.places[beams.kind[e]]
        shape = (beams.reach[e, 0], beams.reach[e, 1], beams.fibre[e])
        if not state.touched[e]:
            for i in range(6):
                stored += 0.5 * f[i] * d[i]
            bound = stress_bound(share, e, d)
            for g in range(2):
                _elastic_strain(beams, e, g, d, strain)
                skin[e, g] = _skin(beams, e, places, stretch, strain)
                use[e, g, 1] = bound
                if bound > 0.1:
                    most = _largest(shape, beams.stiffer[e], places, beams.web[e], strain)
                    use[e, g, 1] = most / beams.limit[e]
            continue
        m = beams.material[e]
        law = (steels.young[m], steels.triple[m], beams.factor[e], steels.kinematic[m])
        for g in range(2):
            strain_at(g, long, d, state.slip[e], state.extra[e, g], strain)
            skin[e, g] = _skin(beams, e, places, stretch, strain)
            past, held, work, use[e, g, 1] = _keep_ring(
                shape, law, steels.curve[m], state.memory[e, g], places, beams.web[e], strain
            )
            for i in range(3):
                held += 0.5 * beams.core[e, i] * strain[1 if i == 0 else 3 + i] ** 2
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
def _elastic_strain(beams, e, g, d, strain):
    """Strains (6,) of an elastic element's section at Gauss point ``g``; see ``any_ring``."""
    sign, long = GAUSS if g == 1 else -GAUSS, beams.length[e]
    strain[0], strain[1] = d[0] / long, d[1] / long
    for i in range(2):
        odd = d[4 + i] * beams.stiff[e, 4 + i]
        strain[2 + i] = (d[2 + i] * beams.stiff[e, 2 + i] + sign * odd) / beams.rigid[e, i]
        strain[4 + i] = 2.0 * odd / (long * beams.shear[e, i]) if beams.shear[e, i] > 0.0 else 0.0


@compiled
def _skin(beams, e, places, stretch, strain):
    """Strain of a section's outermost fibre in pull, 0 at least."""
    if beams.kind[e] == 0:
        return max(stretch + beams.radius[e] * np.sqrt(strain[2] ** 2 + strain[3] ** 2), 0.0)
    most = 0.0
    for h in range(places.shape[1]):
        most = max(most, stretch + places[1, h] * strain[2] - places[0, h] * strain[3])
    return most


@compiled
def _largest(shape, stiffer, places, web, strain):
    """Largest von Mises stress of any fibre over E, as if elastic."""
    most = 0.0
    for h in range(places.shape[1]):
        x = strain[0] + shape[1] * places[1, h] * strain[2] - shape[0] * places[0, h] * strain[3]
        y = stiffer * (
            web[0] * places[2, h] * strain[1] + web[1] * places[3, h] * strain[4]
            + web[2] * places[4, h] * strain[5]
        )  # fmt: skip
        most = max(most, x * x + y * y)
    return np.sqrt(most)


@compiled
def _keep_ring(shape, law, curve, memory, places, web, strain):
    """Fibres past yield, elastic energy and plastic work per mm, largest trial stress over yield."""
    most = 0.0
    held = 0.0
    work = 0.0
    past = 0
    young, triple, factor, part = law
    for h in range(places.shape[1]):
        pull = young * (
            strain[0] + shape[1] * places[1, h] * strain[2] - shape[0] * places[0, h] * strain[3]
            - memory[0, h]
        )  # fmt: skip
        slide = triple * (
            web[0] * places[2, h] * strain[1] + web[1] * places[3, h] * strain[4]
            + web[2] * places[4, h] * strain[5] - memory[1, h]
        )  # fmt: skip
        x, y = pull - memory[3, h], slide - memory[4, h]
        most = max(most, np.sqrt(x * x + y * y) / (factor * curve[1, 0]))
        d, rise, _, _, u, w = return_to(law, curve, x, y, memory[2, h])
        if d > 0.0:
            a, b = x * u, y * w
            pull -= young * d * a
            slide -= triple * d * b
            work += places[5, h] * d * (pull * a + slide * b - 0.5 * rise)
            memory[0, h] += d * a
            memory[1, h] += d * b
            memory[2, h] += d
            memory[3, h] += part * rise * a
            memory[4, h] += part * rise * b
        held += 0.5 * places[5, h] * (pull * pull / young + slide * slide / triple)
        if memory[2, h] > 0.0:
            past += 1
    return past, held * shape[2], work * shape[2], most
