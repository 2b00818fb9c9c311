"""How long the next step of a push is: short where the curve bends, so that lines between steps are true.

Whole multiples of the full step are always kept, so that curves of different cages share their travels.
Before the first yield a step stops just short of it, which makes its travel good to a percent.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.frame.continuation import Steps
from cagewright.frame.history import History

CHORD = 2e-3
"""How far the curve may bulge from the straight line over a step, as a part of the largest load so far."""
FINEST = 0.1
"""Steps are shortened for a bend of the curve to this part of a full step, no further."""
CRUMB = 0.02
"""No step leaves less than this part of a full step before the next whole one: it takes the rest too."""
AT_TOUCH = 1e-5
"""A step from rest is cut to this part of a full step: nothing is carried yet that could give way."""
MOST_TRIES = 400
"""Most tries from one whole multiple of the full step to the next; a push that needs more has stalled."""


@dataclass(slots=True, kw_only=True)
class StepControl:
    """The step's size under way.

    Attributes:
        full: mm, the longest step.
        smallest: part of ``full`` below which the push has stalled.
        cut: what a step that did not settle is cut to.
        size: mm, the step wanted next.
        failed: mm, a step that did not settle from here: nothing as long is tried before one has.
        leap: mm, how far the next place that no step leads over is passed by; doubled until a step settles.
        whole: mm, the whole multiple of ``full`` on the way to it.
        tries: steps tried on the way to ``whole``.
        redo: see ``Steps``.
    """

    full: float
    smallest: float
    cut: float
    size: float
    failed: float = np.inf
    leap: float = 0.0
    whole: float = 0.0
    tries: int = 0
    redo: float = 1.5

    @property
    def used_up(self) -> bool:
        """Whether the push has had all its tries on the way to the next whole multiple."""
        return self.tries >= MOST_TRIES


def step_control(history: History, steps: Steps) -> StepControl:
    """At rest: a short first step for a frame that can yield, to see how fast the stresses rise."""
    can_yield = bool(np.isfinite(history.assembly.beams.limit).any())
    full = abs(steps.size)
    size = FINEST * full if can_yield else full
    return StepControl(full=full, smallest=steps.smallest, cut=steps.cut, size=size, redo=steps.redo)


def proposed(control: StepControl, history: History, target: float) -> float:
    """The next step, mm, towards ``target``; not past the next whole multiple of the full step."""
    at = abs(history.travel[-1])
    whole = (float(np.floor(at / control.full + 1e-6)) + 1.0) * control.full
    if whole > control.whole:
        control.whole, control.tries = whole, 0
    control.tries += 1
    room = min(abs(target), whole) - at
    now = min(control.size, _to_first_yield(control, history), room)
    if room - now < CRUMB * control.full and room < control.failed:
        now = room
    return float(np.copysign(now, target))


def _to_first_yield(control: StepControl, history: History) -> float:
    """Length to just before the first yield, as far as the last step tells."""
    a = history.assembly
    if history.events or history.losses or len(history.travel) == 1:
        return np.inf
    rise = a.use[..., 1] - a.use[..., 0]
    rising = rise > 1e-12
    if not rising.any():
        return np.inf
    last = abs(history.travel[-1] - history.travel[-2])
    left = 0.98 * last * float(((1.0 - a.use[..., 1])[rising] / rise[rising]).min())
    return left if left > 0.02 * control.full else FINEST * control.full


def failed(control: StepControl, history: History, step: float) -> bool:
    """Cut after a step that did not settle; True where it cannot be cut any shorter."""
    control.failed = abs(step)
    control.size = control.failed * control.cut
    smallest = control.smallest if len(history.travel) > 1 else min(control.smallest, AT_TOUCH)
    return control.size < smallest * control.full


def leap(control: StepControl, history: History) -> float:
    """Mm past a place that no step leads over: a crumb, and twice as far where the one before was one too.

    Not past the next whole multiple of the full step.
    """
    control.leap = min(max(2.0 * control.leap, CRUMB * control.full), FINEST * control.full)
    at = abs(history.travel[-1])
    room = (float(np.floor(at / control.full + 1e-6)) + 1.0) * control.full - at
    return min(control.leap, room)


def start_anew(control: StepControl) -> None:
    """Short steps again: the frame is another one."""
    control.size, control.failed = FINEST * control.full, np.inf


def accepts(control: StepControl, history: History, *, travel: float, load: float) -> bool:
    """Whether to keep a settled step to ``travel`` and ``load``; sets the size of the next, or of a retry."""
    step = abs(travel - history.travel[-1])
    bulge = _bulge(history, travel, load)
    # a step that took a crumb with it cannot be proposed any shorter
    if bulge > control.redo and step > 1.01 * (FINEST + CRUMB) * control.full:
        control.size = step * max(0.9 / bulge**0.5, 0.3)
        control.size = max(control.size, FINEST * control.full)
        return False
    control.failed, control.leap = np.inf, 0.0
    grow = min(1.8, 0.9 / max(bulge, 1e-6) ** 0.5)
    control.size = min(control.full, max(control.size, step) * grow if grow >= 1.0 else step * grow)
    control.size = max(control.size, min(step, FINEST * control.full))
    return True


def _bulge(history: History, travel: float, load: float) -> float:
    """The parabola's height over the straight line of a step, over what is allowed; 0 for the first step."""
    if len(history.travel) < 2:
        return 0.0
    before, here = history.travel[-2], history.travel[-1]
    if before == here:
        # something let go: the curve starts anew
        return 0.0
    slopes = (
        (history.load[-1] - history.load[-2]) / (here - before),
        (load - history.load[-1]) / (travel - here),
    )
    height = abs(slopes[1] - slopes[0]) * (travel - here) ** 2 / (4.0 * abs(travel - before))
    most = max(history.largest, abs(load), 1e-300)
    return height / (CHORD * most)
