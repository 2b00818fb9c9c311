"""A frame whose feet stand on a rigid body that moves: the car under its cage.

What is the ground in a push is the body in a drop. The feet's springs and hinges are worked out in the body's
own axes, so that they are the same springs however the car turns.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cagewright.frame.assemble import Assembly, Topology, assembly, evaluate, held_dofs, new_topology
from cagewright.frame.kernels_arrays import Slots, Ties
from cagewright.frame.kernels_move import feet_pass
from cagewright.frame.kernels_ties import hinges_pass, springs_pass
from cagewright.frame.model import Floats, FrameModel, Ints, Springs

RIGID = (1e7, 1e11)
"""N/mm and N mm/rad that a foot called rigid is held to the body with: ten times what its tube has."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RigidBody:
    """A body that does not give.

    Attributes:
        mass: t.
        centre: (3,) mm, of mass, at rest.
        inertia: (3, 3) t mm2 about the centre, in the axes at rest.
    """

    mass: float
    centre: Floats
    inertia: Floats


@dataclass(slots=True, kw_only=True)
class Carried:
    """A frame ready to move, with its feet on a body or on the ground.

    Attributes:
        a: the frame, with all of its ties.
        joints: its ties between its own nodes.
        body: the body, or None where the frame stands on the ground.
        node: the body's node, always the last.
        own: the feet's ties.
        told: the ties that the frame was drawn with, without the stiff springs of what is held.
        feet: (f,) nodes that stand on the body.
        slots: where the feet's stiffness goes in the body's own axes: a block a foot.
        block: (f,) off-diagonal block between foot and body.
        flip: (f,) True where the body is eliminated first.
        seen: (n, 3) the nodes as the body sees them; scratch but for what does not move with the frame.
        turned: (n, 3, 3) their turns, likewise.
    """

    a: Assembly
    joints: Ties
    body: RigidBody | None = None
    node: int = -1
    own: Ties | None = None
    told: Ties
    feet: Ints
    slots: Slots | None = None
    block: Ints
    flip: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
    seen: Floats
    turned: Floats


def on_ground(model: FrameModel) -> Carried:
    """The frame on its own supports, which do not move."""
    a, none = assembly(model), np.zeros(0, np.int64)
    return Carried(
        a=a, joints=a.ties, told=a.ties, feet=none, block=none, flip=np.zeros(0, np.bool_),
        seen=np.zeros((0, 3)), turned=np.zeros((0, 3, 3)),
    )  # fmt: skip


def on_body(model: FrameModel, body: RigidBody) -> Carried:
    """The frame with everything that holds it held by ``body``; one node more, the body's, is the last.

    Raises:
        ValueError: a node is held in some ways only.
    """
    grounds = _grounds(model)
    whole = _standing_free(model, grounds, body)
    count = len(whole.nodes)
    joints = int((~np.isin(whole.hinges.ends[:, 0], grounds)).sum())
    feet = np.unique(np.concatenate([whole.springs.node, whole.hinges.ends[joints:, 1]]))
    base = assembly(whole)
    top = _with_body(whole, feet)
    pieces = len(whole.elements) + len(whole.bars.area) + len(whole.hinges.ends)
    c = len(top.active)
    a = replace(
        base, top=top, diag=np.zeros((c, 6, 6)), off=np.zeros((len(top.pattern.row), 6, 6)),
        sizes=np.zeros((c, 6)),
    )  # fmt: skip
    between = _part(_part(base.ties, "hinge_", slice(0, joints)), "spring_", slice(0, 0))
    return Carried(
        a=a, joints=between, told=_part(base.ties, "spring_", slice(0, len(model.springs.node))), body=body,
        node=count - 1, own=_part(base.ties, "hinge_", slice(joints, None)),
        feet=feet, slots=_own_slots(count, feet, len(whole.hinges.ends) - joints),
        block=top.slots.block[pieces:], flip=top.slots.flip[pieces:],
        seen=whole.nodes.copy(), turned=np.tile(np.eye(3), (count, 1, 1)),
    )  # fmt: skip


def _grounds(model: FrameModel) -> Ints:
    """Nodes that are only the ground's end of a foot's hinges."""
    first = np.unique(model.hinges.ends[:, 0])
    return first[model.fixed[first].all(axis=1) & ~np.isin(first, model.elements)]


def _standing_free(model: FrameModel, grounds: Ints, body: RigidBody) -> FrameModel:
    """The frame with the body's node, and stiff springs where it was held.

    Raises:
        ValueError: a node is held in some ways only.
    """
    held = np.flatnonzero(model.fixed.any(axis=1))
    held = held[~np.isin(held, grounds)]
    if not model.fixed[held].all():
        raise ValueError("a frame on a body is held wholly or by springs")
    s, more = model.springs, 6 * len(held)
    springs = Springs(
        node=np.concatenate([s.node, np.repeat(held, 6)]),
        dof=np.concatenate([s.dof, np.tile(np.arange(6), len(held))]),
        stiffness=np.concatenate([s.stiffness, np.tile(np.repeat(RIGID, 3), len(held))]),
        capacity=np.concatenate([s.capacity, np.full((more, 2), np.inf)]),
        names=(*s.names, *("held",) * more),
    )
    fixed = np.zeros((len(model.nodes) + 1, 6), np.bool_)
    fixed[grounds] = True
    return replace(model, nodes=np.vstack([model.nodes, body.centre]), fixed=fixed, springs=springs)


def _with_body(model: FrameModel, feet: Ints) -> Topology:
    node = len(model.nodes) - 1
    held = held_dofs(model)
    held[node] = False
    legs = np.stack([feet, np.full(len(feet), node)], axis=1)
    return new_topology(held, np.concatenate([model.elements, model.bars.ends, model.hinges.ends, legs]))


def _part(ties: Ties, prefix: str, rows: slice) -> Ties:
    """``ties`` with only some rows of one kind, as views: what they remember is shared."""
    return ties._replace(**{f: getattr(ties, f)[rows] for f in ties._fields if f.startswith(prefix)})


def _own_slots(count: int, feet: Ints, hinges: int) -> Slots:
    column = np.full(count, -1, np.int64)
    column[feet] = np.arange(len(feet))
    return Slots(
        column=column, free=np.ones((count, 6)), partly=np.zeros(count, np.uint8),
        block=np.full(hinges, -1, np.int64), flip=np.zeros(hinges, np.bool_),
    )  # fmt: skip


def evaluate_carried(c: Carried, x: Floats, r: Floats) -> None:
    """Fill the frame's forces and blocks at places ``x`` (n, 3) and rotations ``r`` (n, 3, 3)."""
    whole, c.a.ties = c.a.ties, c.joints
    evaluate(c.a, x, r)
    c.a.ties = whole
    if c.body is None or c.own is None or c.slots is None:
        return
    a, feet, turn, seen, turned = c.a, c.feet, r[c.node], c.seen, c.turned
    seen[feet] = c.body.centre + (x[feet] - x[c.node]) @ turn
    turned[feet] = turn.T @ r[feet]
    force, local = np.zeros((len(x), 6)), np.zeros((len(feet), 6, 6))
    springs_pass(c.own, c.slots, a.model.nodes, seen, turned, force, local, True)
    if len(c.own.hinge_ends):
        hinges_pass(c.own, c.slots, seen, turned, force, local, a.off, True, 0)
    column = a.top.slots.column
    feet_pass(feet, c.node, x, r, force, local, column, c.block, c.flip, a.force, a.diag, a.off, True)
