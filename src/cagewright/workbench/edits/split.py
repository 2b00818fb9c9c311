"""A tube made in two where another runs through it; all that rests on it follows the half it is on."""

from __future__ import annotations

from typing import Any

from cagewright.base.curves import Arc, Chain, nearest, piece_at, point_at
from cagewright.base.problems import ProblemsFound
from cagewright.base.say import say_length
from cagewright.change.named import names_in, owner, told, unknown
from cagewright.change.remove import resting
from cagewright.plan.types import OnMember, Plan
from cagewright.shape.distance import between
from cagewright.workbench.edits.asked import Standing
from cagewright.workbench.edits.change import Change, member_entry
from cagewright.workbench.edits.halves import Halves, rewritten
from cagewright.workbench.edits.landing import nearest_place
from cagewright.workbench.edits.names import other_name, other_side, second_half
from cagewright.workbench.edits.tubes import radius_of
from cagewright.workbench.edits.vocabulary import Split


def split(stand: Standing, asked: Split) -> Change:
    """The plan with the tube in two.

    Raises:
        ProblemsFound: nothing runs through it there that can carry both halves, or it is bent there.
    """
    entry = member_entry(stand, asked.member)
    on = asked.on
    if on is not None and entry != asked.member:  # said on the mirror's side
        on = other_name(stand.plan.members, on) or on
    plan, second = in_two(stand, entry, along=asked.along, on=on, name=asked.name)
    return Change(plan=plan, words=f"{asked.member}: made in two, {entry} and {second}")


def in_two(
    stand: Standing, entry: str, *, along: float | None, on: str | None, name: str | None
) -> tuple[Plan, str]:
    """The plan with that entry's tube in two, and the second half's name.

    Args:
        stand: the plan.
        entry: of the plan, whose name the first half keeps.
        along: where, mm from its start; or None.
        on: the tube that runs through it; found at ``along`` where None.
        name: of the second half; made from the entry's where None.

    Raises:
        ProblemsFound: see ``split``.
    """
    path = _path(stand, entry)
    run, main = _where(stand, entry, path, along, on)
    landing = _landing(stand, entry, main, path, run)
    plan = stand.plan
    second = name or second_half(entry, names_in(plan.members))
    if second in names_in(plan.members):
        found = f"the plan's members have a '{second}' already"
        raise ProblemsFound(told("name-taken", stand.where(("members", entry)), found, "wanted another name"))
    halves = _halves(plan, entry, second, path, run)
    return rewritten(stand, halves, landing), second


def _path(stand: Standing, name: str) -> Chain:
    path = stand.ground.paths.get(name)
    if path is None:
        found = f"'{name}' cannot be built yet"
        raise ProblemsFound(told("rests-on-problem", stand.where(), found, "wanted it mended first"))
    return path


def _where(
    stand: Standing, entry: str, path: Chain, along: float | None, on: str | None
) -> tuple[float, str]:
    """Where it is cut, mm from its start, and the tube that carries both halves.

    Raises:
        ProblemsFound: nothing runs through it there, or there is no such place.
    """
    where = stand.where(("members", entry))
    if on is not None:
        if on not in stand.ground.paths or on == entry:
            others = [n for n in stand.ground.paths if n != entry]
            raise ProblemsFound([unknown("member", on, others, where)])
        met = between(path, _path(stand, on))
        if met.distance > _room(stand.plan, entry, on):
            found = f"'{on}' passes '{entry}' {say_length(met.distance, stand.plan.units)} away"
            raise ProblemsFound(told("no-crossing", where, found, "wanted a tube that runs through it"))
        return met.on_a, on
    if along is None:
        raise ProblemsFound(told("where-to", where, "it does not say where", "wanted along or on"))
    if not 0.0 < along < path.length:
        found = f"'{entry}' is {say_length(path.length, stand.plan.units)} long"
        raise ProblemsFound(told("no-such-place", where, found, "wanted a place between its ends"))
    return _through_at(stand, entry, path, along)


def _through_at(stand: Standing, entry: str, path: Chain, along: float) -> tuple[float, str]:
    point = point_at(path, along)
    away = [
        (nearest(other, point)[1], name)
        for name, other in stand.ground.paths.items()
        if other is not None and name != entry and name not in _on_it(stand.plan, entry)
    ]
    for far, name in sorted(away):
        if far <= _room(stand.plan, entry, name):
            return along, name
    raise ProblemsFound(_nothing_there(stand, entry, along))


def _nothing_there(stand: Standing, entry: str, along: float) -> Any:
    units = stand.plan.units
    met = [f"{say_length(run, units)}, on {on}" for on, run in crossings(stand, entry).items()]
    wanted = f"cut it at {', '.join(met)}" if met else "add the tube that it is cut on first"
    found = f"nothing runs through '{entry}' {say_length(along, units)} from its start to carry both halves"
    return told("no-crossing", stand.where(("members", entry)), found, wanted)


def _room(plan: Plan, one: str, two: str) -> float:
    return radius_of(plan, one) + radius_of(plan, two)


def _on_it(plan: Plan, entry: str) -> set[str]:
    """Members, mirrors too, that rest on the entry's tubes and so cannot carry them."""
    entries = [t.name for t in resting(plan, {entry}) if t.section == "members"]
    return {name for e in entries for name in (e, plan.members[e].mirror) if name}


def crossings(stand: Standing, name: str) -> dict[str, float]:
    """The tubes that run through that one between its ends, with where: mm from its start."""
    path = stand.ground.paths.get(name)
    if path is None:
        return {}
    entry = owner(stand.plan.members, name) or name
    barred = {name, *_on_it(stand.plan, entry), *_lands_on(stand.plan, entry)}
    found: dict[str, float] = {}
    for other, line in stand.ground.paths.items():
        if line is None or other in barred:
            continue
        met, room = between(path, line), _room(stand.plan, name, other)
        if met.distance < room - 0.5 and room < met.on_a < path.length - room:
            found[other] = met.on_a
    return dict(sorted(found.items(), key=lambda item: item[1]))


def _lands_on(plan: Plan, entry: str) -> set[str]:
    path = plan.members[entry].path if entry in plan.members else ()
    return {place.on for place in path if isinstance(place, OnMember)}


def _landing(stand: Standing, entry: str, main: str, path: Chain, run: float) -> OnMember:
    """The place on the main at which both halves end.

    Raises:
        ProblemsFound: the tube is bent there, or the main cannot carry it.
    """
    where = stand.where(("members", entry))
    if main in _on_it(stand.plan, entry):
        found = f"'{main}' rests on '{entry}' and cannot carry both its halves"
        raise ProblemsFound(told("no-crossing", where, found, "wanted a tube that runs through it"))
    if isinstance(piece_at(path, run)[0], Arc):
        found = f"'{entry}' is bent {say_length(run, stand.plan.units)} from its start"
        raise ProblemsFound(told("bent-there", where, found, "wanted a place on a straight stretch"))
    landing = nearest_place(main, point_at(path, run), stand.ground)
    if landing is None:
        found = f"there are no words for that place on '{main}'"
        raise ProblemsFound(told("no-such-place", where, found, "wanted another place"))
    return landing


def _halves(plan: Plan, entry: str, second: str, path: Chain, run: float) -> Halves:
    twins = {entry: second}
    mirror = plan.members[entry].mirror
    if mirror:
        twins[mirror] = other_side(second, [*names_in(plan.members), second])
    return Halves(entry=entry, second=second, twins=twins, path=path, run=run)
