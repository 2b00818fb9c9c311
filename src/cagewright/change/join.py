"""Two tubes end to end made one, and which of two that cross stays whole."""

from __future__ import annotations

from itertools import product
from typing import Any

import numpy as np

from cagewright.base.curves import Chain, point_at, tangent_at
from cagewright.base.names import shown
from cagewright.base.problems import ProblemsFound
from cagewright.base.vectors import Vector, dot
from cagewright.base.vectors import length as size
from cagewright.change.before import Altered, Before, other_name, radius_of, told, with_entries, with_value
from cagewright.change.both_sides import place_across
from cagewright.change.landing import nearest_place
from cagewright.change.split import in_two
from cagewright.plan.changes import JoinChange, SwapChange
from cagewright.plan.names import places, references
from cagewright.plan.types import AtCoordinates, CouplingEntry, MemberEntry, OnMember, Place, Plan, Which

IN_LINE = 0.9994
"""Two tubes run on in one line where the cosine between them is no less: within 2 degrees."""
APART = 1.5
"""Two halves that end on one tube end no further from one another than this, in radii of all of them."""
OTHER: dict[Which, Which] = {"start": "end", "end": "start"}


def joined(before: Before, change: JoinChange) -> Altered:
    """The plan with both tubes as one under the first's name, straight on or bent where they met.

    Raises:
        ProblemsFound: one is not known, they are of two kinds, or their ends do not meet.
    """
    plan = in_one(before, *change.names)
    return Altered(plan=plan, words=f"{shown(change.names[0])} and {shown(change.names[1])}: made one")


def swapped(before: Before, change: SwapChange) -> Altered:
    """The plan with the tube that runs through in two, and the one that ended on it from both sides whole.

    Raises:
        ProblemsFound: no tube ends on it from both sides there.
    """
    whole, half = change.name, change.half
    before.path(whole)
    other = _other_half(before, whole, half)
    plan = in_one(before, half, other)
    entry, on = before.member(whole, "name"), half if half in plan.members else other
    if on not in plan.members:  # both were named on the mirror's side
        on = before.member(half, "half")
    on = on if entry == whole else (other_name(plan.members, on) or on)
    plan, second = in_two(before.on(plan), entry, on=on)
    words = f"{shown(on)} whole, {shown(whole)} in two on it: {shown(entry)} and {shown(second)}"
    return Altered(plan=plan, words=words)


def _other_half(before: Before, whole: str, half: str) -> str:
    """The tube that ends on the same one from the other side.

    Raises:
        ProblemsFound: there is none.
    """
    room = APART * (radius_of(before.plan, whole) + radius_of(before.plan, half))
    for name, line in before.ground.paths.items():
        if line is None or name in (whole, half):
            continue
        if any(gap <= room and straight for gap, straight, _, _ in _meetings(before.path(half), line)):
            return name
    found = f"no tube goes on from '{half}' on the other side of '{whole}'"
    raise ProblemsFound(told("no-crossing", before.where(("half",)), found, "wanted two halves in one line"))


def _meetings(one: Chain, two: Chain) -> list[tuple[float, bool, Which, Which]]:
    """For each end of the one and of the other: how far apart, whether in line, and which ends."""
    found: list[tuple[float, bool, Which, Which]] = []
    for a, b in product(OTHER, OTHER):
        (p, out), (q, away) = _tip(one, a), _tip(two, b)
        found.append((float(size(p - q)), float(dot(out, away)) < -IN_LINE, a, b))
    return sorted(found)


def _tip(line: Chain, which: Which) -> tuple[Vector, Vector]:
    """The end's point (3,), and the way (3,) out of the tube there."""
    run = 0.0 if which == "start" else line.length
    out = tangent_at(line, run)
    return point_at(line, run), -out if which == "start" else out


# --- one of two


def in_one(before: Before, first: str, second: str) -> Plan:
    """The plan with both as one tube; all that rested on either rests on it where it was.

    Raises:
        ProblemsFound: one is not known, they are of two kinds, or their ends do not meet.
    """
    plan = before.plan
    entry, other = before.member(first, "names", 0), before.member(second, "names", 1)
    gap, straight, a, b = _meetings(before.path(first), before.path(second))[0]
    if gap > 2.0 * APART * radius_of(plan, first):
        found = f"no end of '{first}' meets an end of '{second}'"
        raise ProblemsFound(
            told("not-end-to-end", before.where(("names",)), found, "wanted two ends together")
        )
    one, two = plan.members[entry], plan.members[other]
    own = entry == other
    if one.tube != two.tube or (not own and bool(one.mirror) != bool(two.mirror)):
        found = f"'{first}' and '{second}' are not alike"
        wanted = "wanted one tube, both with a mirror or both without"
        raise ProblemsFound(told("not-end-to-end", before.where(("names",)), found, wanted))
    lines = [_along(plan, one.path, a), _along(plan, two.path, b, across=own and second != entry)[::-1]]
    corner: list[Place] = [] if straight else [_corner(before, one, a)]
    path = (*lines[0][:-1], *corner, *lines[1][1:])
    made = one.model_copy(
        update={
            "path": path if a == "end" else path[::-1],
            "planned": (),
            **_ends(one, two, a, b),
            "couplings": (
                *_couplings(one, OTHER[a], before.path(first).length, OTHER[a]),
                *_couplings(two, OTHER[b], before.path(second).length, a),
            ),
        }
    )
    twins = {other: entry} | ({two.mirror: one.mirror} if two.mirror and one.mirror else {})
    if own:
        made, twins = made.model_copy(update={"mirror": None}), {str(one.mirror): entry}
    return _followed(before, made, entry, twins)


def _along(plan: Plan, path: tuple[Place, ...], end: Which, *, across: bool = False) -> tuple[Place, ...]:
    """The path towards the end that meets the other tube."""
    path = tuple(place_across(plan, place) for place in path) if across else path
    return path if end == "end" else path[::-1]


def _corner(before: Before, one: MemberEntry, end: Which) -> Place:
    at = before.at(one.path[0 if end == "start" else -1])
    return AtCoordinates.model_construct(at=tuple(at.tolist()), clr=None)


def _ends(one: MemberEntry, two: MemberEntry, a: Which, b: Which) -> dict[str, Any]:
    """What is said of the two ends that are left."""
    said: dict[str, Any] = {}
    for key, nothing in (("cut", ()), ("welds", None), ("caps", None)):
        mine, theirs = getattr(one, key), getattr(two, key)
        ends = {
            OTHER[a]: getattr(mine, OTHER[a]) if mine else nothing,
            a: getattr(theirs, OTHER[b]) if theirs else nothing,
        }
        base = mine or theirs
        said[key] = base.model_copy(update=ends) if base and any(ends.values()) else None
    return said


def _couplings(entry: MemberEntry, kept: Which, size: float, end: Which) -> tuple[CouplingEntry, ...]:
    """A tube's couplings, counted from the end it keeps, which is that ``end`` of the joined tube."""
    alongs = (c.along if c.end == kept else size - c.along for c in entry.couplings)
    each = zip(entry.couplings, alongs, strict=True)
    return tuple(c.model_copy(update={"along": along, "end": end}) for c, along in each)


def _followed(before: Before, made: MemberEntry, entry: str, twins: dict[str, str]) -> Plan:
    """The plan with the tube in the entry's place, and what rested on either rests on it.

    Raises:
        ProblemsFound: the plan has no words for where something rests on it.
    """
    plan = before.plan
    names = {**twins, **{kept: kept for kept in twins.values()}}
    rested = [(k, p, before.at(p)) for k, p in places(plan) if isinstance(p, OnMember) and p.on in names]
    for keys, kind, name in references(plan):
        if kind == "member" and name in twins:
            plan = with_value(plan, keys, twins[name])
    gone = {name for name in twins if name in plan.members and name != entry}
    members = {n: made if n == entry else m for n, m in plan.members.items() if n not in gone}
    plan = with_entries(plan, members=members)
    ground = before.on(plan).ground
    for keys, place, point in rested:
        if keys[0] == "members" and (keys[1] == entry or keys[1] in gone):
            continue
        like = place.model_copy(update={"on": names[place.on]})
        to = nearest_place(names[place.on], np.array(point), ground, like)
        if to is None:
            said = f"there are no words for a place on '{names[place.on]}'"
            raise ProblemsFound(told("no-such-place", before.where(()), said, "wanted it moved first"))
        plan = with_value(plan, keys, to)
    return plan
