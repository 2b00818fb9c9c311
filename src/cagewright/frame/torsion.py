"""How stiff the cage alone is in torsion."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cagewright.frame.choices import Choices
from cagewright.frame.errors import parts_of
from cagewright.frame.idealise import FootPlace, Idealised, idealise
from cagewright.frame.linear import solve_linear
from cagewright.frame.model import FrameModel, Springs
from cagewright.frame.results import Torsion
from cagewright.shape.standing import names_of, seat_tubes
from cagewright.shape.types import Cage

WEAK = 1e-3
"""N/mm under each front foot, so that the cage does not swing about its rear feet."""


def torsion_of(cage: Cage, choices: Choices | None = None) -> Torsion | None:
    """The torsional stiffness of the cage alone, rear feet against front feet.

    The rearmost foot on each side is held against moving but free to turn; equal and opposite loads up and
    down on the foremost foot on each side turn it; every other foot of the cage is free. Stiffness is moment
    over the difference of the two vertical movements divided by their track. Small movements. None where the
    cage has no two front and two rear feet of its own (feet of tubes that carry a seat are left out).

    Raises:
        FrameError: the frame cannot stand, in the builder's words.
    """
    model = idealise(cage, replace(choices or Choices(), feet="rigid"))
    ends = _ends(cage, model)
    if ends is None:
        return None
    front, rear = ends
    frame = _freed(model, front, rear)
    track = abs(float(frame.nodes[front[1].node, 1] - frame.nodes[front[0].node, 1]))
    loads = np.zeros((1, len(frame.nodes), 6))
    loads[0, front[0].node, 2], loads[0, front[1].node, 2] = 1.0, -1.0
    moved = solve_linear(frame, loads).displacement[0]
    angle = (moved[front[0].node, 2] - moved[front[1].node, 2]) / track
    stiffness = track / angle * np.pi / 180.0 * 1e-3
    return Torsion(
        stiffness=float(stiffness),
        front=(front[0].foot.name, front[1].foot.name),
        rear=(rear[0].foot.name, rear[1].foot.name),
    )


Pair = tuple[FootPlace, FootPlace]


def _ends(cage: Cage, model: Idealised) -> tuple[Pair, Pair] | None:
    """The front pair and the rear pair of feet, left then right, of the cage's largest connected part."""
    part = parts_of(model.model)
    main = int(np.bincount(part[model.model.elements[:, 0]]).argmax())
    seats = names_of(seat_tubes(cage))
    own = [
        p for p in model.feet
        if part[p.node] == main and not seats.issuperset(p.foot.members)
    ]  # fmt: skip
    left = [p for p in own if p.foot.point[1] < 0.0]
    right = [p for p in own if p.foot.point[1] > 0.0]
    if len(left) < 2 or len(right) < 2:
        return None
    return (_most(left, -1.0), _most(right, -1.0)), (_most(left, 1.0), _most(right, 1.0))


def _most(feet: Sequence[FootPlace], sign: float) -> FootPlace:
    return max(feet, key=lambda p: sign * float(p.foot.point[0]))


def _freed(model: Idealised, front: Pair, rear: Pair) -> FrameModel:
    """The frame on its rear feet only, with other parts still held where they stand."""
    frame, part = model.model, parts_of(model.model)
    fixed = frame.fixed.copy()
    for place in model.feet:
        if part[place.node] == part[front[0].node]:
            fixed[place.node] = False
    for place in rear:
        fixed[place.node, :3] = True
    nodes = np.array([p.node for p in front], np.int64)
    weak = Springs(
        node=nodes, dof=np.array([2, 2], np.int64), stiffness=np.full(2, WEAK),
        capacity=np.full((2, 2), np.inf), names=("", ""),
    )  # fmt: skip
    return replace(frame, fixed=fixed, springs=weak)
