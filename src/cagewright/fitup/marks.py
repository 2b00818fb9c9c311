"""Places that a hand can put a tape on: punch marks on tubes, plate corners, measured points of the body."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from cagewright.base.curves import point_at, tangent_at
from cagewright.base.names import listed, shown
from cagewright.base.vectors import ACROSS, BACK, UP, Vector, length, square_to, unit
from cagewright.shape.feet import foot_plate
from cagewright.shape.types import Cage, Cope, End, Foot, Joint, Member, member_named

CLEAR = 20.0
"""A mark beside a cut stands this far clear of it, mm, so that the weld does not take it."""
CROWDED = 25.0
"""Marks on one member are no nearer to each other than this, mm; the first in order of worth stays."""
BESIDE = 10.0
"""A foot's mark on the car is this far outside its plate's corner, mm."""
MEASURED = 1.0
"""Standard deviation of a measured place on the body, mm (assumed: a tape's)."""
APART = 100.0
"""Bends of a tube this far apart are told apart by where they are, mm."""
ROUGHLY = (("front", "rear"), ("left", "right"), ("lower", "upper"))
"""Words for the smaller and the larger coordinate: back, across, up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A place that a hand can put a tape on.

    Attributes:
        name: ``main_hoop.bend1a`` on a tube, the foot's, the point's or the line's own name on the car.
        said: the same in plain words: main hoop upper left bend, below it.
        member: the tube it is punched on, or None for a mark on the car.
        along: developed distance along that tube, mm; 0 on the car.
        point: (3,) on the tube's outside (or the car), where the plan wants it, mm.
        what: what stands there, in words.
        face: the side of the tube it is punched on, in words; empty on the car.
        known: standard deviation of its own place, mm; 0 where it is punched to the plan.
    """

    name: str
    said: str
    member: str | None
    along: float
    point: Vector
    what: str
    face: str
    known: float = 0.0


def marks_of(
    cage: Cage, points: Mapping[str, Vector] | None = None, lines: Mapping[str, Vector] | None = None
) -> tuple[Mark, ...]:
    """Every mark: those on the car first, then tube by tube from its start.

    Args:
        cage: as resolved.
        points: named points (3,) mm that are places on the car, and no construction of a tube or a foot.
        lines: body lines (n, 3) mm as they were measured; each of their points is a place on the car.
    """
    middle = np.mean([point_at(m.path, m.path.length / 2.0) for m in cage.members], axis=0)
    car = [_foot_mark(foot, middle) for foot in cage.feet]
    car += [_car_mark(name, shown(name), at, "the plan's point", 0.0) for name, at in (points or {}).items()]
    car += [
        _car_mark(f"{name}.{n}", f"{shown(name)}, point {n}", at, "a measured point of the body", MEASURED)
        for name, line in (lines or {}).items()
        for n, at in enumerate(line, start=1)
    ]
    tubes = [mark for member in cage.members for mark in _on_tube(cage, member, middle)]
    return (*{mark.name: mark for mark in car}.values(), *tubes)


def _car_mark(name: str, said: str, at: Vector, what: str, known: float) -> Mark:
    return Mark(
        name=name, said=said, member=None, along=0.0, point=np.asarray(at, float), what=what, face="",
        known=known,
    )  # fmt: skip


def _foot_mark(foot: Foot, middle: Vector) -> Mark:
    corners = foot_plate(foot) - foot.raised * foot.normal  # a box's mark is on the shell under it
    near = corners[int(np.argmin(length(corners - middle)))]
    what = f"{BESIDE:g} mm outside the inner corner of the plate of foot {shown(foot.name)}"
    at = near + BESIDE * unit(near - foot.point + foot.raised * foot.normal)
    return _car_mark(foot.name, f"plate of foot {shown(foot.name)}, inner corner", at, what, 0.0)


def _on_tube(cage: Cage, member: Member, middle: Vector) -> Iterator[Mark]:
    """The tube's marks in order along it, none crowding one of more worth (ends, then bends, then joints)."""
    taken: list[tuple[float, str, str, str]] = []
    first, last = _inset(member.ends[0]), member.path.length - _inset(member.ends[1])
    for place in _places(cage, member):
        along = place[0]
        if first <= along <= last and all(abs(along - other[0]) >= CROWDED for other in taken):
            taken.append(place)
    for along, name, said, what in sorted(taken):
        out = _towards(member, along, middle)
        yield Mark(
            name=f"{member.name}.{name}",
            said=f"{shown(member.name)}{said}",
            member=member.name,
            along=along,
            point=point_at(member.path, along) + member.tube.radius * out,
            what=what,
            face=face_words(out, point_at(member.path, along)),
        )


def _towards(member: Member, along: float, middle: Vector) -> Vector:
    """Unit (3,) square to the tube toward the middle of the cage, where tapes come from."""
    return square_to(tangent_at(member.path, along), middle - point_at(member.path, along))


def _places(cage: Cage, member: Member) -> Iterator[tuple[float, str, str, str]]:
    """Along the tube (mm), name, plain name behind the tube's, and what stands there."""
    whole = member.path.length
    for i, along in enumerate((_inset(member.ends[0]), whole - _inset(member.ends[1]))):
        end = member.ends[i]
        yield along, ("start", "end")[i], f", {end_words(member, i)}", f"near {_end_words(end)}"
    for number, bend in enumerate(member.bends, start=1):
        at = f" {_which_bend(member, number)}"
        middle = point_at(member.path, (bend.start + bend.stop) / 2.0)
        for letter, along, what in (("a", bend.start, "begins"), ("b", bend.stop, "ends")):
            side = beside_words(point_at(member.path, along) - middle, float(middle[1]))
            yield along, f"bend{number}{letter}", f"{at}, {side}", f"bend {number} {what}"
    for joint in cage.joints:
        for main, along in zip(joint.mains, joint.along, strict=True):
            if main == member.name:
                at = f" at {shown(joint.branch)}{_which_end(cage, joint, member.name)}"
                yield (
                    along,
                    f"at_{joint.branch}_{joint.which}",
                    at,
                    f"opposite the middle of {shown(joint.name)}",
                )


def _which_bend(member: Member, number: int) -> str:
    """The bend by where it is on the tube: ``upper left bend``; by its number where that says too little."""
    if len(member.bends) == 1:
        return "bend"
    apexes = np.array([b.apex for b in member.bends])
    middle = (apexes.max(axis=0) + apexes.min(axis=0)) / 2.0
    apart = np.ptp(apexes, axis=0) >= APART
    for axes in ((1,), (2,), (0,), (2, 1), (2, 0), (0, 1)):
        words = [" ".join(ROUGHLY[a][int(p[a] > middle[a])] for a in axes) for p in apexes]
        if apart[list(axes)].all() and len(set(words)) == len(words):
            return f"{words[number - 1]} bend"
    return f"bend {number}"


def _which_end(cage: Cage, joint: Joint, main: str) -> str:
    """Which end of the branch, where both meet the main."""
    twice = sum(j.branch == joint.branch and main in j.mains for j in cage.joints) > 1
    branch = member_named(cage, joint.branch)
    return f", its {end_words(branch, ('start', 'end').index(joint.which))}" if twice else ""


def end_words(member: Member, i: int) -> str:
    """Which end: top or bottom where it rises, else left or right, front or rear."""
    here, there = (member.ends[k].cut.origin for k in (i, 1 - i))
    gap = here - there
    axis = 2 if abs(gap[2]) > 0.5 * float(np.sqrt(gap @ gap)) else int(np.argmax(np.abs(gap)))
    words = (("front end", "rear end"), ("left end", "right end"), ("bottom", "top"))
    return words[axis][int(gap[axis] > 0.0)]


def beside_words(way: Vector, across: float) -> str:
    """Where a place lies from another that is ``way`` (3,) off and ``across`` mm off the centre line."""
    axis = int(np.argmax(np.abs(way)))
    plain = {
        "forward": "ahead of it", "back": "behind it", "up": "above it", "down": "below it", "in": "inboard",
        "out": "outboard", "left": "left of it", "right": "right of it",
    }  # fmt: skip
    return plain[direction_words(axis, bool(way[axis] > 0.0), across)]


def direction_words(axis: int, positive: bool, across: float) -> str:
    """``back``, ``forward``, ``in``, ``out``, ``left``, ``right``, ``up`` or ``down`` for one axis.

    Args:
        axis: 0 back, 1 across, 2 up.
        positive: which way along it.
        across: of the place, mm; in and out are told from the centre line where it is clear of it.
    """
    if axis == 0:
        return "back" if positive else "forward"
    if axis == 2:
        return "up" if positive else "down"
    if abs(across) < 50.0:
        return "right" if positive else "left"
    return "out" if positive == (across > 0.0) else "in"


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
