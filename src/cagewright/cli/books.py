"""Commands on rules: what they say of a plan; and on rule books: which there are, a new one, is it right."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cagewright.base.plain import plain
from cagewright.base.sheet import Column, Table
from cagewright.cli.output import AsJson, PlanPath, emit, out, progress, show_table, speaking_plainly
from cagewright.job.books import book_in, books, new_book
from cagewright.job.findings import findings
from cagewright.job.findings_paper import findings_tables
from cagewright.job.opening import open_job

book = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Rule books: list, new, check.")
BookPath = Annotated[Path, typer.Argument(metavar="FILE.toml", help="The book's file.", show_default=False)]


def check(plan: PlanPath, as_json: AsJson = False) -> None:
    """Check a plan: rule books, body, driver, torch, belts, sight; exit code 1 where anything fails."""
    with speaking_plainly(as_json=as_json), progress(quiet=as_json) as step:
        answer = findings(open_job(plan), step=step)
    if as_json:
        emit(plain(answer))
    else:
        for table in findings_tables(answer, fold=True):
            show_table(table)
        out.print("\n".join((answer.headline, *answer.cautions)), markup=False)
    if answer.failed:
        raise typer.Exit(1)


@book.command("list")
def list_books(as_json: AsJson = False) -> None:
    """List the built-in rule books: what a plan names them, edition, how many rows."""
    answer = books()
    if as_json:
        emit(plain(answer))
        return
    heads = ("in the plan", "book", "edition", "rows")
    rows = tuple((b.id, b.title, b.edition, str(b.rows)) for b in answer.books)
    show_table(Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows))
    out.print(*answer.cautions, markup=False)


@book.command("new")
def new(
    file: BookPath,
    name: Annotated[str, typer.Option(help="The book's title, e.g. your series and year.")],
    as_json: AsJson = False,
) -> None:
    """Write a commented book for your own series, to be filled in."""
    with speaking_plainly(as_json=as_json):
        new_book(file, name)
    if as_json:
        emit({"file": file.as_posix()})
    else:
        out.print(
            f"{file.as_posix()}: fill it in, then name it in the plan: car: {{rules: [{file.name}]}}",
            markup=False,
        )


@book.command("check")
def check_book(file: BookPath, as_json: AsJson = False) -> None:
    """Say every mistake in a book of your own; exit code 1 where there is one."""
    with speaking_plainly(as_json=as_json):
        found = book_in(file)
    if as_json:
        emit(plain(found))
    else:
        out.print(f"{found.title}, {found.edition}: {found.rows} rows, no mistake.", markup=False)
