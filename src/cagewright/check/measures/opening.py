"""Measures of how far tubes stand in the opening of a door or of the windscreen."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from cagewright.check.attitude import SideName, densely, side_of
from cagewright.check.bench import Gauged
from cagewright.check.findings import Location
from cagewright.check.measures.door import lines_called
from cagewright.check.readings import Amount, Measure, exact, unknown
from cagewright.check.rules import EdgeWord, Rule
from cagewright.check.select import chosen
from cagewright.shape.types import Cage, Line3, Member

Flat = NDArray[np.float64]  # (n, 2)
BAND: dict[EdgeWord, tuple[float, float]] = {
    "front": (0.5, 0.9), "rear": (0.5, 0.9), "top": (0.25, 0.75), "sides": (0.25, 0.75),
}  # fmt: skip
"""Shares along an edge between which tubes are looked at: a door's upper half, a screen's middle."""
STEPS = 9


def reach_in(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How far the chosen tubes stand inside the opening from its edge, mm; a door's for each side."""
    del bench
    return tuple(
        _reach(cage, rule, line, members, side) for line, members, side in _openings(cage, rule)
    ) or _none(cage, rule)


def free_width(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """Least width that the chosen tubes leave free in the upper half of a door's opening, mm."""
    del bench
    found: list[Amount] = []
    for line, members, _ in _openings(cage, rule):
        edge = line.points[:, [0, 2]]
        views = _side_views(line, members)
        free = [_free(edge, views, height) for height in _heights(edge, BAND["front"])]
        found.append(exact(Location(members=tuple(m.name for m in members)), min(free)))
    return tuple(found) or _none(cage, rule)


def _none(cage: Cage, rule: Rule) -> tuple[Amount, ...]:
    if not chosen(cage, rule):
        return ()
    ask = f"measure the edge of the {rule.opening} and enter it under shell, lines"
    return (unknown(Location(), f"no body line called '{rule.opening}'", ask),)


def _openings(cage: Cage, rule: Rule) -> Iterable[tuple[Line3, tuple[Member, ...], str]]:
    """Each opening with the chosen members that may stand in it: of a door those on its side."""
    picked = chosen(cage, rule)
    if rule.edge in {"top", "sides"}:
        words = rule.opening.lower()
        lines = [x for x in cage.lines if words in f"{x.name.replace('_', ' ')} {x.note}".lower()]
        yield from ((line, picked, "") for line in lines if picked)
        return
    sides: tuple[SideName, ...] = ("left", "right")
    for side in sides:
        mine = tuple(m for m in picked if side_of(m) in {side, "middle"})
        lines = lines_called(cage, rule.opening, side)
        if mine and lines:
            yield lines[0], mine, f"{side} side"


def _reach(cage: Cage, rule: Rule, line: Line3, members: tuple[Member, ...], side: str) -> Amount:
    found = [(_reach_of(rule.edge, line.points, m), m) for m in members]
    reach, member = max(found, key=lambda pair: pair[0])
    words = " of ".join(word for word in (f"{rule.edge} of the opening", side) if word)
    return exact(Location(members=(member.name,), part=words), reach)


def _reach_of(edge: EdgeWord, outline: Flat, member: Member) -> float:
    """How far one tube stands inside from that edge, mm, at most over the band looked at; 0 where nowhere."""
    across = {"front": (0, 2, -1.0), "rear": (0, 2, 1.0), "top": (2, 1, 1.0), "sides": (1, 2, 1.0)}
    deep, along, sign = across[edge]
    points = _beside(outline, member, across=edge not in {"front", "rear"})[:, [deep, along]]
    line = outline[:, [deep, along]]
    reaches = [
        _inside_from(line, points, place, sign, edge == "sides") for place in _heights(line, BAND[edge])
    ]
    depths = [r + member.tube.radius for r in reaches if r is not None]
    return max((*depths, 0.0))


def _heights(line: Flat, band: tuple[float, float]) -> Flat:
    low, high = float(line[:, 1].min()), float(line[:, 1].max())
    return low + np.linspace(*band, STEPS) * (high - low)


def _inside_from(line: Flat, points: Flat, place: float, sign: float, both: bool) -> float | None:
    """How far the tube's axis is inside the edge at a place along it, mm; of two edges the nearer one's."""
    edges, axis = _crossed(line, place, closed=True), _crossed(points, place, closed=False)
    if len(edges) < 2 or not len(axis):
        return None
    low, high = min(edges), max(edges)
    if both:
        return max(min(value - low, high - value) for value in axis)
    return max(high - value if sign > 0.0 else value - low for value in axis)


def _crossed(points: Flat, place: float, *, closed: bool) -> list[float]:
    """Where a polyline (n, 2) passes ``place`` on its second axis: the first axis' values, mm."""
    after = np.roll(points, -1, axis=0) if closed else points[1:]
    before = points if closed else points[:-1]
    hit = (before[:, 1] < place) != (after[:, 1] < place)
    a, b = before[hit], after[hit]
    return (a[:, 0] + (place - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0])).tolist()


def _side_views(line: Line3, members: tuple[Member, ...]) -> list[tuple[Flat, float]]:
    views = ((_beside(line.points, m, across=False)[:, [0, 2]], m.tube.radius) for m in members)
    (low, bottom), (high, top) = line.points[:, [0, 2]].min(axis=0), line.points[:, [0, 2]].max(axis=0)
    return [
        (path, radius)
        for path, radius in views
        if len(path)
        and path[:, 0].min() - radius < high
        and path[:, 0].max() + radius > low
        and path[:, 1].min() < top
        and path[:, 1].max() > bottom
    ]


def _beside(outline: Flat, member: Member, *, across: bool) -> Flat:
    """Points (n, 3) of the tube's axis; of one that crosses the car, those on the opening's side of it."""
    points = densely(member.path)
    if across or side_of(member) != "middle":
        return points
    return points[points[:, 1] * float(outline[:, 1].mean()) > 0.0]


def _free(edge: Flat, tubes: list[tuple[Flat, float]], height: float) -> float:
    """The widest gap at a height between the opening's edges and the tubes that stand in it, mm."""
    edges = _crossed(edge, height, closed=True)
    if len(edges) < 2:
        return math.inf
    low, high = min(edges), max(edges)
    taken = sorted(
        (x - radius, x + radius) for path, radius in tubes for x in _crossed(path, height, closed=False)
    )
    gaps, here = [0.0], low
    for start, stop in taken:
        gaps.append(min(start, high) - here)
        here = max(here, stop)
    return max(*gaps, high - here)


MEASURES = (
    Measure(
        name="reach into opening", per="side", sort="length", needs=("members", "opening", "edge"),
        take=reach_in,
        meaning=(
            "How far the members stand inside the opening whose body line holds `opening`, from its `edge`: "
            "`front` or `rear` of a door, in side view, over the upper half of its height; `top` or `sides` "
            "of a windscreen, seen from ahead, over the middle half of its width or height."
        ),
        passes="a rollbar 80 mm below the top of the screen against less than 100 mm",
        fails="a rollbar 120 mm below it against the same",
        more="move {what} further in by {by}", less="move {what} out towards the edge by {by}",
    ),
    Measure(
        name="free in opening", per="side", sort="length", needs=("members", "opening"), take=free_width,
        meaning=(
            "Least width that the members leave free in the upper half of a door's opening, in side view, "
            "taken at each height as the widest gap."
        ),
        passes="420 mm against at least 300 mm", fails="260 mm against at least 300 mm",
        more="clear the opening: {by} more free beside {what}", less="close the opening at {what} by {by}",
    ),
)  # fmt: skip
