"""New tubes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cagewright.base.curves import nearest
from cagewright.base.problems import Problem, ProblemsFound
from cagewright.base.vectors import Vector, length
from cagewright.change.both_sides import place_across
from cagewright.change.named import names_in, told, unknown, with_entries
from cagewright.plan.types import AtCoordinates, AtFoot, MemberEntry, Place, Plan
from cagewright.workbench.edits.asked import Standing
from cagewright.workbench.edits.change import Change
from cagewright.workbench.edits.landing import nearest_place
from cagewright.workbench.edits.names import from_role, other_side
from cagewright.workbench.edits.simple import feet_mirrored
from cagewright.workbench.edits.split import crossings, in_two
from cagewright.workbench.edits.tubes import radius_of, usual_tube
from cagewright.workbench.edits.vocabulary import Add
from cagewright.workbench.told import listed, tube_words

REACH = 5.0
"""A picked end lands on a tube whose outside it is no further from than this, or on a foot, mm."""
MOST_PLACES = 40
MOST_CUTS = 20


def added(stand: Standing, asked: Add) -> Change:
    """The plan with the new tube last, so that it is cut on those it lands on.

    Raises:
        ProblemsFound: its name is taken, its tube or a place is not known, or it has too few places.
    """
    where = stand.where(("members",))
    taken = names_in(stand.plan.members)
    wrong = [*_wrong_tube(stand, asked), *_wrong_path(stand, asked)]
    if asked.name in taken:
        found = f"the plan's members have a '{asked.name}' already"
        wrong += told("name-taken", where, found, "wanted a name of its own")
    if wrong:
        raise ProblemsFound(wrong)
    path = _landed(stand, asked)
    tube = asked.tube or usual_tube(stand.plan, asked.role) or ""
    name = asked.name or from_role(asked.role, _middle(stand, path), mirrored=asked.mirror, taken=taken)
    copy = other_side(name, [*taken, name]) if asked.mirror else None
    entry = MemberEntry.model_construct(role=asked.role, tube=tube, path=path, mirror=copy, note=asked.note)
    plan = with_entries(stand.plan, members={**stand.plan.members, name: entry})
    plan = feet_mirrored(plan, name) if copy else plan
    words = f"added {name}{f' and {copy}' if copy else ''}: {asked.role}, "
    words += tube_words(plan.tubes[tube], plan.units)
    return _cut_through(stand, plan, name, words) if asked.in_two else Change(plan=plan, words=words)


def _wrong_tube(stand: Standing, asked: Add) -> list[Problem]:
    tubes = stand.plan.tubes
    if asked.tube is not None and asked.tube not in tubes:
        return [unknown("tube", asked.tube, tubes, stand.where(("tubes",)))]
    return [] if tubes else told("no-tube", stand.where(), "the plan has no tubes", "wanted one under tubes:")


def _wrong_path(stand: Standing, asked: Add) -> list[Problem]:
    if 2 <= len(asked.path) <= MOST_PLACES:
        return []
    found = f"the new tube has {len(asked.path)} place{'s' * (len(asked.path) != 1)}"
    return told("short-path", stand.where(("members",)), found, f"wanted 2 to {MOST_PLACES}")


# --- where its ends land


def _landed(stand: Standing, asked: Add) -> tuple[Place, ...]:
    """The path with the places that are on something said to be on it."""
    onto = dict(asked.onto)
    places = [_onto(stand, onto[i], p) if i in onto else p for i, p in enumerate(asked.path)]
    last = len(places) - 1
    ends = {0, last} - onto.keys()
    return tuple(_picked_up(stand, place) if i in ends else place for i, place in enumerate(places))


def _onto(stand: Standing, on: str, place: Place) -> Place:
    where = stand.where(("members",))
    if on not in stand.ground.paths:
        raise ProblemsFound([unknown("member", on, stand.ground.paths, where)])
    at = place.at if isinstance(place, AtCoordinates) else (0.0, 0.0, 0.0)
    found = nearest_place(on, np.array(at), stand.ground)
    if found is None:
        said = f"there are no words for that place on '{on}'"
        raise ProblemsFound(told("no-such-place", where, said, "wanted another place"))
    return found


def _picked_up(stand: Standing, place: Place) -> Place:
    """The place as a place on the foot or the tube that it lies in; itself where it lies in none."""
    if not isinstance(place, AtCoordinates):
        return place
    at = np.array(place.at)
    foot = next((f for f in stand.ground.feet.values() if float(length(f.point - at)) <= REACH), None)
    if foot is not None:
        return AtFoot.model_construct(foot=foot.name)
    on = _tube_at(stand, at)
    return place if on is None else nearest_place(on, at, stand.ground) or place


def _tube_at(stand: Standing, at: Vector) -> str | None:
    """The member whose middle line is nearest of those that the point lies in or close to."""
    away = [
        (nearest(path, at)[1], name) for name, path in stand.ground.paths.items() if path is not None
    ]  # fmt: skip
    return next((n for far, n in sorted(away) if far <= radius_of(stand.plan, n) + REACH), None)


def _middle(stand: Standing, path: tuple[Place, ...]) -> float:
    """Across of the middle of its places, as far as they are known, mm."""
    found: list[float] = []
    for place in path:
        try:
            found.append(float(stand.at(place)[1]))
        except ProblemsFound:  # the plan's reader will say what is wrong with it
            continue
    return sum(found) / len(found) if found else 0.0


# --- through others


def _cut_through(stand: Standing, plan: Plan, name: str, words: str) -> Change:
    """The plan with the new tube made in two at each tube that it runs through.

    Where it runs through its own mirror, the two are written apart, and the mirror is cut on it.

    Raises:
        ProblemsFound: it is bent where it runs through another.
    """
    copy = plan.members[name].mirror
    crossed = copy is not None and copy in crossings(replace(stand, plan=plan, cage=None), name)
    if copy is not None and crossed:
        plan = _apart(plan, name, copy)
    # the mirror's parts first: once they are cut on it, it no longer runs through them
    parts, cut_on = [name, *([copy] if copy is not None and crossed else [])], dict[str, None]()
    most = len(plan.members) + MOST_CUTS
    while parts and len(plan.members) < most:
        part = parts.pop()
        now = replace(stand, plan=plan, cage=None)
        on = next(iter(crossings(now, part)), None)
        if on is not None:
            plan, second = in_two(now, part, along=None, on=on, name=None)
            cut_on[on] = None
            parts += [part, second]
    return Change(plan=plan, words=f"{words}, cut on {listed([*cut_on])}" if cut_on else words)


def _apart(plan: Plan, name: str, copy: str) -> Plan:
    """The plan with the tube and its mirror as two entries, each by itself."""
    entry = plan.members[name].model_copy(update={"mirror": None})
    path = tuple(place_across(plan, place) for place in entry.path)
    members = {**plan.members, name: entry, copy: entry.model_copy(update={"path": path})}
    return with_entries(plan, members=members)
