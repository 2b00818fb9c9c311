"""What the cage does under its pushes."""

from __future__ import annotations

from cagewright.frame.errors import FrameError
from cagewright.frame.push_names import DEFAULT, push_names
from cagewright.frame.respond import run
from cagewright.frame.results import Summary
from cagewright.job.opening import Job
from cagewright.shape.types import Cage

USUAL_PUSHES = (DEFAULT, "side-left")
"""What the papers show where the plan asks for no push: a front corner of the roof, and the driver's door."""


def strength_of(job: Job) -> Summary | str:
    """The cage under the plan's pushes, or the usual two; in words, why it cannot be told.

    The sentence is an answer: a cage with nothing for a push to press on is built and checked all the same.
    """
    return job.cache.get(("strength", job.key), lambda: _pushed(job.cage))


def _pushed(cage: Cage) -> Summary | str:
    try:
        known = push_names(cage)
        asked = tuple(p.name for p in cage.pushes) or tuple(n for n in USUAL_PUSHES if n in known)
        return run(cage, asked) if asked else "no usual push finds a place on this cage"
    except FrameError as wrong:
        return "; ".join(wrong.messages)
