"""Commands on readings: enter one, list them, write them out for the fit-up."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from cagewright.base.files import write_atomically
from cagewright.base.plain import plain
from cagewright.base.sheet import Column, Table
from cagewright.cli.output import AsJson, emit, err, out, show_table, speaking_plainly
from cagewright.job import record
from cagewright.job.record import Hand, LineAnswer

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
    with speaking_plainly(as_json=as_json):
        known = record.known_marks(plan, marks)
        kept = record.keep_reading(
            where, job, ends, words[-1], hand=hand, unit=unit, sort=sort, axis=axis, known=known
        )
    say_line(kept, as_json=as_json)


def say_line(kept: LineAnswer, *, as_json: bool) -> None:
    """Tell that a line was kept, and whether it is used.

    Raises:
        Exit: with code 1, where it is not used for what is wrong with it.
    """
    if as_json:
        emit(plain(kept))
    else:
        for wrong in kept.wrong:
            err.print(wrong, markup=False)
        (err if kept.wrong else out).print(kept.headline, markup=False)
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
    with speaking_plainly(as_json=as_json):
        found = record.history_of(where, job)
    rows = [e for e in (line.entry for line in found.lines) if e.kind == "reading" and step in {"", e.step}]
    if as_json:
        emit(plain(rows))
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
    from cagewright.job.bench import told_of
    from cagewright.job.readings import job_file

    with speaking_plainly(as_json=as_json):
        text, count, caution = job_file(told_of(where, job), step, plan)
        write_atomically(file, text.encode("utf-8"))
    if as_json:
        emit({"file": file.as_posix(), "readings": count, "caution": caution})
        return
    out.print(f"{count} readings in {file.as_posix()}.", markup=False)
    if caution:
        err.print(caution, markup=False)
