"""The nouns of a drop's answer: times ms, lengths mm, forces N, energies J (the account N mm), angles rad."""

from __future__ import annotations

from dataclasses import dataclass

from cagewright.frame.choices import Choices
from cagewright.frame.drop_case import DropCase
from cagewright.frame.follow import Account
from cagewright.frame.model import Floats
from cagewright.frame.results import (
    Event,
    FootUse,
    GaugeStrain,
    JointUse,
    MemberUse,
    Moment,
    Shape,
    SurvivalSpace,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class StillPush:
    """What a still push as the ground lies says of the same energy.

    Attributes:
        enough: it took up as much within its travel.
        travel: mm by then, or all it went.
        energy: J by then.
        peak: largest load by then, N.
        room: mm of travel at which the survival space is touched, or None.
        reached: it was followed that far.
    """

    enough: bool
    travel: float
    energy: float
    peak: float
    room: float | None
    reached: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DropResults:
    """What a drop does to a cage.

    What stands as ``travel`` in events, uses and shapes is in ms since the first touch; ``load`` is the force
    out of the ground, its mean over the ms before.

    Attributes:
        title: the plan's.
        revision: the plan's mark.
        case: how it was let fall.
        choices: which simplifications were made.
        mass: of car and driver, tubes counted, kg.
        centre: (3,) mm, the middle of that mass at rest.
        time: (k,) ms since the first touch.
        force: (k,) N out of the ground.
        down: (k,) mm that the car's middle has come down since the first touch.
        turned: (k,) rad that the car has turned since.
        taken: (k,) J that tubes, joints and feet have taken up, elastic strain counted.
        account: of all energy, at every step.
        reached: the whole time was followed.
        end: how it ended, in words.
        room: the survival space; None without a driver.
        moments: what ends the part that can be defended, in order.
        strain: of the tubes' outside.
        order: everything that gave way, in order.
        joints: the first to go over its strength first.
        feet: most used first.
        members: most used first.
        shapes: at rest, at the largest force, where the survival space is touched, at the end; seen from
            the car.
        still: the still push of the same energy; None where none can be placed.
        notes: what was assumed, in words.
    """

    title: str
    revision: str
    case: DropCase
    choices: Choices
    mass: float
    centre: Floats
    time: Floats
    force: Floats
    down: Floats
    turned: Floats
    taken: Floats
    account: Account
    reached: bool
    end: str
    room: SurvivalSpace | None
    moments: tuple[Moment, ...]
    strain: GaugeStrain
    order: tuple[Event, ...]
    joints: tuple[JointUse, ...]
    feet: tuple[FootUse, ...]
    members: tuple[MemberUse, ...]
    shapes: tuple[Shape, ...]
    still: StillPush | None
    notes: tuple[str, ...]
