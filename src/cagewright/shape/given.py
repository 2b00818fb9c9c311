"""Notches that were there before: as they were cut, and how they stand off the tubes that they meet now."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from cagewright.base.curves import Arc, Chain, Line, Piece, nearest, tangent_at
from cagewright.base.vectors import Vector, cross, dot, length, square_to, turn, unit
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
TURN = math.radians(100.0)
"""A tube is turned no further than this about itself."""
SLIDE = 15.0
"""An end is moved no further than this along what it meets, mm."""


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
class NotchEnd:
    """A notched end and what it meets.

    Attributes:
        member: whose end.
        which: of its ends.
        cope: as it is cut.
        mains: the tubes that it meets.
        far: (3,) the other end of the member's path, mm.
    """

    member: Member
    which: Which
    cope: Cope
    mains: tuple[Member, ...]
    far: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Standoff:
    """How a notch stands off the tubes that it meets, all round.

    Attributes:
        phi: (n,) rad round the tube from the heel, evenly spaced.
        out: (n, 3) unit, from the tube's axis to its wall there.
        gap: (n,) mm from the wall's edge to the nearest of the mains, the least of outside and bore; less
            than 0 where the wall stands inside one.
        home: how much further in, along its own axis, the tube goes until it touches, mm; less than 0
            where it must come back out.
        pushed: (n,) mm, the gap once it is pushed home.
    """

    phi: Array
    out: Array
    gap: Array
    home: float
    pushed: Array


def notch_end(cage: Cage, name: str, which: Which) -> NotchEnd:
    """The notched end of the named member, with every tube that its wall meets or nearly does.

    Raises:
        KeyError: no such member.
        ValueError: that end has no notch.
    """
    member = member_named(cage, name)
    cope = member.ends[0 if which == "start" else 1].cut
    if not isinstance(cope, Cope):
        raise ValueError(f"the {which} of {name} has no notch")
    far = member.path.pieces[-1].stop if which == "start" else member.path.pieces[0].start
    return NotchEnd(member=member, which=which, cope=cope, mains=_met(cage, member, cope), far=far)


def _met(cage: Cage, member: Member, cope: Cope) -> tuple[Member, ...]:
    """The members that the end is cut on and every other that its wall touches; none that lands on it."""
    edge = wall_points(cope, member.tube.radius, cope.outside)[:, None]
    lands = {j.branch for j in cage.joints if member.name in j.mains}
    return tuple(
        m
        for m in cage.members
        if m.name in cope.mains
        or (
            m is not member
            and m.name not in lands
            and bool(_near(m.path, edge))
            and float(_off(edge, (m,)).min()) < TOUCHES
        )
    )


def stands(end: NotchEnd) -> Standoff:
    """How the end stands off what it meets."""
    cope = end.cope
    edge = _edge(end)
    home = float(shortfall(cope, fresh(end)).min())
    out = np.cos(cope.phi)[:, None] * cope.zero + np.sin(cope.phi)[:, None] * cross(cope.axis, cope.zero)
    return Standoff(
        phi=cope.phi, out=out, gap=_off(edge, end.mains), home=home,
        pushed=_off(edge - home * cope.axis, end.mains),
    )  # fmt: skip


def _edge(end: NotchEnd) -> Array:
    """The wall's edge (n, 2, 3) mm: on the outside and in the bore."""
    tube, cope = end.member.tube, end.cope
    walls = ((tube.radius, cope.outside), (tube.bore / 2.0, cope.inside))
    return np.stack([wall_points(cope, radius, w) for radius, w in walls], axis=1)


def _off(edge: Array, mains: Sequence[Member]) -> Array:
    """Signed distance (n,) of the edge's points (n, k, 3) to the mains' outsides: the least of each k."""
    flat = edge.reshape(-1, 3)
    pieces = [(p, m.tube.radius) for m in mains for p in _near(m.path, edge) or m.path.pieces]
    away = np.min([to_piece(flat, piece) - radius for piece, radius in pieces], axis=0)
    return away.reshape(edge.shape[:2]).min(axis=1)


def _near(path: Chain, edge: Array) -> tuple[Piece, ...]:
    """The pieces of a centre line whose boxes come near the edge's points."""
    low, high = edge.min(axis=(0, 1)) - 2.0 * FAR, edge.max(axis=(0, 1)) + 2.0 * FAR
    return tuple(p for p in path.pieces if _in_box(p, low, high))


def _in_box(piece: Piece, low: Vector, high: Vector) -> bool:
    if isinstance(piece, Arc):
        one, two = piece.centre - piece.radius, piece.centre + piece.radius
    else:
        one, two = np.minimum(piece.start, piece.stop), np.maximum(piece.start, piece.stop)
    return bool(np.all(one <= high) and np.all(two >= low))


def fresh(end: NotchEnd) -> Cope:
    """The notch that the end would have if it were cut for what it meets now, from the given one's zero."""
    cope, tube = end.cope, end.member.tube
    reach = LONG * (2.0 * tube.od) / math.sin(max(cope.angle, 0.3))
    edge = _edge(end)
    mains = tuple(
        Main(name=m.name, radius=m.tube.radius, pieces=_near(m.path, edge) or m.path.pieces, reach=reach)
        for m in end.mains
    )
    return cut([
        Notch(
            origin=cope.origin,
            axis=cope.axis,
            zero=cope.zero,
            radius=tube.radius,
            bore=tube.bore / 2.0,
            mains=mains,
            angle=cope.angle,
            offset=cope.offset,
        )
    ])[0]


def shortfall(given: Cope, wanted: Cope) -> Array:
    """How much shorter (2, n) the given notch is than the wanted one, outside and bore, mm along the tube.

    Lines that meet nothing are as far off as anything is looked for.
    """
    off = np.array([given.outside - wanted.outside, given.inside - wanted.inside])
    return np.where(wanted.on < 0, FAR, off)


# --- what closes it


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


def to_grind(end: NotchEnd, *, limit: float) -> Grind | None:
    """The least that comes off so that no gap is left over ``limit`` mm; None where a wall meets nothing."""
    wanted = fresh(end)
    if bool((wanted.on < 0).any()):
        return None
    edge, short = _edge(end), shortfall(end.cope, wanted)
    low, high = float(short.min()), float(short.max())

    def left(advance: float) -> float:
        return float(_off(edge - advance * end.cope.axis, end.mains).max())

    if left(low) <= limit:
        high = low
    while high - low > 1e-3:
        middle = (low + high) / 2.0
        low, high = (middle, high) if left(middle) > limit else (low, middle)
    off = np.maximum(high - short.min(axis=0), 0.0)
    return Grind(phi=end.cope.phi, off=np.where(off > TOUCHES, off, 0.0), advance=high)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosingMove:
    """A move that leaves the least gap: by how much (rad or mm), and the widest gap then, pushed home, mm."""

    by: float
    left: float


def turned(end: NotchEnd, *, limit: float) -> ClosingMove:
    """The least turn about the tube's axis, right-handed from this end inwards, that closes it to ``limit``.

    Where none does, the turn that leaves the least gap.
    """

    def moved(by: float) -> NotchEnd:
        cope = end.cope
        return replace(end, cope=replace(cope, zero=turn(cope.zero, cope.axis, by)))

    return _least(moved, TURN, limit)


def slid(end: NotchEnd, *, limit: float) -> tuple[ClosingMove, Vector]:
    """The least move of the end along what it meets, its far end held, that closes it; and its way (3,).

    Where none closes it to ``limit`` mm, the one that leaves the least gap.
    """
    path = end.mains[0].path
    way = tangent_at(path, nearest(path, end.cope.origin)[0])

    def moved(by: float) -> NotchEnd:
        one, two = unit(end.cope.origin - end.far), unit(end.cope.origin + by * way - end.far)
        square = cross(one, two)
        size = float(length(square))
        angle = math.atan2(size, float(dot(one, two)))
        axis = square / size if size > 1e-12 else way
        cope = end.cope
        return replace(
            end,
            cope=replace(
                cope,
                origin=cope.origin + by * way,
                axis=turn(cope.axis, axis, angle),
                zero=turn(cope.zero, axis, angle),
            ),
        )

    return _least(moved, SLIDE, limit), way


def _least(moved: Callable[[float], NotchEnd], most: float, limit: float) -> ClosingMove:
    """The least move within ``most`` either way that leaves ``limit`` or less, else the one leaving least."""

    def left(by: float) -> ClosingMove:
        return ClosingMove(by=by, left=float(stands(moved(by)).pushed.max()))

    low, high, best = -most, most, left(0.0)
    for count in (25, 9, 9):
        tried = [left(float(by)) for by in np.linspace(low, high, count)]
        best = min((best, *tried), key=lambda shift: shift.left)
        step = (high - low) / (count - 1)
        low, high = max(best.by - step, -most), min(best.by + step, most)
    if best.left > limit:
        return best
    short, far = left(0.0), best
    while abs(far.by - short.by) > most / 500.0:
        middle = left((short.by + far.by) / 2.0)
        short, far = (middle, far) if middle.left > limit else (short, middle)
    return far
