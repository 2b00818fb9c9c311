"""Commands on fitting up: build order, marks and the sheet of a step, where everything is, what to pull."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Annotated, Any

import numpy as np
import typer

from cagewright.base.cautions import CAUTIONS
from cagewright.base.files import write_atomically
from cagewright.base.plain import plain
from cagewright.base.sheet import Column, Paper, Table
from cagewright.book.papers import sheets_paper
from cagewright.cli.frames import speaking_of_frames
from cagewright.cli.output import AsJson, PlanPath, emit, err, out, show_table
from cagewright.fitup.adjust import Adjusted
from cagewright.fitup.asbuilt import as_built, changed_findings
from cagewright.fitup.asbuilt_push import pushed_twice, pushed_words
from cagewright.fitup.choose import most_helpful, unchecked_words
from cagewright.fitup.door import opening_of, passes
from cagewright.fitup.force import close_gap, root_gap_words
from cagewright.fitup.marks import Mark, marks_of
from cagewright.fitup.order import Step, broken_by, build_order
from cagewright.fitup.pull import WITHIN, joint_gaps, stands_of
from cagewright.fitup.pullsheet import pull_sheet, pulls_of
from cagewright.fitup.readings import FitUp, adjusted_readings, read_fitup
from cagewright.fitup.sheet import (
    blank_readings,
    marks_table,
    readings_table,
    step_readings,
    step_sheet,
)
from cagewright.frame.errors import FrameError
from cagewright.job.findings import findings_of
from cagewright.job.opening import Job, open_job, scan_of
from cagewright.make.weldmap import throat_for
from cagewright.shape.drafts import points_of
from cagewright.shape.shell import shell_of
from cagewright.shape.types import member_named

ReadingsPath = Annotated[
    Path, typer.Argument(metavar="READINGS", help="The readings file.", show_default=False)
]
Moves = Annotated[
    list[str] | None,
    typer.Option(
        "--move", metavar="TUBE:STEP", help="Tack that tube at that step instead; several times for several."
    ),
]
StepNumber = Annotated[int, typer.Option("--step", min=1, help="Number of the step, as order lists them.")]
Within = Annotated[float, typer.Option(min=0.5, help="How far an end may be out in each direction, mm.")]


def _marks(job: Job) -> tuple[Mark, ...]:
    return marks_of(job.cage, points_of(job.plan))


def steps_of(job: Job, moves: list[str] | None = None) -> tuple[Step, ...]:
    """The steps of the build, with the tubes that are asked for at another one."""
    return build_order(job.cage, shell_of(job.cage, scan_of(job)), moves=_asked(job, moves or []))


def _asked(job: Job, moves: list[str]) -> dict[str, int]:
    known = {m.name for m in job.cage.members}
    asked: dict[str, int] = {}
    for move in moves:
        name, _, number = move.rpartition(":")
        if name not in known or not number.isdigit():
            raise typer.BadParameter(f"'{move}' is not a tube of the plan and a step, such as header:2")
        asked[name] = int(number)
    return asked


def order(
    plan: PlanPath,
    move: Moves = None,
    door: Annotated[
        str | None,
        typer.Option(
            metavar="LINE", help="Also try whether the bench sub-assembly passes that measured opening."
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say in which order to tack and weld, and what a change of it breaks (exit code 1)."""
    with speaking_of_frames(as_json=as_json):
        job = open_job(plan)
        shell = shell_of(job.cage, scan_of(job))
        steps = steps_of(job, move)
        usual = {b.what for b in broken_by(job.cage, shell, steps_of(job))}
        broken = [b for b in broken_by(job.cage, shell, steps) if b.what not in usual]
        passing = _passing(job, steps, door) if door else ""
    if as_json:
        emit({"steps": [_step_row(s) for s in steps], "breaks": [b.words for b in broken], "door": passing})
    else:
        show_table(steps_table(steps))
        for words in (
            *(n for s in steps for n in s.notes),
            *(b.words for b in broken),
            *([passing] if passing else []),
        ):
            out.print(words, markup=False)
    if broken:
        raise typer.Exit(1)


def _passing(job: Job, steps: tuple[Step, ...], door: str) -> str:
    line = next((x for x in job.cage.lines if x.name == door), None)
    if line is None:
        raise typer.BadParameter(
            f"no measured line '{door}'; known: {', '.join(x.name for x in job.cage.lines)}"
        )
    names = next((s.tack for s in steps if s.where == "bench"), steps[0].tack)
    found = passes([m for m in job.cage.members if m.name in names], opening_of(line.points))
    return f"{', '.join(names)} through {door}: {found.words}"


def _step_row(step: Step) -> dict[str, Any]:
    return {
        "number": step.number, "title": step.title, "where": step.where, "tack": list(step.tack),
        "weld": list(step.weld), "notes": list(step.notes),
    }  # fmt: skip


def steps_table(steps: tuple[Step, ...]) -> Table:
    """One row a step."""
    rows = tuple(
        (str(s.number), s.title, s.where, ", ".join(s.tack) or "–", ", ".join(s.weld) or "–") for s in steps
    )
    heads = ("step", "what", "where", "tack", "weld")
    return Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows)


def marks(
    plan: PlanPath,
    step: StepNumber = 1,
    file: Annotated[
        Path | None, typer.Option("--file", help="Also write a readings file to fill in.")
    ] = None,
    pdf: Annotated[Path | None, typer.Option(help="Also write the step's sheet as PDF.")] = None,
    link: Annotated[str, typer.Option(help="Address of the workbench that the sheet's code leads to.")] = "",
    paper: Annotated[Paper, typer.Option(help="Paper of the PDF.")] = "a4",
    as_json: AsJson = False,
) -> None:
    """List the marks to punch at a step, and the tapes, levels and plumbs to read there."""
    with speaking_of_frames(as_json=as_json):
        job = open_job(plan)
        steps, known = steps_of(job), _marks(job)
        if step > len(steps):
            raise typer.BadParameter(f"there are {len(steps)} steps")
        choices = step_readings(job.cage, known, steps, step)
        if file:
            write_atomically(file, blank_readings(job.cage, steps, step, choices).encode())
        if pdf:
            address = f"{link.rstrip('/')}/fit-up/{step}" if link else ""
            sheet = step_sheet(job.cage, steps, step, choices, known, link=address)
            write_atomically(pdf, sheets_paper((sheet,), cage=job.cage, paper=paper))
    used = {n for c in choices for n in (c.reading.a, c.reading.b)}
    mine = [m for m in known if m.name in used]
    if as_json:
        emit({
            "step": _step_row(steps[step - 1]),
            "marks": [
                {"name": m.name, "along_mm": round(m.along, 1), "face": m.face, "what": m.what} for m in mine
            ],
            "readings": [{"kind": c.reading.kind, "a": c.reading.a, "b": c.reading.b, "axis": c.reading.axis,
                          "plan": round(c.reading.seen, 4), "why": c.why} for c in choices],
        })  # fmt: skip
        return
    show_table(marks_table(mine, job.cage.units))
    show_table(readings_table(choices, job.cage.units))


def adjusted_file(job: Job, readings: Path) -> tuple[FitUp, Adjusted]:
    """What was read, and where that puts everything.

    Raises:
        ProblemsFound: the file has problems of its own, everything in it is held, or nothing is read yet.
    """
    fit = read_fitup(readings, job.cage, _marks(job))
    return fit, adjusted_readings(fit)


def square(
    plan: PlanPath,
    readings: ReadingsPath,
    checks: Annotated[
        bool, typer.Option("--check", help="Also check the cage as it stands, beside the plan.")
    ] = False,
    push: Annotated[
        list[str] | None,
        typer.Option("--push", help="Also push the cage as it stands, beside the plan; several for several."),
    ] = None,
    within: Within = WITHIN,
    as_json: AsJson = False,
) -> None:
    """Say where each tube really is, which readings do not fit, what to read next; exit code 1 where out."""
    with speaking_of_frames(as_json=as_json):
        job = open_job(plan)
        fit, found = adjusted_file(job, readings)
        stands = stands_of(job.cage, found, within=within, units=job.cage.units)
        more = most_helpful(fit.net, job.cage, [c.reading for c in found.checks], found.state)
        built = _built(job, found)
        changes = changed_findings(findings_of(job), findings_of(built)) if checks else ()
        pushed = pushed_twice(job.cage, built.cage, push) if push else ()
    if as_json:
        emit(_square_row(fit, found) | {
            "ends": [
                {"mark": s.mark, "off_mm": _round(s.off), "sure_mm": _round(s.sure), "stands": s.stands}
                for s in stands
            ],
            "read_next": [c.reading.name for c in more],
            "as_built": [c.words for c in map(_Change, changes)],
            "pushed": [plain(p) for p in pushed],
        })  # fmt: skip
    else:
        _say_fit(job, fit, found)
        for s in stands:
            out.print(s.words, markup=False)
        out.print(
            f"Read next: {'; '.join(c.reading.name for c in more) or 'nothing helps more'}.", markup=False
        )
        for change in changes:
            out.print(_Change(change).words, markup=False)
        for pair in pushed:
            out.print(pushed_words(pair), markup=False)
        out.print(CAUTIONS[0], markup=False)
    if any(s.stands == "out" for s in stands) or found.outliers or fit.problems:
        raise typer.Exit(1)


class _Change:
    """A changed finding in words."""

    def __init__(self, change: Any) -> None:
        self.words = f"{change.clause}, {change.where}: {change.planned} on the plan, {change.built} as built"


def _built(job: Job, found: Adjusted) -> Job:
    return replace(job, cage=as_built(job.cage, found))


def _round(v: Any) -> list[float]:
    return [round(float(x), 2) for x in v]


def _square_row(fit: FitUp, found: Adjusted) -> dict[str, Any]:
    return {
        "datum": found.net.held,
        "scatter": round(found.unit_sigma, 3),
        "fits": found.fits,
        "loose": list(found.loose),
        "slips": [
            {"reading": s.reading.name, "seen": s.reading.seen, "others": round(s.others, 4)}
            for s in found.outliers
        ],
        "not_used": list(fit.problems),
        "readings": [
            {"reading": c.reading.name, "residual": round(c.residual, 4), "score": round(c.score, 2),
             "checked": round(c.checked, 3)}
            for c in found.checks
        ],
    }  # fmt: skip


def _say_fit(job: Job, fit: FitUp, found: Adjusted) -> None:
    if fit.head.plan and fit.head.plan != job.cage.revision:
        err.print(
            f"Read against revision {fit.head.plan}; the plan is at {job.cage.revision} now.", markup=False
        )
    for problem in fit.problems:
        err.print(f"Not used: {problem}", markup=False)
    for slip in found.outliers:
        others = np.degrees(slip.others) if slip.reading.kind == "lean" else slip.others
        seen = np.degrees(slip.reading.seen) if slip.reading.kind == "lean" else slip.reading.seen
        like = f" (or {', '.join(r.name for r in slip.alike)})" if slip.alike else ""
        out.print(
            f"Does not fit: {slip.reading.name} says {seen:.1f}, the others make it "
            f"{others:.1f}{like}: read it again.",
            markup=False,
        )
    for check in found.checks:
        if not np.isfinite(check.smallest):
            out.print(f"{check.reading.name}: {unchecked_words(check.checked)}.", markup=False)
    if found.loose:
        out.print(f"Not fixed by the readings: {', '.join(found.loose)}.", markup=False)
    out.print(
        f"{len(found.checks)} readings used, scatter {found.unit_sigma:.2f} (about 1 is sound).", markup=False
    )


def pull(
    plan: PlanPath,
    readings: ReadingsPath,
    welded: Annotated[
        list[str] | None,
        typer.Option(
            "--welded",
            metavar="JOINT",
            help="A joint or foot that is welded; several times for several; the rest is tacked.",
        ),
    ] = None,
    within: Within = WITHIN,
    pdf: Annotated[Path | None, typer.Option(help="Also write it with arrows on the cage, as PDF.")] = None,
    paper: Annotated[Paper, typer.Option(help="Paper of the PDF.")] = "a4",
    as_json: AsJson = False,
) -> None:
    """Say what to pull, which way, how far, and what it takes; and how each joint has opened."""
    with speaking_of_frames(as_json=as_json):
        job = open_job(plan)
        fit, found = adjusted_file(job, readings)
        stands = [
            s
            for s in stands_of(job.cage, found, within=within, units=job.cage.units)
            if s.stands != "in place"
        ]
        there = sorted({m.member for m in fit.net.marks if m.member})
        rows = [(s, _closing(job, s, there, welded or [])) for s in stands]
        gaps = [g for g in joint_gaps(job.cage, found) if max(g.open, g.overlap) > 0.5]
        gap_words = [
            f"{g.joint}: root gap {root_gap_words(g.open, _throat(job, g.joint))}; overlap {g.overlap:.1f} mm"
            for g in gaps
        ]
        if pdf:
            sheet = pull_sheet(job.cage, pulls_of(found, rows), there, step=fit.head.step, notes=gap_words)
            write_atomically(pdf, sheets_paper((sheet,), cage=job.cage, paper=paper))
    if as_json:
        emit({
            "ends": [{"mark": s.mark, "words": s.words, "closing": c} for s, c in rows],
            "joints": gap_words,
        })
        return
    for s, closing in rows:
        out.print(s.words, markup=False)
        if closing:
            out.print(f"  {closing}", markup=False)
    for words in gap_words:
        out.print(words, markup=False)
    if not rows:
        out.print("Every end is in place.", markup=False)
    out.print(CAUTIONS[0], markup=False)


def _closing(job: Job, stands: Any, there: list[str], welded: list[str]) -> str:
    """What the pull takes, as it is and with all else welded; empty where it is not out."""
    if stands.stands != "out":
        return ""
    closing = partial(
        close_gap, job.cage, f"{stands.member}.{stands.mark.rpartition('.')[2]}", -stands.off, present=there
    )
    try:
        now = closing(welded=welded)
        every = [*(j.name for j in job.cage.joints), *(f.name for f in job.cage.feet)]
        then = closing(welded=every)
    except FrameError as wrong:
        return f"cannot tell what it takes: {'; '.join(wrong.messages)}"
    return f"{now.words}. With all else welded: {then.force:.0f} N, {then.how}"


def _throat(job: Job, name: str) -> float:
    joint = next(j for j in job.cage.joints if j.name == name)
    return throat_for(*(member_named(job.cage, m).tube.wall for m in (joint.branch, *joint.mains)))
