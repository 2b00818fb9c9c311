"""A bent tube's shape by points: of its skin (a scan), or its ends and where its straights would meet (XYZ).

Of a scan the tube's bends, turns, inner straights and place are found by robust least squares of the points'
distances to its skin (soft L1; numeric slopes by SciPy), begun with its principal axes laid on the planned
tube's in each of the four ways; its ends are where the points end. XYZ are as many as the tube has numbers
once its place is taken off, so nothing checks them.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise, product

import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from cagewright.base.curves import Chain, Line, point_at, tangent_at
from cagewright.base.vectors import cross, dot, length, signed_angle, unit
from cagewright.fitup.solve import Floats
from cagewright.fitup.tube import (
    LOOSE_ANGLE,
    LOOSE_STRAIGHT,
    TubeOnBench,
    TubeRead,
    numbers_of,
    shape_by,
)
from cagewright.shape.distance import to_piece
from cagewright.shape.tube_shape import TubeFrame, TubeShape, centre_line, longer

XYZ_SIZE = 0.5
"""Standard deviation of each coordinate of XYZ, where none is given, mm (assumed)."""
LEAST_POINTS = 200
"""A scan of fewer points is none of a tube."""
ROUGH, FINE = 300, 1200
"""Points by which a way round is tried, and by which it is solved."""
AS_GOOD = 1.5
"""Ways round that fit within this ratio of the best are told apart by the plan; within it not even so
(assumed)."""
HOPELESS = 4.0
"""Ways round that fit so many times worse than the best are given up early."""
WIDE, CLOSE = 30.0, 1.0
"""Points further off than this pull no harder, mm: while it is laid near, and once it is."""
ALIKE_WITHIN = 20.0
"""A scan's errors are taken to be the same over so much of the skin, mm (assumed)."""
SKIN = 0.2
"""A scan's points are no surer than this, mm (assumed)."""
PAST = 400.0
"""Straights are followed so far past the planned ends, so that the points say where they end, mm."""
THIRD, LAST, EDGE = 3, 60.0, 0.4
"""An end is told by the third point from it and by how thick they lie in the last so many mm; a sawn edge is
no sharper than so many mm (assumed)."""
BESIDE = 4.0
"""Points further off the skin than so many times their spread are no part of the tube."""
UNITS = {"mm": 1.0, "inches": 25.4, "cm": 10.0, "metres": 1000.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class ScannedTube:
    """A tube by its scan.

    Attributes:
        read: its shape; no reading stands behind it.
        points: so many points lie on it.
        off: root mean square of their distances to its skin, mm.
        beside: share of the scan's points that are no part of it.
        unit: what the file's numbers were taken as.
        either_way: whether it is about as like the planned tube read from its other end.
    """

    read: TubeRead
    points: int
    off: float
    beside: float
    unit: str
    either_way: bool


class NoTube(Exception):
    """The points are of no such tube; in words."""


# --- XYZ


def tube_of_corners(bench: TubeOnBench, corners: Floats, *, size: float = XYZ_SIZE) -> TubeRead:
    """The tube whose ends and meeting points of straights those are.

    Args:
        bench: the tube that was meant: its radii are taken.
        corners: (n+2, 3) from its start, mm, in any place.
        size: standard deviation of each coordinate, mm.

    Raises:
        NoTube: two of them are one, or a straight would be less than nothing.
    """
    found = _by_corners(bench, corners)
    slope = _slopes(lambda flat: numbers_of(_by_corners(bench, flat.reshape(-1, 3))), corners.ravel())
    return _read(bench, found, size**2 * slope @ slope.T, 0.0)


def _by_corners(bench: TubeOnBench, corners: Floats) -> TubeShape:
    legs = np.diff(corners, axis=0)
    far = np.linalg.norm(legs, axis=1)
    if float(far.min()) < 1.0:
        raise NoTube("two of its points are one")
    ways = legs / far[:, None]
    angles = [math.acos(min(max(float(dot(a, b)), -1.0), 1.0)) for a, b in pairwise(ways)]
    normals = [unit(cross(a, b)) for a, b in pairwise(ways)]
    turns = [signed_angle(a, b, w) for a, b, w in zip(normals, normals[1:], ways[1:-1], strict=False)]
    backs = [0.0, *(r * math.tan(a / 2.0) for r, a in zip(bench.planned.radii, angles, strict=True)), 0.0]
    straights = tuple((far - backs[:-1] - backs[1:]).tolist())
    return TubeShape(
        straights=straights, angles=tuple(angles), radii=bench.planned.radii, clockings=tuple(turns)
    )  # fmt: skip


# --- a scan


def tube_of_scan(bench: TubeOnBench, points: Floats) -> ScannedTube:
    """The tube whose skin those points are of.

    Args:
        bench: the tube that was meant.
        points: (m, 3) of its outside and little else, in any place, in mm, cm, m or inches.

    Raises:
        NoTube: they are too few, or of no such tube.
    """
    if len(points) < LEAST_POINTS:
        raise NoTube(f"{len(points)} points are too few")
    whole = centre_line(bench.planned)
    line = _evenly(whole)
    unit_name, factor = _unit(points, line)
    skin = points * factor
    random = np.random.default_rng(0)  # the same points every time
    few, many = (skin[random.permutation(len(skin))[:count]] for count in (ROUGH, FINE))
    fit = _Settled(bench=bench)
    wide = [fit.solved(few, start, rounds=25, scale=WIDE) for start in _starts(fit, line, few)]
    nearest = min(cost for _, cost, _ in wide)
    tried = [fit.solved(few, state, rounds=25) for state, cost, _ in wide if cost <= HOPELESS * nearest]
    least = min(cost for _, cost, _ in tried)
    good = [state for state, cost, _ in tried if cost <= AS_GOOD * least]
    unlike = sorted((_unlike(fit, state, few), i) for i, state in enumerate(good))
    state, _, _ = fit.solved(many, good[unlike[0][1]], rounds=60)
    either = len(unlike) > 1 and unlike[1][0] < AS_GOOD * unlike[0][0]
    return _told(fit, state, many, skin, unit_name, either)


def _unlike(fit: _Settled, state: Floats, skin: Floats) -> float:
    """How far the tube is from the planned one, over how far one may be; infinite where it has no ends."""
    try:
        ends, _ = _ends(fit.axis(state), skin)
    except NoTube:
        return math.inf
    off = numbers_of(_with_ends(fit, state, ends)) - numbers_of(fit.bench.planned)
    n = fit.bends
    return float(np.linalg.norm(off / ([LOOSE_STRAIGHT] * (n + 1) + [LOOSE_ANGLE] * (len(off) - n - 1))))


def _unit(points: Floats, line: Floats) -> tuple[str, float]:
    """What the file's numbers are, by how large the tube is.

    Raises:
        NoTube: the points are all one.
    """
    size = float(length(np.ptp(points, axis=0)))
    if not math.isfinite(size) or size <= 0.0:
        raise NoTube("its points are all one")
    wanted = float(length(np.ptp(line, axis=0)))
    return min(UNITS.items(), key=lambda u: abs(math.log(size * u[1] / wanted)))


def _evenly(whole: Chain) -> Floats:
    return np.array([point_at(whole, s) for s in np.linspace(0.0, whole.length, 200)])


def _axes(points: Floats) -> Floats:
    """(3, 3) rows: its principal axes, right-handed."""
    axes = np.linalg.svd(points - points.mean(axis=0), full_matrices=False)[2]
    return axes * np.array([[1.0], [1.0], [np.sign(np.linalg.det(axes)) or 1.0]])


def _starts(fit: _Settled, line: Floats, skin: Floats) -> list[Floats]:
    """States with the planned tube's principal axes on the scan's, each of the four ways."""
    own, theirs = _axes(line), _axes(skin)
    starts: list[Floats] = []
    for a, b in product((1.0, -1.0), repeat=2):
        turn = (theirs.T * [a, b, a * b]) @ own
        shift = skin.mean(axis=0) - turn @ line.mean(axis=0)
        starts.append(np.concatenate([np.zeros(fit.inner), Rotation.from_matrix(turn).as_rotvec(), shift]))
    return starts


@dataclass(frozen=True, slots=True, kw_only=True)
class _Settled:
    """Inner straights, angles and turns beyond the planned ones, then the place: a turn and a shift."""

    bench: TubeOnBench

    @property
    def bends(self) -> int:
        return len(self.bench.planned.angles)

    @property
    def inner(self) -> int:
        """How many numbers the points' middle fixes: all but the two outer straights."""
        return max(3 * self.bends - 2, 0)

    @property
    def loose(self) -> Floats:
        """(inner,) standard deviations before it is scanned."""
        n = self.bends
        return np.array([LOOSE_STRAIGHT] * max(n - 1, 0) + [LOOSE_ANGLE] * (n + max(n - 1, 0)))

    def shape(self, state: Floats) -> TubeShape:
        n, own = self.bends, state[: self.inner]
        if not n:
            return self.bench.planned
        return shape_by(self.bench.planned, np.concatenate([[0.0], own[: n - 1], [0.0], own[n - 1 :]]))

    def axis(self, state: Floats) -> Chain:
        """The centre line where the scan has it, followed past its ends."""
        turn = Rotation.from_rotvec(state[-6:-3])
        along, normal = turn.apply([1.0, 0.0, 0.0]), turn.apply([0.0, 0.0, 1.0])
        frame = TubeFrame(start=state[-3:] - PAST * along, along=along, normal=normal)
        return centre_line(longer(self.shape(state), PAST, PAST), frame)

    def off(self, state: Floats, skin: Floats) -> Floats:
        """(m,) how far the points are outside the tube's skin, mm."""
        axis = self.axis(state)
        return np.min([to_piece(skin, piece) for piece in axis.pieces], axis=0) - self.bench.radius

    def solved(
        self, skin: Floats, start: Floats, *, rounds: int, scale: float = CLOSE
    ) -> tuple[Floats, float, Floats]:
        """The state at rest, what is left, and its covariance before it is scaled by the points' spread."""

        def left(state: Floats) -> Floats:
            try:
                off = self.off(state, skin)
            except ValueError:  # no tube can have that shape: a step too far
                off = np.full(len(skin), 1e3)
            return np.concatenate([off, state[: self.inner] / self.loose])

        found = least_squares(left, start, loss="soft_l1", f_scale=scale, x_scale="jac", max_nfev=rounds)
        weight = found.jac.T @ found.jac + 1e-9 * np.eye(len(start))
        return found.x, float(found.cost) / len(skin), np.asarray(np.linalg.inv(weight), float)


def _told(
    fit: _Settled, state: Floats, skin: Floats, every: Floats, unit_name: str, either_way: bool
) -> ScannedTube:
    """The tube with its ends where the points end.

    Raises:
        NoTube: the points lie on none.
    """
    off = np.abs(fit.off(state, skin))
    spread = max(SKIN, 1.4826 * float(np.median(off)))
    on = skin[off <= BESIDE * spread]
    if len(on) < 0.5 * len(skin) or spread > 0.25 * fit.bench.radius:
        raise NoTube("its points lie on no tube of this kind")
    state, _, covariance = fit.solved(on, state, rounds=30)
    rms = max(SKIN, float(np.sqrt(np.mean(fit.off(state, on) ** 2))))
    all_on = every[np.abs(fit.off(state, every)) <= BESIDE * rms]
    ends, sure = _ends(fit.axis(state), all_on)

    def numbers(now: Floats) -> Floats:
        return numbers_of(_with_ends(fit, now, ends))

    skin_area = 2.0 * math.pi * fit.bench.radius * fit.bench.planned.length
    alike = max(len(on) / max(skin_area / ALIKE_WITHIN**2, 1.0), 1.0)
    slope = _slopes(numbers, state)
    whole = rms**2 * alike * slope @ covariance @ slope.T
    for k, end in zip((0, fit.bends), sure, strict=True):
        whole[k, k] += end**2
    read = _read(fit.bench, _with_ends(fit, state, ends), whole, rms / SKIN)
    return ScannedTube(
        read=read, points=len(all_on), off=rms, beside=1.0 - len(all_on) / len(every), unit=unit_name,
        either_way=either_way,
    )  # fmt: skip


def _ends(axis: Chain, on: Floats) -> tuple[tuple[Floats, Floats], tuple[float, float]]:
    """Where on its axis the points begin and end, and the standard deviation of each, mm.

    Points that lie lambda to the mm end k / lambda beyond the k-th of them, give or take sqrt(k) / lambda
    (the gaps of a Poisson process).

    Raises:
        NoTube: an end has no points.
    """
    found: list[tuple[Floats, float]] = []
    owner = np.argmin([to_piece(on, piece) for piece in axis.pieces], axis=0)
    for k, run in ((0, 0.0), (len(axis.pieces) - 1, axis.length)):
        tip, out = point_at(axis, run), tangent_at(axis, run) * (-1.0 if run == 0.0 else 1.0)
        own = np.sort((on[owner == k] - tip) @ out)[::-1]
        if len(own) <= 2 * THIRD:
            raise NoTube("no points are seen at one of its ends")
        thick = float(np.count_nonzero(own > own[0] - LAST)) / min(LAST, float(own[0] - own[-1]))
        end = float(own[THIRD - 1]) + THIRD / thick
        found.append((tip + end * out, max(EDGE, math.sqrt(THIRD) / thick)))
    return (found[0][0], found[1][0]), (found[0][1], found[1][1])


def _with_ends(fit: _Settled, state: Floats, ends: tuple[Floats, Floats]) -> TubeShape:
    """The shape with its outer straights from where its bends begin to where the points end."""
    axis, shape = fit.axis(state), fit.shape(state)
    first, last = axis.pieces[0], axis.pieces[-1]
    assert isinstance(first, Line)
    assert isinstance(last, Line)
    more = float(dot(point_at(axis, 0.0) - ends[0], tangent_at(axis, 0.0)))
    past = float(dot(ends[1] - point_at(axis, axis.length), tangent_at(axis, axis.length)))
    if not fit.bends:
        return replace(shape, straights=(shape.straights[0] + 2.0 * PAST + more + past,))
    return longer(shape, PAST + more, PAST + past)


def _slopes(numbers: Callable[[Floats], Floats], at: Floats) -> Floats:
    """(p, q) how the numbers change with each of the values, by differences; to one side at a limit."""

    def there(place: Floats) -> Floats | None:
        try:
            return numbers(place)
        except ValueError:  # no tube: a straight is of nothing there
            return None

    step, here, rows = 1e-5, numbers(at), list[Floats]()
    for e in np.eye(len(at)):
        more, less = there(at + step * e), there(at - step * e)
        both = (here if more is None else more) - (here if less is None else less)
        rows.append(both / (step * (1.0 if more is None or less is None else 2.0)))
    return np.stack(rows, axis=1)


def _read(bench: TubeOnBench, shape: TubeShape, covariance: Floats, unit_sigma: float) -> TubeRead:
    return TubeRead(
        bench=bench, shape=shape, covariance=covariance, checks=(), outliers=(), unit_sigma=unit_sigma,
        fits=True, settled=True,
    )  # fmt: skip
