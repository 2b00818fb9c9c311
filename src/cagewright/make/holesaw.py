"""Where a hole saw makes the cope: its size, the tube's angle to it, its offset; or why it does not."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import point_at, tangent_at
from cagewright.base.names import listed, shown
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector, angle_between, cross, dot, length, unit
from cagewright.plan.types import Which
from cagewright.shape.types import Cage, Cope, End, Joint, Member, member_named
from cagewright.stock.shop import Shop

SAW_GAP = 0.5
"""Widest gap a saw cut may leave, mm: within the 0.5 + 0.1 a of EN 25817:1992 level B for fillet gaps."""
STEEPEST = 0.6108652381980153
"""Tubes flatter to the saw's axis than 35 degrees cannot be held and reached (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SawSetting:
    """How a hole saw cuts one cope, or why it cannot.

    Attributes:
        member: the tube to cut.
        which: its end.
        main: the first main.
        simple: a hole saw makes the cope; else it needs the wrap.
        reason: why it needs the wrap; empty where it does not.
        wanted: diameter that would be exact, the main's outside diameter, mm.
        saw: the shop's nearest saw, mm; None where the shop lists none.
        angle: between the tube's axis and the saw's axis, rad (pi/2: square).
        offset: least distance between the tube's axis and the saw's axis, mm.
        towards: the side to which the saw's axis is offset, as phi on the cope, rad; 0 without offset.
        depth: travel of the saw through the tube, mm, along the saw's axis.
        gap: widest gap between the saw's cut and the cope once the tube is pushed home, mm; nan where the saw
            misses part of the wall.
    """

    member: str
    which: Which
    main: str
    simple: bool
    reason: str
    wanted: float
    saw: float | None
    angle: float
    offset: float
    towards: float
    depth: float
    gap: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Axis:
    """A straight main's axis: a point (3,) on it, mm, and its unit direction (3,)."""

    point: Vector
    direction: Vector


def saw_settings(cage: Cage, shop: Shop) -> tuple[SawSetting, ...]:
    """A setting for every end of the cage that is still to be coped, in member order."""
    ends = ((m, e) for m in cage.members for e in m.ends if isinstance(e.cut, Cope) and not e.given)
    return tuple(saw_setting(cage, m, e, shop) for m, e in ends)


def saw_setting(cage: Cage, member: Member, end: End, shop: Shop) -> SawSetting:
    """How a hole saw cuts this end's cope, or why it needs the wrap.

    The saw's cylinder is laid on the main's axis and compared with the cope all the way round.

    Raises:
        ValueError: the end is not coped.
    """
    cope = end.cut
    if not isinstance(cope, Cope):
        raise ValueError(f"the {end.which} of {member.name} has no cope")
    main = member_named(cage, cope.mains[0])
    axis = _main_axis(cage, end, main)
    offset, towards = _sideways(cope, axis)
    wide = main.tube.across
    saw = nearest_saw(shop, wide)
    cut = saw_cut(cope, axis.point, axis.direction, branch=member.tube.od, saw=saw or wide)
    gap = float(np.ptp(cut - cope.outside)) if np.isfinite(cut).all() else float("nan")
    reason = _reason(cope, member, main, saw, offset, gap, cage.units)
    return SawSetting(
        member=member.name, which=end.which, main=main.name, simple=not reason, reason=reason,
        wanted=wide, saw=saw, angle=_to_axis(cope, axis), offset=offset, towards=towards,
        depth=_depth(cope, axis, member.tube.radius), gap=gap,
    )  # fmt: skip


def nearest_saw(shop: Shop, od: float) -> float | None:
    """The shop's hole saw nearest to ``od`` mm (the larger of two as near), or None where it lists none."""
    return min(shop.hole_saws, key=lambda d: (abs(d - od), -d), default=None)


def saw_cut(
    cope: Cope, point: Vector, direction: Vector, *, branch: float, saw: float
) -> NDArray[np.float64]:
    """The cut (n,) mm a saw makes on the branch's outside at the cope's ``phi``; nan where it misses.

    Each line along the tube meets the saw's cylinder twice; the cut left on the tube is the further one into
    it: the larger root of ``|q + w b|^2 = (saw/2)^2`` with q and b square to the saw's axis.

    Args:
        cope: gives the branch's axis, its origin and its phi = 0.
        point: (3,) on the saw's axis, mm.
        direction: (3,) unit, the saw's axis.
        branch: the branch's outside diameter, mm.
        saw: the saw's diameter, mm.
    """
    lines = _wall(cope, branch / 2.0) - point
    q = lines - np.multiply.outer(dot(lines, direction), direction)
    b = cope.axis - dot(cope.axis, direction) * direction
    bb, qb = float(dot(b, b)), dot(q, b)
    inside = qb**2 - bb * (dot(q, q) - (saw / 2.0) ** 2)
    # a wall that only just touches the saw (equal diameters) is rounding, not a miss
    inside = np.where(np.abs(inside) < 1e-9 * bb * saw**2, 0.0, inside)
    root = np.sqrt(np.where(inside >= 0.0, inside, np.nan))
    return (root - qb) / bb if bb > 1e-12 else np.full(len(cope.phi), np.nan)


def _wall(cope: Cope, radius: float) -> Vector:
    """Points (n, 3) of the branch's outside round the cope's origin, mm."""
    side = cross(cope.axis, cope.zero)
    round_it = np.multiply.outer(np.cos(cope.phi), cope.zero) + np.multiply.outer(np.sin(cope.phi), side)
    return cope.origin + radius * round_it


def _main_axis(cage: Cage, end: End, main: Member) -> _Axis:
    along = _joint(cage, end).along[0]
    return _Axis(point=point_at(main.path, along), direction=tangent_at(main.path, along))


def _joint(cage: Cage, end: End) -> Joint:
    """The joint the end makes.

    Raises:
        KeyError: the cage has no such joint.
    """
    found = next((j for j in cage.joints if j.name == end.joint), None)
    if found is None:
        raise KeyError(end.joint)
    return found


def _to_axis(cope: Cope, axis: _Axis) -> float:
    angle = angle_between(cope.axis, axis.direction)
    return min(angle, np.pi - angle)


def _sideways(cope: Cope, axis: _Axis) -> tuple[float, float]:
    """Least distance between the axes, mm, and on which side of the tube (phi, rad) the saw's axis passes."""
    apart = cross(cope.axis, axis.direction)
    if float(length(apart)) < 1e-9:
        return float(length(cross(cope.axis, axis.point - cope.origin))), 0.0
    away = float(dot(axis.point - cope.origin, unit(apart)))
    if abs(away) < 5e-4:
        return 0.0, 0.0
    side = float(dot(unit(apart), cross(cope.axis, cope.zero))) * away
    return abs(away), np.pi / 2.0 if side > 0.0 else 1.5 * np.pi


def _depth(cope: Cope, axis: _Axis, radius: float) -> float:
    cut = _wall(cope, radius) + np.multiply.outer(cope.outside, cope.axis)
    return float(np.ptp(dot(cut - axis.point, axis.direction)))


def _reason(
    cope: Cope, member: Member, main: Member, saw: float | None, offset: float, gap: float, units: LengthUnit
) -> str:
    """Why the cope needs the wrap; empty where a hole saw makes it."""
    if len(cope.mains) > 1:
        return f"it lands on {len(cope.mains)} tubes at once ({listed(cope.mains)})"
    if not main.tube.is_round:
        return f"{shown(main.name)} is no round tube"
    if cope.bent_main:
        return f"{shown(main.name)} is bent there"
    if np.any(cope.on < 0):
        return f"its wall hangs past {shown(main.name)}"
    if cope.angle < STEEPEST:
        return f"it is too flat to {shown(main.name)} for a hole saw ({np.degrees(cope.angle):.0f}°)"
    wide = say_length(main.tube.od, units)
    if saw is None:
        return f"the shop lists no hole saw (one of {wide} would do)"
    bore = say_length(saw, units)
    if member.tube.radius + offset > saw / 2.0 + 1e-6:
        return f"the tube does not go inside the shop's {bore} saw, which is nearest to {wide}"
    if not gap <= SAW_GAP:
        return f"the shop's nearest saw ({bore}) would leave a gap of {say_length(gap, units)} on {wide}"
    return ""
