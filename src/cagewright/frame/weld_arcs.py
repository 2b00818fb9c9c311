"""What a weld carries that does not go all round: the weld as a line along the cope's real edge.

Line-weld method (any welding handbook; properties of a line of throat 1 mm, times the throat) with the
direction-independent strength of EN 1993-1-8:2005 4.5.3.3, fvw = fu / (sqrt(3) beta_w gamma_M2); the factors
beta_w are from memory (Table 4.1). Places are taken square to the branch's axis, lengths along the real line.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, cast

import numpy as np
from scipy.optimize import linprog

from cagewright.base.vectors import Vector
from cagewright.frame.model import Flags, Floats
from cagewright.shape.types import Cope, End
from cagewright.shape.weld_open import inside_arcs
from cagewright.stock.tubes import Tube

SOURCE = "line-weld method; EN 1993-1-8:2005 4.5.3.3 strength, factors from memory, unchecked"
POINTS = 180
"""Pieces that the line is cut into."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldLine:
    """The welded part of the line round an end, in short pieces.

    Attributes:
        place: (n, 2) mm from the branch's axis, along the axis of the in-plane moment and of the
            out-of-plane moment.
        length: (n,) mm of line.
        whole: mm of the line if it were welded all round.
        throat: mm.
        strength: fvw, MPa.
    """

    place: Floats
    length: Floats
    whole: float
    throat: float
    strength: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldHold:
    """What a weld carries, each alone about the branch's axis, either sign alike (fully plastic line).

    Attributes:
        axial: N along the branch.
        in_plane: N mm.
        out_of_plane: N mm.
        share: part of the line that is welded, 0 to 1.
    """

    axial: float
    in_plane: float
    out_of_plane: float
    share: float


def fillet_strength(tensile: float, *, factor: float | None = None, partial: float = 1.0) -> float:
    """Fvw = fu / (sqrt(3) beta_w gamma_M2), MPa (EN 1993-1-8:2005 4.5.3.3).

    Args:
        tensile: fu of the weaker part joined, MPa.
        factor: beta_w; from ``tensile`` as Table 4.1 has it (memory) where None.
        partial: gamma_M2; the code has 1.25, the model compares bare strengths with 1.
    """
    beta = weld_factor(tensile) if factor is None else factor
    return tensile / (math.sqrt(3.0) * beta * partial)


def weld_factor(tensile: float) -> float:
    """beta_w by tensile strength, MPa: 0.8 S235, 0.85 S275, 0.9 S355, 1.0 above (Table 4.1, memory)."""
    return next((beta for most, beta in ((360.0, 0.8), (430.0, 0.85), (510.0, 0.9)) if tensile <= most), 1.0)


def weld_line(end: End, tube: Tube, axes: tuple[Vector, Vector], tensile: float) -> WeldLine:
    """The welded line of an end.

    Args:
        end: its cut says where the line runs, its open arcs where there is no weld.
        tube: the branch.
        axes: unit axes of the in-plane and the out-of-plane moment, square to the branch.
        tensile: fu of the weaker part, MPa.
    """
    phi: Floats = np.arange(POINTS, dtype=np.float64) * np.float64(2.0 * np.pi / POINTS)
    points, met = _edge(end, tube, phi)
    chord = np.roll(points, -1, axis=0) - points
    length = np.sqrt((chord**2).sum(axis=1))
    welded = (inside_arcs(phi + np.pi / POINTS, end.open) < 0.5) & met
    middle = 0.5 * (points + np.roll(points, -1, axis=0)) - end.cut.origin
    place = np.stack([middle @ axes[0], middle @ axes[1]], axis=1)
    return WeldLine(
        place=place[welded],
        length=length[welded],
        whole=float(length[met].sum()),
        throat=end.throat or tube.wall,
        strength=fillet_strength(tensile),
    )


def _edge(end: End, tube: Tube, phi: Floats) -> tuple[Floats, Flags]:
    """Points (n, 3) of the cut's outside, and whether each piece stands on a main or plate (n,)."""
    cut = end.cut
    across = np.cross(cut.axis, cut.zero)
    ring = np.cos(phi)[:, None] * cut.zero + np.sin(phi)[:, None] * across
    if isinstance(cut, Cope):
        run = np.interp(phi, cut.phi, cut.outside, period=2.0 * np.pi)
        on = np.interp(phi, cut.phi, (cut.on >= 0).astype(float), period=2.0 * np.pi) > 0.5
    else:
        run = -tube.radius * (ring @ cut.normal) / float(cut.axis @ cut.normal)
        on = np.ones(len(phi), dtype=np.bool_)
    return cut.origin + run[:, None] * cut.axis + tube.radius * ring, on & np.roll(on, -1)


def weld_hold(line: WeldLine) -> WeldHold:
    """What the line carries when every piece of it pulls or pushes at its full strength.

    The largest force or moment along with no other about the branch's axis; by the duality of linear
    programming that is the least of sum |lever + a + b x + c y| over the free numbers (lower and upper bound
    of plasticity agree). An open side takes no push either: a fitted cope would, which is on the safe side.
    """
    one, first, second = np.ones(len(line.length)), line.place[:, 0], line.place[:, 1]
    force = line.length * line.throat * line.strength
    return WeldHold(
        axial=_least(one, (first, second), force),
        in_plane=_least(second, (one, first), force),
        out_of_plane=_least(first, (one, second), force),
        share=float(line.length.sum()) / line.whole,
    )


def _least(lever: Floats, free: tuple[Floats, Floats], force: Floats) -> float:
    """Least of sum force |lever + a free_0 + b free_1| over a and b."""
    n = len(force)
    if not n:
        return 0.0
    size = [max(float(np.abs(f).max()), 1e-12) for f in free]
    base = np.stack([f / s for f, s in zip(free, size, strict=True)], axis=1)
    scale = max(float(np.abs(lever).max()), 1e-12)
    rows = np.block([[base, -np.eye(n)], [-base, -np.eye(n)]])
    limit = np.concatenate([-lever, lever]) / scale
    cost = np.concatenate([np.zeros(2), force / force.max()])
    found = cast("Any", linprog(cost, A_ub=rows, b_ub=limit, bounds=[(None, None)] * 2 + [(0, None)] * n))
    return float(found.fun) * scale * float(force.max())


def weld_use(line: WeldLine, *, axial: Floats, in_plane: Floats, out_of_plane: Floats) -> Floats:
    """Largest share of the weld's strength in use anywhere along it, elastic line, signs counted (k,).

    Args:
        line: the weld.
        axial: (k,) N along the branch, pull more than 0.
        in_plane: (k,) N mm about the axis of the in-plane moment.
        out_of_plane: (k,) N mm about the axis of the out-of-plane moment.
    """
    shape = np.column_stack([np.ones(len(line.length)), line.place])
    held = (shape * line.length[:, None]).T @ shape
    loads = np.stack([axial, -out_of_plane, in_plane])
    per_length = shape @ np.linalg.solve(held, loads)
    return np.abs(per_length).max(axis=0) / (line.throat * line.strength)
