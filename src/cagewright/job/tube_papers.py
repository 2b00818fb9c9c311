"""A tube as it is on paper: drawn over the tube that was meant, and the wraps of just the ends it changes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cagewright.base.curves import evenly
from cagewright.base.drawing import STEEL, Drawing, Label, Look, Stroke, box_round
from cagewright.base.names import shown
from cagewright.base.sheet import Paper
from cagewright.job.cutting import wraps_in
from cagewright.job.opening import Job
from cagewright.job.papers import wrap_pages_of
from cagewright.job.tube import TubeAnswer
from cagewright.job.tube_taken import way_taken
from cagewright.job.tube_ways import with_tube
from cagewright.make.projection import on_paper
from cagewright.make.views import FRAMES, NAMES, Direction
from cagewright.plan.changes import read_change

VIEWS: tuple[Direction, ...] = ("side", "plan", "front")
WIDE, HIGH, APART = 150.0, 90.0, 18.0
"""Room for one view on the drawing, and between two, mm."""
REAL = Look(width=0.9, ink=STEEL)
LARGER, SEEN, STATIONS = (1, 2, 5, 10, 20), 60.0, 240
"""What is off is drawn so many times as large, up to so far beside the plan, mm; places along a line."""


def tube_drawing(answer: TubeAnswer) -> Drawing | None:
    """The planned centre line dashed, the real one drawn out; None where the tube has no place.

    It is seen from the two of the car's sides that show the most of it.
    """
    if not answer.lines:
        return None
    planned, read = (evenly(np.array(line), STATIONS) for line in answer.lines)
    beside = planned[np.linalg.norm(read[:, None] - planned, axis=2).argmin(axis=1)]
    furthest = float(np.linalg.norm(read - beside, axis=1).max())
    larger = max((k for k in LARGER if k * furthest <= SEEN), default=1)
    real = beside + larger * (read - beside)
    both = np.concatenate([planned, real])
    area = {name: float(np.prod(np.ptp(on_paper(FRAMES[name], both), axis=0) + 1.0)) for name in VIEWS}
    strokes, labels, scale, top = list[Stroke](), list[Label](), 1.0, 0.0
    for name in sorted(VIEWS, key=lambda v: -area[v])[:2]:
        flat = on_paper(FRAMES[name], both)
        low, size = flat.min(axis=0), np.ptp(flat, axis=0) + 1.0
        scale = min(WIDE / float(size[0]), HIGH / float(size[1]))
        view = replace(FRAMES[name], scale=scale)
        top -= float(size[1]) * scale
        by = np.array([0.0, top]) - low * scale
        strokes += [
            Stroke(points=on_paper(view, planned) + by, layer="hidden"),
            Stroke(points=on_paper(view, real) + by, layer="tube", look=REAL),
        ]
        at = [on_paper(view, real[i]) + by for i in (0, -1)]
        labels += [
            Label(text=word, at=(float(x) + 1.5, float(y) + 1.5), height=4.0)
            for word, (x, y) in zip(("start", "end"), at, strict=True)
        ]
        labels.append(Label(text=NAMES[name], at=(0.0, top - 8.0), height=4.0))
        top -= APART
    return Drawing(
        name=f"{answer.member}-as-it-is",
        title=f"{shown(answer.member)}: dashed as planned, drawn out as it is"
        + (f", what is off {larger} times as large" if larger > 1 else ""),
        box=box_round(tuple(strokes), tuple(labels), margin=2.0),
        scale=scale, strokes=tuple(strokes), labels=tuple(labels),
    )  # fmt: skip


def recut_pages(job: Job, answer: TubeAnswer, paper: Paper) -> tuple[Job, tuple[Drawing, ...]]:
    """The plan with the tube as it is, and the wraps of just the ends that it changes, on pages at 1:1.

    Raises:
        ProblemsFound: the tube cannot go where it was meant.
    """
    way = way_taken(job, answer)
    built = with_tube(job, read_change(way.change or {}, units=job.cage.units, file=job.path.name))
    some = tuple(w for w in wraps_in(built) if f"{w.member}.{w.which}" in way.papers)
    return built, wrap_pages_of(built, some, paper) if some else ()
