"""Punch marks that a tape can reach: at bend tangents, at joints and ends, feet and named points."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from cagewright.base.curves import point_at, tangent_at
from cagewright.base.names import listed, shown
from cagewright.base.vectors import ACROSS, BACK, UP, Vector, length, square_to, unit
from cagewright.shape.shell import foot_plate
from cagewright.shape.types import Cage, Cope, End, Foot, Member

CLEAR = 20.0
"""A mark beside a cut stands this far clear of it, mm, so that the weld does not take it."""
CROWDED = 25.0
"""Marks on one member are no nearer to each other than this, mm; the first in order of worth stays."""
BESIDE = 10.0
"""A foot's mark on the car is this far outside its plate's corner, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A named point that a tape can reach.

    Attributes:
        name: ``main_hoop.bend1a`` on a tube, the foot's or point's own name on the car.
        member: the tube it is punched on, or None for a mark on the car.
        along: developed distance along that tube, mm; 0 on the car.
        point: (3,) on the tube's outside (or the car), where the plan wants it, mm.
        what: what stands there, in words.
        face: the side of the tube it is punched on, in words; empty on the car.
    """

    name: str
    member: str | None
    along: float
    point: Vector
    what: str
    face: str


def marks_of(cage: Cage, points: Mapping[str, Vector] | None = None) -> tuple[Mark, ...]:
    """Every mark: those on the car first, then tube by tube from its start.

    Args:
        cage: as resolved.
        points: the plan's named points (3,) mm, which are places on the car.
    """
    middle = np.mean([point_at(m.path, m.path.length / 2.0) for m in cage.members], axis=0)
    car = [_foot_mark(foot, middle) for foot in cage.feet]
    car += [
        Mark(name=name, member=None, along=0.0, point=np.asarray(at, float), what="the plan's point", face="")
        for name, at in (points or {}).items()
    ]
    tubes = [mark for member in cage.members for mark in _on_tube(cage, member, middle)]
    return (*{mark.name: mark for mark in car}.values(), *tubes)


def _foot_mark(foot: Foot, middle: Vector) -> Mark:
    corners = foot_plate(foot)
    near = corners[int(np.argmin(length(corners - middle)))]
    at = near + BESIDE * unit(near - foot.point)
    return Mark(
        name=foot.name, member=None, along=0.0, point=at,
        what=f"{BESIDE:g} mm outside the inner corner of the plate of foot {shown(foot.name)}", face="",
    )  # fmt: skip


def _on_tube(cage: Cage, member: Member, middle: Vector) -> Iterator[Mark]:
    """The tube's marks in order along it, none crowding one of more worth (ends, then bends, then joints)."""
    taken: list[tuple[float, str, str]] = []
    first, last = _inset(member.ends[0]), member.path.length - _inset(member.ends[1])
    for along, name, what in _places(cage, member):
        if first <= along <= last and all(abs(along - other) >= CROWDED for other, _, _ in taken):
            taken.append((along, name, what))
    for along, name, what in sorted(taken):
        out = _towards(member, along, middle)
        yield Mark(
            name=f"{member.name}.{name}",
            member=member.name,
            along=along,
            point=point_at(member.path, along) + member.tube.radius * out,
            what=what,
            face=face_words(out, point_at(member.path, along)),
        )


def _towards(member: Member, along: float, middle: Vector) -> Vector:
    """Unit (3,) square to the tube toward the middle of the cage, where tapes come from."""
    return square_to(tangent_at(member.path, along), middle - point_at(member.path, along))


def _places(cage: Cage, member: Member) -> Iterator[tuple[float, str, str]]:
    whole = member.path.length
    yield _inset(member.ends[0]), "start", f"near {_end_words(member.ends[0])}"
    yield whole - _inset(member.ends[1]), "end", f"near {_end_words(member.ends[1])}"
    for number, bend in enumerate(member.bends, start=1):
        yield bend.start, f"bend{number}a", f"bend {number} begins"
        yield bend.stop, f"bend{number}b", f"bend {number} ends"
    for joint in cage.joints:
        for main, along in zip(joint.mains, joint.along, strict=True):
            if main == member.name:
                yield along, f"at_{joint.branch}_{joint.which}", f"opposite the middle of {shown(joint.name)}"


def _inset(end: End) -> float:
    """How far from the path's end the mark clears the cut, mm."""
    if not isinstance(end.cut, Cope):
        return CLEAR
    met = end.cut.outside[np.isfinite(end.cut.outside)]
    return max(float(met.max(initial=0.0)), 0.0) + CLEAR


def _end_words(end: End) -> str:
    if end.foot:
        return f"foot {shown(end.foot)}"
    return f"its end on {listed(end.cut.mains)}" if isinstance(end.cut, Cope) else f"its {end.which}"


def face_words(out: Vector, at: Vector) -> str:
    """The side of a tube that ``out`` (3,) points to, at ``at`` (3,), in words."""
    inward = -np.sign(float(at[1])) or 1.0
    sides = {
        "roof side": UP, "floor side": -UP, "back": BACK, "front": -BACK,
        "inboard side": inward * ACROSS, "outboard side": -inward * ACROSS,
    }  # fmt: skip
    return max(sides, key=lambda side: float(sides[side] @ out))
