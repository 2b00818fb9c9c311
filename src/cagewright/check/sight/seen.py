"""What the cage and the body's pillars hide from the driver: the forward-vision regulation's construction.

The head turns until the line through the eyes is square to the line from the outer eye to the outer edge of
section S2; the obstruction is the angle from that line to the line from the other eye to the inner edge of
section S1 (UN R125 5.1.2 and 6.1; construction from memory, unchecked). Less than nothing means that each
eye sees what the other cannot.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from cagewright.base.vectors import Vector, dot, mirrored
from cagewright.check.sight.eyes import SIDES, Choice, Eyes, eyes_of, figures, regulation_point
from cagewright.plan.types import PersonEntry, Side
from cagewright.shape.outlines import (
    Discs,
    LongBar,
    along,
    along_line,
    foremost,
    left_edge,
    left_tangent_beside,
    level_section,
    plan_angle,
    right_edge,
)
from cagewright.shape.shell import line_kind
from cagewright.shape.types import Cage, Line3, Member, driver_body

ObstructionKind = Literal["member", "pillar", "together"]
"""A member alone, the body's pillar alone, or both taken as one thing from edge to edge."""
SEE_BETWEEN = math.radians(1.0)
"""A member and the pillar with more than this between them, seen by one eye, are two things, rad (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstruction:
    """What one thing hides.

    Attributes:
        name: of the member, or of the pillar's side.
        kind: member, pillar, or both together.
        side: of the driver's straight-ahead view on which it stands.
        one_eye: angle its lower section hides from a single eye halfway between the two, rad.
        straight: angle hidden from both eyes, head not turned, rad; negative where one always sees past it.
        both: angle hidden from both eyes, head turned to it by the regulation's construction, rad.
        turned: how far the head is turned to that side, rad.
        point: (3,) foremost point of it at the lower section, mm.
        apart: for a member with the pillar, the angle one eye sees between the two, rad; 0 where they overlap
            in the view, and for anything else.
    """

    name: str
    kind: ObstructionKind
    side: Side
    one_eye: float
    straight: float
    both: float
    turned: float
    point: Vector
    apart: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """How the hidden angles change when a member moves outward.

    Outward by ``by`` mm; the angles hidden from both eyes change, rad, the member ``alone`` and
    ``together`` with the body's pillar of its side (None where no pillar is measured).
    """

    name: str
    by: float
    alone: float
    together: float | None


def sight(cage: Cage, choice: Choice = "own") -> tuple[Obstruction, ...]:
    """What each member ahead of the driver, each pillar, and each of them together hide; the worst first.

    Raises:
        ValueError: the cage has no driver.
    """
    eyes = _eyes(cage, choice)
    limit = pillar_limit(cage)
    pillars: dict[Side, tuple[LongBar, ...]] = {side: pillar_bars(cage, side, limit) for side in SIDES}
    found = [
        obstruction(eyes, bars, f"{side} pillar", "pillar", side)
        for side, bars in pillars.items()
        if len(bars) > 1
    ]
    for member in cage.members:
        found.extend(_member(eyes, member, pillars, limit))
    return tuple(sorted((f for f in found if f is not None), key=lambda f: -f.both))


def _eyes(cage: Cage, choice: Choice) -> Eyes:
    return eyes_of(seeing(cage), choice)


def seeing(cage: Cage) -> PersonEntry:
    """The driver: what others in the car see is no matter.

    Raises:
        ValueError: the cage has no driver.
    """
    body = driver_body(cage)
    if body is None:
        raise ValueError("without a driver there are no eyes")
    return body


def pillar_limit(cage: Cage) -> float:
    """The back coordinate ahead of which a thing can hide as a pillar does, mm.

    Raises:
        ValueError: the cage has no driver.
    """
    return float(regulation_point("v1", seeing(cage))[0]) - figures()["pillar_forward_of"]["ahead"]


def _member(
    eyes: Eyes, member: Member, pillars: dict[Side, tuple[LongBar, ...]], limit: float
) -> list[Obstruction | None]:
    bars = passes(eyes, member_bar(member), limit)
    return [seen for bar in bars for seen in _pass(eyes, bar, pillars)]


def _pass(eyes: Eyes, bar: LongBar, pillars: dict[Side, tuple[LongBar, ...]]) -> list[Obstruction | None]:
    alone = obstruction(eyes, (bar,), bar.name, "member")
    if alone is None or len(pillars[alone.side]) < 2:
        return [alone]
    pillar = obstruction(eyes, pillars[alone.side], "", "pillar", alone.side)
    both = obstruction(eyes, (bar, *pillars[alone.side]), bar.name, "together", alone.side)
    if pillar is None or both is None:
        return [alone]
    return [alone, replace(both, apart=max(both.one_eye - alone.one_eye - pillar.one_eye, 0.0))]


def member_bar(member: Member) -> LongBar:
    """The member as something that may be in the way."""
    return LongBar(name=member.name, points=along(member.path), radius=member.tube.radius)


def passes(eyes: Eyes, bar: LongBar, limit: float) -> tuple[LongBar, ...]:
    """The stretches of a tube that pass between the section planes ahead of ``limit`` mm.

    A hoop ahead of the driver passes once with each leg.
    """
    off = bar.points - eyes.through
    above_low = dot(off, _normal(-figures()["sections"]["down"])) > -bar.radius
    below_high = dot(off, _normal(figures()["sections"]["up"])) < bar.radius
    between = (bar.points[:, 0] < limit) & above_low & below_high
    turns = np.flatnonzero(np.diff(np.concatenate([[False], between, [False]]).astype(np.int8)))
    runs = (bar.points[a:b] for a, b in turns.reshape(-1, 2).tolist() if b - a > 1)
    return tuple(replace(bar, points=points) for points in runs)


def _normal(rise: float) -> Vector:
    """The unit normal (3,) of the cross plane that rises ``rise`` degrees to the front."""
    return np.array([math.sin(math.radians(rise)), 0.0, math.cos(math.radians(rise))])


def pillar_bars(cage: Cage, side: Side, limit: float) -> tuple[LongBar, ...]:
    """The measured edges of the body's pillar on that side, ahead of ``limit`` mm: lines named pillar."""
    sign = -1.0 if side == "left" else 1.0
    lines = [line for line in cage.lines if is_pillar(line) and sign * float(line.points[:, 1].mean()) > 0.0]
    bars = (
        _ahead_of(LongBar(name=line.name, points=along_line(line.points), radius=0.0), limit)
        for line in lines
    )
    return tuple(bar for bar in bars if bar is not None)


def is_pillar(line: Line3) -> bool:
    """Whether a body line is an edge of a screen pillar, by its name or note."""
    if line_kind(line.name, line.note) == "outer edge":
        return "pillar" in f"{line.name} {line.note}".lower()
    return line_kind(line.name, line.note) == "pillar"


def _ahead_of(bar: LongBar, limit: float) -> LongBar | None:
    keep = bar.points[:, 0] < limit
    return replace(bar, points=bar.points[keep]) if np.count_nonzero(keep) > 1 else None


def obstruction(
    eyes: Eyes, bars: Sequence[LongBar], name: str, kind: ObstructionKind, side: Side | None = None
) -> Obstruction | None:
    """What the bars hide, taken as one thing from edge to edge; None where they miss a section plane.

    The side is that of the lower section where it is not given.
    """
    low = section_of(bars, eyes.through, -figures()["sections"]["down"])
    high = section_of(bars, eyes.through, figures()["sections"]["up"])
    if low is None or high is None:
        return None
    side = side or ("left" if float(plan_angle(low[1] - eyes.mid)) < 0.0 else "right")
    if side == "right":
        seen = _seen_on_left(_mirrored(eyes), _mirrored_discs(low[0]), _mirrored_discs(high[0]))
    else:
        seen = _seen_on_left(eyes, low[0], high[0])
    one_eye, straight, both, turned = seen
    return Obstruction(
        name=name,
        kind=kind,
        side=side,
        one_eye=one_eye,
        straight=straight,
        both=both,
        turned=turned,
        point=low[1],
    )


def section_of(
    bars: Sequence[LongBar], through: Vector, rise: float
) -> tuple[tuple[Discs, ...], Vector] | None:
    """The level sections of the bars at their foremost point on a cross plane, and that point (3,).

    The plane goes ``through`` a point (3,), mm, and rises toward the front by ``rise`` degrees.
    """
    normal = _normal(rise)
    points = [p for p in (foremost(bar, through, normal) for bar in bars) if p is not None]
    if not points:
        return None
    first = min(points, key=lambda p: float(p[0]))
    sections = (level_section(bar, float(first[2])) for bar in bars)
    return tuple(s for s in sections if len(s.radii)), first


def _seen_on_left(
    eyes: Eyes, low: tuple[Discs, ...], high: tuple[Discs, ...]
) -> tuple[float, float, float, float]:
    """Of something on the left: hidden from one eye, from both, from both with the head turned; the turn."""
    across = np.array([0.0, eyes.half, 0.0])
    one_eye = _right(eyes.mid, low) - _left(eyes.mid, low)
    straight = _right(eyes.mid + across, high) - _left(eyes.mid - across, low)
    pivot = eyes.pivots[0]
    look = min(left_tangent_beside(pivot, discs, eyes.half) for discs in low)
    ahead = np.array([-math.cos(look), math.sin(look), 0.0])
    right = np.array([math.sin(look), math.cos(look), 0.0])
    inner_eye = pivot + eyes.ahead * ahead + eyes.half * right
    return one_eye, straight, _right(inner_eye, high) - look, -look


def _right(eye: Vector, section: Iterable[Discs]) -> float:
    return max(right_edge(eye, discs) for discs in section)


def _left(eye: Vector, section: Iterable[Discs]) -> float:
    return min(left_edge(eye, discs) for discs in section)


def _mirrored(eyes: Eyes) -> Eyes:
    left, right = eyes.pivots
    return replace(eyes, mid=mirrored(eyes.mid), pivots=(mirrored(right), mirrored(left)))


def _mirrored_discs(section: tuple[Discs, ...]) -> tuple[Discs, ...]:
    return tuple(replace(discs, centres=discs.centres * np.array([1.0, -1.0])) for discs in section)


def moved_outward(
    cage: Cage, name: str, by: float = 10.0, choice: Choice = "own", *, side: Side | None = None
) -> Shift | None:
    """How the hidden angles change when the member moves outward by ``by`` mm; None where it hides nothing.

    The whole member is shifted across the car, away from the driver's line of sight straight ahead; what it
    is joined to is left where it is.

    Args:
        cage: with a driver.
        name: of the member.
        by: how far, mm.
        choice: whose eyes.
        side: which of its legs, where it passes on both sides; the first along it where not given.

    Raises:
        KeyError: there is no such member.
        ValueError: the cage has no driver.
    """
    eyes, limit = _eyes(cage, choice), pillar_limit(cage)
    member = next((m for m in cage.members if m.name == name), None)
    if member is None:
        raise KeyError(name)
    for bar in passes(eyes, member_bar(member), limit):
        before = obstruction(eyes, (bar,), name, "member")
        if before is not None and side in {None, before.side}:
            return _moved(eyes, bar, pillar_bars(cage, before.side, limit), before.side, by)
    return None


def _moved(eyes: Eyes, bar: LongBar, pillar: tuple[LongBar, ...], side: Side, by: float) -> Shift:
    outward = np.array([0.0, -by if side == "left" else by, 0.0])
    shifted = replace(bar, points=bar.points + outward)
    whole = len(pillar) > 1
    together = _change(eyes, (bar, *pillar), (shifted, *pillar), side) if whole else None
    alone = _change(eyes, (bar,), (shifted,), side)
    return Shift(name=bar.name, by=by, alone=alone or 0.0, together=together)


def _change(eyes: Eyes, before: Sequence[LongBar], after: Sequence[LongBar], side: Side) -> float | None:
    was, now = (obstruction(eyes, bars, "", "together", side) for bars in (before, after))
    return now.both - was.both if was is not None and now is not None else None
