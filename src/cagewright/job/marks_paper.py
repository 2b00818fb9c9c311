"""What to punch and to read at one step, on paper and as a file to fill in."""

from __future__ import annotations

from collections.abc import Mapping

from cagewright.base.names import listed, shown
from cagewright.base.say import unit_of
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.fitup.readings import line_of, readings_text
from cagewright.fitup.sheet import code_drawing, head_at
from cagewright.job.marks import StepAnswer
from cagewright.job.opening import Job
from cagewright.job.order import steps_of

BLANK = "…………"


def marks_table(answer: StepAnswer) -> Table:
    """Where to punch each mark: tube, distance along it, side, what stands there, place in the car."""
    unit = unit_of("length", answer.units)
    columns = (
        Column(head=""), Column(head="mark"), Column(head="along the tube", align="right"),
        Column(head="side"),
        Column(head="what"), Column(head="back / across / up", unit=unit),
    )  # fmt: skip
    rows = tuple(
        (m.letter, m.said, m.along.said if m.along else "–", m.face or "–", m.what, m.place)
        for m in answer.marks
    )
    return Table(title="Marks", columns=columns, rows=rows)


def readings_table(answer: StepAnswer) -> Table:
    """One row a reading: its marks, what the plan says, how near it must be, a blank, the +- it leaves."""
    heads = ("No", "what", "from", "to", "plan", "within", "read", "why", "leaves ±")
    columns = tuple(
        Column(head=h, align="right" if h in {"No", "plan", "within", "leaves ±"} else "left") for h in heads
    )
    rows = tuple(
        (
            str(r.number), f"{r.kind} {r.axis}".strip(), *(f"{r.short} to ".split(" to ")[:2]),
            r.planned.said, r.within.said, BLANK, r.why, r.leaves.said if r.leaves else "–",
        )
        for r in answer.readings or ()
    )  # fmt: skip
    return Table(title="Readings", columns=columns, rows=rows)


def more_words(answer: StepAnswer) -> tuple[str, ...]:
    """How sure each tube will be, and what further readings would bring."""
    sure = f"Known then: {', '.join(s.words for s in answer.sure)}." if answer.sure else ""
    more = "; ".join(f"{r.how}: ± {r.leaves.said}" for r in answer.more if r.leaves)
    return tuple(w for w in (sure, f"One more would leave: {more}." if more else "") if w)


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
            *more_words(answer),
            *step.notes,
            *(piece.words for piece in step.distance),
            "A reading that does not fit is read again, not made to fit.",
        ),
    )


def blank_file(job: Job, answer: StepAnswer, moves: Mapping[str, int] | None = None) -> str:
    """A readings file with every reading of the step still blank."""
    head = head_at(job.cage, steps_of(job, moves), answer.step.number)
    rows = answer.readings or ()
    lines = ((line_of(r.kind, (r.a, r.b), r.axis, "unread"), f"plan {r.planned.said}") for r in rows)
    return readings_text(head, lines)
