"""Measures of which members there must be, and how many on each side."""

from __future__ import annotations

from collections import Counter

import numpy as np
from numpy.typing import NDArray

from cagewright.base.vectors import length, mirrored
from cagewright.check.attitude import SideName, densely, driver_side, side_of, sides_meant
from cagewright.check.bench import Gauged
from cagewright.check.findings import Location
from cagewright.check.measures.tube import STEEL_UNKNOWN, spot_of
from cagewright.check.readings import Amount, Measure, YesNo, exact
from cagewright.check.rules import Rule, Structure
from cagewright.check.select import chosen
from cagewright.check.sizes import big_enough, say_sizes
from cagewright.shape.types import Cage, Member

Points = NDArray[np.float64]  # (n, 3) mm
SAME = 30.0
"""mm: two members mirror each other where every part of one is this near to the other's image."""
STEP = 20.0
"""mm between the places along a member that are compared."""


def member_count(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How many members of the roles the cage has."""
    del bench
    picked = chosen(cage, rule)
    return (exact(Location(members=tuple(m.name for m in picked), part=_roles(rule)), float(len(picked))),)


def _roles(rule: Rule) -> str:
    return " or ".join(rule.members)


def members_per_side(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How many members of the roles stand on each side meant; both are tried where it is unknown."""
    del bench
    counts = {
        side: tuple(m for m in chosen(cage, rule) if side_of(m) == side)
        for side in sides_meant(cage, rule.side)
    }
    if rule.side == "driver" and driver_side(cage) in {None, "middle"}:
        sizes = [len(members) for members in counts.values()]
        names = tuple(m.name for members in counts.values() for m in members)
        return (
            Amount(
                spot=Location(members=names, part=_roles(rule)), low=min(sizes), high=max(sizes),
                why="the plan has no driver on either side", ask="give the driver's hip point in the plan",
            ),
        )  # fmt: skip
    return tuple(
        exact(
            Location(members=tuple(m.name for m in members), part=f"{_roles(rule)}, {side} side"),
            float(len(members)),
        )
        for side, members in counts.items()
    )


def same_both_sides(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """Whether each chosen member off the centre line has its mirror image on the other side."""
    del bench
    picked = [m for m in chosen(cage, rule) if side_of(m) != "middle"]
    shapes = [densely(m.path, STEP) for m in picked]
    boxes = np.array([_box(shape) for shape in shapes])
    images = (_mirror_image(number, shapes, boxes) for number in range(len(picked)))
    return tuple(
        _is_mirrored(m, None if at is None else picked[at].name) for m, at in zip(picked, images, strict=True)
    )


def _mirror_image(number: int, shapes: list[Points], boxes: Points) -> int | None:
    """The first shape that is the numbered one's mirror image; the boxes round them rule most out."""
    image = mirrored(shapes[number])
    near = np.flatnonzero(np.abs(boxes - _box(image)).max(axis=(1, 2)) < SAME).tolist()
    return next((at for at in near if at != number and _are_same(image, shapes[at])), None)


def _box(shape: Points) -> Points:
    return np.array([shape.min(axis=0), shape.max(axis=0)])


def _are_same(a: Points, b: Points) -> bool:
    """Whether every point of each (n, 3) is near one of the other's."""
    gaps = length(a[:, None, :] - b[None, :, :])
    return bool(max(gaps.min(axis=0).max(), gaps.min(axis=1).max()) < SAME)


def _is_mirrored(member: Member, image: str | None) -> YesNo:
    return YesNo(
        spot=spot_of(member),
        holds=image is not None,
        text=f"same as {image}" if image else "nothing like it on the other side",
        limit="the same on both sides",
        advice=f"give {member.name} its mirror on the other side",
    )


def removable_members(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How many of the chosen members are bolted in."""
    del bench
    loose = [m.name for m in chosen(cage, rule) if m.removable]
    return (exact(Location(members=tuple(loose), part="bolted in"), float(len(loose))),)


def members_of_size(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How many of the chosen members of each side reach one of the listed sizes."""
    del bench
    return tuple(_of_size(cage, rule, side) for side in sides_meant(cage, rule.side))


def _of_size(cage: Cage, rule: Rule, side: SideName) -> Amount:
    members = [m for m in chosen(cage, rule) if side_of(m) == side]
    told = [big_enough(m.tube, rule.sizes) for m in members]
    spot = Location(
        members=tuple(m.name for m in members),
        part=f"{_roles(rule)} of {say_sizes(rule.sizes)}, {side} side",
    )
    unsure = told.count(None)
    why, ask = (STEEL_UNKNOWN, "say the steel's make from its mill sheet") if unsure else ("", "")
    least = float(told.count(True))
    return Amount(spot=spot, low=least, high=least + unsure, why=why, ask=ask)


def base_structure(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """Whether the cage has at least the members of one of the base structures."""
    del bench
    have = Counter(m.role for m in cage.members)
    lacks = [
        {role: short for role, count in structure.items() if (short := count - have[role]) > 0}
        for structure in rule.structures
    ]
    fewest = min(lacks, key=lambda lack: sum(lack.values()))
    text = ", ".join(f"{count} {role}" for role, count in have.items())
    return (
        YesNo(
            spot=Location(),
            holds=not fewest,
            text=text,
            limit="; or ".join(_say(structure) for structure in rule.structures),
            advice=f"add {_say(fewest)}, or give the members the regulation's roles",
        ),
    )


def _say(structure: Structure | dict[str, int]) -> str:
    return ", ".join(f"{count} {role}" for role, count in structure.items())


MEASURES = (
    Measure(
        name="member count", per="cage", sort="count", needs=("members",), take=member_count,
        meaning="How many members of the roles the cage has.",
        passes="2 backstays against at least 2", fails="1 backstay against at least 2",
        more="add {by} more {part}", less="take out {by} {part}",
    ),
    Measure(
        name="members per side", per="side", sort="count", needs=("members",), takes=("side",),
        take=members_per_side,
        meaning=(
            "How many members of the roles stand on a side (`side`: each, driver, left or right); the side "
            "of a member is that of its middle."
        ),
        passes="3 doorbars left and right against at least 1 on each side",
        fails="no doorbar on the right against the same",
        more="add {by} more {part}", less="take out {by} {part}",
    ),
    Measure(
        name="members of size per side", per="side", sort="count", needs=("members", "sizes"),
        takes=("side",), take=members_of_size,
        meaning="How many of the members of a side reach one of the listed sizes.",
        passes="one doorbar of 1.75 x 0.095 in on each side against at least 1",
        fails="doorbars of 1.5 x 0.095 in alone against the same",
        more="add {by} more {part}", less="take out {by} {part}",
    ),
    Measure(
        name="removable members", per="cage", sort="count", needs=("members",), take=removable_members,
        meaning="How many of the members the plan states to be removable, that is, bolted in.",
        passes="none against at most 0", fails="one doorbar bolted in against at most 0",
        more="make {by} more of them removable", less="weld in {what}",
    ),
    Measure(
        name="same both sides", per="member", sort=None, needs=("members",), own_limit=True,
        take=same_both_sides,
        meaning=(
            "Whether each member off the centre line has another within about 30 mm of its mirror image."
        ),
        passes="a doorbar with its mirror", fails="a doorbar on one side only",
    ),
    Measure(
        name="base structure", per="cage", sort=None, needs=("structures",), own_limit=True,
        take=base_structure,
        meaning=(
            "Whether the cage has at least the members, by role, of any one of the listed base structures."
        ),
        passes="a main rollbar, two lateral half-rollbars, a transverse member and two backstays",
        fails="the same with one backstay",
    ),
)  # fmt: skip
