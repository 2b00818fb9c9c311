"""What to pull, which way, how far and what it takes; how each joint has opened; and the paper of it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Literal

import numpy as np

from cagewright.base.answers import Answer, Value, figure
from cagewright.base.cautions import CAUTIONS
from cagewright.base.drawing import Drawing
from cagewright.base.names import named, shown
from cagewright.base.say import say
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector
from cagewright.fitup.force import How, close_gap, root_gap_asks, root_gap_limit
from cagewright.fitup.network import AXES, predicted, rows_of
from cagewright.fitup.order import welded_before
from cagewright.fitup.pull import (
    WITHIN,
    EndStands,
    JointGap,
    Stands,
    after_pulls,
    joint_gaps,
    off_words,
    stands_of,
)
from cagewright.fitup.tacked import part_of
from cagewright.frame.errors import FrameError
from cagewright.job.marks import Wanted, Words, step_of
from cagewright.job.opening import Job
from cagewright.job.order import is_slow, steps_of
from cagewright.job.readings import ReadingsTaken
from cagewright.job.square import LEVELS, end_row, read_next, words_of
from cagewright.job.weld_gap import weld_gap
from cagewright.make.arrows import Arrow, seen_from, with_arrows
from cagewright.make.views import Direction, cage_view
from cagewright.make.weldmap import throat_for
from cagewright.shape.types import member_named

Point = tuple[float, float, float]
GAP_TOLD = 0.5
"""Root gaps and overlaps of no more than this are not told of, mm."""
STRETCH = 20.0
"""Arrows on the cage are this many times as long as the pull, which could not be seen otherwise."""
VIEWS: tuple[Direction, ...] = ("side", "front", "plan")
HOW_WORDS: dict[How, str] = {
    "hand": "by hand: it moves freely",
    "strap": "by a strap",
    "stop": "something is wrong, stop: find out why before it is pulled",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Takes:
    """What a pull takes.

    Attributes:
        how: by hand, by a strap, stop because something is wrong, or cannot tell.
        force: to close it; None where that cannot be told.
        stress: largest bending stress that stays if it is welded so.
        member: the tube that has it.
        words: the whole in a sentence.
    """

    how: How | Literal["cannot tell"]
    force: Value | None
    stress: Value | None
    member: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PullRow:
    """One end that is not in place.

    Attributes:
        mark: that speaks for the end.
        end: which: top, bottom, left end, ...
        stands: out, or cannot tell.
        off: back, across and up from where the plan wants it, each with its 95 % range.
        words: how it stands, in a sentence.
        order: what to do, in a sentence with its +-; empty where that cannot be told.
        way: which way and how far, with its +-; empty where that cannot be told.
        tape: the tape to watch and what it has to come to; empty where none runs along the pull.
        settle: the reading that would settle it, where no order can be given.
        takes: what the pull takes; None where no order is given.
        start: the tail of its arrow on the cage, mm, stretched.
        stop: where the plan wants the mark, mm.
    """

    number: int
    member: str
    mark: str
    end: str
    stands: Stands
    off: tuple[Value, Value, Value]
    words: str
    order: str
    way: str
    tape: str
    settle: Wanted | None
    takes: Takes | None
    start: Point
    stop: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class GapRow:
    """How a joint has opened: its root gap and overlap, and what they ask for."""

    joint: str
    open: Value
    overlap: Value
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PullAnswer(Answer):
    """What to pull.

    Attributes:
        pulls: every end that is not in place, those that are out first.
        gaps: joints that have opened or overlap.
        stretch: how many times as long as the pull its arrow is.
        there: tubes that are in the car.
        step: of the build, or 0 where not said.
    """

    pulls: tuple[PullRow, ...]
    gaps: tuple[GapRow, ...]
    stretch: float
    there: tuple[str, ...]
    step: int
    units: LengthUnit
    revision: str


def pull_of(
    taken: ReadingsTaken,
    *,
    within: float = WITHIN,
    welded: Collection[str] = (),
    moves: Mapping[str, int] | None = None,
) -> PullAnswer:
    """What to pull.

    Args:
        taken: what was read.
        within: how far an end may be out in each direction, mm.
        welded: joints and feet that are welded; the rest is tacked.
        moves: tubes that the builder tacks at another step; then all that is welded before the readings' step
            counts as welded too.
    """
    cage, found = taken.job.cage, taken.adjusted
    if moves is not None:
        welded = (*welded, *welded_before(steps_of(taken.job, moves), taken.fit.head.step))
    there = tuple(sorted({m.member for m in found.net.marks if m.member}))
    names = [*(j.name for j in cage.joints), *(f.name for f in cage.feet)]
    welded = [named(w, names) for w in welded]
    every = stands_of(cage, found, within=within)
    stands = [s for s in every if s.stands != "in place"]
    numbers = _numbers(taken, moves)
    settle = {m: read_next(taken, of=(m,), count=1) for m in {s.member for s in stands if s.stands != "out"}}
    pulls = tuple(_pull(taken, n, s, there, welded, numbers, settle) for n, s in enumerate(stands, start=1))
    out = sum(p.stands == "out" for p in pulls)
    unsure = len(pulls) - out
    words = [f"{out} {'end' if out == 1 else 'ends'} to pull"] if out else []
    words += [f"cannot tell for {unsure}"] if unsure else []
    headline = f"{' and '.join(words)}." if words else "Every end is in place."
    return PullAnswer(
        headline=headline[0].upper() + headline[1:],
        level=LEVELS["out"] if out else LEVELS["cannot tell"] if unsure else "fine",
        cautions=CAUTIONS,
        pulls=pulls,
        gaps=tuple(
            _gap(taken.job, g) for g in joint_gaps(cage, found, every) if max(g.open, g.overlap) > GAP_TOLD
        ),
        stretch=STRETCH,
        there=there,
        step=taken.fit.head.step,
        units=cage.units,
        revision=cage.revision,
    )


def _numbers(taken: ReadingsTaken, moves: Mapping[str, int] | None) -> dict[tuple[object, ...], int]:
    """The numbers of the step's readings on its sheet, by what they are; empty where that is not known."""
    step = taken.fit.head.step
    steps = steps_of(taken.job, moves)
    if not 1 <= step <= len(steps) or is_slow(steps[step - 1]):
        return {}
    rows = step_of(taken.job, step, moves).readings or ()
    return {(r.kind, r.a, r.b, r.axis): r.number for r in rows}


def _pull(
    taken: ReadingsTaken, number: int, s: EndStands, there: Sequence[str], welded: Sequence[str],
    numbers: Mapping[tuple[object, ...], int], settle: Mapping[str, tuple[Wanted, ...]],
) -> PullRow:  # fmt: skip
    net, units, row = taken.adjusted.net, taken.job.cage.units, end_row(taken, s)
    stop = net.points[net.index[s.mark]]
    way, tape, takes, order = "", "", None, ""
    if s.stands == "out":
        way, tape = off_words(s.pull, s.sure, stop, units), _tape_words(s, words_of(taken))
        takes = takes_of(taken.job, f"{s.member}.{s.mark.rpartition('.')[2]}", s.pull, there, welded)
        order = _order(taken, s, way, takes, numbers)
    return PullRow(
        number=number, member=s.member, mark=s.mark, end=s.end, stands=s.stands, off=row.off,
        words=row.words, order=order, way=way, tape=tape,
        settle=next(iter(settle.get(s.member, ())), None), takes=takes,
        start=_point(stop - STRETCH * s.pull), stop=_point(stop),
    )  # fmt: skip


def _order(
    taken: ReadingsTaken, s: EndStands, way: str, takes: Takes, numbers: Mapping[tuple[object, ...], int]
) -> str:
    """What to do, with what, between which places, how hard, and what to read again."""
    units, words = taken.job.cage.units, words_of(taken)
    if takes.how == "stop":
        return f"do not pull it: it should go {way}, and something holds it; find out what"
    force = "by hand" if takes.how == "hand" else f"about {takes.force.said}" if takes.force else "gently"
    again = _again(taken, s, numbers)
    if s.tape is None:
        return f"pull it {way}, {force}; {again}"
    change = s.tape.then - s.tape.now
    tool = "jack apart" if change > 0 else "by hand together" if takes.how == "hand" else "strap together"
    size = say(abs(change), "length", units, places=0)
    return (
        f"pull it {way}: {tool} {words.mark(s.tape.a)} and {words.mark(s.tape.b)}, {size}, {force}; {again}"
    )


def _again(taken: ReadingsTaken, s: EndStands, numbers: Mapping[tuple[object, ...], int]) -> str:
    """The reading that the pull changes most, to be read again."""
    net, found = taken.adjusted.net, taken.adjusted
    read = [c.reading for c in found.checks]
    moved = after_pulls(found, [s])
    change = np.abs(
        (predicted(rows_of(net, read), moved.places) - predicted(rows_of(net, read), found.places))
        / np.array([r.size for r in read])
    )
    most = read[int(np.argmax(change))]
    axis = AXES[most.axis] if most.kind in {"lean", "place"} else ""
    number = numbers.get((most.kind, most.a, most.b, axis))
    return f"then read {number or words_of(taken).reading(most)} again"


def _point(at: Vector) -> Point:
    x, y, z = (float(v) for v in at)
    return x, y, z


def _tape_words(s: EndStands, words: Words) -> str:
    units = words.units
    if s.tape is None:
        return ""
    change = s.tape.then - s.tape.now
    now, by, then = (say(v, "length", units, places=0) for v in (s.tape.now, abs(change), s.tape.then))
    return (
        f"the tape from {words.mark(s.tape.a)} to {words.mark(s.tape.b)} now reads {now} and has to "
        f"{'grow' if change > 0 else 'shrink'} {by} to {then}"
    )


def takes_of(job: Job, end: str, pull: Vector, there: Sequence[str], welded: Sequence[str]) -> Takes:
    """What it takes to pull an end (``member.start``) by ``pull`` (3,) mm, now and with all else welded."""
    cage, units = job.cage, job.cage.units
    closing = partial(close_gap, cage, end, pull, present=there)
    every = [*(j.name for j in cage.joints), *(f.name for f in cage.feet)]
    try:
        now, then = closing(welded=welded), closing(welded=every)
    except FrameError as wrong:
        words = f"cannot tell what it takes: {'; '.join(wrong.messages)}"
        return Takes(how="cannot tell", force=None, stress=None, member="", words=words)
    force, stress = figure(now.force, "force", units), figure(now.stress, "stress", units)
    least = f"under {say(10.0, 'force', units)}" if now.force < 10.0 else force.said
    words = (
        f"closing {say(now.gap, 'length', units, places=0)} takes {least}, {HOW_WORDS[now.how]}; welded so, "
        f"{stress.said} stays in {shown(now.member)} ({100.0 * now.share:.0f} % of its yield strength). "
        f"With all else welded: {say(then.force, 'force', units)}, {HOW_WORDS[then.how]}"
    )
    return Takes(how=now.how, force=force, stress=stress, member=now.member, words=words)


def _gap(job: Job, gap: JointGap) -> GapRow:
    units = job.cage.units
    joint = next(j for j in job.cage.joints if j.name == gap.joint)
    end = next(e for e in member_named(job.cage, joint.branch).ends if e.joint == joint.name)
    walls = (member_named(job.cage, m).tube.wall for m in (joint.branch, *joint.mains))
    iso = root_gap_limit(end.throat or throat_for(*walls))
    limit = weld_gap(job, end) or figure(iso, "length", units, why="EN 25817 level C")
    opened = figure(gap.open, "length", units, rests_on="measured", plus_minus=gap.sure)
    overlap = figure(gap.overlap, "length", units, rests_on="measured", plus_minus=gap.sure)
    words = f"{shown(gap.joint)}: root gap {opened.said}, {_judged(gap, limit, units)}"
    if gap.overlap > GAP_TOLD:
        words += f"; overlaps by {overlap.said}"
    return GapRow(joint=gap.joint, open=opened, overlap=overlap, words=words)


def _judged(gap: JointGap, limit: Value, units: LengthUnit) -> str:
    """What the gap asks for, where its whole range asks for the same; else how to settle it."""
    least, most = max(gap.open - gap.sure, 0.0), gap.open + gap.sure
    over, wide = f"{limit.said} ({limit.why})", limit.value or 0.0
    if root_gap_asks(least) != root_gap_asks(most):
        return f"the readings do not settle it against {over}: gauge the gap itself before it is welded"
    within = "within" if most <= wide else "over" if least > wide else "about"
    return f"{within} {over}; {gap_asks(gap.open, units)}"


def gap_asks(gap: float, units: LengthUnit) -> str:
    """What a root gap of ``gap`` mm asks for, in words."""
    return {
        "as drawn": "weld as drawn",
        "add to the leg": f"add {say(gap, 'length', units)} to the leg (AWS D1.1, second-hand)",
        "too wide": "too wide for thin tube without backing: cut it again",
        "not to be welded": "not to be welded: cut it again",
    }[root_gap_asks(gap)]


# --- on paper


def pull_table(answer: PullAnswer) -> Table:
    """One row an end to pull: its number, which way and how far, the tape to watch, what it takes."""
    heads = ("No", "tube and end", "pull it", "watch this tape", "what it takes")
    rows = tuple(
        (
            str(p.number), f"{shown(p.member)}, {p.end}", p.way, p.tape or "none runs along the pull",
            p.takes.words if p.takes else "–",
        )
        for p in answer.pulls
        if p.order
    )  # fmt: skip
    return Table(title="What to pull", columns=tuple(Column(head=h) for h in heads), rows=rows)


def pull_sheet(job: Job, answer: PullAnswer) -> Sheet:
    """The paper of what to pull: arrows on the cage, and by number which end, how far and what it takes."""
    out = [p for p in answer.pulls if p.order]
    none = "Every end that was read is in place, or cannot be told: see the readings."
    return Sheet(
        name="pull",
        title=f"What to pull{f', step {answer.step}' if answer.step else ''}",
        kind="fit-up",
        tables=(pull_table(answer),) if out else (),
        drawings=tuple(_drawings(job, out, answer.there)),
        notes=(
            *(() if out else (none,)),
            *(p.words for p in answer.pulls if not p.order),
            *(g.words for g in answer.gaps),
            "Arrows show the way, not the size. Pull, read again, and only then weld.",
            *answer.cautions,
        ),
    )


def _drawings(job: Job, pulls: Sequence[PullRow], there: Sequence[str]) -> list[Drawing]:
    part = part_of(job.cage, there)
    wrong = tuple(dict.fromkeys(p.member for p in pulls))
    arrows = [
        Arrow(at=stop - way / STRETCH, way=way, text=str(p.number))
        for p in pulls
        for stop, way in ((np.array(p.stop), np.array(p.stop) - np.array(p.start)),)
    ]
    return [
        with_arrows(
            cage_view(part, way, box=(178.0, 80.0), numbers=False, sizes=False, wrong=wrong), way, arrows
        )
        for way in VIEWS
        if seen_from(arrows, way)
    ]
