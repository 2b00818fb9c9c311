"""Alternatives made from what is selected: without it, another size, moved, on the other side too."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from typing import Any, cast

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.change.named import owner
from cagewright.change.remove import resting
from cagewright.plan.alternatives import ChangeEntry
from cagewright.plan.places import MEASURES, OnMember
from cagewright.plan.types import Plan
from cagewright.shape.types import Cage, Member
from cagewright.stock.catalogue import sizes
from cagewright.stock.shop import Shop
from cagewright.stock.tubes import section

AXES = ("back", "across", "up")
SAME = 0.06
"""Sizes whose diameter or wall differ by less are the same, mm."""
NOTED = 6
"""So many names are said in full; of more, only how many."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the page asks to be made.

    Attributes:
        what: ``without``, ``heavier``, ``lighter``, ``size``, ``moved``, ``other-side`` or ``open-welds``.
        members: the selected tubes.
        one_side: only these, not their mirrors.
        end: of ``moved``: ``start``, ``end``, ``all``, or a place's number from 1.
        by: of ``moved``: mm back, across, up.
        od: of ``size``, mm.
        wall: of ``size``, mm.
        name: of the alternative; made up where empty.
        skip: of ``heavier`` and ``lighter``: sizes passed over, since they cannot be built.
    """

    what: str
    members: tuple[str, ...]
    one_side: bool = False
    end: str = "all"
    by: tuple[float, float, float] = (0.0, 0.0, 0.0)
    od: float = 0.0
    wall: float = 0.0
    name: str = ""
    skip: int = 0


def made(plan: Plan, cage: Cage, shop: Shop, asked: Asked, *, taken: Collection[str] = ()) -> dict[str, Any]:
    """The alternative as an entry of the alternatives file.

    Args:
        plan: as read.
        cage: what it makes.
        shop: whose stock lengths are sizes that can be had.
        asked: what is to be made.
        taken: names that other alternatives have.

    Raises:
        ProblemsFound: nothing is selected, a name is not known, or there is no such size.
    """
    _known(cage, asked)
    make = _MAKERS.get(asked.what)
    if make is None:
        raise ProblemsFound([_problem(f"'{asked.what}' is no change", f"wanted {', '.join(_MAKERS)}")])
    name, change, note = make(plan, cage, shop, asked)
    whole: dict[str, Any] = {"name": _free(asked.name or name, taken), "changes": [change]}
    return {**whole, "note": note} if note else whole


def _known(cage: Cage, asked: Asked) -> None:
    names = {m.name for m in cage.members}
    strange = [n for n in asked.members if n not in names]
    if not asked.members or strange:
        found = f"the cage has no tube '{strange[0]}'" if strange else "nothing is selected"
        raise ProblemsFound([_problem(found, "wanted one or more tubes of the cage")])


def _problem(found: str, wanted: str) -> Problem:
    return Problem(code="alternative", where=Where(file="alternatives"), found=found, wanted=wanted)


def _free(name: str, taken: Collection[str]) -> str:
    names = (name, *(f"{name} ({n})" for n in range(2, 1000)))
    return next(n for n in names if n not in taken)


def _entries(plan: Plan, asked: Asked) -> list[str]:
    """The selected tubes, each entry of the plan once: a pair is one entry unless one side is meant."""
    if asked.one_side:
        return list(asked.members)
    return list(dict.fromkeys(owner(plan.members, n) or n for n in asked.members))


def _side(asked: Asked) -> dict[str, Any]:
    return {"one_side": True} if asked.one_side else {}


def said(plan: Plan, names: Sequence[str], *, one_side: bool) -> str:
    """The tubes in words: ``front_leg_left and its mirror``; of many, how many."""
    if len(names) > 2:
        return f"{len(names)} tubes"
    pairs = [n if one_side or not _twin(plan, n) else f"{n} and its mirror" for n in names]
    return " and ".join(pairs)


def _twin(plan: Plan, name: str) -> bool:
    entry = plan.members.get(owner(plan.members, name) or "")
    return entry is not None and entry.mirror is not None


Made = tuple[str, dict[str, Any], str]


def _without(plan: Plan, _cage: Cage, _shop: Shop, asked: Asked) -> Made:
    names = _entries(plan, asked)
    owners = {owner(plan.members, n) or n for n in names}
    more = [t.words for t in resting(plan, owners) if t.name not in owners]
    change: dict[str, Any] = {"names": names, **({"dependents": True} if more else {}), **_side(asked)}
    listed = ", ".join(more) if len(more) <= NOTED else f"{len(more)} things that rest on it"
    note = f"goes with it: {listed}" if more else ""
    return f"without {said(plan, names, one_side=asked.one_side)}", {"remove": change}, note


def _heavier(plan: Plan, cage: Cage, shop: Shop, asked: Asked) -> Made:
    return _next_size(plan, cage, shop, asked, 1)


def _lighter(plan: Plan, cage: Cage, shop: Shop, asked: Asked) -> Made:
    return _next_size(plan, cage, shop, asked, -1)


def _next_size(plan: Plan, cage: Cage, shop: Shop, asked: Asked, way: int) -> Made:
    tubes = {(m.tube.od, m.tube.wall) for m in cage.members if m.name in asked.members}
    if len(tubes) > 1:
        raise ProblemsFound([_problem("the selected tubes are of several sizes", "wanted tubes of one size")])
    od, wall = next(iter(tubes))
    known = sizes_for(shop, cage.units)
    here = section(od, wall).area
    ahead = [s for s in known if way * (section(*s).area - here) > 0.01 * here]
    if len(ahead) <= asked.skip:
        words = "heavier" if way > 0 else "lighter"
        raise ProblemsFound([_problem(f"no {words} size that fits is known", "wanted a size typed in")])
    new = sorted(ahead, key=lambda s: abs(section(*s).area - here))[asked.skip]
    return _sized(plan, cage.units, asked, new)


def sizes_for(shop: Shop, units: LengthUnit) -> tuple[tuple[float, float], ...]:
    """Sizes that can be had, (od, wall) mm, lightest first: of the shop's stock, else of the catalogue.

    Inch sizes for a builder who reads inches, millimetre sizes for the others, where it is the catalogue's.
    """
    stock = {(s.od, s.wall) for s in shop.stock}
    rows = {(r.od, r.wall) for r in sizes() if r.name.endswith(" in") == (units == "in")}
    every = list[tuple[float, float]]()
    for size in (*sorted(stock), *sorted(rows)):
        if not any(abs(size[0] - s[0]) < SAME and abs(size[1] - s[1]) < SAME for s in every):
            every.append(size)
    mine = [s for s in every if units_of(s) == units] or every
    return tuple(sorted(mine, key=lambda s: section(*s).area))


def units_of(size: tuple[float, float]) -> LengthUnit:
    """Whether a size is a millimetre or an inch size: by its diameter in sixteenths."""
    sixteenths = size[0] / 25.4 * 16.0
    return (
        "in" if abs(sixteenths - round(sixteenths)) < 1e-3 and abs(size[0] - round(size[0])) > 1e-3 else "mm"
    )


def size_words(size: tuple[float, float], units: LengthUnit) -> str:
    """The size as the builder says it: ``45 x 2.5 mm``, ``1 3/4" x 0.095"``."""
    if units == "in":
        return f'{say_length(size[0], "in").partition(" (")[0]} x {size[1] / 25.4:.3f}"'
    return f"{size[0]:g} x {size[1]:g} mm"


def _sized(plan: Plan, units: LengthUnit, asked: Asked, new: tuple[float, float]) -> Made:
    names = _entries(plan, asked)
    change = {
        "members": names, "od": f"{new[0]:.6g} mm", "wall": f"{new[1]:.6g} mm", **_side(asked),
    }  # fmt: skip
    words = f"{said(plan, names, one_side=asked.one_side)} in {size_words(new, units)}"
    return words, {"size": change}, ""


def _size(plan: Plan, cage: Cage, _shop: Shop, asked: Asked) -> Made:
    if not 0.0 < asked.wall <= asked.od / 2.0:
        raise ProblemsFound([
            _problem("that is no size of a tube", "wanted a wall of at most half the diameter")
        ])
    return _sized(plan, cage.units, asked, (asked.od, asked.wall))


def _moved(plan: Plan, cage: Cage, _shop: Shop, asked: Asked) -> Made:
    if not any(asked.by):
        raise ProblemsFound([_problem("it is moved by nothing", "wanted how far back, across or up")])
    names = _entries(plan, asked)
    by = [f"{v:g} mm" for v in asked.by]
    foot = _foot_at(plan, cage, names, asked.end)
    if foot:
        words = f"foot {foot} {by_words(asked.by, cage.units)}"
        return words, {"move": {"foot": foot, "by": by, **_side(asked)}}, ""
    places = _places(plan, names, asked.end)
    _along_what_it_sits_on(plan, names, places, asked.by)
    change = {"members": names, "places": places, "by": by, **_side(asked)}
    which = (
        "" if asked.end == "all" else f", {asked.end}" if not asked.end.isdigit() else f", place {asked.end}"
    )
    words = f"{said(plan, names, one_side=asked.one_side)}{which} {by_words(asked.by, cage.units)}"
    return words, {"move": change}, ""


def _foot_at(plan: Plan, cage: Cage, names: Sequence[str], end: str) -> str | None:
    """The foot that is meant: the one at that end of a single selected tube."""
    member = next((m for m in cage.members if m.name == names[0]), None) if len(names) == 1 else None
    if member is None or end not in {"start", "end"}:
        return None
    foot = member.ends[0 if end == "start" else 1].foot
    return owner(plan.feet, foot) if foot else None


def _places(plan: Plan, names: Sequence[str], end: str) -> list[str | int]:
    if end in {"start", "end"}:
        return [end]
    if end.isdigit():
        return [int(end)]
    entry = plan.members[owner(plan.members, names[0]) or names[0]]
    free = [i for i, place in enumerate(entry.path, start=1) if not hasattr(place, "foot")]
    return cast("list[str | int]", free)


def _along_what_it_sits_on(
    plan: Plan, names: Sequence[str], places: Sequence[str | int], by: Sequence[float]
) -> None:
    """Refuse a move that a place on another tube cannot make.

    Raises:
        ProblemsFound: the place is told by one measure, and the move has no part along it.
    """
    for name in names:
        entry = plan.members[owner(plan.members, name) or name]
        for number in places:
            i = {"start": 0, "end": -1}.get(str(number), int(number) - 1 if isinstance(number, int) else 0)
            place = entry.path[i] if -len(entry.path) <= i < len(entry.path) else None
            said = next((m for m in MEASURES if getattr(place, m, None) is not None), None)
            if not isinstance(place, OnMember) or said is None:
                continue
            if said not in AXES:
                _refuse_move(name, number, said, place.on, "wanted it set on the Cage page")
            if not by[AXES.index(said)]:
                _refuse_move(name, number, said, place.on, f"wanted how far {said}")


def _refuse_move(name: str, number: str | int, said: str, on: str, wanted: str) -> None:
    where = number if isinstance(number, str) else f"place {number}"
    raise ProblemsFound([_problem(f"the {where} of {name} sits on {on} and is told by '{said}'", wanted)])


def by_words(by: Sequence[float], units: LengthUnit) -> str:
    """The move in words: ``120 mm back and 20 mm down``."""
    ways = (("back", "forward"), ("to the right", "to the left"), ("up", "down"))
    parts = [
        f"{say_length(abs(v), units, places=0).partition(' (')[0]} {way[0 if v > 0 else 1]}"
        for v, way in zip(by, ways, strict=True)
        if v
    ]
    return " and ".join(parts)


def _other_side(plan: Plan, _cage: Cage, _shop: Shop, asked: Asked) -> Made:
    if len(asked.members) != 1:
        raise ProblemsFound([_problem("more than one tube is selected", "wanted one tube to copy")])
    name = asked.members[0]
    copy = other_name(name)
    return f"{name} on the other side too", {"mirror": {"name": name, "copy_name": copy}}, ""


def other_name(name: str) -> str:
    """What the tube is called on the other side."""
    for one, other in (("left", "right"), ("right", "left")):
        if one in name:
            return name.replace(one, other)
    return f"{name}_other_side"


def _open_welds(plan: Plan, _cage: Cage, _shop: Shop, asked: Asked) -> Made:
    names = _entries(plan, asked)
    weld = {"open": "outside"}
    change = {"members": names, "start": weld, "end": weld, **_side(asked)}
    words = f"{said(plan, names, one_side=asked.one_side)} not welded on the outside"
    return words, {"weld": change}, ""


_MAKERS: dict[str, Callable[[Plan, Cage, Shop, Asked], Made]] = {
    "without": _without,
    "heavier": _heavier,
    "lighter": _lighter,
    "size": _size,
    "moved": _moved,
    "other-side": _other_side,
    "open-welds": _open_welds,
}


# --- a change in words


def change_words(change: ChangeEntry) -> str:
    """What the change does, in a few words."""
    if change.remove is not None:
        tail = " and what rests on it" if change.remove.dependents else ""
        return f"without {_listed(change.remove.names)}{tail}"
    if change.add is not None:
        new = (*change.add.members, *change.add.plates, *change.add.gussets, *change.add.feet)
        return f"new: {_listed(new)}"
    if change.size is not None:
        new = ", ".join(f"{key} {value:g}" if key != "steel" else value for key, value in _new(change))
        return f"{_listed(change.size.members) or f'every {change.size.tube}'}: {new or change.size.tube}"
    if change.move is not None:
        return f"{_listed(change.move.members) or change.move.point or change.move.foot} moved"
    if change.mirror is not None:
        return f"{change.mirror.name} on the other side too"
    if change.weld is not None:
        return f"{_listed(change.weld.members)} welded otherwise"
    if change.foot is not None:
        return f"foot {change.foot.name} changed"
    return f"{_listed(change.cut.members) if change.cut else ''} cut otherwise"


def _new(change: ChangeEntry) -> list[tuple[str, Any]]:
    return list(change.size.changed().items()) if change.size else []


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names) if len(names) <= NOTED else f"{len(names)} things"


def members_changed(before: Cage, after: Cage) -> list[str]:
    """Names of tubes that are not the same in both cages, in the order of the second, then those gone."""
    old = {m.name: m for m in before.members}
    new = {m.name: m for m in after.members}
    differ = [n for n, m in new.items() if n not in old or not _same(old[n], m)]
    return [*differ, *(n for n in old if n not in new)]


def _same(one: Member, other: Member) -> bool:
    if one.tube != other.tube or len(one.path.pieces) != len(other.path.pieces):
        return False
    return abs(one.path.length - other.path.length) < 1e-6 and all(
        float(abs(a.cut.origin - b.cut.origin).max()) < 1e-6
        for a, b in zip(one.ends, other.ends, strict=True)
    )
