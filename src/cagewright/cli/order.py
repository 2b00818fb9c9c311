"""The command that says in which order to tack and weld, loaded without what only readings or pushes need."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from cagewright.base.names import shown
from cagewright.base.plain import plain
from cagewright.base.sheet import Column, Table
from cagewright.cli.output import AsJson, PlanPath, emit, out, show_table, speaking_plainly
from cagewright.job.opening import Job, open_job
from cagewright.job.order import moves_asked, order_of

Moves = Annotated[
    list[str] | None,
    typer.Option(
        "--move", metavar="TUBE:STEP", help="Tack that tube at that step instead; several times for several."
    ),
]


def _moves(job: Job, asked: list[str] | None) -> dict[str, int]:
    moves: dict[str, int] = {}
    for words in asked or ():
        name, _, number = words.rpartition(":")
        found = moves_asked(job, {name: int(number)}) if number.isdigit() else {}
        if not found:
            raise typer.BadParameter(f"'{words}' is not a tube of the plan and a step, such as header:2")
        moves |= found
    return moves


def _way_in(job: Job, door: str) -> tuple[Any, list[str]]:
    """How the bench's work goes in: the answer as plain values, and its sentences."""
    from cagewright.job.passage import passage_of  # half a second for the kernels' compiler

    found = passage_of(job, door)
    moves = (f"  {m.number}. {m.said}" for m in found.moves)
    return plain(found), [found.headline, *moves, found.counted]


def order(
    plan: PlanPath,
    move: Moves = None,
    door: Annotated[
        str,
        typer.Option(
            metavar="LINE", help="Also say how the bench's work goes in through that measured opening."
        ),
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Say in which order to tack and weld, and what a change of it breaks (exit code 1)."""
    with speaking_plainly(as_json=as_json):
        job = open_job(plan)
        answer = order_of(job, _moves(job, move))
        passage, way_in = _way_in(job, door) if door else (None, [])
    if as_json:
        emit(plain(answer) | ({"passage": passage} if passage else {}))
    else:
        rows = tuple(
            (
                str(s.number),
                s.title,
                s.where,
                *(", ".join(map(shown, n)) or "–" for n in (s.tack, (*s.weld, *s.parts))),
            )
            for s in answer.steps
        )
        heads = ("step", "what", "where", "tack", "weld or fit")
        show_table(Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows))
        said = [
            *(n for s in answer.steps for n in s.notes),
            *(f"Step {s.number}: {d.words}" for s in answer.steps for d in s.distance),
            *(b.words for b in answer.broken),
        ]
        for words in (*said, *way_in):
            out.print(words, markup=False)
    if answer.broken:
        raise typer.Exit(1)
