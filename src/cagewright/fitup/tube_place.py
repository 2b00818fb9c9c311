"""Where a tube as it is stands best in the car, and where it then lands."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial.transform import Rotation

from cagewright.base.curves import Chain, nearest, point_at, tangent_at
from cagewright.base.vectors import Vector, cross, dot, length, signed_angle
from cagewright.fitup.network import rigid_slopes
from cagewright.fitup.solve import Floats
from cagewright.plan.types import AtCoordinates, AtFoot, OnMember, Place
from cagewright.shape.tube_shape import TubeFrame, TubeShape, centre_line, longer, places_of, shape_and_frame
from cagewright.shape.types import Foot, Member

STATIONS = 48
"""The plan's centre line is followed at so many places."""
ENDS_COUNT = 6.0
"""The places where it lands count so many times (assumed): a joint is welded, a straight only passes."""
ROUNDS = 60
MEETS = 100.0
"""That an end meets the middle of what it lands on counts so many times."""
PAST = 200.0
"""A tube is followed so far past its ends, mm."""
AT_REST = 1e-6
"""The tube is in place once a round moves it less than this, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Landing:
    """Where an end lands.

    Attributes:
        point: (3,) mm, on the tube's axis.
        place: the same as the plan says it.
        off: (3,) from where the plan wants it, mm.
        spare: tube beyond it, to be cut off, mm; less than 0: so much is missing.
    """

    point: Vector
    place: Place
    off: Vector
    spare: float


@dataclass(frozen=True, slots=True, kw_only=True)
class InPlace:
    """A tube as it is, in the car.

    Attributes:
        shape: between where it lands.
        frame: where it stands.
        ends: where its start and its end land.
        bends: (n, 3) how far each bend's corner is from the plan's, mm; none where the bends are not as many.
        furthest: how far its axis is from the plan's at the worst, mm.
        turned: about the line between its ends from how the plan has it, rad.
    """

    shape: TubeShape
    frame: TubeFrame
    ends: tuple[Landing, Landing]
    bends: Floats
    furthest: float
    turned: float

    @property
    def path(self) -> tuple[Place, ...]:
        """The path as the plan says it: between its ends a place for each bend, with its radius."""
        corners = places_of(self.shape, self.frame)[1:-1]
        inner = (
            AtCoordinates.model_construct(at=(float(x), float(y), float(z)), clr=r)
            for (x, y, z), r in zip(corners.tolist(), self.shape.radii, strict=True)
        )
        return self.ends[0].place, *inner, self.ends[1].place


def sound(shape: TubeShape) -> TubeShape:
    """The same tube with every bend more than nothing: one that turned the other way lies half round."""
    clockings, angles = list(shape.clockings), list(shape.angles)
    for k, angle in enumerate(angles):
        if angle < 0.0:
            angles[k] = -angle
            for c in (k - 1, k):
                if 0 <= c < len(clockings):
                    clockings[c] += math.pi
    turned = (float(np.arctan2(np.sin(c), np.cos(c))) for c in clockings)
    return replace(shape, angles=tuple(max(a, 2e-5) for a in angles), clockings=tuple(turned))


def put_in_place(
    shape: TubeShape,
    spare: tuple[float, float],
    member: Member,
    places: tuple[Place, Place],
    paths: dict[str, Chain],
    feet: dict[str, Foot],
) -> InPlace:
    """The tube laid as near as can be on the member's centre line, and where it lands then.

    Args:
        shape: as it is, spare and all.
        spare: what the plan has beyond the member's path at its start and end, mm.
        member: that it was meant for.
        places: where the plan puts the member's ends.
        paths: centre lines of the members that it may land on.
        feet: of the plan.

    Raises:
        ValueError: no tube can have this shape.
    """
    tube = sound(shape)
    _, planned = shape_and_frame(member.path, member.bends)
    hosts = tuple(paths.get(p.on) if isinstance(p, OnMember) else None for p in places)
    begin = replace(planned, start=planned.start - spare[0] * planned.along)
    # followed past its ends, so that one that is short is not drawn along
    begin = replace(begin, start=begin.start - PAST * begin.along)
    frame = _fitted(longer(tube, PAST, PAST), begin, member, (hosts[0], hosts[1]))
    frame = replace(frame, start=frame.start + PAST * frame.along)
    axis = centre_line(tube, frame)
    start, end = (
        _landing(axis, i, place, member, paths, feet) for i, place in enumerate(places)
    )  # fmt: skip
    cut = longer(tube, -start.spare, -end.spare)
    frame = replace(frame, start=start.point)
    corners = places_of(cut, frame)[1:-1]
    meant = np.array([b.apex for b in member.bends]).reshape(-1, 3)
    line = centre_line(cut, frame)
    off = [nearest(line, point_at(member.path, s))[1] for s in np.linspace(0.0, member.path.length, STATIONS)]
    return InPlace(
        shape=cut, frame=frame, ends=(start, end),
        bends=corners - meant if len(corners) == len(meant) else np.zeros((0, 3)),
        furthest=float(max(off)), turned=_turned(member, line),
    )  # fmt: skip


def _fitted(
    tube: TubeShape, frame: TubeFrame, member: Member, hosts: tuple[Chain | None, Chain | None]
) -> TubeFrame:
    """The frame in which the tube lies nearest to the member's path and meets its hosts, from ``frame`` on.

    Least squares of the distances across the tube (along itself it may slide), Gauss-Newton.
    """
    along = np.linspace(0.0, member.path.length, STATIONS)
    wanted = np.array([point_at(member.path, s) for s in along])
    weights = np.ones(STATIONS)
    weights[[0, -1]] = ENDS_COUNT
    for _ in range(ROUNDS):
        line = centre_line(tube, frame)
        runs = [nearest(line, p)[0] for p in wanted]
        on, ways = (np.array([f(line, s) for s in runs]) for f in (point_at, tangent_at))
        # ends are held along themselves too, a little, so that a straight tube does not slide away
        across = np.eye(3) - 0.99 * ways[:, :, None] * ways[:, None, :]
        middle = on.mean(axis=0)
        rows = (weights[:, None, None] * across @ rigid_slopes(on - middle)).reshape(-1, 6)
        left = (weights[:, None, None] * across @ (wanted - on)[:, :, None]).reshape(-1)
        met = [_met(line, i, host, middle) for i, host in enumerate(hosts) if host is not None]
        rows, left = (
            np.concatenate([v, *(np.atleast_1d(m[k]) for m in met)]) for k, v in ((0, rows), (1, left))
        )
        step, *_ = np.linalg.lstsq(rows, left, rcond=1e-12)
        turn = Rotation.from_rotvec(step[3:])
        start = middle + turn.apply(frame.start - middle) + step[:3]
        frame = TubeFrame(start=start, along=turn.apply(frame.along), normal=turn.apply(frame.normal))
        if float(np.abs(step * [1.0, 1.0, 1.0, 1e3, 1e3, 1e3]).max()) < AT_REST:
            break
    return frame


def _met(line: Chain, i: int, host: Chain, middle: Vector) -> tuple[Floats, Floats]:
    """That the end's straight meets its host: a row (1, 6) and what is left to go (1,)."""
    run = 0.0 if i == 0 else line.length
    tip, out = point_at(line, run), tangent_at(line, run)
    point = _meeting(tip, out, tip, host)
    along = nearest(host, point)[0]
    across = cross(out, tangent_at(host, along))
    size = float(length(across))
    if size < 0.05:  # it runs along its host: there is no one place where they meet
        return np.zeros((1, 6)), np.zeros(1)
    n = MEETS / size * across
    row = np.concatenate([n, cross(point - middle, n)])
    return row[None], np.array([float(dot(n, point_at(host, along) - point))])


def _landing(
    axis: Chain, i: int, place: Place, member: Member, paths: dict[str, Chain], feet: dict[str, Foot]
) -> Landing:
    whole, first = axis.length, i == 0
    tip = point_at(axis, 0.0 if first else whole)
    out = -tangent_at(axis, 0.0) if first else tangent_at(axis, whole)
    meant = point_at(member.path, 0.0 if first else member.path.length)
    if isinstance(place, AtFoot):
        foot = feet[place.foot]
        beside = meant - foot.point  # a foot's place may be beside its plate's middle
        lean = float(dot(out, foot.normal))
        ahead = float(dot(foot.point + beside - tip, foot.normal)) / lean if abs(lean) > 0.05 else 0.0
        point = tip + ahead * out
        x, y, z = (point - foot.point).tolist()
        where: Place = AtFoot.model_construct(foot=place.foot, offset=(x, y, z))
    else:
        host = paths.get(place.on) if isinstance(place, OnMember) else None
        point = _meeting(tip, out, meant, host)
        ahead = float(dot(point - tip, out))
        x, y, z = point.tolist()
        where = AtCoordinates.model_construct(at=(x, y, z), clr=None)
    return Landing(point=point, place=where, off=point - meant, spare=-ahead)


def _meeting(tip: Vector, out: Vector, meant: Vector, host: Chain | None) -> Vector:
    """The place on the straight that is nearest to the host's centre line, or to the planned place."""
    point = tip + float(dot(meant - tip, out)) * out
    if host is None:
        return point
    for _ in range(ROUNDS):  # the straight and the host's tangent as two lines, until the host bends no more
        along = nearest(host, point)[0]
        h, d = point_at(host, along), tangent_at(host, along)
        lean = float(dot(out, d))
        if 1.0 - lean**2 < 1e-3:
            break
        run = (lean * float(dot(d, tip - h)) - float(dot(out, tip - h))) / (1.0 - lean**2)
        there = tip + run * out
        if float(length(there - point)) < 1e-9:
            break
        point = there
    return point


def _turned(member: Member, line: Chain) -> float:
    """How far its middle is turned about the line between the planned ends, rad; 0 without a bow."""
    a, b = point_at(member.path, 0.0), point_at(member.path, member.path.length)
    chord = b - a
    far = float(length(chord))
    if far < 1.0:
        return 0.0
    ways = [point_at(path, path.length / 2.0) - a for path in (member.path, line)]
    ways = [w - float(dot(w, chord)) / far**2 * chord for w in ways]
    if min(float(length(w)) for w in ways) < 20.0:
        return 0.0
    return signed_angle(ways[0], ways[1], chord / far)
