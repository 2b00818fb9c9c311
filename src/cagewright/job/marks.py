"""What to punch and to read at one step of the build, and its paper."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from string import ascii_uppercase

import numpy as np

from cagewright.base.answers import Answer, Value, figure
from cagewright.base.cautions import CAUTIONS
from cagewright.base.names import shown
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.say import number
from cagewright.base.units import MM_PER_IN, LengthUnit
from cagewright.fitup.choose import (
    MANY,
    Choice,
    Tapes,
    as_planned,
    covariance_with,
    most_helpful,
    sure_of,
    tapes_of,
)
from cagewright.fitup.marks import Mark, marks_of
from cagewright.fitup.network import AXES, CAR, SIZES, Kind, Network, Reading
from cagewright.fitup.order import BuildStep, datum_at, present_at, welded_before, within_for
from cagewright.fitup.readings import reading_name
from cagewright.fitup.sheet import held_at, step_network, step_readings
from cagewright.job.opening import Job
from cagewright.job.order import StepRow, is_slow, shell_in, step_row, steps_of
from cagewright.shape.drafts import car_points
from cagewright.shape.mesh import Mesh
from cagewright.shape.shell import line_kind, plain_body

LEAN_WITHIN = float(np.radians(0.3))
"""How far a lean may be out before the next step: 0.3 degrees, common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkRow:
    """A mark.

    Attributes:
        name: as readings files have it.
        letter: it goes by at this step; empty where no reading uses it.
        said: its name in plain words.
        member: the tube it is punched on; None for a mark on the car.
        along: developed distance along the tube; None on the car.
        face: the side of the tube; empty on the car.
        what: what stands there, in words.
        point: back, across and up, mm.
        place: the same as it is said.
    """

    name: str
    letter: str
    said: str
    member: str | None
    along: Value | None
    face: str
    what: str
    point: tuple[float, float, float]
    place: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A reading to take.

    Attributes:
        number: in the order they are worth taking.
        kind: tape, level, lean or place.
        b: its second mark; empty for a place.
        axis: of a lean or a place.
        short: between which marks, by their letters: A to B.
        how: how to take it, in words.
        planned: what the plan says it reads.
        within: how far from that it may be.
        ask: how far from that a reading is asked about before it is kept.
        start: what a field for it begins with, to be made a little more or less.
        why: why it is worth taking.
        leaves: +- of the least sure mark of the step's tubes once it is read; None where not told.
    """

    number: int
    kind: Kind
    a: str
    b: str
    axis: str
    short: str
    how: str
    planned: Value
    within: Value
    ask: Value
    start: str
    why: str
    leaves: Value | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SureRow:
    """How sure a tube's place will be: the +- of its least sure mark once the readings are taken."""

    member: str
    sure: Value
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepAnswer(Answer):
    """What to punch and to read at a step.

    Attributes:
        present: tubes that are there.
        held: tubes that stand where earlier steps left them.
        welded: joints and feet welded before.
        datum: what positions are told from.
        marks: to punch for the readings, or on the tubes of the step.
        mark_names: every mark that is there to read from.
        readings: to take, the worthiest first; None where they are not chosen yet.
        more: what further readings would bring.
        sure: how sure the place of each tube of the step will be, the least sure first.
    """

    step: StepRow
    present: tuple[str, ...]
    held: tuple[str, ...]
    welded: tuple[str, ...]
    datum: str
    marks: tuple[MarkRow, ...]
    mark_names: tuple[str, ...]
    readings: tuple[Wanted, ...] | None
    more: tuple[Wanted, ...]
    sure: tuple[SureRow, ...]
    units: LengthUnit
    revision: str


Chosen = Sequence[Mapping[str, str]]
"""Readings chosen before: kind, a, b, axis and why of each."""
ASK, ASK_LEAN = 25.0, float(np.radians(2.0))
"""A reading further than this from the plan is asked about before it is kept, mm and rad (assumed)."""
UNFIXED = 20.0
"""A +- of more than this is not told: the tube is not fixed yet, mm."""
MORE = 3
"""Further readings that are told of with what they would bring."""


def step_of(
    job: Job,
    number: int,
    moves: Mapping[str, int] | None = None,
    *,
    chosen: Chosen | None = None,
    choose: bool = True,
    also: Collection[str] = (),
) -> StepAnswer:
    """What to punch and to read at a step.

    Args:
        job: the plan, opened.
        number: of the step.
        moves: tubes that the builder tacks at another step.
        chosen: the readings, where they were chosen before.
        choose: whether to choose them where that takes seconds.
        also: marks to tell of besides, such as those that were read.

    Raises:
        ProblemsFound: there is no such step.
    """
    steps, step = steps_with(job, number, moves)
    net = step_network(job.cage, marks_for(job), steps, number)
    read: Sequence[Choice] | None = None
    if chosen is not None:
        read = _again(net, chosen)
    elif choose or not is_slow(step):
        read = _choices(job, steps, number)
    letters = letters_of(c.reading for c in read or ())
    words = Words(net=net, letters=letters, units=job.cage.units)
    readings = None if read is None else wanted_rows(read, words)
    sure = _sure(net, step, [c.reading for c in read or ()], job.cage.units)
    present, marks = present_at(steps, number), marks_for(job)
    return StepAnswer(
        headline=_headline(step, readings, sure),
        cautions=CAUTIONS,
        step=step_row(job.cage, steps, step),
        present=present,
        held=held_at(job.cage, steps, number),
        welded=welded_before(steps, number),
        datum=datum_at(steps, number),
        marks=_mark_rows(job, marks, letters, (*also, *(step.tack if chosen else ()))),
        mark_names=tuple(
            m.name for m in marks if m.member in present or (not m.member and m.name in net.index)
        ),
        readings=readings,
        more=_more(job, net, read, words),
        sure=sure,
        units=job.cage.units,
        revision=job.cage.revision,
    )


def _headline(step: BuildStep, readings: Sequence[Wanted] | None, sure: Sequence[SureRow]) -> str:
    words = f"Step {step.number}: {step.title}; {len(readings or ())} readings to take"
    return f"{words}, then every tube is known to {sure[0].sure.said} or better." if sure else f"{words}."


def _mark_rows(
    job: Job, marks: Sequence[Mark], letters: Mapping[str, str], also: Collection[str]
) -> tuple[MarkRow, ...]:
    """Marks that have a letter, by it; then those of the tubes or of the names ``also``."""
    named = [m for m in marks if m.name in letters or m.name in also or m.member in also]
    named.sort(key=lambda m: (m.name not in letters, list(letters).index(m.name) if m.name in letters else 0))
    return tuple(mark_row(m, letters.get(m.name, ""), job.cage.units) for m in named)


def _sure(
    net: Network, step: BuildStep, readings: Sequence[Reading], units: LengthUnit
) -> tuple[SureRow, ...]:
    """How sure each tube will be; those of the step where it tacks any."""
    if not readings or not net.bodies:
        return ()
    every = sure_of(net, covariance_with(net, readings))
    mine = {m: s for m, s in every.items() if m in step.tack} or every
    rows = sorted(mine.items(), key=lambda row: -row[1])
    return tuple(
        SureRow(
            member=m,
            sure=(v := figure(s, "length", units, rests_on="estimate")),
            words=f"{shown(m)} ± {v.said}",
        )
        for m, s in rows
    )


def _more(job: Job, net: Network, read: Sequence[Choice] | None, words: Words) -> tuple[Wanted, ...]:
    """What further readings would bring, once those are taken."""
    if not read or len(net.bodies) > MANY:
        return ()
    still = np.zeros((len(net.bodies), 6))
    more = most_helpful(net, tapes_for(job, net), [c.reading for c in read], still, count=MORE)
    return wanted_rows(more, words, first=len(read) + 1)


def letters_of(readings: Iterable[Reading]) -> dict[str, str]:
    """A letter for each mark, in the order in which the readings use them: A to Z, then AA, AB, ..."""
    names = dict.fromkeys(n for r in readings for n in (r.a, r.b) if n)
    return {name: _letter(i) for i, name in enumerate(names)}


def _letter(number: int) -> str:
    first, last = divmod(number, 26)
    return (ascii_uppercase[first - 1] if first else "") + ascii_uppercase[last]


def steps_with(
    job: Job, number: int, moves: Mapping[str, int] | None = None
) -> tuple[tuple[BuildStep, ...], BuildStep]:
    """The steps, and the one of that number.

    Raises:
        ProblemsFound: there is none.
    """
    steps = steps_of(job, moves)
    if 1 <= number <= len(steps):
        return steps, steps[number - 1]
    found, wanted = f"there is no step {number}", f"wanted one of the {len(steps)} steps: see order"
    raise ProblemsFound([
        Problem(code="no-step", where=Where(file=job.path.as_posix()), found=found, wanted=wanted)
    ])


def marks_for(job: Job) -> tuple[Mark, ...]:
    """Every mark of the cage and the car."""
    return job.cache.get(("marks", job.key), lambda: _marks(job))


def _marks(job: Job) -> tuple[Mark, ...]:
    lines = job.plan.shell.lines if job.plan.shell else {}
    measured = {
        line.name: line.points
        for line in job.cage.lines
        if line.name in lines and line_kind(line.name, line.note) != "outer edge"
    }
    return marks_of(job.cage, car_points(job.plan), measured)


def mark_row(mark: Mark, letter: str, units: LengthUnit) -> MarkRow:
    """The mark as part of an answer."""
    back, across, up = (round(float(v), 1) for v in mark.point)
    return MarkRow(
        name=mark.name, letter=letter, said=mark.said, member=mark.member, face=mark.face, what=mark.what,
        point=(back, across, up),
        along=figure(mark.along, "length", units, rests_on="plan") if mark.member else None,
        place=" / ".join(number(v, "length", units) for v in (back, across, up)),
    )  # fmt: skip


def _choices(job: Job, steps: tuple[BuildStep, ...], number: int) -> tuple[Choice, ...]:
    key = ("step readings", job.key, steps, number)
    return job.cache.get(key, lambda: step_readings(job.cage, marks_for(job), steps, number, known_body(job)))


def known_body(job: Job) -> Mesh | None:
    """The body as far as it stands in a tape's way: the scan, else what the measured lines span."""

    def made() -> Mesh | None:
        shell = shell_in(job)
        return shell.scan.mesh if shell.scan else plain_body(shell, job.cage.feet)

    return job.cache.get(("known body", job.key), made)


def tapes_for(job: Job, net: Network) -> Tapes:
    """What stands in a tape's way."""
    return tapes_of(net, job.cage, known_body(job))


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """What readings are told with: the marks, their letters (those without go by name), the units."""

    net: Network
    letters: Mapping[str, str]
    units: LengthUnit

    def mark(self, name: str) -> str:
        """The mark in plain words."""
        return self.net.marks[self.net.index[name]].said if name in self.net.index else shown(name)

    def short(self, name: str) -> str:
        """Its letter, else its name in plain words."""
        return self.letters.get(name) or self.mark(name)

    def reading(self, reading: Reading) -> str:
        """How a reading is spoken of."""
        ends = " to ".join(self.short(n) for n in (reading.a, reading.b) if n)
        axis = f", {AXES[reading.axis]}" if reading.kind in {"lean", "place"} else ""
        return ends if reading.kind == "tape" else f"{reading.kind} of {ends}{axis}"

    def lettered(self, name: str) -> str:
        """The mark in plain words, with its letter before it where it has one."""
        return f"{self.letters[name]}, {self.mark(name)}," if name in self.letters else self.mark(name)


def wanted_rows(choices: Sequence[Choice], words: Words, first: int = 1) -> tuple[Wanted, ...]:
    """The readings to take as part of an answer."""
    return tuple(_wanted(n, c, words) for n, c in enumerate(choices, start=first))


def _wanted(n: int, c: Choice, words: Words) -> Wanted:
    r, units = c.reading, words.units
    axis = AXES[r.axis] if r.kind in {"lean", "place"} else ""
    within = LEAN_WITHIN if r.kind == "lean" else within_for(abs(r.seen))
    leaves = None if not c.leaves < UNFIXED else figure(c.leaves, "length", units, rests_on="estimate")
    return Wanted(
        number=n, kind=r.kind, a=r.a, b=r.b, axis=axis,
        short=" to ".join(words.short(m) for m in (r.a, r.b) if m),
        how=how_words(r, words),
        planned=said(r.kind, r.seen, units, rests_plan=True),
        within=said(r.kind, within, units, rests_plan=True), why=c.why,
        ask=said(r.kind, ASK_LEAN if r.kind == "lean" else ASK, units, rests_plan=True),
        start=entry_of(r.kind, r.seen, units), leaves=leaves,
    )  # fmt: skip


def said(kind: Kind, seen: float, units: LengthUnit, *, rests_plan: bool = False) -> Value:
    """What a reading says, mm or rad, as it stands on a tape or a level."""
    quantity = "angle" if kind == "lean" else "length"
    return figure(seen, quantity, units, rests_on="plan" if rests_plan else "measured")


def entry_of(kind: Kind, seen: float, units: LengthUnit) -> str:
    """A reading, mm or rad, as a field takes it: whole mm, 1/16 of an inch in decimals, 0.1 degrees."""
    if kind == "lean":
        return f"{np.degrees(seen):.1f}"
    return f"{seen:.0f}" if units == "mm" else f"{round(seen / MM_PER_IN * 16.0) / 16.0:g} in"


def how_words(reading: Reading, words: Words) -> str:
    """How to take a reading."""
    a, b = words.lettered(reading.a), words.lettered(reading.b).rstrip(",") if reading.b else ""
    axis = AXES[reading.axis] if reading.axis >= 0 else ""
    return {
        "tape": f"Tape from {a} to {b}",
        "level": f"How much higher {b} is than {a}".rstrip(",")
        + ("" if words.net.held == CAR else " over the bench"),
        "lean": f"How far the line from {a} up to {b} leans {axis}",
        "place": f"Where {a} is, {axis}",
    }[reading.kind]


def _again(net: Network, chosen: Chosen) -> tuple[Choice, ...]:
    """The readings that were chosen before, with what the plan says now."""
    out: list[Choice] = []
    for row in chosen:
        kind: Kind = next(k for k in SIZES if k == row["kind"])
        axis = 2 if kind == "level" else AXES.index(row["axis"]) if row["axis"] else -1
        name = reading_name(kind, row["a"], row["b"], row["axis"])
        blank = Reading(name=name, kind=kind, a=row["a"], b=row["b"], axis=axis, seen=0.0, size=SIZES[kind])
        out.append(Choice(reading=replace(blank, seen=as_planned(net, blank)), why=row["why"], leaves=np.nan))
    return tuple(out)
