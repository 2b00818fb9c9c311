"""Overlaps of tubes that no cut takes away, and cuts asked for that meet nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from cagewright.base.curves import point_at
from cagewright.base.problems import Problem
from cagewright.base.say import say_length
from cagewright.base.vectors import triple
from cagewright.shape.connections import Connection
from cagewright.shape.layout import Route, rests_on
from cagewright.shape.located import Locate
from cagewright.shape.overlaps import Touch
from cagewright.shape.places import Ground, said_place
from cagewright.shape.rails import boxes_of, overlap_of, to_box
from cagewright.shape.raw_ends import TOUCH

CLOSER = 1.0
"""A tube beside a rail is looked at this closely along its axis, mm."""


def clashes(
    routes: Sequence[Route], touches: Sequence[Touch], connections: Sequence[Connection], ground: Ground
) -> Iterator[Problem]:
    """A problem for every pair of members that run into each other away from their joints."""
    cut_away = {k for connection in connections for meeting in connection.mains for k in meeting.touches}
    twins = twin_names(routes)
    worst: dict[tuple[str, ...], Touch] = {}
    for k, touch in enumerate(touches):
        if k in cut_away:
            continue
        pair = _pair(routes[touch.a].draft.name, routes[touch.b].draft.name, twins)
        if pair not in worst or touch.depth > worst[pair].depth + 1e-6:
            worst[pair] = touch
    for touch in worst.values():
        yield _clash(touch, routes, ground)


def solids_meet(touch: Touch, routes: Sequence[Route]) -> bool:
    """Whether two members that overlap as round bars do so as what they are.

    Rails are looked at closer, but where one is placed on the other: it is cut to what it meets there.
    """
    a, b = routes[touch.a], routes[touch.b]
    placed = a.draft.name in rests_on(b.draft) or b.draft.name in rests_on(a.draft)
    if placed or (a.lie is None and b.lie is None):
        return True
    boxes = [boxes_of(r.path, r.tube.section, r.lie) if r.lie is not None else () for r in (a, b)]
    if a.lie is not None and b.lie is not None:
        return any(overlap_of(p, q) > TOUCH for p in boxes[0] for q in boxes[1])
    tube, on, rail = (b, touch.on_b, boxes[0]) if a.lie is not None else (a, touch.on_a, boxes[1])
    places = np.linspace(*on, max(int((on[1] - on[0]) / CLOSER), 1) + 1)
    points = np.array([point_at(tube.path, float(s)) for s in places])
    return any(float(to_box(points, box).min()) < tube.tube.radius - TOUCH for box in rail)


def twin_names(routes: Sequence[Route]) -> dict[str, str]:
    """Names of twins by each other's."""
    pairs = {r.draft.name: r.draft.mirror_of for r in routes if r.draft.mirror_of is not None}
    return {**pairs, **{original: twin for twin, original in pairs.items()}}


def _pair(a: str, b: str, twins: Mapping[str, str]) -> tuple[str, ...]:
    """The pair, the same for both sides of the car: what is wrong on both is told once."""
    return min(tuple(sorted((a, b))), tuple(sorted((twins.get(a, a), twins.get(b, b)))))


def _clash(touch: Touch, routes: Sequence[Route], ground: Ground) -> Problem:
    later, earlier = routes[touch.b], routes[touch.a]
    return Problem(
        code="tubes-overlap",
        where=ground.where((*later.draft.path, "path")),
        found=f"'{later.draft.name}' runs {say_length(touch.depth, ground.units)} into "
        f"'{earlier.draft.name}' near {said_place(touch.point, ground.units)}, "
        f"{say_length(touch.on_b[0], ground.units)} along it",
        wanted="move one of them clear, or end one on the other",
        point=triple(touch.point),
    )


def cuts_that_miss(
    routes: Sequence[Route], connections: Sequence[Connection], where: Locate
) -> Iterator[Problem]:
    """A problem for every member named under ``cut:`` that the end it is named for does not meet."""
    for route, start, end in zip(routes, connections[::2], connections[1::2], strict=True):
        cut = route.draft.entry.cut
        if cut is None:
            continue
        for key, ends in (("start", (start,)), ("end", (end,)), ("either", (start, end))):
            met = {routes[m.main].draft.name for connection in ends for m in connection.mains}
            for i, name in enumerate(getattr(cut, key)):
                if name not in met:
                    yield Problem(
                        point=triple(ends[0].raw_end.point),
                        code="cut-misses",
                        where=where((*route.draft.path, "cut", key, i)),
                        found=f"'{route.draft.name}' is to be cut on '{name}', but does not meet it there",
                        wanted="leave it out, or name a member that the end meets",
                    )
