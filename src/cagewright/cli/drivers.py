"""The command that holds belts, helmet and sight to everybody who drives."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cagewright.cli.output import AsJson, PlanPath, emit, out, show_table, speaking_plainly
from cagewright.job.drivers import drivers_of, drivers_sheet
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
            out.print(answer.headline, markup=False)
            for table in answer.tables:
                show_table(table)
            for caution in answer.cautions:
                out.print(caution, markup=False)
        if template and not (sheet and sheet.drawings):
            out.print("No template: the plan's seat has no holes.", markup=False)
    if any(a.level == "fail" for a in answers):
        raise typer.Exit(1)
