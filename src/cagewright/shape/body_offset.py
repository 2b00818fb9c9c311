"""How closely each tube follows the structure it is laid along, and how far each foot stands off the sill."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from cagewright.base.curves import tangent_at
from cagewright.base.vectors import dot
from cagewright.shape.clearance import Stations, boxes_apart, stations_of
from cagewright.shape.mesh import Mesh, nearest
from cagewright.shape.shell import BodyLine, LineKind, Shell, line_direction, nearest_on_line, roof_skin
from cagewright.shape.standing import followed, names_of, seat_tubes
from cagewright.shape.types import Array, Cage, Member

TARGET_GAP = 10.0
"""Wanted between a tube and the structure it follows, mm: common practice, no source."""

OFFSET_REACH = 120.0
"""A tube further than this from a line does not follow it there, mm."""
ROOF_SKIN = "the roof skin between its measured lines"
UP_TO = 0.35
"""Cosine of the angle to a surface's normal from which a tube runs up to it rather than along it."""
ALONG = 0.7
"""Cosine of the angle within which a tube runs along a line rather than across it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyOffset:
    """How closely a member follows one body line, where they run side by side.

    Attributes:
        member: its name.
        line: the name of the body line or the scan, or ``ROOF_SKIN``.
        mean: mean gap over the run, mm.
        least: mm, 0 where they touch.
        most: mm.
        most_along: where the gap is largest, mm along the member.
        start: where they begin to run side by side, mm along the member.
        stop: where that ends, mm; the same as ``start`` where they only cross.
    """

    member: str
    line: str
    mean: float
    least: float
    most: float
    most_along: float
    start: float
    stop: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FootReach:
    """How far a foot stands inboard of the sill, and what that does to the floor.

    Attributes:
        foot: its name.
        line: the sill line's name.
        inboard: mm across from the sill line to the tube's axis; negative outboard of it.
        bending: moment put into the floor for each kN of leg load, N mm per kN: load times ``inboard``.
    """

    foot: str
    line: str
    inboard: float
    bending: float


def body_offsets(
    cage: Cage, shell: Shell, *, follows: Mapping[str, frozenset[LineKind]] | None = None
) -> tuple[BodyOffset, ...]:
    """How closely each member follows the structures it is laid along, in the members' order.

    Where there is a scan it is followed in place of the lines.

    Args:
        cage: as built.
        shell: what is known of the body.
        follows: which structures, by member; told from where it stands in the cage where not given.
    """
    feet = {foot.name: foot for foot in cage.feet}
    skin, laid = roof_skin(shell), followed(cage) if follows is None else follows
    found: list[BodyOffset | None] = []
    for member in cage.members:
        if kinds := laid.get(member.name, frozenset()):
            found += _offsets_of(member, stations_of(member, feet), kinds, shell, skin)
    return tuple(offset for offset in found if offset is not None)


def _offsets_of(
    member: Member, place: Stations, kinds: frozenset[LineKind], shell: Shell, skin: Mesh | None
) -> list[BodyOffset | None]:
    if shell.scan is not None:
        return [_skin_offset(member, place, shell.scan.mesh, shell.scan.name)]
    over = skin if "roof" in kinds else None
    # the roof is followed as a skin, not along the line in its middle
    lines = tuple(x for x in shell.lines if x.kind in kinds and not (over and x.kind == "roof"))
    if not lines and over is None:
        return []
    near = boxes_apart(place.points, lines) < OFFSET_REACH
    found = [_line_offset(member, place, line) for line, yes in zip(lines, near, strict=True) if yes]
    return found if over is None else [*found, _skin_offset(member, place, over, ROOF_SKIN)]


def _skin_offset(member: Member, place: Stations, skin: Mesh, name: str) -> BodyOffset | None:
    """How closely the member follows a surface, where it runs along it rather than up to it."""
    found = nearest(skin, place.points, limit=OFFSET_REACH + member.tube.radius)
    toward = (found.on - place.points) / np.maximum(found.away, 1e-9)[:, None]
    with np.errstate(invalid="ignore"):
        beside = np.isfinite(found.away) & (np.abs(dot(_tangents(member, place), toward)) < UP_TO)
    if np.count_nonzero(beside) < 2:
        return None
    gap = np.maximum(found.away[beside] - member.tube.radius, 0.0)
    return _offset_of(member, name, gap, place.along[beside])


def _line_offset(member: Member, place: Stations, line: BodyLine) -> BodyOffset | None:
    on = nearest_on_line(line, place.points)
    last = len(line.points) - 1
    beside = (on.part > 1e-6) & (on.part < last - 1e-6) & (on.away < OFFSET_REACH)
    if np.count_nonzero(beside) < 2:
        return None
    parallel = beside & (np.abs(dot(_tangents(member, place), line_direction(line, on))) > ALONG)
    if np.count_nonzero(parallel) < 2:
        # they only cross: one gap, where they are nearest
        parallel = np.zeros_like(beside)
        parallel[np.argmin(np.where(beside, on.away, np.inf))] = True
    gap, along = np.maximum(on.away[parallel] - member.tube.radius, 0.0), place.along[parallel]
    return _offset_of(member, line.name, gap, along)


def _offset_of(member: Member, line: str, gap: Array, along: Array) -> BodyOffset:
    return BodyOffset(
        member=member.name,
        line=line,
        mean=float(gap.mean()),
        least=float(gap.min()),
        most=float(gap.max()),
        most_along=float(along[int(np.argmax(gap))]),
        start=float(along[0]),
        stop=float(along[-1]),
    )


def _tangents(member: Member, place: Stations) -> Array:
    return np.array([tangent_at(member.path, float(s)) for s in place.along])


def foot_reaches(cage: Cage, shell: Shell) -> tuple[FootReach, ...]:
    """How far each foot on a sill, box or floor stands inboard of the sill line of its side.

    The bending is M = F e: the leg's load F times the arm e (statics), given for F = 1 kN.
    """
    sills = [line for line in shell.lines if line.kind == "sill"]
    found: list[FootReach] = []
    seats = names_of(seat_tubes(cage))
    for foot in cage.feet:
        same = [line for line in sills if float(line.points[:, 1].mean()) * float(foot.point[1]) > 0.0]
        if foot.seat in ("turret", "rigid") or not same or seats >= {*foot.members}:
            continue
        line = min(same, key=lambda line: float(nearest_on_line(line, foot.point[None]).away[0]))
        sill = nearest_on_line(line, foot.point[None]).on[0]
        inboard = (float(sill[1]) - float(foot.point[1])) * (1.0 if sill[1] > 0.0 else -1.0)
        found.append(FootReach(foot=foot.name, line=line.name, inboard=inboard, bending=1000.0 * inboard))
    return tuple(found)
