"""Benders: what the shop's dies can do and what the tube springs back."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from cagewright.stock.tubes import Tube


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One trial bend: the angle the bender was set to and the angle measured after release, rad."""

    set_angle: float
    got_angle: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Die:
    """One die of the bender.

    Attributes:
        name: the shop's name for it.
        od: tube diameter it takes, mm.
        clr: centreline radius, mm.
        least_straight: least straight between two bends, mm.
        grip: straight that the clamp needs before the first bend, mm.
        tail: straight that the machine needs after the last bend, mm.
        trials: bends measured on this die, any number.
    """

    name: str
    od: float
    clr: float
    least_straight: float
    grip: float
    tail: float
    trials: tuple[Trial, ...] = ()


PRACTICE = 4.0 / 90.0
"""What shops bend further for each degree wanted, until their own trials say: 4 degrees in 90.

Common practice, no source that could be read: a bender's manual has 3 to 4 degrees on a bend of 70, a maker's
page 3.5 in 90. This lies midway between 3.5 in 90 and 3.5 in 70.
"""
PRACTICE_SPAN = (3.5 / 90.0, 4.0 / 70.0)
"""The least and the most of those figures."""
PRACTICE_WORDS = "4° further in 90°, by common practice that has no source (3.5° to 5.1° are told)"
"""The same as it is said."""
ENOUGH = 2
"""So many trials, and they are gone by."""
ALIKE = math.radians(0.5)
"""Angles this near are one angle to a bevel gauge, rad."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Springback:
    """What to set for what is wanted: ``set = offset + slope * wanted`` (rad).

    Attributes:
        offset: rad.
        slope: 1 or more.
        basis: what it rests on: the die's own trials, or common practice.
        scatter: standard deviation of the trials about the line, rad; None where it is not known.
        tried: least and greatest angle got in the trials, rad; None where practice is gone by.
        theory: slope by the elastic-plastic estimate; None without a yield strength.
    """

    offset: float
    slope: float
    basis: Literal["trials", "practice"]
    scatter: float | None = None
    tried: tuple[float, float] | None = None
    theory: float | None = None


def springback(tube: Tube, clr: float, trials: tuple[Trial, ...] = ()) -> Springback:
    """The springback of ``tube`` bent at ``clr`` mm: a line through the die's trials, or practice before two.

    The elastic-perfectly-plastic estimate s = Mp R / (E I), the share of the angle that springs back (any
    text on plastic bending), stands beside it: alone it comes to less than half of what shops see.
    """
    known = tube.steel.yield_strength is not None
    theory = 1.0 / (1.0 - elastic_share(tube, clr)) if known else None
    if len(trials) < ENOUGH:
        return Springback(offset=0.0, slope=1.0 + PRACTICE, basis="practice", theory=theory)
    return replace(_fitted(trials), theory=theory)


def elastic_share(tube: Tube, clr: float) -> float:
    """Share of a bend that springs back, Mp R / (E I), elastic-perfectly-plastic (0 to 0.5)."""
    s = tube.properties
    moment = s.plastic * (tube.steel.yield_strength or 0.0)
    return min(moment * clr / (tube.steel.modulus * s.inertia), 0.5)


def _fitted(trials: tuple[Trial, ...]) -> Springback:
    got = np.array([t.got_angle for t in trials])
    put = np.array([t.set_angle for t in trials])
    tried = (float(got.min()), float(got.max()))
    if np.ptp(got) < 1e-6:
        return Springback(offset=0.0, slope=float(put.mean() / got.mean()), basis="trials", tried=tried)
    slope, offset = np.polyfit(got, put, 1)
    rest = put - offset - slope * got
    scatter = float(np.sqrt(rest @ rest / (len(trials) - 2))) if len(trials) > 2 else None
    return Springback(
        offset=float(offset), slope=float(slope), basis="trials", scatter=scatter, tried=tried
    )  # fmt: skip


def set_angle(wanted: float, rule: Springback) -> float:
    """The angle to bend to so that ``wanted`` rad is left after release, rad."""
    return rule.offset + rule.slope * wanted


def outside_trials(wanted: float, rule: Springback) -> bool:
    """Whether ``wanted`` rad is smaller or greater than any angle that was got in the trials."""
    return rule.tried is not None and not rule.tried[0] - ALIKE <= wanted <= rule.tried[1] + ALIKE


def outer_wall(tube: Tube, clr: float) -> float:
    """Wall left on the outside of a bend, mm: t R / (R + D/2), constant volume about the centreline.

    A common rule of thumb (second-hand); gauge straight parts for rule checks.
    """
    return tube.wall * clr / (clr + tube.radius)


def inner_wall(tube: Tube, clr: float) -> float:
    """Wall on the inside of a bend, mm: t R / (R - D/2), same rule as ``outer_wall``.

    Raises:
        ValueError: the bend is tighter than the tube is thick.
    """
    if clr <= tube.radius:
        raise ValueError("a bend's centreline radius must be more than half the tube's diameter")
    return tube.wall * clr / (clr - tube.radius)
