"""Sheet folded along the edges of a rectangle: over an edge of the shell, in steps, into a box.

Every size is of the side that lies on the shell, from sharp corner to sharp corner: as the shell is measured.
"""

from __future__ import annotations

import math

import numpy as np

from cagewright.base.vectors import ACROSS, BACK, Vector, cross, dot, length, unit
from cagewright.shape.flat_parts import BendLine
from cagewright.shape.part_types import Edge, EdgeFold
from cagewright.shape.types import Array
from cagewright.stock.folding import Fold

OUTWARD = np.array([[0.0, -1.0], [1.0, 0.0], [0.0, 1.0], [-1.0, 0.0]])
"""(4, 2) which way each edge looks."""


def foot_axes(normal: Vector) -> Array:
    """A foot plate's axes (3, 3), unit: along its length, along its width, out of the shell.

    The length lies along the plate's most backward direction; on a plate that faces back or forward, across.
    """
    backward = BACK - dot(BACK, normal) * normal
    flat = backward if float(length(backward)) >= 0.05 else ACROSS - dot(ACROSS, normal) * normal
    one = unit(flat)
    return np.array([one, cross(normal, one), normal])


def of_edge(folds: tuple[EdgeFold, ...], edge: Edge) -> list[EdgeFold]:
    """The folds that follow on that edge, from the plate outwards."""
    return [fold for fold in folds if fold.edge == edge]


def faces(
    middle: Vector, axes: Array, plate: tuple[float, float], folds: tuple[EdgeFold, ...]
) -> list[Array]:
    """The faces (4, 3) behind the folds, on the side that lies on the shell, mm; sharp corners.

    Args:
        middle: (3,) of the plate, on that side.
        axes: (3, 3) unit: the plate's length, its width, and out of the shell.
        plate: length and width, mm.
        folds: in order.
    """
    found: list[Array] = []
    for edge in (0, 1, 2, 3):
        way = OUTWARD[edge] @ axes[:2]
        along = cross(axes[2], way)
        deep, half = (plate[1], plate[0]) if edge % 2 == 0 else (plate[0], plate[1])
        at, lean = middle + 0.5 * deep * way, 0.0
        for fold in of_edge(folds, edge):
            lean += fold.angle
            on = at + fold.by * (math.cos(lean) * way - math.sin(lean) * axes[2])
            side = 0.5 * half * along
            found.append(np.array([at - side, on - side, on + side, at + side]))
            at = on
    return found


def pattern(
    plate: tuple[float, float], folds: tuple[EdgeFold, ...], fold: Fold
) -> tuple[Array, tuple[BendLine, ...], tuple[float, ...]]:
    """The plate laid flat: outline (n, 2) anticlockwise about its middle, bend lines, and what is short.

    A strip beside a folded edge stops at that fold's tangent line, so that the corner can be folded. What is
    short is by how many mm each face that leaves its folds no room is too short.

    Args:
        plate: length and width, mm.
        folds: in order.
        fold: how the sheet takes a fold.
    """
    back = [_begin(of_edge(folds, edge), fold) for edge in (0, 1, 2, 3)]
    x, y = (-plate[0] / 2.0 + back[3], plate[0] / 2.0 - back[1]), (
        -plate[1] / 2.0 + back[0], plate[1] / 2.0 - back[2],
    )  # fmt: skip
    corners = np.array([[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]])
    ring: list[Array] = []
    bends: list[BendLine] = []
    short = [min(x[1] - x[0], y[1] - y[0])]
    for edge in (0, 1, 2, 3):
        a, b, way = corners[edge], corners[(edge + 1) % 4], OUTWARD[edge]
        run, mine, left = _run(a, b, way, of_edge(folds, edge), fold)
        bends += mine
        short += left
        ring += [a] if run == 0.0 else [a, a + run * way, b + run * way]
        ring += [b] if run > 0.0 else []
    outline = _once(np.array(ring))
    return outline, tuple(bends), tuple(-s for s in short if s < 0.0)


def _begin(chain: list[EdgeFold], fold: Fold) -> float:
    """How far in from its sharp edge the plate's own flat part ends, mm."""
    return fold.setback(chain[0].angle, inside=chain[0].angle > 0.0) if chain else 0.0


def _run(
    a: Array, b: Array, way: Array, chain: list[EdgeFold], fold: Fold
) -> tuple[float, list[BendLine], list[float]]:
    """How far the strip runs on from the edge ``a`` to ``b``, its bend lines, and each face's flat length."""
    run, bends, left = 0.0, list[BendLine](), list[float]()
    for k, this in enumerate(chain):
        used = fold.allowance(this.angle)
        middle = (run + 0.5 * used) * way
        bends.append(
            BendLine(start=a + middle, stop=b + middle, angle=-this.angle, radius=fold.radius, allowance=used)
        )
        ahead = chain[k + 1 : k + 2]
        flat = this.by - fold.setback(this.angle, inside=this.angle > 0.0) - _begin(ahead, fold)
        left.append(flat)
        run += used + flat
    return run, bends, left


def _once(ring: Array) -> Array:
    """The ring (n, 2) without corners that stand twice in a row."""
    ahead = np.roll(ring, -1, axis=0)
    return ring[np.abs(ahead - ring).max(axis=1) > 1e-9]
