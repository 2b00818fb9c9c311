"""Numbered arrows over a view of the cage: which way something has to go, to be read beside a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cagewright.base.drawing import Drawing, Label, Points, box_round, text_width
from cagewright.base.vectors import Vector, unit
from cagewright.make.placing import AreasInUse, placed
from cagewright.make.projection import on_paper
from cagewright.make.strokes import Ink, arrowhead, circle, polyline, together
from cagewright.make.views import FRAMES, Direction

LENGTH = 13.0
"""Every arrow is this long on the paper, mm, however far the pull: its size stands in the table."""
SEEN = 0.5
"""An arrow of whose way less than this is seen from there is not drawn: another view shows it."""
_HEIGHT = 2.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrow:
    """An arrow from ``at`` (3,) mm along ``way`` (3,), any length but 0, with its number or word."""

    at: Vector
    way: Vector
    text: str


def seen_from(arrows: Sequence[Arrow], direction: Direction) -> tuple[Arrow, ...]:
    """The arrows whose way shows from there."""
    toward = FRAMES[direction].toward
    return tuple(a for a in arrows if 1.0 - float(unit(a.way) @ toward) ** 2 >= SEEN**2)


def with_arrows(view: Drawing, direction: Direction, arrows: Sequence[Arrow]) -> Drawing:
    """The view with the arrows that show from there, each with its number in a ring at the tail or beside it.

    Args:
        view: made by ``cage_view`` from that direction.
        direction: of the view.
        arrows: any; those that point at the eye or away are left out.
    """
    taken, inks = AreasInUse(), list[Ink]()
    frame = replace(FRAMES[direction], scale=view.scale)
    for arrow in seen_from(arrows, direction):
        tail = on_paper(frame, arrow.at)
        way = on_paper(replace(frame, scale=1.0), arrow.way)
        way = way / float(np.hypot(*way))
        shaft = _shaft(tail, way)
        taken.add_ink(shaft)
        inks += [shaft, placed([_ring(at, arrow.text) for at in _spots(tail, way)], taken)]
    ink = together(*inks)
    strokes, labels = (*view.strokes, *ink.strokes), (*view.labels, *ink.labels)
    return replace(view, strokes=strokes, labels=labels, box=box_round(strokes, labels, margin=1.0))


def _shaft(tail: Points, way: Points) -> Ink:
    tip = tail + LENGTH * way
    head = arrowhead(tip, way, "selected", size=4.5)
    return Ink(strokes=(polyline([tail, tip - 3.0 * way], "selected"), head))


def _spots(tail: Points, way: Points) -> list[Points]:
    side = np.array([-way[1], way[0]])
    wide = 3.4
    return [tail - wide * way, *(tail + wide * s * side + wide * k * way for k in (0, 1, 2) for s in (1, -1))]


def _ring(at: Points, text: str) -> Ink:
    wide = max(2.6, text_width(text, _HEIGHT) / 2.0 + 0.8)
    label = Label(
        text=text,
        at=(float(at[0]), float(at[1]) - _HEIGHT / 2.0),
        height=_HEIGHT,
        anchor="middle",
        strong=True,
    )
    return Ink(strokes=(circle(at, wide, "selected", fill="paper", sides=32),), labels=(label,))
