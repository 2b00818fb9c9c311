"""Tubes of the plan that hold two others apart while these are tacked: which, where, how long, until when."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from cagewright.base.curves import point_at, tangent_at
from cagewright.base.vectors import Vector, dot, length
from cagewright.shape.closest import closest_on_segments
from cagewright.shape.types import Array, Cage, Cope, Member, member_named

OPPOSITE = 100.0
"""Two tubes whose middles mirror each other in the car's middle this nearly stand opposite each other, mm."""
CLEAR_ENDS = 0.15
"""No distance piece is set on this part of a tube at either end: there are its joints and feet (ours)."""
LEANS = 0.5
"""Cosine of the least angle between a distance piece and what it stands on: flatter it slips (ours)."""
WASTE = 150.0
"""A tube is cut longer than it will be by no more than this to serve first, mm (ours)."""
STATIONS = 81


@dataclass(frozen=True, slots=True, kw_only=True)
class DistancePiece:
    """A tube that holds two others apart.

    Attributes:
        tube: which.
        between: the two that it holds.
        at: where it stands on each of them, back, across and up, mm.
        length: that it must have: of its own place finished, furthest point to furthest point; else cut
            square, mm.
        own: it stands in its own place with its ends cut, and is tacked there later.
        until: the step at which it is tacked, or must be out at the latest.
    """

    tube: str
    between: tuple[str, str]
    at: tuple[tuple[float, float, float], tuple[float, float, float]]
    length: float
    own: bool
    until: int


def distance_pieces(cage: Cage, tacked: Mapping[str, int], number: int) -> tuple[DistancePiece, ...]:
    """What can hold opposite tubes apart that are tacked at that step and that nothing there ties yet.

    First a tube that will tie the two, in its own place; where none ever does, the straight tube that is cut
    square with the least waste, its ends being cut to their joints only when it comes out.

    Args:
        cage: as resolved.
        tacked: the step at which each tube is tacked.
        number: of the step.
    """
    found: list[DistancePiece] = []
    used = set[str]()
    for pair in _opposite(cage, [n for n, at in tacked.items() if at == number]):
        ties = sorted((tacked[m.name], m.name) for m in cage.members if m.name in tacked and _ties(m, pair))
        if ties and ties[0][0] <= number:
            continue
        one = _in_place(cage, pair, *ties[0]) if ties else _lent(cage, tacked, number, pair, used)
        if one is not None:
            used.add(one.tube)
            found.append(one)
    return tuple(found)


def _opposite(cage: Cage, names: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Each tube of the left on a foot with the one of the right that stands as its mirror image, if any does.

    What is cut on others at both ends is held by these.
    """
    stand = [m for m in (member_named(cage, n) for n in names) if any(e.foot for e in m.ends)]
    middles = {m.name: point_at(m.path, m.path.length / 2.0) for m in stand}
    right = {n: at for n, at in middles.items() if at[1] > 0.0}
    for name, at in middles.items():
        if at[1] >= 0.0 or not right:
            continue
        other = min(right, key=lambda n: float(length(right[n] - at * [1.0, -1.0, 1.0])))
        if float(length(right[other] - at * [1.0, -1.0, 1.0])) < OPPOSITE:
            yield name, other


def _ties(member: Member, pair: tuple[str, str]) -> bool:
    """Whether one of its ends is cut on one of the two tubes and the other end on the other."""
    start, end = (set(e.cut.mains) if isinstance(e.cut, Cope) else set[str]() for e in member.ends)
    one, two = pair
    return (one in start and two in end) or (two in start and one in end)


def _in_place(cage: Cage, pair: tuple[str, str], until: int, name: str) -> DistancePiece:
    member = member_named(cage, name)
    ends = (member.path.pieces[0].start, member.path.pieces[-1].stop)
    first, last = sorted(ends, key=lambda p: float(p[1]))
    return DistancePiece(
        tube=name, between=pair, at=(_place(first), _place(last)), length=member.length, own=True, until=until
    )


def _lent(
    cage: Cage, tacked: Mapping[str, int], number: int, pair: tuple[str, str], used: set[str]
) -> DistancePiece | None:
    """The straight tube of a later step that is cut the least longer than it will be."""
    standing = [member_named(cage, n) for n, at in tacked.items() if at <= number and n not in pair]
    best: DistancePiece | None = None
    least = WASTE
    for member in cage.members:
        if member.bends or member.removable or tacked.get(member.name, 0) <= number or member.name in used:
            continue
        for at, long in _places(cage, pair, member.tube.radius, standing):
            if 0.0 <= long - member.length < least:
                least = long - member.length
                best = DistancePiece(
                    tube=member.name, between=pair, at=at, length=long, own=False, until=tacked[member.name]
                )
    return best


def _places(
    cage: Cage, pair: tuple[str, str], radius: float, standing: Sequence[Member]
) -> Iterator[tuple[tuple[tuple[float, float, float], tuple[float, float, float]], float]]:
    """Where a tube of that radius can stand between the two, clear of what stands, and how long it is there.

    Its square end touches first at its edge: along its axis the other tube's surface lies r / sin a off that
    one's axis, and the edge reaches it radius * |cos a| / sin a sooner, a being the angle between the two
    (plane geometry).
    """
    one, two = (member_named(cage, n) for n in pair)
    (from_, run), (to, other) = _stations(one), _stations(two)
    near = length(from_[:, None] * [1.0, -1.0, 1.0] - to[None]).argmin(axis=1)
    apart = to[near] - from_
    way = apart / length(apart)[:, None]
    reach = np.zeros((2, len(way)))
    flat = np.zeros(len(way), dtype=np.bool_)
    for i, (tube, tangent) in enumerate(((one, run), (two, other[near]))):
        cosine = np.abs(dot(way, tangent))
        reach[i] = (tube.tube.radius + radius * cosine) / np.sqrt(1.0 - np.minimum(cosine, LEANS) ** 2)
        flat |= cosine > LEANS
    long = length(apart) - reach.sum(axis=0)
    for i in np.flatnonzero(~flat & (long > 0.0)):
        ends = (from_[i] + reach[0, i] * way[i], to[near[i]] - reach[1, i] * way[i])
        if all(_clear(member, ends, radius) for member in standing):
            yield (_place(ends[0]), _place(ends[1])), float(long[i])


def _stations(member: Member) -> tuple[Array, Array]:
    """Points (n, 3) on the member's axis between its ends, and its unit tangents (n, 3) there."""
    along = member.path.length * np.linspace(CLEAR_ENDS, 1.0 - CLEAR_ENDS, STATIONS)
    return (
        np.array([point_at(member.path, s) for s in along]),
        np.array([tangent_at(member.path, s) for s in along]),
    )


def _clear(member: Member, ends: tuple[Vector, Vector], radius: float) -> bool:
    """Whether a tube of that radius between those places passes the member by."""
    axis = np.array([point_at(member.path, s) for s in np.linspace(0.0, member.path.length, STATIONS)])
    on = closest_on_segments(axis, np.tile(ends[0], (STATIONS, 1)), np.tile(ends[1], (STATIONS, 1)))
    return float(length(on - axis).min()) > member.tube.radius + radius


def _place(at: Vector) -> tuple[float, float, float]:
    return float(at[0]), float(at[1]), float(at[2])
