"""The curve of a push as far as it counts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.frame.model import Floats, Solution


@dataclass(frozen=True, slots=True, kw_only=True)
class CountedCurve:
    """The part of a push that counts: travel mm, load N and work J at its kept steps and at its end (k,)."""

    travel: Floats
    load: Floats
    work: Floats


def curve_to(solution: Solution, upto: float) -> CountedCurve:
    """The curve up to ``upto`` mm, its end found between kept steps with the load taken as straight."""
    travel, load, work = solution.travel, solution.load, solution.work * 1e-3
    inside = int(np.searchsorted(travel, upto))
    before = max(inside - 1, 0)
    end = float(np.interp(upto, travel, load))
    more = 0.5e-3 * (load[before] + end) * (min(upto, float(travel[-1])) - travel[before])
    return CountedCurve(
        travel=np.append(travel[:inside], upto),
        load=np.append(load[:inside], end),
        work=np.append(work[:inside], work[before] + more),
    )
