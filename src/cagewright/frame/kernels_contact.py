"""Compiled: a stiff flat platen or a stiff round pole pressing on tubes.

Each contact point is a ball of the tube's outside radius on its axis: at the nodes and at even places
between them. Pressing in costs a stiff penalty spring with a short soft start. Where the tool has friction a
point sticks to it by a spring along its face, and slides where that reaches the friction of the normal force
that the step before left it (a step behind, so that the tangent stays symmetric; Wriggers 2006, ch. 5.2).
"""

# Numba infers the types of compiled functions, which carry no annotations.

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from cagewright.frame.kernels_compile import compiled


class Points(NamedTuple):
    """Contact points, p rows.

    Attributes:
        element: (p,) element that a point lies on, -1 for a node.
        first: (p,) node.
        second: (p,) other node; the same at a node.
        part: (p,) 0 to 1 from the first to the second node.
        radius: (p,) mm.
        near: (p,) element that the point is on, or the fattest at its node.
        tube: (p,) number of its tube.
        along: (p,) mm along the frame's elements laid end to end.
        crush: (p,) N, what a dent's strength is measured by; infinite where nothing dents.
        most: (p,) N, what a contact carries at the most.
        flat: (p,) mm, depth at which the wall lies flat.
        law: (p, 3, 3) strength of the dent at a depth of one diameter N, its exponent, and the most N: at the
            last kept step, now, and where the point's share of its dent brings it.
        dent: (p, 2) mm, depth of the dent: kept, present try.
        deep: (p,) mm that the present try is pressed in.
        push: (p,) N of the present try.
        slid: (p, 2, 3) mm, where on the moving tool the point would be without drag: kept, present try.
        grip: (p, 3) N, the most drag: at the last kept step, now, and where that step's push brings it.
        drag: (p, 3) N of the present try, along the tool's face, on the tool.
    """

    element: NDArray[np.int64]
    first: NDArray[np.int64]
    second: NDArray[np.int64]
    part: NDArray[np.float64]
    radius: NDArray[np.float64]
    near: NDArray[np.int64]
    tube: NDArray[np.int64]
    along: NDArray[np.float64]
    crush: NDArray[np.float64]
    most: NDArray[np.float64]
    flat: NDArray[np.float64]
    law: NDArray[np.float64]
    dent: NDArray[np.float64]
    deep: NDArray[np.float64]
    push: NDArray[np.float64]
    slid: NDArray[np.float64]
    grip: NDArray[np.float64]
    drag: NDArray[np.float64]

    def only(self, kept: NDArray[np.bool_]) -> Points:
        """Those of the points that are ``kept`` (p,)."""
        rows: dict[str, Any] = {name: v[kept] for name, v in self._asdict().items()}
        return Points(**rows)


class Tool(NamedTuple):
    """What presses, at the start of its travel.

    Attributes:
        centre: (3,) mm: middle of the platen's face, or of the pole's axis.
        axes: (3, 3) rows: along the platen's length, along its width, out of its face; for a pole its axis.
        half: (2,) mm, half length and half width; for a pole, half length and radius.
        way: (3,) unit direction of travel.
        pole: True for a pole.
        stiff: N/mm of each contact point.
        soft: mm over which a contact comes to full stiffness.
        friction: sideways over normal force.
    """

    centre: NDArray[np.float64]
    axes: NDArray[np.float64]
    half: NDArray[np.float64]
    way: NDArray[np.float64]
    pole: bool
    stiff: float
    soft: float
    friction: float


STICKS = 0.25
"""A point sticks along the tool's face by this part of the stiffness that it is pressed in with."""


@compiled
def _gap(tool, travel, p, n, line):
    """Distance from point ``p`` to the tool, outward normal ``n`` (3,), and how the normal turns.

    Returns (distance, reach, kind): kind 0 a flat face, 1 round about ``line`` (3,), 2 round about a corner.
    """
    a0, a1, a2 = tool.axes[0], tool.axes[1], tool.axes[2]
    rel = np.empty(3)
    u = v = w = 0.0
    for i in range(3):
        rel[i] = p[i] - tool.centre[i] - travel * tool.way[i]
        u += rel[i] * a0[i]
        v += rel[i] * a1[i]
        w += rel[i] * a2[i]
    cu = min(max(u, -tool.half[0]), tool.half[0])
    cv = 0.0 if tool.pole else min(max(v, -tool.half[1]), tool.half[1])
    if not tool.pole and cu == u and cv == v:
        n[:] = a2
        return w, 1.0, 0
    size = 0.0
    for i in range(3):
        n[i] = rel[i] - cu * a0[i] - cv * a1[i]
        size += n[i] * n[i]
    size = np.sqrt(size) + 1e-300
    for i in range(3):
        n[i] /= size
    if tool.pole:
        line[:] = a0
        return size - tool.half[1], size, 1 if cu == u else 2
    if cu == u:
        line[:] = a0
        return size, size, 1
    if cv == v:
        line[:] = a1
        return size, size, 1
    return size, size, 2


@compiled
def _stand(tool, travel):
    """Where the tool stands and its axes, as plain numbers."""
    way, m = tool.way, tool.axes
    at = (
        tool.centre[0] + travel * way[0],
        tool.centre[1] + travel * way[1],
        tool.centre[2] + travel * way[2],
    )
    return at, (m[0, 0], m[0, 1], m[0, 2], m[1, 0], m[1, 1], m[1, 2], m[2, 0], m[2, 1], m[2, 2])


@compiled
def _clear(tool, at, axes, radius, x, y, z):
    """True where a ball at (x, y, z) is surely clear of the tool, or far behind a platen's face; quick."""
    x, y, z = x - at[0], y - at[1], z - at[2]
    u = x * axes[0] + y * axes[1] + z * axes[2]
    if tool.pole:
        # its ends are round too
        reach = tool.half[1] + radius
        return abs(u) > tool.half[0] + reach or x * x + y * y + z * z - u * u > reach * reach
    if abs(u) > tool.half[0] + radius:
        return True
    w = x * axes[6] + y * axes[7] + z * axes[8]
    # behind the face: over 2 r + 20 deep is passed over below, and off the face it is no nearer than |w|
    if w > radius or w < -radius - 20.0:
        return True
    return abs(x * axes[3] + y * axes[4] + z * axes[5]) > tool.half[1] + radius


@compiled
def _press(tool, depth):
    """Force, N, slope and energy of a contact pressed in by ``depth`` mm."""
    soft = tool.soft
    if depth < soft:
        return (
            0.5 * tool.stiff * depth * depth / soft,
            tool.stiff * depth / soft,
            tool.stiff * depth**3 / (6.0 * soft),
        )
    over = depth - 0.5 * soft
    return tool.stiff * over, tool.stiff, 0.5 * tool.stiff * (over * over + soft * soft / 12.0)


@compiled
def _wall(law, od, depth):
    """Force, N, and its slope that the wall carries at a dent of ``depth`` mm."""
    share = max(depth, 1e-6) / od
    f = law[0] * share ** law[1]
    if f >= law[2]:
        return law[2], 1e-6 * law[0] / od
    return f, f * law[1] / (share * od)


@compiled
def _dented(tool, law, od, flat, depth, kept):
    """Force N, slope, energy held N mm, and depth of the dent, of a contact pressed in by ``depth`` mm.

    The tool's own spring and the wall stand one behind the other; the dent stays, and is no deeper than flat.
    """
    f, slope, energy = _press(tool, max(depth - kept, 0.0))
    if not np.isfinite(law[0]) or kept >= flat or f <= _wall(law, od, kept)[0]:
        return f, slope, energy, kept
    low, high = kept, min(depth, flat)
    f, slope, energy = _press(tool, depth - high)
    if f > _wall(law, od, high)[0]:
        return f, slope, energy, high
    w = 0.5 * (low + high)
    for _ in range(80):
        f, slope, energy = _press(tool, depth - w)
        wall, rise = _wall(law, od, w)
        over = f - wall
        if abs(over) < 1e-9 * (1.0 + wall) or high - low < 1e-13:
            break
        if over > 0.0:
            low = w
        else:
            high = w
        w += over / (slope + rise)
        if not low < w < high:
            w = 0.5 * (low + high)
    return f, slope * rise / (slope + rise), energy, w


@compiled
def _drag(stiff, grip, slid, n, drag, turn):
    """A touching point's ``drag`` (3,) N on the tool along its face, square to ``n``; where it then sticks.

    ``slid`` (2, 3) has where it stuck and where it now is, and then where it sticks; ``turn`` (3,) becomes
    the drag's direction. Returns (slope along the face, what that is less along the drag, energy held).
    """
    out = 0.0
    for a in range(3):
        out += (slid[1, a] - slid[0, a]) * n[a]
    size = 0.0
    for a in range(3):
        turn[a] = slid[1, a] - slid[0, a] - out * n[a]
        size += turn[a] * turn[a]
    size = np.sqrt(size) + 1e-300
    pull = min(stiff * size, grip)
    for a in range(3):
        turn[a] /= size
        drag[a] = pull * turn[a]
        # what it gave by sliding, and all that is not along the face
        slid[1, a] -= drag[a] / stiff
    if stiff * size <= grip:
        return stiff, 0.0, 0.5 * pull * size
    return pull / size, pull / size, 0.5 * pull * pull / stiff


NO_LIMIT = 1e300
"""N, more than any dent carries: what is above is without a limit."""


@compiled
def press_on(points, share):
    """Bring every point's strength and grip ``share`` of the way (1 at most) to what it was seen to be."""
    share = min(share, 1.0)
    for c in range(points.first.shape[0]):
        grip, law = points.grip[c], points.law[c]
        grip[1] = grip[0] + share * (grip[2] - grip[0])
        for i in range(3):
            law[1, i] = law[2, i]
            if law[0, i] < NO_LIMIT:
                law[1, i] = law[0, i] + share * (law[2, i] - law[0, i])


@compiled
def keep_dents(points):
    """Keep the present try's dents and slides; the energy spent on them in this step, N mm."""
    spent = 0.0
    for c in range(points.first.shape[0]):
        for a in range(3):
            spent += points.drag[c, a] * (points.slid[c, 1, a] - points.slid[c, 0, a])
            points.slid[c, 0, a] = points.slid[c, 1, a]
        before, after = points.dent[c, 0], points.dent[c, 1]
        if after <= before:
            continue
        od = 2.0 * points.radius[c]
        # the strength moved from the one to the other in this step
        for k in range(2):
            law = points.law[c, k]
            turn = od * (law[2] / law[0]) ** (1.0 / law[1]) if np.isfinite(law[2]) else np.inf
            soft = (min(after, turn) / od) ** (law[1] + 1.0) - (min(before, turn) / od) ** (law[1] + 1.0)
            spent += 0.5 * law[0] * od / (law[1] + 1.0) * soft
            if after > turn:
                spent += 0.5 * law[2] * (after - max(before, turn))
        points.dent[c, 0] = after
    return spent


@compiled
def contact_pass(tool, points, slots, x, travel, force, diag, off, wanted):
    """Add the contacts; (force on the frame along the travel N, energy N mm, points that press)."""
    n, line, p, k3, turn = np.empty(3), np.empty(3), np.empty(3), np.empty((3, 3)), np.empty(3)
    total = 0.0
    held = 0.0
    touching = 0
    at, axes = _stand(tool, travel)
    for c in range(points.first.shape[0]):
        i, j, s = points.first[c], points.second[c], points.part[c]
        points.push[c] = 0.0
        points.deep[c] = 0.0
        points.dent[c, 1] = points.dent[c, 0]
        for a in range(3):
            p[a] = (1.0 - s) * x[i, a] + s * x[j, a]
            points.slid[c, 1, a] = p[a] - travel * tool.way[a]
            points.drag[c, a] = 0.0
        if _clear(tool, at, axes, points.radius[c], p[0], p[1], p[2]):
            continue
        far, reach, kind = _gap(tool, travel, p, n, line)
        depth = points.radius[c] - far
        # a point well behind the face was never in front of it
        if depth <= points.dent[c, 0] or depth > 2.0 * points.radius[c] + 20.0:
            continue
        f, slope, energy, dent = _dented(
            tool, points.law[c, 1], 2.0 * points.radius[c], points.flat[c], depth, points.dent[c, 0]
        )
        points.push[c] = f
        points.deep[c] = depth
        points.dent[c, 1] = dent
        touching += 1
        held += energy
        for a in range(3):
            total += f * n[a] * tool.way[a]
            force[i, a] -= (1.0 - s) * f * n[a]
            force[j, a] -= s * f * n[a]
        slope_drag, slide_drag, kept = 0.0, 0.0, 0.0
        if tool.friction > 0.0:
            slope_drag, slide_drag, kept = _drag(
                STICKS * tool.stiff, points.grip[c, 1], points.slid[c], n, points.drag[c], turn
            )
            held += kept
            for a in range(3):
                total -= points.drag[c, a] * tool.way[a]
                force[i, a] += (1.0 - s) * points.drag[c, a]
                force[j, a] += s * points.drag[c, a]
        if wanted:
            for a in range(3):
                for b in range(3):
                    k3[a, b] = slope * n[a] * n[b]
                    if slope_drag > 0.0:
                        k3[a, b] += slope_drag * ((1.0 if a == b else 0.0) - n[a] * n[b])
                        k3[a, b] -= slide_drag * turn[a] * turn[b]
                    if kind > 0:
                        flat = (1.0 if a == b else 0.0) - n[a] * n[b]
                        if kind == 1:
                            flat -= line[a] * line[b]
                        k3[a, b] -= f * flat / reach
            scatter_point(slots, diag, off, points.element[c], i, j, s, k3)
    return total, held, touching


@compiled
def scatter_point(slots, diag, off, e, i, j, s, k3):
    """Add the stiffness ``k3`` (3, 3) of a point at part ``s`` from node ``i`` to ``j`` of element ``e``."""
    ci, cj = slots.column[i], slots.column[j]
    for a in range(3):
        for b in range(3):
            if ci >= 0:
                diag[ci, a, b] += (1.0 - s) ** 2 * k3[a, b] * slots.free[i, a] * slots.free[i, b]
            if e >= 0 and cj >= 0:
                diag[cj, a, b] += s * s * k3[a, b] * slots.free[j, a] * slots.free[j, b]
            if e >= 0 and ci >= 0 and cj >= 0:
                k = s * (1.0 - s) * k3[a, b]
                if slots.flip[e]:
                    off[slots.block[e], a, b] += k * slots.free[j, a] * slots.free[i, b]
                else:
                    off[slots.block[e], a, b] += k * slots.free[i, a] * slots.free[j, b]


@compiled
def touches(tool, points, x, travel):
    """Whether any contact point is pressed in, and not from far behind the face."""
    n, line, p = np.empty(3), np.empty(3), np.empty(3)
    at, axes = _stand(tool, travel)
    for c in range(points.first.shape[0]):
        i, j, s = points.first[c], points.second[c], points.part[c]
        for a in range(3):
            p[a] = (1.0 - s) * x[i, a] + s * x[j, a]
        if _clear(tool, at, axes, points.radius[c], p[0], p[1], p[2]):
            continue
        far, _, _ = _gap(tool, travel, p, n, line)
        radius = points.radius[c]
        if -radius - 20.0 < far < radius:
            return True
    return False
