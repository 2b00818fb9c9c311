"""How far a tool dents a tube's wall: what a contact carries at a depth, and what a dent leaves of the tube.

A flat face, or a round tool, of contact length B along a tube of D x t presses a dent of depth w with
R = Rc c1 (w/D)^c2, Rc = fy t2/4 sqrt(D/t), c1 = 22 + 1.2 B/D, c2 = 1.925/(3.5 + B/D): NORSOK N-004 Annex A
and DNV-RP-C204, from memory. Where the tool is a pole the contact is one tube on another and carries no more
than a T-joint of that breadth does (EN 1993-1-8 Table 7.2, from memory). The tube's own push, which lowers R,
is left out. Tools touch at points; those that press on one tube within two diameters of each other make one
dent and share its R by how deep each is in.
"""

from __future__ import annotations

import math

import numpy as np

from cagewright.frame.kernels_contact import Points, Tool
from cagewright.frame.model import Floats, FrameModel, Ints

SAME = 2.0
"""Contacts on a tube nearer than this many diameters are one dent."""
FIRST = 0.05
"""The part of a dent's strength that a point has when it first touches; its share is found as it goes in."""
LEAST = 0.2
"""A point has at least this part of an even share."""
DEEP = 0.05
"""A dent of this part of the diameter is told."""
SOURCE = "dents by NORSOK N-004 Annex A, from memory"


def dent_law(ratio: Floats | float) -> tuple[Floats, Floats]:
    """c1 and c2 of a contact ``ratio`` = B/D diameters long."""
    long = np.asarray(ratio, float)
    return 22.0 + 1.2 * long, 1.925 / (3.5 + long)


def crushing(od: Floats, wall: Floats, fy: Floats) -> Floats:
    """Rc, N, of tubes of ``od`` and ``wall`` mm and ``fy`` MPa."""
    return fy * wall**2 / 4.0 * np.sqrt(od / wall)


def tee_strength(od: Floats, wall: Floats, fy: Floats, breadth: float) -> Floats:
    """What the wall carries under a tube ``breadth`` mm across it (T-joint, EN 1993-1-8 Table 7.2), N."""
    beta = np.minimum(breadth / od, 1.0)
    return (od / (2.0 * wall)) ** 0.2 * fy * wall**2 * (2.8 + 14.2 * beta**2)


def bending_left(depth: float, od: float) -> float:
    """The part of its plastic moment a tube has left across a dent of ``depth`` mm, dent in push.

    The dented arc carries nothing: cos(a/2) - sin(a)/2, cos a = 1 - 2 depth/od (NORSOK N-004, from memory).
    """
    angle = math.acos(min(max(1.0 - 2.0 * depth / od, -1.0), 1.0))
    return max(math.cos(angle / 2.0) - 0.5 * math.sin(angle), 0.0)


def walls(model: FrameModel) -> Floats:
    """(m,) mm, the walls of the elements, from their area and outside."""
    radius = model.sections.radius
    return radius - np.sqrt(np.maximum(radius**2 - model.sections.area / np.pi, 0.0))


def yield_stress(model: FrameModel) -> Floats:
    """(m,) MPa; infinite where the steel never yields."""
    first = np.array([m.curve.stress[0] if m.curve else np.inf for m in model.materials])
    return first[model.material] * model.yield_factor


def first_law(model: FrameModel, near: Ints, tool: Tool | None) -> tuple[Floats, Floats, Floats]:
    """Rc (p,), what a pole's contact carries (p,), and the depth at which the wall lies flat (p,)."""
    od, wall, fy = 2.0 * model.sections.radius[near], walls(model)[near], yield_stress(model)[near]
    most = np.full(len(near), np.inf)
    if tool is not None and tool.pole:
        most = tee_strength(od, wall, fy, 2.0 * float(tool.half[1]))
    # a rail's walls are flat: no formula, and nothing that dents
    round_tube = model.sections.kinds[near] == 0
    return (
        np.where(round_tube, crushing(od, wall, fy), np.inf),
        np.where(round_tube, most, np.inf),
        od - 2.0 * wall,
    )


def aim(points: Points, friction: float) -> None:
    """See each touching point's share of its dent's strength, and its grip; brought there in a step."""
    points.grip[:, 0], points.grip[:, 2] = points.grip[:, 1], friction * points.push
    points.law[:, 0] = points.law[:, 1]
    touching = np.flatnonzero((points.push > 0.0) & np.isfinite(points.crush))
    if not len(touching):
        return
    order = touching[np.lexsort((points.along[touching], points.tube[touching]))]
    od = 2.0 * points.radius[order]
    apart = np.diff(points.along[order]) > SAME * od[1:]
    new = np.concatenate([[True], apart | (np.diff(points.tube[order]) != 0)])
    patch = np.cumsum(new) - 1
    first = np.flatnonzero(new)
    last = np.append(first[1:], len(order)) - 1
    long = (points.along[order[last]] - points.along[order[first]]) / od[first]
    c1, c2 = dent_law(long)
    share = points.deep[order] / np.bincount(patch, points.deep[order])[patch]
    share = np.maximum(share, LEAST / np.bincount(patch)[patch])
    points.law[order, 2, 0] = share * points.crush[order] * c1[patch]
    points.law[order, 2, 1] = c2[patch]
    points.law[order, 2, 2] = share * points.most[order]
