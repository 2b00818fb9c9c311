"""As few readings as pin a state to the wanted +- and would show a slip in any one of them.

The covariance C shrinks by one reading with slopes a over its size by C a a' C / (1 + a' C a) (the rank-one
update of Sherman and Morrison, Ann. Math. Stat. 21 (1950) 124, from memory). Taken one at a time: first what
brings the marks' variances nearest to the wanted one, then what brings the readings' redundancy nearest to
the least at which a slip shows (``base.outliers``); what proves needless is left out again. Good, not proved
fewest.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from cagewright.base.outliers import ALIKE, POWER, limit_for
from cagewright.fitup.solve import Floats

SURE = 1.96
"""Standard deviations of a 95 % range to either side."""
ALONE = 1e-6
"""What a reading brings that is less than this brings nothing."""


@dataclass(slots=True, kw_only=True)
class Choosing:
    """Readings that could be taken, and those that are.

    Attributes:
        slope: (c, p) of every candidate, over its standard deviation.
        slip: (c,) the slip that has to show in each, in its standard deviations.
        marks: (q, p) slopes of what is to be found, mm.
        weights: (p, p) of the planned state.
        covariance: (p, p) with what is taken.
        taken: rows of the candidates taken, in order.
        open: (c,) 1 where it may still be taken, else 0.
        can: whether a candidate can be read at all.
    """

    slope: Floats
    slip: Floats
    marks: Floats
    weights: Floats
    covariance: Floats
    taken: list[int]
    open: Floats
    can: Callable[[int], bool]


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """A candidate that is taken.

    Attributes:
        row: of the candidates.
        why: in words.
        leaves: 95 % range to either side of the least sure mark once it is taken, mm.
    """

    row: int
    why: str
    leaves: float


def choosing(
    slope: Floats, slip: Floats, marks: Floats, weights: Floats, can: Callable[[int], bool]
) -> Choosing:
    """Nothing taken yet; arguments as in ``Choosing``."""
    return Choosing(
        slope=slope, slip=slip, marks=marks, weights=weights,
        covariance=np.asarray(np.linalg.inv(weights), float), taken=[], open=np.ones(len(slope)), can=can,
    )  # fmt: skip


def fewest(work: Choosing, *, wanted: float, most: int) -> tuple[Taken, ...]:
    """The candidates to take, in the order of their worth.

    Args:
        work: nothing taken yet.
        wanted: 95 % range of each mark to either side, mm.
        most: at most this many readings.
    """
    while len(work.taken) < most and (best := _best(work, _pinning(work, wanted))) is not None:
        _take(work, best)
    while len(work.taken) < most and (best := _best(work, _checking(work))) is not None:
        _take(work, best)
    return _in_order(work, _needed(work, wanted), wanted)


def fewest_named(work: Choosing, *, wanted: float, most: int) -> tuple[Taken, ...]:
    """The candidates to take so that a slip is not only seen but put down to the reading that has it.

    All are taken, then left out again one by one, each time the one that is missed least: for few candidates,
    where taking one by one would stop at a reading that only a second one checks.

    Args:
        work: nothing taken yet.
        wanted: 95 % range of each mark to either side, mm.
        most: where more are needed, readings that are all but in step are told together instead.
    """
    every = list(range(len(work.slope)))
    left = every
    for told_apart, strict in ((True, True), (False, True), (False, False)):
        whole = unnamed_by(work, every, wanted, told_apart=told_apart)[:2]
        while len(left) > 1 and (told_apart or len(left) > most):
            tried = [_without(work, left, i, wanted, told_apart, whole) for i in range(len(left))]
            able = [one for one in tried if one[0] == 0.0 or not strict]
            if not able:
                break
            left = min(able, key=lambda one: one[:3])[3]
    return _in_order(work, left, wanted)


def _without(
    work: Choosing,
    taken: Sequence[int],
    i: int,
    wanted: float,
    told_apart: bool,
    whole: tuple[float, Floats],
) -> tuple[float, float, float, list[int]]:
    """What leaving the i-th out spoils beyond what all readings together leave open (0: nothing).

    Then how far the rest are from naming a slip, how tight that is, and the rest.
    """
    rest = [t for t in taken if t != taken[i]]
    pinned, allowed = whole
    short, hidden, tight = unnamed_by(work, rest, wanted, told_apart=told_apart)
    spoilt = max(short - pinned, 0.0) + float(np.maximum(hidden - allowed[rest], 0.0).sum())
    return (spoilt if spoilt > ALONE else 0.0), round(float(hidden.sum()), 6), tight, rest


def unnamed_by(
    work: Choosing, taken: Sequence[int], wanted: float, *, told_apart: bool
) -> tuple[float, Floats, float]:
    """How far those readings are from the wanted +- (mm2), each from naming its slip (0 to 1), how tightly.

    A slip that shows w standard deviations in its own residual shows rho w in one that is in step with it by
    rho; that the right one is the greater has the chance Phi(w sqrt((1 - rho) / 2)) (normal difference).
    Unless ``told_apart``, those that are all but in step need not be: they are told together.
    """
    covariance, rows = _with(work, taken), work.slope[list(taken)]
    marks = np.einsum("qi,ij,qj->q", work.marks, covariance, work.marks)
    hat = rows @ covariance @ rows.T
    free = np.clip(1.0 - np.diag(hat), 1e-9, 1.0)
    step = np.abs(hat) / np.sqrt(np.outer(free, free))
    np.fill_diagonal(step, 0.0)
    if not told_apart:
        step[step > ALIKE] = 0.0
    shows = work.slip[list(taken)] * np.sqrt(free)
    told = float(ndtri(POWER)) / np.sqrt(np.maximum(1.0 - step.max(axis=1), 1e-6) / 2.0)
    share = shows / np.maximum(limit_for(len(taken)) + float(ndtri(POWER)), told)
    short = float(np.maximum(marks - (wanted / SURE) ** 2, 0.0).sum())
    return short, np.maximum(1.0 - share, 0.0), float((1.0 / share).sum())


def sharpening(work: Choosing, count: int) -> tuple[Taken, ...]:
    """The open candidates that would sharpen the marks most, at most ``count``."""
    chosen: list[Taken] = []
    while len(chosen) < count and (best := _best(work, _pinning(work, 0.0))) is not None:
        _take(work, best)
        chosen.append(Taken(row=best, why="sharpens most", leaves=_least_sure(work)))
    return tuple(chosen)


def _pinning(work: Choosing, wanted: float) -> Floats:
    """(c,) how much nearer each candidate brings the marks' variances to the wanted one, mm2."""
    through = work.slope @ work.covariance
    own = np.einsum("ci,ci->c", through, work.slope)
    now = np.einsum("qi,ij,qj->q", work.marks, work.covariance, work.marks)
    then = now - (through @ work.marks.T) ** 2 / (1.0 + own)[:, None]
    most = (wanted / SURE) ** 2
    return np.maximum(now - most, 0.0).sum() - np.maximum(then - most, 0.0).sum(axis=1)


def least_checked(count: int, slip: float) -> float:
    """The redundancy, 0 to 1, at which a slip of that many standard deviations shows in one of ``count``."""
    return min(((limit_for(count) + float(ndtri(POWER))) / slip) ** 2, 0.9)


def _checking(work: Choosing) -> Floats:
    """(c,) how much nearer each candidate brings the redundancy of all to the least at which a slip shows."""
    rows = work.slope[work.taken]
    through = work.slope @ work.covariance
    own = np.einsum("ci,ci->c", through, work.slope)
    now = np.einsum("ri,ij,rj->r", rows, work.covariance, rows)
    then = now - (through @ rows.T) ** 2 / (1.0 + own)[:, None]
    want = 1.0 - _least(work, work.taken)
    new = 1.0 - _least(work, range(len(work.slope)))
    hidden = np.maximum(then - want, 0.0).sum(axis=1) + np.maximum(own / (1.0 + own) - new, 0.0)
    return np.maximum(now - want, 0.0).sum() - hidden


def _least(work: Choosing, which: Sequence[int]) -> Floats:
    """The redundancy each of those readings should have, by its own size."""
    return np.array([least_checked(len(work.taken) + 1, float(work.slip[i])) for i in which])


def _best(work: Choosing, worths: Floats) -> int | None:
    """The worthiest candidate that can be read, or None where none is worth anything."""
    for i in np.argsort(-worths * work.open, kind="stable"):
        if worths[i] * work.open[i] <= ALONE:
            return None
        if work.can(int(i)):
            return int(i)
        work.open[i] = 0.0
    return None


def _take(work: Choosing, i: int) -> None:
    through = work.covariance @ work.slope[i]
    work.covariance = work.covariance - np.outer(through, through) / (1.0 + float(work.slope[i] @ through))
    work.taken.append(i)
    work.open[i] = 0.0


def _with(work: Choosing, taken: Sequence[int]) -> Floats:
    rows = work.slope[list(taken)]
    return np.asarray(np.linalg.inv(work.weights + rows.T @ rows), float)


def _short_by(work: Choosing, taken: Sequence[int], wanted: float) -> tuple[float, float]:
    """How far those readings are from the wanted +- (mm2, summed), and from showing a slip (summed)."""
    covariance, rows = _with(work, taken), work.slope[list(taken)]
    marks = np.einsum("qi,ij,qj->q", work.marks, covariance, work.marks)
    lever = np.einsum("ri,ij,rj->r", rows, covariance, rows)
    hidden = np.maximum(lever - 1.0 + _least(work, taken), 0.0).sum()
    return float(np.maximum(marks - (wanted / SURE) ** 2, 0.0).sum()), float(hidden)


def _needed(work: Choosing, wanted: float) -> list[int]:
    """The readings taken, less those without which the rest do as well."""
    left = list(work.taken)
    unsure, hidden = _short_by(work, left, wanted)
    for i in reversed(work.taken):
        rest = [t for t in left if t != i]
        short = _short_by(work, rest, wanted) if rest else (np.inf, np.inf)
        if short[0] <= unsure + ALONE and short[1] <= hidden + ALONE:
            left = rest
    return left


def _in_order(work: Choosing, needed: Sequence[int], wanted: float) -> tuple[Taken, ...]:
    """Those readings, what pins most first, with the +- that each leaves."""
    work.taken, work.covariance, left = [], np.asarray(np.linalg.inv(work.weights), float), list(needed)
    out: list[Taken] = []
    while left:
        worths = _pinning(work, wanted)
        why = "pins the tubes" if worths[left].max() > ALONE else "shows a slip"
        best = max(left, key=lambda i: worths[i])
        left.remove(best)
        _take(work, best)
        out.append(Taken(row=best, why=why, leaves=_least_sure(work)))
    return tuple(out)


def _least_sure(work: Choosing) -> float:
    marks = np.einsum("qi,ij,qj->q", work.marks, work.covariance, work.marks)
    return SURE * float(np.sqrt(max(marks.max(initial=0.0), 0.0)))
