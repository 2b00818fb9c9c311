"""Places on a member: the one nearest to a point, said in the words that the plan can say it in."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from cagewright.base.curves import Chain, nearest, point_at, tangent_at
from cagewright.base.vectors import Vector, length
from cagewright.change.before import on_the_tape, spot_on_the_tape
from cagewright.plan.places import MEASURES, OnMember, Side
from cagewright.shape.located import Refused
from cagewright.shape.places import AXES, Ground, spot

MARK = 0.4
"""The marks of the coarser tape are so far apart, mm: 1/64 in."""
TRUE = 1.0
"""A place said to the nearest mark of the tape may lie this far from where it is meant, mm."""


def nearest_place(on: str, point: Vector, ground: Ground, like: OnMember | None = None) -> OnMember | None:
    """The place on the member nearest to the point (3,); None where the plan has no words for it.

    Args:
        on: name of the member.
        point: mm.
        ground: with the member's centre line.
        like: how the place was given before: its measure, side and bend radius stay where they still can.
    """
    path = ground.paths.get(on)
    if path is None:
        return None
    run, _ = nearest(path, point)
    return place_at(on, run, ground, like)


def place_at(on: str, run: float, ground: Ground, like: OnMember | None = None) -> OnMember | None:
    """The place ``run`` mm along the member; see ``nearest_place``."""
    path = ground.paths.get(on)
    if path is None:
        return None
    wanted = point_at(path, run)
    for made in _ways(on, path, run, like, ground):
        try:
            there = spot(made, ground, ())
        except Refused:
            continue
        if float(length(there - wanted)) <= TRUE:
            return made
    return None


def _ways(on: str, path: Chain, run: float, like: OnMember | None, ground: Ground) -> Iterator[OnMember]:
    """Every way to say it, the one it was said in first, then the coordinates that change most along it."""
    point, clr = point_at(path, run), None if like is None else like.clr
    steep = np.abs(tangent_at(path, run))
    axes = sorted(AXES, key=lambda axis: -steep[AXES[axis]])
    here: Side = "left" if point[1] < 0.0 else "right"
    sides: tuple[Side | None, ...] = (None, here) if like is None or like.side is None else (here, None)
    before = [measure_of(like)] if like is not None else []
    # at its very end the nearest mark of the tape may lie past it
    last = "part" if min(run, path.length - run) < MARK else "along"
    for measure in (*before, *(axis for axis in axes if steep[AXES[axis]] > 0.2), last):
        at: dict[str, Any] = {measure: _value(measure, path, run, ground.units, like)}
        for side in sides if measure in AXES else (None,):
            yield OnMember.model_construct(None, on=on, side=side, clr=clr, **at)
    near = spot_on_the_tape(point, ground.units)
    at = {"near": near, axes[0]: _value(axes[0], path, run, ground.units, like)}
    yield OnMember.model_construct(None, on=on, clr=clr, **at)


def measure_of(place: OnMember) -> str:
    """The key of the place's one measure."""
    return next(key for key in MEASURES if getattr(place, key) is not None)


def _value(measure: str, path: Chain, run: float, units: str, like: OnMember | None) -> float:
    if measure in AXES:
        return on_the_tape(float(point_at(path, run)[AXES[measure]]), units)
    if measure == "part":
        return round(run / path.length, 4)
    from_end = like is not None and like.along is not None and np.signbit(like.along)
    return on_the_tape(run - path.length if from_end else run, units)
