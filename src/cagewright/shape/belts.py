"""The harness and the seat of a plan, with every mount's place worked out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from cagewright.base.curves import nearest
from cagewright.base.problems import Problem
from cagewright.base.vectors import Vector
from cagewright.plan.types import BeltKind, BeltMountEntry, BeltsEntry, MountEntry, OnMember, Plan
from cagewright.shape.located import AlreadyRefused, Path, Refused
from cagewright.shape.places import Ground, spot
from cagewright.shape.types import BeltMount, Belts, DriverSeat, Mount

BY_NAME: Mapping[str, BeltKind] = {
    "lap": "lap", "shoulder": "shoulder", "crotch": "crotch", "sub": "crotch",
}  # fmt: skip
"""What a mount holds where only its name says so."""


def belts_of(plan: Plan, ground: Ground) -> tuple[Belts | None, list[Problem]]:
    """The harness, or None where the plan has none, and the problems of its mounts."""
    if plan.belts is None:
        return None, []
    mounts, problems = mounts_of(plan.belts.mounts, ground, ("belts", "mounts"))
    held = tuple(_belt_mount(mount, plan.belts.mounts[mount.name], plan.belts) for mount in mounts)
    return Belts(standard=plan.belts.standard, sheet=plan.belts.sheet, mounts=held), problems


def seat_of(plan: Plan, ground: Ground) -> tuple[DriverSeat | None, list[Problem]]:
    """The seat, or None where the plan has none, and the problems of its mounts."""
    entry = plan.seat
    if entry is None:
        return None, []
    mounts, problems = mounts_of(entry.mounts, ground, ("seat", "mounts"))
    left, right = entry.slots or (None, None)
    slots = (np.array(left), np.array(right)) if left is not None and right is not None else None
    seat = DriverSeat(
        mass=entry.mass,
        mounts=mounts,
        slots=slots,
        crotch_slot=_point(entry.crotch_slot),
        bottom=_point(entry.bottom),
    )
    return seat, problems


def _point(place: tuple[float, float, float] | None) -> Vector | None:
    return None if place is None else np.array(place)


def mounts_of(
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


def _belt_mount(mount: Mount, entry: BeltMountEntry, belts: BeltsEntry) -> BeltMount:
    word = mount.name.lower().split("_")[0]
    by_name = (BY_NAME[word],) if word in BY_NAME else ()
    return BeltMount(
        mount=mount,
        belts=entry.belt or by_name,
        wrap=entry.wrap,
        tab=None if entry.wrap else entry.tab or belts.tab,
        bolt=None if entry.wrap else entry.bolt or belts.bolt,
        plate=entry.plate,
    )
