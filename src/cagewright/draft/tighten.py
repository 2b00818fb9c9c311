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
from cagewright.draft.trials import rooms, stations
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
MOST_LOOKS = 50
"""The body is asked so often in one round at most; steps that look this often are at a kink of the body."""
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
    close: float = CLOSE,
    roughly: Surroundings | None = None,
) -> Tight:
    """The tube brought to the target gap as nearly as its freedom allows.

    Args:
        tube: as it lies.
        body: what it shall follow and must not touch.
        target: gap wanted, mm.
        least: gap that is kept everywhere, mm.
        units: that what held it is said in.
        rounds: how often at most the stations that follow the body are chosen anew.
        close: the optimiser ends when a step betters the mean square of the gap's error by less, mm2.
        roughly: the same body, asked faster, that the search goes by; what is told is by ``body``.
    """
    moves = np.zeros(len(tube.ways))
    first, near = _look(tube, moves, body), roughly or body
    ended = "nothing to move"
    if len(moves) and first.follows.any():
        for _ in range(rounds):
            follows = _look(tube, moves, near).follows
            before, (moves, ended) = moves, _round(tube, moves, near, follows, target, least, close)
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Gain:
    """How much better a tube lies at some places than at others, by its own measure.

    The measure: ``error_of`` where it follows the body at either, and how far it comes under the least gap.

    Attributes:
        measure: what it shrinks by, mm; less than 0 where the tube lies worse.
        clearer: the second part alone, mm.
    """

    measure: float
    clearer: float

    def over(self, by: float) -> bool:
        """Whether that is more than ``by``, mm, and the tube comes no nearer to the body than it may."""
        return self.clearer >= -ROUNDED and self.measure > by


def gained(tube: Loose, places: Array, body: Surroundings, *, target: float, least: float) -> Gain:
    """How much better the tube lies at the places (n, 3) than where it lies.

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
    return Gain(measure=off[0] - off[1] + under[0] - under[1], clearer=under[0] - under[1])


def gaps_at(tube: Loose, places: Array, body: Surroundings) -> Gaps | None:
    """The gaps of the tube through those places (n, 3) where it follows the body; None where it does not."""
    seen = body(axis_points(tube, places))
    return _spread(seen, seen.follows, tube.radius)


def _spread(seen: Beside, rows: Mask, radius: float) -> Gaps | None:
    gaps = seen.away[rows] - radius
    return (float(gaps.min()), float(gaps.mean()), float(gaps.max())) if len(gaps) else None


def _placed(tube: Loose, moves: Array) -> Array:
    return tube.places + np.einsum("k,knx->nx", moves, tube.ways)


def path_of(places: Array, radii: tuple[float, ...]) -> Chain | None:
    """The centre line through the places (n, 3), or None where bends overlap or double back."""
    points = list(places)
    if float(length(np.diff(places, axis=0)).min()) < 1.0:
        return None
    corners, faults = corners_of(points, radii)
    if faults or float(rooms(places[None], radii).min()) < 0.0:
        return None
    return laid_out(points, corners)


def axis_points(tube: Loose, places: Array) -> Array:
    """(s, 3) the stations of the axis through the places; the bare polyline's where it cannot be bent."""
    return stations(places[None], tube.radii, _shares(tube))[0]


def _shares(tube: Loose) -> Array:
    """(s,) where the stations stand, as shares of the tube's length however it lies."""
    run = float(length(np.diff(tube.places, axis=0)).sum())
    return np.linspace(0.0, 1.0, max(8, math.ceil(run / STATION)))


def _look(tube: Loose, moves: Array, body: Surroundings) -> Beside:
    return body(axis_points(tube, _placed(tube, moves)))


@dataclass(slots=True)
class _Seen:
    """The last place looked at, so that value, slope and constraints share one question to the body.

    ``rooms`` (k + 1, n - 1) are the straights there and after ``STEP`` of each freedom, mm.
    """

    moves: Array
    gaps: Array
    slopes: Array
    rooms: Array


class _EnoughLooks(Exception):
    """A round has asked the body as often as it may."""


def _round(
    tube: Loose, start: Array, body: Surroundings, follows: Mask, target: float, least: float, close: float
) -> tuple[Array, str]:
    """The moves after one run of the optimiser with the stations that follow the body kept."""
    seen: list[_Seen] = []
    looks = 0
    reached = start
    here = _look(tube, start, body)
    # what stands further off than a tube can be moved cannot come too near
    counts = (here.counts | follows) & (here.away - tube.radius < least + 2.0 * tube.reach)

    def at(moves: Array) -> _Seen:
        nonlocal looks
        if not seen or not np.array_equal(seen[0].moves, moves):
            looks += 1
            if looks > MOST_LOOKS:
                raise _EnoughLooks
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

    def clear(moves: Array) -> Array:
        return at(moves).gaps[counts] - least

    def clear_slopes(moves: Array) -> Array:
        return at(moves).slopes[counts]

    needs = np.full(len(tube.places) - 1, tube.least_straight)
    needs[[0, -1]] = 0.0

    def straights(moves: Array) -> Array:
        return at(moves).rooms[0] - needs

    def straight_slopes(moves: Array) -> Array:
        left = at(moves).rooms
        return (left[1:] - left[0]).T / STEP

    def within(moves: Array) -> Array:
        return tube.reach**2 - (np.einsum("k,knx->nx", moves, tube.ways) ** 2).sum(axis=1)[1:-1]

    def within_slopes(moves: Array) -> Array:
        return -2.0 * np.einsum("j,jnx,knx->nk", moves, tube.ways, tube.ways)[1:-1]

    limits = [
        {"type": "ineq", "fun": clear, "jac": clear_slopes},
        {"type": "ineq", "fun": straights, "jac": straight_slopes},
        {"type": "ineq", "fun": within, "jac": within_slopes},
    ]

    def step(moves: Array) -> None:
        nonlocal reached
        reached = moves.copy()

    try:
        found = minimize(
            cost,
            start,
            jac=True,
            method="SLSQP",
            bounds=[(-tube.reach, tube.reach)] * len(start),
            constraints=limits,
            callback=step,
            options={"maxiter": MOST_STEPS, "ftol": close},
        )
    except _EnoughLooks:
        return reached, f"ended after {MOST_LOOKS} looks"
    return np.asarray(found.x, dtype=np.float64), str(found.message)


def _seen(tube: Loose, moves: Array, body: Surroundings) -> _Seen:
    trials = np.concatenate([moves[None], moves + STEP * np.eye(len(moves))])
    shapes = tube.places + np.einsum("bk,knx->bnx", trials, tube.ways)
    points = stations(shapes, tube.radii, _shares(tube))
    seen = body(points[0])
    slopes = np.einsum("bsx,sx->sb", points[1:] - points[0], seen.way) / STEP
    return _Seen(moves=moves, gaps=seen.away - tube.radius, slopes=slopes, rooms=rooms(shapes, tube.radii))


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
    left = rooms(_placed(tube, moves)[None], tube.radii)[0, 1:-1]
    if len(left) and float(left.min()) < tube.least_straight + 0.5:
        words.append(f"a straight is at the die's least, {say_length(tube.least_straight, units)}")
    if last.counts.any() and float(gaps[last.counts].min()) < least + 0.5:
        nearest = say_length(float(gaps[last.counts].min()), units)
        words.append(f"it comes to {nearest} at one place and may not go nearer")
    return tuple(words) or ("the body's line is not made of straights and these bends",)
