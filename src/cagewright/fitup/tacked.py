"""The cage part-built as a frame: members that are there, welded joints stiff, tacks as hinges."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

import numpy as np

from cagewright.frame.choices import Choices
from cagewright.frame.idealise import Idealised, idealise, node_at
from cagewright.frame.model import Floats, FrameModel, LinearSolution, Springs
from cagewright.shape.types import Cage, Cope, End, FlatCut, Joint, Member

TACK_TURN = 1e4
"""Stiffness of a tack against turning, N mm/rad: next to nothing, so that a hinged tube has one place."""
MESH = 80.0
"""Longest element of a part-built frame, mm: nothing yields here and straights are exact."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartBuilt:
    """A part-built cage as a frame.

    Attributes:
        cage: the members that are there, ends that meet nothing cut off square.
        frame: the same idealised, every joint a hinge row in the joints' order.
        model: the frame with tacks soft against turning.
    """

    cage: Cage
    frame: Idealised
    model: FrameModel


def part_built(
    cage: Cage, *, present: Collection[str], welded: Collection[str], open_ends: Collection[str] = ()
) -> PartBuilt:
    """The frame of what is there.

    Args:
        cage: the whole cage.
        present: names of the members that are there.
        welded: names of welded joints and feet; the rest are tacked.
        open_ends: ``member.start`` or ``member.end`` of ends that touch nothing yet.

    Raises:
        FrameError: what is there stands on nothing, or a part of it hangs in the air.
    """
    part = part_of(cage, present, open_ends)
    choices = Choices(
        joints="report", flexibility=0.0, feet="rigid", mesh=MESH, plates=False, softened="none"
    )
    frame = idealise(part, choices)
    return PartBuilt(cage=part, frame=frame, model=_tacked(frame, welded))


def part_of(cage: Cage, present: Collection[str], open_ends: Collection[str] = ()) -> Cage:
    """The members that are there with the joints and feet they make."""
    joints = tuple(
        _with_mains(j, present)
        for j in cage.joints
        if j.branch in present and not set(j.mains).isdisjoint(present) and j.name not in open_ends
    )
    made = {j.name: j for j in joints}
    members = tuple(_with_ends(m, made, open_ends) for m in cage.members if m.name in present)
    standing = {e.foot: m.name for m in members for e in m.ends if e.foot}
    feet = tuple(
        replace(f, members=tuple(n for n in f.members if n in present))
        for f in cage.feet
        if f.name in standing
    )
    return replace(cage, members=members, joints=joints, feet=feet, plates=(), gussets=(), pushes=())


def _with_mains(joint: Joint, present: Collection[str]) -> Joint:
    kept = [(m, s) for m, s in zip(joint.mains, joint.along, strict=True) if m in present]
    return replace(joint, mains=tuple(m for m, _ in kept), along=tuple(s for _, s in kept))


def _with_ends(member: Member, made: dict[str, Joint], open_ends: Collection[str]) -> Member:
    start, end = (_end(member, e, made, open_ends) for e in member.ends)
    return replace(member, ends=(start, end))


def _end(member: Member, end: End, made: dict[str, Joint], open_ends: Collection[str]) -> End:
    end = replace(end, open=(), throat=None)
    joint = made.get(end.joint or "")
    if joint is not None and isinstance(end.cut, Cope):
        return replace(end, cut=replace(end.cut, mains=joint.mains))
    if joint is not None:
        return end
    name = f"{member.name}.{end.which}"
    if end.foot and name not in open_ends:
        return end
    cut = end.cut
    square = FlatCut(
        origin=cut.origin, axis=cut.axis, normal=cut.axis, zero=cut.zero, tilt=0.0,
        weld_length=np.pi * member.tube.od if member.tube.is_round else cut.weld_length,
    )  # fmt: skip
    return replace(end, cut=square, joint=None, foot=None)


def _tacked(frame: Idealised, welded: Collection[str]) -> FrameModel:
    model = frame.model
    soft = [i for i, p in enumerate(frame.joints) if p.joint.name not in welded]
    stiffness = model.hinges.stiffness.copy()
    if soft:
        stiffness[soft, 3:] = TACK_TURN
    nodes = [p.node for p in frame.feet if p.foot.name not in welded]
    fixed = model.fixed.copy()
    fixed[nodes, 3:] = False
    return replace(
        model,
        fixed=fixed,
        hinges=replace(model.hinges, stiffness=stiffness),
        springs=_with_turn_springs(model.springs, nodes),
    )


def _with_turn_springs(springs: Springs, nodes: list[int]) -> Springs:
    """The springs, and three soft ones against turning at each of the nodes."""
    count = 3 * len(nodes)
    return Springs(
        node=np.concatenate([springs.node, np.repeat(np.array(nodes, np.int64), 3)]),
        dof=np.concatenate([springs.dof, np.tile(np.array([3, 4, 5]), len(nodes))]),
        stiffness=np.concatenate([springs.stiffness, np.full(count, TACK_TURN)]),
        capacity=np.concatenate([springs.capacity, np.full((count, 2), np.inf)]),
        names=(*springs.names, *["a tacked foot"] * count) if springs.names or count else (),
    )


def end_node(part: PartBuilt, member: str, which: str) -> int:
    """The node at a member's end."""
    whole = next(m.path.length for m in part.cage.members if m.name == member)
    return node_at(part.frame, member, 0.0 if which == "start" else whole)


def bending_stress(part: PartBuilt, solution: LinearSolution, case: int) -> Floats:
    """(m,) largest |N|/A + M r/I in each element, MPa (beam theory)."""
    s, f = part.model.sections, solution.forces[case]
    moment = np.maximum(np.hypot(f[:, 2], f[:, 3]), np.hypot(f[:, 4], f[:, 5]))
    return np.abs(f[:, 0]) / s.area + moment * s.radius / s.inertia_z
