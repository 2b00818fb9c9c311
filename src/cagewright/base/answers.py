"""What every answer is made of: figures that know their unit and what they rest on, sentences, a headline.

An answer is composed once, in ``job``; commands, pages and papers lay it out and add no word of their own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from cagewright.base.say import PLAIN_UNIT, Quantity, say
from cagewright.base.units import LengthUnit

Certainty = Literal["read", "second-hand", "computed", "memory", "shop"]
"""How sure a figure is: read in the text, restated by others, computed, from memory, or the shop's own."""
Basis = Literal["computed", "measured", "plan", "estimate", "cutting plan", "assumed"]
"""What a figure rests on."""
Bound = Literal["", "at least", "at most"]
Level = Literal["fail", "look at", "cannot tell", "fine"]
"""How an answer or a sentence stands, the worst first."""
WORST_FIRST: tuple[Level, ...] = ("fail", "look at", "cannot tell", "fine")
CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """A figure of an answer.

    Attributes:
        value: in ``unit``; None where it cannot be told.
        unit: ``mm``, ``deg``, ``kg``, ``N``, ``N mm``, ``J``, ``MPa``, ..., whatever the plan's units.
        said: as the builder reads it, in the plan's house style, with its unit, bound and +-.
        rests_on: what it rests on.
        certainty: how sure its source is, where it has one.
        plus_minus: how far it may be out either way, in ``unit``; None where that is not known.
        bound: whether the true figure may be more, or less.
        why: why it cannot be told, or what was assumed; empty otherwise.
    """

    value: float | None
    unit: str
    said: str
    rests_on: Basis = "computed"
    certainty: Certainty | None = None
    plus_minus: float | None = None
    bound: Bound = ""
    why: str = ""


def figure(
    value: float | None,
    quantity: Quantity,
    units: LengthUnit,
    *,
    places: int | None = None,
    rests_on: Basis = "computed",
    certainty: Certainty | None = None,
    plus_minus: float | None = None,
    bound: Bound = "",
    why: str = "",
) -> Value:
    """The figure as a ``Value``, said in the house style.

    Args:
        value: in the inside unit (mm, rad, kg, N, N mm, J, MPa, ...); None where it cannot be told.
        quantity: what it is.
        units: of the plan.
        places: decimals, where not the usual ones.
        rests_on: what it rests on.
        certainty: how sure its source is.
        plus_minus: how far it may be out either way, in the inside unit.
        bound: whether the true figure may be more, or less.
        why: why it cannot be told, or what was assumed.
    """
    unit, scale = PLAIN_UNIT[quantity], math.degrees(1.0) if quantity == "angle" else 1.0
    if value is not None and not math.isfinite(value):
        value = None
    mark = {"": "", "at least": "≥ ", "at most": "≤ "}[bound]
    return Value(
        value=None if value is None else value * scale,
        unit=unit,
        said=CANNOT_TELL
        if value is None
        else mark + say(value, quantity, units, places=places, plus_minus=plus_minus),
        rests_on=rests_on,
        certainty=certainty,
        plus_minus=None if plus_minus is None else plus_minus * scale,
        bound=bound,
        why=why,
    )


def price(amount: float | None, currency: str, *, rests_on: Basis, why: str = "") -> Value:
    """The price; ``339.00 EUR``, or ``339.00 EUR (estimate)`` until the cutting plan is there."""
    basis = " (estimate)" if rests_on == "estimate" else ""
    said = CANNOT_TELL if amount is None else f"{amount:.2f} {currency}".rstrip() + basis
    return Value(value=amount, unit=currency, said=said, rests_on=rests_on, why=why)


def difference(
    after: Value, before: Value, quantity: Quantity | Literal["price"], units: LengthUnit
) -> Value | None:
    """What ``after`` is more than ``before``; None where they do not rest on the same, or one is not told."""
    same = (after.unit, after.rests_on, after.bound) == (before.unit, before.rests_on, before.bound)
    if not same or after.value is None or before.value is None:
        return None
    step = after.value - before.value
    if quantity == "price":
        basis = " (estimate)" if after.rests_on == "estimate" else ""
        said = f"{step:+.2f} {after.unit}".rstrip() + basis
    else:
        said = say(step / (math.degrees(1.0) if quantity == "angle" else 1.0), quantity, units, signed=True)
    return Value(value=step, unit=after.unit, said=said, rests_on=after.rests_on)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sentence:
    """A sentence of an answer.

    Attributes:
        words: as the builder reads it.
        level: how what it tells stands.
        about: names of members, feet, joints or marks that it is about, as the plan has them.
    """

    words: str
    level: Level = "fine"
    about: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What every answer has.

    Attributes:
        headline: the part that can be defended, in one sentence.
        level: how it stands.
        cautions: printed wherever the answer is.
    """

    headline: str
    level: Level = "fine"
    cautions: tuple[str, ...] = ()


def worst(levels: tuple[Level, ...]) -> Level:
    """The worst of the levels; ``fine`` for none."""
    return min(levels, key=WORST_FIRST.index) if levels else "fine"
