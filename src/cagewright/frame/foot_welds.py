"""Welds at the feet that are not all round: where they are in the frame, and how much of them is used."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.base.vectors import UP, Vector, cross, square_to
from cagewright.frame.mesh import FrameMesh
from cagewright.frame.weld_arcs import WeldLine, weld_line
from cagewright.frame.yields import tensile_of
from cagewright.shape.types import Cage, Member

PLATE_TENSILE = 360.0
"""fu of a foot plate, MPa: mild plate as S235 has it (EN 1993-1-1 Table 3.1, from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FootWeld:
    """The weld of a member's end on its foot plate, where it is open in places or has a throat of its own.

    Attributes:
        foot: name.
        member: name.
        element: the member's element there.
        part: 0 where that element starts at the foot, 1 where it stops there.
        in_plane: unit (3,) axis square to the member, and up as near as can be.
        out_of_plane: unit (3,) axis square to both.
        line: the weld.
    """

    foot: str
    member: str
    element: int
    part: int
    in_plane: Vector
    out_of_plane: Vector
    line: WeldLine


def foot_welds(cage: Cage, mesh: FrameMesh) -> tuple[FootWeld, ...]:
    """Every such weld; a weld all round with the tube's wall as throat is taken as sound."""
    return tuple(
        _weld(mesh, member, which)
        for member in cage.members
        for which, end in enumerate(member.ends)
        if end.foot is not None and (end.open or end.throat is not None)
    )


def _weld(mesh: FrameMesh, member: Member, which: int) -> FootWeld:
    end = member.ends[which]
    axis = end.cut.axis
    # an upright member has no side that faces up
    first = square_to(axis, UP if abs(float(axis @ UP)) < 0.99 else np.array([1.0, 0.0, 0.0]))
    second = cross(axis, first)
    tensile = min(tensile_of(member.tube.steel), PLATE_TENSILE)
    return FootWeld(
        foot=end.foot or "",
        member=member.name,
        element=mesh.end_element(member.name, which),
        part=which,
        in_plane=first,
        out_of_plane=second,
        line=weld_line(end, member.tube, (first, second), tensile),
    )
