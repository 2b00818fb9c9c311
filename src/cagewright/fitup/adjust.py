"""Where each body really is: the readings between marks solved for every body's move and turn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cagewright.base.outliers import FALSE_ALARM, Outlier
from cagewright.fitup.network import (
    Floats,
    Network,
    Reading,
    placed,
    predicted,
    rows_of,
    slopes,
    slopes_of_places,
)
from cagewright.fitup.solve import Check, Equations, SolvedState, checks_of, without_outliers

LOOSE = 10.0
"""A body with a mark less sure than this (standard deviation, mm) is not fixed by the readings."""


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
        fits: whether that is believable.
        loose: names of bodies that the readings do not fix.
        settled: whether the least squares came to rest.
    """

    net: Network
    state: Floats
    covariance: Floats
    places: Floats
    mark_covariance: Floats
    checks: tuple[Check[Reading], ...]
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
    start = np.zeros(6 * len(net.bodies))
    kept, outliers, fit = without_outliers(_equations(net), readings, start, false_alarm=false_alarm)
    return _told(net, kept, outliers, fit, false_alarm)


def _equations(net: Network) -> Equations[Reading]:
    def scaled(readings: Sequence[Reading], state: Floats) -> tuple[Floats, Floats]:
        rows, six = rows_of(net, readings), state.reshape(-1, 6)
        left = (rows.seen - predicted(rows, placed(net, six))) / rows.size
        return slopes(net, rows, six) / rows.size[:, None], left

    # hundredths of a micrometre, and what they are at a metre's arm
    arms = np.tile([1.0] * 3 + [1e3] * 3, len(net.bodies))
    return Equations(scaled=scaled, prior=net.prior, arms=arms)


def _told(
    net: Network, kept: list[Reading], outliers: list[Outlier[Reading]], fit: SolvedState, false_alarm: float
) -> Adjusted:
    state = fit.state.reshape(-1, 6)
    of_place = slopes_of_places(net, state)
    mark_covariance = np.zeros((len(net.points), 3, 3))
    for i, k in enumerate(net.body):
        if k >= 0:
            block = fit.covariance[6 * k : 6 * k + 6, 6 * k : 6 * k + 6]
            mark_covariance[i] = of_place[i] @ block @ of_place[i].T
    return Adjusted(
        net=net,
        state=state,
        covariance=fit.covariance,
        places=placed(net, state),
        mark_covariance=mark_covariance,
        checks=checks_of(kept, fit, false_alarm=false_alarm),
        outliers=tuple(outliers),
        unit_sigma=fit.unit_sigma,
        fits=fit.fits,
        loose=_loose(net, mark_covariance),
        settled=fit.settled,
    )


def _loose(net: Network, mark_covariance: Floats) -> tuple[str, ...]:
    spread = np.sqrt(np.einsum("nii->ni", mark_covariance).max(axis=1))
    unread = [k for k in range(len(net.bodies)) if not (net.body == k).any()]
    wide = {int(k) for k in net.body[spread > LOOSE]}
    return tuple(b.name for k, b in enumerate(net.bodies) if k in wide or k in unread)
