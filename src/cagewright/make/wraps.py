"""Wraps: what is on the paper that is wrapped round a tube's end to mark its cut, at 1:1.

Printed side out, the paper's right is the way phi grows and its top is the way back into the tube: x is the
outside radius times phi, y the cut distance of the Cope.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import Arc
from cagewright.base.names import shown
from cagewright.base.say import say_angle, say_length, say_size
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector, cross, dot, length, signed_angle
from cagewright.plan.types import Which
from cagewright.shape.recut import recut
from cagewright.shape.types import Bend, Cage, Cope, End, FlatCut, Joint, Member, member_named

Array = NDArray[np.float64]
SEEN = 0.5
"""What a fitter sees, mm: a flat cut with less between its two sides is sawn square, a cope with more between
its two sides is told to be asymmetric."""
POINTS = 360
"""Points round a cope on several tubes, whose line has corners; a smooth one is true to 0.03 mm."""
BAND = 42.0
"""Least paper between the cut and the reference edge, mm: room for the text and for a straight wrap."""
_ROW = 4.0
_STEP: dict[LengthUnit, float] = {"mm": 5.0, "in": 12.7, "decimal in": 12.7}


@dataclass(frozen=True, slots=True, kw_only=True)
class WrapLine:
    """A line along the tube at ``phi`` rad and what it shows."""

    phi: float
    text: str
    kind: Literal["bend", "other end", "main"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wrap:
    """The paper for one end of one tube.

    Attributes:
        member: name of the tube.
        which: its end.
        toward: the mains, or the foot, in the plan's names.
        tube: size as printed, e.g. ``38 x 2.5``.
        radius: outside radius that the paper is laid out for, mm.
        phi: (n,) rad from 0, the last 2 pi.
        outside: (n,) cut on the outside, mm.
        inside: (n,) cut on the bore, mm.
        long_point: distance of the furthest point of the cut (the finished tube's end), mm.
        edge: distance of the straight reference edge, mm.
        heel: what is at phi = 0.
        lines: lines along the tube that set its rotation.
        facts: what to know, a line each.
        warnings: what must not be missed, a line each.
    """

    member: str
    which: Which
    toward: tuple[str, ...]
    tube: str
    radius: float
    phi: Array
    outside: Array
    inside: Array
    long_point: float
    edge: float
    heel: str
    lines: tuple[WrapLine, ...]
    facts: tuple[str, ...]
    warnings: tuple[str, ...]


def wraps_of(
    cage: Cage, *, from_end: frozenset[str] = frozenset(), paper_thickness: float = 0.0
) -> tuple[Wrap, ...]:
    """A wrap for every end that is still to be cut and that a square saw cut does not make, in order.

    Args:
        cage: what is built.
        from_end: names of members whose end goes into the bender first: bends are numbered from there.
        paper_thickness: mm; 0 lays the paper out for the tube's outside diameter.
    """
    joints = {j.name: j for j in cage.joints}
    found = (
        wrap_of(
            cage,
            member,
            end,
            joints.get(end.joint or ""),
            starts_at="end" if member.name in from_end else "start",
            paper_thickness=paper_thickness,
        )
        for member in cage.members
        for end in member.ends
    )
    return tuple(w for w in found if w is not None)


def wrap_of(
    cage: Cage,
    member: Member,
    end: End,
    joint: Joint | None,
    *,
    starts_at: Which = "start",
    paper_thickness: float = 0.0,
) -> Wrap | None:
    """The wrap for one end; None where a square saw cut makes it, or the end is a rail's."""
    cut = end.cut
    if end.given or member.lie is not None or sawn_square(cut, member.tube.od):
        return None
    if isinstance(cut, Cope) and len(cut.mains) > 1:
        cut = recut(cage, member.name, end.which, points=POINTS)
    bare = cut_wrap(
        cut,
        od=member.tube.od,
        wall=member.tube.wall,
        units=cage.units,
        member=member.name,
        which=end.which,
        foot=end.foot,
        paper_thickness=paper_thickness,
    )
    return _placed(bare, cage, member, end, joint, nearest_bend(member, end.which, starts_at))


def cut_wrap(
    cut: Cope | FlatCut,
    *,
    od: float,
    wall: float,
    units: LengthUnit,
    member: str = "branch",
    which: Which = "start",
    foot: str | None = None,
    paper_thickness: float = 0.0,
) -> Wrap:
    """The wrap of a cut alone, not yet told where it sits along the member.

    Args:
        cut: the end's cut.
        od: outside diameter of the tube, mm.
        wall: its wall, mm.
        units: what the builder's tape reads.
        member: the tube's name as printed.
        which: which end.
        foot: name of the foot a flat cut stands on.
        paper_thickness: mm; the middle of the paper lies half of it outside the tube.
    """
    phi, outside, inside = _closed(cut) if isinstance(cut, Cope) else _cosine(cut, od / 2.0, wall)
    low = float(np.nanmin(outside))
    return Wrap(
        member=member,
        which=which,
        toward=cut.mains if isinstance(cut, Cope) else ((foot,) if foot else ()),
        tube=say_size(od, wall, units),
        radius=(od + paper_thickness) / 2.0,
        phi=phi,
        outside=outside,
        inside=inside,
        long_point=low,
        edge=low + _edge_distance(float(np.nanmax(outside)) - low, 0, units),
        heel="heel" if isinstance(cut, Cope) else "long side",
        lines=(),
        facts=(_cut_words(cut, units),),
        warnings=(*_asymmetric_words(cut, units), *_gap_words(cut)),
    )


def sawn_square(cut: Cope | FlatCut, od: float) -> bool:
    """Whether a square saw cut makes the end well enough."""
    return isinstance(cut, FlatCut) and od * math.tan(cut.tilt) < SEEN


def _closed(cut: Cope) -> tuple[Array, Array, Array]:
    """Phi, outside and inside with the first point again at 2 pi."""
    phi = np.append(cut.phi, 2.0 * np.pi)
    return phi, np.append(cut.outside, cut.outside[0]), np.append(cut.inside, cut.inside[0])


def _cosine(cut: FlatCut, radius: float, wall: float) -> tuple[Array, Array, Array]:
    """The plane cut, unrolled: w = -r tan(tilt) cos(phi), phi = 0 where the tube is longest."""
    phi = np.linspace(0.0, 2.0 * np.pi, 145)
    wave = -np.tan(cut.tilt) * np.cos(phi)
    return phi, radius * wave, (radius - wall) * wave


def _edge_distance(depth: float, rows: int, units: LengthUnit) -> float:
    """A round distance from the long point to the edge that leaves the band and ``rows`` more free."""
    step = _STEP[units]
    return math.ceil((depth + BAND + rows * _ROW) / step - 1e-9) * step


def _placed(
    wrap: Wrap, cage: Cage, member: Member, end: End, joint: Joint | None, bend: NumberedBend | None
) -> Wrap:
    """The wrap with its rotation lines, and its place along the member told in what can be measured there."""
    lines = (*_rotation_lines(member, end, bend), *_main_lines(cage, end.cut, joint))
    warnings = (*wrap.warnings, *_bent_words(end.cut, lines))
    depth = float(np.nanmax(wrap.outside)) - wrap.long_point
    edge = wrap.long_point + _edge_distance(depth, len(lines) + 2 * len(warnings), cage.units)
    placed = replace(wrap, edge=edge, lines=lines)
    return replace(
        placed,
        facts=(*wrap.facts, *_along_words(placed, member, end, bend, cage.units)),
        warnings=(*warnings, *_reach_words(placed, member, end, bend, cage.units)),
    )


def _cut_words(cut: Cope | FlatCut, units: LengthUnit) -> str:
    if isinstance(cut, FlatCut):
        return f"flat cut, {say_angle(cut.tilt)} off square"
    aside = f", offset {say_length(cut.offset, units)}" if cut.offset > 0.05 else ""
    return f"{say_angle(cut.angle)} to {shown(cut.mains[0])}{aside}"


def _asymmetric_words(cut: Cope | FlatCut, units: LengthUnit) -> tuple[str, ...]:
    if isinstance(cut, FlatCut) or cut.asymmetric <= SEEN:
        return ()
    return (f"THIS SIDE UP: NOT SYMMETRIC, {say_length(cut.asymmetric, units)} between its two sides",)


def _gap_words(cut: Cope | FlatCut) -> tuple[str, ...]:
    """Where round the tube its wall meets none of the mains."""
    if isinstance(cut, FlatCut) or (cut.on >= 0).all():
        return ()
    away = cut.on < 0
    if away.all():
        return ("the wall meets no main",)
    first = np.flatnonzero(away & ~np.roll(away, 1))
    last = np.flatnonzero(away & ~np.roll(away, -1))
    last = np.roll(last, -1) if last[0] < first[0] else last
    runs = (
        f"{np.degrees(cut.phi[a]):.0f}° to {np.degrees(cut.phi[b]):.0f}°"
        for a, b in zip(first, last, strict=True)
    )
    return (f"the wall meets no main from {' and '.join(runs)}",)


def _bent_words(cut: Cope | FlatCut, lines: tuple[WrapLine, ...]) -> tuple[str, ...]:
    if isinstance(cut, FlatCut) or not cut.bent_main:
        return ()
    marked = " (its centre is marked)" if any(line.kind == "main" for line in lines) else ""
    return (f"the main is bent at this joint{marked}",)


NumberedBend = tuple[int, Bend]
"""A bend and its number, 1 for the first one made."""


def bend_number(member: Member, index: int, starts_at: Which) -> int:
    """The bend's number, 1 for the first one made when that end goes into the bender first."""
    return index + 1 if starts_at == "start" else len(member.bends) - index


def nearest_bend(member: Member, which: Which, starts_at: Which = "start") -> NumberedBend | None:
    """The bend nearest that end, with its number; None for a straight tube."""
    if not member.bends:
        return None
    index = 0 if which == "start" else len(member.bends) - 1
    return bend_number(member, index, starts_at), member.bends[index]


def room_to_bend(member: Member, end: End) -> float:
    """Straight from the cut's zero to the near tangent of the nearest bend, or the far long point, mm.

    The cut's zero is its origin: on a foot that is the plate's top, not the path's end at the shell.
    """
    point = member.path.pieces[0].start if end.which == "start" else member.path.pieces[-1].stop
    short = float(dot(end.cut.origin - point, end.cut.axis))
    bend = nearest_bend(member, end.which)
    if bend is None:
        return member.length + end.trim - short
    return (bend[1].start if end.which == "start" else member.path.length - bend[1].stop) - short


def inside_of_bend(member: Member, end: End) -> Vector | None:
    """Unit direction (3,), square to the tube at this end, toward the inside of the nearest bend."""
    bend = nearest_bend(member, end.which)
    if bend is None:
        return None
    travel = end.cut.axis if end.which == "start" else -end.cut.axis
    return cross(bend[1].normal, travel)


def _rotation_lines(member: Member, end: End, bend: NumberedBend | None) -> tuple[WrapLine, ...]:
    """Where the plane of the nearest bend lies, or the other end's cope where there is no bend."""
    inside = inside_of_bend(member, end)
    if inside is not None and bend is not None:
        return (WrapLine(phi=_phi(end, inside), text=f"inside of bend {bend[0]}", kind="bend"),)
    other = member.ends[1] if end.which == "start" else member.ends[0]
    if sawn_square(other.cut, member.tube.od):
        return ()
    name = "start" if end.which == "end" else "end"
    return (WrapLine(phi=_phi(end, other.cut.zero), text=f"0° of the {name}'s cut", kind="other end"),)


def _phi(end: End, way: Vector) -> float:
    return signed_angle(end.cut.zero, way, end.cut.axis) % (2.0 * math.pi)


def _main_lines(cage: Cage, cut: Cope | FlatCut, joint: Joint | None) -> tuple[WrapLine, ...]:
    if isinstance(cut, FlatCut) or not cut.bent_main or joint is None:
        return ()
    found = (_to_bend_centre(member_named(cage, name), cut) for name in cut.mains)
    return tuple(
        WrapLine(phi=phi, text=f"centre of the bend in {shown(name)}", kind="main")
        for name, phi in zip(cut.mains, found, strict=True)
        if phi is not None
    )


def _to_bend_centre(main: Member, cut: Cope) -> float | None:
    """Phi toward the centre of the main's bend nearest the joint; None where the tube points right at it."""
    arcs = [p for p in main.path.pieces if isinstance(p, Arc)]
    if not arcs:
        return None
    arc = min(arcs, key=lambda p: abs(float(length(cut.origin - p.centre)) - p.radius))
    way = arc.centre - cut.origin
    way = way - dot(way, cut.axis) * cut.axis
    if float(length(way)) < 1.0:
        return None
    return signed_angle(cut.zero, way, cut.axis) % (2.0 * math.pi)


def _along_words(
    wrap: Wrap, member: Member, end: End, bend: NumberedBend | None, units: LengthUnit
) -> tuple[str, ...]:
    """Where the reference edge sits along the tube, from things that can be measured on it."""
    room = room_to_bend(member, end) - wrap.edge
    if bend is not None:
        return (
            (f"edge to the nearer mark of bend {bend[0]}: {say_length(room, units)}",) if room > 0.0 else ()
        )
    far = "start" if end.which == "end" else "end"
    return (f"edge to the {far}'s long point: {say_length(room, units)}",)


def _reach_words(
    wrap: Wrap, member: Member, end: End, bend: NumberedBend | None, units: LengthUnit
) -> tuple[str, ...]:
    over = wrap.edge - room_to_bend(member, end)
    if bend is None or over <= 0.0:
        return ()
    return (
        f"the paper runs {say_length(over, units)} into bend {bend[0]}: cut it back and measure to the cut",
    )
