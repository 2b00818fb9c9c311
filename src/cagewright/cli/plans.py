"""Commands on a plan: what is in it, and its papers."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cagewright.base.names import shown
from cagewright.base.plain import plain
from cagewright.base.sheet import Column, Table
from cagewright.cli.output import AsJson, PlanPath, emit, err, out, progress, show_table, speaking_plainly
from cagewright.job.contents import contents_of
from cagewright.job.cutting import to_see_to_in
from cagewright.job.findings import findings
from cagewright.job.opening import open_job


def show(plan: PlanPath, as_json: AsJson = False) -> None:
    """Say what is in a plan: members, joints, feet."""
    with speaking_plainly(as_json=as_json):
        found = contents_of(open_job(plan))
    if as_json:
        emit(plain(found))
        return
    out.print(f"{found.title}, revision {found.revision}", markup=False)
    heads = ("member", "role", "tube", "length", "bends", "start", "end")
    rows = tuple(
        (m.shown, m.role, shown(m.tube_name), m.length.said, str(len(m.bends)), m.start, m.end)
        for m in found.members
    )
    show_table(Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows))
    for sentence in found.to_see_to:
        err.print(f"To be seen to: {sentence.words}", markup=False)
    out.print(f"{found.headline}.", markup=False)


def build_papers(
    plan: PlanPath,
    folder: Annotated[Path, typer.Option("-o", "--out", metavar="DIR", help="Folder for the papers.")],
    as_json: AsJson = False,
) -> None:
    """Write every paper of a plan into a folder; exit code 1 where a rule fails."""
    with speaking_plainly(as_json=as_json):
        job = open_job(plan)
        from cagewright.book.build import build  # the typesetter: no other command waits for it

        with progress(quiet=as_json) as step:
            files = build(job, folder, step=step)
        found, wanting = findings(job), to_see_to_in(job)
    if as_json:
        emit({
            "files": [p.as_posix() for p in files],
            "stamp": found.headline,
            "revision": job.cage.revision,
            "to_see_to": plain(wanting),
        })
    else:
        for sentence in wanting:
            err.print(f"To be seen to: {sentence.words}", markup=False)
        out.print(
            f"{len(files)} files in {folder.as_posix()}: print papers-a4.pdf or papers-letter.pdf",
            markup=False,
        )
        out.print(f"{found.headline}. {' '.join(found.cautions)}", markup=False)
    if found.failed:
        err.print("Something fails, by a book or an own check: see the papers, or run check.", markup=False)
        raise typer.Exit(1)
