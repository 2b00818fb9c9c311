"""Which one size of a set to change so that it serves the most bodies."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from cagewright.base.names import shown
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.job.set_draft import SetInBody
from cagewright.plan.tube_set import SetFile
from cagewright.shape.tube_shape import shape_and_frame

LEAST = 2.0
"""A size that is out by less is not changed, mm (ours)."""
ALIKE = 2.0
"""Changes that differ by less are one, mm (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OneSize:
    """One straight of one tube of a set made longer or shorter.

    Attributes:
        bought: the set's file.
        tube: its name there.
        straight: which, from 1 at its start.
        by: mm longer; negative for shorter.
        now: as it is, mm.
    """

    bought: str
    tube: str
    straight: int
    by: float
    now: float

    def words(self, units: LengthUnit) -> str:
        """``own.yaml: main hoop's 3rd straight 40 mm longer (680 mm)``."""
        far, long = say_length(abs(self.by), units, places=0), say_length(self.now + self.by, units, places=0)
        way = "longer" if self.by > 0.0 else "shorter"
        return f"{self.bought}: straight {self.straight} of {shown(self.tube)} {far} {way} ({long})"


def sizes_to_try(bought: str, placed: Mapping[str, SetInBody]) -> tuple[OneSize, ...]:
    """What each body would have otherwise of a tube that does not suit somewhere, and half way between two.

    Args:
        bought: the set's file.
        placed: the set in each body, by the survey's file.
    """
    wrong = {fit.piece.entry for one in placed.values() for fit in one.fits if not fit.suits}
    wanted: dict[tuple[str, int], list[float]] = {}
    now: dict[tuple[str, int], float] = {}
    for one in placed.values():
        for tube, i, size, other in _sizes(one):
            if tube in wrong:
                wanted.setdefault((tube, i), []).append(other - size)
                now[tube, i] = size
    return tuple(
        OneSize(bought=bought, tube=tube, straight=i + 1, by=by, now=now[tube, i])
        for (tube, i), out in wanted.items()
        for by in _amounts(out)
        if now[tube, i] + by > 0.0
    )


def _sizes(one: SetInBody) -> Iterator[tuple[str, int, float, float]]:
    """Of each tube bent as its place is: each straight, and what the body's draft has of it, mm."""
    for fit in one.fits:
        own = fit.piece.tube.straights
        member = fit.slot.member
        shape, _ = shape_and_frame(member.path, member.bends)
        if own is None or len(own) != len(shape.straights):
            continue
        ends = [-end.trim for end in member.ends]
        for i, size in enumerate(own):
            more = (ends[0] if i == 0 else 0.0) + (ends[1] if i == len(own) - 1 else 0.0)
            other = float(shape.straights[i]) + more
            spare = i in (0, len(own) - 1) and size >= other  # an end that is long is cut
            if not spare:
                yield fit.piece.entry, i, float(size), other


def _amounts(out: Sequence[float]) -> Iterator[float]:
    taken: list[float] = []
    for by in (*out, *(0.5 * (a + b) for a, b in combinations(out, 2))):
        whole = float(round(by))
        if abs(whole) >= LEAST and all(abs(whole - t) >= ALIKE for t in taken):
            taken.append(whole)
            yield whole


def changed_set(file: SetFile, size: OneSize) -> SetFile:
    """The set with that size changed."""
    tube = file.tubes[size.tube]
    straights = list(tube.straights or ())
    straights[size.straight - 1] += size.by
    new = tube.model_copy(update={"straights": tuple(straights)})
    return file.model_copy(update={"tubes": {**file.tubes, size.tube: new}})


def best_sizes(
    sizes: Sequence[OneSize], bodies: Sequence[str], serves: Callable[[OneSize, str], bool], *, now: int
) -> tuple[tuple[OneSize, ...], int]:
    """The changes that serve the most bodies, the smallest first, and how many they serve.

    Exact over those sizes: one is given up only where it can no longer come to as many as the best so far.

    Args:
        sizes: to try.
        bodies: to serve.
        serves: whether a set with that size changed serves that body.
        now: how many the best set serves as it is; a change that serves no more is none.
    """
    best, found = now + 1, list[OneSize]()
    for size in sizes:
        served = 0
        for k, body in enumerate(bodies):
            served += serves(size, body)
            if served + len(bodies) - k - 1 < best:
                break
        else:
            found = [*found, size] if served == best else [size]
            best = served
    return tuple(sorted(found, key=lambda s: abs(s.by))), best if found else now
