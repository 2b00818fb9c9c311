"""Notches that were there before: as they were cut, and how they stand off the tubes that they meet now."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from cagewright.base.curves import Line, Piece
from cagewright.base.vectors import Vector, cross, square_to
from cagewright.shape.cope import cut, wall_points
from cagewright.shape.distance import to_piece
from cagewright.shape.types import Array, Cage, Cope, Member, member_named
from cagewright.shape.walls import Main, Notch

if TYPE_CHECKING:
    from cagewright.plan.types import GivenCut, Which

LONG = 3.0
"""The tube that a notch was cut for is taken this many times the two radii together long, either way, over
the sine of the angle between them."""
FAR = 60.0
"""Tubes are not looked for further off than this, mm."""
TOUCHES = 0.05
"""A wall this near (mm) touches."""


def as_it_was_cut(notch: Notch, given: GivenCut) -> Notch:
    """The notch as it came: cut for a straight tube that need not be where the real one is.

    The name of the first main is kept, so that the joint knows what it meets.
    """
    zero = square_to(notch.axis, np.array(given.heel))
    aside = cross(notch.axis, zero)
    along = math.cos(given.angle) * notch.axis - math.sin(given.angle) * zero
    reach = LONG * (notch.radius + given.od / 2.0) / math.sin(given.angle)
    middle = notch.origin + given.offset * aside
    stood_on = Main(
        name=notch.mains[0].name,
        radius=given.od / 2.0,
        pieces=(Line(start=middle - reach * along, stop=middle + reach * along),),
        reach=reach,
    )
    return replace(
        notch, zero=zero, mains=(stood_on,), angle=given.angle, offset=abs(given.offset), plate=None
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Standoff:
    """How a notch stands off the tubes that it meets, all round.

    Attributes:
        member: whose end.
        which: of its ends.
        mains: the tubes that it meets.
        phi: (n,) rad round the tube from the heel, evenly spaced.
        out: (n, 3) unit, from the tube's axis to its wall there.
        gap: (n,) mm from the wall's edge to the nearest of the mains, the least through the wall; less than 0
            where the wall stands inside one.
        home: how much further in, along its own axis, the tube goes until it touches, mm; less than 0
            where it must come back out.
        pushed: (n,) mm, the gap once it is pushed home.
    """

    member: str
    which: Which
    mains: tuple[str, ...]
    phi: Array
    out: Array
    gap: Array
    home: float
    pushed: Array


def standoff(cage: Cage, name: str, which: Which) -> Standoff:
    """How the notch at one end of the named member stands off what it meets.

    Raises:
        KeyError: no such member.
        ValueError: that end has no notch.
    """
    member = member_named(cage, name)
    cope = member.ends[0 if which == "start" else 1].cut
    if not isinstance(cope, Cope):
        raise ValueError(f"the {which} of {name} has no notch")
    met = met_by(cage, member, cope)
    edge = edge_of(cope, member.tube.radius, member.tube.bore / 2.0)
    gap = off_mains(edge, met)
    home = float(np.min(shortfall(cope, fresh_notch(cage, name, which)), initial=FAR))
    out = np.cos(cope.phi)[:, None] * cope.zero + np.sin(cope.phi)[:, None] * cross(cope.axis, cope.zero)
    return Standoff(
        member=name, which=which, mains=tuple(m.name for m in met), phi=cope.phi, out=out, gap=gap, home=home,
        pushed=off_mains(edge - home * cope.axis, met),
    )  # fmt: skip


def met_by(cage: Cage, member: Member, cope: Cope) -> tuple[Member, ...]:
    """The members that the end is cut on and every other that its wall is near; none that lands on it."""
    near = member.tube.od
    first = [m for m in cage.members if m.name in cope.mains]
    ends = edge_of(cope, member.tube.radius, member.tube.radius)[:, 0]
    lands = {j.branch for j in cage.joints if member.name in j.mains}
    others = [
        m
        for m in cage.members
        if m is not member
        and m.name not in lands
        and m.name not in cope.mains
        and float(off_mains(ends[:, None], (m,)).min()) < near
    ]
    return (*first, *others)


def edge_of(cope: Cope, radius: float, bore: float) -> Array:
    """The wall's edge (n, 2, 3) mm: on the outside and in the bore."""
    return np.stack([wall_points(cope, radius, cope.outside), wall_points(cope, bore, cope.inside)], axis=1)


def off_mains(edge: Array, mains: Sequence[Member]) -> Array:
    """Signed distance (n,) of the edge's points (n, k, 3) to the mains' outsides: the least of each k."""
    pieces: list[tuple[Piece, float]] = [(p, m.tube.radius) for m in mains for p in m.path.pieces]
    flat = edge.reshape(-1, 3)
    low, high = flat.min(axis=0) - 150.0, flat.max(axis=0) + 150.0
    near = [(p, r) for p, r in pieces if _beside(p, low, high)] or pieces
    away = np.min([to_piece(flat, piece) - radius for piece, radius in near], axis=0)
    return away.reshape(edge.shape[:2]).min(axis=1)


def _beside(piece: Piece, low: Vector, high: Vector) -> bool:
    ends = (
        np.array([piece.start, piece.stop])
        if isinstance(piece, Line)
        else np.array([piece.centre - piece.radius, piece.centre + piece.radius])
    )
    return bool(np.all(ends.min(axis=0) <= high) and np.all(ends.max(axis=0) >= low))


def fresh_notch(cage: Cage, name: str, which: Which) -> Cope:
    """The notch that the end would have if it were cut for what it meets now, from the given one's zero.

    Raises:
        KeyError: no such member.
        ValueError: that end has no notch.
    """
    member = member_named(cage, name)
    cope = member.ends[0 if which == "start" else 1].cut
    if not isinstance(cope, Cope):
        raise ValueError(f"the {which} of {name} has no notch")
    reach = LONG * 2.0 * member.tube.od / math.sin(max(cope.angle, 0.3))
    met = met_by(cage, member, cope)
    mains = tuple(Main(name=m.name, radius=m.tube.radius, pieces=m.path.pieces, reach=reach) for m in met)
    notch = Notch(
        origin=cope.origin, axis=cope.axis, zero=cope.zero, radius=member.tube.radius,
        bore=member.tube.bore / 2.0, mains=mains, angle=cope.angle, offset=cope.offset,
    )  # fmt: skip
    return cut([notch])[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Grind:
    """What comes off a notch so that it closes to a limit.

    Attributes:
        phi: (n,) rad from the heel.
        off: (n,) mm that come off the edge there, along the tube; 0 where nothing does.
        advance: how much further in the tube then goes, mm.
    """

    phi: Array
    off: Array
    advance: float


def to_grind(cage: Cage, name: str, which: Which, *, limit: float) -> Grind | None:
    """The least that comes off so that no gap is left over ``limit`` mm; None where a wall meets nothing.

    Raises:
        KeyError: no such member.
        ValueError: that end has no notch.
    """
    member = member_named(cage, name)
    given = member.ends[0 if which == "start" else 1].cut
    wanted = fresh_notch(cage, name, which)
    if not isinstance(given, Cope) or bool((wanted.on < 0).any()):
        return None
    met, edge = met_by(cage, member, given), edge_of(given, member.tube.radius, member.tube.bore / 2.0)
    short = shortfall(given, wanted)
    low, high = float(short.min()), float(short.max())
    if float(off_mains(edge - low * given.axis, met).max()) <= limit:
        high = low
    while high - low > 1e-3:
        middle = (low + high) / 2.0
        if float(off_mains(edge - middle * given.axis, met).max()) > limit:
            low = middle
        else:
            high = middle
    off = np.maximum(high - short.min(axis=0), 0.0)
    return Grind(phi=given.phi, off=np.where(off > TOUCHES, off, 0.0), advance=high)


def shortfall(given: Cope, wanted: Cope) -> Array:
    """How much shorter (2, n) the given notch is than the wanted one, outside and bore, mm along the tube.

    Lines that meet nothing are as far off as anything is looked for.
    """
    off = np.array([given.outside - wanted.outside, given.inside - wanted.inside])
    return np.where(wanted.on < 0, FAR, off)
