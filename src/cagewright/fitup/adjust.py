"""Where each body really is: least squares of the readings, and the readings that do not fit.

Each reading weighs by its standard deviation. Residuals over their own standard deviation are normal under
the plan of no slip (the w-test of W. Baarda, A testing procedure for use in geodetic networks, Netherlands
Geodetic
Commission 1968, from memory, unchecked); the worst one beyond the limit is taken out and the rest solved
again. The limit keeps the chance of any false alarm in the whole set at ``FALSE_ALARM`` (Sidak's inequality).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_factor, cho_solve
from scipy.stats import chi2, norm

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
    soft_weights,
)

FALSE_ALARM = 0.02
"""Chance that a set of readings without a slip is said to hold one."""
POWER = 0.95
"""Chance with which the smallest slip told for each reading is found."""
UNCHECKED = 0.05
"""A reading of which less than this part is checked by others is not tested."""
ALIKE = 0.95
"""Two readings whose residuals are in step more than this cannot be told apart."""
MOST_SLIPS = 8
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
        smallest: the smallest slip found with 95 % chance, mm or rad; infinite where unchecked.
    """

    reading: Reading
    fitted: float
    residual: float
    score: float
    checked: float
    smallest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """A reading that the others contradict, taken out.

    Attributes:
        reading: as taken.
        score: its score when it was found.
        others: what the other readings make of it, mm or rad.
        alike: readings that could be at fault as well as it.
    """

    reading: Reading
    score: float
    others: float
    alike: tuple[Reading, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjusted:
    """The bodies as the readings have them.

    Attributes:
        net: bodies and marks.
        state: (k, 6) each body's move (mm) and turn vector (rad) from the plan.
        cover: (6k, 6k) their covariance.
        places: (n, 3) the marks, mm.
        mark_cover: (n, 3, 3) the marks' covariance, mm2; 0 where held.
        checks: every reading that was used.
        slips: readings that were taken out, in that order.
        scatter: root mean square of the residuals over what they should be; about 1.
        fits: whether that scatter is believable at 1 % (chi-square, both sides open upwards).
        loose: names of bodies that the readings do not fix.
        settled: whether the least squares came to rest.
    """

    net: Network
    state: Floats
    cover: Floats
    places: Floats
    mark_cover: Floats
    checks: tuple[Check, ...]
    slips: tuple[Slip, ...]
    scatter: float
    fits: bool
    loose: tuple[str, ...]
    settled: bool


def limit_for(count: int, *, false_alarm: float = FALSE_ALARM) -> float:
    """Score beyond which one of ``count`` tested readings is doubted.

    Each two-sided test is held at 1 - (1 - false_alarm)^(1/count) (Z. Sidak, J. Am. Stat. Assoc. 62 (1967)
    626, from memory, unchecked).
    """
    each = -np.expm1(np.log1p(-false_alarm) / max(count, 1))
    return float(norm.isf(each / 2.0))


def smallest_slip(size: float, checked: float, limit: float) -> float:
    """The slip found with chance ``POWER``: size (limit + z) / sqrt(checked) (Baarda 1968, from memory)."""
    if checked < UNCHECKED:
        return float("inf")
    return size * (limit + float(norm.isf(1.0 - POWER))) / float(np.sqrt(checked))


def adjust(net: Network, readings: Sequence[Reading], *, false_alarm: float = FALSE_ALARM) -> Adjusted:
    """The bodies by least squares, readings that the others contradict taken out one by one.

    Args:
        net: bodies and marks.
        readings: between marks of the network, any number.
        false_alarm: chance that a sound set is said to hold a slip.

    Raises:
        KeyError: a reading names a mark that is not in the network.
        ValueError: nothing can move, or a reading has no size.
    """
    if not net.bodies:
        raise ValueError("nothing can move: every body is held")
    if any(not r.size > 0.0 for r in readings):
        raise ValueError("a reading's standard deviation must be more than 0")
    kept, slips = list(readings), list[Slip]()
    fit = _fit(net, rows_of(net, kept), np.zeros((len(net.bodies), 6)))
    while len(slips) < MOST_SLIPS:
        worst = _worst(fit, false_alarm)
        if worst is None:
            break
        alike = tuple(kept[j] for j in _alike(fit, worst))
        slip, score = kept.pop(worst), float(fit.score[worst])
        fit = _fit(net, rows_of(net, kept), fit.state)
        others = float(predicted(rows_of(net, [slip]), placed(net, fit.state))[0])
        slips.append(Slip(reading=slip, score=score, others=others, alike=alike))
    slips, back = _put_back(net, slips, fit, false_alarm)
    if back:
        kept += back
        fit = _fit(net, rows_of(net, kept), fit.state)
    return _told(net, kept, slips, fit, false_alarm)


def _put_back(
    net: Network, slips: list[Slip], fit: _Fit, false_alarm: float
) -> tuple[list[Slip], list[Reading]]:
    """The slips that stand, and the readings that fit after all once the true slip was out."""
    if len(slips) < 2:
        return slips, []
    rows = rows_of(net, [s.reading for s in slips])
    left = rows.seen - predicted(rows, placed(net, fit.state))
    slope = slopes(net, rows, fit.state)
    spread = np.sqrt(rows.size**2 + np.einsum("mi,ij,mj->m", slope, fit.cover, slope))
    wrong = np.abs(left) > limit_for(len(fit.free), false_alarm=false_alarm) * spread
    stand = [s for s, w in zip(slips, wrong, strict=True) if w]
    return stand, [s.reading for s, w in zip(slips, wrong, strict=True) if not w]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fit:
    """One solution: residuals (m,), hat matrix (m, m), parts checked (m,), scores (m,), state, covariance."""

    state: Floats
    cover: Floats
    residual: Floats
    hat: Floats
    free: Floats
    score: Floats
    settled: bool


def _fit(net: Network, rows: Rows, start: Floats) -> _Fit:
    """Gauss-Newton to rest from ``start`` (k, 6)."""
    soft = soft_weights(len(net.bodies))
    state, settled = start.ravel().copy(), False
    for _ in range(ROUNDS):
        slope, left = _scaled(net, rows, state)
        factor = cho_factor(slope.T @ slope + np.diag(soft))
        step = cho_solve(factor, slope.T @ left - soft * state)
        state = state + step
        # hundredths of a micrometre, and what they are at a metre's arm
        if float(np.abs(step * np.tile([1.0] * 3 + [1e3] * 3, len(net.bodies))).max()) < 1e-5:
            settled = True
            break
    slope, left = _scaled(net, rows, state)
    cover = cho_solve(cho_factor(slope.T @ slope + np.diag(soft)), np.eye(len(state)))
    hat = slope @ cover @ slope.T
    free = np.clip(1.0 - np.diag(hat), 0.0, 1.0)
    score = np.where(free >= UNCHECKED, left / np.sqrt(np.maximum(free, UNCHECKED)), 0.0)
    return _Fit(
        state=state.reshape(-1, 6), cover=cover, residual=left, hat=hat, free=free, score=score,
        settled=settled,
    )  # fmt: skip


def _scaled(net: Network, rows: Rows, state: Floats) -> tuple[Floats, Floats]:
    """Slopes (m, 6k) and what the readings say beyond the prediction (m,), both over the readings' sizes."""
    six = state.reshape(-1, 6)
    left = (rows.seen - predicted(rows, placed(net, six))) / rows.size
    return slopes(net, rows, six) / rows.size[:, None], left


def _worst(fit: _Fit, false_alarm: float) -> int | None:
    tested = int((fit.free >= UNCHECKED).sum())
    if not tested:
        return None
    i = int(np.argmax(np.abs(fit.score)))
    return i if abs(fit.score[i]) > limit_for(tested, false_alarm=false_alarm) else None


def _alike(fit: _Fit, i: int) -> list[int]:
    """Other readings whose residuals move in step with reading ``i``'s."""
    size = np.sqrt(np.maximum(fit.free * fit.free[i], 1e-12))
    step = np.abs(fit.hat[i]) / size
    return [j for j in range(len(step)) if j != i and fit.free[j] >= UNCHECKED and step[j] > ALIKE]


def _told(net: Network, kept: list[Reading], slips: list[Slip], fit: _Fit, false_alarm: float) -> Adjusted:
    of_place = slopes_of_places(net, fit.state)
    mark_cover = np.zeros((len(net.points), 3, 3))
    for i, k in enumerate(net.body):
        if k >= 0:
            block = fit.cover[6 * k : 6 * k + 6, 6 * k : 6 * k + 6]
            mark_cover[i] = of_place[i] @ block @ of_place[i].T
    freedom = float(fit.free.sum())
    square = float(fit.residual @ fit.residual)
    return Adjusted(
        net=net,
        state=fit.state,
        cover=fit.cover,
        places=placed(net, fit.state),
        mark_cover=mark_cover,
        checks=_checks(kept, fit, false_alarm),
        slips=tuple(slips),
        scatter=float(np.sqrt(square / freedom)) if freedom > 0.5 else 0.0,
        fits=freedom <= 0.5 or square <= float(chi2.isf(0.01, freedom)),
        loose=_loose(net, mark_cover),
        settled=fit.settled,
    )


def _checks(kept: list[Reading], fit: _Fit, false_alarm: float) -> tuple[Check, ...]:
    limit = limit_for(int((fit.free >= UNCHECKED).sum()), false_alarm=false_alarm)
    return tuple(
        Check(
            reading=r, fitted=r.seen - float(v) * r.size, residual=float(v) * r.size, score=float(s),
            checked=float(f), smallest=smallest_slip(r.size, float(f), limit),
        )
        for r, v, s, f in zip(kept, fit.residual, fit.score, fit.free, strict=True)
    )  # fmt: skip


def _loose(net: Network, mark_cover: Floats) -> tuple[str, ...]:
    spread = np.sqrt(np.einsum("nii->ni", mark_cover).max(axis=1))
    unread = [k for k in range(len(net.bodies)) if not (net.body == k).any()]
    wide = {int(k) for k in net.body[spread > LOOSE]}
    return tuple(b.name for k, b in enumerate(net.bodies) if k in wide or k in unread)


def region_holds(adjusted: Adjusted, mark: str, point: Floats, *, level: float = 0.95) -> bool:
    """Whether ``point`` (3,) lies in the mark's stated region of that level (chi-square with 3 freedoms).

    Raises:
        KeyError: no such mark.
    """
    i = adjusted.net.index[mark]
    off = np.asarray(point, float) - adjusted.places[i]
    if adjusted.net.body[i] < 0:
        return bool(np.abs(off).max() < 1e-9)
    return bool(off @ np.linalg.solve(adjusted.mark_cover[i], off) <= chi2.ppf(level, 3))
