"""Couplings set into the straights of finished members, and what is in the way of them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from cagewright.base.curves import Chain, Line, nearest, point_at, tangent_at
from cagewright.base.problems import Problem
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.plan.types import CouplingEntry
from cagewright.shape.drafts import Draft
from cagewright.shape.located import Locate
from cagewright.shape.part_types import Coupling
from cagewright.shape.types import Cope, End, Member
from cagewright.stock.bolts import bolt_of, grade_named
from cagewright.stock.couplings import usual_couplings
from cagewright.stock.tubes import Tube

ROUND_LUG = 5.0
"""Clear of a lug's round end and of the other tube's, mm (common practice)."""
SLIDES = 0.5
"""Clear of a sleeve over or in a tube, on the diameter, mm (common practice)."""
BESIDE = 5.0
"""Straight tube beside a coupling, before a bend or a cut begins, mm (common practice)."""
SLEEVE_LONG = 4.0
"""Diameters of the tube that an inner sleeve is long where nobody says (common practice, no source)."""


def couplings_set(
    members: Sequence[Member], drafts: Sequence[Draft], where: Locate, units: LengthUnit
) -> tuple[tuple[Member, ...], list[Problem]]:
    """The members with their couplings and caps, and the problems met, a twin's told with its original's."""
    entries = {draft.name: draft for draft in drafts}
    made = {m.name: _set(m, entries[m.name]) for m in members}
    problems = [
        Problem(code=f.code, where=where((*entries[m.name].path, *f.keys)), found=f.found, wanted=f.wanted)
        for m in made.values()
        for f in _faults(m, entries[m.name], made, units)
        if entries[m.name].mirror_of is None
    ]
    return tuple(made.values()), problems


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fault:
    code: str
    keys: tuple[str | int, ...]
    found: str
    wanted: str


def _set(member: Member, draft: Draft) -> Member:
    entry = draft.entry
    caps = (0.0, 0.0) if entry.caps is None else (entry.caps.start or 0.0, entry.caps.end or 0.0)
    if not entry.couplings:
        return member if not any(caps) else replace(member, caps=caps)
    made = [coupling_of(member.name, k, e, member.path, member.tube) for k, e in enumerate(entry.couplings)]
    loose = member.removable or any(c.parts for c in made)
    return replace(member, couplings=tuple(made), caps=caps, removable=loose)


def coupling_of(member: str, number: int, entry: CouplingEntry, path: Chain, tube: Tube) -> Coupling:
    """The coupling on that path, its sizes as the plan says or as usual."""
    usual, bolts = usual_couplings()[entry.kind], entry.bolts
    along = entry.along if entry.end == "start" else path.length - entry.along
    thickness = entry.thickness or usual.thickness or tube.wall
    size = (bolts.size if bolts else None) or usual.bolt
    count = (bolts.count if bolts else None) or usual.count
    width, length, gap = _sizes(entry, usual.width, usual.length, tube, thickness, size)
    given = (entry.thickness, entry.width or entry.length, bolts and bolts.size, bolts and bolts.count)
    return Coupling(
        name=f"{member} coupling {number + 1}", kind=entry.kind, along=along, point=point_at(path, along),
        axis=tangent_at(path, along), od=tube.od, wall=tube.wall, thickness=thickness, width=width,
        length=length, gap=gap, count=count, bolt=size, grade=(bolts.grade if bolts else "") or usual.grade,
        slip=bolts.slip if bolts else None, source="" if all(given) else usual.source,
    )  # fmt: skip


def _sizes(
    entry: CouplingEntry, width: float, length: float, tube: Tube, thickness: float, bolt: float
) -> tuple[float, float, float]:
    """Outside across the tube, length all told, and what is taken out of the tube, mm."""
    if entry.kind == "flange":
        return entry.width or tube.od + 6.0 * bolt, 2.0 * thickness, 2.0 * thickness
    if entry.kind == "double lug":
        wide = entry.width or width
        gap = wide + 2.0 * ROUND_LUG
        return wide, gap + 2.0 * tube.od, gap
    if entry.kind == "inner sleeve":
        return tube.bore - SLIDES, entry.length or SLEEVE_LONG * tube.od, 0.0
    return tube.od + SLIDES + 2.0 * thickness, entry.length or length, 0.0


# --- what is in the way


def _faults(
    member: Member, draft: Draft, members: Mapping[str, Member], units: LengthUnit
) -> Iterator[_Fault]:
    for i, coupling in enumerate(member.couplings):
        keys = ("couplings", i)
        if not member.tube.is_round:
            yield _Fault(code="not-a-tube", keys=keys, found=f"'{member.name}' is a rail and has a coupling",
                         wanted="wanted couplings: only on round tube")  # fmt: skip
            continue
        yield from _own_faults(coupling, draft.entry.couplings[i], keys, units)
        yield from _room_faults(member, coupling, keys, units)
        yield from _clashes(member, coupling, members, keys, units)


def _own_faults(
    c: Coupling, entry: CouplingEntry, keys: tuple[str | int, ...], units: LengthUnit
) -> Iterator[_Fault]:
    """What of its own sizes does not go together."""

    def told(key: str, found: str, wanted: str) -> _Fault:
        return _Fault(code="coupling-size", keys=(*keys, key), found=f"{c.name} {found}", wanted=wanted)

    size, grade = bolt_of(c.bolt), grade_named(c.grade)
    if c.parts and size is None:
        known = "5, 6, 8, 10, 12, 14, 16, 20 mm or 1/4, 5/16, 3/8, 7/16, 1/2 in"
        yield told("bolts", f"has bolts of {say_length(c.bolt, units)}", f"wanted {known}")
    if c.parts and grade is None:
        yield told("bolts", f"has bolts of grade '{c.grade}'", "wanted a grade such as 8.8, 10.9 or 8")
    least = c.od + 2.0 * (c.hole + c.bolt)
    if c.kind == "flange" and c.width < least:
        wanted = f"wanted at least {say_length(least, units)}: the bolts stand beside the tube"
        yield told("width", f"has flanges of {say_length(c.width, units)}", wanted)
    if c.kind == "double lug" and c.width < 2.0 * c.hole:
        yield told("width", f"has lugs {say_length(c.width, units)} wide",
                   f"wanted at least {say_length(2.0 * c.hole, units)}, twice the pin's hole")  # fmt: skip
    if c.kind == "double lug" and 4.0 * c.thickness + 2.0 * SLIDES > c.od:
        most = say_length((c.od - 2.0 * SLIDES) / 4.0, units)
        yield told("thickness", f"has lugs {say_length(c.thickness, units)} thick, four of which are wider "
                   "than the tube", f"wanted at most {most}")  # fmt: skip
    if c.kind == "inner sleeve" and c.width <= 2.0 * c.thickness:
        yield told("thickness", "has a sleeve without a bore", "wanted a thinner wall")
    if "sleeve" in c.kind and c.parts and c.length / 2.0 / (c.count + 1) < 1.2 * c.hole:
        least = 2.4 * c.hole * (c.count + 1)
        yield told("length", f"is {say_length(c.length, units)} long",
                   f"wanted at least {say_length(least, units)}: its bolts stand 1.2 holes from the tube's "
                   "end and from each other")  # fmt: skip
    del entry


def _room_faults(
    member: Member, c: Coupling, keys: tuple[str | int, ...], units: LengthUnit
) -> Iterator[_Fault]:
    """A fault where the coupling does not stand on one straight, clear of bends, cuts and its neighbours."""
    half = c.length / 2.0 + BESIDE
    low, high = _straight(member, c.along)
    if c.along - half < low or c.along + half > high:
        left = min(c.along - low, high - c.along)
        yield _Fault(
            code="coupling-place", keys=(*keys, "along"),
            found=f"{c.name} has {say_length(max(left, 0.0), units)} of straight tube on its shorter side",
            wanted=f"wanted at least {say_length(half, units)} from a bend, a cut or the end",
        )  # fmt: skip
    for other in member.couplings:
        if other is not c and other.along >= c.along and other.along - c.along < half + other.length / 2.0:
            yield _Fault(
                code="coupling-place", keys=(*keys, "along"), found=f"{c.name} runs into {other.name}",
                wanted=f"wanted at least {say_length(half + other.length / 2.0, units)} between middles",
            )  # fmt: skip


def _straight(member: Member, along: float) -> tuple[float, float]:
    """From where to where the straight at ``along`` runs that is whole tube, mm of the path."""
    path = member.path
    for i, piece in enumerate(path.pieces):
        if isinstance(piece, Line) and path.starts[i] <= along <= path.starts[i + 1]:
            low = max(path.starts[i], _depth(member.ends[0], member) if i == 0 else -math.inf)
            last = i == len(path.pieces) - 1
            return low, min(
                path.starts[i + 1], path.length - (_depth(member.ends[1], member) if last else 0.0)
            )
    return along, along


def _depth(end: End, member: Member) -> float:
    """How far the cut reaches up the tube from the axis' end point, mm."""
    point = member.path.pieces[0].start if end.which == "start" else member.path.pieces[-1].stop
    far = float((end.cut.origin - point) @ end.cut.axis)
    if isinstance(end.cut, Cope):
        return far + float(max(end.cut.outside.max(), end.cut.inside.max()))
    return far + member.tube.radius * math.tan(end.cut.tilt)


def _clashes(
    member: Member, c: Coupling, members: Mapping[str, Member], keys: tuple[str | int, ...], units: LengthUnit
) -> Iterator[_Fault]:
    """A fault for each other tube that is in its way, or that lands on it."""
    half = (c.gap if c.kind == "double lug" else c.length) / 2.0
    spots = [point_at(member.path, c.along + t * half) for t in (-1.0, -0.5, 0.0, 0.5, 1.0)]
    for other in members.values():
        if other is member:
            continue
        away = min(nearest(other.path, spot)[1] for spot in spots) - other.tube.radius - c.reach
        if away < 0.0:
            yield _Fault(
                code="coupling-clash", keys=keys,
                found=f"{c.name} runs {say_length(-away, units)} into '{other.name}'",
                wanted="wanted it clear of other tubes: set it further along, or make it smaller",
            )  # fmt: skip
