"""What the check readings say of the next car: the same, differs here, bent, or cannot tell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from cagewright.base.outliers import limit_for
from cagewright.draft.next_car import SURE, BodyMove, Key, Kind, found_from, sizes
from cagewright.shape.types import Array

NextCar = Literal["the same", "differs", "bent", "cannot tell"]
CLOSE = 6.0
"""Moves whose squared scores lie as near as this cannot be told apart: e^3 is 20 to 1."""
ALONE = 9.0
"""One reading alone is doubted where that explains the squared scores better by as much: e^4.5 is 90 to 1."""
MOST = 3
"""More moves than these at once are no other version of the body, but a bent one."""
ROOM = 1.25
"""A move counts as looked for where the readings taken show it from so many times the wanted size on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A move that the readings tell of.

    Attributes:
        move: the likeliest.
        far: how far it has gone, mm.
        out: by how much that may be out, either way, mm.
        score: over its own standard deviation.
        alike: other moves that explain the readings nearly as well.
    """

    move: BodyMove
    far: float
    out: float
    score: float
    alike: tuple[BodyMove, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NextJudged:
    """What the readings taken on the next car say.

    Attributes:
        verdict: in two words.
        found: moves that they tell of, the plainest first.
        doubted: the one reading that alone does not go along with the rest; None for none.
        only: the one reading that alone says so much of it that it may as well be misread; None for none.
        unseen: moves that they would not have shown.
        off: (m,) what was read less what was expected, mm, by reading.
        limit: the score beyond which a move is told.
    """

    verdict: NextCar
    found: tuple[Found, ...]
    doubted: Key | None
    only: Key | None
    unseen: tuple[BodyMove, ...]
    off: Mapping[Key, float]
    limit: float


def judged(kind: Kind, read: Mapping[Key, float], *, find: float | None = None) -> NextJudged:
    """What those readings say of the next car.

    Args:
        kind: of the bodies measured.
        read: on the next car, mm; those that the kind does not know are left out.
        find: how large a move is looked for, mm, as in ``fewest_checks``.
    """
    rows = [i for i, key in enumerate(kind.keys) if key in read]
    off = {kind.keys[i]: read[kind.keys[i]] - float(kind.expected[i]) for i in rows}
    limit = limit_for(len(kind.moves) + len(rows))
    unseen = _unseen(kind, rows, find)
    if not rows:
        return NextJudged(
            verdict="cannot tell", found=(), doubted=None, only=None, unseen=unseen, off=off, limit=limit
        )
    inverse = np.asarray(np.linalg.inv(kind.covariance[np.ix_(rows, rows)]), dtype=np.float64)
    rest, shows = np.array(list(off.values())), kind.shows[rows]
    found = _moves_found(kind, inverse, rest, shows, limit)
    alone = np.abs(inverse @ rest) / np.sqrt(np.diag(inverse))
    key, slip = kind.keys[rows[int(np.argmax(alone))]], float(alone.max())
    better = slip**2 - (found[0].score ** 2 if found else 0.0)
    doubted = key if slip > limit and better > ALONE else None
    only = key if found and better > -CLOSE and doubted is None else None
    return NextJudged(
        verdict="cannot tell" if doubted else _verdict(found, unseen, only), found=() if doubted else found,
        doubted=doubted, only=only, unseen=unseen, off=off, limit=limit,
    )  # fmt: skip


def _verdict(found: tuple[Found, ...], unseen: tuple[BodyMove, ...], only: Key | None) -> NextCar:
    if not found:
        return "cannot tell" if unseen else "the same"
    crooked = any(one.move.bent and all(m.bent for m in one.alike) for one in found)
    return "bent" if (crooked or len(found) > MOST) and only is None else "differs"


def _unseen(kind: Kind, rows: list[int], find: float | None) -> tuple[BodyMove, ...]:
    """Moves that all readings together would show, and these do not."""
    every = found_from(kind, range(len(kind.keys)))
    now = found_from(kind, rows)
    wanted = ROOM * np.maximum(sizes(kind, find), every)
    return tuple(move for move, far, most in zip(kind.moves, now, wanted, strict=True) if far > most)


def _moves_found(kind: Kind, inverse: Array, rest: Array, shows: Array, limit: float) -> tuple[Found, ...]:
    """Moves beyond the limit: the plainest, then what it leaves unexplained, up to one more than ``MOST``."""
    told = np.einsum("mk,mn,nk->k", shows, inverse, shows)
    can = told > 1e-9
    size = np.sqrt(np.where(can, told, 1.0))
    found: list[Found] = []
    while len(found) <= MOST:
        score = np.where(can, shows.T @ inverse @ rest / size, 0.0)
        i = int(np.argmax(np.abs(score)))
        if abs(score[i]) <= limit:
            break
        near = np.flatnonzero(can & (score**2 > score[i] ** 2 - CLOSE) & (np.arange(len(score)) != i))
        far = float(score[i] / size[i])
        found.append(Found(
            move=kind.moves[i], far=far, out=SURE / float(size[i]), score=abs(float(score[i])),
            alike=tuple(kind.moves[int(j)] for j in near),
        ))  # fmt: skip
        rest = rest - shows[:, i] * far
    return tuple(found)
