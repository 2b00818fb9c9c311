"""The way in as pictures, after each move from the front, from above and from the left; and its paper."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from cagewright.base.drawing import STEEL, Drawing, Label, Layer, Look, Stroke, box_round
from cagewright.base.names import shown
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.fitup.way import CarriedPart, part_of, turned
from cagewright.job.opening import Job
from cagewright.job.passage import CarryMove, PassageAnswer, plainest_passage
from cagewright.make.projection import on_paper
from cagewright.make.views import FRAMES, NAMES, Direction

Floats = NDArray[np.float64]
VIEWS: tuple[Direction, ...] = ("front", "plan", "side")
WIDE, HIGH, APART = 54.0, 44.0, 6.0
"""Room for one view on the drawing, and between two, mm."""


def move_drawings(job: Job, answer: PassageAnswer) -> tuple[Drawing, ...]:
    """One drawing a move: the part as it stands after it, with the body's measured lines and the opening."""
    if not answer.moves:
        return ()
    part = part_of([m for m in job.cage.members if m.name in answer.members])
    poses = [np.array(m.pose) for m in answer.moves]
    places = [_ends(part, pose).reshape(-1, 3) for pose in poses]
    lines: list[tuple[Floats, Layer]] = [
        (line.points, "selected" if line.name == answer.opening else "body") for line in job.cage.lines
    ]
    reach = np.concatenate([*places, *(points for points, _ in lines)])
    return tuple(_drawing(part, move, lines, reach) for move in answer.moves)


def passage_sheet(job: Job) -> Sheet | None:
    """How the bench's work goes in, as a paper; None without work on the bench or a measured opening.

    Raises:
        ProblemsFound: the scan cannot be used.
    """
    answer = plainest_passage(job)
    if answer is None:
        return None
    rows = tuple((str(m.number), m.words, m.room.said if m.room else "–") for m in answer.moves)
    heads = (Column(head="move"), Column(head="what to do"), Column(head="room", align="right"))
    return Sheet(
        name="way_in",
        title=f"How the bench's work goes in: {shown(answer.opening)}",
        kind="fit-up",
        tables=(Table(title="Moves", columns=heads, rows=rows),) if rows else (),
        drawings=move_drawings(job, answer),
        notes=(f"{answer.headline[0].upper()}{answer.headline[1:]}", answer.counted),
    )


def _ends(part: CarriedPart, pose: Floats) -> Floats:
    """Starts and stops (2, s, 3) of the part's pieces in that pose, mm."""
    turn = turned(pose)
    return np.array([turn.apply(part.tubes[:, i : i + 3]) + pose[:3] for i in (0, 3)])


def _drawing(part: CarriedPart, move: CarryMove, lines: list[tuple[Floats, Layer]], reach: Floats) -> Drawing:
    ends = _ends(part, np.array(move.pose))
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for n, name in enumerate(VIEWS):
        flat = on_paper(FRAMES[name], reach)
        low, high = flat.min(axis=0), flat.max(axis=0)
        scale = min(WIDE / float(high[0] - low[0]), HIGH / float(high[1] - low[1]))
        view = replace(FRAMES[name], scale=scale)
        move_by = np.array([n * (WIDE + APART), 0.0]) - low * scale
        strokes += [Stroke(points=on_paper(view, p) + move_by, layer=layer) for p, layer in lines]
        looks = [Look(width=max(2.0 * float(r) * scale, 0.4), ink=STEEL) for r in part.tubes[:, 6]]
        strokes += [
            Stroke(points=on_paper(view, pair) + move_by, layer="tube", look=look)
            for pair, look in zip(ends.transpose(1, 0, 2), looks, strict=True)
        ]
        labels.append(Label(text=NAMES[name], at=(n * (WIDE + APART), -5.0), height=2.2))
    return Drawing(
        name=f"way-in-{move.number}",
        title=f"After move {move.number}",
        box=box_round(tuple(strokes), tuple(labels), margin=1.0),
        scale=WIDE / float(np.ptp(reach[:, 1])),
        strokes=tuple(strokes),
        labels=tuple(labels),
    )
