"""Benders: what the shop's dies can do and what the tube springs back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.stock.tubes import Tube, section


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Springback:
    """What to set for what is wanted: ``set = offset + slope * wanted`` (rad).

    Attributes:
        offset: rad.
        slope: 1 or more.
        scatter: standard deviation of the trials about the line, rad; None where it is not known.
        basis: ``trials`` or ``estimate``.
    """

    offset: float
    slope: float
    scatter: float | None
    basis: str


def springback(tube: Tube, clr: float, trials: tuple[Trial, ...] = ()) -> Springback:
    """The springback of ``tube`` bent at ``clr`` mm: a line through the trials, or an estimate without any.

    Two trials or more fit a line, one scales, none uses the elastic-perfectly-plastic estimate
    s = Mp R / (E I), the share of the angle that springs back (any text on plastic bending).

    Raises:
        ValueError: no trials and the steel's yield strength is not known.
    """
    if len(trials) >= 2:
        return _fitted(trials)
    if trials:
        return Springback(
            offset=0.0, slope=trials[0].set_angle / trials[0].got_angle, scatter=None, basis="trials"
        )
    if tube.steel.yield_strength is None:
        raise ValueError(f"no yield strength is known for {tube.steel.name}, so no springback estimate")
    share = elastic_share(tube, clr)
    return Springback(offset=0.0, slope=1.0 / (1.0 - share), scatter=None, basis="estimate")


def elastic_share(tube: Tube, clr: float) -> float:
    """Share of a bend that springs back, Mp R / (E I), elastic-perfectly-plastic (0 to 0.5)."""
    s = section(tube.od, tube.wall)
    moment = s.plastic * (tube.steel.yield_strength or 0.0)
    return min(moment * clr / (tube.steel.modulus * s.inertia), 0.5)


def _fitted(trials: tuple[Trial, ...]) -> Springback:
    got = np.array([t.got_angle for t in trials])
    put = np.array([t.set_angle for t in trials])
    if np.ptp(got) < 1e-6:
        return Springback(offset=0.0, slope=float(put.mean() / got.mean()), scatter=None, basis="trials")
    slope, offset = np.polyfit(got, put, 1)
    rest = put - offset - slope * got
    scatter = float(np.sqrt(rest @ rest / (len(trials) - 2))) if len(trials) > 2 else None
    return Springback(offset=float(offset), slope=float(slope), scatter=scatter, basis="trials")


def set_angle(wanted: float, rule: Springback) -> float:
    """The angle to bend to so that ``wanted`` rad is left after release, rad."""
    return rule.offset + rule.slope * wanted


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
