"""One tube as it came out of the bender: its shape, what now, and what the die learns."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np

from cagewright.base.answers import Answer, Sentence, Value, figure, worst
from cagewright.base.cautions import CAUTIONS
from cagewright.base.names import typed
from cagewright.base.outliers import Outlier
from cagewright.base.problems import Problem, ProblemsFound
from cagewright.base.say import say_angle, say_length
from cagewright.base.units import LengthUnit
from cagewright.fitup.fewest import SURE
from cagewright.fitup.tube import TubeOnBench, TubeRead, TubeReading, bench_of, numbers_of, solve_tube
from cagewright.fitup.tube_choice import sure_of_marks
from cagewright.fitup.tube_points import XYZ_SIZE, NoTube, tube_of_corners
from cagewright.fitup.tube_taken import TubeTaken, taken_of, tube_text
from cagewright.job.cutting import work_of
from cagewright.job.opening import Job
from cagewright.job.tube_wanted import TubeWords, member_of, said
from cagewright.job.tube_ways import TubeWay, ways_of
from cagewright.plan.tube_file import ReadTubeFile, TubeFile, read_tube_file, read_tube_text
from cagewright.shape.types import Member

NOT_THERE = np.radians(1.0)
"""A bend that is read to turn by less than this is not there (assumed)."""
NOTHING_TAKEN, NO_FILE = TubeTaken(used=(), problems=(), unread=0), TubeFile()
"""Of a tube that was scanned."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeNumber:
    """A straight, a bend or a turn: as planned, as it is with its 95 % range, and by how much it is off."""

    what: str
    planned: Value
    found: Value
    off: Value
    clear: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringbackLine:
    """What one bend teaches its die: what was set and what came, as the shop file says it; in words."""

    die: str
    bend: int
    put: str
    got: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeAnswer(Answer):
    """A tube as it is, and what now.

    Attributes:
        basis: what it rests on.
        numbers: straights, bends and turns from the start.
        outliers: readings that the others contradict.
        not_used: readings that cannot be used, and why.
        ways: what can be done, the cheapest first.
        now: number of the way to go in ``ways``, from 0.
        lines: the planned and the real centre line (n, 3) mm, for a picture; empty where there is none.
        springback: what each bend teaches its die.
    """

    member: str
    revision: str
    basis: Sentence
    numbers: tuple[TubeNumber, ...]
    outliers: tuple[Sentence, ...]
    not_used: tuple[Problem, ...]
    ways: tuple[TubeWay, ...]
    now: int
    lines: tuple[tuple[tuple[float, float, float], ...], ...]
    springback: tuple[SpringbackLine, ...]


# --- what it is


def tube_from_file(job: Job, name: str, path: Path, *, checks: bool = False) -> TubeAnswer:
    """The tube by a readings file.

    Raises:
        ProblemsFound: the file has problems of its own, is of another member, or holds no reading to use.
    """
    return tube_of(job, name, read_tube_file(path), checks=checks)


def lines_text(job: Job, name: str, lines: Sequence[Mapping[str, Any]]) -> str:
    """The text of a readings file with the lines that a page sends."""
    head = TubeFile(plan=job.cage.revision, member=typed(name), units=job.plan.units)
    return tube_text(head, tuple((dict(line), "") for line in lines))


def tube_from_lines(
    job: Job, name: str, lines: Sequence[Mapping[str, Any]], *, checks: bool = False
) -> TubeAnswer:
    """The tube by readings that a page sends, each as a line of the file.

    Raises:
        ProblemsFound: a reading is none, or there is no reading to use.
    """
    read = read_tube_text(lines_text(job, name, lines), file="the readings")
    return tube_of(job, name, read, checks=checks)


def tube_of(job: Job, name: str, read: ReadTubeFile, *, checks: bool = False) -> TubeAnswer:
    """The tube by its readings, and what can be done with it.

    Args:
        job: the plan.
        name: of the member that the tube was bent for.
        read: its readings.
        checks: also hold the rules to the cage with the tube as it is.

    Raises:
        ProblemsFound: there is no such member, the file is of another one, or holds no reading to use.
    """
    member = member_of(job, name)
    if read.file.member and typed(read.file.member) != member.name:
        found = f"the readings are of '{read.file.member}', not of '{member.name}'"
        raise ProblemsFound([
            Problem(code="other-member", where=read.where("member"), found=found, wanted="wanted its own")
        ])
    bench = bench_of(member, job.shop)
    if read.file.xyz:
        return _by_xyz(job, member, bench, read, checks)
    taken = taken_of(read, bench)
    if not taken.used:
        found = f"{taken.unread} readings are not taken yet, and none can be used"
        wanted = "wanted 'says:' with what the tape reads"
        raise ProblemsFound([
            Problem(code="nothing-read", where=read.where("readings"), found=found, wanted=wanted),
            *taken.problems,
        ])
    found = solve_tube(bench, taken.used)
    return answer_of(job, member, found, _basis(found, read, job), taken=taken, file=read.file, checks=checks)


def _by_xyz(job: Job, member: Member, bench: TubeOnBench, read: ReadTubeFile, checks: bool) -> TubeAnswer:
    """The tube by its ends and where its straights would meet.

    Raises:
        ProblemsFound: they are not as many as its bends and two more, or of no tube; or readings stand too.
    """
    many, bends = len(read.file.xyz), len(bench.planned.angles)
    size = read.file.xyz_size or XYZ_SIZE
    where, wanted = read.where("xyz"), f"wanted {bends + 2}: both ends, and where its straights would meet"
    if many != bends + 2:
        found = f"{many} places for a tube of {bends} bends"
        raise ProblemsFound([Problem(code="xyz-count", where=where, found=found, wanted=wanted)])
    if read.file.readings:
        found = "a tube by xyz and by readings too"
        raise ProblemsFound([
            Problem(code="xyz-and-readings", where=where, found=found, wanted="wanted one of them")
        ])
    try:
        tube = tube_of_corners(bench, np.array(read.file.xyz), size=size)
    except NoTube as no:
        raise ProblemsFound([
            Problem(code="xyz-no-tube", where=where, found=str(no), wanted=wanted)
        ]) from None
    words = f"From {many} places by XYZ, each good to {say_length(size, job.cage.units)}"
    basis = Sentence(words=f"{words}; nothing checks them.")
    return answer_of(job, member, tube, basis, file=read.file, checks=checks)


def answer_of(
    job: Job,
    member: Member,
    found: TubeRead,
    basis: Sentence,
    *,
    taken: TubeTaken = NOTHING_TAKEN,
    file: TubeFile = NO_FILE,
    checks: bool = False,
) -> TubeAnswer:
    """What the tube is and what now, however it was found.

    Args:
        job: the plan.
        member: that the tube was bent for.
        found: the tube as it is.
        basis: what that rests on.
        taken: its readings, where it was read.
        file: of its readings.
        checks: also hold the rules to the cage with the tube as it is.
    """
    units = job.cage.units
    words = TubeWords(bench=found.bench, member=member, units=units)
    outliers = tuple(_outlier(o, words) for o in found.outliers)
    refused = _no_tube(found)
    ways, lines = ((), ()) if refused else ways_of(job, member, found, checks=checks)
    now = next((i for i, w in enumerate(ways) if w.possible), max(len(ways) - 1, 0))
    return TubeAnswer(
        headline=refused or f"{ways[now].words[:1].upper()}{ways[now].words[1:]}.",
        level="cannot tell" if refused else worst((ways[now].level, "look at" if outliers else "fine")),
        cautions=CAUTIONS, member=member.name, revision=job.cage.revision,
        basis=basis, numbers=_numbers(found, units), outliers=outliers,
        not_used=taken.problems, ways=ways, now=now, lines=lines,
        springback=() if refused else _springback(job, member, found, file),
    )  # fmt: skip


def _outlier(found: Outlier[TubeReading], words: TubeWords) -> Sentence:
    r = found.reading
    told = (
        f"The {words.reading(r)} says {said(r, r.seen, words.units).said}; the others make it "
        f"{said(r, found.others, words.units).said}: read it again, it is left out."
    )
    if found.alike:
        told += f" It may be the {' or the '.join(words.reading(a) for a in found.alike)} instead."
    return Sentence(words=told, level="look at")


def _no_tube(found: TubeRead) -> str:
    """Why no tube can have these readings, or which bend is not there; empty where one can."""
    spread = SURE * np.sqrt(np.diag(found.covariance))
    n = len(found.shape.angles)
    if not found.settled:
        return "No tube has these readings: they contradict each other. Read it again from the first."
    for k, straight in enumerate(found.shape.straights):
        if straight < -max(float(spread[k]), 1.0):
            return f"No tube has these readings: straight {k + 1} would be less than nothing. Read it again."
    missing = [k + 1 for k, a in enumerate(found.shape.angles) if a < NOT_THERE]
    if missing:
        which = " and ".join(str(k) for k in missing)
        return f"Bend {which} is not there: it reads as good as straight. Bend it first."
    if any(a > np.radians(165.0) for a in found.shape.angles[:n]):
        return "No tube has these readings: a bend would turn all but round. Read it again."
    return ""


def _basis(found: TubeRead, read: ReadTubeFile, job: Job) -> Sentence:
    count = len(found.checks)
    worst_mark = float(sure_of_marks(found.shape, found.bench.radius, found.covariance).max())
    words = (
        f"From {count} readings; every end and bend is known to ± "
        f"{say_length(worst_mark, job.cage.units)} or better; the readings are {found.unit_sigma:.2f} "
        "times as far apart as a tape's (about 1 is sound)"
    )
    if not found.fits:
        words += ", which is more than can be believed: read the worst again"
    if read.file.plan and read.file.plan != job.cage.revision:
        words += f". Read against revision {read.file.plan}; the plan is at {job.cage.revision} now"
        return Sentence(words=f"{words}.", level="look at")
    return Sentence(words=f"{words}.", level="fine" if found.fits else "look at")


def _numbers(found: TubeRead, units: LengthUnit) -> tuple[TubeNumber, ...]:
    n = len(found.shape.angles)
    order: list[tuple[str, int, Literal["length", "angle"]]] = []
    for k in range(n + 1):
        order.append((f"straight {k + 1}", k, "length"))
        if 0 < k < n:
            order.append((f"turn from bend {k} to {k + 1}", 2 * n + k, "angle"))
        if k < n:
            order.append((f"bend {k + 1}", n + 1 + k, "angle"))
    planned, real = numbers_of(found.bench.planned), numbers_of(found.shape)
    spread = SURE * np.sqrt(np.diag(found.covariance))
    return tuple(
        TubeNumber(
            what=what, planned=figure(float(planned[i]), kind, units),
            found=figure(float(real[i]), kind, units, rests_on="measured", plus_minus=float(spread[i])),
            off=figure(float(real[i] - planned[i]), kind, units, rests_on="measured"),
            clear=bool(abs(real[i] - planned[i]) > spread[i]),
        )
        for what, i, kind in order
    )  # fmt: skip


# --- what the die learns


def _springback(job: Job, member: Member, found: TubeRead, file: TubeFile) -> tuple[SpringbackLine, ...]:
    """A trial for the shop file from each bend that was read well enough."""
    sheet = next((b for b in work_of(job).bends if b.member == member.name), None)
    if sheet is None:
        return ()
    spread, n = np.sqrt(np.diag(found.covariance)), len(found.shape.angles)
    out: list[SpringbackLine] = []
    for step in sorted(sheet.steps, key=lambda s: s.bend):
        k = step.bend - 1
        told = len(file.set) == n
        put = file.set[k] if told else step.set_angle
        got, doubt = found.shape.angles[k], SURE * float(spread[n + 1 + k])
        if step.die is None or doubt > np.radians(0.5) or not 0.0 < got <= put:
            continue
        by = "as set at the bender" if told else "if the bender was set as the bend sheet says"
        out.append(
            SpringbackLine(
                die=step.die, bend=step.bend,
                put=f"{np.degrees(put):.1f} deg", got=f"{np.degrees(got):.1f} deg",
                words=f"bend {step.bend}: set {say_angle(put)}, got {say_angle(got)} ± "
                f"{say_angle(doubt)}, {by}",
            )
        )  # fmt: skip
    return tuple(out)
