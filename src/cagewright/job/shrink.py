"""What the welds of a step pull, in which order to make them, and the shop's own factor."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from cagewright.base.answers import Answer, Sentence, Value, figure
from cagewright.base.cautions import CAUTIONS
from cagewright.base.names import listed, shown
from cagewright.base.problems import Problem, ProblemsFound
from cagewright.base.say import say
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector
from cagewright.fitup.marks import end_words
from cagewright.fitup.pull import off_words
from cagewright.fitup.shrink import FIGURES, Shrunk, preset
from cagewright.fitup.weldstep import WeldStep, factor_from, first_words, weld_step
from cagewright.job.marks import steps_with
from cagewright.job.opening import Job
from cagewright.job.readings import ReadingsTaken, taken_from_record
from cagewright.records.fitting import newest, when
from cagewright.records.types import JobHistory
from cagewright.shape.types import member_named

WORTH_SETTING = 0.75
"""A preset smaller than this each way is not spoken of, mm: no tack is set finer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldRow:
    """One weld of the proposed order.

    Attributes:
        begin: the side that it is begun on, in words.
        drawn: how far it draws its tube in if nothing holds it back.
        upper: the shop allowance for the same weld.
        worst_after: how far the worst end is out after it.
    """

    joint: str
    begin: str
    drawn: Value
    upper: Value
    worst_after: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class SetOff:
    """How far off its place to tack an end that will be pulled: back, across and up, and in a sentence."""

    mark: str
    off: tuple[Value, Value, Value]
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnFactor:
    """The shop's own factor by its readings: from how many ends, and how well they follow the model."""

    factor: Value
    ends: int
    fits: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShrinkAnswer(Answer):
    """What welding a step moves.

    Attributes:
        welds: in the proposed order.
        listed: how far the worst end goes in the step's own order.
        proposed: how far in the proposed order.
        set_off: ends worth tacking off their places, the furthest first.
        feet: welds at feet, of which nothing is computed.
        factor: by which every shrinkage is multiplied.
        own: the shop's own factor by its readings; None where none were given.
        rests_on: what the figures rest on, each with its source.
        notes: sentences on all of these.
    """

    step: int
    title: str
    welds: tuple[WeldRow, ...]
    listed: Value
    proposed: Value
    set_off: tuple[SetOff, ...]
    feet: tuple[str, ...]
    factor: float
    own: OwnFactor | None
    rests_on: tuple[str, ...]
    notes: tuple[Sentence, ...]
    units: LengthUnit


def shrink_of(
    job: Job,
    number: int,
    *,
    factor: float | None = None,
    readings: tuple[ReadingsTaken, ReadingsTaken] | None = None,
    moves: Mapping[str, int] | None = None,
) -> ShrinkAnswer:
    """What the welds of a step pull.

    Args:
        job: the plan, opened.
        number: of the step.
        factor: the shop's own; from its file where not given.
        readings: of the same marks before the welds and after them.
        moves: tubes that the builder tacks at another step.

    Raises:
        FrameError: what is there at that step cannot stand.
        ProblemsFound: there is no such step, or the readings tell no factor.
    """
    steps, step = steps_with(job, number, moves)
    found = weld_step(job.cage, steps, number, factor=factor or job.shop.weld_shrinkage)
    units = job.cage.units
    pulls = {p.joint: p for p in found.pulls}
    own = _own(job, found, *readings) if readings else None
    set_off = set_off_rows(job, found.proposed)
    notes = [s.words for s in set_off]
    notes += [f"Nothing is computed of the welds at feet: {listed(found.feet)}."] if found.feet else []
    notes += [own.words] if own else []
    return ShrinkAnswer(
        headline=gain_words(found, units),
        cautions=CAUTIONS,
        step=number,
        title=step.title,
        welds=tuple(
            WeldRow(
                joint=bead.joint, begin=first_words(job.cage, bead),
                drawn=figure(pulls[bead.joint].drawn, "length", units, places=2),
                upper=figure(pulls[bead.joint].upper, "length", units, certainty="read"),
                worst_after=figure(float(running.max(initial=0.0)), "length", units),
            )
            for bead, running in zip(found.proposed.beads, found.proposed.running, strict=True)
        ),
        listed=figure(found.as_listed.worst, "length", units),
        proposed=figure(found.proposed.worst, "length", units),
        set_off=set_off,
        feet=found.feet,
        factor=found.factor,
        own=own,
        rests_on=tuple(f"{what}: {shrinks} ({source})" for what, shrinks, source in FIGURES),
        notes=tuple(Sentence(words=w) for w in notes),
        units=units,
    )  # fmt: skip


def gain_words(found: WeldStep, units: LengthUnit) -> str:
    """What the proposal is worth against the step's own order, in a sentence."""
    if not found.proposed.beads:
        return "No joint is welded at this step."
    before, after = (say(s.worst, "length", units) for s in (found.as_listed, found.proposed))
    if found.proposed.worst > found.as_listed.worst - 0.05 or before == after:
        return f"The order matters little here: the worst end goes {before} either way."
    return f"In the order listed the worst end goes {before}; in this order {after}."


def set_off_rows(job: Job, shrunk: Shrunk) -> tuple[SetOff, ...]:
    """Ends worth tacking off their places, the furthest first."""
    off = preset(shrunk)
    size = np.abs(off).max(axis=1, initial=0.0)
    return tuple(
        _row(job, shrunk.watched[i].member, shrunk.watched[i].name, off[i])
        for i in np.argsort(-size)
        if size[i] >= WORTH_SETTING
    )


def _row(job: Job, name: str, mark: str, off: Vector) -> SetOff:
    member, units = member_named(job.cage, name), job.cage.units
    i = int(mark.endswith(".end"))
    words = off_words(off, None, member.ends[i].cut.origin, units)
    back, across, up = (figure(float(v), "length", units) for v in off)
    said = f"{shown(name)}: tack the {end_words(member, i)} {words} of its place"
    return SetOff(mark=mark, off=(back, across, up), words=said)


def readings_round_welds(
    job: Job, number: int, told: JobHistory | None, moves: Mapping[str, int] | None = None
) -> tuple[ReadingsTaken, ReadingsTaken] | None:
    """What the record has read at a step before its first weld was ticked, and after its last.

    None where it was not read both times, or too little.

    Args:
        job: the plan, opened.
        number: of the step.
        told: all that is recorded of the job.
        moves: tubes that the builder tacks at another step.
    """
    mine = [e for e in told.entries if e.step == str(number) and e.used] if told else []
    welds = sorted(when(e) for e in mine if e.kind == "tick" and e.text == "weld")
    if not welds:
        return None
    parts = (
        [e for e in mine if e.kind == "reading" and when(e) < welds[0]],
        [e for e in mine if e.kind == "reading" and when(e) > welds[-1]],
    )
    try:
        before, after = (taken_from_record(job, number, newest(part), moves) for part in parts)
    except ProblemsFound:
        return None
    return before, after


def _own(job: Job, found: WeldStep, before: ReadingsTaken, after: ReadingsTaken) -> OwnFactor:
    """The shop's own factor from both readings.

    Raises:
        ProblemsFound: no end was read both times that these welds move enough to tell by.
    """
    own = factor_from(found, before.adjusted, after.adjusted)
    if not own.count:
        wanted = "wanted readings of ends that the welds of this step move, before and after"
        said = "no end that was read both times moves enough to tell the factor by"
        raise ProblemsFound([Problem(code="no-factor", where=after.fit.where, found=said, wanted=wanted)])
    value = figure(own.value, "number", job.cage.units, rests_on="measured", plus_minus=1.96 * own.spread)
    poor = "; the readings do not follow the model well: read again before using it" if own.fits > 2.0 else ""
    words = (
        f"This shop's factor, from {own.count} ends: {value.said}{poor}. "
        f"Put 'weld_shrinkage: {own.value:.2f}' into the shop file to use it."
    )
    return OwnFactor(factor=value, ends=own.count, fits=round(own.fits, 2), words=words)
