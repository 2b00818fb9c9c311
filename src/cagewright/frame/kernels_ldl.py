"""Compiled: minimum-degree ordering and LDL' of a symmetric matrix of 6 x 6 blocks.

Unpivoted, so that an indefinite matrix keeps its pattern and the signs of the pivots count the negative
eigenvalues (Sylvester's law of inertia). Ordering: plain minimum degree on the explicit elimination
graph (George and Liu, SIAM Review 31 (1989) 1-19); frames fill in so little that no quotient graph is needed.
"""

# Numba infers the types of compiled functions, which carry no annotations.

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from cagewright.frame.kernels_compile import compiled

TINY = 1e-11
"""A pivot this much smaller than its undisturbed diagonal is a lost hold, not a number."""


class SparsityPattern(NamedTuple):
    """Where the blocks of the factor live; columns in elimination order.

    Attributes:
        order: (c,) graph vertex eliminated at each step.
        place: (c,) step at which each vertex is eliminated.
        start: (c + 1,) first off-diagonal block of each column.
        row: (b,) step number of each off-diagonal block's row, rising in a column.
        target: (u,) where each update lands: block number, or -1 - step for a diagonal block.
        first: (c + 1,) first update of each column.
    """

    order: NDArray[np.int64]
    place: NDArray[np.int64]
    start: NDArray[np.int64]
    row: NDArray[np.int64]
    target: NDArray[np.int64]
    first: NDArray[np.int64]


@compiled
def _eliminate(count, edges, room):
    """Elimination order and each vertex's neighbours when it goes; no order where ``room`` was too small."""
    near = np.full((count, room), -1, np.int64)
    degree = np.zeros(count, np.int64)
    none = np.zeros(0, np.int64)
    for k in range(edges.shape[0]):
        for a, b in ((edges[k, 0], edges[k, 1]), (edges[k, 1], edges[k, 0])):
            if a == b or _holds(near, degree, a, b):
                continue
            if degree[a] == room:
                return none, near, degree
            near[a, degree[a]] = b
            degree[a] += 1
    gone = np.zeros(count, np.bool_)
    order = np.empty(count, np.int64)
    for step in range(count):
        best = -1
        for v in range(count):
            if not gone[v] and (best < 0 or degree[v] < degree[best]):
                best = v
        order[step] = best
        gone[best] = True
        for i in range(degree[best]):
            if not _join(near, degree, best, near[best, i], room):
                return none, near, degree
    return order, near, degree


@compiled
def _holds(near, degree, a, b):
    found = False
    for i in range(degree[a]):
        found = found or near[a, i] == b
    return found


@compiled
def _join(near, degree, gone, a, room):
    """Take ``gone`` out of ``a``'s neighbours and tie ``a`` to all of ``gone``'s."""
    for i in range(degree[a]):
        if near[a, i] == gone:
            degree[a] -= 1
            near[a, i] = near[a, degree[a]]
            break
    for i in range(degree[gone]):
        b = near[gone, i]
        if b != a and not _holds(near, degree, a, b):
            if degree[a] == room:
                return False
            near[a, degree[a]] = b
            degree[a] += 1
    return True


@compiled
def _columns(order, near, degree):
    """Column starts, sorted rows and update targets of the factor."""
    count = order.shape[0]
    place = np.empty(count, np.int64)
    for step in range(count):
        place[order[step]] = step
    start = np.zeros(count + 1, np.int64)
    first = np.zeros(count + 1, np.int64)
    for step in range(count):
        d = degree[order[step]]
        start[step + 1] = start[step] + d
        first[step + 1] = first[step] + d * (d + 1) // 2
    row = np.empty(start[count], np.int64)
    for step in range(count):
        d = degree[order[step]]
        for i in range(d):
            row[start[step] + i] = place[near[order[step], i]]
        row[start[step] : start[step + 1]].sort()
    target = np.empty(first[count], np.int64)
    u = 0
    for step in range(count):
        for p in range(start[step], start[step + 1]):
            target[u] = -1 - row[p]
            u += 1
            for q in range(start[step], p):
                target[u] = find(start, row, row[q], row[p])
                u += 1
    return place, start, row, target, first


@compiled
def find(start, row, column, wanted):
    """Number of the block in ``column`` whose row is ``wanted``, or -1."""
    low, high = start[column], start[column + 1]
    while low < high:
        mid = (low + high) // 2
        if row[mid] < wanted:
            low = mid + 1
        else:
            high = mid
    return low if low < start[column + 1] and row[low] == wanted else -1


def pattern(count: int, edges: NDArray[np.int64]) -> SparsityPattern:
    """The ordering and block pattern of the factor for a graph of ``count`` vertices and ``edges`` (e, 2)."""
    room = 32
    while True:
        order, near, degree = _eliminate(count, edges, room)
        if len(order) == count:
            break
        room *= 2
    place, start, row, target, first = _columns(order, near, degree)
    return SparsityPattern(order, place, start, row, target, first)


@compiled
def blocks_of(pat, edges, column):
    """Block number (e,) of each edge's off-diagonal block and whether its stop goes first (e,).

    ``column`` (n,) maps the edges' vertices to elimination steps, -1 where a vertex is left out.
    """
    block = np.full(edges.shape[0], -1, np.int64)
    flip = np.zeros(edges.shape[0], np.bool_)
    for k in range(edges.shape[0]):
        a, b = column[edges[k, 0]], column[edges[k, 1]]
        if a < 0 or b < 0 or a == b:
            continue
        flip[k] = b < a
        block[k] = find(pat.start, pat.row, min(a, b), max(a, b))
    return block, flip


@compiled
def _factor_diagonal(d, size):
    """LDL' of one diagonal block in place; how many pivots are negative, and the first lost one or -1."""
    negative = 0
    lost = -1
    for j in range(6):
        pivot = d[j, j]
        for k in range(j):
            pivot -= d[j, k] * d[j, k] * d[k, k]
        if abs(pivot) <= TINY * size[j]:
            if lost < 0:
                lost = j
            pivot = TINY * max(size[j], 1e-300)
        if pivot < 0.0:
            negative += 1
        d[j, j] = pivot
        for i in range(j + 1, 6):
            s = d[i, j]
            for k in range(j):
                s -= d[i, k] * d[j, k] * d[k, k]
            d[i, j] = s / pivot
    return negative, lost


@compiled
def _reduce_block(x, d, w):
    """``w`` = L^-1 x and ``x`` <- D^-1 w for one stored block ``x`` [earlier, later]."""
    for j in range(6):
        for r in range(6):
            w[j, r] = x[j, r]
        for k in range(j):
            f = d[j, k]
            for r in range(6):
                w[j, r] -= f * w[k, r]
        f = 1.0 / d[j, j]
        for r in range(6):
            x[j, r] = w[j, r] * f


@compiled
def _take_away(t, w, x):
    """``t`` -= w' x, 6 x 6, each place written once."""
    for k in range(6):
        a, b, c, d, e, f = w[0, k], w[1, k], w[2, k], w[3, k], w[4, k], w[5, k]
        for r in range(6):
            one = a * x[0, r] + b * x[1, r] + c * x[2, r]
            t[k, r] -= one + d * x[3, r] + e * x[4, r] + f * x[5, r]


@compiled
def factor(pat, diag, off, sizes):
    """Factor in place; (negative pivots, step and dof of the first lost pivot or -1).

    ``diag`` (c, 6, 6) and ``off`` (b, 6, 6, stored [earlier, later]) become L and D;
    ``sizes`` (c, 6) is scratch for the undisturbed diagonal.
    """
    count = diag.shape[0]
    most = 0
    for c in range(count):
        most = max(most, pat.start[c + 1] - pat.start[c])
        for j in range(6):
            sizes[c, j] = abs(diag[c, j, j])
    work = np.empty((most, 6, 6))
    negative = 0
    lost = -1
    for c in range(count):
        n, bad = _factor_diagonal(diag[c], sizes[c])
        negative += n
        if bad >= 0 and lost < 0:
            lost = 6 * c + bad
        begin = pat.start[c]
        u = pat.first[c]
        for p in range(begin, pat.start[c + 1]):
            _reduce_block(off[p], diag[c], work[p - begin])
            _take_away(diag[-1 - pat.target[u]], work[p - begin], off[p])
            u += 1
            for q in range(begin, p):
                _take_away(off[pat.target[u]], work[q - begin], off[p])
                u += 1
    return negative, lost


@compiled
def solve(pat, diag, off, b):
    """Solve in place for right-hand sides ``b`` (k, c, 6) in elimination order."""
    count = diag.shape[0]
    for s in range(b.shape[0]):
        x = b[s]
        for c in range(count):
            d = diag[c]
            for j in range(6):
                for k in range(j):
                    x[c, j] -= d[j, k] * x[c, k]
            for p in range(pat.start[c], pat.start[c + 1]):
                r = pat.row[p]
                for k in range(6):
                    f = x[c, k]
                    for i in range(6):
                        x[r, i] -= off[p, k, i] * f
        for c in range(count - 1, -1, -1):
            d = diag[c]
            for k in range(6):
                x[c, k] /= d[k, k]
            for p in range(pat.start[c], pat.start[c + 1]):
                r = pat.row[p]
                for k in range(6):
                    for i in range(6):
                        x[c, k] -= off[p, k, i] * x[r, i]
            for j in range(5, -1, -1):
                for k in range(j + 1, 6):
                    x[c, j] -= d[k, j] * x[c, k]
