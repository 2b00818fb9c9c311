"""The people of a plan, whichever way it says who sits in the car, and the mounts that are theirs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal, TypeVar

from cagewright.base.names import DRIVER
from cagewright.plan.report import ProblemReport
from cagewright.plan.source import Keys
from cagewright.plan.types import (
    BeltsEntry,
    MountEntry,
    PersonEntry,
    Plan,
    SeatedEntry,
    SeatEntry,
    Sections,
)

Holder = Literal["belts", "seat"]
AnyPlan = TypeVar("AnyPlan", Sections, Plan)


@dataclass(frozen=True, slots=True, kw_only=True)
class Occupant:
    """One person of a plan, with the seat and the harness that are theirs.

    Attributes:
        name: by which the plan calls the person.
        body: None where the plan has a seat or belts and nobody in them.
        seat: None where the plan has none.
        belts: None where the plan has none.
        keys: of what holds ``seat`` and ``belts`` in the plan.
        several: others sit in the car too.
    """

    name: str
    body: PersonEntry | None
    seat: SeatEntry | None
    belts: BeltsEntry | None
    keys: Keys
    several: bool

    def mount_name(self, mount: str) -> str:
        """The mount's name in the whole car, where others have a mount of that name too."""
        return f"{self.name}.{mount}" if self.several else mount


def occupants(plan: Sections) -> tuple[Occupant, ...]:
    """Everybody in the car, in the plan's order; the ``seat:`` and ``belts:`` beside ``driver:`` are his."""
    if plan.people:
        several = len(plan.people) > 1
        return tuple(
            Occupant(
                name=name, body=one, seat=one.seat, belts=one.belts, keys=("people", name), several=several
            )
            for name, one in plan.people.items()
        )
    if plan.driver is None and plan.seat is None and plan.belts is None:
        return ()
    return (
        Occupant(name=DRIVER, body=plan.driver, seat=plan.seat, belts=plan.belts, keys=(), several=False),
    )


def mounts_of(plan: Sections) -> Iterator[tuple[Holder, str, Keys, MountEntry]]:
    """Every mount of belts and seats: of which, its name in the whole car, its keys, and what it says."""
    for one in occupants(plan):
        for name, belt in one.belts.mounts.items() if one.belts else ():
            yield "belts", one.mount_name(name), (*one.keys, "belts", "mounts", name), belt
        for name, mount in one.seat.mounts.items() if one.seat else ():
            yield "seat", one.mount_name(name), (*one.keys, "seat", "mounts", name), mount


Mended = Callable[[Holder, str, MountEntry], MountEntry | None]
"""What becomes of a mount, given what it is of and its name in the whole car; None where it goes."""


def with_mounts(plan: AnyPlan, mended: Mended) -> AnyPlan:
    """The plan with every mount of belts and seats as ``mended`` has it."""
    if not plan.people:
        update = {h: _held(getattr(plan, h), h, str, mended) for h in ("belts", "seat")}
        return plan.model_copy(update=update)
    people = {
        one.name: plan.people[one.name].model_copy(
            update={h: _held(getattr(one, h), h, one.mount_name, mended) for h in ("belts", "seat")}
        )
        for one in occupants(plan)
    }
    return plan.model_copy(update={"people": people})


def _held(
    holder: BeltsEntry | SeatEntry | None, kind: Holder, named: Callable[[str], str], mended: Mended
) -> BeltsEntry | SeatEntry | None:
    if holder is None:
        return None
    made = {name: mended(kind, named(name), mount) for name, mount in holder.mounts.items()}
    kept = {name: mount for name, mount in made.items() if mount is not None}
    return holder if kept == holder.mounts else holder.model_copy(update={"mounts": kept})


def turns_of(body: PersonEntry | None) -> tuple[PersonEntry, ...]:
    """Everybody who sits in that person's seat in turn, as each is there."""
    return () if body is None else (body, *(body.others if isinstance(body, SeatedEntry) else ()))


def check_people(plan: Sections, report: ProblemReport) -> None:
    """Reports people of whom nobody drives, what is beside them and nobody's, and who sits there in turn."""
    if plan.driver is not None:
        _check_hole(plan.driver, plan.seat, (DRIVER, "hole"), report)
    if not plan.people:
        return
    for name in plan.people:
        _check_turns(plan.people[name], ("people", name), report)
    if DRIVER not in plan.people:
        found = f"people has {', '.join(plan.people)} and nobody who drives"
        report.add(
            "no-driver",
            ("people",),
            found,
            f"wanted '{DRIVER}: ...' among them",
            like=(next(iter(plan.people)), (DRIVER,)),
        )
    for key in (DRIVER, "seat", "belts"):
        if getattr(plan, key) is not None:
            inside = f"{DRIVER}: ..." if key == DRIVER else f"{DRIVER}: {{{key}: ...}}"
            report.add(
                "defined-twice",
                (key,),
                f"the plan has '{key}' beside 'people'",
                f"wanted it as 'people: {{{inside}}}'",
            )


def _check_turns(one: SeatedEntry, keys: Keys, report: ProblemReport) -> None:
    """Reports two who sit there in turn under one name, and a hole that the bracket has not."""
    told = dict[str, int]()
    for i, body in enumerate(turns_of(one)):
        here: Keys = (*keys, i) if one.others else keys
        if body.called in told and one.others:
            found = f"{body.called or 'somebody without a name'} sits there twice"
            report.add(
                "defined-twice", (*here, "called"), found, "wanted a name of its own for each (called)"
            )
        told[body.called] = i
        _check_hole(body, one.seat, (*here, "hole"), report)


def _check_hole(body: PersonEntry, seat: SeatEntry | None, keys: Keys, report: ProblemReport) -> None:
    holes = len(seat.holes) if seat else 0
    if body.hole is not None and body.hole > holes:
        found = f"{body.called or DRIVER} sits in hole {body.hole}"
        has = (
            f"a hole from 1 to {holes}"
            if holes
            else "seat: holes first, how far back and up each puts the seat"
        )
        report.add("no-such-hole", keys, found, f"wanted {has}")
