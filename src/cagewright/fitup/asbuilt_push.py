"""The cage as it stands under the plan's pushes, beside the plan's own answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cagewright.frame.results import Results
from cagewright.frame.run import run
from cagewright.shape.types import Cage

NO_DIFFERENCE = 0.01
"""A smaller part of change than this is within what the model tells apart (its mesh and steps; computed by
``compare`` on the demo)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PushedTwice:
    """One push on the plan and on the cage as it stands.

    Attributes:
        push: its name.
        peak: largest load on the plan and as built, N; None where it cannot be told.
        energy: taken up as far as the push counts, J, the same.
        margin: least gap to the people in the car, mm, the same; None without a driver.
    """

    push: str
    peak: tuple[float | None, float | None]
    energy: tuple[float | None, float | None]
    margin: tuple[float | None, float | None]


def pushed_twice(plan: Cage, built: Cage, names: Sequence[str] = ()) -> tuple[PushedTwice, ...]:
    """The plan and the cage as it stands under the named pushes, the default one where none is named.

    Straight tubes that have been pulled are taken as straight where they stand, joints as made there, nothing
    locked in: how far off they are told apart from how they were forced.

    Raises:
        FrameError: no such push, or the frame cannot stand, in the builder's words.
    """
    pairs = zip(run(plan, names).results, run(built, names).results, strict=True)
    return tuple(
        PushedTwice(
            push=a.push.name,
            peak=(_told(a, a.peak.load), _told(b, b.peak.load)),
            energy=(_told(a, a.counted.energy), _told(b, b.counted.energy)),
            margin=(_margin(a), _margin(b)),
        )
        for a, b in pairs
    )


def _told(results: Results, value: float) -> float | None:
    return None if results.counted.kind == "cannot tell" else value


def _margin(results: Results) -> float | None:
    return _told(results, max(min(p.least for p in results.room.parts), 0.0)) if results.room else None
