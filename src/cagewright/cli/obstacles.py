"""The command that sets the ways round an obstacle side by side."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cagewright.base.files import write_atomically
from cagewright.base.names import named
from cagewright.base.sheet import Paper
from cagewright.cli.frames import speaking_of_frames
from cagewright.cli.output import AsJson, PlanPath, emit, out, progress, show_table
from cagewright.job.obstacles import obstacles_answer
from cagewright.job.obstacles_paper import obstacles_sheet
from cagewright.job.opening import open_job


def obstacles(
    plan: PlanPath,
    tube: Annotated[str, typer.Option(metavar="NAME", help="Only what stands in that tube's way.")] = "",
    push: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME", help="Also push the ways side by side; several times for several."),
    ] = None,
    pdf: Annotated[Path | None, typer.Option("--pdf", metavar="FILE", help="Also write it as PDF.")] = None,
    paper: Annotated[Paper, typer.Option(help="The printer's paper.")] = "a4",
    as_json: AsJson = False,
) -> None:
    """Say what stands in a tube's way, and what moving it in, bridging or cutting costs."""
    with speaking_of_frames(as_json=as_json):
        job = open_job(plan)
        name = named(tube, [m.name for m in job.cage.members])
        with progress(quiet=as_json) as step:
            answer = obstacles_answer(job, tube=name, pushes=push or (), step=step)
        if pdf:
            from cagewright.book.papers import sheets_paper  # the typesetter: only a PDF waits for it

            made = (obstacles_sheet(answer),)
            title, mark = job.cage.title, job.cage.revision
            write_atomically(pdf, sheets_paper(made, title=title, revision=mark, paper=paper))
    if as_json:
        emit(answer)
        return
    out.print(answer.headline, markup=False)
    for one in answer.obstacles:
        show_table(one.table)
    for study in answer.pushed:
        for table in study.tables:
            show_table(table)
        for note in study.notes:
            out.print(note, markup=False)
    for words in (*answer.notes, *answer.cautions):
        out.print(words, markup=False)
