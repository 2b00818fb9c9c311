"""What to read of a tube on the bench: the readings, how each is taken, and the file to fill in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from cagewright.base.answers import Answer, Sentence, Value, figure
from cagewright.base.cautions import CAUTIONS
from cagewright.base.names import shown, typed
from cagewright.base.problems import Problem, ProblemsFound, Where, nearest_word
from cagewright.base.units import LengthUnit
from cagewright.change.both_sides import written_out
from cagewright.fitup.marks import end_words
from cagewright.fitup.tube import END, START, TubeOnBench, TubeReading, bench_of, upward
from cagewright.fitup.tube_choice import choose_tube_readings
from cagewright.fitup.tube_taken import line_of, tube_text
from cagewright.job.opening import Job
from cagewright.plan.survey import UNREAD
from cagewright.plan.tube_file import TubeFile
from cagewright.shape.types import Member


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeWanted:
    """One reading to take on the bench.

    Attributes:
        number: from 1, in the order of their worth.
        line: what stands in the readings file for it.
        how: what to do, in words.
        planned: what the plan says it should read.
        why: what it is for.
        unit: of what is entered without one.
    """

    number: int
    line: dict[str, Any]
    how: str
    planned: Value
    why: str
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeWantedAnswer(Answer):
    """What to read of a tube: how many readings, what each is for, and what they leave open.

    Attributes:
        as_built: whether the plan already has a tube as built there, which can be put back to what was meant.
    """

    member: str
    as_built: bool
    revision: str
    readings: tuple[TubeWanted, ...]
    leaves: Value
    notes: tuple[Sentence, ...]


def member_of(job: Job, name: str) -> Member:
    """The plan's member of that name.

    Raises:
        ProblemsFound: there is none.
    """
    known = {m.name: m for m in job.cage.members}
    if typed(name) in known:
        return known[typed(name)]
    where, near = Where(file=job.path.as_posix()), nearest_word(name, known)
    found = f"the plan has no member '{name}'"
    raise ProblemsFound([
        Problem(code="unknown-member", where=where, found=found, wanted="wanted a tube of it", nearest=near)
    ])


def tube_wanted(job: Job, name: str) -> TubeWantedAnswer:
    """The readings to take of that member's tube on the bench.

    Raises:
        ProblemsFound: there is no such member.
    """
    member = member_of(job, name)
    bench, units = bench_of(member, job.shop), job.cage.units
    chosen = job.cache.get(("tube", job.key, member.name), lambda: choose_tube_readings(bench))
    words = TubeWords(bench=bench, member=member, units=units)
    rows = tuple(
        TubeWanted(
            number=n, line=line_of(c.reading, UNREAD), how=words.how(c.reading),
            planned=said(c.reading, c.reading.seen, units), why=c.why, unit=unit_of(c.reading, units),
        )
        for n, c in enumerate(chosen, start=1)
    )  # fmt: skip
    leaves = figure(chosen[-1].leaves if chosen else None, "length", units)
    bends, built = len(bench.planned.angles), bool(written_out(job.plan).members[member.name].planned)
    headline = f"{len(rows)} readings for {shown(member.name)} ({bends} bend{'s' * (bends != 1)})"
    return TubeWantedAnswer(
        headline=f"{headline}: then every end and bend is known to {leaves.said} or better.",
        cautions=CAUTIONS, member=member.name, as_built=built, revision=job.cage.revision,
        readings=rows, leaves=leaves, notes=words.notes(),
    )  # fmt: skip


def blank_tube_file(job: Job, name: str) -> str:
    """The text of a readings file to fill in.

    Raises:
        ProblemsFound: there is no such member.
    """
    answer = tube_wanted(job, name)
    head = TubeFile(plan=answer.revision, member=answer.member, units=job.plan.units)
    return tube_text(head, tuple((r.line, f"{r.how}: {r.planned.said} by the plan") for r in answer.readings))


def unit_of(r: TubeReading, units: LengthUnit) -> str:
    """The unit of what is entered bare for the reading."""
    return "deg" if r.kind == "angle" else "mm" if units == "mm" else "in"


def said(r: TubeReading, value: float, units: LengthUnit) -> Value:
    """A reading's value as it is said."""
    return figure(value, "angle" if r.kind == "angle" else "length", units)


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeWords:
    """How a tube's marks and readings are spoken of."""

    bench: TubeOnBench
    member: Member
    units: LengthUnit

    def mark(self, name: str) -> str:
        """The mark in words."""
        if name in (START, END):
            return f"{name} ({end_words(self.member, int(name == END))})"
        return f"outside of bend {name.removeprefix('bend')}"

    def reading(self, r: TubeReading) -> str:
        """What the reading is of."""
        if r.kind == "chord":
            return f"{self.mark(r.a)} to {self.mark(r.b)}"
        if r.kind == "height":
            return f"height of {self.mark(r.a)} over the bench, lying on bend {r.number}"
        if r.kind == "angle":
            return f"angle of bend {r.number}"
        n = len(self.bench.planned.angles)
        first = f"bend {r.number - 1}" if r.number > 1 else "the start"
        last = f"bend {r.number}" if r.number <= n else "the end"
        return f"straight {r.number}, from {first} to {last}"

    def how(self, r: TubeReading) -> str:
        """What to do."""
        if r.kind == "chord":
            return f"tape straight from {self.reading(r)}"
        if r.kind == "height":
            side = "left" if upward(self.bench, r.number) > 0.0 else "right"
            flat = f"lay both straights of bend {r.number} flat on the bench, turning {side} from the start"
            return f"{flat}; from the bench up to {self.mark(r.a)}"
        if r.kind == "angle":
            return f"gauge how far bend {r.number} turns"
        return f"{self.reading(r)}: the straight alone"

    def notes(self) -> tuple[Sentence, ...]:
        """What has to be known to read rightly."""
        n = len(self.bench.planned.angles)
        words = [
            f"The start is the {end_words(self.member, 0)}, the end the {end_words(self.member, 1)}; bends "
            f"count from the start. The tube is rough: its spare is still on both ends.",
            "Start and end are read at the middle of the cut: a plug, or a straight edge across it.",
        ]
        if n:
            words.append(
                "The outside of a bend: the furthest out of it, half way round. What hangs below the bench's "
                "top is less than 0."
            )
        return tuple(Sentence(words=w) for w in words)
