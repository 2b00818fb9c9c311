"""The same plan with every mirror written out, so that one side can change without the other."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from cagewright.base.vectors import mirrored
from cagewright.change.before import with_entries
from cagewright.plan.types import FoldEntry, GussetEntry, HoleEntry, Place, Plan
from cagewright.shape.drafts import Twins, drafts_of, mirrored_place, twins_of
from cagewright.shape.feet import across, feet_of
from cagewright.shape.located import Refused, in_plan
from cagewright.shape.types import Foot

SECTIONS = ("points", "members", "feet", "plates", "gussets")
"""Sections whose entries can have a mirror."""


def paired_again(plan: Plan, before: Plan, apart: frozenset[tuple[str, str]] = frozenset()) -> Plan:
    """The plan with each pair of ``before`` made a mirror again whose two sides still are each other's.

    Args:
        plan: with its mirrors written out, and then changed.
        before: the plan its mirrors come from.
        apart: entries by section and name that stay two all the same.
    """
    pairs = {
        (section, name, twin)
        for section in SECTIONS
        for name, twin in _pairs(before, section)
        if {name, twin} <= getattr(plan, section).keys() and (section, name) not in apart
    }
    while True:
        folded = _folded(plan, pairs)
        whole = written_out(folded)
        wrong = {(s, n, t) for s, n, t in pairs if getattr(whole, s).get(t) != getattr(plan, s)[t]}
        if not wrong:
            return folded
        pairs -= wrong


def _pairs(plan: Plan, section: str) -> list[tuple[str, str]]:
    entries = getattr(plan, section).items()
    if section == "gussets":
        return [(name, f"{name}_mirror") for name, entry in entries if entry.mirror]
    return [(name, entry.mirror) for name, entry in entries if entry.mirror]


def _folded(plan: Plan, pairs: set[tuple[str, str, str]]) -> Plan:
    made: dict[str, dict[str, Any]] = {}
    for section in SECTIONS:
        twins = {name: twin for s, name, twin in pairs if s == section}
        gone = set(twins.values())
        made[section] = {
            name: entry.model_copy(update={"mirror": section == "gussets" or twins[name]})
            if name in twins
            else entry
            for name, entry in getattr(plan, section).items()
            if name not in gone
        }
    return with_entries(plan, **made)


def welded_by_angles(plan: Plan) -> list[str]:
    """Members with a mirror and a weld left out between two angles: those angles have no plain mirror.

    The angles run round the cut from its own zero, which may lie on either side in the twin.
    """
    return [
        name
        for name, entry in plan.members.items()
        if entry.mirror and entry.welds
        for weld in (entry.welds.start, entry.welds.end)
        if weld and any(not isinstance(part, str) for part in weld.open)
    ]


def place_across(plan: Plan, place: Place) -> Place:
    """The place's mirror in the plan's own terms.

    Raises:
        Refused: it names a foot without a mirror or an unknown point.
    """
    twins, feet = _sides(plan)
    return mirrored_place(place, twins, feet, (), in_plan)


def _sides(plan: Plan) -> tuple[Twins, dict[str, Foot]]:
    """Who is whose mirror, and every foot.

    Raises:
        Refused: a foot has problems of its own.
    """
    twins = twins_of(plan)
    feet, problems = feet_of(plan, twins.points, in_plan)
    if problems:
        raise Refused(problems[0])
    return twins, {foot.name: foot for foot in feet}


def written_out(plan: Plan) -> Plan:
    """The plan that makes the same cage without a mirror among its points, members, feet, plates, gussets.

    Raises:
        Refused: a mirror of the plan cannot be made (the plan itself would be refused for it).
    """
    twins, feet = _sides(plan)
    drafts, _ = drafts_of(plan, twins, feet, in_plan)

    def corners(_name: str, plate: Any) -> dict[str, Any]:
        return {
            "corners": tuple(mirrored_place(p, twins, feet, (), in_plan) for p in plate.corners),
            "holes": holes_across(plate.holes, twins),
        }

    return with_entries(
        plan,
        points=_both(plan.points, lambda _, e: {"at": _flat(e.at)}),
        members={draft.name: draft.entry.model_copy(update={"mirror": None}) for draft in drafts},
        feet=_both(
            plan.feet,
            lambda n, e: {
                "at": tuple(mirrored(feet[n].on_shell).tolist()),
                "normal": _flat(e.normal),
                "folds": folds_across(e.folds),
            },
        ),
        plates=_both(plan.plates, corners),
        gussets=_gussets(plan, twins),
    )


def folds_across(folds: tuple[FoldEntry, ...]) -> tuple[FoldEntry, ...]:
    """The same folds of the foot on the other side."""
    return tuple(fold.model_copy(update={"edge": across(fold.edge)}) for fold in folds)


def holes_across(holes: tuple[HoleEntry, ...], twins: Twins) -> tuple[HoleEntry, ...]:
    """The same holes of the plate on the other side."""
    spots = (twins.points[hole.at] if isinstance(hole.at, str) else np.array(hole.at) for hole in holes)
    each = zip(holes, spots, strict=True)
    return tuple(hole.model_copy(update={"at": tuple(mirrored(at).tolist())}) for hole, at in each)


def _both(entries: Mapping[str, Any], across: Callable[[str, Any], dict[str, Any]]) -> dict[str, Any]:
    """Every entry, and behind it its mirror's: what ``across`` says otherwise than the entry."""
    made: dict[str, Any] = {}
    for name, entry in entries.items():
        made[name] = entry.model_copy(update={"mirror": None})
        if entry.mirror:
            made[entry.mirror] = entry.model_copy(update={"mirror": None, **across(name, entry)})
    return made


def _flat(at: tuple[float, float, float]) -> tuple[float, float, float]:
    return (at[0], -at[1], at[2])


def _gussets(plan: Plan, twins: Twins) -> dict[str, GussetEntry]:
    made: dict[str, GussetEntry] = {}
    for name, entry in plan.gussets.items():
        made[name] = entry.model_copy(update={"mirror": False})
        if entry.mirror:
            first, second = (twins.members.get(n, n) for n in entry.between)
            near = entry.near
            if near is not None:
                at = np.array(twins.points[near]) if isinstance(near, str) else np.array(near)
                near = tuple(mirrored(at).tolist())
            made[f"{name}_mirror"] = entry.model_copy(
                update={
                    "mirror": False,
                    "between": (first, second),
                    "near": near,
                    "corner": tuple(across(word) for word in entry.corner),
                }
            )
    return made
