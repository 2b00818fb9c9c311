"""A push followed only as far as it counts: for many pushes of which no more is wanted."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cagewright.frame.counted import CountedCurve, curve_to
from cagewright.frame.history import History
from cagewright.frame.idealise import Idealised
from cagewright.frame.model import Ints
from cagewright.frame.push_moments import moments_of
from cagewright.frame.pushes import Push
from cagewright.frame.respond import solve, steps_for
from cagewright.frame.results import Moment
from cagewright.frame.survival import apart_from_seats, approaches, gaps_to, tips_at
from cagewright.shape.survival_space import Space, survival_spaces

WITHIN = 350.0
"""Tubes that stand further off a person than this at rest, mm, are not looked at while the push goes on.

Should one come to him all the same, the push is followed further than it need be, and counts no further.
"""


LONGER, LOOSER = 2.0, 10.0
"""Steps are so many times as long, and settle to so much more of the load: 0.6 % of energy on the demo."""


def followed(model: Idealised, push: Push) -> tuple[Moment, CountedCurve]:
    """Where the push stops being counted, and its curve up to there.

    Raises:
        FrameError: the frame cannot stand, in the builder's words.
    """
    watch = _Watch(model)
    usual = steps_for(push)
    size, tolerance = LONGER * usual.size, LOOSER * usual.tolerance
    longer = replace(usual, size=size, tolerance=tolerance, enough=watch.enough, first=True)
    solution = solve(model, push, steps=longer)
    upto = moments_of(model, solution, approaches(model, push, solution))[0]
    return upto, curve_to(solution, upto.travel)


class _Watch:
    """Looks after each kept step whether something has let go or a tube has come to a person."""

    def __init__(self, model: Idealised) -> None:
        rest = tips_at(model, model.model.nodes[None], np.tile(np.eye(3), (1, len(model.model.nodes), 1, 1)))
        away = np.flatnonzero(apart_from_seats(model))
        self._model, self._near = model, list[tuple[Space, Ints]]()
        for space in survival_spaces(model.cage):
            gaps = gaps_to(model, space, rest, away)[0]
            self._near.append((space, away[(gaps > 0.0) & (gaps < WITHIN)]))

    def enough(self, history: History) -> bool:
        """Whether the push counts no further than this."""
        if history.losses:
            return True
        ends = tips_at(self._model, history.positions[-1][None], history.rotations[-1][None])
        return any(
            len(near) > 0 and float(gaps_to(self._model, space, ends, near).min()) <= 0.0
            for space, near in self._near
        )
