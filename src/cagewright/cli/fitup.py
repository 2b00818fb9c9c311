"""Commands on fitting up: marks of a step, where everything is, what to pull, what welds pull."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cagewright.base.files import write_atomically
from cagewright.base.names import shown
from cagewright.base.plain import plain
from cagewright.base.sheet import Column, Paper, Table
from cagewright.cli.frames import speaking_of_frames
from cagewright.cli.output import AsJson, PlanPath, emit, err, out, show_table
from cagewright.cli.quantities import quantity
from cagewright.job.marks import step_of
from cagewright.job.marks_paper import blank_file, marks_table, more_words, readings_table, step_sheet
from cagewright.job.opening import open_job
from cagewright.job.pull import WITHIN, pull_of, pull_sheet
from cagewright.job.readings import taken_from_file
from cagewright.job.shrink import ShrinkAnswer, shrink_of
from cagewright.job.square import square_of

ReadingsPath = Annotated[
    Path, typer.Argument(metavar="READINGS", help="The readings file.", show_default=False)
]
StepNumber = Annotated[int, typer.Option("--step", min=1, help="Number of the step, as order lists them.")]

Within = Annotated[
    float,
    typer.Option(
        parser=quantity("length", low=0.5),
        metavar="LENGTH",
        help="How far an end may be out in each direction: 3, '1/8 in'.",
    ),
]
Read = Annotated[
    Path | None, typer.Option(metavar="READINGS", help="Readings file of the same marks at that time.")
]


def _table(heads: tuple[str, ...], rows: tuple[tuple[str, ...], ...]) -> Table:
    return Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows)


def _print(*sentences: str) -> None:
    for words in sentences:
        out.print(words, markup=False)


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
        answer = step_of(job, step)
        if file:
            write_atomically(file, blank_file(job, answer).encode())
        if pdf:
            from cagewright.book.papers import sheets_paper  # the typesetter: only a PDF waits for it

            sheet = step_sheet(job, answer, link=f"{link.rstrip('/')}/fit-up/{step}" if link else "")
            write_atomically(
                pdf, sheets_paper((sheet,), title=job.cage.title, revision=job.cage.revision, paper=paper)
            )
    if as_json:
        emit(plain(answer))
        return
    show_table(marks_table(answer))
    show_table(readings_table(answer))
    _print(answer.headline, *(more_words(answer)))


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
        taken = taken_from_file(open_job(plan), readings)
        answer = square_of(taken, within=within, checks=checks, pushes=push)
    if as_json:
        emit(plain(answer))
    else:
        for note in answer.notes:
            (err if note.words.startswith("Not used") else out).print(note.words, markup=False)
        _print(answer.headline, answer.basis.words, *(e.words for e in answer.ends))
        _print(f"Read next: {'; '.join(r.how for r in answer.read_next) or 'nothing helps more'}.")
        _print(*(s.words for s in (*answer.as_built, *answer.pushed)), answer.cautions[0])
    if answer.level == "fail" or answer.outliers or answer.not_used:
        raise typer.Exit(1)


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
        answer = pull_of(taken_from_file(job, readings), within=within, welded=welded or [])
        if pdf:
            from cagewright.book.papers import sheets_paper  # the typesetter: only a PDF waits for it

            write_atomically(
                pdf,
                sheets_paper(
                    (pull_sheet(job, answer),), title=job.cage.title, revision=job.cage.revision, paper=paper
                ),
            )
    if as_json:
        emit(plain(answer))
        return
    for p in answer.pulls:
        _print(f"{p.words}; {p.order}" if p.order else p.words)
        _print(*([f"  {p.takes.words}"] if p.takes else []))
        _print(*([f"  It would be settled by: {p.settle.how}"] if p.settle else []))
    _print(*(g.words for g in answer.gaps), answer.headline, answer.cautions[0])


def shrink(
    plan: PlanPath,
    step: StepNumber,
    factor: Annotated[
        float | None,
        typer.Option(min=0.01, max=10.0, help="The shop's own factor; from its file where not given."),
    ] = None,
    before: Read = None,
    after: Read = None,
    as_json: AsJson = False,
) -> None:
    """Say what a step's welds pull, in which order to weld and how to set off; or find the shop's factor."""
    if (before is None) != (after is None):
        raise typer.BadParameter("--before and --after go together: readings before the welds and after them")
    with speaking_of_frames(as_json=as_json):
        job = open_job(plan)
        both = (taken_from_file(job, before), taken_from_file(job, after)) if before and after else None
        answer = shrink_of(job, step, factor=factor, readings=both)
    if as_json:
        emit(plain(answer))
        return
    _print(f"Step {answer.step}: {answer.title}.")
    if answer.welds:
        show_table(_welds(answer))
    _print(answer.headline, *(n.words for n in answer.notes))
    _print(f"Shrinkage times {answer.factor:g}. What it rests on:", *(f"  {r}" for r in answer.rests_on))
    _print(*answer.cautions)


def _welds(answer: ShrinkAnswer) -> Table:
    heads = ("", "weld", "begin", "draws in", "worst end then out by")
    rows = tuple(
        (str(n), shown(w.joint), w.begin, f"{w.drawn.said} (up to {w.upper.said})", w.worst_after.said)
        for n, w in enumerate(answer.welds, start=1)
    )
    return _table(heads, rows)
