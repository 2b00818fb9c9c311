"""Points round every weld line, each with the two surfaces that meet there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from cagewright.base.curves import sample
from cagewright.base.vectors import dot, length
from cagewright.shape.closest import Mask, closest_on_segments
from cagewright.shape.types import Array, Cage, Cope, End, FlatCut, Member, member_named

EACH = 36
"""Points round one weld line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldLoop:
    """The weld round one end of a member.

    Attributes:
        name: the joint's, or the foot's.
        kind: ``joint`` or ``foot``.
        branch: the member that ends there.
        mains: the members it is welded to; empty at a foot.
        phi: (n,) rad round the branch, as its cut has it.
        step: rad round the branch that each point stands for.
        points: (n, 3) on the line, mm.
        run: (n,) length of line that each point stands for, mm.
        along: unit (n, 3) along the line.
        branch_normal: unit (n, 3) out of the branch's outside.
        main_normal: unit (n, 3) out of what it is welded to.
    """

    name: str
    kind: Literal["joint", "foot"]
    branch: str
    mains: tuple[str, ...]
    phi: Array
    step: float
    points: Array
    run: Array
    along: Array
    branch_normal: Array
    main_normal: Array


def weld_lines(cage: Cage, *, each: int = EACH) -> tuple[WeldLoop, ...]:
    """Every weld line of the cage: round each coped end, then round each foot.

    ``each`` is the points round one line.
    """
    joints = [
        _joint_line(cage, member, end, end.cut, each)
        for member in cage.members
        for end in member.ends
        if isinstance(end.cut, Cope) and end.joint is not None
    ]
    feet = [
        _foot_line(member, end.foot, end.cut, each)
        for member in cage.members
        for end in member.ends
        if isinstance(end.cut, FlatCut) and end.foot is not None
    ]
    return tuple(line for line in joints if len(line.phi)) + tuple(feet)


def _ring(cut: Cope | FlatCut, phi: Array) -> Array:
    """Unit (n, 3) out of the tube's outside at each angle round it."""
    side = np.cross(cut.axis, cut.zero)
    return np.cos(phi)[:, None] * cut.zero + np.sin(phi)[:, None] * side


def _joint_line(cage: Cage, member: Member, end: End, cut: Cope, each: int) -> WeldLoop:
    every = _stride(len(cut.phi), each)
    out = _ring(cut, cut.phi)
    points = cut.origin + cut.outside[:, None] * cut.axis + member.tube.radius * out
    run, along = _run(points, every)
    picked = np.arange(0, len(cut.phi), every)
    picked = picked[cut.on[picked] >= 0]
    mains = [member_named(cage, name) for name in cut.mains]
    normal = _main_normals(points[picked], [mains[i] for i in cut.on[picked]])
    assert end.joint is not None
    return WeldLoop(
        name=end.joint,
        kind="joint",
        branch=member.name,
        mains=cut.mains,
        phi=cut.phi[picked],
        step=2.0 * np.pi * every / len(cut.phi),
        points=points[picked],
        run=run[picked],
        along=along[picked],
        branch_normal=out[picked],
        main_normal=normal,
    )


def _foot_line(member: Member, foot: str, cut: FlatCut, each: int) -> WeldLoop:
    phi = np.linspace(0.0, 2.0 * np.pi, each, endpoint=False)
    out = _ring(cut, phi)
    radius = member.tube.radius
    rise = -radius * dot(out, cut.normal) / float(dot(cut.axis, cut.normal))
    points = cut.origin + radius * out + rise[:, None] * cut.axis
    run, along = _run(points, 1)
    return WeldLoop(
        name=foot,
        kind="foot",
        branch=member.name,
        mains=(),
        phi=phi,
        step=2.0 * np.pi / each,
        points=points,
        run=run,
        along=along,
        branch_normal=out,
        main_normal=np.broadcast_to(cut.normal, points.shape),
    )


def _stride(count: int, wanted: int) -> int:
    """The largest whole part of ``count`` that leaves at least ``wanted`` even points (1 where none does)."""
    return next(n for n in range(max(count // wanted, 1), 0, -1) if count % n == 0)


def _run(points: Array, every: int) -> tuple[Array, Array]:
    """Length of line (n,) that every ``every``-th point stands for, mm, and the line's direction (n, 3)."""
    chord = np.roll(points, -1, axis=0) - points
    around = np.concatenate([points[-1:], points, points[:1]])
    along = around[2:] - around[:-2]
    size = length(chord)
    # a point stands for half of each chord beside it, and for those of the points skipped around it
    half = (size + np.roll(size, 1)) / 2.0
    run = sum(np.roll(half, -k) for k in range(-((every - 1) // 2), every // 2 + 1))
    return np.asarray(run), along / np.maximum(length(along), 1e-12)[:, None]


def _main_normals(points: Array, mains: list[Member]) -> Array:
    """Unit (n, 3) out of the main tube met at each point."""
    normal = np.zeros_like(points)
    for name in {main.name for main in mains}:
        rows = np.array([i for i, main in enumerate(mains) if main.name == name])
        main = mains[rows[0]]
        axis = sample(main.path, sagitta=0.05)
        foot = _nearest_on_chords(points[rows], axis)
        off = points[rows] - foot
        normal[rows] = off / np.maximum(length(off), 1e-12)[:, None]
    return normal


def _nearest_on_chords(points: Array, axis: Array) -> Array:
    n, m = len(points), len(axis) - 1
    on = closest_on_segments(
        np.repeat(points, m, axis=0), np.tile(axis[:-1], (n, 1)), np.tile(axis[1:], (n, 1))
    ).reshape(n, m, 3)
    return on[np.arange(n), np.argmin(length(on - points[:, None]), axis=1)]


def closed_angle(line: WeldLoop) -> Array:
    """The angle (n,) between the two surfaces at each point, measured through the weld, rad."""
    return np.pi - np.arccos(np.clip(dot(line.branch_normal, line.main_normal), -1.0, 1.0))


def share(line: WeldLoop, of: Mask) -> float:
    """The share of the line's length for which ``of`` (n,) holds, 0 to 1."""
    return float(np.sum(line.run[of]) / np.sum(line.run))
