"""A reading that was taken out and fits once the true outlier is out is put back."""

from dataclasses import dataclass

import numpy as np

from cagewright.base.outliers import FALSE_ALARM, Outlier
from cagewright.fitup.solve import Equations, _put_back, solved


@dataclass(frozen=True)
class Length:
    """One length read with a tape, mm."""

    seen: float
    size: float = 1.0


def scaled(readings, state):
    """Each says what the one unknown is."""
    return np.ones((len(readings), 1)), np.array([r.seen - state[0] for r in readings])


def test_what_fits_after_all_is_put_back_and_what_does_not_stays_out():
    equations = Equations(scaled=scaled, prior=np.array([[1e-6]]), arms=np.ones(1))
    fit = solved(equations, [Length(800.0 + d) for d in (-1.0, -0.5, 0.0, 0.5, 1.0)], np.zeros(1))
    sound, wrong = Length(801.0), Length(825.0)
    out = [Outlier(reading=r, score=9.0, others=800.0, alike=()) for r in (sound, wrong)]
    stand, back = _put_back(equations, out, fit, FALSE_ALARM)
    assert [s.reading for s in stand] == [wrong]
    assert back == [sound]
