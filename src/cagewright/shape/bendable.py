"""What of a cage the shop's own dies cannot bend as drawn."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.shape.types import Bend, Cage, Member
from cagewright.stock.benders import Die
from cagewright.stock.shop import Shop, die_for

SLIGHT = math.radians(1.0)
"""A bend of less than this is more likely a place typed a little off a straight."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopProblem:
    """Something the shop's dies cannot do, or a thing to know before bending.

    A ``problem`` cannot be bent as drawn, a ``note`` can with care; ``bend`` counts from 0 at the start.
    """

    code: str
    kind: Literal["problem", "note"]
    member: str
    bend: int
    found: str
    wanted: str


def shop_problems(cage: Cage, shop: Shop) -> tuple[ShopProblem, ...]:
    """Everything the shop's dies cannot bend as drawn; nothing for a shop without dies."""
    if not shop.dies:
        return ()
    return tuple(p for member in cage.members for p in _member_problems(member, shop, cage.units))


def _member_problems(member: Member, shop: Shop, units: LengthUnit) -> list[ShopProblem]:
    found: list[ShopProblem] = []
    for i, bend in enumerate(member.bends):
        die = die_for(shop, member.tube, bend.clr)
        if bend.angle < SLIGHT:
            found.append(_slight(member, i, bend))
        if die is None:
            found.append(_no_die(member, i, bend, units))
        else:
            found.extend(_room_before(member, i, die, units))
            found.extend(_room_after(member, i, die, units))
    return found


def _slight(member: Member, i: int, bend: Bend) -> ShopProblem:
    return ShopProblem(
        code="slight-bend",
        kind="note",
        member=member.name,
        bend=i,
        found=f"bend {i + 1} turns only {math.degrees(bend.angle):.2f} deg",
        wanted="put the place on the straight, or leave it out",
    )


def _no_die(member: Member, i: int, bend: Bend, units: LengthUnit) -> ShopProblem:
    return ShopProblem(
        code="no-die",
        kind="problem",
        member=member.name,
        bend=i,
        found=f"bend {i + 1} is {say_length(member.tube.od, units)} tube at a centreline radius of "
        f"{say_length(bend.clr, units)}",
        wanted="a die of that diameter and radius in the shop file, or another radius in the plan",
    )


def _room_before(member: Member, i: int, die: Die, units: LengthUnit) -> list[ShopProblem]:
    """Too little straight before the bend: for the clamp (spare tube can be left on), or after a bend."""
    straight = member.bends[i].start - (member.bends[i - 1].stop if i else 0.0)
    need = die.least_straight if i else die.grip
    if straight >= need - 1e-6:
        return []
    if i:
        found = f"there are {say_length(straight, units)} of straight between bends {i} and {i + 1}"
        wanted = f"at least {say_length(need, units)} for die '{die.name}'"
    else:
        found = (
            f"there are {say_length(straight, units)} of straight before the first bend; "
            f"'{die.name}' grips {say_length(need, units)}"
        )
        wanted = f"leave {say_length(need - straight, units)} more on the rough length, cut off after bending"
    return [
        ShopProblem(
            code="short-straight" if i else "short-grip",
            kind="problem" if i else "note",
            member=member.name,
            bend=i,
            found=found,
            wanted=wanted,
        )
    ]


def _room_after(member: Member, i: int, die: Die, units: LengthUnit) -> list[ShopProblem]:
    straight = member.path.length - member.bends[i].stop
    if i < len(member.bends) - 1 or straight >= die.tail - 1e-6:
        return []
    return [
        ShopProblem(
            code="short-tail",
            kind="note",
            member=member.name,
            bend=i,
            found=f"there are {say_length(straight, units)} after the last bend; "
            f"die '{die.name}' needs {say_length(die.tail, units)}",
            wanted=f"leave {say_length(die.tail - straight, units)} more on the rough length, "
            "cut off after bending",
        )
    ]
