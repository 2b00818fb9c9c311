"""The plan that a change is made on: finding what the change names in it, and where that is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, cast

import numpy as np

from cagewright.base.curves import Chain
from cagewright.base.problems import Problem, ProblemsFound, Where, nearest_word
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector
from cagewright.plan.places import Entry, Place
from cagewright.plan.source import Keys
from cagewright.plan.types import Plan
from cagewright.shape.located import AlreadyRefused, Refused, in_plan
from cagewright.shape.places import Ground, spot
from cagewright.shape.resolve import laid_out

At = Callable[[Keys], Where]
"""Says where a part of a change stands, its keys from the change itself."""
SIDES = {"left": "right", "right": "left"}
BARE_NUMBERS = {"part", "normal", "contact"}
"""Keys of the plan's entries whose numbers are no lengths."""


def in_change(_keys: Keys) -> Where:
    """The default place of every change: somewhere in the alternatives."""
    return Where(file="alternatives")


@dataclass(frozen=True, kw_only=True)
class Before:
    """What a change is made on.

    Attributes:
        plan: the plan.
        where: says where a part of the change stands.
        known: the centre lines, where they have been laid out already.
    """

    plan: Plan
    where: At = in_change
    known: Ground | None = None

    @property
    def units(self) -> LengthUnit:
        """What lengths are said in."""
        return self.plan.house_units

    @cached_property
    def ground(self) -> Ground:
        """Points, feet and centre lines that places may refer to, as far as they can be laid out."""
        return self.known or laid_out(self.plan, in_plan)[0].ground

    def on(self, plan: Plan) -> Before:
        """The same change made on another plan."""
        return replace(self, plan=plan, known=None)

    def at(self, place: Place) -> Vector:
        """Where the place is (3,), mm.

        Raises:
            ProblemsFound: there is no such place, or it rests on a member that cannot be built.
        """
        try:
            return spot(place, self.ground, ())
        except Refused as wrong:
            raise ProblemsFound([replace(wrong.problem, where=self.where(()))]) from None
        except AlreadyRefused:
            raise ProblemsFound(self.not_built()) from None

    def path(self, name: str) -> Chain:
        """The centre line of the member.

        Raises:
            ProblemsFound: there is none of that name, or it cannot be built.
        """
        if name not in self.ground.paths:
            raise ProblemsFound([unknown("member", name, self.ground.paths, self.where(()))])
        path = self.ground.paths[name]
        if path is None:
            raise ProblemsFound(self.not_built())
        return path

    def not_built(self) -> list[Problem]:
        """The problem of what rests on something that has problems of its own."""
        found, wanted = "it rests on a member that cannot be built", "wanted that one mended first"
        return told("rests-on-problem", self.where(()), found, wanted)

    def member(self, name: str, *keys: str | int) -> str:
        """The entry of the plan that makes the member of that name.

        Raises:
            ProblemsFound: there is none.
        """
        return known_owner(self.plan.members, name, "member", self.where(keys))


@dataclass(frozen=True, slots=True, kw_only=True)
class Altered:
    """What comes of a change.

    Attributes:
        plan: with the change made.
        words: what was done, as the builder says it.
        names: by kind of thing and old name, names that were given anew.
    """

    plan: Plan
    words: str
    names: Mapping[tuple[str, str], str] | None = None


def owner(entries: Mapping[str, Any], name: str) -> str | None:
    """The entry that makes the thing of that name: its own, or the one whose mirror it is."""
    if name in entries:
        return name
    return next((key for key, entry in entries.items() if getattr(entry, "mirror", None) == name), None)


def other_name(entries: Mapping[str, Any], name: str) -> str | None:
    """The name of the thing's mirror, whichever of the two is written; None where it has none."""
    entry = owner(entries, name)
    return None if entry is None else entries[entry].mirror if entry == name else entry


def names_in(entries: Mapping[str, Any]) -> list[str]:
    """Every name the entries make, mirrors included."""
    twins = [e.mirror for e in entries.values() if isinstance(getattr(e, "mirror", None), str)]
    return [*entries, *twins]


def known_owner(entries: Mapping[str, Any], name: str, kind: str, where: Where) -> str:
    """The entry that makes the thing of that name.

    Raises:
        ProblemsFound: there is none.
    """
    found = owner(entries, name)
    if found is None:
        raise ProblemsFound([unknown(kind, name, names_in(entries), where)])
    return found


def unknown(kind: str, name: str, known: Iterable[str], where: Where) -> Problem:
    """The problem of a name that the plan does not have."""
    words = list(known)
    listed = ", ".join(words[:20]) + (", ..." if len(words) > 20 else "")
    return Problem(
        code=f"unknown-{kind.replace(' ', '-')}",
        where=where,
        found=f"the plan has no {kind} '{name}'",
        wanted=f"wanted the name of a {kind}: {listed or 'it has none'}",
        nearest=nearest_word(name, words),
    )


def taken(section: str, name: str, where: Where) -> Problem:
    """The problem of a new name that something of the section has already."""
    found = f"the plan's {section} have a '{name}' already"
    return Problem(
        code="name-taken", where=where, found=found,
        wanted="wanted a name of its own (or the other removed first)",
    )  # fmt: skip


def told(code: str, where: Where, found: str, wanted: str) -> list[Problem]:
    """One problem, ready to raise."""
    return [Problem(code=code, where=where, found=found, wanted=wanted)]


def with_entries(plan: Plan, **sections: Mapping[str, Any]) -> Plan:
    """The plan with those sections replaced."""
    return plan.model_copy(update={key: dict(value) for key, value in sections.items()})


def with_entry(plan: Plan, section: str, name: str, update: Mapping[str, Any]) -> Plan:
    """The plan with something of one entry replaced."""
    entries = getattr(plan, section)
    return with_entries(plan, **{section: {**entries, name: entries[name].model_copy(update=dict(update))}})


# --- names for new things


def free(name: str, taken: Collection[str]) -> str:
    """The name, or with the first number behind it that makes it one of its own."""
    if name not in taken:
        return name
    return next(made for made in (f"{name[:50]}_{n}" for n in range(2, 10_000)) if made not in taken)


def other_side(name: str, taken: Collection[str]) -> str:
    """The name of the mirror: left for right and the other way, else with the word for a mirror behind it."""
    parts = name.split("_")
    if any(part in SIDES for part in parts):
        return free("_".join(SIDES.get(part, part) for part in parts), taken)
    return free(f"{name[:50]}_mirror", taken)


def from_role(role: str, across: float, mirrored: bool, taken: Collection[str]) -> str:
    """A name for a new tube.

    Args:
        role: what it is.
        across: where its middle is, mm from the centre plane, right more than 0.
        mirrored: it gets a mirror, so that its side tells the two apart.
        taken: names that others have.
    """
    side = "left" if across < 0.0 else "right"
    word = role.replace("-", " ").replace(" ", "_")
    return free(f"{word}_{side}" if mirrored or abs(across) > 50.0 else word, taken)


# --- what the plan says of its tubes


def usual_tube(plan: Plan, role: str) -> str | None:
    """The tube most members of that role have, else the one most members have; None without tubes."""
    of_role = [m.tube for m in plan.members.values() if m.role == role]
    most = Counter(of_role or [m.tube for m in plan.members.values()]).most_common(1)
    return most[0][0] if most else next(iter(plan.tubes), None)


def radius_of(plan: Plan, member: str) -> float:
    """The outside radius of the member of that name (a mirror's too), mm; 0 where it has no known tube."""
    entry = plan.members.get(owner(plan.members, member) or "")
    tube = plan.tubes.get(entry.tube) if entry else None
    return 0.0 if tube is None else tube.across / 2.0


def on_the_tape(length: float, units: str) -> float:
    """The length in mm at the nearest 0.1 mm, or the nearest 64th of an inch.

    Half way between two marks, left and right have to come to the same one: rounding noise must not decide.
    """
    mark = 0.1 if units == "mm" else 25.4 / 64.0
    return float(np.round(round(round(length / mark, 6)) * mark, 6)) + 0.0


def spot_on_the_tape(spot: Iterable[float], units: str) -> tuple[float, float, float]:
    """The spot (3,) in mm with each number as :func:`on_the_tape` has it."""
    x, y, z = (on_the_tape(float(v), units) for v in spot)
    return x, y, z


def with_value(value: Any, keys: Keys, new: Any) -> Any:
    """A copy of the value with what its keys lead to replaced."""
    if not keys:
        return new
    key, rest = keys[0], keys[1:]
    if isinstance(value, Entry):
        return value.model_copy(update={str(key): with_value(getattr(value, str(key)), rest, new)})
    if isinstance(value, dict):
        entries = cast("dict[Any, Any]", value)
        return {**entries, key: with_value(entries[key], rest, new)}
    return tuple(with_value(item, rest, new) if i == key else item for i, item in enumerate(value))
