"""What to do about a belt that is out of its limit: which mount, which way, how far."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.check.belts.harness import BeltRun
from cagewright.check.belts.limits import BeltLimit
from cagewright.check.belts.measures import BeltAmount
from cagewright.check.judge import within
from cagewright.check.rules import NO_ALLOWANCE, LimitSide


def remedy(limit: BeltLimit, taken: BeltAmount, units: LengthUnit) -> str:
    """What brings the amount inside the first bound that it does not keep; empty where all are kept."""
    if taken.low is None or taken.high is None:
        return ""
    bound = next(
        (
            b
            for b in (*limit.bounds, *limit.advised)
            if within(taken.low, taken.high, b, NO_ALLOWANCE) is not True
        ),
        None,
    )
    if bound is None:
        return ""
    value = taken.low if bound.kind == "at_least" else taken.high
    move = MOVES.get(limit.measure)
    if move is not None and taken.run is not None:
        return move(taken.run, bound, value, units)
    return _plain(limit, taken, bound, value, units)


def _plain(limit: BeltLimit, taken: BeltAmount, bound: LimitSide, value: float, units: LengthUnit) -> str:
    by = say_length(abs(bound.value - value), units)
    more = bound.kind == "at_least"
    spread = f"set {taken.label} {by} {'further apart' if more else 'nearer together'}"
    words = {
        "shoulder spread": spread,
        "lap spread": spread,
        "crotch spread": spread,
        "mounts on the seat": f"take {taken.label} off the bar that carries the seat",
        "lap mounts on the cage": f"put {taken.label} on the shell, with a plate",
        "shoulder mounts": "give each shoulder belt its own mount",
        "belts": "fit a harness with more belts",
        "lap belts": "give the harness two lap mounts",
        "plate area": f"weld a larger plate at {taken.label}",
        "plate thickness": f"weld a thicker plate at {taken.label}, {by} more",
        "tab thickness": f"make the tab of {taken.label} {by} thicker",
        "bolt size": f"fit a bolt {by} larger at {taken.label}",
    }
    return words.get(limit.measure, f"{taken.label}: {by} {'more' if more else 'less'}")


def _lap(run: BeltRun, bound: LimitSide, value: float, units: LengthUnit) -> str:
    """Forward or back along the car at the mount's height."""
    drop = float(run.body[2] - run.start[2])
    if drop <= 0.0 or not 0.0 < bound.value < math.pi:
        return f"set {run.mount.mount.name} below the hip"
    wanted = drop / math.tan(bound.value)
    return _shift(run, wanted - float(run.start[0] - run.body[0]), "back", "forward", units)


def _shoulder(run: BeltRun, bound: LimitSide, value: float, units: LengthUnit) -> str:
    """Up or down at the mount's distance behind the shoulder."""
    behind = float(run.start[0] - run.body[0])
    if behind <= 0.0:
        return f"set {run.mount.mount.name} behind the shoulder"
    return _shift(run, behind * (math.tan(value) - math.tan(bound.value)), "up", "down", units)


def _inward(run: BeltRun, bound: LimitSide, value: float, units: LengthUnit) -> str:
    behind = float(run.start[0] - run.body[0])
    if behind <= 0.0:
        return f"set {run.mount.mount.name} behind the shoulder"
    by = behind * (math.tan(bound.value) - math.tan(value))
    return _shift(run, by, "toward the seat's centre line", "away from the seat's centre line", units)


def _crotch(run: BeltRun, bound: LimitSide, value: float, units: LengthUnit) -> str:
    drop = float(run.body[2] - run.start[2])
    if drop <= 0.0:
        return f"set {run.mount.mount.name} below the groin"
    plumb = math.atan2(float(run.start[0] - run.body[0]), drop)
    wanted = drop * math.tan(plumb + bound.value - value)
    return _shift(run, wanted - float(run.start[0] - run.body[0]), "back", "forward", units)


def _nearer(run: BeltRun, bound: LimitSide, value: float, units: LengthUnit) -> str:
    word = "nearer to" if value > bound.value else "further from"
    by = say_length(abs(value - bound.value), units)
    return f"bring {run.mount.mount.name} {by} {word} the body, or lead the belt over a bar there"


def _shift(run: BeltRun, by: float, more: str, less: str, units: LengthUnit) -> str:
    return f"move {run.mount.mount.name} {say_length(abs(by), units)} {more if by >= 0.0 else less}"


Move = Callable[[BeltRun, LimitSide, float, LengthUnit], str]
MOVES: Mapping[str, Move] = {
    "lap angle": _lap,
    "shoulder down": _shoulder,
    "shoulder inward": _inward,
    "below shoulder": lambda run, bound, value, units: _shift(run, value - bound.value, "up", "down", units),
    "crotch to chest line": _crotch,
    "crotch to plumb": _crotch,
    "lap free": _nearer,
    "shoulder free": _nearer,
    "crotch free": _nearer,
    "shoulder behind seat": _nearer,
}
