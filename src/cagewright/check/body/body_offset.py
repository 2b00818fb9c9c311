"""Findings about how closely tubes follow the body and how far feet stand off the sills."""

from __future__ import annotations

from cagewright.base.say import say, say_length
from cagewright.base.units import G, LengthUnit
from cagewright.check.body.finding import body_finding, length_of, spot
from cagewright.check.findings import NO_SOURCE, Finding
from cagewright.shape.body_offset import BodyOffset, FootReach, body_offsets, foot_reaches
from cagewright.shape.shell import Shell
from cagewright.shape.standing import main_legs
from cagewright.shape.types import Cage, Foot

PROOF = 7.5
"""Vertical proof load of a main rollbar over the car's weight (with 150 kg), from memory, unchecked."""
CREW = 150.0
"""Added to the car's mass for that load, kg, from memory, unchecked."""

WORKED_TO = 3.0
"""What a bent tube is set to beside a body, mm: a gap that is wider by no more asks for nothing.

Common practice, no source; it is also how far an end may be out when a step is measured.
"""


def offset_findings(cage: Cage, shell: Shell, *, target: float) -> tuple[Finding, ...]:
    """How closely each member follows the structure that it is laid along.

    The wanted gap ``target`` is in mm (common practice, no source).
    """
    return tuple(_offset_finding(offset, cage.units, target) for offset in body_offsets(cage, shell))


def _offset_finding(offset: BodyOffset, units: LengthUnit, target: float) -> Finding:
    wanted = say_length(target, units)
    wide = offset.mean > target + WORKED_TO
    return body_finding(
        "body-hug",
        "the tube lies close along the structure it follows",
        "look at" if wide else "looks kept",
        where=spot(offset.member),
        measured=length_of(offset.mean, units, _offset_words(offset, units)),
        limit=wanted,
        known="remembered",
        why=f"the wanted gap is {NO_SOURCE}: rule books ask for as close as can be",
        advice=f"move it {say_length(offset.mean - target, units)} closer to {offset.line}" if wide else "",
    )


def _offset_words(offset: BodyOffset, units: LengthUnit) -> str:
    mean, most = say_length(offset.mean, units), say_length(offset.most, units)
    at = f"{say_length(offset.most_along, units, places=0)} from its start"
    if offset.start == offset.stop:
        return f"{mean} from {offset.line} where they cross, at {at}"
    return f"{mean} on average from {offset.line}, {most} at most, at {at}"


def foot_findings(cage: Cage, shell: Shell) -> tuple[Finding, ...]:
    """How far each foot stands inboard of the sill, and the bending it puts into the floor."""
    feet = {foot.name: foot for foot in cage.feet}
    return tuple(_foot_finding(reach, feet[reach.foot], cage) for reach in foot_reaches(cage, shell))


def _foot_finding(reach: FootReach, foot: Foot, cage: Cage) -> Finding:
    over = max(foot.plate[0], foot.plate[1]) / 2.0 - reach.inboard
    carried = foot.seat != "floor" or over >= 0.0
    inboard = say_length(abs(reach.inboard), cage.units)
    side = "inboard" if reach.inboard >= 0.0 else "outboard"
    text = f"{inboard} {side} of {reach.line}: {_bending(reach, 1000.0, cage.units)} of leg load"
    return body_finding(
        "body-foot-inboard",
        "the leg's load goes into the sill, not into the floor",
        "pass" if carried else "look at",
        where=spot(feet=(reach.foot,), point=foot.point),
        measured=length_of(reach.inboard, cage.units, text + _at_proof(reach, cage)),
        limit="on the sill or a box, or its plate reaches the sill",
        why="no source gives a limit for the floor; the leg's load is an even share of the stated proof load",
        advice="" if carried else f"carry the plate {inboard} out to the sill, or build a box under the foot",
    )


def _at_proof(reach: FootReach, cage: Cage) -> str:
    """The bending under an even share of the proof load, in words; nothing without the car's mass."""
    legs = main_legs(cage)
    if cage.car is None or not legs:
        return ""
    load = PROOF * (cage.car.mass + CREW) * G / legs
    crew = say(CREW, "mass", cage.units, places=0)
    shared = f"{PROOF:g} (mass + {crew}) g shared by {legs} feet, from memory"
    return f"; {_bending(reach, load, cage.units)} ({shared})"


def _bending(reach: FootReach, load: float, units: LengthUnit) -> str:
    """The bending in the floor under a load on the leg, N, in words."""
    return f"{say(abs(reach.bending) * load / 1000.0, 'moment', units)} under {say(load, 'force', units)}"
