"""Commands on readings: enter one, list them, write them out for the fit-up."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from cagewright.base.files import write_atomically
from cagewright.base.problems import ProblemsFound
from cagewright.base.sheet import Column, Table
from cagewright.cli.output import AsJson, emit, err, out, show_table, speaking_plainly
from cagewright.records.entries import Hand, add_reading
from cagewright.records.fitting import reading_line, usable
from cagewright.records.jobs import history
from cagewright.records.nouns import History, Kept
from cagewright.records.opening import opened

if TYPE_CHECKING:
    from cagewright.fitup.readings import ReadingsFile

reading = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Readings: add, list, write.")
By = Annotated[str, typer.Option("--by", envvar="CAGEWRIGHT_BY", help="Who does it.", show_default=False)]
RecordAt = Annotated[
    str,
    typer.Option(
        "--record",
        metavar="WHERE",
        envvar="CAGEWRIGHT_RECORD",
        help="The record: a file, or postgresql://...",
    ),
]
StepOf = Annotated[str, typer.Option("--step", help="The step of the build order.")]
Taken = Annotated[str, typer.Option("--at", metavar="TIME", help="When, e.g. 2026-03-01T09:30Z; else now.")]
Note = Annotated[str, typer.Option("--note", help="Anything else.")]
Between = Annotated[
    tuple[str, str] | None, typer.Option("--between", metavar="MARK MARK", help="Of a reading: its marks.")
]


@reading.command("add", context_settings={"ignore_unknown_options": True})
def add(
    job: Annotated[str, typer.Argument(metavar="JOB", help="The job's name.")],
    words: Annotated[
        list[str], typer.Argument(metavar="MARK [MARK] SAYS", help="The marks, and what the tape says.")
    ],
    by: By,
    sort: Annotated[
        Literal["tape", "level", "lean", "place"],
        typer.Option(
            help="A tape, how much the second mark is above the first, off the plumb, one mark's place."
        ),
    ] = "tape",
    axis: Annotated[
        Literal["", "back", "across", "up"], typer.Option(help="Of a lean or a place.", show_default=False)
    ] = "",
    unit: Annotated[
        str, typer.Option(help="Unit of a bare number; else the job's, degrees for a lean.")
    ] = "",
    plan: Annotated[Path | None, typer.Option(metavar="PLAN", help="Hold the marks to this plan.")] = None,
    marks: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Hold the marks to this list, one a line.")
    ] = None,
    step: StepOf = "",
    taken: Taken = "",
    note: Note = "",
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Enter a reading as the tape says it. One that cannot be used is kept, named, and exits with 1."""
    if len(words) not in {2, 3}:
        raise typer.BadParameter(
            "give one or two marks, then what the tape says (in quotes if it has a space)"
        )
    ends = (words[0], words[1] if len(words) == 3 else "")
    hand = Hand(by=by, taken=taken, step=step, note=note)
    with speaking_plainly(as_json=as_json), opened(where) as found:
        known = _known(plan, marks)
        kept = add_reading(
            found, job, ends, words[-1], hand=hand, unit=unit, sort=sort, axis=axis, known=known
        )
    say_kept(kept, as_json=as_json)


def _known(plan: Path | None, marks: Path | None) -> frozenset[str] | None:
    """The marks that there are, of the plan and the list; None where neither is given."""
    if plan is None and marks is None:
        return None
    listed = marks.read_text(encoding="utf-8", errors="replace").splitlines() if marks else []
    names = {line.strip() for line in listed if line.strip() and not line.startswith("#")}
    if plan is not None:
        # what works plans out takes a second to load, which a reading without one need not wait for
        from cagewright.fitup.marks import marks_of
        from cagewright.job.opening import open_job
        from cagewright.shape.drafts import points_of

        job = open_job(plan)
        names |= {mark.name for mark in marks_of(job.cage, points_of(job.plan))}
    return frozenset(names)


def say_kept(kept: Kept, *, as_json: bool) -> None:
    """Tell that a line was kept, and whether it is used.

    Raises:
        Exit: with code 1, where it is not used for what is wrong with it.
    """
    if as_json:
        emit({"entry": asdict(kept.entry), "wrong": list(kept.wrong)})
    elif kept.wrong:
        for wrong in kept.wrong:
            err.print(wrong, markup=False)
        err.print(f"Line {kept.entry.id} is kept as entered and not used.", markup=False)
    else:
        out.print(f"Line {kept.entry.id} is kept.", markup=False)
    if kept.wrong:
        raise typer.Exit(1)


@reading.command("list")
def list_readings(
    job: Annotated[str, typer.Argument(metavar="JOB", help="The job's name.")],
    step: StepOf = "",
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """List a job's readings that stand, used or not."""
    with speaking_plainly(as_json=as_json), opened(where) as found:
        told = history(found, job)
    rows = [e for e in told.current if e.kind == "reading" and step in {"", e.step}]
    if as_json:
        emit([asdict(e) for e in rows])
        return
    heads = ("line", "step", "sort", "from", "to", "axis", "says", "unit", "used", "why not")
    cells = tuple(
        (
            str(e.id),
            e.step,
            e.sort,
            e.subject,
            e.other,
            e.axis,
            e.text,
            e.unit,
            "yes" if e.used else "NO",
            e.why,
        )
        for e in rows
    )
    show_table(Table(title="", columns=tuple(Column(head=h) for h in heads), rows=cells))


@reading.command("write")
def write(
    job: Annotated[str, typer.Argument(metavar="JOB", help="The job's name.")],
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The readings file to write.")],
    step: StepOf = "",
    plan: Annotated[
        Path | None, typer.Option(metavar="PLAN", help="Whose step it is; else the job's newest plan.")
    ] = None,
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Write the usable readings as a readings file for the fit-up, the newest of each pair of marks."""
    from cagewright.fitup.readings import readings_text

    with speaking_plainly(as_json=as_json), opened(where) as found:
        told = history(found, job)
        head, caution = _head(told, step, plan)
        lines = [(reading_line(e), "") for e in usable(told, step=step)]
        write_atomically(file, readings_text(head, lines).encode("utf-8"))
    if as_json:
        emit({"file": file.as_posix(), "readings": len(lines), "caution": caution})
        return
    out.print(f"{len(lines)} readings in {file.as_posix()}.", markup=False)
    if caution:
        err.print(caution, markup=False)


def _head(told: History, step: str, plan: Path | None) -> tuple[ReadingsFile, str]:
    """What is there, welded and held at the step of the plan; and a caution where that cannot be told."""
    from cagewright.cli.fitup import steps_of
    from cagewright.fitup.readings import ReadingsFile
    from cagewright.fitup.sheet import head_at
    from cagewright.job.opening import open_job

    newest = told.revisions[-1] if told.revisions else None
    why = "no step is named" if not step.isdecimal() else "the job has no plan"
    with TemporaryDirectory() as folder:
        if newest is not None and plan is None:
            for path, text in ((newest.file, newest.text), *((o.path, o.text) for o in newest.others)):
                at = Path(folder, path)
                if not at.resolve().is_relative_to(Path(folder).resolve()):
                    continue
                at.parent.mkdir(parents=True, exist_ok=True)
                at.write_text(text, encoding="utf-8")
            plan = Path(folder, newest.file)
        if plan is not None and step.isdecimal():
            try:
                opened_plan = open_job(plan)
                steps = steps_of(opened_plan)
                if 1 <= int(step) <= len(steps):
                    return head_at(opened_plan.cage, steps, int(step)), ""
                why = f"the plan has {len(steps)} steps"
            except ProblemsFound as wrong:
                why = f"the plan cannot be worked out alone ({wrong.problems[0].found})"
    mark = newest.mark if newest else ""
    head = ReadingsFile(plan=mark, step=int(step) if step.isdecimal() else 0, units=told.job.units)
    return head, f"What is there and held is not in the file, for {why}: every tube counts as there and free."
