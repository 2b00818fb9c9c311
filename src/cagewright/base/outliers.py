"""Which of many readings is an outlier, and how large one has to be to be found.

Residuals over their own standard deviation are normal where nothing is wrong (the w-test of W. Baarda, A
testing procedure for use in geodetic networks, Netherlands Geodetic Commission 1968, from memory, unchecked).
The limit keeps the chance of any false alarm in the whole set at ``FALSE_ALARM``: each two-sided test is held
at 1 - (1 - false_alarm)^(1/count) (Z. Sidak, J. Am. Stat. Assoc. 62 (1967) 626, from memory, unchecked).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Generic, TypeVar

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

Floats = NDArray[np.float64]
T = TypeVar("T")
FALSE_ALARM = 0.02
"""Chance that a set of readings without an outlier is said to hold one."""
POWER = 0.95
"""Chance with which the smallest outlier told for each reading is found."""
UNCHECKED = 0.05
"""A reading of which less than this part is checked by others is not tested."""
ALIKE = 0.95
"""Two readings whose residuals are in step more than this cannot be told apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlier(Generic[T]):
    """A reading that the others contradict, taken out.

    Attributes:
        reading: as taken.
        score: its score when it was found.
        others: what the other readings make of it, mm or rad.
        alike: readings that could be at fault as well as it.
    """

    reading: T
    score: float
    others: float
    alike: tuple[T, ...]


def limit_for(count: int, *, false_alarm: float = FALSE_ALARM) -> float:
    """Score beyond which one of ``count`` tested readings is doubted."""
    each = -np.expm1(np.log1p(-false_alarm) / max(count, 1))
    return -float(ndtri(each / 2.0))


def smallest_outlier(sigma: float, checked: float, limit: float) -> float:
    """The outlier found with chance ``POWER``: sigma (limit + z) / sqrt(checked) (Baarda 1968, from memory).

    Args:
        sigma: standard deviation of the reading.
        checked: part of it that the other readings check, 0 to 1.
        limit: score beyond which it is doubted.
    """
    if checked < UNCHECKED:
        return float("inf")
    return sigma * (limit + float(ndtri(POWER))) / float(np.sqrt(checked))


def scores(residual: Floats, redundancy: Floats) -> Floats:
    """(m,) residuals, in standard deviations of their readings, over their own; 0 where nothing checks them.

    Args:
        residual: (m,) seen less computed, over the reading's standard deviation.
        redundancy: (m,) part of each reading that the others check, one less its leverage.
    """
    return np.where(redundancy >= UNCHECKED, residual / np.sqrt(np.maximum(redundancy, UNCHECKED)), 0.0)


def outlier(
    residual: Floats, hat: Floats, tested: NDArray[Any] | None = None, *, false_alarm: float = FALSE_ALARM
) -> tuple[int, float, tuple[int, ...]] | None:
    """The worst reading beyond the limit: its row, its score, and rows that could be at fault as well as it.

    Args:
        residual: (m,) seen less computed, over the reading's standard deviation.
        hat: (m, m) hat matrix of the least squares; its diagonal is the leverage.
        tested: (m,) whether it may be doubted at all; every reading where not given.
        false_alarm: chance that a sound set is said to hold an outlier.
    """
    redundancy = np.clip(1.0 - np.diag(hat), 0.0, 1.0)
    can = (redundancy >= UNCHECKED) & (True if tested is None else tested)
    if not can.any():
        return None
    score = np.where(can, scores(residual, redundancy), 0.0)
    i = int(np.argmax(np.abs(score)))
    if abs(score[i]) <= limit_for(int(can.sum()), false_alarm=false_alarm):
        return None
    in_step = np.abs(hat[i]) / np.sqrt(np.maximum(redundancy * redundancy[i], 1e-12))
    alike = np.flatnonzero(can & (in_step > ALIKE) & (np.arange(len(can)) != i))
    return i, float(score[i]), tuple(int(j) for j in alike)
