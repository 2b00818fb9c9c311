"""Where each body really is: least squares of the readings, and the readings that do not fit.

Each reading weighs by its standard deviation; the worst outlier (``base.outliers``) is taken out and the rest
solved again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_factor, cho_solve
from scipy.special import chdtri

from cagewright.base.outliers import (
    FALSE_ALARM,
    UNCHECKED,
    Outlier,
    limit_for,
    outlier,
    scores,
    smallest_outlier,
)
from cagewright.fitup.network import (
    Floats,
    Network,
    Reading,
    Rows,
    placed,
    predicted,
    rows_of,
    slopes,
    slopes_of_places,
)

MOST_OUTLIERS = 8
LOOSE = 10.0
"""A body with a mark less sure than this (standard deviation, mm) is not fixed by the readings."""
ROUNDS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """How one reading fits.

    Attributes:
        reading: as taken.
        fitted: what the adjusted places make of it, mm or rad.
        residual: seen less fitted, mm or rad.
        score: residual over its own standard deviation (normal, mean 0, spread 1, where nothing is wrong).
        checked: part of it that the other readings check, 0 to 1.
        smallest: the smallest outlier found with 95 % chance, mm or rad; infinite where unchecked.
    """

    reading: Reading
    fitted: float
    residual: float
    score: float
    checked: float
    smallest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjusted:
    """The bodies as the readings have them.

    Attributes:
        net: bodies and marks.
        state: (k, 6) each body's move (mm) and turn vector (rad) from the plan.
        covariance: (6k, 6k) their covariance.
        places: (n, 3) the marks, mm.
        mark_covariance: (n, 3, 3) the marks' covariance, mm2; 0 where held.
        checks: every reading that was used.
        outliers: readings that were taken out, in that order.
        unit_sigma: root mean square of the residuals over what they should be; about 1.
        fits: whether that is believable at 1 % (chi-square, both sides open upwards).
        loose: names of bodies that the readings do not fix.
        settled: whether the least squares came to rest.
    """

    net: Network
    state: Floats
    covariance: Floats
    places: Floats
    mark_covariance: Floats
    checks: tuple[Check, ...]
    outliers: tuple[Outlier[Reading], ...]
    unit_sigma: float
    fits: bool
    loose: tuple[str, ...]
    settled: bool


def adjust(net: Network, readings: Sequence[Reading], *, false_alarm: float = FALSE_ALARM) -> Adjusted:
    """The bodies by least squares, readings that the others contradict taken out one by one.

    Args:
        net: bodies and marks.
        readings: between marks of the network, any number.
        false_alarm: chance that a sound set is said to hold an outlier.

    Raises:
        KeyError: a reading names a mark that is not in the network.
        ValueError: nothing can move, or a reading has no size.
    """
    if not net.bodies:
        raise ValueError("nothing can move: every body is held")
    if any(not r.size > 0.0 for r in readings):
        raise ValueError("a reading's standard deviation must be more than 0")
    kept, outliers = list(readings), list[Outlier[Reading]]()
    fit = _fit(net, rows_of(net, kept), np.zeros((len(net.bodies), 6)))
    while len(outliers) < MOST_OUTLIERS:
        worst = outlier(fit.residual, fit.hat, false_alarm=false_alarm)
        if worst is None:
            break
        row, score, alike = worst
        like = tuple(kept[j] for j in alike)
        out = kept.pop(row)
        fit = _fit(net, rows_of(net, kept), fit.state)
        others = float(predicted(rows_of(net, [out]), placed(net, fit.state))[0])
        outliers.append(Outlier(reading=out, score=score, others=others, alike=like))
    outliers, back = _put_back(net, outliers, fit, false_alarm)
    if back:
        kept += back
        fit = _fit(net, rows_of(net, kept), fit.state)
    return _told(net, kept, outliers, fit, false_alarm)


def _put_back(
    net: Network, outliers: list[Outlier[Reading]], fit: _Adjustment, false_alarm: float
) -> tuple[list[Outlier[Reading]], list[Reading]]:
    """The outliers that stand, and the readings that fit after all once the true outlier was out."""
    if len(outliers) < 2:
        return outliers, []
    rows = rows_of(net, [s.reading for s in outliers])
    left = rows.seen - predicted(rows, placed(net, fit.state))
    slope = slopes(net, rows, fit.state)
    spread = np.sqrt(rows.size**2 + np.einsum("mi,ij,mj->m", slope, fit.covariance, slope))
    wrong = np.abs(left) > limit_for(len(fit.free), false_alarm=false_alarm) * spread
    stand = [s for s, w in zip(outliers, wrong, strict=True) if w]
    return stand, [s.reading for s, w in zip(outliers, wrong, strict=True) if not w]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Adjustment:
    """One solution: state, covariance, residuals (m,), hat matrix (m, m), parts checked (m,)."""

    state: Floats
    covariance: Floats
    residual: Floats
    hat: Floats
    free: Floats
    settled: bool


def _fit(net: Network, rows: Rows, start: Floats) -> _Adjustment:
    """Gauss-Newton to rest from ``start`` (k, 6)."""
    state, settled = start.ravel().copy(), False
    for _ in range(ROUNDS):
        slope, left = _scaled(net, rows, state)
        factor = cho_factor(slope.T @ slope + net.prior)
        step = cho_solve(factor, slope.T @ left - net.prior @ state)
        state = state + step
        # hundredths of a micrometre, and what they are at a metre's arm
        if float(np.abs(step * np.tile([1.0] * 3 + [1e3] * 3, len(net.bodies))).max()) < 1e-5:
            settled = True
            break
    slope, left = _scaled(net, rows, state)
    covariance = cho_solve(cho_factor(slope.T @ slope + net.prior), np.eye(len(state)))
    hat = slope @ covariance @ slope.T
    free = np.clip(1.0 - np.diag(hat), 0.0, 1.0)
    return _Adjustment(
        state=state.reshape(-1, 6), covariance=covariance, residual=left, hat=hat, free=free, settled=settled
    )  # fmt: skip


def _scaled(net: Network, rows: Rows, state: Floats) -> tuple[Floats, Floats]:
    """Slopes (m, 6k) and what the readings say beyond the prediction (m,), both over the readings' sizes."""
    six = state.reshape(-1, 6)
    left = (rows.seen - predicted(rows, placed(net, six))) / rows.size
    return slopes(net, rows, six) / rows.size[:, None], left


def _told(
    net: Network, kept: list[Reading], outliers: list[Outlier[Reading]], fit: _Adjustment, false_alarm: float
) -> Adjusted:
    of_place = slopes_of_places(net, fit.state)
    mark_covariance = np.zeros((len(net.points), 3, 3))
    for i, k in enumerate(net.body):
        if k >= 0:
            block = fit.covariance[6 * k : 6 * k + 6, 6 * k : 6 * k + 6]
            mark_covariance[i] = of_place[i] @ block @ of_place[i].T
    freedom = float(fit.free.sum())
    square = float(fit.residual @ fit.residual)
    return Adjusted(
        net=net,
        state=fit.state,
        covariance=fit.covariance,
        places=placed(net, fit.state),
        mark_covariance=mark_covariance,
        checks=_checks(kept, fit, false_alarm),
        outliers=tuple(outliers),
        unit_sigma=float(np.sqrt(square / freedom)) if freedom > 0.5 else 0.0,
        fits=freedom <= 0.5 or square <= float(chdtri(freedom, 0.01)),
        loose=_loose(net, mark_covariance),
        settled=fit.settled,
    )


def _checks(kept: list[Reading], fit: _Adjustment, false_alarm: float) -> tuple[Check, ...]:
    limit = limit_for(int((fit.free >= UNCHECKED).sum()), false_alarm=false_alarm)
    return tuple(
        Check(
            reading=r, fitted=r.seen - float(v) * r.size, residual=float(v) * r.size, score=float(s),
            checked=float(f), smallest=smallest_outlier(r.size, float(f), limit),
        )
        for r, v, s, f in zip(kept, fit.residual, scores(fit.residual, fit.free), fit.free, strict=True)
    )  # fmt: skip


def _loose(net: Network, mark_covariance: Floats) -> tuple[str, ...]:
    spread = np.sqrt(np.einsum("nii->ni", mark_covariance).max(axis=1))
    unread = [k for k in range(len(net.bodies)) if not (net.body == k).any()]
    wide = {int(k) for k in net.body[spread > LOOSE]}
    return tuple(b.name for k, b in enumerate(net.bodies) if k in wide or k in unread)
