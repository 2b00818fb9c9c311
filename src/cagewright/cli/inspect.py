"""The inspection of a finished car by a rule book."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cagewright.base.files import write_atomically
from cagewright.base.plain import plain
from cagewright.base.sheet import Paper
from cagewright.cli.output import AsJson, emit, out, speaking_plainly
from cagewright.cli.readings import RecordAt
from cagewright.job.inspection import inspection_in, inspection_of
from cagewright.job.inspection_paper import inspection_sheet
from cagewright.job.opening import open_job


def inspect(
    book: Annotated[str, typer.Argument(metavar="BOOK", help="The rule book's name.", show_default=False)],
    plan: Annotated[Path | None, typer.Argument(metavar="PLAN", help="The car's plan, if any.")] = None,
    pdf: Annotated[Path | None, typer.Option("-o", "--out", metavar="FILE", help="The PDF to make.")] = None,
    readings: Annotated[
        Path | None, typer.Option("--readings", metavar="FILE", help="What was read on the car.")
    ] = None,
    car: Annotated[
        str, typer.Option("--job", metavar="JOB", help="Take the readings from this job of the record.")
    ] = "",
    where: RecordAt = "record.sqlite",
    paper: Annotated[Paper, typer.Option(help="Paper of the PDF.")] = "a4",
    as_json: AsJson = False,
) -> None:
    """Write an inspection sheet of a rule book, blank or filled; exit code 1 where a reading fails."""
    with speaking_plainly(as_json=as_json):
        job = open_job(plan) if plan else None
        answer = inspection_in(where, car, book, job) if car else inspection_of(book, job, readings)
        if pdf:
            from cagewright.book.papers import sheets_paper  # the typesetter: only a PDF waits for it

            made = sheets_paper(
                (inspection_sheet(answer),),
                title=f"Inspection: {answer.title}",
                revision=answer.revision or "none",
                paper=paper,
            )
            write_atomically(pdf, made)
    if as_json:
        emit(plain(answer))
    else:
        points = [f"- {point}" for point in answer.open_points]
        out.print("\n".join((f"{answer.title}, {answer.edition}", answer.headline, *points)), markup=False)
        out.print("\n".join(answer.cautions), markup=False)
    if answer.level == "fail":
        raise typer.Exit(1)
