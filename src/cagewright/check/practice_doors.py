"""Common practice on doorbars: height, room, the fourth bar, and a lean that reads straight from outside."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from cagewright.base.curves import point_at
from cagewright.base.say import say_angle, say_length
from cagewright.base.units import LengthUnit, parse
from cagewright.base.vectors import Vector
from cagewright.check.attitude import tip
from cagewright.check.findings import Location
from cagewright.check.readings import at
from cagewright.shape.shell import LineKind, line_kind
from cagewright.shape.standing import door_bars, names_of
from cagewright.shape.types import Array, Cage, Line3, Member


@dataclass(frozen=True, slots=True, kw_only=True)
class Observed:
    """What one check saw.

    ``kept`` is None where it cannot be told; ``why`` says what is not known or was assumed.
    """

    where: Location
    kept: bool | None
    text: str = ""
    why: str = ""
    advice: str = ""


TOP_HEIGHT = parse("20 in", "length")
ABOUT = parse("2 in", "length")
ROOM = 80.0
"""Clear height the hand, the next bar and its weld want, mm (ours)."""
NEAR_SILL = 100.0
LEAN = math.radians(3.0)


def _doorbars(cage: Cage) -> dict[str, list[Member]]:
    """The doorbars of each side, lowest first by the height of their middle."""
    sides = {"left": door_bars(cage, -1.0), "right": door_bars(cage, 1.0)}
    return {side: sorted(bars, key=lambda m: float(_middle(m)[2])) for side, bars in sides.items() if bars}


def _middle(member: Member) -> Vector:
    return point_at(member.path, member.path.length / 2.0)


def _lines(cage: Cage, kind: LineKind, side: str) -> list[Line3]:
    sign = -1.0 if side == "left" else 1.0
    lines = [line for line in cage.lines if line_kind(line.name, line.note) == kind]
    return [line for line in lines if sign * float(line.points[:, 1].mean()) > 0.0]


def top_doorbar(cage: Cage) -> list[Observed]:
    """Whether each side's top doorbar stands about 508 mm over the floor line with room under it."""
    return [_top_doorbar(cage, side, bars) for side, bars in _doorbars(cage).items()]


def _top_doorbar(cage: Cage, side: str, bars: list[Member]) -> Observed:
    top, floor = bars[-1], _lines(cage, "floor", side)
    middle = _middle(top)
    where = Location(members=(top.name,), point=at(middle))
    if not floor:
        ask = f"measure the floor line on the {side} and enter it under shell, lines, named floor"
        return Observed(where=where, kept=None, why="no floor line is measured on that side", advice=ask)
    height = float(middle[2]) - _height_at(floor[0], float(middle[0]))
    rooms = [("under", _room_below(bars)), ("above", _room_above(cage, side, top))]
    known = [(word, room) for word, room in rooms if room is not None]
    words = [f"{top.name}: {say_length(height, cage.units)} over the floor line"]
    words += [f"{say_length(room, cage.units)} clear {word} it" for word, room in known]
    over = height - TOP_HEIGHT
    return Observed(
        where=where,
        kept=abs(over) <= ABOUT and all(room >= ROOM for _, room in known),
        text=", ".join(words),
        advice=_top_advice(top, over, known, cage.units),
    )


def _top_advice(top: Member, over: float, rooms: list[tuple[str, float]], units: LengthUnit) -> str:
    words: list[str] = []
    if abs(over) > ABOUT:
        words.append(f"set {top.name} {say_length(abs(over), units)} {'lower' if over > 0.0 else 'higher'}")
    words += [
        f"leave {say_length(ROOM - room, units)} more {word} {top.name}"
        for word, room in rooms
        if room < ROOM
    ]
    return "; ".join(words)


def _height_at(line: Line3, back: float) -> float:
    order = np.argsort(line.points[:, 0])
    return float(np.interp(back, line.points[order, 0], line.points[order, 2]))


def _room_below(bars: list[Member]) -> float | None:
    """Clear height between the middles of the two top bars, mm; None with one bar."""
    if len(bars) < 2:
        return None
    below, top = bars[-2:]
    return float(_middle(top)[2] - _middle(below)[2]) - top.tube.radius - below.tube.radius


def _room_above(cage: Cage, side: str, top: Member) -> float | None:
    """Clear height from the top bar's middle to a line named window or waist, mm; None without one."""
    sign = -1.0 if side == "left" else 1.0
    lines = [line for line in cage.lines if {"window", "waist"} & set(line.name.lower().split("_"))]
    lines = [line for line in lines if sign * float(line.points[:, 1].mean()) > 0.0]
    middle = _middle(top)
    heights = [_height_at(line, float(middle[0])) for line in lines]
    over = [height for height in heights if height > float(middle[2])]
    return min(over) - float(middle[2]) - top.tube.radius if over else None


def fourth_doorbar(cage: Cage) -> list[Observed]:
    """Whether, of four doorbars or more, the lowest ends close to the sill; a cross counts once."""
    doors = names_of((*door_bars(cage, -1.0), *door_bars(cage, 1.0)))
    halves = {j.branch for j in cage.joints if doors & {*j.mains}}
    sides = ((side, [m for m in bars if m.name not in halves]) for side, bars in _doorbars(cage).items())
    return [_fourth(cage, side, bars) for side, bars in sides if len(bars) > 3]


def _fourth(cage: Cage, side: str, bars: list[Member]) -> Observed:
    low, sill = bars[0], _lines(cage, "sill", side)
    where = Location(members=(low.name,))
    if not sill:
        ask = f"measure the sill on the {side} and enter it under shell, lines, named sill"
        return Observed(where=where, kept=None, why="no sill line is measured on that side", advice=ask)
    over = [float(p[2]) - _height_at(sill[0], float(p[0])) for p in (tip(low, "start"), tip(low, "end"))]
    return Observed(
        where=where,
        kept=max(over) <= NEAR_SILL,
        text=f"the ends of {low.name} stand {say_length(max(over), cage.units)} over the sill at most",
        advice=f"bring the ends of {low.name} {say_length(max(over) - NEAR_SILL, cage.units)} lower",
    )


def doorbar_lean(cage: Cage) -> list[Observed]:
    """Whether each side's doorbars lean as the door does, so that they read straight from outside."""
    sides = ((side, bars) for side, bars in _doorbars(cage).items() if len(bars) > 1)
    return [look for side, bars in sides if (look := _lean(cage, side, bars)) is not None]


def _lean(cage: Cage, side: str, bars: list[Member]) -> Observed | None:
    sign = -1.0 if side == "left" else 1.0
    middles = np.array([_middle(bar) for bar in bars])
    own = lean_in(middles[:, 2], sign * middles[:, 1])
    if own is None:
        return None
    where = Location(members=tuple(bar.name for bar in bars))
    door = _door_lean(cage, side, float(middles[0, 2]), float(middles[-1, 2]))
    if door is None:
        ask = f"measure the door opening on the {side} and enter it under shell, lines, named door_opening"
        return Observed(where=where, kept=None, why="the door opening is not measured there", advice=ask)
    off = own - door
    return Observed(
        where=where,
        kept=abs(off) <= LEAN,
        text=f"the {side} doorbars lean in {say_angle(own)}, the door {say_angle(door)}",
        advice=f"tip the {side} doorbars {say_angle(abs(off))} {'out' if off > 0.0 else 'in'} at the top",
    )


def lean_in(up: Array, out: Array) -> float | None:
    """How far places lean in toward the car's middle as they rise, rad; None with all at one height.

    Args:
        up: (n,) heights, mm.
        out: (n,) distances from the car's middle, mm.
    """
    if float(np.ptp(up)) < 30.0:
        return None
    slope = float(np.polyfit(up, out, 1)[0])
    return -math.atan(slope)


def _door_lean(cage: Cage, side: str, low: float, high: float) -> float | None:
    """The lean of the door opening's edges between two heights, rad, front and rear edges averaged."""
    sign = -1.0 if side == "left" else 1.0
    leans: list[float] = []
    for line in _lines(cage, "door opening", side):
        for a, b in pairwise(line.points):
            foot, head = (a, b) if a[2] < b[2] else (b, a)
            if foot[2] <= low and head[2] >= high:
                leans.append(-math.atan2(sign * float(head[1] - foot[1]), float(head[2] - foot[2])))
    return float(np.mean(leans)) if leans else None
