"""The next car of a kind that was measured: the fewest readings that tell whether it is the same.

What may differ is a *move*: a part of the body that stands elsewhere, on both sides alike, on one of them, or
the whole shell out of square. The readings are distances that need neither string nor level. A reading's
difference from what the measured bodies make of it has the covariance

    R = A (C / k + (1 + 1 / k) B) A' + T

with A how it changes with the marks, C the covariance of the k measured bodies' marks as their own tape gave
it, B how sound shells of one kind differ and T the tape's. Against it each move, of which s says how it shows
in the readings, is tested by itself: a = s' R^-1 r / (s' R^-1 s) is how far it has gone, with the standard
deviation (s' R^-1 s)^-1/2 (generalised least squares); the limit is that of ``base.outliers``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import ndtri

from cagewright.base.outliers import POWER, limit_for
from cagewright.draft.measured import Measured
from cagewright.draft.network import Observation, computed
from cagewright.draft.observed import CHALK, STATION, distance
from cagewright.plan.readings import (
    AXES,
    DRIVERS,
    ReadingRow,
    Zone,
    level_points,
    parts_of,
    points_of,
    reading_rows,
    zones,
)
from cagewright.shape.types import Array

Key = tuple[str, str]
"""A reading and its part."""
Short = Callable[[Sequence[int]], float]
"""How much those rows leave unshown; 0 where nothing."""
Side = Literal["both", "left", "right", "whole"]
ALIKE_SHELLS = 3.0
"""How far a mark of a sound shell stands off its kind's, chalked anew, as a standard deviation, mm.

Ours, no source; two bodies measured and more have their own say in it.
"""
HELD_AS = 2.0
"""The assumption weighs as much as so many more bodies measured (ours)."""
SURE = 2.0
"""What is stated is so many standard deviations."""
FIND = 5.0
"""The readings have to show a move of so many times what is stated."""
NOTHING = 1e-9
"""What readings tell of a move that is less than this is nothing, 1/mm2."""
NEARLY = 0.7
"""Where not even all readings show a move so small, this share of what they tell of it will do (ours)."""
LEAST_PLACES = 4
"""So many marks make a shell of which one can say that it is out of square."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyMove:
    """One way in which the next car may differ.

    Attributes:
        part: of the body, in words; of the whole shell what is out of square.
        way: back, out, up; empty for the whole shell.
        side: on which side; ``whole`` for a shell out of square.
        points: the marks that move.
        by: (3n,) how far each coordinate goes for a mm of it.
        stated: how far such marks may stand off on a sound car and by both tapes, either way, mm.
    """

    part: str
    way: str
    side: Side
    points: tuple[str, ...]
    by: Array
    stated: float

    @property
    def bent(self) -> bool:
        """Whether no sound body of another version is so."""
        return self.side != "both"


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of body, by those of it that were measured.

    Attributes:
        keys: (c,) readings that can be taken on the next one.
        expected: (c,) what they would be, mm.
        covariance: (c, c) of what they are on a sound one, less that, mm2.
        moves: (k,) what may differ.
        shows: (c, k) how each reading changes with a mm of each move.
        alike: how far a mark of one shell stands off that of another, standard deviation, mm.
        bodies: how many were measured.
    """

    keys: tuple[Key, ...]
    expected: Array
    covariance: Array
    moves: tuple[BodyMove, ...]
    shows: Array
    alike: float
    bodies: int


def kind_of(bodies: Sequence[Measured], *, tape: float) -> Kind:
    """The kind that those bodies are of.

    Args:
        bodies: measured; the first one's marks say where the others' are about.
        tape: standard deviation of a reading on the next car, mm.
    """
    names = [n for n in bodies[0].settled.points if all(n in b.settled.points for b in bodies)]
    seen = tuple(_candidates(frozenset(names), tape))
    each = [computed(seen, {n: b.settled.points[n] for n in names}) for b in bodies]
    slopes, count = each[0][1], len(bodies)
    own = np.mean([_covariance_of(b, names) for b in bodies], axis=0)
    alike = _alike([value for value, _ in each], slopes, own, names)
    between = alike**2 * _sound(names) + _chalked(names)
    marks = own / count + (1.0 + 1.0 / count) * between
    moves = tuple(_moves(bodies[0], names, marks))
    by = np.array([move.by for move in moves]).reshape(len(moves), 3 * len(names))
    return Kind(
        keys=tuple((o.reading, o.part) for o in seen),
        expected=np.mean([value for value, _ in each], axis=0),
        covariance=slopes @ marks @ slopes.T + tape**2 * np.eye(len(seen)),
        moves=moves, shows=slopes @ by.T, alike=alike, bodies=count,
    )  # fmt: skip


def _candidates(known: frozenset[str], tape: float) -> Iterator[Observation]:
    """Distances between marks of the body: they need no string, no level and nobody in the seat."""
    body = known & {name for zone in zones() for name in _sided(zone, known)}
    for row in reading_rows():
        for k, part in enumerate(parts_of(row) if row.between or row.sums else ()):
            seen = distance(row, k, part, 0.0, tape)
            if {seen.point, seen.other, *(n for n, _, _ in seen.more)} - {""} <= body:
                yield seen


def _sided(zone: Zone, known: frozenset[str]) -> tuple[str, ...]:
    every = (f"{point}{side}" for point in zone.points for side in ("", "_left", "_right"))
    return tuple(name for name in every if name in known)


def _covariance_of(body: Measured, names: Sequence[str]) -> Array:
    """(3n, 3n) of those marks, as the body's own readings gave it, mm2."""
    order = {name: i for i, name in enumerate(body.settled.points)}
    rows = np.array([3 * order[name] + axis for name in names for axis in range(3)])
    return body.settled.covariance[np.ix_(rows, rows)]


def _free(names: Sequence[str]) -> Mapping[str, frozenset[int]]:
    """Along which axes each mark is the body's; along the others the chalk says where it stands."""
    free = {n: {AXES[v]} if row.each else {AXES[v] for v in row.values} for n, v, row in _read(names)}
    return {n: frozenset(free.get(n, ())) for n in names}


def _read(names: Sequence[str]) -> Iterator[tuple[str, str, ReadingRow]]:
    for row in reading_rows():
        for part in parts_of(row):
            yield from ((n, v, row) for n, v in zip(points_of(row, part), row.values, strict=False)
                        if n in names)  # fmt: skip


def _sound(names: Sequence[str]) -> Array:
    """(3n, 3n) 1 for each coordinate that is the body's, each by itself."""
    free = _free(names)
    return np.diag([float(axis in free[n] and n != STATION) for n in names for axis in range(3)])


def _chalked(names: Sequence[str]) -> Array:
    """(3n, 3n) of where the chalk line and what is marked across it stand, mm2."""
    free, at = _free(names), {n for n, _, row in _read(names) if row.at == STATION}
    own = [float(n in at and axis not in free[n] and axis < 2) for n in names for axis in range(3)]
    line = np.array([float(n in at and axis == 0) for n in names for axis in range(3)])
    return CHALK**2 * (np.diag(own) + np.outer(line, line))


def _alike(values: Sequence[Array], slopes: Array, own: Array, names: Sequence[str]) -> float:
    """How far a mark of one shell stands off another's (standard deviation, mm), by those measured.

    By moments: the readings' variance between the bodies, less what their own tapes and the chalk make of it,
    over what marks that differ by 1 mm would make of it; with the assumption weighed in.
    """
    more = len(values) - 1
    if more < 1:
        return ALIKE_SHELLS
    known = np.diag(slopes @ (own + _chalked(names)) @ slopes.T)
    unit = np.diag(slopes @ _sound(names) @ slopes.T)
    seen = np.var(np.array(values), axis=0, ddof=1)
    found = max(float((seen - known).sum() / unit.sum()), 0.0)
    return float(((HELD_AS * ALIKE_SHELLS**2 + more * found) / (HELD_AS + more)) ** 0.5)


# --- what may differ


def _moves(body: Measured, names: Sequence[str], marks: Array) -> Iterator[BodyMove]:
    known = frozenset(names)
    for zone in zones():
        mine = _sided(zone, known)
        sides: tuple[Side, ...] = ("both", "left", "right")
        for way in zone.ways:
            for side in sides if any(n.endswith(sides[1:]) for n in mine) else sides[:1]:
                yield from _move(body, names, marks, part=zone.name, way=way, side=side, mine=mine)
    yield from _out_of_square(body, names, marks)


def _move(
    body: Measured, names: Sequence[str], marks: Array, *, part: str, way: str, side: Side,
    mine: Sequence[str],
) -> Iterator[BodyMove]:  # fmt: skip
    axis, free = {"back": 0, "out": 1, "up": 2}[way], _free(names)
    by = np.zeros((len(names), 3))
    for i, name in enumerate(names):
        if name in mine and axis in free[name] and (side == "both" or name.endswith(side)):
            by[i, axis] = -1.0 if way == "out" and body.settled.points[name][1] < 0.0 else 1.0
    if by.any():
        yield _made(names, marks, by, part=part, way=way, side=side)


def _made(names: Sequence[str], marks: Array, by: Array, *, part: str, way: str, side: Side) -> BodyMove:
    moved = by.ravel() != 0.0
    stated = SURE * float(np.sqrt(np.diag(marks)[moved].mean()))
    points = tuple(n for n, row in zip(names, by, strict=True) if row.any())
    return BodyMove(part=part, way=way, side=side, points=points, by=by.ravel(), stated=stated)


def _out_of_square(body: Measured, names: Sequence[str], marks: Array) -> Iterator[BodyMove]:
    """The whole shell: one side further back, leaning, twisted, its front or its rear to one side."""
    places = {n: body.settled.points[n] for n in names if n not in {*level_points(), *DRIVERS, STATION}}
    if len(places) < LEAST_PLACES:
        return
    at = np.array([places.get(n, np.full(3, np.nan)) for n in names])
    x, y, z = at.T
    middle, low = np.nanmean(x), np.nanmin(z)
    ahead, behind = x < np.nanmin(x) + 0.4 * np.ptp(x[np.isfinite(x)]), x > np.nanmax(x) - 100.0
    ways = (
        ("one side further back than the other", 0, y),
        ("leaning to one side", 1, z - low),
        ("twisted along its length", 2, y * (x - middle)),
        ("its front to one side", 1, np.where(ahead, 1.0, 0.0)),
        ("its rear to one side", 1, np.where(behind, 1.0, 0.0)),
    )
    for words, axis, goes in ways:
        by = np.zeros((len(names), 3))
        by[:, axis] = np.where(np.isfinite(goes) & np.isfinite(x), goes, 0.0)
        size = float(np.abs(by).max())
        if size > 0.0:
            yield _made(names, marks, by / size, part=words, way="", side="whole")


# --- which readings


def found_from(kind: Kind, rows: Sequence[int]) -> Array:
    """(k,) from how far on each move is found by those readings, with chance ``POWER``, mm; inf for never."""
    told = _told(kind, rows)
    return np.where(told > NOTHING, _need(kind) / np.sqrt(np.maximum(told, NOTHING)), np.inf)


def _need(kind: Kind) -> float:
    """The score that a move has to come to: over the limit with chance ``POWER``."""
    return limit_for(len(kind.moves)) + float(ndtri(POWER))


def _told(kind: Kind, rows: Sequence[int]) -> Array:
    """(k,) s' R^-1 s of each move by those readings, 1/mm2."""
    if not len(rows):
        return np.zeros(len(kind.moves))
    take = np.array(rows)
    shows = kind.shows[take]
    return np.einsum("ck,ck->k", shows, np.linalg.solve(kind.covariance[np.ix_(take, take)], shows))


def sizes(kind: Kind, find: float | None) -> Array:
    """(k,) how large a move has to be to be found, mm: that, or ``FIND`` times what is stated of each."""
    return np.array([FIND * move.stated if find is None else find for move in kind.moves])


def fewest_checks(kind: Kind, *, find: float | None = None) -> tuple[int, ...]:
    """Rows of the readings to take, good and not proved fewest.

    What shows most is taken first, what is not needed left out again, then one taken for two while that goes.

    Args:
        kind: of the body.
        find: a move of so many mm has to show, or what ``NEARLY`` does where not even all readings show it.
    """
    every = list(range(len(kind.keys)))
    wanted = (_need(kind) / sizes(kind, find)) ** 2
    most = _told(kind, every)
    wanted, can = np.minimum(wanted, NEARLY * most), most > NOTHING

    def short(rows: Sequence[int]) -> float:
        return float(np.maximum(1.0 - _told(kind, rows)[can] / wanted[can], 0.0).sum())

    taken: list[int] = []
    while short(taken) > 0.0:
        left = [i for i in every if i not in taken]
        taken.append(min(left, key=lambda i: short([*taken, i])))
    taken = _thinned(taken, short)
    while (fewer := _one_for_two(taken, every, short)) is not None:
        taken = _thinned(fewer, short)
    return tuple(sorted(taken))


def _thinned(taken: Sequence[int], short: Short) -> list[int]:
    left = list(taken)
    for i in reversed(list(taken)):
        rest = [t for t in left if t != i]
        if short(rest) <= 0.0:
            left = rest
    return left


def _one_for_two(taken: Sequence[int], every: Sequence[int], short: Short) -> list[int] | None:
    """One reading fewer, where one that is not taken does for two that are."""
    for a in range(len(taken)):
        for b in range(a):
            rest = [t for k, t in enumerate(taken) if k not in (a, b)]
            for i in every:
                if i not in taken and short([*rest, i]) <= 0.0:
                    return [*rest, i]
    return None
