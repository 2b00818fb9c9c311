"""The survival space of the people in the car: when a tube, or the tool itself, comes into it.

People and seats are taken as not moving. Tubes that carry the seat are left out, for the seat stands between
them and whom it carries; so are tubes that stand in the space before anything is pushed, which is told.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from cagewright.base.names import shown
from cagewright.base.vectors import unit
from cagewright.frame.contact import Platen, Pole, first_touch
from cagewright.frame.idealise import Idealised
from cagewright.frame.model import Flags, Floats, Ints, Solution
from cagewright.frame.pushes import Push
from cagewright.frame.results import PartRoom, SurvivalSpace
from cagewright.shape.standing import names_of, seat_tubes
from cagewright.shape.survival_space import Space, distances, points_of, survival_spaces

TOOL = -1
"""Stands for the tool among element numbers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Approach:
    """How near a push comes to one part of a person.

    Attributes:
        space: the part's space.
        gap: (k,) mm left at every kept step, negative inside.
        by: (k,) the element that is nearest, or ``TOOL``.
        tool: what ``TOOL`` is, such as ``platen`` or ``ground``.
        inside: members that stand in the space at rest, left out.
    """

    space: Space
    gap: Floats
    by: Ints
    tool: str
    inside: tuple[str, ...]


def approaches(model: Idealised, push: Push, solution: Solution) -> tuple[Approach, ...]:
    """How near the tubes and the tool come to each part of each person; none where nobody sits in the car."""
    return approaches_with(
        model, solution, push.kind, lambda points: tool_gaps(model, push, solution, points)
    )


def approaches_with(
    model: Idealised, solution: Solution, tool: str, to_tool: Callable[[Floats], Floats]
) -> tuple[Approach, ...]:
    """The same with any tool: ``to_tool`` is mm from the nearest of points (p, 3) to it at each step (k,)."""
    spaces = survival_spaces(model.cage)
    if not spaces:
        return ()
    ends = tips(model, solution)
    box = ends.min(axis=(0, 2)), ends.max(axis=(0, 2))
    return tuple(
        _approach(model, solution, space, (tool, to_tool(points_of(space)) - space.radius), ends, box)
        for space in spaces
    )


def _approach(
    model: Idealised, solution: Solution, space: Space, tool: tuple[str, Floats], ends: Floats,
    box: tuple[Floats, Floats],
) -> Approach:  # fmt: skip
    away = apart_from_seats(model)
    inside = np.unique(model.member[away & (gaps_to(model, space, ends[:1], np.arange(len(away)))[0] <= 0.0)])
    counted = np.flatnonzero(away & ~np.isin(model.member, inside))
    near = counted[_may_be_nearest(model, space, ends, box, solution, counted)]
    gaps = np.column_stack([_until_torn(solution, near, gaps_to(model, space, ends, near)), tool[1]])
    who = np.append(near, TOOL)
    first = gaps.argmin(axis=1)
    return Approach(
        space=space,
        gap=gaps[np.arange(len(gaps)), first],
        by=who[first],
        tool=tool[0],
        inside=tuple(model.cage.members[i].name for i in inside),
    )


def _until_torn(solution: Solution, elements: Ints, gaps: Floats) -> Floats:
    """The gaps (k, e), infinite from where an element has torn: what is left of it is not followed."""
    for loss in solution.losses:
        gaps[loss.step :, np.isin(elements, loss.part.elements)] = np.inf
    return gaps


def gaps_to(model: Idealised, space: Space, ends: Floats, elements: Ints) -> Floats:
    """From the space to the outside of each of the elements (e,) at every kept step: (k, e) mm."""
    return gaps_at(model, space, ends[:, elements], elements)


def gaps_at(model: Idealised, space: Space, ends: Floats, elements: Ints) -> Floats:
    """As :func:`gaps_to` with ``ends`` (k, e, 2, 3) of those elements alone."""
    one, two = (ends[:, :, side].reshape(-1, 3) for side in (0, 1))
    away = distances(one, two, space.outline).reshape(len(ends), -1)
    return away - model.model.sections.radius[elements] - space.radius


def _may_be_nearest(
    model: Idealised,
    space: Space,
    ends: Floats,
    box: tuple[Floats, Floats],
    solution: Solution,
    elements: Ints,
) -> Ints:
    """Numbers among ``elements`` of those that may come nearest at some kept step.

    The boxes round an element's whole way and round the space are no further apart than the two are. An
    element whose boxes stand off further than some element stands off at each step is never the nearest.
    """
    if not len(elements):
        return elements
    low, high = box[0][elements] - space.outline.max(axis=0), space.outline.min(axis=0) - box[1][elements]
    apart = np.sqrt((np.maximum(np.maximum(low, high), 0.0) ** 2).sum(axis=1))
    least = apart - model.model.sections.radius[elements] - space.radius
    some = np.argsort(least)[:8]
    gaps = _until_torn(solution, elements[some], gaps_to(model, space, ends, elements[some]))
    reached = gaps.min(axis=1).max()
    return np.flatnonzero(least <= reached)


def touch_of(found: tuple[Approach, ...], travel: Floats) -> tuple[float, Approach] | None:
    """Travel, mm, of the first touch of anybody's space and what is touched; None where nothing is."""
    each = [(at, a) for a in found if (at := crossing(travel, a.gap)) is not None]
    return min(each, key=lambda one: one[0], default=None)


def room_of(
    model: Idealised, solution: Solution, found: tuple[Approach, ...], upto: float
) -> SurvivalSpace | None:
    """What is left to the people up to ``upto`` mm, the worst part first; None where nobody sits in it."""
    if not found:
        return None
    parts = [_part(model, solution.travel, one, upto) for one in found]
    inside = [f"{shown(m)} in the {a.space.person}'s {a.space.part}" for a in found for m in a.inside]
    return SurvivalSpace(
        parts=tuple(sorted(parts, key=lambda p: (np.inf if p.touched is None else p.touched, p.least))),
        inside=tuple(dict.fromkeys(inside)),
        followed=float(solution.travel[-1]),
    )


def _part(model: Idealised, travel: Floats, one: Approach, upto: float) -> PartRoom:
    touched = crossing(travel, one.gap)
    seen = np.append(one.gap[travel < upto], np.interp(upto, travel, one.gap))
    nearest = int(np.argmin(seen)) if touched is None or touched > upto else int(np.argmax(one.gap <= 0.0))
    return PartRoom(
        person=one.space.person,
        part=one.space.part,
        by=name_of(model, one, min(nearest, len(one.by) - 1)),
        rest=float(one.gap[0]),
        least=float(seen.min()),
        touched=touched,
        doubt=one.space.doubt,
        source=one.space.source,
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


def name_of(model: Idealised, one: Approach, step: int) -> str:
    """The member that is nearest at the kept step, or the tool."""
    element = int(one.by[step])
    return one.tool if element == TOOL else model.cage.members[int(model.member[element])].name


def tips(model: Idealised, solution: Solution) -> Floats:
    """Where every element starts and stops at every kept step (k, m, 2, 3), mm."""
    return tips_at(model, model.model.nodes + solution.displacement, solution.turn)


def tips_at(model: Idealised, place: Floats, turn: Floats, some: Ints | slice = slice(None)) -> Floats:
    """Where ``some`` elements start and stop (k, e, 2, 3), mm, nodes at (k, n, 3) turned (k, n, 3, 3)."""
    ends, stubs = model.model.elements[some], model.model.stubs[some]
    return place[:, ends] + np.einsum("kmsij,msj->kmsi", turn[:, ends], stubs)


def apart_from_seats(model: Idealised) -> Flags:
    """(m,) elements of all tubes but those that carry a seat."""
    carry = names_of(seat_tubes(model.cage))
    seats = [i for i, m in enumerate(model.cage.members) if m.name in carry]
    return ~np.isin(model.member, seats)


def tool_gaps(model: Idealised, push: Push, solution: Solution, points: Floats) -> Floats:
    """From the nearest of ``points`` (p, 3) to the tool's surface at every kept step (k,), mm.

    Infinite without a tool.
    """
    return _off_tool(model, push, solution, points[None]).min(axis=1)


def gaps_to_tool(model: Idealised, push: Push, solution: Solution) -> Floats:
    """From the tool's surface to the outside of each element's nearer end at every kept step (k, m), mm."""
    ends = tips(model, solution)
    away = _off_tool(model, push, solution, ends.reshape(len(ends), -1, 3))
    return away.reshape(*ends.shape[:3]).min(axis=2) - model.model.sections.radius


def _off_tool(model: Idealised, push: Push, solution: Solution, points: Floats) -> Floats:
    """From points (k or 1, p, 3) to the tool's surface at each kept step (k, p), mm; infinite without one."""
    press = push.press
    if press is None:
        return np.full((len(solution.travel), points.shape[1]), np.inf)
    run = first_touch(model.model, press) + solution.travel
    off = points - (press.centre + run[:, None] * way_of(press))[:, None]
    return _from_pole(press, off) if isinstance(press, Pole) else _from_platen(press, off)


def way_of(press: Platen | Pole) -> Floats:
    """The unit direction (3,) in which the tool goes."""
    way = press.way
    return unit(press.normal if way is None and isinstance(press, Platen) else np.asarray(way, float))


def _from_platen(press: Platen, off: Floats) -> Floats:
    """Distance of points ``off`` (..., 3) from the platen's middle to its face; behind the face is 0."""
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
    aside = np.maximum(np.sqrt(np.maximum((off**2).sum(axis=-1) - along**2, 0.0)) - press.radius, 0.0)
    return np.sqrt(beyond**2 + aside**2)
