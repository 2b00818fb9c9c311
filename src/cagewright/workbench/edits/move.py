"""Places of members, named points and feet put somewhere else."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from cagewright.base.problems import ProblemsFound, Where
from cagewright.base.vectors import Vector, mirrored
from cagewright.change.both_sides import place_across
from cagewright.change.move import foot_at
from cagewright.change.named import known_owner, owner, told
from cagewright.plan.alternatives import MoveChange
from cagewright.plan.names import references
from cagewright.plan.places import AtCoordinates, AtFoot, AtPoint, OnMember, Place
from cagewright.plan.types import Plan
from cagewright.shape.drafts import points_of
from cagewright.shape.located import Refused
from cagewright.workbench.edits.asked import Standing, on_the_tape
from cagewright.workbench.edits.change import Change, after_change, member_entry, where_member
from cagewright.workbench.edits.landing import measure_of, nearest_place
from cagewright.workbench.edits.vocabulary import Move, MoveFoot, MovePoint, OwnSpot, Spot
from cagewright.workbench.told import listed, place_words, step_words

AXES = ("back", "across", "up")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Picked:
    """The place that is moved, as on the side that the edit names.

    Attributes:
        name: the member's.
        entry: of the plan that makes it.
        index: of the place.
        words: the place as the builder says it.
        place: on the named side.
        where: its entry.
    """

    name: str
    entry: str
    index: int
    words: str
    place: Place
    where: Where


def moved(stand: Standing, asked: Move) -> Change:
    """The plan with the place moved.

    Raises:
        ProblemsFound: there is no such place, or it cannot move that way.
    """
    picked = _picked(stand, asked)
    place = picked.place
    if asked.to is not None:
        return Change(plan=_changed(stand, asked, picked, asked.to), words=_sits_words(picked, asked.to))
    if isinstance(place, AtFoot):
        return _foot_of(stand, asked, picked, place)
    if isinstance(place, OnMember):
        return _along_member(stand, asked, picked, place)
    _no_measure(asked, picked)
    written = stand.plan.members[picked.entry].path[picked.index]
    if isinstance(written, AtPoint) and not asked.leave_point:
        return _point_under(stand, asked, picked, written)
    now = stand.at(place)
    at = target(asked, now, stand, picked.where)
    to = AtCoordinates.model_construct(at=at, clr=place.clr)
    plan = _changed(stand, asked, picked, to)
    return Change(plan=plan, words=f"{picked.words} {step_words(now, at, stand.plan.units)}")


def _sits_words(picked: _Picked, to: Place) -> str:
    if isinstance(to, OnMember):
        return f"{picked.words} put on {to.on}"
    if isinstance(to, AtFoot):
        return f"{picked.words} put on foot {to.foot}"
    if isinstance(to, AtPoint):
        return f"{picked.words} put at point {to.point}"
    return f"{picked.words} set free"


def _picked(stand: Standing, asked: Move) -> _Picked:
    entry = member_entry(stand, asked.member)
    where = where_member(stand, asked.member)
    path = stand.plan.members[entry].path
    ends = {"start": 0, "end": len(path) - 1}
    index = ends[asked.place] if isinstance(asked.place, str) else asked.place
    if index >= len(path):
        found = f"'{asked.member}' has {len(path)} places, not {index + 1}"
        raise ProblemsFound(told("no-such-place", where, found, f"wanted place 0 to {len(path) - 1}"))
    place = path[index]
    try:
        own = place if entry == asked.member else place_across(stand.plan, place)
    except Refused as wrong:
        raise ProblemsFound([wrong.problem]) from None
    words = f"{asked.member}: {place_words(index, len(path))}"
    return _Picked(name=asked.member, entry=entry, index=index, words=words, place=own, where=where)


def _changed(stand: Standing, asked: Spot, picked: _Picked, to: Place) -> Plan:
    what = MoveChange.model_construct(
        members=(picked.name,), places=(picked.index,), to=to, one_side=asked.one_side
    )
    return after_change(stand, what, picked.where)


def _no_measure(asked: Move, picked: _Picked) -> None:
    if asked.along is not None or asked.part is not None:
        found = f"{picked.words} is on no member"
        raise ProblemsFound(told("on-no-member", picked.where, found, "wanted at, by, up, back or across"))


def target(asked: Spot, now: Vector, stand: Standing, where: Where) -> tuple[float, float, float]:
    """Where it goes (back, across, up), mm.

    Raises:
        ProblemsFound: the edit does not say, or says it twice.
    """
    given: list[float | None] = [getattr(asked, axis) for axis in AXES]
    ways = [asked.at is not None, asked.by is not None, any(g is not None for g in given)]
    if sum(ways) != 1:
        found = "it does not say where to" if not any(ways) else "it says where to in two ways"
        raise ProblemsFound(told("where-to", where, found, "wanted at, by, or some of back, across and up"))
    if asked.at is not None:
        x, y, z = on_the_tape(asked.at, stand.plan.units)
    elif asked.by is not None:
        x, y, z = (float(a) + b for a, b in zip(now, asked.by, strict=True))
    else:
        x, y, z = (float(a) if g is None else g for a, g in zip(now, given, strict=True))
    return x, y, z


# --- on a member


def _along_member(stand: Standing, asked: Move, picked: _Picked, place: OnMember) -> Change:
    to = _slid(stand, asked, picked, place)
    plan = _changed(stand, asked, picked, to)
    return Change(plan=plan, words=f"{picked.words} {_slid_words(stand, place, to)}")


def _slid(stand: Standing, asked: Move, picked: _Picked, place: OnMember) -> OnMember:
    given: dict[str, Any] = {key: getattr(asked, key) for key in (*AXES, "along", "part")}
    said = {key: value for key, value in given.items() if value is not None}
    if asked.at is None and asked.by is None and len(said) == 1:
        bare: dict[str, Any] = dict.fromkeys(given)
        here = "left" if stand.at(place)[1] < 0.0 else "right"
        return _on_its_side(stand, place.model_copy(update={**bare, **said}), here)
    if asked.along is not None or asked.part is not None:
        raise ProblemsFound(
            told("where-to", picked.where, "it says where to in two ways", "wanted one of them")
        )
    at = target(asked, stand.at(place), stand, picked.where)
    to = nearest_place(place.on, np.array(at), stand.ground, place)
    if to is None:
        found = f"there are no words for that place on '{place.on}'"
        raise ProblemsFound(told("no-such-place", picked.where, found, "wanted another place"))
    return to


def _on_its_side(stand: Standing, place: OnMember, here: str) -> OnMember:
    """The place as it is said, or with no side, the one it was on, or the other, where there is none such."""
    for side in (place.side, None, here, "right" if here == "left" else "left"):
        there = place.model_copy(update={"side": side})
        try:
            stand.at(there)
        except ProblemsFound:
            continue
        return there
    return place


def _slid_words(stand: Standing, was: OnMember, now: OnMember) -> str:
    units = stand.plan.units
    one, two = measure_of(was), measure_of(now)
    if one == two and one in AXES:
        axis = AXES.index(one)
        step = [np.zeros(3), np.zeros(3)]
        step[0][axis], step[1][axis] = getattr(was, one), getattr(now, two)
        return step_words(step[0], step[1], units)
    try:
        return step_words(stand.at(was), stand.at(now), units)
    except ProblemsFound:  # there is no such place, as the reader of the plan will say
        return f"moved along {now.on}"


# --- what stands on points and feet


def _point_under(stand: Standing, asked: Move, picked: _Picked, written: AtPoint) -> Change:
    """The named point moves by as much as the place is asked to, on the side that its name is of."""
    now = stand.at(picked.place)
    at = np.array(target(asked, now, stand, picked.where))
    own = at if picked.entry == picked.name else mirrored(at)
    x, y, z = (own - np.array(written.offset)).tolist()
    made = MovePoint.model_construct(point=written.point, back=x, across=y, up=z, one_side=asked.one_side)
    change = moved_point(stand, made)
    words = f"{picked.words} {step_words(now, at, stand.plan.units)} with point {written.point}"
    return Change(plan=change.plan, words=words + _along_with(stand, written.point, but=picked.entry))


def moved_point(stand: Standing, asked: MovePoint) -> Change:
    """The plan with the named point moved, and with it all that refers to it.

    Raises:
        ProblemsFound: there is no such point.
    """
    where = stand.where(("points",))
    entry = known_owner(stand.plan.points, asked.point, "point", where)
    where = stand.where(("points", entry))
    now = points_of(stand.plan)[asked.point]
    at = target(asked, now, stand, where)
    to = AtCoordinates.model_construct(at=at)
    what = MoveChange.model_construct(point=asked.point, to=to, one_side=asked.one_side)
    words = f"point {asked.point} {step_words(now, at, stand.plan.units)}"
    plan = after_change(stand, what, where)
    return Change(plan=plan, words=words + _along_with(stand, asked.point, but=None))


def _along_with(stand: Standing, point: str, *, but: str | None) -> str:
    """What else stands on the point or its mirror, in words."""
    entry = owner(stand.plan.points, point) or point
    names = {entry, stand.plan.points[entry].mirror} if entry in stand.plan.points else {point}
    users = dict.fromkeys(
        str(keys[1]) for keys, kind, name in references(stand.plan)
        if kind == "point" and name in names and keys[0] in ("members", "feet", "plates") and keys[1] != but
    )  # fmt: skip
    return f", and with it {listed([*users])}" if users else ""


def _foot_of(stand: Standing, asked: Move, picked: _Picked, place: AtFoot) -> Change:
    _no_measure(asked, picked)
    what = {key: getattr(asked, key) for key in OwnSpot.model_fields}
    change = moved_foot(stand, MoveFoot.model_construct(foot=place.foot, **what))
    return Change(plan=change.plan, words=f"{picked.words}, {change.words}")


def moved_foot(stand: Standing, asked: MoveFoot) -> Change:
    """The plan with the foot moved: by its named point where it stands on one.

    Raises:
        ProblemsFound: there is no such foot.
    """
    entry_name = known_owner(stand.plan.feet, asked.foot, "foot", stand.where(("feet",)))
    where = stand.where(("feet", entry_name))
    entry = stand.plan.feet[entry_name]
    own = np.array(foot_at(stand.plan, entry))
    across = asked.foot != entry_name
    now = mirrored(own) if across else own
    at = target(asked, now, stand, where)
    words = f"foot {asked.foot} {step_words(now, at, stand.plan.units)}"
    if isinstance(entry.at, str | AtPoint) and not asked.leave_point:
        spot_of = AtPoint.model_construct(point=entry.at) if isinstance(entry.at, str) else entry.at
        there = mirrored(np.array(at)) if across else np.array(at)
        x, y, z = (there - np.array(spot_of.offset)).tolist()
        one_side = asked.one_side
        made = MovePoint.model_construct(point=spot_of.point, back=x, across=y, up=z, one_side=one_side)
        words += f" with point {spot_of.point}" + _along_with(stand, spot_of.point, but=entry_name)
        return Change(plan=moved_point(stand, made).plan, words=words)
    to = AtCoordinates.model_construct(at=at)
    what = MoveChange.model_construct(foot=asked.foot, to=to, one_side=asked.one_side)
    return Change(plan=after_change(stand, what, where), words=words)
