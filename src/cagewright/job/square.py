"""Where each tube really is by its readings, what does not fit, and what to read next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cagewright.base.answers import Answer, Level, Sentence, Value, figure, worst
from cagewright.base.cautions import CAUTIONS
from cagewright.base.names import listed, shown
from cagewright.base.outliers import UNCHECKED, Outlier
from cagewright.base.problems import Problem
from cagewright.base.say import Quantity, say
from cagewright.base.units import LengthUnit
from cagewright.fitup.asbuilt import as_built, changed_findings
from cagewright.fitup.asbuilt_push import NO_DIFFERENCE, PushedTwice, pushed_twice
from cagewright.fitup.choose import most_helpful
from cagewright.fitup.network import Reading
from cagewright.fitup.pull import WITHIN, EndStands, Stands, off_words, stands_of
from cagewright.job.findings import findings_of
from cagewright.job.marks import Wanted, Words, said, tapes_for, wanted_rows
from cagewright.job.opening import Job
from cagewright.job.readings import ReadingsTaken

CHOICES = (1.0, 2.0, 3.0, 5.0, 8.0)
"""How far an end may be out, as a page offers it, mm."""
LEVELS: dict[Stands, Level] = {"out": "fail", "cannot tell": "cannot tell", "in place": "fine"}


@dataclass(frozen=True, slots=True, kw_only=True)
class EndRow:
    """How one end of a tube stands.

    Attributes:
        mark: that speaks for the end.
        end: which: top, bottom, left end, ...
        stands: in place, out, or cannot tell.
        off: back, across and up from where the plan wants it, each with its 95 % range.
        words: the same in a sentence.
    """

    member: str
    mark: str
    end: str
    stands: Stands
    off: tuple[Value, Value, Value]
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlierRow:
    """A reading that the others contradict: what it says, and what the others make of it."""

    kind: str
    a: str
    b: str
    says: Value
    others: Value
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRow:
    """How one reading fits.

    Attributes:
        reading: how it is spoken of.
        residual: what it says beyond what all of them make of it.
        score: residual over its own standard deviation.
        checked: part of it that the others check, 0 to 1.
        words: how well it is checked.
    """

    reading: str
    residual: Value
    score: float
    checked: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SquareAnswer(Answer):
    """Where everything is.

    Attributes:
        basis: what it rests on: how many readings, told from what, how well they agree.
        datum: what positions are told from.
        within: how far an end may be out in each direction.
        choices: what else it could be, least first.
        unit_sigma: how far the readings are from each other over what a tape does; about 1.
        fits: whether that can be believed.
        loose: tubes that the readings do not fix.
        not_used: readings that cannot be used, and why.
        notes: sentences on all of these, and on another revision.
        ends: how every end stands, the worst first.
        read_next: readings that would sharpen the answer most.
        readings: how each reading fits.
        as_built: verdicts that are other than on the plan; empty where not asked.
        pushed: the cage as it stands pushed beside the plan; empty where not asked.
    """

    basis: Sentence
    datum: str
    within: Value
    choices: tuple[Value, ...]
    unit_sigma: float
    fits: bool
    loose: tuple[str, ...]
    outliers: tuple[OutlierRow, ...]
    not_used: tuple[Problem, ...]
    notes: tuple[Sentence, ...]
    ends: tuple[EndRow, ...]
    read_next: tuple[Wanted, ...]
    readings: tuple[CheckRow, ...]
    as_built: tuple[Sentence, ...]
    pushed: tuple[Sentence, ...]


def square_of(
    taken: ReadingsTaken, *, within: float = WITHIN, checks: bool = False, pushes: Sequence[str] | None = None
) -> SquareAnswer:
    """Where everything is by its readings.

    Args:
        taken: what was read.
        within: how far an end may be out in each direction, mm.
        checks: also check the cage as it stands, beside the plan.
        pushes: also push the cage as it stands, beside the plan; the default push where empty.

    Raises:
        FrameError: no such push, or the frame cannot stand.
        ProblemsFound: a rule book or the scan cannot be used.
    """
    job, found, units = taken.job, taken.adjusted, taken.job.cage.units
    stands = stands_of(job.cage, found, within=within)
    outliers = tuple(_outlier(o, words_of(taken)) for o in found.outliers)
    built = replace(job, cage=as_built(job.cage, found))
    return SquareAnswer(
        headline=_headline([s.stands for s in stands]),
        level=worst(tuple(LEVELS[s.stands] for s in stands)),
        cautions=CAUTIONS,
        basis=_basis(taken),
        datum=found.net.held,
        within=figure(within, "length", units, rests_on="assumed"),
        choices=tuple(figure(w, "length", units, rests_on="assumed") for w in sorted({*CHOICES, within})),
        unit_sigma=round(found.unit_sigma, 3),
        fits=found.fits,
        loose=found.loose,
        outliers=outliers,
        not_used=taken.fit.problems,
        notes=_notes(taken, outliers),
        ends=tuple(end_row(taken, s) for s in stands),
        read_next=read_next(taken),
        readings=_checks(taken),
        as_built=_changes(job, built) if checks else (),
        pushed=() if pushes is None else _pushed(pushed_twice(job.cage, built.cage, pushes), units),
    )


def _headline(stands: Sequence[Stands]) -> str:
    out, unsure = stands.count("out"), stands.count("cannot tell")
    if out:
        return f"{out} {'end is' if out == 1 else 'ends are'} out."
    if unsure:
        return f"Cannot tell for {unsure} {'end' if unsure == 1 else 'ends'}: read more."
    return "Every end is in place."


def _basis(taken: ReadingsTaken) -> Sentence:
    found = taken.adjusted
    words = (
        f"From {len(found.checks)} readings, told from {shown(found.net.held)}; they are "
        f"{found.unit_sigma:.2f} times as far apart as a tape's (about 1 is sound)"
    )
    more = "" if found.fits else ", which is more than can be believed: read the worst again"
    return Sentence(words=f"{words}{more}.", level="fine" if found.fits else "look at")


def _notes(taken: ReadingsTaken, outliers: Sequence[OutlierRow]) -> tuple[Sentence, ...]:
    fit, found, now = taken.fit, taken.adjusted, taken.job.cage.revision
    notes = [Sentence(words=o.words, level="look at", about=(o.a, o.b)) for o in outliers]
    notes += [Sentence(words=f"Not used: {p}", level="look at") for p in fit.problems]
    if fit.head.plan and fit.head.plan != now:
        words = f"Read against revision {fit.head.plan}; the plan is at {now} now."
        notes.append(Sentence(words=words, level="look at"))
    if found.loose:
        words = f"Not fixed by the readings: {listed(found.loose)}."
        notes.append(Sentence(words=words, level="cannot tell", about=found.loose))
    unchecked = [c.reading for c in found.checks if not np.isfinite(c.smallest)]
    if unchecked:
        words = f"Nothing would show an error in {listed(words_of(taken).reading(r) for r in unchecked)}."
        notes.append(Sentence(words=words, level="cannot tell", about=tuple(r.name for r in unchecked)))
    return tuple(notes)


def _outlier(found: Outlier[Reading], words: Words) -> OutlierRow:
    r = found.reading
    says, others = said(r.kind, r.seen, words.units), said(r.kind, found.others, words.units)
    told = f"{words.reading(r)} says {says.said}; the others make it {others.said}: read it again."
    if found.alike:
        told += f" It may be {' or '.join(words.reading(a) for a in found.alike)} instead."
    return OutlierRow(kind=r.kind, a=r.a, b=r.b, says=says, others=others, words=told)


def end_row(taken: ReadingsTaken, s: EndStands) -> EndRow:
    """How an end stands, as part of an answer."""
    units, net = taken.job.cage.units, taken.adjusted.net
    back, across, up = (
        figure(float(v), "length", units, rests_on="measured", plus_minus=float(d))
        for v, d in zip(s.off, s.sure, strict=True)
    )
    known = np.where(np.abs(s.off) > s.sure, s.off, 0.0) if s.stands == "out" else s.off
    how = off_words(known, s.sure, net.points[net.index[s.mark]], units)
    words = {
        "in place": "is in place",
        "out": f"is {how}",
        "cannot tell": f"reads {how}: not fixed well enough to say whether that is in place",
    }[s.stands]
    return EndRow(
        member=s.member, mark=s.mark, end=s.end, stands=s.stands, off=(back, across, up),
        words=f"{shown(s.member)}: {s.end} {words}",
    )  # fmt: skip


def read_next(taken: ReadingsTaken, of: Sequence[str] = (), count: int = 3) -> tuple[Wanted, ...]:
    """The readings that would sharpen the answer most.

    Args:
        taken: what was read.
        of: tubes to be found; all that can move where empty.
        count: how many.
    """
    found = taken.adjusted
    tapes, read = tapes_for(taken.job, found.net), [c.reading for c in found.checks]
    more = most_helpful(found.net, tapes, read, found.state, of=of, count=count)
    return wanted_rows(more, words_of(taken))


def words_of(taken: ReadingsTaken) -> Words:
    """What the readings are told with: plain names, no letters."""
    return Words(net=taken.adjusted.net, letters={}, units=taken.job.cage.units)


def _checks(taken: ReadingsTaken) -> tuple[CheckRow, ...]:
    units = taken.job.cage.units
    return tuple(
        CheckRow(
            reading=words_of(taken).reading(c.reading), residual=said(c.reading.kind, c.residual, units),
            score=round(c.score, 2), checked=round(c.checked, 3),
            words="nothing checks it" if c.checked < UNCHECKED else f"{100.0 * c.checked:.0f} % checked",
        )
        for c in taken.adjusted.checks
    )  # fmt: skip


def _changes(job: Job, built: Job) -> tuple[Sentence, ...]:
    return tuple(
        Sentence(
            words=f"{c.clause}, {shown(c.where)}: {c.planned} on the plan, {c.built} as built",
            level="look at" if c.worse else "fine",
        )
        for c in changed_findings(findings_of(job), findings_of(built))
    )


def _pushed(pushed: Sequence[PushedTwice], units: LengthUnit) -> tuple[Sentence, ...]:
    return tuple(Sentence(words=pushed_words(p, units)) for p in pushed)


def pushed_words(pushed: PushedTwice, units: LengthUnit) -> str:
    """The cage as it stands beside the plan under one push, in a sentence."""
    parts = (
        _pair("peak", pushed.peak, "force", units),
        _pair("energy", pushed.energy, "energy", units),
        _pair("least gap to the people in it", pushed.margin, "length", units),
    )
    return f"{shown(pushed.push)}: {'; '.join(parts)}"


def _pair(what: str, pair: tuple[float | None, float | None], quantity: Quantity, units: LengthUnit) -> str:
    plan, built = pair
    if plan is None or built is None:
        return f"{what} cannot be told"
    places = 0 if quantity == "length" else None
    on_plan = f"{what} {say(plan, quantity, units, places=places)} on the plan"
    small = 1.0 if quantity == "length" else NO_DIFFERENCE * abs(plan)
    if abs(built - plan) <= small:
        return f"{on_plan}, no difference as built"
    return f"{on_plan}, {say(built, quantity, units, places=places)} as built"
