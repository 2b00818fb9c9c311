"""Compiled: springs to the ground, bars that only pull, and joints that give."""

# Numba infers the types of compiled functions, which carry no annotations.

from __future__ import annotations

import numpy as np

from cagewright.frame.kernels_beam import scatter
from cagewright.frame.kernels_compile import compiled
from cagewright.frame.kernels_section import fibre
from cagewright.frame.kernels_turn import small_turn, turn_tangent


@compiled
def _turn_of(r):
    """Rotation vector of a rotation matrix (3, 3)."""
    return small_turn(
        0.5 * (r[2, 1] - r[1, 2]),
        0.5 * (r[0, 2] - r[2, 0]),
        0.5 * (r[1, 0] - r[0, 1]),
        r[0, 0] + r[1, 1] + r[2, 2],
    )


@compiled
def springs_pass(ties, slots, rest, x, r, force, diag, wanted):
    """Add the springs to the ground: elastic up to a capacity each way, then giving at it.

    A turning spring pulls back against one component of its node's rotation vector; what that is on the
    spins, and how it changes, is worked out as for the ends of a tube, so that large turns keep their energy.
    """
    th, m, ts, kh = np.empty(3), np.zeros(3), np.empty((3, 3)), np.empty((3, 3))
    for s in range(ties.spring_node.shape[0]):
        node, dof = ties.spring_node[s], ties.spring_dof[s]
        moved = x[node, dof] - rest[node, dof] if dof < 3 else _turn_of(r[node])[dof - 3]
        k = ties.spring_stiff[s]
        hold = k * (moved - ties.spring_set[s, 0])
        slope = k
        if hold > ties.spring_cap[s, 1]:
            hold, slope = ties.spring_cap[s, 1], 0.0
        elif hold < -ties.spring_cap[s, 0]:
            hold, slope = -ties.spring_cap[s, 0], 0.0
        ties.spring_set[s, 1] = moved - hold / k
        hold, slope = hold * ties.spring_hold[s], slope * ties.spring_hold[s]
        ties.spring_force[s] = -hold
        c = slots.column[node]
        wanted_here = wanted and c >= 0
        if dof < 3:
            force[node, dof] += hold
            if wanted_here:
                diag[c, dof, dof] += slope * slots.free[node, dof]
            continue
        th[0], th[1], th[2] = _turn_of(r[node])
        m[:] = 0.0
        m[dof - 3] = hold
        turn_tangent(th, m, ts, kh)
        for i in range(3):
            force[node, 3 + i] += hold * ts[dof - 3, i]
        if wanted_here:
            _turning_spring(dof - 3, slope, ts, kh, slots.free[node], diag[c])


@compiled
def _turning_spring(a, slope, ts, kh, free, block):
    """Add a turning spring's tangent on the spins to its node's ``block`` (6, 6), symmetric part."""
    for i in range(3):
        for j in range(3):
            own = slope * ts[a, i] * ts[a, j]
            for k in range(3):
                own += 0.5 * (kh[i, k] * ts[k, j] + kh[j, k] * ts[k, i])
            block[3 + i, 3 + j] += own * free[3 + i] * free[3 + j]


@compiled
def bars_pass(ties, steels, slots, x, force, diag, off, wanted, first):
    """Add the bars; ``first`` is the number of the first bar among the two-node pieces."""
    k12 = np.zeros((12, 12))
    v = np.empty(3)
    for b in range(ties.bar_area.shape[0]):
        i, j = ties.bar_ends[b, 0], ties.bar_ends[b, 1]
        for a in range(3):
            v[a] = x[j, a] - x[i, a]
        long = np.sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2])
        rest = ties.bar_length[b]
        strain = (long * long - rest * rest) / ((long + rest) * rest)
        old = ties.bar_set[b]
        if ties.bar_slack[b] and strain <= old[0]:
            stress, slope = 0.0, 0.0
        else:
            m = ties.bar_material[b]
            law = (steels.young[m], 1.0, steels.kinematic[m])
            stress, slope, _, _ = fibre(law, steels.curve[m], strain, old[0], old[1], old[2])
        stress, slope = stress * ties.bar_hold[b], slope * ties.bar_hold[b]
        pull = stress * ties.bar_area[b]
        ties.bar_force[b] = pull
        ties.bar_strain[b] = strain
        along, across = slope * ties.bar_area[b] / rest, pull / long
        for a in range(3):
            v[a] /= long
        for a in range(3):
            force[i, a] -= pull * v[a]
            force[j, a] += pull * v[a]
            for c in range(3):
                k = (along - across) * v[a] * v[c] + (across if a == c else 0.0)
                k12[a, c] = k12[6 + a, 6 + c] = k
                k12[a, 6 + c] = k12[6 + a, c] = -k
        if wanted:
            scatter(
                slots.column,
                slots.free,
                slots.partly,
                slots.block[first + b],
                slots.flip[first + b],
                diag,
                off,
                i,
                j,
                k12,
            )


@compiled
def _shrink(value, step):
    """``value`` brought ``step`` nearer to zero, not past it."""
    return max(abs(value) - step, 0.0) * (1.0 if value > 0.0 else -1.0)


@compiled
def _joint_return(trial, stiff, cap, out):
    """Bring the trial forces (3: N, M_ip, M_op) back to N/N_R + (M_ip/M_R)^2 + M_op/M_R = 1; the multiplier.

    Closest point in the elastic energy: N and M_op shrink towards zero at constant rates, M_ip by a factor,
    so that one increasing multiplier is left to find (Newton on a convex falling function).
    """
    step = 0.0
    for _ in range(60):
        out[0] = _shrink(trial[0], stiff[0] * step / cap[0])
        out[1] = trial[1] / (1.0 + 2.0 * stiff[1] * step / cap[1] ** 2)
        out[2] = _shrink(trial[2], stiff[2] * step / cap[2])
        u = out[1] / cap[1]
        f = abs(out[0]) / cap[0] + u * u + abs(out[2]) / cap[2] - 1.0
        if step == 0.0 and f <= 0.0:
            return 0.0
        if abs(f) < 1e-13:
            break
        fall = 0.0
        if out[0] != 0.0:
            fall += stiff[0] / cap[0] ** 2
        if out[2] != 0.0:
            fall += stiff[2] / cap[2] ** 2
        fall += 4.0 * u * u * stiff[1] / cap[1] ** 2 / (1.0 + 2.0 * stiff[1] * step / cap[1] ** 2)
        step += f / fall
    return step


@compiled
def _joint_tangent(step, stiff, cap, now, k3):
    """Tangent ``k3`` (3, 3) at forces ``now`` from :func:`_joint_return` (Simo and Hughes, eq. 3.6.15)."""
    k3[:, :] = 0.0
    soft = np.empty(3)
    grad = np.empty(3)
    soft[0] = stiff[0] if now[0] != 0.0 else 0.0
    soft[1] = stiff[1] / (1.0 + 2.0 * stiff[1] * step / cap[1] ** 2)
    soft[2] = stiff[2] if now[2] != 0.0 else 0.0
    grad[0] = (1.0 if now[0] > 0.0 else -1.0) / cap[0]
    grad[1] = 2.0 * now[1] / cap[1] ** 2
    grad[2] = (1.0 if now[2] > 0.0 else -1.0) / cap[2]
    below = 0.0
    for i in range(3):
        below += grad[i] * grad[i] * soft[i]
    for i in range(3):
        k3[i, i] = soft[i]
        for j in range(3):
            k3[i, j] -= soft[i] * grad[i] * soft[j] * grad[j] / below


@compiled
def _joint_forces(whole, cap, left, old, new, d, f, k, room):
    """Forces ``f`` (6,) and tangent ``k`` (6, 6) of a joint deformed by ``d`` (6,), in its own axes.

    ``whole`` (6,) stiffness, ``cap`` (3,) capacity, ``left`` part of stiffness after yield, ``old`` (3,) what
    it has given by, ``new`` (3,) what it then has; ``room`` is scratch.
    """
    trial, stiff, now, k3 = room
    which = (0, 4, 5)
    k[:, :] = 0.0
    for i in range(6):
        k[i, i] = whole[i]
        f[i] = whole[i] * d[i]
    for i in range(3):
        stiff[i] = whole[which[i]] * (1.0 - left)
        trial[i] = stiff[i] * (d[which[i]] - old[i])
    step = _joint_return(trial, stiff, cap, now)
    k3[:, :] = 0.0
    if step > 0.0:
        _joint_tangent(step, stiff, cap, now, k3)
    else:
        for i in range(3):
            k3[i, i] = stiff[i]
    for i in range(3):
        a = which[i]
        new[i] = d[a] - now[i] / stiff[i]
        f[a] = now[i] + left * whole[a] * d[a]
        for j in range(3):
            k[a, which[j]] = k3[i, j]
        k[a, a] += left * whole[a]


@compiled
def hinges_pass(ties, slots, x, r, force, diag, off, wanted, first):
    """Add the joints that give; ``first`` is the number of the first hinge among the two-node pieces."""
    ax, k12, b, f, k = np.empty((3, 3)), np.empty((12, 12)), np.zeros((6, 12)), np.empty(6), np.empty((6, 6))
    th, m, ts, kh, rel = np.empty(3), np.empty(3), np.empty((3, 3)), np.empty((3, 3)), np.empty((3, 3))
    kb, room = np.empty((6, 12)), (np.empty(3), np.empty(3), np.empty(3), np.empty((3, 3)))
    ends, axes, apart, whole, cap, left = (
        ties.hinge_ends, ties.hinge_axes, ties.hinge_apart, ties.hinge_stiff, ties.hinge_cap, ties.hinge_left
    )  # fmt: skip
    given, hold, force_kept, deform = ties.hinge_set, ties.hinge_hold, ties.hinge_force, ties.hinge_deform
    for h in range(ends.shape[0]):
        p, q = ends[h, 0], ends[h, 1]
        for i in range(3):
            for j in range(3):
                ax[i, j] = (
                    r[p, j, 0] * axes[h, i, 0] + r[p, j, 1] * axes[h, i, 1] + r[p, j, 2] * axes[h, i, 2]
                )
        _relative(axes[h], ax, r[q], rel)
        th[0], th[1], th[2] = _turn_of(rel)
        d = deform[h]
        for i in range(3):
            # what is between the nodes at rest is stiff and turns with the first
            d[i] = -apart[h, i]
            for j in range(3):
                d[i] += ax[i, j] * (x[q, j] - x[p, j])
            d[3 + i] = th[i]
        _joint_forces(whole[h], cap[h], left[h, 0], given[h, 0], given[h, 1], d, f, k, room)
        for i in range(6):
            f[i] *= hold[h]
            force_kept[h, i] = f[i]
            for j in range(6):
                k[i, j] *= hold[h]
        for i in range(3):
            m[i] = f[3 + i]
        turn_tangent(th, m, ts, kh)
        b[:, :] = 0.0
        for i in range(3):
            for j in range(3):
                b[i, j], b[i, 6 + j] = -ax[i, j], ax[i, j]
                v = ts[i, 0] * ax[0, j] + ts[i, 1] * ax[1, j] + ts[i, 2] * ax[2, j]
                b[3 + i, 3 + j], b[3 + i, 9 + j] = -v, v
            ux, uy, uz = x[q, 0] - x[p, 0], x[q, 1] - x[p, 1], x[q, 2] - x[p, 2]
            b[i, 3] = ax[i, 1] * uz - ax[i, 2] * uy
            b[i, 4] = ax[i, 2] * ux - ax[i, 0] * uz
            b[i, 5] = ax[i, 0] * uy - ax[i, 1] * ux
        for j in range(6):
            for i in range(6):
                force[p, j] += b[i, j] * f[i]
                force[q, j] += b[i, 6 + j] * f[i]
        if wanted:
            turned_through(b, k, kb, k12)
            _joint_turning(b, f, k12)
            _joint_leaning(b, f, x[q] - x[p], k12)
            _joint_curving(ax, ts, kh, rel, k12)
            scatter(
                slots.column,
                slots.free,
                slots.partly,
                slots.block[first + h],
                slots.flip[first + h],
                diag,
                off,
                p,
                q,
                k12,
            )


@compiled
def turned_through(b, k, kb, k12):
    """``k12`` = b' k b, by way of ``kb`` (6, 12); loops, for a call of a library takes longer."""
    for i in range(6):
        for j in range(12):
            v = 0.0
            for a in range(6):
                v += k[i, a] * b[a, j]
            kb[i, j] = v
    for i in range(12):
        for j in range(i + 1):
            v = 0.0
            for a in range(6):
                v += b[a, i] * kb[a, j]
            k12[i, j] = k12[j, i] = v


@compiled
def _relative(axes, ax, rq, out):
    """Rotation of the branch seen in the hinge's turned axes ``ax``: rows of ax . rq . axes'."""
    for i in range(3):
        for j in range(3):
            v = 0.0
            for a in range(3):
                for c in range(3):
                    v += ax[i, a] * rq[a, c] * axes[j, c]
            out[i, j] = v


@compiled
def _joint_turning(b, f, k12):
    """Add to ``k12`` that the moment between the nodes turns with the first node (symmetric part)."""
    mx = my = mz = 0.0
    for i in range(6):
        mx += b[i, 9] * f[i]
        my += b[i, 10] * f[i]
        mz += b[i, 11] * f[i]
    skew = ((0.0, -mz, my), (mz, 0.0, -mx), (-my, mx, 0.0))
    for i in range(3):
        for j in range(3):
            v = -0.5 * skew[i][j]
            k12[9 + i, 3 + j] += v
            k12[3 + j, 9 + i] += v


@compiled
def _joint_leaning(b, f, u, k12):
    """Add to ``k12`` that the force between the nodes, ``u`` (3,) apart, turns with the first node."""
    n = (
        b[0, 6] * f[0] + b[1, 6] * f[1] + b[2, 6] * f[2],
        b[0, 7] * f[0] + b[1, 7] * f[1] + b[2, 7] * f[2],
        b[0, 8] * f[0] + b[1, 8] * f[1] + b[2, 8] * f[2],
    )
    skew = ((0.0, -n[2], n[1]), (n[2], 0.0, -n[0]), (-n[1], n[0], 0.0))
    along = n[0] * u[0] + n[1] * u[1] + n[2] * u[2]
    for i in range(3):
        k12[3 + i, 3 + i] -= along
        for j in range(3):
            v = skew[i][j]
            k12[i, 3 + j] += v
            k12[3 + j, i] += v
            k12[6 + i, 3 + j] -= v
            k12[3 + j, 6 + i] -= v
            k12[3 + i, 3 + j] += 0.5 * (n[i] * u[j] + u[i] * n[j])


@compiled
def _joint_curving(ax, ts, kh, own, k12):
    """Add to ``k12`` how the map from spins to turns changes under the moments there (symmetric part).

    ``own`` (3, 3) is room for it in the joint's axes.
    """
    for i in range(3):
        for j in range(3):
            own[i, j] = 0.0
            for a in range(3):
                own[i, j] += 0.5 * (kh[i, a] * ts[a, j] + kh[j, a] * ts[a, i])
    for i in range(3):
        for j in range(3):
            out = 0.0
            for a in range(3):
                out += ax[a, i] * (own[a, 0] * ax[0, j] + own[a, 1] * ax[1, j] + own[a, 2] * ax[2, j])
            k12[3 + i, 3 + j] += out
            k12[9 + i, 9 + j] += out
            k12[3 + i, 9 + j] -= out
            k12[9 + i, 3 + j] -= out


@compiled
def keep_ties(ties, steels, over):
    """Keep the present try; energy stored and work spent in this step, N mm.

    ``over`` (s + b + h,) becomes 1 for each spring, bar and hinge that has given way.
    """
    stored = 0.0
    spent = 0.0
    count = 0
    for s in range(ties.spring_node.shape[0]):
        if ties.spring_hold[s] == 0.0:
            count += 1
            continue
        k, f = ties.spring_stiff[s], ties.spring_force[s]
        stored += 0.5 * f * f / k
        step = ties.spring_set[s, 1] - ties.spring_set[s, 0]
        if abs(step) > 1e-12 * (1.0 + abs(f / k)):
            over[count] = 1
            spent -= f * step
        ties.spring_set[s, 0] = ties.spring_set[s, 1]
        count += 1
    for b in range(ties.bar_area.shape[0]):
        if ties.bar_hold[b] == 0.0:
            count += 1
            continue
        young = steels.young[ties.bar_material[b]]
        stress, volume = ties.bar_force[b] / ties.bar_area[b], ties.bar_area[b] * ties.bar_length[b]
        stored += 0.5 * stress * stress / young * volume
        old = ties.bar_set[b]
        if ties.bar_slack[b] and ties.bar_strain[b] <= old[0]:
            count += 1
            continue
        m = ties.bar_material[b]
        law = (steels.young[m], 1.0, steels.kinematic[m])
        _, _, step, rise = fibre(law, steels.curve[m], ties.bar_strain[b], old[0], old[1], old[2])
        if step != 0.0:
            over[count] = 1
            spent += (stress * np.sign(step) - 0.5 * rise) * abs(step) * volume
            old[0] += step
            old[1] += abs(step)
            old[2] += law[2] * (rise if step > 0.0 else -rise)
        count += 1
    for h in range(ties.hinge_ends.shape[0]):
        if ties.hinge_hold[h] == 0.0:
            count += 1
            continue
        spent_here = _keep_hinge(ties, h)
        spent += spent_here
        if spent_here > 0.0:
            over[count] = 1
        for i in range(6):
            stored += 0.5 * ties.hinge_force[h, i] * ties.hinge_deform[h, i]
        for i in range(3):
            # elastic energy of the yielding part is f (d - plastic)/2, not f d/2
            a = 0 if i == 0 else 3 + i
            inner = (
                ties.hinge_force[h, a]
                - ties.hinge_left[h, 0] * ties.hinge_stiff[h, a] * ties.hinge_deform[h, a]
            )
            stored -= 0.5 * inner * ties.hinge_set[h, 0, i]
        count += 1
    return stored, spent


@compiled
def _keep_hinge(ties, h):
    spent = 0.0
    for i in range(3):
        a = 0 if i == 0 else 3 + i
        step = ties.hinge_set[h, 1, i] - ties.hinge_set[h, 0, i]
        inner = (
            ties.hinge_force[h, a] - ties.hinge_left[h, 0] * ties.hinge_stiff[h, a] * ties.hinge_deform[h, a]
        )
        if abs(step) > 1e-12 * abs(ties.hinge_deform[h, a]):
            spent += inner * step
        ties.hinge_set[h, 0, i] = ties.hinge_set[h, 1, i]
    return spent
