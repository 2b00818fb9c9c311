"""The survey as a network of points and observations, solved by least squares, the doubtful reading named.

Least squares with the tape's standard deviation as weight; the worst outlier (``base.outliers``) is taken out
and the rest solved again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import least_squares

from cagewright.base.outliers import UNCHECKED, Outlier, outlier
from cagewright.shape.closest import Mask
from cagewright.shape.mesh import Whole
from cagewright.shape.types import Array

MOST_SLIPS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """One number on the tape.

    Attributes:
        reading: which reading of the survey; empty for an assumption.
        part: of the reading.
        value: which of its numbers.
        seen: what it says, mm.
        spread: its standard deviation, mm.
        point: whose coordinate it is, or where the distance starts.
        other: where the distance ends; empty for a coordinate. For an assumed mirror, the other side's point.
        axis: of the coordinate, 0 back, 1 across, 2 up; None for a distance.
        sign: of the coordinate: a half width on the left is -across.
        more: further coordinates that the number is the sum of: point, axis, factor.
    """

    reading: str
    part: str
    value: str
    seen: float
    spread: float
    point: str
    other: str = ""
    axis: int | None = None
    sign: float = 1.0
    more: tuple[tuple[str, int, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """The points that the observations give.

    Attributes:
        points: (3,) mm by name.
        spreads: (3,) standard deviation of each coordinate, mm.
        covariance: (3n, 3n) of all coordinates, in the points' order, mm2.
        slips: in the order they were taken out.
        unchecked: numbers that nothing else would contradict.
        loose: points that the observations do not fix.
        scatter: root mean square of the residuals left over their standard deviations; about 1 for a
            sound set.
    """

    points: dict[str, Array]
    spreads: dict[str, Array]
    covariance: Array
    slips: tuple[Outlier[Observation], ...]
    unchecked: tuple[Observation, ...]
    loose: tuple[str, ...]
    scatter: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fit:
    """One least-squares solution.

    Attributes:
        places: (n, 3) mm, in the order of the names.
        residual: (m,) seen less computed, over its spread.
        leverage: (m,) diagonal of the hat matrix: 1 is a number nothing checks.
        hat: (m, m) the hat matrix.
        covariance: (3n, 3n) covariance of the coordinates, mm2.
    """

    places: Array
    residual: Array
    leverage: Array
    hat: Array
    covariance: Array


def solve(
    observations: Sequence[Observation],
    start: Mapping[str, tuple[float, float, float]],
    *,
    most: int = MOST_SLIPS,
) -> Solved:
    """The points by least squares, with the readings that the others contradict taken out one by one.

    Args:
        observations: of any number of points.
        start: roughly where each point is, mm.
        most: slips after which the set is given up on; those found are told.
    """
    kept, loose = _held(list(observations), start)
    net = _net(kept, _names(kept))
    slips: list[Outlier[Observation]] = []
    fit = _fit(net, _places(net.names, start))
    while len(slips) < most:
        slip = _worst(net, fit)
        if slip is None:
            break
        net = _net([o for o in net.kept if o is not slip.reading], net.names)
        fit = _fit(net, fit.places)
        # with what the solution without it makes of the number
        others = float(_computed(_net([slip.reading], net.names), fit.places)[0])
        slips.append(replace(slip, others=others))
    spreads = np.sqrt(np.maximum(np.diag(fit.covariance), 0.0)).reshape(-1, 3)
    told = zip(net.kept, fit.leverage, strict=True)
    return Solved(
        points={name: fit.places[i] for i, name in enumerate(net.names)},
        spreads={name: spreads[i] for i, name in enumerate(net.names)},
        covariance=fit.covariance,
        slips=tuple(slips),
        unchecked=tuple(o for o, h in told if 1.0 - h < UNCHECKED and o.reading),
        loose=loose,
        scatter=float(np.sqrt(fit.residual @ fit.residual / max(len(net.kept) - 3 * len(net.names), 1))),
    )


def computed(observations: Sequence[Observation], points: Mapping[str, Array]) -> tuple[Array, Array]:
    """(m,) what each would be with the points there, mm, and (m, 3n) how it changes with their coordinates.

    Args:
        observations: of those points only.
        points: (3,) mm by name; their order is that of the coordinates.
    """
    net = _net(list(observations), list(points))
    places = np.array(list(points.values()), dtype=np.float64).reshape(-1, 3)
    return _computed(net, places), _slopes(net, places) * net.spread[:, None]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Net:
    """The observations as arrays, a row each.

    Attributes:
        kept: the observations.
        names: of the points, in the order of their coordinates.
        point: (m,) index of the first point.
        other: (m,) index of the second point, -1 for none.
        far: (m,) whether it is a distance.
        sums: (m, 3n) factors of the coordinates that it is the sum of; 0 for a distance.
        seen: (m,) mm.
        spread: (m,) mm.
    """

    kept: list[Observation]
    names: list[str]
    point: Whole
    other: Whole
    far: Mask
    sums: Array
    seen: Array
    spread: Array


def _names(kept: Sequence[Observation]) -> list[str]:
    return list(dict.fromkeys(n for o in kept for n in _points_of(o)))


def _points_of(o: Observation) -> list[str]:
    return [n for n in (o.point, o.other, *(name for name, _, _ in o.more)) if n]


def _net(kept: list[Observation], names: list[str]) -> _Net:
    index = {name: i for i, name in enumerate(names)}
    return _Net(
        kept=kept,
        names=names,
        point=np.array([index[o.point] for o in kept], dtype=np.int64),
        other=np.array([index[o.other] if o.other else -1 for o in kept], dtype=np.int64),
        far=np.array([o.axis is None for o in kept], dtype=np.bool_),
        sums=_sums(kept, index),
        seen=np.array([o.seen for o in kept], dtype=np.float64),
        spread=np.array([o.spread for o in kept], dtype=np.float64),
    )


def _sums(kept: Sequence[Observation], index: Mapping[str, int]) -> Array:
    sums = np.zeros((len(kept), 3 * len(index)))
    for i, o in enumerate(kept):
        if o.axis is None:
            continue
        sums[i, 3 * index[o.point] + o.axis] += o.sign
        if o.other:
            sums[i, 3 * index[o.other] + o.axis] -= 1.0
        for name, axis, factor in o.more:
            sums[i, 3 * index[name] + axis] += factor
    return sums


def _held(
    kept: list[Observation], start: Mapping[str, tuple[float, float, float]]
) -> tuple[list[Observation], tuple[str, ...]]:
    """The observations of the points that they fix, and the points that they do not."""
    loose: list[str] = []
    while kept:
        net = _net(kept, _names(kept))
        weak = _weak(net, _places(net.names, start))
        if not weak:
            break
        loose += weak
        kept = [o for o in kept if not set(_points_of(o)) & set(weak)]
    return kept, tuple(loose)


def _weak(net: _Net, places: Array) -> list[str]:
    """The points that can move while every observation stays as it is."""
    slope = _slopes(net, places)
    size, ways = np.linalg.eigh(slope.T @ slope)
    free = ways[:, size < 1e-10 * max(float(size.max()), 1.0)]
    moving = np.abs(free).reshape(len(net.names), -1).max(axis=1, initial=0.0)
    return [n for n, m in zip(net.names, moving, strict=True) if m > 1e-4]


def _places(names: list[str], start: Mapping[str, tuple[float, float, float]]) -> Array:
    return np.array([start.get(name, (0.0, 0.0, 0.0)) for name in names], dtype=np.float64).reshape(-1, 3)


def _fit(net: _Net, first: Array) -> _Fit:
    if not net.names:
        none = np.zeros(0)
        empty = np.zeros((0, 0))
        return _Fit(places=first, residual=none, leverage=none, hat=empty, covariance=empty)

    def off(x: Array) -> Array:
        return _residuals(net, x.reshape(-1, 3))

    def slopes(x: Array) -> Array:
        return -_slopes(net, x.reshape(-1, 3))

    found = least_squares(off, first.ravel(), jac=slopes, method="lm")
    places = np.asarray(found.x, dtype=np.float64).reshape(-1, 3)
    q, r = np.linalg.qr(_slopes(net, places))
    hat = q @ q.T
    inverse = np.linalg.pinv(r)
    return _Fit(
        places=places,
        residual=_residuals(net, places),
        leverage=np.diag(hat).copy(),
        hat=hat,
        covariance=inverse @ inverse.T,
    )


def _residuals(net: _Net, places: Array) -> Array:
    return (net.seen - _computed(net, places)) / net.spread


def _computed(net: _Net, places: Array) -> Array:
    """(m,) what each observation would be with the points at those places (n, 3), mm."""
    away = np.sqrt(((places[net.point] - places[net.other]) ** 2).sum(axis=1))
    return np.where(net.far, away, net.sums @ places.ravel())


def _slopes(net: _Net, places: Array) -> Array:
    """(m, 3n) how each computed number changes with the coordinates, over its spread."""
    slopes = net.sums.reshape(len(net.point), -1, 3).copy()
    far = np.flatnonzero(net.far)
    way = places[net.point[far]] - places[net.other[far]]
    way = way / np.maximum(np.sqrt((way**2).sum(axis=1)), 1e-9)[:, None]
    slopes[far, net.point[far]] = way
    slopes[far, net.other[far]] = -way
    return (slopes / net.spread[:, None, None]).reshape(len(net.point), -1)


def _worst(net: _Net, fit: _Fit) -> Outlier[Observation] | None:
    """The number that is the worst outlier, where one is beyond the limit; an assumption is never one."""
    found = outlier(fit.residual, fit.hat, np.array([bool(o.reading) for o in net.kept], dtype=np.bool_))
    if found is None:
        return None
    i, score, alike = found
    return Outlier(reading=net.kept[i], score=abs(score), others=0.0, alike=tuple(net.kept[j] for j in alike))
