"""Commands on one tube: what to read of it on the bench, and what to do with it as it is."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cagewright.base.files import write_atomically
from cagewright.base.plain import plain
from cagewright.base.sheet import Column, Paper, Table
from cagewright.cli.output import AsJson, PlanPath, emit, err, out, show_table, speaking_plainly
from cagewright.job.opening import Job, open_job
from cagewright.job.schema import tube_schema
from cagewright.job.tube import TubeAnswer, tube_from_file
from cagewright.job.tube_taken import learn, take_over, undo_taken
from cagewright.job.tube_wanted import blank_tube_file, tube_wanted

tube = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="A tube as it is: read, undo, schema.")
Member = Annotated[str, typer.Argument(metavar="MEMBER", help="The tube's name in the plan.")]


@tube.command("read")
def read(
    plan: PlanPath,
    member: Member,
    file: Annotated[
        Path | None, typer.Option("--file", metavar="FILE", help="What was read: a file that -o began.")
    ] = None,
    scan: Annotated[
        Path | None, typer.Option("--scan", metavar="FILE", help="A scan of its outside instead.")
    ] = None,
    blank: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="FILE", help="Write an empty file to fill in.")
    ] = None,
    check: Annotated[
        bool, typer.Option("--check", help="Also hold the rules to the cage with the tube as it is.")
    ] = False,
    write: Annotated[
        bool, typer.Option("--write", help="Take the tube over into the plan file as built.")
    ] = False,
    teach: Annotated[
        bool, typer.Option("--learn", help="Put its bends into the shop file as trials of their dies.")
    ] = False,
    papers: Annotated[
        Path | None, typer.Option("--papers", help="Write the wraps of the ends that change as PDF.")
    ] = None,
    paper: Annotated[Paper, typer.Option(help="Paper of the PDF.")] = "a4",
    as_json: AsJson = False,
) -> None:
    """Say what to read of a bent tube on the bench; with what was read, what it is and what to do with it."""
    if file is not None and scan is not None:
        raise typer.BadParameter("wanted --file or --scan")
    if file is None and scan is None:
        _wanted(plan, member, blank, as_json)
        return
    with speaking_plainly(as_json=as_json):
        job = open_job(plan)
        if scan is not None:
            from cagewright.job.tube_scan import tube_from_scan  # only a scan waits for its readers

            answer = tube_from_scan(job, member, scan, checks=check)
        else:
            assert file is not None
            answer = tube_from_file(job, member, file, checks=check)
        done = [
            *([_papers(job, answer, papers, paper)] if papers else []),
            *([take_over(job, answer)] if write else []),
            *([learn(job, answer)] if teach else []),
        ]
    if as_json:
        emit(plain(answer))
    else:
        _tell(answer)
        _print(*done)
    if answer.level in ("fail", "cannot tell") or answer.outliers or answer.not_used:
        raise typer.Exit(1)


def _papers(job: Job, answer: TubeAnswer, file: Path, paper: Paper) -> str:
    from cagewright.book.papers import pages_paper  # the typesetter: only a PDF waits for it
    from cagewright.job.tube_papers import recut_pages

    built, pages = recut_pages(job, answer, paper)
    if not pages:
        return "Every wrap stays as it is: no paper is written."
    cage = built.cage
    write_atomically(file, pages_paper(pages, paper, title=cage.title, revision=cage.revision))
    return f"Wraps of the ends that change, revision {cage.revision}: {file.as_posix()}"


def _wanted(plan: Path, member: str, blank: Path | None, as_json: bool) -> None:
    with speaking_plainly(as_json=as_json):
        job = open_job(plan)
        wanted = tube_wanted(job, member)
        if blank:
            write_atomically(blank, blank_tube_file(job, member).encode())
    if as_json:
        emit(plain(wanted))
        return
    heads = ("", "how", "by the plan", "what for")
    rows = tuple((str(r.number), r.how, r.planned.said, r.why) for r in wanted.readings)
    show_table(Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows))
    _print(wanted.headline, *(n.words for n in wanted.notes))


def _tell(answer: TubeAnswer) -> None:
    for problem in answer.not_used:
        err.print(f"Not used: {problem}", markup=False)
    heads = ("", "planned", "as it is", "off by")
    rows = tuple(
        (n.what, n.planned.said, n.found.said, f"{n.off.said}{'' if n.clear else ' (not sure)'}")
        for n in answer.numbers
    )
    show_table(Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows))
    _print(answer.basis.words, *(o.words for o in answer.outliers))
    for i, way in enumerate(answer.ways):
        mark = "->" if i == answer.now else "  " if way.possible else "no"
        _print(f"{mark} {way.kind}: {way.words}; {way.why}.")
        if way.possible and i <= answer.now:
            _print(*(f"     {s.words}" for s in way.follows))
    _print(*(f"Learned: {line.words}" for line in answer.springback), answer.headline, answer.cautions[0])


def _print(*sentences: str) -> None:
    for words in sentences:
        out.print(words, markup=False)


@tube.command("undo")
def undo(plan: PlanPath, member: Member, as_json: AsJson = False) -> None:
    """Put a tube that was taken over as built back to what was planned, in the plan file."""
    with speaking_plainly(as_json=as_json):
        words = undo_taken(open_job(plan), member)
    if as_json:
        emit({"done": words})
    else:
        _print(words)


@tube.command("schema")
def schema() -> None:
    """Print the JSON Schema of readings files, for editors."""
    emit(tube_schema())
