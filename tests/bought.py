"""Sets of bent tubes as a seller would make them: from a drafted cage, left long, notched or wider."""

from __future__ import annotations

import math

import numpy as np

from cagewright.base.vectors import signed_angle
from cagewright.shape.tube_shape import longer, shape_and_frame
from cagewright.shape.types import Cage, Cope, Member, member_named


def set_of(
    cage: Cage, *, title: str = "own set", wider: float = 0.0, spare: float = 25.0, notched=()
) -> dict:
    """The data of a set file with every tube of the cage, mirrored ones as pairs.

    Args:
        cage: drafted for the body that the set is made for.
        title: of the set.
        wider: by how much tubes that cross the car are longer in their middle, mm.
        spare: left on at each end that is not notched, mm.
        notched: roles whose coped ends are notched already.
    """
    tubes = {
        m.name: tube_of(cage, m, wider, spare, m.role in notched) for m in cage.members if not m.mirror_of
    }
    return {"cagewright_set": 1, "title": title, "tubes": tubes}


def tube_of(cage: Cage, member: Member, wider: float, spare: float, notched: bool) -> dict:
    """One tube of the set, as it would be measured."""
    shape, _ = shape_and_frame(member.path, member.bends)
    ends = [_notch(cage, member, i) if notched else None for i in (0, 1)]
    shape = longer(shape, *(-e.trim + (0.0 if n else spare) for e, n in zip(member.ends, ends, strict=True)))
    straights = [round(v, 3) for v in shape.straights]
    pair = any(m.mirror_of == member.name for m in cage.members)
    across = np.abs(member.path.pieces[-1].stop - member.path.pieces[0].start)
    if not pair and across[1] > 500.0:
        straights[len(straights) // 2] += wider
    turns = (0.0, *shape.clockings)[: len(shape.angles)]
    bends = [
        {"angle": f"{math.degrees(a):.5f} deg", "clr": r, "twist": f"{math.degrees(t):.5f} deg"}
        for a, r, t in zip(shape.angles, shape.radii, turns, strict=True)
    ]
    said = {"role": member.role, "od": member.tube.od, "wall": member.tube.wall, "steel": "E355+N"}
    said |= {"certificate": "3.1, made up", "straights": straights, "bends": bends}
    said |= {"start": ends[0] or "square", "end": ends[1] or "square"}
    return said | ({"twin": "mirrored"} if pair else {})


def _notch(cage: Cage, member: Member, which: int) -> dict | None:
    """The notch of an end that is cut on one tube."""
    end = member.ends[which]
    cope = end.cut
    if not isinstance(cope, Cope) or end.foot or len(cope.mains) > 1:
        return None
    shape, frame = shape_and_frame(member.path, member.bends)
    travel = cope.axis if which == 0 else -cope.axis
    inside = np.cross(frame.normal, travel)
    clocking = end.clocking if shape.angles else signed_angle(inside, cope.zero, travel)
    main = member_named(cage, cope.mains[0])
    return {
        "angle": f"{math.degrees(cope.angle):.4f} deg", "od": main.tube.od,
        "clocking": f"{math.degrees(clocking):.3f} deg",
    }  # fmt: skip
