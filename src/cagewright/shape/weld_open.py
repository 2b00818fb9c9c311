"""Where a weld is left out, from the plan's words to arcs of the cut's phi."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from cagewright.base.problems import Problem
from cagewright.base.vectors import ACROSS, BACK, UP, Vector, dot, mirrored, signed_angle, square_to, turn
from cagewright.plan.types import WeldEntry
from cagewright.shape.located import Locate, Path, Refused
from cagewright.shape.types import End, Member

if TYPE_CHECKING:
    from cagewright.shape.drafts import Draft

QUARTER = math.pi / 2.0
"""A side named by a word is a quarter of the way round."""
LEAST_LEAN = math.sin(math.radians(20.0))
"""A tube that runs within 20 degrees of a direction has no side that faces it."""
WAYS: Mapping[str, Vector] = {"top": UP, "bottom": -UP, "front": -BACK, "rear": BACK}


def welds_opened(
    members: Sequence[Member], drafts: Sequence[Draft], where: Locate
) -> tuple[tuple[Member, ...], list[Problem]]:
    """The members with their ends' unwelded arcs, and the problems met."""
    by_name = {draft.name: draft for draft in drafts}
    done: dict[str, Member] = {}
    problems: list[Problem] = []
    for member in members:
        draft = by_name[member.name]
        original = done.get(draft.mirror_of) if draft.mirror_of else None
        done[member.name] = (
            _as_twin(member, original) if original else _opened(member, draft, where, problems)
        )
    return tuple(done.values()), problems


def _as_twin(member: Member, original: Member) -> Member:
    """The member open where its original is, seen in the car's centre plane."""
    first, last = (
        replace(
            end,
            open=tuple(_mirrored(arc, other, end) for arc in other.open),
            throat=other.throat,
            bridges=other.bridges,
        )
        for end, other in zip(member.ends, original.ends, strict=True)
    )
    return replace(member, ends=(first, last))


def _mirrored(arc: tuple[float, float], original: End, end: End) -> tuple[float, float]:
    # by directions, not by angles: a cope square to its main may have its zero on either side
    stop = turn(original.cut.zero, original.cut.axis, arc[1])
    start = signed_angle(end.cut.zero, square_to(end.cut.axis, mirrored(stop)), end.cut.axis)
    return start, start + arc[1] - arc[0]


def _opened(member: Member, draft: Draft, where: Locate, problems: list[Problem]) -> Member:
    welds = draft.entry.welds
    if welds is None:
        return member
    ends = list(member.ends)
    for i, (which, weld) in enumerate((("start", welds.start), ("end", welds.end))):
        if weld is None:
            continue
        try:
            ends[i] = _end(member, ends[i], weld, (*draft.path, "welds", which, "open"), where)
        except Refused as refused:
            problems.append(refused.problem)
    return replace(member, ends=(ends[0], ends[1]))


def _end(member: Member, end: End, weld: WeldEntry, path: Path, where: Locate) -> End:
    if end.joint is None and end.foot is None:
        found = f"the {end.which} of '{member.name}' is welded to nothing"
        raise _refused(path, where, found, "leave its weld out")
    arcs = [_arc(member, end, part, path, where) for part in weld.open]
    if open_share(tuple(arcs)) > 1.0 - 1e-3:
        found = f"no weld is left at the {end.which} of '{member.name}'"
        raise _refused(path, where, found, "leave some of it welded, or the member out")
    return replace(end, open=tuple(arcs), throat=weld.throat, bridges=weld.gap)


def open_share(arcs: tuple[tuple[float, float], ...]) -> float:
    """Part of the way round that is inside any of the arcs, 0 to 1 (to a thousandth)."""
    return float(inside_arcs(np.linspace(0.0, 2.0 * np.pi, 2000, endpoint=False), arcs).mean())


def inside_arcs(phi: Vector, arcs: tuple[tuple[float, float], ...]) -> Vector:
    """Which of the angles ``phi`` (n,) lie in any of the arcs, as 0 and 1."""
    inside = np.zeros(phi.shape, np.bool_)
    for start, stop in arcs:
        inside |= np.mod(phi - start, 2.0 * np.pi) < stop - start
    return inside.astype(float)


def _arc(
    member: Member, end: End, part: str | tuple[float, float], path: Path, where: Locate
) -> tuple[float, float]:
    if isinstance(part, str):
        middle = signed_angle(end.cut.zero, _facing(member, end, part, path, where), end.cut.axis)
        return middle - QUARTER / 2.0, middle + QUARTER / 2.0
    start, stop = part
    if stop == start:
        raise _refused(path, where, "the open arc starts where it stops", "give two different angles")
    return start, start + min((stop - start) % (2.0 * np.pi) or 2.0 * np.pi, 2.0 * np.pi)


def _facing(member: Member, end: End, word: str, path: Path, where: Locate) -> Vector:
    way = WAYS.get(word)
    if way is None:
        side = float(end.cut.origin[1])
        if abs(side) < 1.0:
            found = f"the {end.which} of '{member.name}' is on the car's centre plane"
            raise _refused(path, where, found, f"give angles in place of '{word}'")
        way = ACROSS * math.copysign(1.0, side) * (1.0 if word == "outside" else -1.0)
    lean = float(np.sqrt(max(1.0 - float(dot(way, end.cut.axis)) ** 2, 0.0)))
    if lean < LEAST_LEAN:
        found = f"'{member.name}' runs {word} at its {end.which}, so no side of it faces that way"
        raise _refused(path, where, found, "give another word, or two angles")
    return square_to(end.cut.axis, way)


def _refused(path: Path, where: Locate, found: str, wanted: str) -> Refused:
    return Refused(Problem(code="open-weld", where=where(path), found=found, wanted=wanted))
