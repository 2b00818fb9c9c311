"""The survival space: when a tube, or the tool itself, comes into the ball round somebody's head."""

from __future__ import annotations

import math

import numpy as np

from cagewright.base.vectors import Vector
from cagewright.frame.contact import Platen, Pole, first_touch
from cagewright.frame.idealise import Idealised
from cagewright.frame.model import Floats, Solution
from cagewright.frame.pushes import Push
from cagewright.frame.results import SurvivalSpace
from cagewright.plan.types import PersonEntry
from cagewright.shape.seated import head_centre
from cagewright.shape.types import bodies_of


def room_of(model: Idealised, push: Push, solution: Solution) -> SurvivalSpace | None:
    """The survival space over a push, of whoever has least left; None where nobody sits in the car.

    The ball is the plan's helmet circle round the head at rest: head and seat are taken as not moving.
    """
    rooms = [_room(model, push, solution, whose, body) for whose, body in bodies_of(model.cage)]
    return min(rooms, key=lambda r: (math.inf if r.touched is None else r.touched, r.least), default=None)


def _room(model: Idealised, push: Push, solution: Solution, whose: str, body: PersonEntry) -> SurvivalSpace:
    centre, doubt, source, _ = head_centre(body)
    radius = body.helmet / 2.0
    gaps = tube_gaps(model, solution, centre) - radius
    tool = tool_gaps(model, push, solution, centre) - radius
    least = np.minimum(gaps.min(axis=1), tool)
    when = crossing(solution.travel, least)
    step = int(np.argmin(least)) if when is None else int(np.argmax(least <= 0.0))
    return SurvivalSpace(
        touched=when,
        by=_by(model, push, gaps[step], float(tool[step])),
        rest=float(least[0]),
        least=float(least.min()),
        doubt=doubt,
        source=source,
        whose=whose,
        followed=float(solution.travel[-1]),
    )


def crossing(travel: Floats, gap: Floats) -> float | None:
    """Travel at which ``gap`` (k,) first reaches 0, straight between kept steps; None where it never does."""
    inside = np.flatnonzero(gap <= 0.0)
    if not len(inside):
        return None
    k = int(inside[0])
    if k == 0:
        return float(travel[0])
    share = gap[k - 1] / (gap[k - 1] - gap[k])
    return float(travel[k - 1] + share * (travel[k] - travel[k - 1]))


def _by(model: Idealised, push: Push, gaps: Floats, tool: float) -> str:
    if tool < gaps.min():
        return push.kind
    return model.cage.members[int(model.member[int(np.argmin(gaps))])].name


def tips(model: Idealised, solution: Solution) -> Floats:
    """Where every element starts and stops at every kept step (k, m, 2, 3), mm."""
    frame = model.model
    place = frame.nodes + solution.displacement
    turned = np.einsum("kmsij,msj->kmsi", solution.turn[:, frame.elements], frame.stubs)
    return place[:, frame.elements] + turned


def tube_gaps(model: Idealised, solution: Solution, centre: Vector) -> Floats:
    """From ``centre`` (3,) to every element's outside at every kept step (k, m), mm; infinite once torn."""
    ends = tips(model, solution)
    start, way = ends[:, :, 0], ends[:, :, 1] - ends[:, :, 0]
    size = np.maximum((way**2).sum(axis=2), 1e-12)
    part = np.clip(((centre - start) * way).sum(axis=2) / size, 0.0, 1.0)
    off = start + part[..., None] * way - centre
    gaps = np.sqrt((off**2).sum(axis=2)) - model.model.sections.radius
    for loss in solution.losses:
        gaps[loss.step :, list(loss.part.elements)] = np.inf
    return gaps


def tool_gaps(model: Idealised, push: Push, solution: Solution, centre: Vector) -> Floats:
    """From ``centre`` (3,) to the tool's surface at every kept step (k,), mm; infinite without one."""
    press = push.press
    if press is None:
        return np.full(len(solution.travel), np.inf)
    run = first_touch(model.model, press) + solution.travel
    way = press.way if press.way is not None else press.normal  # pyright: ignore[reportAttributeAccessIssue]
    off = centre - (press.centre + run[:, None] * (way / np.sqrt(way @ way)))
    return _from_pole(press, off) if isinstance(press, Pole) else _from_platen(press, off)


def _from_platen(press: Platen, off: Floats) -> Floats:
    """Distance of points ``off`` (k, 3) from the platen's middle to its face; behind the face is 0."""
    normal = press.normal / np.sqrt(press.normal @ press.normal)
    along = press.along - (press.along @ normal) * normal
    along = along / np.sqrt(along @ along)
    sides = (off @ along, off @ np.cross(normal, along))
    over = [
        np.maximum(np.abs(s) - half, 0.0)
        for s, half in zip(sides, (press.length / 2.0, press.width / 2.0), strict=True)
    ]
    ahead = np.maximum(off @ normal, 0.0)
    return np.sqrt(ahead**2 + over[0] ** 2 + over[1] ** 2)


def _from_pole(press: Pole, off: Floats) -> Floats:
    axis = press.axis / np.sqrt(press.axis @ press.axis)
    along = off @ axis
    beyond = np.maximum(np.abs(along) - press.length / 2.0, 0.0)
    aside = np.maximum(np.sqrt(np.maximum((off**2).sum(axis=1) - along**2, 0.0)) - press.radius, 0.0)
    return np.sqrt(beyond**2 + aside**2)
