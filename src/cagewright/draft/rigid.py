"""A bent tube as a rigid thing: moved, leaned and turned until its ends reach what they stand on.

What is made least is the sum of squares, in mm2, of: how far each end is short or passes beside what it
stands on; how far the tube is in the body, or off the gap wanted; and with little weight how far it lies from
where one made for the body would lie. Solved from two starts (each end first) by the trust-region method of
scipy.optimize.least_squares.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from cagewright.base.curves import Chain, sample
from cagewright.base.vectors import UP, Vector, cross, dot, length, square_to, unit
from cagewright.draft.tighten import Surroundings
from cagewright.shape.clearance import points_at
from cagewright.shape.closest import closest_on_segments
from cagewright.shape.tube_shape import TubeFrame, TubeShape, centre_line
from cagewright.shape.types import Array

LEVER = 500.0
"""Turning is counted in mm at this distance."""
STEP = 50.0
"""Spacing of the stations along a tube, mm."""
NEAR, SIDE, SLACK, ALONG = 0.05, 0.2, 0.01, 0.05
"""Weights beside a short end's 1: off the drafted line, a foot off its place, spare length, along a main."""
INSIDE, FOLLOW = 3.0, 0.2
"""Weights of a mm too near to the body, and of a mm off the gap wanted."""
RADIAN = 1.0 / LEVER


@dataclass(frozen=True, slots=True, kw_only=True)
class LyingTube:
    """A tube as it lies on the bench.

    Attributes:
        shape: its straights to its furthest points.
        radius: of its outside, mm.
        past: (2,) how far past its furthest point each end's notch would have the other tube's axis, mm;
            NaN where the end is cut to fit.
    """

    shape: TubeShape
    radius: float
    past: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class OnPlane:
    """An end stands on a plane near a point (3,), mm; ``normal`` unit (3,) out of the shell.

    ``inner`` and ``outer`` say how far across (half width, mm) the end may stand there.
    """

    point: Vector
    normal: Vector
    inner: float = 0.0
    outer: float = 1e4


@dataclass(frozen=True, slots=True, kw_only=True)
class OnTube:
    """An end lands on another tube: its centre line (n, 3) near there, radius, and the place drafted (3,)."""

    line: Array
    radius: float
    point: Vector


Stand = OnPlane | OnTube


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a tube is to go.

    Attributes:
        path: of the one that was drafted for this body.
        stands: its first and last end.
        body: what it must stay clear of; None where it is nowhere near.
        gap: wanted, mm.
        square: it stands square across the car: what is off along the car counts as a gap that is off.
    """

    path: Chain
    stands: tuple[Stand, Stand]
    body: Surroundings | None
    gap: float
    square: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """How one end reaches.

    Attributes:
        at: (3,) where its axis meets what it stands on, mm.
        more: mm of straight that are wanted more; less than 0: so much is cut off.
        aside: mm by which its axis passes what it stands on, or stands where it may not.
    """

    at: Vector
    more: float
    aside: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A tube in its place.

    Attributes:
        frame: where its own start stands.
        turned: its own end stands where the drafted tube starts.
        ends: how its own start and end reach.
        cost: what is left, mm2.
        deep: how far it is in the body, mm.
        gaps: least and mean gap where it follows the body, mm, or None.
    """

    frame: TubeFrame
    turned: bool
    ends: tuple[Reached, Reached]
    cost: float
    deep: float
    gaps: tuple[float, float] | None


def placed(tube: LyingTube, place: Place) -> tuple[Placed, Placed]:
    """The place that leaves least, each way round, the better first."""
    one, two = (_solved(tube, place, turned=turned) for turned in (False, True))
    return (one, two) if one.cost <= two.cost else (two, one)


def placed_at(tube: LyingTube, place: Place, frame: TubeFrame, *, turned: bool) -> Placed:
    """What that place leaves."""
    made = _Rigid(tube, place, turned=turned)
    return made.told(*made.as_moved(frame))


def _solved(tube: LyingTube, place: Place, *, turned: bool) -> Placed:
    made = _Rigid(tube, place, turned=turned)
    rough = least_squares(made.left, np.zeros(6), method="trf", max_nfev=60, kwargs={"body": False})
    x = rough.x
    if place.body is not None:
        x = least_squares(made.left, x, method="trf", max_nfev=25, diff_step=1e-6, x_scale=1.0).x
    return made.told(*made.moved(x))


class _Rigid:
    """The tube near its place, and what is left of every wish once it is moved."""

    def __init__(self, tube: LyingTube, place: Place, *, turned: bool) -> None:
        self.tube, self.place, self.turned = tube, place, turned
        own = centre_line(tube.shape)
        line = sample(own, sagitta=1.0)
        self.drafted = sample(place.path, sagitta=1.0)
        count = max(int(own.length / STEP), 6)
        stations = points_at(own, np.linspace(0.0, own.length, count + 1))
        share = np.linspace(0.0, 1.0, count + 1)
        aim = points_at(place.path, (share[::-1] if turned else share) * place.path.length)
        self.stands = place.stands[::-1] if turned else place.stands
        ways = np.array([unit(line[0] - line[1]), unit(line[-1] - line[-2])])
        turn = _aligned(stations, aim, straight=not tube.shape.angles)
        move = aim.mean(axis=0) - turn @ stations.mean(axis=0)
        self.middle = aim.mean(axis=0)
        self.stations = stations @ turn.T + move
        self.ways = ways @ turn.T
        self.first = (turn, move)

    def moved(self, x: Array) -> tuple[Array, Array, Array, Vector]:
        """Stations (n, 3), the ends' outward ways (2, 3), turn (3, 3) and move (3,) from its own frame."""
        turn = Rotation.from_rotvec(x[:3] * RADIAN).as_matrix()
        stations = (self.stations - self.middle) @ turn.T + self.middle + x[3:]
        whole = turn @ self.first[0]
        move = turn @ (self.first[1] - self.middle) + self.middle + x[3:]
        return stations, self.ways @ turn.T, whole, move

    def as_moved(self, frame: TubeFrame) -> tuple[Array, Array, Array, Vector]:
        """The same for a place that is given."""
        whole = frame.axes.T
        back = self.first[0].T
        own = (self.stations - self.first[1]) @ self.first[0]
        return own @ whole.T + frame.start, self.ways @ back.T @ whole.T, whole, frame.start

    def left(self, x: Array, *, body: bool = True) -> Array:
        """Everything that is to be small, mm."""
        stations, ways, _, _ = self.moved(x)
        return self.residuals(stations, ways, body=body)

    def residuals(self, stations: Array, ways: Array, *, body: bool) -> Array:
        """Ends, the drafted line, the body."""
        off = self._off_draft(stations)
        parts = [NEAR * off.ravel(), (FOLLOW if self.place.square else 0.0) * off[:, 0]]
        for i, stand in enumerate(self.stands):
            tip, way = stations[0 if i == 0 else -1], ways[i]
            parts.append(self._end(tip, way, stand, self.tube.past[i]))
        if body and self.place.body is not None:
            near = self.place.body(stations)
            gap = near.away - self.tube.radius
            least = min(self.place.gap, 3.0)
            parts.append(INSIDE * np.where(near.counts, np.minimum(gap - least, 0.0), 0.0))
            parts.append(FOLLOW * np.where(near.follows, np.clip(gap - self.place.gap, -60.0, 60.0), 0.0))
        return np.concatenate(parts)

    def _off_draft(self, stations: Array) -> Array:
        n, m = len(stations), len(self.drafted) - 1
        on = closest_on_segments(
            np.repeat(stations, m, axis=0), np.tile(self.drafted[:-1], (n, 1)),
            np.tile(self.drafted[1:], (n, 1)),
        ).reshape(n, m, 3)  # fmt: skip
        off = on - stations[:, None]
        best = np.argmin(np.einsum("nmi,nmi->nm", off, off), axis=1)
        return off[np.arange(n), best]

    def _end(self, tip: Vector, way: Vector, stand: Stand, past: float) -> Array:
        met = reach(tip, way, stand, self.tube.radius, past)
        if isinstance(stand, OnPlane):
            off = met.at - stand.point
            off = SIDE * (off - dot(off, stand.normal) * stand.normal)
            return np.array([*off, met.aside, _one_sided(met.more, past)])
        on = closest_on_line(stand.line, tip, way)[1]
        return np.array([*(on - met.at), *(ALONG * (on - stand.point)), _one_sided(met.more, past)])

    def told(self, stations: Array, ways: Array, whole: Array, move: Vector) -> Placed:
        """What is left there."""
        left = self.residuals(stations, ways, body=True)
        ends = [
            reach(stations[0 if i == 0 else -1], ways[i], stand, self.tube.radius, self.tube.past[i])
            for i, stand in enumerate(self.stands)
        ]
        deep, gaps = 0.0, None
        if self.place.body is not None:
            near = self.place.body(stations)
            gap = near.away - self.tube.radius
            deep = max(-float(np.where(near.counts, gap, 1e4).min()), 0.0)
            if near.follows.any():
                gaps = float(gap[near.follows].min()), float(gap[near.follows].mean())
        frame = TubeFrame(start=move, along=whole[:, 0], normal=whole[:, 2])
        return Placed(
            frame=frame, turned=self.turned, ends=(ends[0], ends[1]), cost=float(left @ left), deep=deep,
            gaps=gaps,
        )  # fmt: skip


def _one_sided(more: float, past: float) -> float:
    """A short end counts in full; spare length next to nothing, unless a notch is to be kept."""
    return more if more > 0.0 else (SLACK if math.isnan(past) else 0.5) * more


def _aligned(own: Array, aim: Array, *, straight: bool) -> Array:
    """The turn (3, 3) that brings the stations nearest to those aimed at.

    W. Kabsch, Acta Cryst. A32 (1976) 922, as in scipy.spatial.transform; a straight tube only has a way.
    """
    if straight:
        along = unit(aim[-1] - aim[0])
        normal = square_to(along, UP)
        return np.column_stack([along, cross(normal, along), normal])
    return Rotation.align_vectors(aim - aim.mean(axis=0), own - own.mean(axis=0))[0].as_matrix()


def reach(tip: Vector, way: Vector, stand: Stand, radius: float, past: float) -> Reached:
    """How an end reaches whose furthest point is ``tip`` (3,), its axis running out along ``way`` (3,)."""
    if isinstance(stand, OnPlane):
        lean = float(dot(way, stand.normal))
        lean = math.copysign(max(abs(lean), 0.05), lean or -1.0)
        at = tip + float(dot(stand.point - tip, stand.normal)) / lean * way
        half = abs(float(at[1]))
        aside = max(stand.inner - half, half - stand.outer, 0.0)
        return Reached(at=at, more=float(dot(at - tip, way)), aside=aside)
    run, on = closest_on_line(stand.line, tip, way)
    at = tip + run * way
    step = stand.line[1:] - stand.line[:-1]
    k = int(np.argmin(length(stand.line[:-1] - on)))
    lean = max(math.sqrt(max(1.0 - float(dot(unit(step[k]), way)) ** 2, 0.0)), 0.26)
    room = math.sqrt(max(stand.radius**2 - radius**2, 0.0)) / lean if math.isnan(past) else past
    return Reached(at=at, more=run - room, aside=float(length(on - at)))


def closest_on_line(line: Array, tip: Vector, way: Vector) -> tuple[float, Vector]:
    """Where the axis from ``tip`` along ``way`` is nearest to the line (n, 3): mm along it, the line's (3,).

    Both ways from the tip; the nearest place of each piece in turn (two straights, any handbook).
    """
    a, u = line[:-1], line[1:] - line[:-1]
    w = a - tip
    uu, uv, wu, wv = dot(u, u), u @ way, dot(w, u), w @ way
    share = np.clip((uv * wv - wu) / np.maximum(uu - uv**2, 1e-9), 0.0, 1.0)
    on = a + share[:, None] * u
    run = (on - tip) @ way
    off = length(tip + run[:, None] * way - on)
    k = int(np.argmin(off + 0.02 * np.abs(run)))
    return float(run[k]), on[k]


def near_part(line: Array, point: Vector, *, within: float = 400.0) -> Array:
    """The part (m, 3) of a line (n, 3) no further than that from the point, mm; at least two places."""
    away = length(line - point)
    kept = np.flatnonzero(away <= within)
    if len(kept) < 2:
        k = int(np.argmin(away))
        kept = np.array([max(k - 1, 0), min(k + 1, len(line) - 1)])
    return line[max(int(kept[0]) - 1, 0) : int(kept[-1]) + 2]


def lines_of(paths: Sequence[Chain]) -> list[Array]:
    """Each centre line as a close polyline (n, 3), mm."""
    return [sample(path, sagitta=0.02) for path in paths]
