"""The command that says what to join on the bench."""

from __future__ import annotations

from typing import Annotated

import typer

from cagewright.base.names import shown
from cagewright.base.sheet import Column, Table
from cagewright.cli.output import AsJson, PlanPath, emit, out, show_table, speaking_plainly
from cagewright.job.bench_first import bench_first_of
from cagewright.job.bench_work import BenchWorkAnswer
from cagewright.job.opening import open_job
from cagewright.job.passage import moved_words


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
        _show_work(answer.work)
    if answer.passage and answer.passage.moves:
        for move in answer.passage.moves:
            out.print(f"  {move.number}. {moved_words(move)}", markup=False)
        out.print(answer.passage.counted, markup=False)
    for more in answer.larger:
        out.print(more.words, markup=False)
    if answer.write:
        out.print(f"To have the order so, put into the plan:\n    {answer.write}", markup=False)


def _show_work(work: BenchWorkAnswer) -> None:
    heads = ("weld", "done", "begin", "length", "PA or PB on the bench", "in the car", "why")
    rows = tuple(
        (shown(w.joint), w.done, w.begin or "–", w.length.said, w.bench.said, w.car.said, w.why or "–")
        for w in work.welds
    )
    show_table(Table(title="Welds", columns=tuple(Column(head=h) for h in heads), rows=rows))
    heads = ("end", "gap (less than 0: it runs in)", "aside", "what to do")
    rows = tuple((e.words, e.gap.said, e.aside.said, e.said) for e in work.ends if e.level != "fine")
    if rows:
        title = "When it stands in the car"
        show_table(Table(title=title, columns=tuple(Column(head=h) for h in heads), rows=rows))
    for words in (*work.notes, *work.rests_on):
        out.print(words, markup=False)
