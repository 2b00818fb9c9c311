"""How far a push is followed: a stretch past where it stops counting, so that what comes next is seen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.frame.history import History
from cagewright.frame.idealise import Idealised
from cagewright.frame.model import Floats, Ints
from cagewright.frame.survival import apart_from_seats, gaps_at, gaps_to, tips_at
from cagewright.shape.survival_space import Space, survival_spaces

WITHIN = 350.0
"""Tubes that stand further off a person than this at rest, mm, are not looked at while the push goes on.

Should one come to him all the same, the push is followed further than it need be, and counts no further.
"""


@dataclass(slots=True, kw_only=True)
class _Close:
    """A space, the elements (e,) that may come to it, and where they were at the last look (1, e, 2, 3), mm.

    ``gap`` mm was the least then: no tube comes nearer by more than an end of it moves.
    """

    space: Space
    elements: Ints
    seen: Floats
    gap: float


class Enough:
    """Looks after each kept step whether something has let go or a tube has come to a person.

    From there the push is followed for so many more of the travel that it had, ``part``, and ``least`` mm at
    the least.
    """

    def __init__(self, model: Idealised, *, part: float = 0.0, least: float = 0.0) -> None:
        nodes = model.model.nodes
        rest = tips_at(model, nodes[None], np.tile(np.eye(3), (1, len(nodes), 1, 1)))
        away = np.flatnonzero(apart_from_seats(model))
        self._model, self._part, self._least = model, part, least
        self._until: float | None = None
        self._near = list[_Close]()
        for space in survival_spaces(model.cage):
            gaps = gaps_to(model, space, rest, away)[0]
            near = away[(gaps > 0.0) & (gaps < WITHIN)]
            if len(near):
                ends = rest[:, near]
                self._near.append(
                    _Close(space=space, elements=near, seen=ends, gap=float(gaps[(gaps > 0.0)].min()))
                )

    def __call__(self, history: History) -> bool:
        """Whether the rest of the push is not wanted."""
        at = abs(history.travel[-1])
        if self._until is None and self._counted(history):
            self._until = at + max(self._part * at, self._least)
        return self._until is not None and at >= self._until - 1e-9

    def _counted(self, history: History) -> bool:
        if history.losses:
            return True
        return any(self._touched(near, history) for near in self._near)

    def _touched(self, near: _Close, history: History) -> bool:
        """Whether a tube has come to the space; looked at anew once one may have since the last look."""
        ends = tips_at(self._model, history.positions[-1][None], history.rotations[-1][None], near.elements)
        moved = float(np.abs(ends - near.seen).max()) * 3.0**0.5
        if moved < near.gap:
            return False
        near.seen, near.gap = ends, float(gaps_at(self._model, near.space, ends, near.elements).min())
        return near.gap <= 0.0
