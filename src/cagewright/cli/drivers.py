"""The command that holds belts, helmet and sight to everybody who drives."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cagewright.base.names import shown
from cagewright.base.sheet import Column, Table
from cagewright.cli.output import AsJson, PlanPath, emit, out, show_table, speaking_plainly
from cagewright.job.drivers import DriversAnswer, drivers_of, drivers_sheet
from cagewright.job.opening import open_job
from cagewright.job.writers import to_svg


def drivers(
    plan: PlanPath,
    template: Annotated[
        Path | None,
        typer.Option("--template", metavar="FILE", help="Write the bracket's holes at full size (SVG)."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say how belts, helmet and sight stand over everybody who drives (exit code 1: a limit is broken)."""
    with speaking_plainly(as_json=as_json):
        job = open_job(plan)
        answers = drivers_of(job)
        sheet = drivers_sheet(job) if template else None
        if template and sheet and sheet.drawings:
            template.write_text(to_svg(sheet.drawings[0]), encoding="utf-8")
    if as_json:
        emit(answers)
    else:
        for answer in answers:
            _show(answer)
        if template and not (sheet and sheet.drawings):
            out.print("No template: the plan's seat has no holes.", markup=False)
    if any(a.level == "fail" for a in answers):
        raise typer.Exit(1)


def _show(answer: DriversAnswer) -> None:
    out.print(answer.headline, markup=False)
    heads = ("what", "least", "of whom", "most", "of whom", "limit", "to spare")
    rows = tuple(
        (r.what, r.low.said, r.low_who, r.high.said, r.high_who, r.limit or "–",
         r.margin.said if r.margin else "–")
        for r in answer.rows
    )  # fmt: skip
    show_table(Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows))
    for hole in answer.holes:
        out.print(f"{shown(hole.who)}: hole {hole.hole} ({hole.said})", markup=False)
    for tab in answer.tabs:
        point = (
            f"; let it point {tab.turned.said} above the level, pulls lie {tab.spread.said} off it at most"
        )
        out.print(
            f"{shown(tab.mount)}: {tab.said}{point if tab.turned.value is not None else ''}", markup=False
        )
    out.print("Read with the driver in, belts on:", markup=False)
    for sit in answer.sit:
        out.print(f"  {sit.who}: {sit.what}: {sit.expected.said}; {sit.stop}", markup=False)
    for caution in answer.cautions:
        out.print(caution, markup=False)
