"""The nouns of a push: what presses, how far, and what load a source wants within what travel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cagewright.base.vectors import Vector
from cagewright.frame.contact import Platen, Pole
from cagewright.stock.steels import Certainty

Kind = Literal["platen", "pole", "point", "static"]
"""What presses: a flat platen, an upright pole, one place pushed, or loads together."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """A load that a source wants.

    Attributes:
        words: what for.
        weights: multiple of the weight that ``mass`` says; 0 where ``load`` says it.
        load: N, beside ``weights``; the lesser counts where both are given.
        whole: the whole of a static push's loads is wanted.
        mass: what weighs: ``car``, ``car and driver`` or ``car + 150 kg``.
        within: mm of travel; None for the whole push.
        mean: the load is a mean over the travel, not a largest value.
        source: where it is from, with its edition.
        certainty: how sure.
    """

    words: str
    weights: float
    load: float | None
    whole: bool
    mass: Literal["car", "car and driver", "car + 150 kg"]
    within: float | None
    mean: bool
    source: str
    certainty: Certainty


@dataclass(frozen=True, slots=True, kw_only=True)
class PointLoad:
    """A load at a place of the cage: member, mm along it, and the force (3,) N for the whole push."""

    member: str
    along: float
    force: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Push:
    """One load case on one cage.

    Attributes:
        name: e.g. ``roof-left``.
        title: in words.
        kind: what presses.
        press: the platen or pole, standing clear of the cage; None for point and static.
        point_loads: the loads of a point or static push, growing together; empty for the others. The load
            reported is the sum of their sizes, the travel their mean movement along themselves.
        travel: mm to push, after first touch.
        demands: wanted loads, least travel first.
        source: where it is from, with its edition.
        certainty: how sure.
        notes: how it was placed on this cage, in words.
    """

    name: str
    title: str
    kind: Kind
    press: Platen | Pole | None
    point_loads: tuple[PointLoad, ...]
    travel: float
    demands: tuple[Demand, ...]
    source: str
    certainty: Certainty
    notes: tuple[str, ...] = ()
