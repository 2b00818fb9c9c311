"""What to punch and to read at one step of the build, and its paper."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from cagewright.base.answers import Answer, Value, figure
from cagewright.base.cautions import CAUTIONS
from cagewright.base.names import listed, shown
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.say import number, unit_of
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.base.units import MM_PER_IN, LengthUnit
from cagewright.fitup.choose import Choice, as_planned
from cagewright.fitup.marks import Mark, marks_of
from cagewright.fitup.network import AXES, SIZES, Kind, Network, Reading
from cagewright.fitup.order import BuildStep, datum_at, present_at, welded_before, within_for
from cagewright.fitup.readings import line_of, reading_name, readings_text
from cagewright.fitup.sheet import code_drawing, head_at, held_at, step_network, step_readings
from cagewright.job.opening import Job
from cagewright.job.order import StepRow, step_row, steps_of
from cagewright.shape.drafts import points_of

LEAN_WITHIN = float(np.radians(0.3))
"""How far a lean may be out before the next step: 0.3 degrees, common practice, no source."""
BLANK = "…………"


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkRow:
    """A mark.

    Attributes:
        name: as readings files have it.
        member: the tube it is punched on; None for a mark on the car.
        along: developed distance along the tube; None on the car.
        face: the side of the tube; empty on the car.
        what: what stands there, in words.
        point: back, across and up, mm.
        place: the same as it is said.
    """

    name: str
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
        how: how to take it, in words.
        planned: what the plan says it reads.
        within: how far from that it may be.
        start: what a field for it begins with, to be made a little more or less.
        why: why it is worth taking.
    """

    number: int
    kind: Kind
    a: str
    b: str
    axis: str
    how: str
    planned: Value
    within: Value
    start: str
    why: str


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
    """

    step: StepRow
    present: tuple[str, ...]
    held: tuple[str, ...]
    welded: tuple[str, ...]
    datum: str
    marks: tuple[MarkRow, ...]
    mark_names: tuple[str, ...]
    readings: tuple[Wanted, ...] | None
    units: LengthUnit
    revision: str


Chosen = Sequence[Mapping[str, str]]
"""Readings chosen before: kind, a, b, axis and why of each."""


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
    readings = None
    if chosen is not None:
        readings = _again(job, net, chosen)
    elif choose or not step_row(step).slow:
        readings = wanted_rows(_choices(job, steps, number), job.cage.units)
    named = {n for r in readings or () for n in (r.a, r.b)} | set(also)
    present = present_at(steps, number)
    marks = marks_for(job)
    return StepAnswer(
        headline=f"Step {number}: {step.title}; {len(readings or ())} readings to take.",
        cautions=CAUTIONS,
        step=step_row(step),
        present=present,
        held=held_at(job.cage, steps, number),
        welded=welded_before(steps, number),
        datum=datum_at(steps, number),
        marks=tuple(
            mark_row(m, job.cage.units)
            for m in marks
            if m.name in named or (chosen and m.member in step.tack)
        ),
        mark_names=tuple(m.name for m in marks if m.member is None or m.member in present),
        readings=readings,
        units=job.cage.units,
        revision=job.cage.revision,
    )


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
    return job.cache.get(("marks", job.key), lambda: marks_of(job.cage, points_of(job.plan)))


def mark_row(mark: Mark, units: LengthUnit) -> MarkRow:
    """The mark as part of an answer."""
    back, across, up = (round(float(v), 1) for v in mark.point)
    return MarkRow(
        name=mark.name, member=mark.member, face=mark.face, what=mark.what, point=(back, across, up),
        along=figure(mark.along, "length", units, rests_on="plan") if mark.member else None,
        place=" / ".join(number(v, "length", units) for v in (back, across, up)),
    )  # fmt: skip


def _choices(job: Job, steps: tuple[BuildStep, ...], number: int) -> tuple[Choice, ...]:
    key = ("step readings", job.key, steps, number)
    return job.cache.get(key, lambda: step_readings(job.cage, marks_for(job), steps, number))


def wanted_rows(choices: Sequence[Choice], units: LengthUnit) -> tuple[Wanted, ...]:
    """The readings to take as part of an answer."""
    return tuple(_wanted(n, c.reading, c.why, units) for n, c in enumerate(choices, start=1))


def _wanted(n: int, r: Reading, why: str, units: LengthUnit) -> Wanted:
    axis = AXES[r.axis] if r.kind in {"lean", "place"} else ""
    within = LEAN_WITHIN if r.kind == "lean" else within_for(abs(r.seen))
    return Wanted(
        number=n, kind=r.kind, a=r.a, b=r.b, axis=axis, how=how_words(r.kind, r.a, r.b, axis),
        planned=said(r.kind, r.seen, units, rests_plan=True),
        within=said(r.kind, within, units, rests_plan=True), why=why,
        start=entry_of(r.kind, r.seen, units),
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


def how_words(kind: Kind, a: str, b: str, axis: str) -> str:
    """How to take a reading."""
    a, b = shown(a), shown(b)
    return {
        "tape": f"Tape from {a} to {b}",
        "level": f"How much {b} is above {a}",
        "lean": f"How far the line from {a} up to {b} leans {axis}",
        "place": f"Where {a} is, {axis}",
    }[kind]


def _again(job: Job, net: Network, chosen: Chosen) -> tuple[Wanted, ...]:
    """The readings that were chosen before, with what the plan says now."""
    out: list[Wanted] = []
    for row in chosen:
        kind: Kind = next(k for k in SIZES if k == row["kind"])
        axis = 2 if kind == "level" else AXES.index(row["axis"]) if row["axis"] else -1
        name = reading_name(kind, row["a"], row["b"], row["axis"])
        blank = Reading(name=name, kind=kind, a=row["a"], b=row["b"], axis=axis, seen=0.0, size=SIZES[kind])
        planned = Reading(
            name=name,
            kind=kind,
            a=blank.a,
            b=blank.b,
            axis=axis,
            seen=as_planned(net, blank),
            size=blank.size,
        )
        out.append(_wanted(len(out) + 1, planned, row["why"], job.cage.units))
    return tuple(out)


# --- on paper and as a file


def marks_table(answer: StepAnswer) -> Table:
    """Where to punch each mark: tube, distance along it, side, what stands there, place in the car."""
    unit = unit_of("length", answer.units)
    columns = (
        Column(head="mark"), Column(head="along the tube", align="right"), Column(head="side"),
        Column(head="what"), Column(head="back / across / up", unit=unit),
    )  # fmt: skip
    rows = tuple(
        (shown(m.name), m.along.said if m.along else "–", m.face or "–", m.what, m.place)
        for m in answer.marks
    )
    return Table(title="Marks", columns=columns, rows=rows)


def readings_table(answer: StepAnswer) -> Table:
    """One row a reading: from, to, what the plan says, how near it must be, and a blank."""
    heads = ("No", "what", "from", "to", "plan", "within", "read", "why")
    columns = tuple(Column(head=h, align="right" if h in {"No", "plan", "within"} else "left") for h in heads)
    rows = tuple(
        (
            str(r.number), f"{r.kind} {r.axis}".strip(), shown(r.a), shown(r.b), r.planned.said,
            r.within.said, BLANK, r.why,
        )
        for r in answer.readings or ()
    )  # fmt: skip
    return Table(title="Readings", columns=columns, rows=rows)


def step_sheet(job: Job, answer: StepAnswer, *, link: str = "") -> Sheet:
    """The paper of one step.

    Args:
        job: the plan, opened.
        answer: what to punch and to read.
        link: what the code leads to; the step's own words where empty.
    """
    step = answer.step
    work = [(shown(n), do, BLANK) for do, names in (("tack", step.tack), ("weld", step.weld)) for n in names]
    heads = tuple(Column(head=h) for h in ("what", "do", "done, by"))
    target = link or f"cagewright:{answer.revision}/fit-up/{step.number}"
    held = f"Held where earlier steps left them: {listed(answer.held)}."
    return Sheet(
        name=f"fit_up_{step.number}",
        title=f"Fit-up, step {step.number}: {step.title}",
        kind="fit-up",
        tables=(
            *((Table(title="Work", columns=heads, rows=tuple(work)),) if work else ()),
            readings_table(answer),
            marks_table(answer),
        ),
        drawings=(code_drawing(target, name=f"code_{step.number}"),),
        notes=(
            *answer.cautions,
            f"{job.cage.title}, revision {answer.revision}.",
            f"Read from {shown(answer.datum)}. Within: ISO 13920 class B for that length.",
            *((held,) if answer.held else ()),
            *step.notes,
            "A reading that does not fit is read again, not made to fit.",
        ),
    )


def blank_file(job: Job, answer: StepAnswer, moves: Mapping[str, int] | None = None) -> str:
    """A readings file with every reading of the step still blank."""
    head = head_at(job.cage, steps_of(job, moves), answer.step.number)
    rows = answer.readings or ()
    lines = ((line_of(r.kind, (r.a, r.b), r.axis, "unread"), f"plan {r.planned.said}") for r in rows)
    return readings_text(head, lines)
