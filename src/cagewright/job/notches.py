"""Notches that were there before: the gap each leaves all round, and what closes it, cheapest first."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from cagewright.base.answers import Answer, Level, Value, figure, worst
from cagewright.base.cautions import CAUTIONS
from cagewright.base.drawing import Drawing
from cagewright.base.names import listed, named, shown
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.say import say, say_angle
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector, dot
from cagewright.job.opening import Job
from cagewright.job.pull import Takes, takes_of
from cagewright.job.weld_gap import weld_gap
from cagewright.make.notchdraw import gap_drawing, grind_drawing
from cagewright.shape.given import (
    ClosingMove,
    Grind,
    NotchEnd,
    Standoff,
    notch_end,
    slid,
    stands,
    to_grind,
    turned,
)
from cagewright.shape.types import Array, End, Member

LIMIT = 1.5
"""Widest gap that a weld on thin tube bridges where nobody says, mm: common practice, no source."""
CLOSED = 0.3
"""A gap of no more than this is called closed, mm."""
TARGET = 0.5
"""A move is told that brings the gap to this share of the limit, so that hands need not be exact (ours)."""
WAYS: tuple[tuple[Vector, str, str], ...] = (
    (np.array([1.0, 0.0, 0.0]), "at the back", "in front"),
    (np.array([0.0, 1.0, 0.0]), "on the right", "on the left"),
    (np.array([0.0, 0.0, 1.0]), "on top", "below"),
)
"""Back, across and up, and what is said of the wall on either side of the tube."""
Cure = Literal["as it is", "push home", "turn", "move along", "grind", "cut again"]


@dataclass(frozen=True, slots=True, kw_only=True)
class NotchRow:
    """One notch that was there before.

    Attributes:
        end: ``member.start`` or ``member.end``.
        meets: the tubes that it meets.
        words: the gap all round, in a sentence.
        widest: gap where it stands in the plan.
        limit: the widest gap that its weld bridges, and who says so.
        narrowest: likewise; less than 0 where the wall stands inside what it meets.
        home: how much further in the tube goes until it touches; less than 0: back out.
        pushed: widest gap once it is pushed home.
        cure: the cheapest thing that brings it within the limit.
        to_do: that, in a sentence.
        grind: the most that comes off, where anything does.
        takes: what it takes to pull it home against what is tacked; None where it touches as it is.
        gap: the gap all round, unrolled.
        wrap: what comes off, at 1:1; None where nothing does, or it has to be cut again.
    """

    end: str
    shown: str
    meets: tuple[str, ...]
    level: Level
    words: str
    limit: Value
    widest: Value
    narrowest: Value
    home: Value
    pushed: Value
    cure: Cure
    to_do: str
    grind: Value | None
    takes: Takes | None
    gap: Drawing
    wrap: Drawing | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NotchesAnswer(Answer):
    """Every notch of the plan that was there before, against what its weld bridges."""

    notches: tuple[NotchRow, ...]


def notches_of(job: Job, member: str = "", *, limit: float | None = None) -> NotchesAnswer:
    """Every given notch of the plan, or of one member.

    Args:
        job: the plan.
        member: name of the only one wanted; all where empty.
        limit: widest gap that is welded, mm, whatever plan and shop file say; theirs where not given.

    Raises:
        ProblemsFound: there is no such member, or it has no given notch.
    """
    ends = [(m, e) for m in job.cage.members for e in m.ends if e.given]
    if member:
        name = named(member, (m.name for m in job.cage.members))
        ends = [(m, e) for m, e in ends if m.name == name]
        if not ends:
            found = f"'{member}' has no notch that was there before"
            raise ProblemsFound([
                Problem(code="no-notch", where=Where(file=str(job.path)), found=found,
                        wanted="wanted a member with 'given:'")
            ])  # fmt: skip
    rows = tuple(_row(job, m, e, limit) for m, e in ends)
    wide = sum(row.level != "fine" for row in rows)
    return NotchesAnswer(
        headline=_headline(wide, rows),
        level=worst(tuple(row.level for row in rows)),
        cautions=CAUTIONS,
        notches=rows,
    )


def _headline(wide: int, rows: Sequence[NotchRow]) -> str:
    if not rows:
        return "no tube of the plan came notched"
    by = ", ".join(dict.fromkeys(f"{row.limit.said} ({row.limit.why})" for row in rows))
    return f"{wide} of {len(rows)} notches leave more than the weld bridges: {by}"


def _limit(job: Job, end: End, asked: float | None) -> Value:
    """The widest gap that is welded there: as asked, as the weld or the shop has it, else by practice."""
    if asked is not None:
        return figure(asked, "length", job.cage.units, rests_on="plan", why="as asked")
    why = "common practice, no source"
    return weld_gap(job, end) or figure(LIMIT, "length", job.cage.units, rests_on="assumed", why=why)


def _row(job: Job, member: Member, end: End, asked: float | None) -> NotchRow:
    cage, units = job.cage, job.cage.units
    notch = notch_end(cage, member.name, end.which)
    now, bridged = stands(notch), _limit(job, end, asked)
    limit = bridged.value or LIMIT
    cure, to_do, grind = _cure(notch, now, limit, units)
    name = f"{member.name}.{end.which}"
    takes = None
    if now.home > CLOSED:
        takes = takes_of(job, name, -now.home * notch.cope.axis, [m.name for m in cage.members], ())
    level: Level = "fine" if cure in ("as it is", "push home") else "look at"
    if takes is not None and takes.how == "stop":
        level = "fail"
    return NotchRow(
        end=name,
        shown=f"{shown(member.name)}, {end.which}",
        meets=tuple(m.name for m in notch.mains),
        level=level,
        words=_words(notch, now, units),
        limit=bridged,
        widest=figure(float(now.gap.max()), "length", units),
        narrowest=figure(float(now.gap.min()), "length", units),
        home=figure(now.home, "length", units),
        pushed=figure(float(now.pushed.max()), "length", units),
        cure=cure,
        to_do=to_do,
        grind=None if grind is None else figure(float(grind.off.max()), "length", units),
        takes=takes,
        gap=gap_drawing(
            name, radius=member.tube.radius, phi=now.phi, gap=now.pushed, limit=limit,
            sides=tuple(side_words(v) for v in now.out[:: len(now.phi) // 4]), units=units,
        ),
        wrap=None if grind is None else grind_drawing(
            name, radius=member.tube.radius, phi=grind.phi, edge=notch.cope.outside, off=grind.off,
            units=units,
        ),
    )  # fmt: skip


def side_words(way: Vector) -> str:
    """Which side of a tube its wall is on, in the car: ``at the back``, ``below``."""
    toward = [(float(dot(way, axis)), more, less) for axis, more, less in WAYS]
    value, more, less = max(toward, key=lambda side: abs(side[0]))
    return more if value > 0.0 else less


def _words(notch: NotchEnd, now: Standoff, units: LengthUnit) -> str:
    """Where it is open and where closed, once it is pushed home, and how far that is."""
    meets = listed(m.name for m in notch.mains)
    told = f"on {meets}: {_all_round(now.out, now.pushed, units)}"
    if now.home > CLOSED:
        return f"{told}, once pushed in by {say(now.home, 'length', units)}"
    if now.home < -CLOSED:
        return (
            f"{told}, once backed out by {say(-now.home, 'length', units)}: as planned it stands in the tube"
        )
    return told


def _all_round(out: Array, gap: Array, units: LengthUnit) -> str:
    """``2.5 mm open at the back, closed in front``."""
    if float(gap.max()) <= CLOSED:
        return "closed all round"
    widest = int(np.argmax(gap))
    open_ = f"{say(float(gap[widest]), 'length', units)} open {side_words(out[widest])}"
    across = np.where(gap <= CLOSED, out @ out[widest], np.inf)
    shut = side_words(out[int(np.argmin(across))])
    return f"{open_}, closed {shut}" if np.isfinite(across).any() else open_


def _cure(notch: NotchEnd, now: Standoff, limit: float, units: LengthUnit) -> tuple[Cure, str, Grind | None]:
    """The cheapest thing that closes it: leave it, push it home, turn it, move it, grind it, cut it again."""
    left = float(now.pushed.max())
    if left <= limit:
        moved = abs(now.home) > CLOSED
        way = "in" if now.home > 0.0 else "back out"
        if not moved:
            return "as it is", "weld it as it stands", None
        other = _opens(notch, now.home, units)
        return "push home", f"push it {way} by {say(abs(now.home), 'length', units)}{other}", None
    spin, (slide, along) = turned(notch, limit=TARGET * limit), slid(notch, limit=TARGET * limit)
    if not notch.member.bends and spin.left <= limit:
        return "turn", _turn_words(spin, units), None
    if slide.left <= limit:
        return "move along", _slide_words(notch, slide, along, units), None
    grind = to_grind(notch, limit=limit)
    if grind is None or float(grind.off.max()) > notch.member.tube.od / 3.0:
        return "cut again", "it was cut for something else: trim it and cut it again by its wrap", None
    deep, go = say(float(grind.off.max()), "length", units), say(abs(grind.advance), "length", units)
    way = "in" if grind.advance > 0.0 else "back out"
    return "grind", f"grind off up to {deep} by its wrap, then the tube goes {way} by {go}", grind


def _opens(notch: NotchEnd, home: float, units: LengthUnit) -> str:
    other = notch.member.ends[1 if notch.which == "start" else 0]
    if home <= 0.0 or other.joint is None:
        return ""
    return f"; its other end then stands {say(home, 'length', units)} further off"


def _turn_words(spin: ClosingMove, units: LengthUnit) -> str:
    way = "clockwise" if spin.by > 0.0 else "anticlockwise"
    left = say(max(spin.left, 0.0), "length", units)
    return f"turn the tube {say_angle(abs(spin.by))} {way}, seen from this end along it: {left} is left"


def _slide_words(notch: NotchEnd, slide: ClosingMove, along: Vector, units: LengthUnit) -> str:
    way = along * math.copysign(1.0, slide.by)
    toward = {
        "at the back": "back", "in front": "forward", "on the right": "to the right",
        "on the left": "to the left", "on top": "up", "below": "down",
    }[side_words(way)]  # fmt: skip
    by, left = say(abs(slide.by), "length", units), say(max(slide.left, 0.0), "length", units)
    return f"move this end {by} {toward} along {shown(notch.mains[0].name)}: {left} is left"
