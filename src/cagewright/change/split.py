"""A tube made in two where another runs through it; all that rests on it follows the half it is on."""

from __future__ import annotations

from typing import Any

from cagewright.base.curves import Arc, Chain, nearest, piece_at, point_at
from cagewright.base.names import listed, shown
from cagewright.base.problems import ProblemsFound
from cagewright.base.say import say_length
from cagewright.change.before import (
    SIDES,
    Altered,
    Before,
    names_in,
    other_name,
    other_side,
    owner,
    radius_of,
    taken,
    told,
    unknown,
    with_entries,
)
from cagewright.change.both_sides import place_across
from cagewright.change.halves import Halves, rewritten
from cagewright.change.landing import nearest_place
from cagewright.change.remove import resting
from cagewright.plan.changes import SplitChange
from cagewright.plan.types import OnMember, Plan
from cagewright.shape.distance import between

MOST_CUTS = 20


def split(before: Before, change: SplitChange) -> Altered:
    """The plan with the tube in two.

    Raises:
        ProblemsFound: nothing runs through it there that can carry both halves, or it is bent there.
    """
    entry = before.member(change.name, "name")
    on = change.on
    if on is not None and entry != change.name:  # said on the mirror's side
        on = other_name(before.plan.members, on) or on
    plan, second = in_two(before, entry, along=change.along, on=on, name=change.second)
    return Altered(plan=plan, words=f"{shown(change.name)}: made in two, {listed([entry, second])}")


def in_two(
    before: Before, entry: str, *, along: float | None = None, on: str | None = None, name: str | None = None
) -> tuple[Plan, str]:
    """The plan with that entry's tube in two, and the second half's name.

    Args:
        before: the plan.
        entry: of the plan, whose name the first half keeps.
        along: where, mm from its start; or None.
        on: the tube that runs through it; found at ``along`` where None.
        name: of the second half; made from the entry's where None.

    Raises:
        ProblemsFound: see ``split``.
    """
    plan, path = before.plan, before.path(entry)
    run, main = _through(before, entry, path, on) if on else _through_at(before, entry, path, along or 0.0)
    landing = _landing(before, entry, main, path, run)
    names = names_in(plan.members)
    second = name or _second_half(entry, names)
    if second in names:
        raise ProblemsFound([taken("members", second, before.where(("second",)))])
    mirror = plan.members[entry].mirror
    twins = {entry: second} | ({mirror: other_side(second, [*names, second])} if mirror else {})
    halves = Halves(entry=entry, second=second, twins=twins, path=path, run=run)
    return rewritten(before, halves, landing), second


def _second_half(name: str, names: list[str]) -> str:
    """The name of the second half of a tube made in two: a number behind, before the word for its side."""
    parts = name.split("_")
    side = [parts.pop()] if len(parts) > 1 and parts[-1] in SIDES else []
    if len(parts) > 1 and parts[-1].isdigit():
        parts.pop()
    base = "_".join(parts)[:50]
    made = ("_".join([base, str(n), *side]) for n in range(2, 10_000))
    return next(word for word in made if word not in names)


def _through(before: Before, entry: str, path: Chain, on: str) -> tuple[float, str]:
    """Where the tube that carries both halves runs through, mm from the start, and its name.

    Raises:
        ProblemsFound: it does not run through.
    """
    where = before.where(("on",))
    if on not in before.ground.paths or on == entry:
        raise ProblemsFound([unknown("member", on, [n for n in before.ground.paths if n != entry], where)])
    met = between(path, before.path(on))
    if met.distance > _room(before.plan, entry, on):
        found = f"'{on}' passes '{entry}' {say_length(met.distance, before.units)} away"
        raise ProblemsFound(told("no-crossing", where, found, "wanted a tube that runs through it"))
    return met.on_a, on


def _through_at(before: Before, entry: str, path: Chain, along: float) -> tuple[float, str]:
    where, units = before.where(("along",)), before.units
    if not 0.0 < along < path.length:
        found = f"'{entry}' is {say_length(path.length, units)} long"
        raise ProblemsFound(told("no-such-place", where, found, "wanted a place between its ends"))
    point, barred = point_at(path, along), {entry, *_on_it(before.plan, entry)}
    others = [(n, line) for n, line in before.ground.paths.items() if line is not None and n not in barred]
    for far, name in sorted((nearest(line, point)[1], n) for n, line in others):
        if far <= _room(before.plan, entry, name):
            return along, name
    met = [f"{say_length(run, units)}, on {on}" for on, run in crossings(before, entry).items()]
    wanted = f"cut it at {', '.join(met)}" if met else "add the tube that it is cut on first"
    found = f"nothing runs through '{entry}' {say_length(along, units)} from its start to carry both halves"
    raise ProblemsFound(told("no-crossing", where, found, wanted))


def _room(plan: Plan, one: str, two: str) -> float:
    return radius_of(plan, one) + radius_of(plan, two)


def _on_it(plan: Plan, entry: str) -> set[str]:
    """Members, mirrors too, that rest on the entry's tubes and so cannot carry them."""
    entries = [t.name for t in resting(plan, {entry}) if t.section == "members"]
    return {name for e in entries for name in (e, plan.members[e].mirror) if name}


def crossings(before: Before, name: str) -> dict[str, float]:
    """The tubes that run through that one between its ends, with where: mm from its start."""
    path, plan = before.ground.paths.get(name), before.plan
    if path is None:
        return {}
    entry = owner(plan.members, name) or name
    own: Any = plan.members[entry].path if entry in plan.members else ()
    barred = {name, *_on_it(plan, entry), *(place.on for place in own if isinstance(place, OnMember))}
    found: dict[str, float] = {}
    for other, line in before.ground.paths.items():
        if line is None or other in barred:
            continue
        met, room = between(path, line), _room(plan, name, other)
        if met.distance < room - 0.5 and room < met.on_a < path.length - room:
            found[other] = met.on_a
    return dict(sorted(found.items(), key=lambda item: item[1]))


def _landing(before: Before, entry: str, main: str, path: Chain, run: float) -> OnMember:
    """The place on the main at which both halves end.

    Raises:
        ProblemsFound: the tube is bent there, or the main cannot carry it.
    """
    where = before.where(())
    if main in _on_it(before.plan, entry):
        found = f"'{main}' rests on '{entry}' and cannot carry both its halves"
        raise ProblemsFound(told("no-crossing", where, found, "wanted a tube that runs through it"))
    if isinstance(piece_at(path, run)[0], Arc):
        found = f"'{entry}' is bent {say_length(run, before.units)} from its start"
        raise ProblemsFound(told("bent-there", where, found, "wanted a place on a straight stretch"))
    landing = nearest_place(main, point_at(path, run), before.ground)
    if landing is None:
        found = f"there are no words for that place on '{main}'"
        raise ProblemsFound(told("no-such-place", where, found, "wanted another place"))
    return landing


def cut_through(before: Before, plan: Plan, name: str) -> tuple[Plan, list[str]]:
    """The plan with that tube made in two at each tube that it runs through, and those tubes.

    Where it runs through its own mirror, the two are written apart, and the mirror is cut on it.

    Raises:
        ProblemsFound: it is bent where it runs through another.
    """
    copy = plan.members[name].mirror
    crossed = copy is not None and copy in crossings(before.on(plan), name)
    if copy is not None and crossed:
        entry = plan.members[name].model_copy(update={"mirror": None})
        twin = entry.model_copy(update={"path": tuple(place_across(plan, place) for place in entry.path)})
        plan = with_entries(plan, members={**plan.members, name: entry, copy: twin})
    # the mirror's parts first: once they are cut on it, it no longer runs through them
    parts, cut_on = [name, *([copy] if copy is not None and crossed else [])], dict[str, None]()
    most = len(plan.members) + MOST_CUTS
    while parts and len(plan.members) < most:
        part = parts.pop()
        now = before.on(plan)
        on = next(iter(crossings(now, part)), None)
        if on is not None:
            plan, second = in_two(now, part, on=on)
            cut_on[on] = None
            parts += [part, second]
    return plan, [*cut_on]
