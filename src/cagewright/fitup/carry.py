"""How the assembled part goes in through an opening, to which of its places, and what must wait."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np

from cagewright.base.vectors import Vector
from cagewright.check.torch.stages import whole_stages
from cagewright.fitup.opening import Never, Opening, never_through, opening_of
from cagewright.fitup.order import Where
from cagewright.fitup.room import Room, room_of
from cagewright.fitup.way import (
    MARGINS,
    SEED,
    TRIES,
    CarriedPart,
    WayIn,
    drawn_off,
    part_of,
    room_at,
    upright,
    way_in,
)
from cagewright.shape.shell import Shell
from cagewright.shape.types import Cage, Member

SEARCHES = 5
"""Searches of ``TRIES`` for the whole part before it is given up."""
WAYS = 3
"""Of so many ways found the plainest is told."""
WAITING = 2
"""At most so many tubes are tried as waiting outside."""
LESS = 2
"""Searches of ``TRIES`` for each part with tubes left out."""


Passing = Literal["goes", "never", "blocked", "no way found"]
"""Whether a part goes in: it does; it is proven that it cannot; it stands in the body; cannot tell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriedIn:
    """How a part goes in.

    Attributes:
        members: names of the tubes carried in together.
        waits: names of those that have to wait outside, of the part as asked for.
        way: from outside to ``where``; None where none was found.
        where: in its place, or where the whole cage hangs low or stands slid back, from where it is brought
            into its place.
        never: why the whole part can never pass; None where that is not proven.
        blocked: how far the part stands in the body where the plan has it, at the least of its places, mm; 0
            where one of them is clear.
        tries: poses that searches grew toward in all.
    """

    members: tuple[str, ...]
    waits: tuple[str, ...]
    way: WayIn | None
    where: Where
    never: Never | None
    blocked: float
    tries: int


def carried_in(cage: Cage, shell: Shell, line: np.ndarray, names: Sequence[str]) -> CarriedIn:
    """How those tubes, joined as the plan has them, go in through the opening with that edge (n, 3) mm.

    Where the whole part does not go, tubes wait outside, the fewest first, never the first of the names.

    Raises:
        ValueError: the edge holds no area, or there is no such tube.
    """
    chosen = [m for m in cage.members if m.name in names]
    opening = opening_of(line, part_of(chosen).middle)
    never = never_through(chosen, opening)
    tries, blocked = 0, 0.0
    if never is None:
        whole = _search(cage, shell, opening, chosen, SEARCHES)
        if whole.way is not None or whole.blocked > 0.0:
            return whole
        tries, blocked = whole.tries, whole.blocked
    rest = [n for n in names if n != names[0]]
    for count in range(1, min(WAITING, len(rest)) + 1):
        for out in combinations(rest, count):
            some = [m for m in chosen if m.name not in out]
            if never_through(some, opening) is None:
                found = _search(cage, shell, opening, some, LESS)
                tries += found.tries
                if found.way is not None:
                    return CarriedIn(members=found.members, waits=out, way=found.way, where=found.where,
                                   never=never, blocked=0.0, tries=tries)  # fmt: skip
    return CarriedIn(members=tuple(m.name for m in chosen), waits=(), way=None, where="car", never=never,
                   blocked=blocked, tries=tries)  # fmt: skip


def goes_in(
    cage: Cage, shell: Shell, line: np.ndarray, names: Sequence[str], *, searches: int = LESS
) -> Passing:
    """Whether those tubes, joined, go in through the opening with that edge (n, 3) mm to a place to stand.

    The first way found will do; ``carried_in`` looks for the plainest.

    Raises:
        ValueError: the edge holds no area, or there is no such tube.
    """
    chosen = [m for m in cage.members if m.name in names]
    part = part_of(chosen)
    opening = opening_of(line, part.middle)
    if never_through(chosen, opening) is not None:
        return "never"
    room, clear = room_of(cage, shell, opening, chosen), False
    for _, at in _clear_places(cage, part, room):
        clear = True
        for n in range(searches):
            if way_in(part, room, opening, at, margin=MARGINS[-1], seed=SEED + n) is not None:
                return "goes"
    return "no way found" if clear else "blocked"


def _search(cage: Cage, shell: Shell, opening: Opening, chosen: Sequence[Member], searches: int) -> CarriedIn:
    """The plainest of the first ways found to the first of the part's places that is clear."""
    part, room = part_of(chosen), room_of(cage, shell, opening, chosen)
    names = tuple(m.name for m in chosen)
    clear = list(_clear_places(cage, part, room))
    if not clear:
        most = max(room_at(part, room, upright(part.middle + shift)) for _, shift in _shifts(cage))
        return CarriedIn(members=names, waits=(), way=None, where="car", never=None,
                       blocked=max(-most, 0.1), tries=0)  # fmt: skip
    tries = 0
    for where, at in clear:
        found, more = _ways(part, room, opening, at, searches)
        tries += more
        if found:
            best = min(found, key=lambda way: (len(way.poses), -float(way.room.min())))
            return CarriedIn(members=names, waits=(), way=best, where=where, never=None, blocked=0.0,
                           tries=tries)  # fmt: skip
    return CarriedIn(members=names, waits=(), way=None, where="car", never=None, blocked=0.0, tries=tries)


def _clear_places(cage: Cage, part: CarriedPart, room: Room) -> Iterator[tuple[Where, Vector]]:
    """Where the part can stand clear of the body, and its middle (3,) there, mm."""
    for where, shift in _shifts(cage):
        at = part.middle + shift
        if drawn_off(part, room, upright(at)) is not None:
            yield where, at


def _ways(
    part: CarriedPart, room: Room, opening: Opening, at: Vector, searches: int
) -> tuple[list[WayIn], int]:
    """Ways to that place with as much room round the part as there is, and how many poses were tried."""
    tries = 0
    for margin in MARGINS:
        found: list[WayIn] = []
        for n in range(searches if margin == MARGINS[-1] else WAYS):
            way = way_in(part, room, opening, at, margin=margin, seed=SEED + n)
            tries += TRIES if way is None else way.tries
            found += [] if way is None else [way]
            if len(found) == WAYS:
                break
        if found:
            return found, tries
    return [], tries


def _shifts(cage: Cage) -> list[tuple[Where, Vector]]:
    """Where the cage can stand when it has come in, its own place first, then those of the order."""
    *away, last = whole_stages(cage, body=True)
    found: list[tuple[Where, Vector]] = [("car", np.array(last.shift))]
    moved = sorted(away, key=lambda stage: stage.shift[0])  # hung low before slid back
    for stage in moved:
        found.append(("slid" if stage.shift[0] else "dropped", np.array(stage.shift)))
    return found
