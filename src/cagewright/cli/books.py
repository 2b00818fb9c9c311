"""Commands on rule books: which there are, a new one of your own, and whether it reads well."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cagewright.base.sheet import Column, Table
from cagewright.check.house import new_book
from cagewright.check.library import book_ids, built_in
from cagewright.check.read import read_book
from cagewright.check.rules import Book
from cagewright.cli.output import AsJson, emit, out, show_table, speaking_plainly

book = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Rule books: list, new, check.")
BookPath = Annotated[Path, typer.Argument(metavar="FILE.toml", help="The book's file.", show_default=False)]


@book.command("list")
def list_books(as_json: AsJson = False) -> None:
    """List the built-in rule books: what a plan names them, edition, how many rows."""
    rows = [(b.id, b.title, b.edition, str(len(b.rules))) for b in map(built_in, book_ids())]
    if as_json:
        emit([{"id": i, "title": t, "edition": e, "rows": int(n)} for i, t, e, n in rows])
        return
    heads = ("in the plan", "book", "edition", "rows")
    show_table(Table(title="", columns=tuple(Column(head=h) for h in heads), rows=tuple(rows)))
    out.print("Check the current rule book of your series: editions change every year.", markup=False)


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
        found: Book = read_book(file)
    if as_json:
        emit({"id": found.id, "title": found.title, "edition": found.edition, "rows": len(found.rules)})
    else:
        out.print(f"{found.title}, {found.edition}: {len(found.rules)} rows, no mistake.", markup=False)
