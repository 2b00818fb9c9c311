"""The numbers of pieces and welds as the papers have them, and the axes that bends turn about."""

from __future__ import annotations

from dataclasses import dataclass

from cagewright.base.curves import Arc, point_at
from cagewright.base.names import shown
from cagewright.base.vectors import Vector, cross, triple
from cagewright.job.opening import Job
from cagewright.make.weldmap import Weld, weld_map
from cagewright.shape.types import Cage

Vec3 = tuple[float, float, float]
BEYOND = 90.0
"""A bend's axis is drawn so far to either side of the tube, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbered:
    """A piece or a weld: its number, what it is, and where that is written, mm."""

    number: int
    words: str
    point: Vec3


@dataclass(frozen=True, slots=True, kw_only=True)
class BendAxis:
    """The line that a bend turns about, through the middle of its arc, mm."""

    words: str
    start: Vec3
    stop: Vec3


@dataclass(frozen=True, slots=True, kw_only=True)
class CageNumbers:
    """Pieces by the views' key, welds by the weld map, and every bend's axis."""

    pieces: tuple[Numbered, ...]
    welds: tuple[Numbered, ...]
    bends: tuple[BendAxis, ...]


def numbers_of(job: Job) -> CageNumbers:
    """The numbers of the plan's pieces and welds."""
    return job.cache.get(("numbers", job.key), lambda: _numbers(job.cage))


def _numbers(cage: Cage) -> CageNumbers:
    pieces = tuple(
        Numbered(number=n + 1, words=shown(m.name), point=triple(point_at(m.path, m.path.length / 2.0)))
        for n, m in enumerate(cage.members)
    )
    welds = tuple(
        Numbered(number=n + 1, words=f"{shown(w.name)}, {w.kind}", point=triple(at))
        for n, w in enumerate(weld_map(cage).welds)
        if (at := _place(cage, w)) is not None
    )
    bends = tuple(
        _axis(f"{shown(m.name)}, bend {n + 1}", arc)
        for m in cage.members
        for n, arc in enumerate(piece for piece in m.path.pieces if isinstance(piece, Arc))
    )
    return CageNumbers(pieces=pieces, welds=welds, bends=bends)


def _place(cage: Cage, weld: Weld) -> Vector | None:
    """Where the weld is: its joint, foot, gusset, or the first corner of its plate."""
    named = {j.name: j.point for j in cage.joints} | {f.name: f.point for f in cage.feet}
    named |= {g.name: g.point for g in cage.gussets} | {p.name: p.corners[0] for p in cage.plates}
    found = named.get(weld.name)
    if found is None or weld.kind != "foot plate to shell":
        return found
    foot = next(f for f in cage.feet if f.name == weld.name)
    return found - 0.5 * foot.plate[2] * foot.normal


def _axis(words: str, arc: Arc) -> BendAxis:
    along = BEYOND * cross(arc.u, arc.v)
    return BendAxis(words=words, start=triple(arc.centre - along), stop=triple(arc.centre + along))
