"""The cage as the page draws it, and what of it a change changes."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import replace
from hashlib import blake2b

import numpy as np

from cagewright.base.cache import Cache
from cagewright.job.history.open_plan import PlanMoment
from cagewright.job.opening import Job
from cagewright.job.scene.likeness import likenesses
from cagewright.job.scene.member import all_rounded, direction, drawn, one, places_of, rounded
from cagewright.job.scene.types import (
    Delta,
    Scene,
    SceneBall,
    SceneCoupling,
    SceneFoot,
    SceneGusset,
    SceneJoint,
    SceneLimb,
    SceneLine,
    SceneMember,
    SceneMount,
    ScenePerson,
    ScenePlate,
    SceneScan,
    Vec3,
)
from cagewright.plan.types import PersonEntry, Plan
from cagewright.shape.coupling_parts import coupling_faces
from cagewright.shape.drafts import Draft, both_ways, drafts_of, twins_of
from cagewright.shape.feet import foot_faces, foot_plate
from cagewright.shape.gussets import gusset_shape
from cagewright.shape.located import in_plan
from cagewright.shape.part_types import Coupling
from cagewright.shape.places import ground_of
from cagewright.shape.seated import seated_parts
from cagewright.shape.types import Cage, Foot, Gusset, Member, mounts_of
from cagewright.stock.folding import fold_of

_gussets = Cache(3000)
_corners = Cache(3000)
PARTS = (
    "title",
    "units",
    "box",
    "joints",
    "feet",
    "plates",
    "gussets",
    "couplings",
    "lines",
    "people",
    "mounts",
    "scan",
)
"""What of a scene a change sends whole, where it is not as before."""


def scene_of(job: Job, *, number: int = 0, stale: bool = False) -> Scene:
    """The whole scene.

    Args:
        job: what is drawn.
        number: of the revision in the log.
        stale: the plan's text has problems, and the job is what it made before them.
    """
    made: Scene = job.cache.get(("scene", job.key), lambda: drawn_scene(job.cage, job.plan))
    return made if (number, stale) == (made.number, made.stale) else replace(made, number=number, stale=stale)


def nothing_to_draw(moment: PlanMoment) -> Scene:
    """The scene of a plan that never could be built."""
    units = moment.document.source.units
    return Scene(number=moment.number, revision=None, title="", units=units, stale=True)


def drawn_scene(cage: Cage, plan: Plan) -> Scene:
    """The scene of a cage and the plan it was resolved from."""
    keys = likenesses(cage)
    members = _members(cage, plan, keys)
    return Scene(
        number=0,
        revision=cage.revision,
        title=cage.title,
        units=cage.units,
        box=_box(cage, members),
        members=members,
        joints=tuple(
            SceneJoint(name=j.name, branch=j.branch, which=j.which, mains=j.mains, point=rounded(j.point))
            for j in cage.joints
        ),
        feet=tuple(_foot(foot) for foot in cage.feet),
        plates=tuple(
            ScenePlate(name=p.name, corners=all_rounded(p.corners), thickness=one(p.thickness))
            for p in cage.plates
        ),
        gussets=tuple(_gusset(cage, gusset, keys) for gusset in cage.gussets),
        couplings=tuple(_coupling(m.name, c) for m in cage.members for c in m.couplings),
        lines=tuple(
            SceneLine(name=line.name, note=line.note, points=all_rounded(line.points)) for line in cage.lines
        ),
        people=tuple(_person(p.name, p.body) for p in cage.people if p.body),
        mounts=_mounts(cage),
        scan=_scan(plan),
    )


def delta(before: Scene, after: Scene) -> Delta:
    """What turns the scene ``before`` into the scene ``after``."""
    old = {member.name: member for member in before.members}
    new = {member.name: member for member in after.members}
    kept = [name for name in old if name in new]
    as_sent = [*kept, *(name for name in new if name not in old)] == [*new]
    return Delta(
        number=after.number,
        revision=after.revision,
        members=tuple(member for name, member in new.items() if old.get(name) != member),
        gone=tuple(name for name in old if name not in new),
        order=None if as_sent else tuple(new),
        rest={key: getattr(after, key) for key in PARTS if getattr(before, key) != getattr(after, key)},
    )


def _members(cage: Cage, plan: Plan, keys: Mapping[str, Hashable]) -> tuple[SceneMember, ...]:
    twins, ground = twins_of(plan), ground_of(plan, cage)
    drafts = {draft.name: draft for draft in drafts_of(plan, twins, ground.feet, in_plan)[0]}
    points = both_ways({name: entry.mirror for name, entry in plan.points.items() if entry.mirror})

    def whole(member: Member, draft: Draft) -> SceneMember:
        written = plan.members[draft.mirror_of or draft.name]
        places = places_of(member, written, draft.entry, ground, points)
        return SceneMember(places=places, **drawn(member, keys[member.name]))

    return tuple(whole(member, drafts[member.name]) for member in cage.members)


def _box(cage: Cage, members: tuple[SceneMember, ...]) -> tuple[Vec3, Vec3]:
    """Least and greatest (back, across, up) of the tubes' drawn centre lines and the feet."""
    every = np.array([p for member in members for p in member.axis] + [rounded(f.point) for f in cage.feet])
    return rounded(every.min(axis=0)), rounded(every.max(axis=0))


def _foot(foot: Foot) -> SceneFoot:
    return SceneFoot(
        name=foot.name,
        point=rounded(foot.point),
        normal=direction(foot.normal),
        corners=_corners.get(
            (foot.point.tobytes(), foot.normal.tobytes(), foot.plate), lambda: all_rounded(foot_plate(foot))
        ),
        faces=tuple(all_rounded(face) for face in foot_faces(foot)),
        plate=(one(foot.plate[0]), one(foot.plate[1]), one(foot.plate[2])),
        thickness=one(foot.plate[2]),
        seat=foot.seat,
        members=foot.members,
        bolted=foot.bolts is not None,
    )


def _gusset(cage: Cage, gusset: Gusset, keys: Mapping[str, Hashable]) -> SceneGusset:
    said = (gusset.name, gusset.leg, gusset.thickness, gusset.kind, gusset.point.tobytes(),
            *(way.tobytes() for way in gusset.corner))  # fmt: skip
    key = (said, *(keys[name] for name in gusset.between))
    return _gussets.get(key, lambda: _drawn_gusset(cage, gusset))


def _drawn_gusset(cage: Cage, gusset: Gusset) -> SceneGusset:
    first, *others = gusset_shape(cage, gusset, fold_of(gusset.thickness, ())).faces
    return SceneGusset(
        name=gusset.name,
        between=gusset.between,
        point=rounded(gusset.point),
        leg=one(gusset.leg),
        thickness=one(gusset.thickness),
        kind=gusset.kind,
        corners=all_rounded(first),
        faces=tuple(all_rounded(face) for face in others),
    )


def _coupling(member: str, c: Coupling) -> SceneCoupling:
    return SceneCoupling(
        name=c.name, member=member, kind=c.kind, point=rounded(c.point),
        faces=tuple((all_rounded(face), one(thick)) for face, thick in coupling_faces(c)),
    )  # fmt: skip


def _person(name: str, body: PersonEntry) -> ScenePerson:
    helmet, *rest = seated_parts(body)
    return ScenePerson(
        name=name,
        helmet=SceneBall(centre=rounded(helmet.one), radius=one(helmet.radius)),
        body=tuple(
            SceneLimb(name=p.name, start=rounded(p.one), stop=rounded(p.two), radius=one(p.radius))
            for p in rest
        ),
    )


def _mounts(cage: Cage) -> tuple[SceneMount, ...]:
    return tuple(
        SceneMount(name=mount.name, point=rounded(mount.point), member=mount.member, kind=kind)
        for mount, kind in mounts_of(cage)
    )


def _scan(plan: Plan) -> SceneScan | None:
    entry = plan.shell.scan if plan.shell else None
    if entry is None:
        return None
    places = repr(plan.points) if entry.points else ""
    mark = blake2b(f"{entry.model_dump_json()}{places}".encode(), digest_size=6).hexdigest()
    return SceneScan(file=entry.file, triangles=None, url=f"scan.bin?{mark}")
