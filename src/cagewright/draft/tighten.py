"""One tube's bend points moved until its gap to the body is as wanted: least squares under constraints.

Minimise the square of ``error_of``, which is of (gap - target) over the stations that follow the body, with a
little of the movements' own squares so that nothing moves for nothing, by sequential least-squares quadratic
programming (D. Kraft, DFVLR-FB 88-28, 1988, as in scipy.optimize), subject to: no station nearer
than the least gap, every straight at least as long as the die needs, every place within its reach. The
gap's slope is the way from the body to the tube's axis times the axis's own movement, so that a step asks
the body once.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize

from cagewright.base.curves import Chain
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import length
from cagewright.shape.clearance import points_at
from cagewright.shape.closest import Mask
from cagewright.shape.paths import corners_of, laid_out
from cagewright.shape.types import Array

STATION = 20.0
"""Spacing of the stations along a tube, mm."""
STEP = 0.05
"""Movement from which slopes of the path are taken, mm."""
ROUNDS = 3
"""The stations that follow the body are chosen anew before each round."""
STAY = 1e-4
"""Weight of the movements' squares beside the gap's error: of two ways to one gap the shorter is taken."""
MOST_STEPS = 40
WORST, WEIGHT = 4.0, 0.25
"""Power of the mean that stands for the worst places, and its share of the measure."""
BETTER = 0.1
"""A move that betters the gap's error and what is missing to the least gap by less is not made, mm."""
ROUNDED = 0.87
"""How far a place may lie from where it was reckoned once it is written to the whole millimetre, mm."""
CLOSE = 2e-3
"""The optimiser ends when a step betters the mean square of the gap's error by less than this, mm2."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Loose:
    """A tube whose places may move.

    Attributes:
        places: (n, 3) mm.
        radii: (n,) centreline radius at each, mm; the first and last are not used.
        radius: of the tube's outside, mm.
        ways: (k, n, 3) how the places move with each of the k freedoms, mm per mm.
        reach: furthest that a place may come to lie from where it was, mm.
        least_straight: between two bends, mm.
    """

    places: Array
    radii: tuple[float, ...]
    radius: float
    ways: Array
    reach: float
    least_straight: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """The body beside n points.

    Attributes:
        away: (n,) mm, less than 0 where the point lies beyond the body's surface.
        way: (n, 3) unit, the direction in which the distance grows.
        follows: (n,) whether the tube shall follow the body there.
        counts: (n,) whether the tube must stay clear there.
    """

    away: Array
    way: Array
    follows: Mask
    counts: Mask


Gaps = tuple[float, float, float]
"""Least, mean and greatest, mm."""
Surroundings = Callable[[Array], Beside]
"""The body beside each of the points (n, 3)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tight:
    """A tube after its places have moved.

    Attributes:
        places: (n, 3) mm.
        before: least, mean and greatest gap where it follows the body, mm; None where it follows nothing.
        after: the same, afterwards.
        moved: furthest that a place moved, mm.
        held: what kept it from the target, in words; empty where nothing did.
        ended: how the optimiser ended, in its own words.
    """

    places: Array
    before: Gaps | None
    after: Gaps | None
    moved: float
    held: tuple[str, ...]
    ended: str


def tightened(
    tube: Loose,
    body: Surroundings,
    *,
    target: float,
    least: float,
    units: LengthUnit = "mm",
    rounds: int = ROUNDS,
) -> Tight:
    """The tube brought to the target gap as nearly as its freedom allows.

    Args:
        tube: as it lies.
        body: what it shall follow and must not touch.
        target: gap wanted, mm.
        least: gap that is kept everywhere, mm.
        units: that what held it is said in.
        rounds: how often at most the stations that follow the body are chosen anew.
    """
    moves = np.zeros(len(tube.ways))
    first = _look(tube, moves, body)
    ended = "nothing to move"
    if len(moves) and first.follows.any():
        for _ in range(rounds):
            follows = _look(tube, moves, body).follows
            before, (moves, ended) = moves, _round(tube, moves, body, follows, target, least)
            if float(np.abs(moves - before).max()) < 0.2:
                break
    last = _look(tube, moves, body)
    places = _placed(tube, moves)
    return Tight(
        places=places,
        before=_spread(first, first.follows, tube.radius),
        after=_spread(last, last.follows, tube.radius),
        moved=float(length(places - tube.places).max()),
        held=_held(tube, moves, last, target, least, units) if first.follows.any() else (),
        ended=ended,
    )


def error_of(off: Array) -> float:
    """How far gaps (n,) are from the one wanted, mm: by their root mean square and by the worst of them.

    The worst places are the mean of power ``WORST``, which one station alone cannot rule.
    """
    mean, worst = np.mean(off**2), np.mean(np.abs(off) ** WORST) ** (2.0 / WORST)
    return float(np.sqrt((1.0 - WEIGHT) * mean + WEIGHT * worst))


def is_better(tube: Loose, places: Array, body: Surroundings, *, target: float, least: float) -> bool:
    """Whether the tube lies better at the places (n, 3) than where it lies, by its own measure.

    The measure: ``error_of`` where it follows the body before or after, and how far it comes under the least
    gap, together. It must shrink by ``BETTER``, and the second may not grow by more than ``ROUNDED``.

    Args:
        tube: as it lies.
        places: where it would lie, mm.
        body: what it shall follow and must not touch.
        target: gap wanted, mm.
        least: gap that is kept everywhere, mm.
    """
    was, now = (body(axis_points(tube, p)) for p in (tube.places, places))
    follows, counts = was.follows | now.follows, was.counts | was.follows | now.counts | now.follows
    off = [error_of(b.away[follows] - tube.radius - target) for b in (was, now)]
    under = [max(least + tube.radius - float(b.away[counts].min()), 0.0) for b in (was, now)]
    clearer = under[0] - under[1]
    return clearer >= -ROUNDED and off[0] - off[1] + clearer > BETTER


def _spread(seen: Beside, rows: Mask, radius: float) -> Gaps | None:
    gaps = seen.away[rows] - radius
    return (float(gaps.min()), float(gaps.mean()), float(gaps.max())) if len(gaps) else None


def _placed(tube: Loose, moves: Array) -> Array:
    return tube.places + np.einsum("k,knx->nx", moves, tube.ways)


def path_of(places: Array, radii: tuple[float, ...]) -> Chain | None:
    """The centre line through the places (n, 3), or None where bends overlap or double back."""
    points = list(places)
    if float(np.sqrt((np.diff(places, axis=0) ** 2).sum(axis=1)).min()) < 1.0:
        return None
    corners, faults = corners_of(points, radii)
    if faults or float(_room(places, radii).min()) < 0.0:
        return None
    return laid_out(points, corners)


def _room(places: Array, radii: tuple[float, ...]) -> Array:
    """(n - 1,) straight left between the bends at each two neighbours, mm."""
    legs = np.diff(places, axis=0)
    size = np.sqrt((legs**2).sum(axis=1))
    way = legs / np.maximum(size, 1e-9)[:, None]
    turn = np.arccos(np.clip((way[1:] * way[:-1]).sum(axis=1), -1.0, 1.0))
    back = np.r_[0.0, np.array(radii[1:-1]) * np.tan(np.minimum(turn, 3.0) / 2.0), 0.0]
    return size - back[1:] - back[:-1]


def axis_points(tube: Loose, places: Array) -> Array:
    """(s, 3) the stations of the axis through the places; the bare polyline's where it cannot be bent."""
    run = float(length(np.diff(tube.places, axis=0)).sum())
    shares = np.linspace(0.0, 1.0, max(8, math.ceil(run / STATION)))
    path = path_of(places, tube.radii)
    if path is not None:
        return points_at(path, shares * path.length)
    run = np.r_[0.0, np.cumsum(np.sqrt((np.diff(places, axis=0) ** 2).sum(axis=1)))]
    return np.stack([np.interp(shares * run[-1], run, places[:, i]) for i in range(3)], axis=1)


def _look(tube: Loose, moves: Array, body: Surroundings) -> Beside:
    return body(axis_points(tube, _placed(tube, moves)))


@dataclass(slots=True)
class _Seen:
    """The last place looked at, so that value, slope and constraints share one question to the body."""

    moves: Array
    gaps: Array
    slopes: Array
    counts: Mask


def _round(
    tube: Loose, start: Array, body: Surroundings, follows: Mask, target: float, least: float
) -> tuple[Array, str]:
    """The moves after one run of the optimiser with the stations that follow the body kept."""
    seen: list[_Seen] = []
    counts = _look(tube, start, body).counts | follows

    def at(moves: Array) -> _Seen:
        if not seen or not np.array_equal(seen[0].moves, moves):
            seen[:] = [_seen(tube, moves.copy(), body)]
        return seen[0]

    def cost(moves: Array) -> tuple[float, Array]:
        here = at(moves)
        off = here.gaps[follows] - target
        value = error_of(off) ** 2 + STAY * float(moves @ moves)
        high = max(float(np.mean(np.abs(off) ** WORST)), 1e-12)
        steep = np.sign(off) * np.abs(off) ** (WORST - 1.0) * high ** (2.0 / WORST - 1.0)
        pull = 2.0 * ((1.0 - WEIGHT) * off + WEIGHT * steep) / len(off)
        return value, pull @ here.slopes[follows] + 2.0 * STAY * moves

    needs = np.full(len(tube.places) - 1, tube.least_straight)
    needs[[0, -1]] = 0.0

    def clear(moves: Array) -> Array:
        return at(moves).gaps[counts] - least

    def clear_slopes(moves: Array) -> Array:
        return at(moves).slopes[counts]

    def straights(moves: Array) -> Array:
        return _room(_placed(tube, moves), tube.radii) - needs

    def within(moves: Array) -> Array:
        return tube.reach**2 - (np.einsum("k,knx->nx", moves, tube.ways) ** 2).sum(axis=1)[1:-1]

    def within_slopes(moves: Array) -> Array:
        return -2.0 * np.einsum("j,jnx,knx->nk", moves, tube.ways, tube.ways)[1:-1]

    limits = [
        {"type": "ineq", "fun": clear, "jac": clear_slopes},
        {"type": "ineq", "fun": straights},
        {"type": "ineq", "fun": within, "jac": within_slopes},
    ]
    found = minimize(
        cost,
        start,
        jac=True,
        method="SLSQP",
        bounds=[(-tube.reach, tube.reach)] * len(start),
        constraints=limits,
        options={"maxiter": MOST_STEPS, "ftol": CLOSE},
    )
    return np.asarray(found.x, dtype=np.float64), str(found.message)


def _seen(tube: Loose, moves: Array, body: Surroundings) -> _Seen:
    points = axis_points(tube, _placed(tube, moves))
    seen = body(points)
    slopes = np.empty((len(points), len(moves)))
    for k in range(len(moves)):
        other = moves.copy()
        other[k] += STEP
        slopes[:, k] = ((axis_points(tube, _placed(tube, other)) - points) * seen.way).sum(axis=1) / STEP
    return _Seen(moves=moves, gaps=seen.away - tube.radius, slopes=slopes, counts=seen.counts)


def _held(
    tube: Loose, moves: Array, last: Beside, target: float, least: float, units: LengthUnit
) -> tuple[str, ...]:
    """What kept the tube from the target everywhere, in words."""
    gaps = last.away - tube.radius
    off = np.abs(gaps[last.follows] - target) if last.follows.any() else np.zeros(1)
    if float(off.max()) <= 2.0:
        return ()
    words: list[str] = []
    moved = length(_placed(tube, moves) - tube.places)[np.abs(tube.ways).any(axis=(0, 2))]
    limit = moved > tube.reach - 0.01 * max(tube.reach, 1.0)
    if limit.any():
        words.append(f"{int(limit.sum())} of {len(limit)} bends are moved as far as they may")
    rooms = _room(_placed(tube, moves), tube.radii)[1:-1]
    if len(rooms) and float(rooms.min()) < tube.least_straight + 0.5:
        words.append(f"a straight is at the die's least, {say_length(tube.least_straight, units)}")
    if last.counts.any() and float(gaps[last.counts].min()) < least + 0.5:
        nearest = say_length(float(gaps[last.counts].min()), units)
        words.append(f"it comes to {nearest} at one place and may not go nearer")
    return tuple(words) or ("the body's line is not made of straights and these bends",)
