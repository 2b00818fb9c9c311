"""The command that sets the ways round an obstacle side by side."""

from __future__ import annotations

from typing import Annotated

import typer

from cagewright.base.names import named, shown
from cagewright.base.sheet import Column, Table
from cagewright.cli.frames import speaking_of_frames
from cagewright.cli.output import AsJson, PlanPath, emit, out, progress, show_table
from cagewright.job.obstacles import ObstacleRow, ShellLost, WayRow, obstacles_answer
from cagewright.job.opening import open_job


def obstacles(
    plan: PlanPath,
    tube: Annotated[str, typer.Option(metavar="NAME", help="Only what stands in that tube's way.")] = "",
    push: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME", help="Also push the ways side by side; several times for several."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say what stands in a tube's way, and what moving it in, bridging or cutting costs."""
    with speaking_of_frames(as_json=as_json):
        job = open_job(plan)
        name = named(tube, [m.name for m in job.cage.members])
        with progress(quiet=as_json) as step:
            answer = obstacles_answer(job, tube=name, pushes=push or (), step=step)
    if as_json:
        emit(answer)
        return
    out.print(answer.headline, markup=False)
    for one in answer.obstacles:
        _show(one)
    for study in answer.pushed:
        for table in study.tables:
            show_table(table)
        for note in study.notes:
            out.print(note, markup=False)
    for words in (*answer.notes, *answer.cautions):
        out.print(words, markup=False)


def _show(one: ObstacleRow) -> None:
    out.print(f"{shown(one.member)} is {one.depth.said} deep in {one.what}:", markup=False)
    heads = (
        "way",
        "what to do",
        "helmet",
        "torch",
        "of the shell's section is left",
        "rules and checks",
        "hours",
    )
    rows = tuple(
        (w.kind, "; ".join(w.problems) or w.said, w.helmet.said if w.helmet else "–",
         w.torch.said if w.torch else "–", _lost(w), w.findings or "–", w.hours.said)
        for w in one.ways
    )  # fmt: skip
    show_table(Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows))


def _lost(way: WayRow) -> str:
    lost: ShellLost | None = way.lost
    if lost is None:
        return "not known" if way.kind == "cut" else "all of it"
    one, two = lost.bending
    return (
        f"area {lost.area.said}, bending {one.said} and {two.said}, torsion {lost.torsion.said} "
        f"(by {lost.rests_on})"
    )
