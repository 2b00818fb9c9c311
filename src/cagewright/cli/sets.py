"""Commands on tubes that were bought bent: the set's file, and the notches that are there already."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cagewright.base.files import write_atomically
from cagewright.base.plain import plain
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.sheet import Column, Table
from cagewright.cli.output import AsJson, PlanPath, emit, out, show_table, speaking_plainly
from cagewright.cli.quantities import quantity
from cagewright.job.notches import notches_of
from cagewright.job.opening import open_job
from cagewright.job.schema import set_schema
from cagewright.job.set_fits import one_size, sets_in_bodies, sets_table
from cagewright.job.survey import open_survey
from cagewright.job.tube_set import blank_set, set_answer
from cagewright.job.writers import to_svg

set_app = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Tubes that were bought bent.")
SetPath = Annotated[Path, typer.Argument(metavar="SET", help="The set file.", show_default=False)]


@set_app.command("new")
def new(
    path: Annotated[Path, typer.Argument(metavar="FILE", help="The file to make.", show_default=False)],
    title: Annotated[str, typer.Option(help="Of the set.")] = "Bought set",
) -> None:
    """Write a set file to fill in at the bench; nothing is overwritten."""
    with speaking_plainly(as_json=False):
        if path.exists():
            where = Where(file=path.as_posix())
            raise ProblemsFound([
                Problem(code="exists", where=where, found="the file is already there",
                        wanted="wanted a new name")
            ])  # fmt: skip
        write_atomically(path, blank_set(title).encode())
    out.print(f"{path.as_posix()}: fill it in, then: cagewright set check {path.as_posix()}", markup=False)


@set_app.command("check")
def check(path: SetPath, as_json: AsJson = False) -> None:
    """Say what a set file says of each tube, and what nobody can tell yet."""
    with speaking_plainly(as_json=as_json):
        found = set_answer(path)
    if as_json:
        emit(plain(found))
        return
    heads = ("tube", "role", "size", "steel and paper", "length", "bends", "start", "end", "cannot tell")
    rows = tuple(
        (t.shown, t.role, t.size, t.steel, t.length.said, t.bends, t.start, t.end, ", ".join(t.cannot_tell))
        for t in found.tubes
    )
    show_table(Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows))
    out.print(f"{found.title}: {found.headline}.", markup=False)


@set_app.command("fits")
def fits(
    sets: Annotated[list[Path], typer.Argument(metavar="SET...", help="Set files.", show_default=False)],
    surveys: Annotated[
        list[Path], typer.Option("--survey", metavar="SURVEY", help="A body; several for several.")
    ],
    change: Annotated[
        bool, typer.Option("--change", help="Look for the one size that lets a set serve more: minutes.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Say which set fits in which body, with which trims, and why not; exit code 1 where none does."""
    with speaking_plainly(as_json=as_json):
        opened = [open_survey(path) for path in surveys]
        found = sets_in_bodies(sets, opened)
        found = one_size(found, sets, opened) if change else found
    if as_json:
        emit(plain(found))
    else:
        show_table(sets_table(found))
        for cell in found.cells:
            for words in (*cell.why, *(s.words for s in cell.rules)):
                out.print(f"{cell.bought} in {cell.body}: {words}", markup=False)
        for sentence in found.change:
            out.print(f"Change one size: {sentence.words}.", markup=False)
        out.print(f"{found.headline}.", markup=False)
    if found.level != "fine":
        raise typer.Exit(1)


@set_app.command("schema")
def schema() -> None:
    """Print the JSON Schema of set files, for editors."""
    emit(set_schema())


def notches(
    plan: PlanPath,
    member: Annotated[str, typer.Argument(metavar="[MEMBER]", help="Only this one.")] = "",
    limit: Annotated[
        float | None,
        typer.Option(
            parser=quantity("length", low=0.1, high=10.0),
            metavar="LENGTH",
            help="Widest gap that is welded, in place of the plan's and the shop's: 1, '1/32 in'.",
        ),
    ] = None,
    svg: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Folder for the gaps and the grinding wraps.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say how each notch that was there before stands off its tube, and what closes it."""
    with speaking_plainly(as_json=as_json):
        found = notches_of(open_job(plan), member, limit=limit)
        if svg is not None:
            svg.mkdir(parents=True, exist_ok=True)
            for drawing in (d for row in found.notches for d in (row.gap, row.wrap) if d is not None):
                write_atomically(svg / f"{drawing.name}.svg", to_svg(drawing).encode())
    if as_json:
        emit(plain(found))
        return
    rows = tuple(
        (row.shown, row.words, row.limit.said, row.to_do, row.takes.words if row.takes else "")
        for row in found.notches
    )
    heads = ("end", "gap all round", "weld bridges", "what closes it", "how hard it is pulled")
    show_table(Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows))
    out.print(f"{found.headline}.", markup=False)
