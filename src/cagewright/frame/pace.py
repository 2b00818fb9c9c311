"""How long the next step of a push is: short where the curve bends, so that lines between steps are true.

Whole multiples of the full step are always kept, so that curves of different cages share their travels.
Before the first yield a step stops just short of it, which makes its travel good to a percent.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.frame.record import Record

CHORD = 2e-3
"""How far the curve may bulge from the straight line over a step, as a part of the largest load so far."""
FINEST = 0.1
"""Steps are shortened for a bend of the curve to this part of a full step, no further."""
CRUMB = 0.02
"""No step leaves less than this part of a full step before the next whole one: it takes the rest too."""
MOST_TRIES = 400
"""Most tries from one whole multiple of the full step to the next; a push that needs more has stalled."""


@dataclass(slots=True, kw_only=True)
class Pace:
    """The step's size under way.

    Attributes:
        full: mm, the longest step.
        smallest: part of ``full`` below which the push has stalled.
        cut: what a step that did not settle is cut to.
        size: mm, the step wanted next.
        failed: mm, a step that did not settle from here: nothing as long is tried before one has.
        whole: mm, the whole multiple of ``full`` on the way to it.
        tries: steps tried on the way to ``whole``.
    """

    full: float
    smallest: float
    cut: float
    size: float
    failed: float = np.inf
    whole: float = 0.0
    tries: int = 0

    @property
    def used_up(self) -> bool:
        """Whether the push has had all its tries on the way to the next whole multiple."""
        return self.tries >= MOST_TRIES


def pace(record: Record, *, full: float, smallest: float, cut: float) -> Pace:
    """The pace at rest: a short first step for a frame that can yield, to see how fast the stresses rise."""
    can_yield = bool(np.isfinite(record.assembly.beams.limit).any())
    full = abs(full)
    return Pace(full=full, smallest=smallest, cut=cut, size=FINEST * full if can_yield else full)


def proposed(p: Pace, record: Record, target: float) -> float:
    """The next step, mm, towards ``target``; not past the next whole multiple of the full step."""
    at = abs(record.travel[-1])
    whole = (float(np.floor(at / p.full + 1e-6)) + 1.0) * p.full
    if whole > p.whole:
        p.whole, p.tries = whole, 0
    p.tries += 1
    room = min(abs(target), whole) - at
    now = min(p.size, _to_first_yield(p, record), room)
    if room - now < CRUMB * p.full and room < p.failed:
        now = room
    return float(np.copysign(now, target))


def _to_first_yield(p: Pace, record: Record) -> float:
    """Length to just before the first yield, as far as the last step tells."""
    a = record.assembly
    if record.events or len(record.travel) == 1:
        return np.inf
    rise = a.use[..., 1] - a.use[..., 0]
    rising = rise > 1e-12
    if not rising.any():
        return np.inf
    last = abs(record.travel[-1] - record.travel[-2])
    left = 0.98 * last * float(((1.0 - a.use[..., 1])[rising] / rise[rising]).min())
    return left if left > 0.02 * p.full else FINEST * p.full


def failed(p: Pace, step: float) -> bool:
    """Cut after a step that did not settle; True where it cannot be cut any shorter."""
    p.failed = abs(step)
    p.size = p.failed * p.cut
    return p.size < p.smallest * p.full


def accepts(p: Pace, record: Record, *, travel: float, load: float) -> bool:
    """Whether to keep a settled step to ``travel`` and ``load``; sets the size of the next, or of a retry."""
    step = abs(travel - record.travel[-1])
    bulge = _bulge(record, travel, load)
    # a step that took a crumb with it cannot be proposed any shorter
    if bulge > 1.5 and step > 1.01 * (FINEST + CRUMB) * p.full:
        p.size = step * max(0.9 / bulge**0.5, 0.3)
        p.size = max(p.size, FINEST * p.full)
        return False
    p.failed = np.inf
    grow = min(1.8, 0.9 / max(bulge, 1e-6) ** 0.5)
    p.size = min(p.full, max(p.size, step) * grow if grow >= 1.0 else step * grow)
    p.size = max(p.size, min(step, FINEST * p.full))
    return True


def _bulge(record: Record, travel: float, load: float) -> float:
    """The parabola's height over the straight line of a step, over what is allowed; 0 for the first step."""
    if len(record.travel) < 2:
        return 0.0
    before, here = record.travel[-2], record.travel[-1]
    slopes = (record.load[-1] - record.load[-2]) / (here - before), (load - record.load[-1]) / (travel - here)
    height = abs(slopes[1] - slopes[0]) * (travel - here) ** 2 / (4.0 * abs(travel - before))
    most = max(record.largest, abs(load), 1e-300)
    return height / (CHORD * most)
