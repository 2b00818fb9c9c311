"""The command that says what to join on the bench."""

from __future__ import annotations

from typing import Annotated

import typer

from cagewright.cli.output import AsJson, PlanPath, emit, out, show_table, speaking_plainly
from cagewright.job.bench_first import bench_first_of
from cagewright.job.opening import open_job


def bench_first(
    plan: PlanPath,
    door: Annotated[
        str, typer.Option(metavar="LINE", help="By which measured opening it goes in; else each in turn.")
    ] = "",
    search: Annotated[
        bool, typer.Option("--search", help="Look for the best also where the plan says what is joined.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Say which tubes to join on the bench, how they go in, and what their welds move."""
    with speaking_plainly(as_json=as_json):
        answer = bench_first_of(open_job(plan), door, search=search)
    if as_json:
        emit(answer)
        return
    out.print(answer.headline, markup=False)
    if answer.work:
        for table in answer.work.tables:
            show_table(table)
        for words in (*answer.work.notes, *answer.work.rests_on):
            out.print(words, markup=False)
    if answer.passage and answer.passage.moves:
        for move in answer.passage.moves:
            out.print(f"  {move.number}. {move.said}", markup=False)
        out.print(answer.passage.counted, markup=False)
    for more in answer.larger:
        out.print(more.words, markup=False)
    if answer.write:
        out.print(f"{answer.write_words}\n    {answer.write}", markup=False)
