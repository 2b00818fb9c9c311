"""The command that says what a cage costs to build."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cagewright.base.made import put_together
from cagewright.base.sheet import Paper, Sheet
from cagewright.cli.output import AsJson, PlanPath, emit, err, out, show_table, speaking_plainly
from cagewright.job.opening import open_job
from cagewright.job.quote import Quote, quote_of
from cagewright.job.quote_paper import costs_sheet, offer_sheet
from cagewright.job.recorded_hours import recorded_hours
from cagewright.job.writers import to_csv


def quote(
    plan: PlanPath,
    record: Annotated[
        Path | None,
        typer.Option(metavar="RECORD", help="Take the shop's recorded hours where its file gives no time."),
    ] = None,
    folder: Annotated[
        Path | None,
        typer.Option("-o", "--out", metavar="DIR", help="Folder for the offer and the cost table."),
    ] = None,
    customer: Annotated[str, typer.Option(metavar="NAME", help="Whom the offer is for.")] = "",
    paper: Annotated[Paper, typer.Option(help="The printer's paper.")] = "a4",
    as_json: AsJson = False,
) -> None:
    """Say what a cage costs to build by the shop's own times and prices; exit code 1 while one is missing."""
    with speaking_plainly(as_json=as_json):
        read = recorded_hours(record.as_posix()) if record else ()
        answer = quote_of(open_job(plan), read)
        costs, offer = costs_sheet(answer), offer_sheet(answer, customer)
        if folder:
            put_together(folder, _files(answer, costs, offer, paper), answer.revision)
    if as_json:
        emit(answer)
    else:
        for table in costs.tables:
            show_table(table)
        out.print(answer.headline, markup=False)
        for words in (*answer.leaves_out, *answer.cautions):
            out.print(words, markup=False)
    for blank in answer.blanks if not as_json else ():
        err.print(blank.words, markup=False)
    if answer.blanks:
        raise typer.Exit(1)


def _files(answer: Quote, costs: Sheet, offer: Sheet | None, paper: Paper) -> dict[str, bytes]:
    """The cost table as PDF and CSV, and the offer where there is one."""
    from cagewright.book.papers import sheets_paper  # the typesetter: only a PDF waits for it

    sheets = {"costs.pdf": costs} | ({"offer.pdf": offer} if offer else {})
    made = {
        name: sheets_paper((sheet,), title=answer.title, revision=answer.revision, paper=paper)
        for name, sheet in sheets.items()
    }
    return made | {"costs.csv": to_csv(costs.tables[0])}
