"""The people of a plan with their harnesses and seats, every mount's place worked out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from cagewright.base.curves import nearest
from cagewright.base.problems import Problem
from cagewright.base.vectors import Vector
from cagewright.plan.people import Occupant, occupants
from cagewright.plan.types import BeltKind, BeltMountEntry, BeltsEntry, MountEntry, OnMember, Plan, SeatEntry
from cagewright.shape.located import AlreadyRefused, Path, Refused
from cagewright.shape.places import Ground, spot
from cagewright.shape.types import BeltMount, Belts, Mount, Person, Seating

BY_NAME: Mapping[str, BeltKind] = {
    "lap": "lap", "shoulder": "shoulder", "crotch": "crotch", "sub": "crotch",
}  # fmt: skip
"""What a mount holds where only its name says so."""


def people_of(plan: Plan, ground: Ground) -> tuple[tuple[Person, ...], list[Problem]]:
    """Everybody in the car, in the plan's order, and the problems of their mounts."""
    people: list[Person] = []
    problems: list[Problem] = []
    for one in occupants(plan):
        belts, met = _belts(one.belts, one, ground) if one.belts else (None, [])
        problems.extend(met)
        seat, met = _seat(one.seat, one, ground) if one.seat else (None, [])
        problems.extend(met)
        people.append(Person(name=one.name, body=one.body, belts=belts, seat=seat))
    return tuple(people), problems


def _belts(entry: BeltsEntry, one: Occupant, ground: Ground) -> tuple[Belts, list[Problem]]:
    mounts, problems = _mounts(entry.mounts, ground, (*one.keys, "belts", "mounts"))
    held = tuple(_belt_mount(mount, one, entry.mounts[mount.name], entry) for mount in mounts)
    return Belts(standard=entry.standard, sheet=entry.sheet, mounts=held), problems


def _seat(entry: SeatEntry, one: Occupant, ground: Ground) -> tuple[Seating, list[Problem]]:
    mounts, problems = _mounts(entry.mounts, ground, (*one.keys, "seat", "mounts"))
    left, right = entry.slots or (None, None)
    slots = (np.array(left), np.array(right)) if left is not None and right is not None else None
    seat = Seating(
        mass=entry.mass,
        mounts=tuple(_whose(mount, one) for mount in mounts),
        slots=slots,
        crotch_slot=_point(entry.crotch_slot),
        bottom=_point(entry.bottom),
    )
    return seat, problems


def _point(place: tuple[float, float, float] | None) -> Vector | None:
    return None if place is None else np.array(place)


def _whose(mount: Mount, one: Occupant) -> Mount:
    return replace(mount, name=one.mount_name(mount.name))


def _mounts(
    entries: Mapping[str, MountEntry], ground: Ground, keys: Path
) -> tuple[tuple[Mount, ...], list[Problem]]:
    """The mounts that can be placed, in file order, and the problems of the others."""
    placed: list[Mount] = []
    problems: list[Problem] = []
    for name, entry in entries.items():
        try:
            placed.append(_mount(name, entry, ground, (*keys, name, "at")))
        except Refused as refused:
            problems.append(refused.problem)
        except AlreadyRefused:
            continue
    return tuple(placed), problems


def _mount(name: str, entry: MountEntry, ground: Ground, keys: Path) -> Mount:
    point = spot(entry.at, ground, keys)
    mount = Mount(name=name, point=point, member=None, along=0.0, note=entry.note)
    curve = ground.paths.get(entry.at.on) if isinstance(entry.at, OnMember) else None
    if curve is None or not isinstance(entry.at, OnMember):
        return mount
    return replace(mount, member=entry.at.on, along=nearest(curve, point)[0])


def _belt_mount(mount: Mount, one: Occupant, entry: BeltMountEntry, belts: BeltsEntry) -> BeltMount:
    word = mount.name.lower().split("_")[0]
    by_name = (BY_NAME[word],) if word in BY_NAME else ()
    return BeltMount(
        mount=_whose(mount, one),
        belts=entry.belt or by_name,
        wrap=entry.wrap,
        tab=None if entry.wrap else entry.tab or belts.tab,
        bolt=None if entry.wrap else entry.bolt or belts.bolt,
        plate=entry.plate,
    )
