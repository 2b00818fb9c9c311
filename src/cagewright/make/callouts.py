"""Words with a leader to the tube they speak of, in several places to choose from."""

from __future__ import annotations

import numpy as np

from cagewright.base.drawing import Label, Points
from cagewright.make.strokes import Ink, arrowhead, polyline

LETTER = 2.5
"""Height of capitals on a sketch, mm (ISO 3098-1 size 2,5)."""


def callouts(at: Points, way: Points, near: float, lines: list[str]) -> list[Ink]:
    """The words at several distances from ``at``, against ``way`` first, then along it, then aside."""
    side = np.array([-way[1], way[0]])
    ways = (
        -way,
        way,
        unit2(side - way),
        unit2(-side - way),
        unit2(side + way),
        unit2(way - side),
        side,
        -side,
    )
    return [_callout(at, w, near, near + d, lines) for d in (7.0, 12.0, 18.0, 25.0) for w in ways]


def unit2(v: Points) -> Points:
    """``v`` (2,) scaled to length 1."""
    return v / float(np.hypot(*v))


def _callout(at: Points, way: Points, near: float, far: float, lines: list[str]) -> Ink:
    tip, end = at + way * near, at + way * far
    anchor = "left" if way[0] > 0.35 else "right" if way[0] < -0.35 else "middle"
    lead = 1.5 * LETTER
    top = float(end[1]) + _rise(float(way[1]), (len(lines) - 1) * lead)
    x = float(end[0]) + {"left": 1.0, "right": -1.0, "middle": 0.0}[anchor]
    labels = tuple(
        Label(text=t, at=(x, top - i * lead), height=LETTER, anchor=anchor, layer="dimension")
        for i, t in enumerate(lines)
    )
    leader = (polyline([end, tip], "dimension"), arrowhead(tip, -way))
    return Ink(strokes=leader, labels=labels)


def _rise(up: float, deep: float) -> float:
    """How far the first baseline lies above the leader's end: words stand over, under or beside it."""
    if up >= 0.8:
        return deep + 0.4 * LETTER
    return -1.4 * LETTER if up <= -0.8 else deep / 2.0 - 0.35 * LETTER
