"""How members of one kind lie to each other: single, crossed, in a V, or side by side; gussets in crosses."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from cagewright.base.curves import nearest, point_at
from cagewright.base.vectors import Vector, length
from cagewright.check.attitude import densely, ends_named, side_of, tip
from cagewright.check.bench import Gauged
from cagewright.check.findings import Location
from cagewright.check.measures.gusset import REACH
from cagewright.check.measures.lie import V_POINT
from cagewright.check.readings import Amount, Measure, YesNo, at, exact, unknown
from cagewright.check.rules import LayoutWord, Rule
from cagewright.check.select import chosen
from cagewright.shape.types import Cage, Member, member_named

MIDDLE = 0.15
"""Share of a member from each end within which nothing crosses it."""
TOUCH = 2.0
"""Diameters between two bent bars' surfaces that still pass as a cross (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """Where members of one kind cross: the members, the point (3,), mm, and the gap of two that pass, mm."""

    members: tuple[str, ...]
    point: Vector
    gap: float | None = None


def crossings_of(cage: Cage, members: tuple[Member, ...]) -> tuple[Crossing, ...]:
    """Where one of the members runs through and two others end on it from either side, or two bars pass."""
    names = {m.name for m in members}
    found = [c for m in members if (c := _through(cage, m, names)) is not None]
    cut = {name for c in found for name in c.members}
    free = [m for m in members if m.name not in cut]
    return (*found, *(c for pair in combinations(free, 2) if (c := _passing(cage, *pair)) is not None))


def _through(cage: Cage, main: Member, names: set[str]) -> Crossing | None:
    """The crossing on a member that runs through: two others of the kind end on it at one place."""
    on = [
        (j.branch, j.point)
        for j in cage.joints
        if main.name in j.mains and j.branch in names and _is_inner(main, j.along[j.mains.index(main.name)])
    ]
    for (a, at_a), (b, at_b) in combinations(on, 2):
        if a != b and float(length(at_a - at_b)) <= V_POINT * main.tube.across:
            return Crossing(members=(main.name, a, b), point=0.5 * (at_a + at_b))
    return None


def _is_inner(member: Member, along: float) -> bool:
    return MIDDLE < along / member.path.length < 1.0 - MIDDLE


def _passing(cage: Cage, a: Member, b: Member) -> Crossing | None:
    """The crossing of two members that pass each other away from their ends, close enough to be tied."""
    if any({j.branch, *j.mains} >= {a.name, b.name} for j in cage.joints):
        return None
    points = densely(a.path, 10.0)
    gaps = [nearest(b.path, p) for p in points]
    index = int(np.argmin([away for _, away in gaps]))
    along, away = gaps[index]
    gap = away - a.tube.radius - b.tube.radius
    close = gap <= TOUCH * max(a.tube.across, b.tube.across)
    if not (close and _is_inner(b, along) and _is_inner(a, nearest(a.path, points[index])[0])):
        return None
    return Crossing(members=(a.name, b.name), point=0.5 * (points[index] + point_at(b.path, along)), gap=gap)


def layouts_of(cage: Cage, members: tuple[Member, ...]) -> tuple[LayoutWord, ...]:
    """The words that a group of members answers to."""
    if not members:
        return ()
    if crossings_of(cage, members):
        return ("cross",)
    for a, b in combinations(members, 2):
        point = _v_point(a, b)
        if point is not None:
            others = 0.5 * (_far_tip(a, point) + _far_tip(b, point))
            return ("V", "V to the rear" if point[0] > others[0] else "V to the front")
    return ("single",) if len(members) == 1 else ("two",)


def _v_point(a: Member, b: Member) -> Vector | None:
    """Where two members' ends make the point of a V (3,), their other ends being further apart."""
    pairs = [(tip(a, i), tip(b, j)) for i in ("start", "end") for j in ("start", "end")]
    near, far = min(pairs, key=_apart), max(pairs, key=_apart)
    close = V_POINT * max(a.tube.across, b.tube.across)
    return 0.5 * (near[0] + near[1]) if _apart(near) <= close and _apart(far) > 2.0 * close else None


def _apart(pair: tuple[Vector, Vector]) -> float:
    return float(length(pair[0] - pair[1]))


def _far_tip(member: Member, point: Vector) -> Vector:
    return max((tip(member, "start"), tip(member, "end")), key=lambda p: float(length(p - point)))


def whole_layout(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """Whether the chosen members together are laid out in one of the ways."""
    del bench
    return (_answer(cage, rule, chosen(cage, rule), ""),)


def layout_per_side(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """Whether the chosen members of each side are laid out in one of the ways."""
    del bench
    return tuple(
        _answer(cage, rule, tuple(m for m in chosen(cage, rule) if side_of(m) == side), f", {side} side")
        for side in ("left", "right")
    )


def _answer(cage: Cage, rule: Rule, members: tuple[Member, ...], where: str) -> YesNo:
    found = layouts_of(cage, members)
    limit = " or ".join(rule.layouts)
    what = f"{' or '.join(rule.members)}{where}"
    return YesNo(
        spot=Location(members=tuple(m.name for m in members), part=what),
        holds=bool(set(found) & set(rule.layouts)),
        text=found[-1] if found else "none",
        limit=limit,
        advice=f"lay the {what} out as {limit}",
    )


def gussets_per_crossing(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How many gussets or plates stand in each crossing of the chosen members."""
    del bench
    return tuple(_gussets_in(cage, crossing) for crossing in _by_side(cage, rule))


def _gussets_in(cage: Cage, crossing: Crossing) -> Amount:
    spot = Location(members=crossing.members, point=at(crossing.point), part="crossing")
    count = gussets_at(cage, crossing)
    if crossing.gap is not None and not count:
        why = "bars that pass are not joined in the plan, so that no gusset can stand there but as a plate"
        return unknown(spot, why, "give the sheets that tie them as plates, or look at them on the car")
    return exact(spot, count)


def _by_side(cage: Cage, rule: Rule) -> Iterable[Crossing]:
    picked = chosen(cage, rule)
    for side in ("left", "middle", "right"):
        yield from crossings_of(cage, tuple(m for m in picked if side_of(m) == side))
    yield from (
        c for c in crossings_of(cage, picked) if len({side_of(m) for m in picked if m.name in c.members}) > 1
    )


def gussets_at(cage: Cage, crossing: Crossing) -> float:
    """How many gussets and plates tie a crossing; a folded gusset, a sheet on both sides, counts as two."""
    inside = [
        g
        for g in cage.gussets
        if set(g.between) <= set(crossing.members) and float(length(g.point - crossing.point)) <= REACH
    ]
    plates = [p for p in cage.plates if len(set(p.members) & set(crossing.members)) > 1]
    return float(sum(2 if g.kind == "folded" else 1 for g in inside) + len(plates))


def gap_at_crossing(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """Gap between two of the chosen members that pass each other over the larger tube's OD."""
    del bench
    return tuple(
        exact(
            Location(members=c.members, point=at(c.point), part="crossing"),
            c.gap / max(member_named(cage, name).tube.across for name in c.members),
        )
        for c in _by_side(cage, rule)
        if c.gap is not None
    )


def straight_to_crossing(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """Length of the straight at the named end of two members that bend and pass each other, mm."""
    del bench
    crossed = [c for c in _by_side(cage, rule) if c.gap is not None]
    passing = [member_named(cage, name) for c in crossed for name in c.members]
    return tuple(
        exact(
            Location(members=(m.name,), point=at(tip(m, which)), part=f"{rule.end} end"),
            m.bends[0].start if which == "start" else m.path.length - m.bends[-1].stop,
        )
        for m in passing
        if m.bends
        for which in ends_named(m, rule.end)
    )


MEASURES = (
    Measure(
        name="layout", per="cage", sort=None, needs=("members", "layouts"), own_limit=True,
        take=whole_layout,
        meaning=(
            "Whether the members together are laid out in one of the ways of `layouts`: `single`; "
            "`cross`, one runs through and two end on it, or two bent bars pass; `V`, two meet at one end "
            "(`V to the front` or `V to the rear` says where); `two`, several that do not meet."
        ),
        passes="one diagonal through and two halves on it against 'cross'",
        fails="one diagonal against the same",
    ),
    Measure(
        name="layout per side", per="side", sort=None, needs=("members", "layouts"), own_limit=True,
        take=layout_per_side,
        meaning="The same as `layout` for the members of each side of the car by themselves.",
        passes="two doorbars on each side against 'cross', 'V' or 'two'",
        fails="one doorbar on each side against the same",
    ),
    Measure(
        name="gussets per crossing", per="joint", sort="count", needs=("members",),
        take=gussets_per_crossing,
        meaning=(
            "How many gussets stand where members of the roles cross; a folded gusset, a sheet on both "
            "sides, counts as two, a plate between them as one."
        ),
        passes="one folded gusset, or two flat ones, in a cross of diagonals against at least 2",
        fails="none in it against the same",
        more="weld {by} more gussets into the crossing of {what}", less="take {by} gussets out of {what}",
    ),
    Measure(
        name="gap at crossing", per="side", sort="ods", needs=("members",), take=gap_at_crossing,
        meaning=(
            "Least gap, outside to outside, between two members that pass each other in a cross, as a "
            "multiple of the larger tube's OD."
        ),
        passes="20 mm between two 38 mm doorbars is 0.5 x OD against less than 1",
        fails="60 mm between them is 1.6 x OD against the same",
        more="move {what} apart: {by} short", less="move {what} closer together: {by} over",
    ),
    Measure(
        name="straight to crossing", per="end", sort="length", needs=("members",), takes=("end",),
        take=straight_to_crossing,
        meaning="Length of the straight from a member's named end, of two that bend to pass in a cross.",
        passes="320 mm at the front end against at least 300 mm",
        fails="250 mm at the front end against the same",
        more="bend {what} {by} further from its end", less="bend {what} {by} nearer to its end",
    ),
)  # fmt: skip
