"""How every command speaks: tables and sentences for a person, JSON for a program, progress, exit codes."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Generator, Iterable
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.console import Console
from rich.table import Table as RichTable

from cagewright.base.plain import plain
from cagewright.base.problems import Problem, ProblemsFound, printable
from cagewright.base.sheet import Table

AsJson = Annotated[bool, typer.Option("--json", help="Print JSON for a program instead of text.")]
PlanPath = Annotated[Path, typer.Argument(metavar="PLAN", help="The plan file.", show_default=False)]
Step = Callable[[str, float], None]


class _Printer(Console):
    """A console to which no character of a builder's file is a command."""

    def print(self, *objects: Any, **options: Any) -> None:
        """Print the objects; unprintable characters of plain text are written out."""
        super().print(*(_written_out(o) if isinstance(o, str) else o for o in objects), **options)


def _written_out(text: str) -> str:
    return printable(text, keep="\n\t")


out = _Printer(highlight=False, soft_wrap=True, width=None if sys.stdout.isatty() else 160)
err = _Printer(stderr=True, highlight=False, soft_wrap=True)


def emit(data: Any) -> None:
    """Print an answer, or any plain data, as JSON on standard output."""
    json.dump(plain(data), sys.stdout, ensure_ascii=False, indent=1, allow_nan=False)
    sys.stdout.write("\n")


def show_problems(problems: Iterable[Problem], *, as_json: bool) -> None:
    """Print the problems, one a line, or as JSON."""
    rows = list(problems)
    if as_json:
        emit({"problems": [plain(p) for p in rows]})
        return
    for problem in rows:
        err.print(str(problem), markup=False)
    err.print(f"{len(rows)} problem{'s' if len(rows) != 1 else ''}.", markup=False)


@contextmanager
def speaking_plainly(*, as_json: bool) -> Generator[None]:
    """Turn the builder's mistakes and a refused file into words and exit code 1.

    Raises:
        Exit: with code 1, after the words are printed.
    """
    try:
        yield
    except ProblemsFound as found:
        show_problems(found.problems, as_json=as_json)
        raise typer.Exit(1) from None
    except OSError as refused:
        said = f"{refused.filename or 'a file'}: {refused.strerror or refused}"
        if as_json:
            emit({"error": said})
        else:
            err.print(said, markup=False)
        raise typer.Exit(1) from None


@contextmanager
def progress(*, quiet: bool) -> Generator[Step]:
    """A progress bar on standard error; the yielded function takes what is being done and the share done."""
    if quiet or not err.is_terminal:
        yield lambda doing, share: None
        return
    from rich.progress import BarColumn, Progress, SpinnerColumn, TextColumn, TimeElapsedColumn  # 30 ms

    columns = (SpinnerColumn(), TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=err, transient=True) as bar:
        task = bar.add_task("starting", total=1.0)
        yield lambda doing, share: bar.update(task, description=doing, completed=share)


def show_table(table: Table) -> None:
    """Print a table of ready cells; none without rows."""
    if not table.rows:
        return
    rich = RichTable(title=_written_out(table.title) or None, title_justify="left")
    for column in table.columns:
        head = f"{column.head} {column.unit}".strip()
        rich.add_column(head, justify=column.align, overflow="fold")
    for row in table.rows:
        rich.add_row(*(_written_out(cell).replace("[", "\\[") for cell in row))
    out.print(rich)
