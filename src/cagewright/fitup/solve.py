"""Least squares of readings of any kind, and the readings that do not fit.

Each reading weighs by its standard deviation; the worst outlier (``base.outliers``) is taken out and the rest
solved again. What the readings are of, and how they change with it, is the ``Equations``'.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray
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

Floats = NDArray[np.float64]
MOST_OUTLIERS = 8
ROUNDS = 60
AT_REST = 1e-5
"""The state is at rest once a step moves nothing further than this, mm."""


class Seen(Protocol):
    """Anything that was read: what was seen, and its standard deviation, mm or rad."""

    @property
    def seen(self) -> float: ...  # noqa: D102
    @property
    def size(self) -> float: ...  # noqa: D102


R = TypeVar("R", bound=Seen)


@dataclass(frozen=True, slots=True, kw_only=True)
class Equations(Generic[R]):
    """What readings say of a state (p,) that is 0 as planned.

    Attributes:
        scaled: from readings and a state to the slopes (m, p) and to what the readings say beyond their
            prediction (m,), both over the readings' standard deviations.
        prior: (p, p) weights of the planned state.
        arms: (p,) how far one unit of each number moves anything, mm.
    """

    scaled: Callable[[Sequence[R], Floats], tuple[Floats, Floats]]
    prior: Floats
    arms: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class SolvedState:
    """One solution: state (p,), covariance (p, p), residuals (m,), hat matrix (m, m), parts checked (m,)."""

    state: Floats
    covariance: Floats
    residual: Floats
    hat: Floats
    free: Floats
    settled: bool

    @property
    def unit_sigma(self) -> float:
        """Root mean square of the residuals over what they should be; 0 where nothing is checked."""
        freedom = float(self.free.sum())
        return float(np.sqrt(self.residual @ self.residual / freedom)) if freedom > 0.5 else 0.0

    @property
    def fits(self) -> bool:
        """Whether that is believable at 1 % (chi-square, both sides open upwards)."""
        freedom = float(self.free.sum())
        return freedom <= 0.5 or float(self.residual @ self.residual) <= float(chdtri(freedom, 0.01))


@dataclass(frozen=True, slots=True, kw_only=True)
class Check(Generic[R]):
    """How one reading fits.

    Attributes:
        reading: as taken.
        fitted: what the adjusted state makes of it, mm or rad.
        residual: seen less fitted, mm or rad.
        score: residual over its own standard deviation (normal, mean 0, spread 1, where nothing is wrong).
        checked: part of it that the other readings check, 0 to 1.
        smallest: the smallest outlier found with 95 % chance, mm or rad; infinite where unchecked.
    """

    reading: R
    fitted: float
    residual: float
    score: float
    checked: float
    smallest: float


def solved(equations: Equations[R], readings: Sequence[R], start: Floats) -> SolvedState:
    """Gauss-Newton to rest from ``start`` (p,)."""
    state, settled, prior = start.copy(), False, equations.prior
    for _ in range(ROUNDS):
        slope, left = equations.scaled(readings, state)
        step = cho_solve(cho_factor(slope.T @ slope + prior), slope.T @ left - prior @ state)
        state = state + step
        if float(np.abs(step * equations.arms).max()) < AT_REST:
            settled = True
            break
    slope, left = equations.scaled(readings, state)
    covariance = np.asarray(cho_solve(cho_factor(slope.T @ slope + prior), np.eye(len(state))))
    hat = slope @ covariance @ slope.T
    free = np.clip(1.0 - np.diag(hat), 0.0, 1.0)
    return SolvedState(
        state=state, covariance=covariance, residual=left, hat=hat, free=free, settled=settled
    )  # fmt: skip


def without_outliers(
    equations: Equations[R], readings: Sequence[R], start: Floats, *, false_alarm: float = FALSE_ALARM
) -> tuple[list[R], list[Outlier[R]], SolvedState]:
    """The readings that are used, those that the others contradict, and the solution without these.

    Args:
        equations: what the readings say of the state.
        readings: any number.
        start: (p,) the state to begin at.
        false_alarm: chance that a sound set is said to hold an outlier.
    """
    kept, outliers = list(readings), list[Outlier[R]]()
    fit = solved(equations, kept, start)
    while len(outliers) < MOST_OUTLIERS:
        worst = outlier(fit.residual, fit.hat, false_alarm=false_alarm)
        if worst is None:
            break
        row, score, alike = worst
        like = tuple(kept[j] for j in alike)
        out = kept.pop(row)
        fit = solved(equations, kept, fit.state)
        others = out.seen - float(equations.scaled([out], fit.state)[1][0]) * out.size
        outliers.append(Outlier(reading=out, score=score, others=others, alike=like))
    outliers, back = _put_back(equations, outliers, fit, false_alarm)
    if back:
        kept += back
        fit = solved(equations, kept, fit.state)
    return kept, outliers, fit


def _put_back(
    equations: Equations[R], outliers: list[Outlier[R]], fit: SolvedState, false_alarm: float
) -> tuple[list[Outlier[R]], list[R]]:
    """The outliers that stand, and the readings that fit after all once the true outlier was out."""
    if len(outliers) < 2:
        return outliers, []
    slope, left = equations.scaled([s.reading for s in outliers], fit.state)
    spread = np.sqrt(1.0 + np.einsum("mi,ij,mj->m", slope, fit.covariance, slope))
    wrong = np.abs(left) > limit_for(len(fit.free), false_alarm=false_alarm) * spread
    stand = [s for s, w in zip(outliers, wrong, strict=True) if w]
    return stand, [s.reading for s, w in zip(outliers, wrong, strict=True) if not w]


def checks_of(
    kept: Sequence[R], fit: SolvedState, *, false_alarm: float = FALSE_ALARM
) -> tuple[Check[R], ...]:
    """How each of the readings that were used fits."""
    limit = limit_for(int((fit.free >= UNCHECKED).sum()), false_alarm=false_alarm)
    return tuple(
        Check(
            reading=r, fitted=r.seen - float(v) * r.size, residual=float(v) * r.size, score=float(s),
            checked=float(f), smallest=smallest_outlier(r.size, float(f), limit),
        )
        for r, v, s, f in zip(kept, fit.residual, scores(fit.residual, fit.free), fit.free, strict=True)
    )  # fmt: skip
