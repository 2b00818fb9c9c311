"""The cage as the page draws it, and what of it a change changes."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from hashlib import blake2b
from typing import Any

import numpy as np

from cagewright.base.cache import Cache
from cagewright.base.vectors import Vector
from cagewright.job.opening import Job
from cagewright.make.gussets import gusset_legs
from cagewright.plan.types import Plan
from cagewright.shape.drafts import Draft, both_ways, drafts_of, twins_of
from cagewright.shape.driver import driver_parts
from cagewright.shape.located import in_plan
from cagewright.shape.places import ground_of
from cagewright.shape.shell import foot_plate
from cagewright.shape.types import Array, Cage, Foot, Gusset, Joint, Member, Plate
from cagewright.workbench.likeness import likenesses
from cagewright.workbench.scene_tubes import direction, drawn, one, places_of, rounded

Scene = dict[str, Any]
"""Plain values, lengths in mm to 0.01."""
_gussets = Cache(3000)
_corners = Cache(3000)


def scene_of(shown: Job | Cage, plan: Plan | None = None, *, number: int = 0) -> Scene:
    """The whole scene.

    Args:
        shown: a job, or a cage with the plan it was resolved from.
        plan: as read; not wanted beside a job.
        number: of the revision in the log.

    Raises:
        ValueError: a cage without its plan.
    """
    if isinstance(shown, Job):
        made = shown.cache.get(("scene", shown.key), lambda: _scene(shown.cage, shown.plan))
    elif plan is None:
        raise ValueError("a cage is drawn from its plan")
    else:
        made = _scene(shown, plan)
    return {"number": number, **made}


def _scene(cage: Cage, plan: Plan) -> Scene:
    keys = likenesses(cage)
    members = _members(cage, plan, keys)
    return {
        "revision": cage.revision,
        "title": cage.title,
        "units": cage.units,
        "box": _box(cage, members),
        "members": members,
        "joints": [_joint(joint) for joint in cage.joints],
        "feet": [_foot(foot) for foot in cage.feet],
        "plates": [_plate(plate) for plate in cage.plates],
        "gussets": [_gusset(cage, gusset, keys) for gusset in cage.gussets],
        "lines": [
            {"name": line.name, "note": line.note, "points": rounded(line.points)} for line in cage.lines
        ],
        "driver": _driver(cage),
        "mounts": _mounts(cage),
        "scan": _scan(plan),
    }


def delta(before: Scene, after: Scene) -> dict[str, Any]:
    """What turns the scene ``before`` into the scene ``after``.

    Returns:
        number and revision; ``members``: those new or changed, whole; ``gone``: names of those no longer
        there; ``order``: names in their new order, only where it is not the old one with the gone left out
        and the new ones last; every other key of the scene only where it is not as before.
    """
    old = {member["name"]: member for member in before["members"]}
    new = {member["name"]: member for member in after["members"]}
    made: dict[str, Any] = {
        "number": after["number"],
        "revision": after["revision"],
        "members": [member for name, member in new.items() if old.get(name) != member],
        "gone": [name for name in old if name not in new],
    }
    kept = [name for name in old if name in new]
    if [*kept, *(name for name in new if name not in old)] != [*new]:
        made["order"] = [*new]
    rest = (key for key in after if key not in made)
    return made | {key: after[key] for key in rest if before.get(key) != after[key]}


def changed(before: Scene, difference: Mapping[str, Any]) -> Scene:
    """The scene after the difference: what the page does with it."""
    members = {m["name"]: m for m in before["members"] if m["name"] not in difference["gone"]}
    members |= {m["name"]: m for m in difference["members"]}
    order = difference.get("order", [*members])
    rest = {key: value for key, value in difference.items() if key not in ("members", "gone", "order")}
    return {**before, **rest, "members": [members[name] for name in order]}


def _members(cage: Cage, plan: Plan, keys: Mapping[str, Hashable]) -> list[dict[str, Any]]:
    twins, ground = twins_of(plan), ground_of(plan, cage)
    drafts = {draft.name: draft for draft in drafts_of(plan, twins, ground.feet, in_plan)[0]}
    points = both_ways({name: entry.mirror for name, entry in plan.points.items() if entry.mirror})

    def whole(member: Member, draft: Draft) -> dict[str, Any]:
        written = plan.members[draft.mirror_of or draft.name]
        return {
            **drawn(member, keys[member.name]),
            "places": places_of(member, written, draft.entry, ground, points),
        }

    return [whole(member, drafts[member.name]) for member in cage.members]


def _box(cage: Cage, members: list[dict[str, Any]]) -> list[list[float]]:
    """Least and greatest (back, across, up) of the tubes' drawn centre lines and the feet."""
    every = np.array(
        [p for member in members for p in member["axis"]] + [rounded(f.point) for f in cage.feet]
    )
    return [rounded(every.min(axis=0)), rounded(every.max(axis=0))]


def _joint(joint: Joint) -> dict[str, Any]:
    return {
        "name": joint.name,
        "branch": joint.branch,
        "which": joint.which,
        "mains": list(joint.mains),
        "point": rounded(joint.point),
    }


def _foot(foot: Foot) -> dict[str, Any]:
    return {
        "name": foot.name,
        "point": rounded(foot.point),
        "normal": direction(foot.normal),
        "corners": _corners.get(
            (foot.point.tobytes(), foot.normal.tobytes(), foot.plate), lambda: rounded(foot_plate(foot))
        ),
        "thickness": one(foot.plate[2]),
        "seat": foot.seat,
        "members": list(foot.members),
        "bolted": foot.bolts is not None,
    }


def _plate(plate: Plate) -> dict[str, Any]:
    return {"name": plate.name, "corners": rounded(plate.corners), "thickness": one(plate.thickness)}


def _gusset(cage: Cage, gusset: Gusset, keys: Mapping[str, Hashable]) -> dict[str, Any]:
    """The corner and the ends of the two legs: the triangle that the sheet fills."""
    said = (gusset.name, gusset.leg, gusset.thickness, gusset.kind, gusset.point.tobytes())
    key = (said, *(keys[name] for name in gusset.between))
    return _gussets.get(key, lambda: _drawn_gusset(cage, gusset))


def _drawn_gusset(cage: Cage, gusset: Gusset) -> dict[str, Any]:
    first, second = gusset_legs(cage, gusset)
    corners: Array = np.array([
        gusset.point,
        gusset.point + gusset.leg * first,
        gusset.point + gusset.leg * second,
    ])
    return {
        "name": gusset.name,
        "between": list(gusset.between),
        "point": rounded(gusset.point),
        "leg": one(gusset.leg),
        "thickness": one(gusset.thickness),
        "kind": gusset.kind,
        "corners": rounded(corners),
    }


def _driver(cage: Cage) -> dict[str, Any] | None:
    if cage.driver is None:
        return None
    parts = driver_parts(cage.driver)
    helmet = next(part for part in parts if part.name == "helmet")
    rest = [part for part in parts if part.name != "helmet"]
    return {
        "helmet": {"centre": rounded(helmet.one), "radius": one(helmet.radius)},
        "body": [
            {"name": p.name, "from": rounded(p.one), "to": rounded(p.two), "radius": one(p.radius)}
            for p in rest
        ],
    }


def _mounts(cage: Cage) -> list[dict[str, Any]]:
    seat = cage.seat.mounts if cage.seat else ()
    belts = [belt.mount for belt in cage.belts.mounts] if cage.belts else []
    made = [(mount, "seat") for mount in seat] + [(mount, "belt") for mount in belts]
    return [
        {"name": mount.name, "point": _point(mount.point), "member": mount.member, "kind": kind}
        for mount, kind in made
    ]


def _point(point: Vector) -> list[float]:
    return rounded(point)


def _scan(plan: Plan) -> dict[str, Any] | None:
    """Which scan stands behind the cage; its mesh is asked for at an address that changes as it moves."""
    entry = plan.shell.scan if plan.shell else None
    if entry is None:
        return None
    places = repr(plan.points) if entry.points else ""
    mark = blake2b(f"{entry.model_dump_json()}{places}".encode(), digest_size=6).hexdigest()
    return {"file": entry.file, "triangles": None, "url": f"scan.bin?{mark}"}
