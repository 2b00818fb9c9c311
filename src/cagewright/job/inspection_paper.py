"""An inspection on paper: a table for each place of the walk, a box for each reading, and the open points."""

from __future__ import annotations

from cagewright.base.sheet import Column, Sheet, Table
from cagewright.job.inspection import InspectionAnswer


def inspection_sheet(answer: InspectionAnswer) -> Sheet:
    """The paper: a table for each place, a box for each reading, and the open points."""
    heads = ("clause and row", "what it asks", "measure", "with", "limit", "planned", "reading", "verdict")
    tables = [
        Table(
            title=station.name,
            columns=tuple(Column(head=head) for head in heads),
            rows=tuple(
                (
                    f"{r.clause}, {r.rule}", r.title, r.what, r.tool, r.limit, r.planned or "–",
                    r.reading or "________", r.verdict or "☐",
                )
                for r in station.rows
            ),
        )
        for station in answer.stations
    ]  # fmt: skip
    points = tuple((point,) for point in answer.open_points)
    last = Table(title=f"Open points: {answer.headline}", columns=(Column(head="point"),), rows=points)
    signed = Table(
        title="",
        columns=tuple(Column(head=head) for head in ("car", "date", "looked at by", "signature")),
        rows=(("________________",) * 4,),
    )
    return Sheet(
        name=f"inspection_{answer.book}",
        title=f"{answer.title}, {answer.edition}",
        kind="inspection",
        tables=(signed, *tables, last) if points else (signed, *tables),
        notes=answer.cautions,
    )
