"""Alternatives made from what is selected: what was picked, as a change in the common words."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from functools import partial
from typing import Any

from cagewright.base.names import shown
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.say import say_size
from cagewright.base.units import LengthUnit
from cagewright.change.before import other_name, owner, told
from cagewright.change.remove import resting
from cagewright.change.words import by_words
from cagewright.plan.places import AtFoot
from cagewright.plan.types import Plan
from cagewright.shape.next_size import next_sizes
from cagewright.shape.types import Cage, Member
from cagewright.stock.catalogue import sizes
from cagewright.stock.sections import properties, round_section
from cagewright.stock.shop import Shop

SAME = 0.06
"""Sizes whose diameter or wall differ by less are the same, mm."""
NOTED = 6
"""So many names are said in full; of more, only how many."""
Change = dict[str, dict[str, Any]]


@dataclass(frozen=True, slots=True, kw_only=True)
class PickedTubes:
    """What was picked on the page, and what is to be made of it.

    Attributes:
        what: ``without``, ``heavier``, ``lighter``, ``size``, ``moved``, ``other-side`` or ``open-welds``.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _On:
    """What it is made on; ``names``: the selected tubes, each entry of the plan once."""

    plan: Plan
    cage: Cage
    shop: Shop
    asked: PickedTubes
    names: list[str]

    @property
    def side(self) -> dict[str, Any]:
        return {"one_side": True} if self.asked.one_side else {}

    @property
    def words(self) -> str:
        """The tubes: ``front_leg_left and its mirror``; of many, how many."""
        if len(self.names) > 2:
            return f"{len(self.names)} tubes"
        pair = not self.asked.one_side
        twins = [pair and other_name(self.plan.members, name) for name in self.names]
        names = map(shown, self.names)
        return " and ".join(f"{n} and its mirror" if t else n for n, t in zip(names, twins, strict=True))


def made(
    plan: Plan, cage: Cage, shop: Shop, asked: PickedTubes, *, taken: Collection[str] = ()
) -> dict[str, Any]:
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
    known = {m.name for m in cage.members}
    strange = [n for n in asked.members if n not in known]
    if not asked.members or strange:
        found = f"the cage has no tube '{strange[0]}'" if strange else "nothing is selected"
        raise ProblemsFound(_wrong(found, "wanted one or more tubes of the cage"))
    make = _MAKERS.get(asked.what)
    if make is None:
        raise ProblemsFound(_wrong(f"'{asked.what}' is no change", f"wanted {', '.join(_MAKERS)}"))
    names = asked.members if asked.one_side else [owner(plan.members, n) or n for n in asked.members]
    words, change, note = make(
        _On(plan=plan, cage=cage, shop=shop, asked=asked, names=[*dict.fromkeys(names)])
    )
    said = asked.name or words
    name = next(n for n in (said, *(f"{said} ({i})" for i in range(2, 1000))) if n not in taken)
    return {"name": name, "changes": [change], **({"note": note} if note else {})}


def _wrong(found: str, wanted: str) -> list[Problem]:
    return told("alternative", Where(file="alternatives"), found, wanted)


Made = tuple[str, Change, str]
"""The alternative's name, its change, and a note."""


def _without(on: _On) -> Made:
    owners = {owner(on.plan.members, name) or name for name in on.names}
    more = [t.words for t in resting(on.plan, owners) if t.name not in owners]
    change: dict[str, Any] = {"names": on.names, **({"dependents": True} if more else {}), **on.side}
    things = ", ".join(more) if len(more) <= NOTED else f"{len(more)} things that rest on it"
    return f"without {on.words}", {"remove": change}, f"goes with it: {things}" if more else ""


def _next_size(on: _On, *, heavier: bool) -> Made:
    twins = [] if on.asked.one_side else [other_name(on.plan.members, name) for name in on.names]
    try:
        ahead = next_sizes(on.cage, on.shop, [*on.names, *filter(None, twins)], heavier=heavier)
    except ValueError:
        raise ProblemsFound(
            _wrong("the selected tubes are of several sizes", "wanted tubes of one size")
        ) from None
    if len(ahead) <= on.asked.skip:
        words = "heavier" if heavier else "lighter"
        raise ProblemsFound(_wrong(f"no {words} size that fits is known", "wanted a size typed in"))
    size = ahead[on.asked.skip]
    words, change, _ = _sized(on, (size.od, size.wall))
    return words, change, "" if size.sold == "stock" else "the shop stocks none: a size of the catalogue"


def sizes_for(shop: Shop, units: LengthUnit) -> tuple[tuple[float, float], ...]:
    """Sizes that can be had, (od, wall) mm, lightest first: of the shop's stock, else of the catalogue.

    Inch sizes for a builder who reads inches, millimetre sizes for the others, where it is the catalogue's.
    """
    stock = {(s.od, s.wall) for s in shop.stock if s.shape == "round"}
    rows = {(r.od, r.wall) for r in sizes() if r.name.endswith(" in") == (units != "mm")}
    every = list[tuple[float, float]]()
    for size in (*sorted(stock), *sorted(rows)):
        if not any(abs(size[0] - s[0]) < SAME and abs(size[1] - s[1]) < SAME for s in every):
            every.append(size)
    mine = [s for s in every if _in_inches(s) == (units != "mm")] or every
    return tuple(sorted(mine, key=lambda s: properties(round_section(*s)).area))


def _in_inches(size: tuple[float, float]) -> bool:
    """Whether it is an inch size: by its diameter in sixteenths."""
    sixteenths = size[0] / 25.4 * 16.0
    return abs(sixteenths - round(sixteenths)) < 1e-3 and abs(size[0] - round(size[0])) > 1e-3


def _sized(on: _On, new: tuple[float, float]) -> Made:
    change = {"members": on.names, "od": f"{new[0]:.6g} mm", "wall": f"{new[1]:.6g} mm", **on.side}
    return f"{on.words} in {say_size(*new, on.cage.units)}", {"size": change}, ""


def _size(on: _On) -> Made:
    if not 0.0 < on.asked.wall <= on.asked.od / 2.0:
        raise ProblemsFound(_wrong("that is no size of a tube", "wanted a wall of at most half the diameter"))
    return _sized(on, (on.asked.od, on.asked.wall))


def _moved(on: _On) -> Made:
    by, end = on.asked.by, on.asked.end
    if not any(by):
        raise ProblemsFound(_wrong("it is moved by nothing", "wanted how far back, across or up"))
    places: list[str | int] = [int(end) if end.isdigit() else end]
    if end == "all":
        path = on.plan.members[owner(on.plan.members, on.names[0]) or ""].path
        places = [i for i, place in enumerate(path, start=1) if not isinstance(place, AtFoot)]
    change = {"members": on.names, "places": places, "by": [f"{v:g} mm" for v in by], **on.side}
    which = "" if end == "all" else f", place {end}" if end.isdigit() else f", {end}"
    return f"{on.words}{which} {by_words(by, on.cage.units)}", {"move": change}, ""


def _other_side(on: _On) -> Made:
    if len(on.asked.members) != 1:
        raise ProblemsFound(_wrong("more than one tube is selected", "wanted one tube to copy"))
    name = on.asked.members[0]
    return f"{shown(name)} on the other side too", {"mirror": {"name": name}}, ""


def _open_welds(on: _On) -> Made:
    weld = {"open": "outside"}
    change = {"members": on.names, "start": weld, "end": weld, **on.side}
    return f"{on.words} not welded on the outside", {"weld": change}, ""


_MAKERS: dict[str, Callable[[_On], Made]] = {
    "without": _without,
    "heavier": partial(_next_size, heavier=True),
    "lighter": partial(_next_size, heavier=False),
    "size": _size,
    "moved": _moved,
    "other-side": _other_side,
    "open-welds": _open_welds,
}


def members_changed(before: Cage, after: Cage) -> tuple[str, ...]:
    """Names of tubes that are not the same in both cages, in the order of the second, then those gone."""
    old = {m.name: m for m in before.members}
    new = {m.name: m for m in after.members}
    differ = [n for n, m in new.items() if n not in old or not _same(old[n], m)]
    return (*differ, *(n for n in old if n not in new))


def _same(one: Member, other: Member) -> bool:
    if one.tube != other.tube or len(one.path.pieces) != len(other.path.pieces):
        return False
    return abs(one.path.length - other.path.length) < 1e-6 and all(
        float(abs(a.cut.origin - b.cut.origin).max()) < 1e-6
        for a, b in zip(one.ends, other.ends, strict=True)
    )
