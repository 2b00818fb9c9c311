"""Bend sheets: where on the rough tube each bend starts, how far it goes, how the tube is turned between."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.base.curves import tangent_at
from cagewright.base.names import shown
from cagewright.base.problems import Problem, Where
from cagewright.base.say import say_angle, say_length
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import signed_angle
from cagewright.make.cutlist import Rough, rough, tube_words
from cagewright.plan.types import Which
from cagewright.shape.types import Bend, Member
from cagewright.stock.benders import Die, Springback, Trial, inner_wall, outer_wall, set_angle, springback
from cagewright.stock.shop import Shop, die_for
from cagewright.stock.tubes import Tube

UNSEEN = np.radians(0.05)
"""A rotation that prints as none or as half a turn is called that, rad."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BendStep:
    """One bend, in the order it is made. Marks are from the starting end of the rough tube, along its axis.

    Attributes:
        number: 1 for the first bend made.
        bend: which bend of the member it is, 1 at the member's start.
        die: the shop's die; None where none fits.
        clr: centreline radius, mm.
        straight: straight before it: from the rough end, or from the bend before, mm.
        start_mark: where the bend begins, mm.
        centre_mark: middle of the bend, mm.
        stop_mark: where it ends, mm.
        arc: length along the centreline, mm.
        angle: wanted after release, rad.
        set_angle: to bend to, springback added, rad.
        rule: the springback, and what it rests on.
        lone_trial: the die's only trial, which is not gone by yet; None where there are none or more.
        rotation: rad from the plane of the bend before to this one's, clockwise looking along the tube from
            the starting end, -pi to pi; 0 for the first.
        outer_wall: wall left on the outside after bending, mm.
        inner_wall: wall on the inside after bending, mm.
    """

    number: int
    bend: int
    die: str | None
    clr: float
    straight: float
    start_mark: float
    centre_mark: float
    stop_mark: float
    arc: float
    angle: float
    set_angle: float
    rule: Springback
    lone_trial: Trial | None
    rotation: float
    outer_wall: float
    inner_wall: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BendSheet:
    """How one member is bent from its rough tube.

    Attributes:
        member: name.
        tube: size and steel.
        starts_at: the member's end that goes into the bender first.
        spare: the rough tube's layout; both spares are cut off after bending.
        rough: length of the rough tube, mm.
        finished: finished length along the axis, mm.
        steps: in the order the bends are made; none for a straight tube.
        last_straight: straight after the last bend to the rough tube's end, mm.
        problems: what the shop must see to before bending.
    """

    member: str
    tube: Tube
    starts_at: Which
    spare: Rough
    rough: float
    finished: float
    steps: tuple[BendStep, ...]
    last_straight: float
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Turn:
    """A bend as it is met from the starting end: its index in the member, and its rotation, rad."""

    index: int
    bend: Bend
    start: float
    stop: float
    rotation: float


def bend_sheet(member: Member, shop: Shop, units: LengthUnit = "mm") -> BendSheet:
    """The numbers to bend the member by, from its rough tube's starting end.

    The arc is counted at the centreline, R times the angle, with no gain or stretch; springback is by the
    die's trials, or by common practice before there are two (``stock.benders``).
    """
    spare = rough(member, shop)
    turns = _turns(member, spare)
    steps = tuple(_step(member.tube, shop, turns, n) for n in range(len(turns)))
    return BendSheet(
        member=member.name, tube=member.tube, starts_at=spare.starts_at, spare=spare, rough=spare.length,
        finished=member.length, steps=steps,
        last_straight=spare.length - (turns[-1].stop if turns else 0.0),
        problems=_problems(member, shop, steps, units),
    )  # fmt: skip


def _turns(member: Member, spare: Rough) -> tuple[_Turn, ...]:
    """The bends in the order they are made, with their places on the rough tube."""
    start_trim, end_trim = (e.trim for e in member.ends)
    whole, forward = member.path.length, spare.starts_at == "start"
    numbered = list(enumerate(member.bends))
    made: list[_Turn] = []
    for n, (index, bend) in enumerate(numbered if forward else reversed(numbered)):
        first, last = (bend.start, bend.stop) if forward else (whole - bend.stop, whole - bend.start)
        shift = spare.first - (start_trim if forward else end_trim)
        # a turn to the right seen from one end is a turn to the right seen from the other
        pair = (index - 1, index) if forward else (index, index + 1)
        rotation = _rotation(member, *pair) if n else 0.0
        made.append(_Turn(index=index, bend=bend, start=first + shift, stop=last + shift, rotation=rotation))
    return tuple(made)


def _rotation(member: Member, before: int, after: int) -> float:
    """Angle from one bend's plane to the next one's about the straight between, rad, -pi to pi."""
    a, b = member.bends[before], member.bends[after]
    return signed_angle(a.normal, b.normal, tangent_at(member.path, 0.5 * (a.stop + b.start)))


def _step(tube: Tube, shop: Shop, turns: tuple[_Turn, ...], n: int) -> BendStep:
    turn = turns[n]
    bend, die = turn.bend, die_for(shop, tube, turn.bend.clr)
    trials = die.trials if die else ()
    rule = springback(tube, bend.clr, trials)
    return BendStep(
        number=n + 1, bend=turn.index + 1, die=die.name if die else None, clr=bend.clr,
        straight=turn.start - (turns[n - 1].stop if n else 0.0), start_mark=turn.start,
        centre_mark=0.5 * (turn.start + turn.stop), stop_mark=turn.stop, arc=bend.clr * bend.angle,
        angle=bend.angle, set_angle=set_angle(bend.angle, rule), rule=rule,
        lone_trial=trials[0] if len(trials) == 1 else None, rotation=turn.rotation,
        outer_wall=outer_wall(tube, bend.clr), inner_wall=inner_wall(tube, bend.clr),
    )  # fmt: skip


# --- words


def rotation_words(rotation: float) -> str:
    """How the next bend lies to the one before, seen along the tube from its starting end."""
    if abs(rotation) < UNSEEN:
        return "same way"
    if abs(abs(rotation) - np.pi) < UNSEEN:
        return "opposite way (half a turn)"
    return f"{say_angle(abs(rotation))} {'clockwise' if rotation > 0.0 else 'anticlockwise'}"


def turn_words(rotation: float) -> str:
    """How the tube itself is turned in a die that stays still: against the way its next bend lies."""
    if abs(rotation) < UNSEEN:
        return "do not turn"
    if abs(abs(rotation) - np.pi) < UNSEEN:
        return "half a turn"
    return f"{say_angle(abs(rotation))} {'anticlockwise' if rotation > 0.0 else 'clockwise'}"


# --- what the shop must see to


def _problems(
    member: Member, shop: Shop, steps: tuple[BendStep, ...], units: LengthUnit
) -> tuple[Problem, ...]:
    found: list[Problem] = []
    for step in steps:
        die = die_for(shop, member.tube, step.clr)
        where = Where(file=f"member {shown(member.name)}, bend {step.bend}")
        if die is None:
            found.append(_no_die(member.tube, step.clr, shop, units, where))
        if die and step.number > 1 and step.straight < die.least_straight - 1e-6:
            found.append(_too_short(die, step.straight, units, where))
    return tuple(found)


def _no_die(tube: Tube, clr: float, shop: Shop, units: LengthUnit, where: Where) -> Problem:
    radii = sorted({d.clr for d in shop.dies if abs(d.od - tube.od) <= 0.5})
    has = (
        f"it has {', '.join(say_length(r, units) for r in radii)} for this tube"
        if radii
        else "it has none for this tube"
    )
    return Problem(
        code="no-die",
        where=where,
        found=f"the shop has no die for {tube_words(tube, units)} at a centreline radius of "
        f"{say_length(clr, units)}",
        wanted=f"change the bend's radius, or enter the die in the shop file ({has})",
    )


def _too_short(die: Die, straight: float, units: LengthUnit, where: Where) -> Problem:
    return Problem(
        code="straight-too-short",
        where=where,
        found=f"only {say_length(straight, units)} of straight before it",
        wanted=f"the die '{die.name}' needs {say_length(die.least_straight, units)} between two bends",
    )
