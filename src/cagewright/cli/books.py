"""Commands on rules: what they say of a plan; and on rule books: which there are, a new one, is it right."""

from __future__ import annotations

from pathlib import Path
from textwrap import wrap
from typing import Annotated

import typer

from cagewright.base.plain import plain
from cagewright.base.sheet import Column, Table
from cagewright.cli.output import AsJson, PlanPath, emit, out, progress, show_table, speaking_plainly
from cagewright.job.actions import Action
from cagewright.job.books import book_in, books, new_book
from cagewright.job.findings import FindingsAnswer, findings, one_book
from cagewright.job.findings_paper import findings_tables
from cagewright.job.opening import open_job
from cagewright.job.summary import summary_of

book = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Rule books: list, new, check.")
BookPath = Annotated[Path, typer.Argument(metavar="FILE.toml", help="The book's file.", show_default=False)]


SCREEN = (80, 60)
"""Letters across and lines down of what is printed when nothing more is asked for."""


def check(
    plan: PlanPath,
    every: Annotated[bool, typer.Option("--all", help="Then every finding, also what is kept.")] = False,
    book_id: Annotated[
        str, typer.Option("--book", metavar="BOOK", help="Only what this rule book of the plan says.")
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Check a plan and say what to do, the costliest first; exit code 1 where anything fails."""
    with speaking_plainly(as_json=as_json), progress(quiet=as_json) as step:
        job = open_job(plan)
        answer = one_book(job, book_id) if book_id else findings(job, step=step)
    if as_json:
        emit(plain(answer))
    else:
        out.print("\n".join(screen(answer)), markup=False)
        for table in findings_tables(answer, fold=True) if every else ():
            out.print("\n".join(entries(table)), markup=False)
    if answer.failed:
        raise typer.Exit(1)


def summary(plan: PlanPath, as_json: AsJson = False) -> None:
    """Say in one line of figures what else to decide by: findings, sight, torch, doors, hours."""
    with speaking_plainly(as_json=as_json), progress(quiet=as_json):
        answer = summary_of(open_job(plan))
    if as_json:
        emit(plain(answer))
        return
    out.print(f"{answer.title}, revision {answer.revision}", markup=False)
    for row in answer.rows:
        why = f" ({row.value.why})" if row.value.why and row.value.value is None else ""
        out.print(f"{row.head}: {row.value.said}{why}", markup=False)
    for caution in answer.cautions:
        out.print(caution, markup=False)


def screen(answer: FindingsAnswer) -> list[str]:
    """The lines of one screen: how it stands, what to do, and how much more there is."""
    wide, high = SCREEN
    head = [f"{answer.title}, revision {answer.revision}", answer.headline]
    tail = [line for caution in answer.cautions for line in wrap(caution, wide)]
    lines = [line for words in head for line in wrap(words, wide)]
    room = high - len(lines) - len(tail) - 1
    shorter = (_listed(answer.actions, reasons) for reasons in range(len(answer.actions), -1, -1))
    listed = next((tried for tried in shorter if len(tried) <= room), _listed(answer.actions, 0))
    if len(listed) > room:
        listed = [*listed[: room - 1], f"and {len(listed) - room + 1} lines more: --json has them all"]
    return [*lines, *listed, f"{answer.rest}: --all shows them.", *tail]


def entries(table: Table) -> list[str]:
    """The lines of one table of findings: each clause with what it asks, what was found, and why."""
    wide, _ = SCREEN
    lines = ["", table.title]
    for row in table.rows:
        told = {c.head: cell for c, cell in zip(table.columns, row, strict=True) if cell != "–"}
        wanted = f" Wanted {told['wanted']}." if told.get("wanted", "yes") != "yes" else ""
        lines += wrap(f"{told['clause']}: {told['what it asks']}.{wanted}", wide, subsequent_indent=_IN)
        rest = [
            *told.get("found", "").split("\n"),
            told.get("why", ""),
            *told.get("what to do", "").split("\n"),
        ]
        for line in filter(None, rest):
            lines += wrap(f"- {line}", wide, initial_indent=_IN, subsequent_indent=f"{_IN}  ")
    return lines


def _listed(actions: tuple[Action, ...], reasons: int) -> list[str]:
    """The actions under their heads; only the first so many with their reasons."""
    lines: list[str] = []
    for number, action in enumerate(actions, start=1):
        if action.head not in lines:
            lines.append(action.head)
        lines += wrap(f"{number:2d}. {action.words}.", SCREEN[0], subsequent_indent=_IN)
        if number <= reasons:
            lines += wrap(action.why, SCREEN[0], initial_indent=_IN, subsequent_indent=_IN)
    return lines


_IN = " " * 4


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
