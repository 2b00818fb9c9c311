"""The search for a way in, compiled: clearance of a place, a stretch of the way, and two trees that meet.

A pose is (7,): where the part's middle is, mm, and how it is turned from the plan, as a unit quaternion
(w, x, y, z). The part is round-ended pieces of tube. What stands in the way is a ``world``, in mm: a grid of
distances (i, j, k) to the nearest surface, its first node (3,), its step, how far it goes beyond every
surface, a flat wall with a rectangle left open (16,), and the height of the ground, as in ``fitup.room``.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from cagewright.frame.kernels_compile import compiled

Floats = NDArray[np.float64]
World = tuple[NDArray[np.float32], Floats, float, float, Floats, float]


@compiled
def sampled(corners: Floats, spacing: float) -> Floats:
    """Points (n, 3) of triangles (m, 3, 3), nowhere further than ``spacing`` mm apart along an edge."""
    total = 0
    cuts = np.empty(corners.shape[0], dtype=np.int64)
    for t in range(corners.shape[0]):
        longest = 0.0
        for i in range(3):
            j = (i + 1) % 3
            edge = 0.0
            for axis in range(3):
                edge += (corners[t, i, axis] - corners[t, j, axis]) ** 2
            longest = max(longest, edge)
        cuts[t] = math.ceil(math.sqrt(longest) / spacing) + 1
        total += cuts[t] * (cuts[t] + 1) // 2
    points = np.empty((total, 3))
    at = 0
    for t in range(corners.shape[0]):
        last = max(cuts[t] - 1, 1)
        for i in range(cuts[t]):
            for j in range(cuts[t] - i):
                for axis in range(3):
                    a, b, c = corners[t, 0, axis], corners[t, 1, axis], corners[t, 2, axis]
                    points[at, axis] = a + (b - a) * i / last + (c - a) * j / last
                at += 1
    return points


@compiled
def splat(field: NDArray[np.float32], points: Floats, low: Floats, step: float, reach: float) -> None:
    """Write into the field each node's squared distance, in steps, to the nearest point within reach."""
    n = math.ceil(reach / step)
    for p in range(points.shape[0]):
        x, y, z = (
            (points[p, 0] - low[0]) / step,
            (points[p, 1] - low[1]) / step,
            (points[p, 2] - low[2]) / step,
        )
        a, b, c = math.floor(x + 0.5), math.floor(y + 0.5), math.floor(z + 0.5)
        first, last = max(c - n, 0), min(c + n + 1, field.shape[2])
        for i in range(max(a - n, 0), min(a + n + 1, field.shape[0])):
            for j in range(max(b - n, 0), min(b + n + 1, field.shape[1])):
                flat = np.float32((i - x) ** 2 + (j - y) ** 2)
                from_z = np.float32(first - z)
                for k in range(first, last):
                    field[i, j, k] = min(field[i, j, k], flat + from_z * from_z)
                    from_z += np.float32(1.0)


@compiled
def distance(x: float, y: float, z: float, world: World) -> float:
    """From a place to the nearest surface, mm, at least."""
    field, low, step, margin, wall, ground = world
    gx, gy, gz = (x - low[0]) / step, (y - low[1]) / step, (z - low[2]) / step
    cx = min(max(gx, 0.0), field.shape[0] - 1.001)
    cy = min(max(gy, 0.0), field.shape[1] - 1.001)
    cz = min(max(gz, 0.0), field.shape[2] - 1.001)
    off = math.sqrt((gx - cx) ** 2 + (gy - cy) ** 2 + (gz - cz) ** 2) * step
    i, j, k = int(cx), int(cy), int(cz)
    fx, fy, fz = cx - i, cy - j, cz - k
    near = (1.0 - fz) * (
        (1.0 - fy) * ((1.0 - fx) * field[i, j, k] + fx * field[i + 1, j, k])
        + fy * ((1.0 - fx) * field[i, j + 1, k] + fx * field[i + 1, j + 1, k])
    ) + fz * (
        (1.0 - fy) * ((1.0 - fx) * field[i, j, k + 1] + fx * field[i + 1, j, k + 1])
        + fy * ((1.0 - fx) * field[i, j + 1, k + 1] + fx * field[i + 1, j + 1, k + 1])
    )
    away = off + margin if off > 0.0 else near
    away = min(away, z - ground)
    if wall[12] < wall[13]:
        rx, ry, rz = x - wall[0], y - wall[1], z - wall[2]
        u = rx * wall[3] + ry * wall[4] + rz * wall[5]
        v = rx * wall[6] + ry * wall[7] + rz * wall[8]
        out = rx * wall[9] + ry * wall[10] + rz * wall[11]
        inside = min(min(u - wall[12], wall[13] - u), min(v - wall[14], wall[15] - v))
        away = min(away, math.sqrt(out * out + max(inside, 0.0) ** 2))
    return away


@compiled
def clearance(pose: Floats, tubes: Floats, world: World, wanted: float) -> float:
    """Least room round the part in that pose, mm; the first found where it is less than ``wanted``.

    ``tubes`` (s, 7): start, stop and radius of each piece, mm, from the part's middle as the plan has it.
    Along a piece it goes on by as much as the place reached is free.
    """
    w, a, b, c = pose[3], pose[4], pose[5], pose[6]
    r00, r01, r02 = 1 - 2 * (b * b + c * c), 2 * (a * b - w * c), 2 * (a * c + w * b)
    r10, r11, r12 = 2 * (a * b + w * c), 1 - 2 * (a * a + c * c), 2 * (b * c - w * a)
    r20, r21, r22 = 2 * (a * c - w * b), 2 * (b * c + w * a), 1 - 2 * (a * a + b * b)
    least = 1e9
    for s in range(tubes.shape[0]):
        x, y, z = tubes[s, 0], tubes[s, 1], tubes[s, 2]
        dx, dy, dz = tubes[s, 3] - x, tubes[s, 4] - y, tubes[s, 5] - z
        long = math.sqrt(dx * dx + dy * dy + dz * dz)
        px = pose[0] + r00 * x + r01 * y + r02 * z
        py = pose[1] + r10 * x + r11 * y + r12 * z
        pz = pose[2] + r20 * x + r21 * y + r22 * z
        vx = (r00 * dx + r01 * dy + r02 * dz) / max(long, 1e-9)
        vy = (r10 * dx + r11 * dy + r12 * dz) / max(long, 1e-9)
        vz = (r20 * dx + r21 * dy + r22 * dz) / max(long, 1e-9)
        at = 0.0
        while True:
            room = distance(px + at * vx, py + at * vy, pz + at * vz, world)
            room -= tubes[s, 6]
            least = min(least, room)
            if least < wanted:
                return least
            if at >= long:
                break
            at = min(at + max(room - wanted, 8.0), long)
    return least


@compiled
def between(a: Floats, b: Floats, share: float, out: Floats) -> None:
    """Write into ``out`` (7,) the pose that share of the way from a to b, turned evenly the short way."""
    for i in range(3):
        out[i] = a[i] + share * (b[i] - a[i])
    d = a[3] * b[3] + a[4] * b[4] + a[5] * b[5] + a[6] * b[6]
    sign = 1.0 if d >= 0.0 else -1.0
    d = min(abs(d), 1.0)
    angle = math.acos(d)
    one, two = 1.0 - share, share
    if angle > 1e-6:
        one, two = (
            math.sin((1.0 - share) * angle) / math.sin(angle),
            math.sin(share * angle) / math.sin(angle),
        )
    size = 0.0
    for i in range(3, 7):
        out[i] = one * a[i] + sign * two * b[i]
        size += out[i] * out[i]
    for i in range(3, 7):
        out[i] /= math.sqrt(size)


@compiled
def apart(a: Floats, b: Floats, reach: float) -> float:
    """The most that any place of a part, no further than ``reach`` from its middle, moves from a to b, mm."""
    d = min(abs(a[3] * b[3] + a[4] * b[4] + a[5] * b[5] + a[6] * b[6]), 1.0)
    moved = math.sqrt((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 + (a[2] - b[2]) ** 2)
    return moved + 2.0 * math.acos(d) * reach


@compiled
def free_share(
    a: Floats,
    b: Floats,
    reach: float,
    tubes: Floats,
    world: World,
    wanted: float,
    fine: float,
    all_or_none: bool,
) -> tuple[float, float]:
    """The share of the way from a to b that is free, and the least room on it, mm; a itself is taken as free.

    Between two looks no place of the part moves further than the room there is beyond ``wanted``, or
    ``fine`` mm. Where only ``all_or_none`` is of use, a way that is barred half or a quarter way along, by
    more than lies between two looks, is told as 0 at once.
    """
    whole = apart(a, b, reach)
    here, least, share, room = np.empty(7), 1e9, 0.0, 0.0
    if whole < 1e-9:
        return 1.0, least
    if all_or_none:
        for part in (0.5, 0.25, 0.75):
            between(a, b, part, here)
            if clearance(here, tubes, world, wanted - 2.0 * fine) < wanted - 2.0 * fine:
                return 0.0, least
    while share < 1.0:
        further = min(share + max(room - wanted, fine) / whole, 1.0)
        between(a, b, further, here)
        room = clearance(here, tubes, world, wanted)
        if room < wanted:
            return share, least
        share = further
        least = min(least, room)
    return share, least


@compiled
def grow(
    trees: Floats,
    parents: NDArray[np.int64],
    counts: NDArray[np.int64],
    which: int,
    target: Floats,
    most: float,
    reach: float,
    tubes: Floats,
    world: World,
    wanted: float,
    fine: float,
) -> tuple[int, bool]:
    """Grow tree ``which`` from its nearest node toward the target by at most ``most`` mm.

    Returns the node reached, or -1; and whether it is the target.
    """
    tree, count = trees[which], counts[which]
    if count >= tree.shape[0]:
        return -1, False
    best, nearest = 1e18, 0
    for i in range(count):
        d = abs(
            tree[i, 3] * target[3] + tree[i, 4] * target[4] + tree[i, 5] * target[5] + tree[i, 6] * target[6]
        )
        away = (
            (tree[i, 0] - target[0]) ** 2
            + (tree[i, 1] - target[1]) ** 2
            + (tree[i, 2] - target[2]) ** 2
            + 8.0 * max(1.0 - d, 0.0) * reach * reach * 0.25
        )
        if away < best:
            best, nearest = away, i
    end = np.empty(7)
    whole = apart(tree[nearest], target, reach)
    limit = min(1.0, most / max(whole, 1e-9))
    between(tree[nearest], target, limit, end)
    share, _ = free_share(tree[nearest], end, reach, tubes, world, wanted, fine, False)
    if share * limit * whole < 4.0 and share < 1.0:
        return -1, False
    between(tree[nearest], end, share, tree[count])
    parents[which, count] = nearest
    counts[which] = count + 1
    return count, share >= 1.0 and limit >= 1.0


@compiled
def join(
    trees: Floats,
    parents: NDArray[np.int64],
    counts: NDArray[np.int64],
    targets: Floats,
    most: float,
    reach: float,
    tubes: Floats,
    world: World,
    wanted: float,
    fine: float,
) -> tuple[int, int, int]:
    """Grow two trees toward the targets in turn, each then toward the other, until they meet.

    Bidirectional rapidly exploring random trees (Kuffner and LaValle 2000, RRT-Connect).

    Returns:
        how many targets were tried, and the nodes of the two trees where they met, or -1.
    """
    for t in range(targets.shape[0]):
        mine = t % 2 if counts[t % 2] <= 3 * counts[1 - t % 2] else 1 - t % 2
        node, _ = grow(trees, parents, counts, mine, targets[t], most, reach, tubes, world, wanted, fine)
        if node < 0:
            continue
        to = trees[mine, node]
        other, there = grow(trees, parents, counts, 1 - mine, to, 1e9, reach, tubes, world, wanted, fine)
        if other >= 0 and there:
            return t + 1, (node if mine == 0 else other), (other if mine == 0 else node)
    return targets.shape[0], -1, -1
