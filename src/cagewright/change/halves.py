"""Both halves of a tube made in two, and all that rests on it, each on the half that it is at."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from cagewright.base.curves import Chain, nearest
from cagewright.change.before import Before, with_entries
from cagewright.change.both_sides import place_across
from cagewright.plan.people import with_mounts
from cagewright.plan.types import CouplingEntry, GussetEntry, MemberEntry, OnMember, Place, Plan
from cagewright.shape.distance import between
from cagewright.shape.located import Refused


@dataclass(frozen=True, slots=True, kw_only=True)
class Halves:
    """Where a tube is cut in two.

    Attributes:
        entry: of the plan that makes it; the first half keeps its name.
        second: the second half's name.
        twins: by each name of the tube (the mirror's too), the second half's name on that side.
        path: its centre line.
        run: where, mm from its start.
    """

    entry: str
    second: str
    twins: dict[str, str]
    path: Chain
    run: float


def rewritten(before: Before, halves: Halves, landing: OnMember) -> Plan:
    """The plan with both halves ending at the landing, and what rests on the tube on its half.

    Raises:
        ProblemsFound: something that rests on it cannot be placed.
    """
    plan, old = before.plan, before.plan.members[halves.entry]
    first_path, second_path = _paths(before, halves, landing)
    old = old.model_copy(update={"planned": ()})
    first = old.model_copy(
        update={"path": first_path, **_ends_of(old, "end"), "couplings": _couplings(old, halves, first=True)}
    )
    mirror = halves.twins.get(old.mirror) if old.mirror else None
    second = old.model_copy(
        update={
            "path": second_path,
            "mirror": mirror,
            **_ends_of(old, "start"),
            "couplings": _couplings(old, halves, first=False),
        }
    )
    members: dict[str, MemberEntry] = {}
    for name, entry in plan.members.items():
        if name != halves.entry:
            members[name] = _followed_member(before, halves, name, entry)
        elif _mirror_images(plan, old, first_path, second_path):
            members[name] = first.model_copy(update={"mirror": halves.second})
        else:
            members |= {name: first, halves.second: second}
    return _followed(before, halves, with_entries(plan, members=members))


def _mirror_images(plan: Plan, old: MemberEntry, first: tuple[Place, ...], second: tuple[Place, ...]) -> bool:
    """Whether a tube across the car, cut in its middle, is one half and its mirror."""
    if any(said for said in (old.mirror, old.cut, old.welds, old.couplings, old.caps)):
        return False
    try:
        return tuple(place_across(plan, place) for place in first) == tuple(reversed(second))
    except Refused:
        return False


def _paths(before: Before, halves: Halves, landing: OnMember) -> tuple[tuple[Place, ...], tuple[Place, ...]]:
    places = before.plan.members[halves.entry].path
    runs = [nearest(halves.path, before.at(place))[0] for place in places]
    cut = max(1, next((i for i, run in enumerate(runs) if run > halves.run), len(places) - 1))
    return (*places[:cut], landing), (landing, *places[cut:])


def _couplings(old: MemberEntry, halves: Halves, *, first: bool) -> tuple[CouplingEntry, ...]:
    """The couplings that are on that half, each counted from the end that the half keeps."""
    found: list[CouplingEntry] = []
    for coupling in old.couplings:
        size = halves.path.length
        run = coupling.along if coupling.end == "start" else size - coupling.along
        end, along = ("start", run) if first else ("end", size - run)
        if (run < halves.run) == first:
            found.append(coupling.model_copy(update={"end": end, "along": along}))
    return tuple(found)


def _ends_of(old: MemberEntry, lost: str) -> dict[str, Any]:
    """What is said of the old tube's ends, without the one that the half has not."""
    cut = old.cut.model_copy(update={lost: ()}) if old.cut else None
    welds = old.welds.model_copy(update={lost: None}) if old.welds else None
    return {
        "cut": cut if cut and (cut.start or cut.end or cut.either) else None,
        "welds": welds if welds and (welds.start or welds.end) else None,
    }


# --- what rests on it


def _followed(before: Before, halves: Halves, plan: Plan) -> Plan:
    """The plan with plates, mounts, pushes and gussets on the half that they are at."""

    def place(old: Place) -> Place:
        return _on_half(before, halves, old)

    plates: dict[str, Any] = {}
    for name, plate in plan.plates.items():
        plates[name] = plate.model_copy(update={"corners": tuple(place(p) for p in plate.corners)})
    pushes: dict[str, Any] = dict(plan.pushes)
    for name, push in plan.pushes.items():
        if push.at is not None:
            pushes[name] = push.model_copy(update={"at": place(push.at)})
    gussets: dict[str, Any] = {}
    for name, gusset in plan.gussets.items():
        gussets[name] = gusset.model_copy(update={"between": _between(before, halves, gusset)})
    plan = with_entries(plan, plates=plates, pushes=pushes, gussets=gussets)
    return with_mounts(plan, lambda _kind, _name, mount: mount.model_copy(update={"at": place(mount.at)}))


def _followed_member(before: Before, halves: Halves, name: str, entry: MemberEntry) -> MemberEntry:
    path = tuple(_on_half(before, halves, place) for place in entry.path)
    if entry.cut is None:
        return entry.model_copy(update={"path": path})
    first, last = entry.path[0], entry.path[-1]
    ends = {"start": [first], "end": [last], "either": [first, last]}
    cut = {key: tuple(_main_at(before, halves, n, ends[key]) for n in names) for key, names in entry.cut}
    return entry.model_copy(update={"path": path, "cut": entry.cut.model_copy(update=cut)})


def _main_at(before: Before, halves: Halves, name: str, places: list[Place]) -> str:
    """Which half a member that is cut on the tube by that name meets, near one of the places."""
    if name not in halves.twins:
        return name
    line = before.ground.paths.get(name)
    found = [nearest(line, before.at(place)) for place in places] if line else []
    run = min(found, key=lambda item: item[1])[0] if found else 0.0
    return halves.twins[name] if run > halves.run else name


def _on_half(before: Before, halves: Halves, place: Place) -> Place:
    """The place on the half that it is on, its measure counted from that half's start."""
    if not isinstance(place, OnMember) or place.on not in halves.twins:
        return place
    line = before.ground.paths.get(place.on)
    if line is None:
        return place
    run = nearest(line, before.at(place))[0]
    beyond = run > halves.run
    begin, end = (halves.run, line.length) if beyond else (0.0, halves.run)
    update: dict[str, Any] = {"on": halves.twins[place.on] if beyond else place.on}
    if place.along is not None:
        update["along"] = round(run - begin, 3)
    if place.part is not None:
        update["part"] = round((run - begin) / (end - begin), 6)
    return place.model_copy(update=update)


def _between(before: Before, halves: Halves, gusset: GussetEntry) -> tuple[str, str]:
    names = gusset.between
    one, two = (before.ground.paths.get(n) for n in names)
    if not set(names) & set(halves.twins) or one is None or two is None:
        return names
    near = before.ground.points.get(gusset.near) if isinstance(gusset.near, str) else gusset.near
    point = between(one, two).point_a if near is None else np.array(near)

    def half(n: str, line: Chain) -> str:
        return halves.twins[n] if n in halves.twins and nearest(line, point)[0] > halves.run else n

    return half(names[0], one), half(names[1], two)
