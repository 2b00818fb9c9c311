"""Everybody who sits in a seat in turn, in every hole of its bracket and all along its travel."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from cagewright.base.curves import nearest
from cagewright.base.vectors import Vector
from cagewright.check.belts.findings import chosen_standard, seat_word
from cagewright.check.belts.harness import body_of, runs_of
from cagewright.check.belts.limits import BeltLimit, limits_for
from cagewright.check.belts.measures import MEASURES, Setting, points_of
from cagewright.check.said import Sort
from cagewright.check.sight.seen import sight
from cagewright.plan.people import turns_of
from cagewright.plan.types import PersonEntry, SeatEntry
from cagewright.shape.seated import head_centre
from cagewright.shape.types import Cage, Person, Seating

WANTED = ("lap angle", "shoulder down", "shoulder inward", "crotch to plumb", "lap free", "shoulder free")
"""Measures of the belts that depend on who sits there, and where."""
HELMET, SIGHT = "helmet to the nearest tube", "hidden from both eyes at worst"
PLACES = 3
"""Places along the travel that are looked at: both ends and the middle."""
MOVED = ("hip", "head", "eyes", "shoulder", "groin")
"""Places of a body that go with the seat."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Posture:
    """One way the seat is sat in.

    Attributes:
        who: called so; empty where only one ever sits there.
        turn: which of those who sit there, from 0.
        hole: of the bracket, from 1; 0 where it has none.
        slid: how far back of where it was measured the seat is slid, mm.
        person: so seated, with the harness.
    """

    who: str
    turn: int
    hole: int
    slid: float
    person: Person


@dataclass(frozen=True, slots=True, kw_only=True)
class PostureFigure:
    """One figure in one posture: ``low`` to ``high`` where it is not known closer, in the inside unit."""

    what: str
    label: str
    sort: Sort
    low: float
    high: float
    limit: BeltLimit | None
    posture: Posture

    @property
    def margin(self) -> float | None:
        """How far inside the limit it is at the least, in the inside unit; None without one."""
        if self.limit is None or not self.limit.bounds:
            return None
        return min(
            self.low - b.value if b.kind == "at_least" else b.value - self.high for b in self.limit.bounds
        )


def postures(person: Person, seat: SeatEntry | None) -> tuple[Posture, ...]:
    """Everybody who sits there, in every hole that may be theirs, at the travel's ends and middle."""
    holes = list(enumerate(seat.holes, start=1)) if seat and seat.holes else [(0, (0.0, 0.0))]
    first, last = seat.travel if seat else (0.0, 0.0)
    slides: list[float] = np.unique(np.linspace(first, last, PLACES)).tolist()
    return tuple(
        Posture(who=body.called, turn=turn, hole=number, slid=slid, person=_moved(person, body, at, slid))
        for turn, body in enumerate(turns_of(person.body))
        for number, at in holes
        for slid in slides
        if body.hole in {None, number}
    )


def _moved(person: Person, body: PersonEntry, hole: tuple[float, float], slid: float) -> Person:
    """The person with that body, and the seat with everything on it, moved to that hole and slid."""
    by = np.array([hole[0] + slid, 0.0, hole[1]])
    update: dict[str, Any] = {
        key: tuple((np.array(getattr(body, key)) + by).tolist())
        for key in MOVED
        if getattr(body, key) is not None
    }
    return replace(person, body=body.model_copy(update=update), seat=seat_moved(person.seat, by))


def seat_moved(seat: Seating | None, by: Vector) -> Seating | None:
    """The seat moved by (3,) mm; its mounts stay, for the bracket's holes are what moves it."""
    if seat is None:
        return None
    slots = None if seat.slots is None else (seat.slots[0] + by, seat.slots[1] + by)
    return replace(
        seat,
        slots=slots,
        crotch_slot=None if seat.crotch_slot is None else seat.crotch_slot + by,
        bottom=None if seat.bottom is None else seat.bottom + by,
    )


def belt_readings(cage: Cage, posture: Posture) -> tuple[PostureFigure, ...]:
    """The belts' angles and free lengths, each held to every row that limits it, or to none."""
    person = posture.person
    if person.body is None or person.belts is None:
        return ()
    runs = runs_of(cage, person)
    setting = Setting(
        cage=cage, mounts=person.belts.mounts, runs=runs, body=body_of(person.body), seat=person.seat
    )
    standard, _ = chosen_standard(cage, person.belts)
    rows = limits_for(standard, person.belts.sheet, seat_word(person.body), points_of(runs), cage.units)
    found: list[PostureFigure] = []
    for what in WANTED:
        limits: list[BeltLimit | None] = [r for r in rows if r.measure == what and r.bounds]
        for amount in MEASURES[what].take(setting):
            if amount.low is None or amount.high is None:
                continue
            mine = [r for r in limits if r is None or not r.belts or set(r.belts) & set(amount.belts)]
            found += [
                PostureFigure(what=what, label=amount.label, sort=MEASURES[what].sort, low=amount.low,
                        high=amount.high, limit=limit, posture=posture)
                for limit in (mine or [None])
            ]  # fmt: skip
    return tuple(found)


def helmet_reading(cage: Cage, posture: Posture) -> PostureFigure | None:
    """The least gap from the helmet's outside to a tube's, mm, with how far the helmet may be out."""
    body = posture.person.body
    if body is None or not cage.members:
        return None
    centre, doubt, _, _ = head_centre(body)
    gap, name = min(
        (nearest(m.path, centre)[1] - m.tube.radius - body.helmet / 2.0, m.name) for m in cage.members
    )
    return PostureFigure(
        what=HELMET, label=name, sort="length", low=gap - doubt, high=gap + doubt,
        limit=None, posture=posture,
    )  # fmt: skip


def sight_reading(cage: Cage, posture: Posture) -> PostureFigure | None:
    """The most that anything hides from both eyes of whoever sits so, rad."""
    if posture.person.body is None:
        return None
    others = tuple(posture.person if p.name == posture.person.name else p for p in cage.people)
    seen = sight(replace(cage, people=others))
    if not seen:
        return None
    worst = max(seen, key=lambda s: s.both)
    return PostureFigure(
        what=SIGHT, label=worst.name, sort="angle", low=worst.both, high=worst.both,
        limit=None, posture=posture,
    )  # fmt: skip


def all_readings(cage: Cage, every: tuple[Posture, ...], *, driver: bool) -> tuple[PostureFigure, ...]:
    """Every figure in every posture; sight for the ``driver`` alone."""
    found: list[PostureFigure] = []
    for posture in every:
        found += belt_readings(cage, posture)
        more = (helmet_reading(cage, posture), sight_reading(cage, posture) if driver else None)
        found += [r for r in more if r is not None]
    return tuple(found)


SPANS: Mapping[Sort, float] = {"angle": float(np.radians(5.0)), "length": 25.0}
"""What counts alike when margins of angles and of lengths are weighed against each other (ours)."""


def weighed(reading: PostureFigure) -> float | None:
    """The margin in spans, to weigh one of degrees against one of mm."""
    margin = reading.margin
    return None if margin is None else margin / SPANS[reading.sort]


def best_holes(readings: tuple[PostureFigure, ...]) -> Mapping[int, int]:
    """For each who sits there the hole in which the least margin, all along the travel, is largest."""
    worst: dict[tuple[int, int], float] = {}
    for r in readings:
        margin = weighed(r)
        if margin is None and r.what == HELMET:
            margin = r.low / 1000.0  # where nothing else tells them apart: away from the tubes
        if margin is not None:
            key = (r.posture.turn, r.posture.hole)
            worst[key] = min(worst.get(key, np.inf), margin)
    turns = sorted({turn for turn, _ in worst})
    return {
        turn: max((hole for t, hole in worst if t == turn), key=lambda h: (worst[turn, h], -h))
        for turn in turns
    }
