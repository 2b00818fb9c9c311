"""Measures of doorbars against the door opening and each other."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from cagewright.check.attitude import SideName, densely, points_of, side_of, tip
from cagewright.check.bench import Gauged
from cagewright.check.findings import Location
from cagewright.check.readings import Amount, Measure, at, each, exact, unknown
from cagewright.check.rules import Rule
from cagewright.check.select import chosen
from cagewright.plan.types import Which
from cagewright.shape.closest import Mask
from cagewright.shape.types import Cage, Line3, Member

Points = NDArray[np.float64]  # (n, 2): back, up


def lines_called(cage: Cage, words: str, side: SideName) -> tuple[Line3, ...]:
    """The body lines on that side whose name or note holds the words."""
    sign = -1.0 if side == "left" else 1.0
    return tuple(
        line
        for line in cage.lines
        if words.lower() in f"{line.name.replace('_', ' ')} {line.note}".lower()
        and float(line.points[:, 1].mean()) * sign > 0.0
    )


def height_in_opening(cage: Cage, rule: Rule, member: Member) -> Amount:
    """How high in the door opening the member's higher attachment is, 0 at its base, 1 at its top.

    An attachment outside the opening counts where the member crosses the opening's edge.
    """
    lines = lines_called(cage, rule.opening, side_of(member))
    spot = Location(members=(member.name,))
    if not lines:
        ask = f"measure the edge of the {rule.opening} and enter it under shell, lines"
        return unknown(spot, f"no body line called '{rule.opening}' on that side", ask)
    edge = lines[0].points[:, [0, 2]]
    base, top = float(edge[:, 1].min()), float(edge[:, 1].max())
    heights = {which: attachment(member, which, edge) for which in _WHICH}
    which: Which = max(_WHICH, key=lambda w: heights[w])
    spot = Location(members=(member.name,), point=at(tip(member, which)), part=which)
    return exact(spot, (heights[which] - base) / (top - base))


_WHICH: tuple[Which, Which] = ("start", "end")


def _beside(cage: Cage, rule: Rule) -> list[Member]:
    return [m for m in chosen(cage, rule) if side_of(m) != "middle"]


def attachment(member: Member, which: Which, edge: Points) -> float:
    """Height of a member's attachment at one end, or where it crosses the edge (n, 2) next, mm."""
    path = points_of(member.path)[:, [0, 2]]
    path = path if which == "start" else path[::-1]
    if inside(path[:1], edge)[0]:
        return float(path[0, 1])
    for a, b in pairwise(path):
        hit = first_crossing(a, b, edge)
        if hit is not None:
            return float(hit[1])
    return float(path[0, 1])


def inside(points: Points, edge: Points) -> Mask:
    """Whether each point (n, 2) is inside a closed outline (m, 2), by counting edges crossed going back."""
    odd = np.zeros(len(points), dtype=np.bool_)
    for (ax, az), (bx, bz) in zip(edge, np.roll(edge, -1, axis=0), strict=True):
        if az != bz:
            spans = (points[:, 1] < az) != (points[:, 1] < bz)
            odd ^= spans & (points[:, 0] < ax + (points[:, 1] - az) / (bz - az) * (bx - ax))
    return odd


def first_crossing(start: Points, stop: Points, edge: Points) -> Points | None:
    """Where the straight from start to stop first crosses the closed outline (n, 2), or None."""
    along = stop - start
    best: float | None = None
    for a, b in zip(edge, np.roll(edge, -1, axis=0), strict=True):
        side = b - a
        det = float(along[0] * side[1] - along[1] * side[0])
        if abs(det) < 1e-12:
            continue
        t = float((a[0] - start[0]) * side[1] - (a[1] - start[1]) * side[0]) / det
        u = float((a[0] - start[0]) * along[1] - (a[1] - start[1]) * along[0]) / det
        if 0.0 <= t <= 1.0 and 0.0 <= u <= 1.0 and (best is None or t < best):
            best = t
    return None if best is None else start + best * along


def below_line(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How far the highest chosen member of each side is below the lowest point of a body line there, mm."""
    del bench
    picked = chosen(cage, rule)
    sides: tuple[SideName, ...] = ("left", "right")
    return tuple(
        _below(cage, rule, side, [m for m in picked if side_of(m) == side]) for side in sides if picked
    )


def _below(cage: Cage, rule: Rule, side: SideName, members: list[Member]) -> Amount:
    lines = lines_called(cage, rule.opening, side)
    if not members:
        return unknown(Location(), f"no such member on the {side} side", "check the roles of the members")
    high = max(members, key=lambda m: float(points_of(m.path)[:, 2].max()))
    spot = Location(members=(high.name,))
    if not lines:
        return unknown(spot, f"no body line called '{rule.opening}' on the {side} side", "measure that edge")
    edge = min(float(line.points[:, 2].min()) for line in lines)
    return exact(spot, edge - float(points_of(high.path)[:, 2].max()) - high.tube.radius)


def height_apart(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """Height between the highest and the lowest chosen member of each side, middle to middle, mm."""
    del bench
    found: list[Amount] = []
    for side in ("left", "right"):
        members = [m for m in chosen(cage, rule) if side_of(m) == side]
        if members:
            found.append(_apart(members))
    return tuple(found)


def _apart(members: list[Member]) -> Amount:
    heights = sorted((float(densely(m.path)[:, 2].mean()), m.name) for m in members)
    spot = Location(members=tuple(dict.fromkeys((heights[0][1], heights[-1][1]))))
    return exact(spot, heights[-1][0] - heights[0][0])


def height_over_bottom(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """Top of the highest over the bottom of the lowest of the chosen members of each side, mm."""
    del bench
    sides = ([m for m in chosen(cage, rule) if side_of(m) == side] for side in ("left", "right"))
    return tuple(_over_bottom(members) for members in sides if len(members) > 1)


def _over_bottom(members: list[Member]) -> Amount:
    heights = {m.name: densely(m.path)[:, 2] for m in members}
    upper = max(members, key=lambda m: float(heights[m.name].mean()))
    lower = min(members, key=lambda m: float(heights[m.name].mean()))
    top = float(heights[upper.name].max()) + upper.tube.radius
    bottom = float(heights[lower.name].min()) - lower.tube.radius
    return exact(Location(members=(lower.name, upper.name)), top - bottom)


MEASURES = (
    Measure(
        name="height in opening", per="member", sort="ratio", needs=("members", "opening"),
        take=each(_beside, height_in_opening),
        meaning=(
            "Height of a member's higher attachment in the door opening as a share of the opening's height "
            "from its base; where the attachment is outside, the height at which the member crosses the "
            "opening's edge, in side view. `opening` is in the name or note of the body line that was "
            "measured round the opening."
        ),
        passes="0.45 against at most 0.5", fails="0.60 against at most 0.5",
        more="raise the attachment of {what}: {by} of the opening's height",
        less="lower the attachment of {what}: {by} of the opening's height",
    ),
    Measure(
        name="below body line", per="side", sort="length", needs=("members", "opening"), take=below_line,
        meaning=(
            "How far the top of the highest of the members on each side is below the lowest point of the "
            "body line whose name or note holds `opening`."
        ),
        passes="a top doorbar 5 in below the window opening against at most 8 in",
        fails="a top doorbar 10 in below it against at most 8 in",
        more="lower {what} by {by}", less="raise {what} by {by}",
    ),
    Measure(
        name="height apart", per="side", sort="length", needs=("members",), take=height_apart,
        meaning="Height between the highest and lowest of the members on each side, mean height of each.",
        passes="300 mm between 240 and 320 mm", fails="340 mm against at most 320 mm",
        more="move {what} {by} further apart", less="move {what} {by} closer together",
    ),
    Measure(
        name="height over bottom", per="side", sort="length", needs=("members",), take=height_over_bottom,
        meaning=(
            "Height of the top of the highest of the members on each side over the lowest point of the "
            "bottom of the lowest."
        ),
        passes="320 mm between 290 and 345 mm", fails="360 mm against at most 345 mm",
        more="move {what} {by} further apart", less="move {what} {by} closer together",
    ),
)  # fmt: skip
