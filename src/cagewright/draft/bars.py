"""The tubes that follow the body: main hoop and front legs, brought to the gap beside the marks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.base.curves import Arc, Chain, point_at
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector, length
from cagewright.draft.beside import beside_lines, ways_off
from cagewright.draft.measured import Measured
from cagewright.draft.section import NAMES, half_section, hoop_places, section_line, wanted_places
from cagewright.draft.tighten import Loose, Tight, path_of, tightened
from cagewright.plan.types import TubeEntry
from cagewright.shape.clearance import points_at
from cagewright.shape.closest import closest_on_segments
from cagewright.shape.shell import BodyLine, body_line
from cagewright.shape.types import Array

Sides = tuple[str, ...]
EVEN = 4.0
"""Left and right that differ by no more than this are drawn alike, half way between them, mm (ours)."""
SLACK = 4.5
"""A tube may come this much nearer to the body than the gap wanted, mm (ours)."""
BOW = 5.0
"""A roof rail that bows further than this from a straight is followed with one more bend, mm (ours)."""
FREE = 60.0
"""How far the draft may move a place from where it first lays it, mm."""
CLOSE_LANDING = 4.0
"""A leg lands where its gap is this near to the one wanted, mm (ours)."""
LANDINGS = 41
"""Places of a bend that are tried for what lands on it."""
FOOT_RUN = 150.0
"""Height over a foot below which its tube follows nothing, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A tube of the draft.

    Attributes:
        names: of its places from the foot up, without side.
        places: (n, 3) mm, from the foot up.
        path: its centre line.
        tight: how the optimiser left it.
        line: of the body that it was brought close to, where it is not a hoop's section.
    """

    names: tuple[str, ...]
    places: Array
    path: Chain
    tight: Tight
    line: BodyLine | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hoop:
    """The main hoop: the places of each side from the foot up, its centre line, and how close it came.

    ``section`` (n, 3) is the body's line that it was brought close to, mm.
    """

    left: Bar
    right: Bar
    path: Chain
    tight: Tight
    section: Array


def is_even(car: Measured, within: float = EVEN) -> bool:
    """Whether left and right are drawn alike: no pair of marks differs by more than ``within`` mm."""
    for name, left in car.points.items():
        right = car.points.get(f"{name.removesuffix('_left')}_right")
        if name.endswith("_left") and right is not None and not car.mirrored & {name}:
            off = left * np.array([1.0, -1.0, 1.0]) - right
            if float(np.abs(off).max()) > within:
                return False
    return True


def mark(car: Measured, name: str, sides: Sides) -> Vector | None:
    """A point (3,) with half width for across: of one side, or half way between both."""
    points = [car.points.get(f"{name}_{side}") for side in sides]
    known = [np.array([p[0], abs(p[1]), p[2]]) for p in points if p is not None]
    if len(known) < len(sides):
        return None
    return np.mean(known, axis=0)


def sign_of(side: str) -> float:
    """-1 on the left, 1 on the right."""
    return -1.0 if side == "left" else 1.0


def hoop_of(
    car: Measured, tube: TubeEntry, least_straight: float, gap: float, *, even: bool, units: LengthUnit
) -> Hoop | None:
    """The main hoop as wide and as high as the body lets it; None where marks are missing."""
    both: Sides = ("left", "right")
    halves = [half_section(car, both if even else (side,)) for side in both]
    left, right = halves
    if left is None or right is None or car.station is None or car.sill is None:
        return None
    radius = tube.across / 2.0
    wanted = wanted_places(left) | wanted_places(right)
    names = tuple(name for name in NAMES if name in wanted)
    rows = len(names)
    every = [hoop_places(h, off=radius + gap, foot=car.sill) for h in (left, right)]
    drawn = [np.array([placed[name] for name in names]) for placed in every]
    places = np.concatenate([_stand(drawn[0], -1.0, car.station), _stand(drawn[1], 1.0, car.station)[::-1]])
    loose = Loose(
        places=places,
        radii=(tube.clr or 3.0 * tube.across,) * len(places),
        radius=radius,
        ways=_hoop_ways(rows, even=even),
        reach=FREE,
        least_straight=least_straight,
    )
    one, two = (_stand(section_line(h), s, car.station) for h, s in ((left, -1.0), (right, 1.0)))
    line = np.concatenate([one, two[::-1][1:]])
    middle = (car.sill + float(line[:, 2].max())) / 2.0
    body = beside_lines([body_line("section", "section", line, middle=middle)], (), car.sill + FOOT_RUN)
    tight = tightened(loose, body, target=gap, least=max(gap - SLACK, 1.0), units=units)
    path = path_of(tight.places, loose.radii)
    if path is None:
        return None
    sides = (tight.places[:rows], tight.places[rows:][::-1])
    bars = [Bar(names=names, places=p, path=path, tight=tight) for p in sides]
    return Hoop(left=bars[0], right=bars[1], path=path, tight=tight, section=line)


def _stand(flat: Array, sign: float, station: float) -> Array:
    return np.stack([np.full(len(flat), station), sign * flat[:, 0], flat[:, 1]], axis=1)


def _hoop_ways(rows: int, *, even: bool) -> Array:
    """Across and up of every place but the feet, in the hoop's plane; both sides at once where even."""
    ways: list[Array] = []
    for i in range(1, rows):
        for axis in (1, 2):
            one, two = np.zeros((2 * rows, 3)), np.zeros((2 * rows, 3))
            one[i, axis] = 1.0
            two[2 * rows - 1 - i, axis] = -1.0 if axis == 1 else 1.0
            ways += [one + two] if even else [one, two]
    return np.array(ways)


def landing_on(hoop: Hoop, side: str, beside: Vector, *, leg: float, gap: float) -> Vector:
    """Where a front leg lands (3,): on the hoop's corner bend near its own line, where the hoop is close too.

    The leg's axis must end on the hoop's, so that there its gap is the hoop's and half the difference of the
    two diameters. Of the places of the bend where that is within ``CLOSE_LANDING`` of the gap wanted (or of
    the nearest to it, where none is) the one nearest to the leg's own line is taken.

    Args:
        hoop: the main hoop.
        side: which corner.
        beside: (3,) where the leg's axis would pass beside the roof rail's mark, mm.
        leg: radius of the leg's tube, mm.
        gap: wanted, mm.
    """
    bar = hoop.left if side == "left" else hoop.right
    places = on_bend(hoop.path, bar.places[bar.names.index("hoop_corner")])
    off = np.abs(_off_section(hoop.section, places) - leg - gap)
    near = np.where(off <= max(CLOSE_LANDING, float(off.min()) + 0.5), length(places - beside), np.inf)
    return places[int(np.argmin(near))]


def on_bend(path: Chain, apex: Vector) -> Array:
    """Places (n, 3) of the path's bend at the apex (3,), in order along it."""
    bends = [(p, s) for p, s in zip(path.pieces, path.starts, strict=False) if isinstance(p, Arc)]
    arc, start = min(bends, key=lambda b: float(length(point_at(path, b[1] + b[0].length / 2.0) - apex)))
    return points_at(path, start + np.linspace(0.1, 0.9, LANDINGS) * arc.length)


def nearest_to_line(places: Array, a: Vector, b: Vector) -> Vector:
    """Of the places (n, 3) the one nearest to the line through a and b (3,), carried on both ways."""
    way = (b - a) / float(length(b - a))
    off = places - a
    return places[int(np.argmin(length(off - (off @ way)[:, None] * way)))]


def _off_section(section: Array, places: Array) -> Array:
    """Distance (n,) from each place to the section's line (m, 3), mm."""
    n, m = len(places), len(section) - 1
    on = closest_on_segments(
        np.repeat(places, m, axis=0), np.tile(section[:-1], (n, 1)), np.tile(section[1:], (n, 1))
    )
    return length(on - np.repeat(places, m, axis=0)).reshape(n, m).min(axis=1)


def leg_of(
    car: Measured,
    hoop: Hoop,
    side: str,
    tube: TubeEntry,
    least_straight: float,
    gap: float,
    *,
    sides: Sides,
    units: LengthUnit,
) -> Bar | None:
    """A front leg from its foot along the screen pillar and the roof rail to the hoop; None without marks."""
    marks = [mark(car, name, sides) for name in ("front_foot", "pillar_base", "pillar_top", "cant_rail")]
    if any(m is None for m in marks):
        return None
    flip = np.array([1.0, sign_of(side), 1.0])
    foot, base, top, corner = (m * flip for m in marks if m is not None)
    pillar, rail = (None if m is None else m * flip for m in (mark(car, n, sides) for n in BETWEEN))
    line = np.array([p for p in (base, pillar, top, rail, corner) if p is not None])
    middle = (float(foot[2]) + float(line[:, 2].max())) / 2.0
    body = body_line("corner", "roof rail", line, middle=middle)
    radius = tube.across / 2.0
    beside = line + (radius + gap) * body.inward
    off = dict(zip(line_names(pillar, rail), beside[:-1], strict=True))
    if pillar is not None and _bow(pillar, base, top) <= 2.0 * BOW:
        del off["pillar_middle"]
    if rail is not None and _bow(rail, top, corner) <= BOW:
        del off["rail_bend"]
    names = ("front_foot", *off)
    places = np.array([foot, *off.values(), landing_on(hoop, side, beside[-1], leg=radius, gap=gap)])
    loose = Loose(
        places=places,
        radii=(tube.clr or 3.0 * tube.across,) * len(places),
        radius=radius,
        ways=_leg_ways(body, places),
        reach=FREE,
        least_straight=least_straight,
    )
    look = beside_lines([body], (), float(foot[2]) + FOOT_RUN)
    tight = tightened(loose, look, target=gap, least=max(gap - SLACK, 1.0), units=units)
    path = path_of(tight.places, loose.radii)
    return None if path is None else Bar(names=names, places=tight.places, path=path, tight=tight, line=body)


def side_of(
    hoop: Hoop,
    leg: Bar,
    line: BodyLine,
    tube: TubeEntry,
    least_straight: float,
    gap: float,
    side: str,
    skip: float,
    *,
    units: LengthUnit,
) -> Bar | None:
    """A tube in one piece from the front foot along pillar and roof rail and down beside the hoop's line.

    Args:
        hoop: the tube as it would follow the body at the hoop's line, whose side this one runs down.
        leg: the tube as it would follow pillar and roof rail.
        line: pillar and roof rail.
        tube: bent.
        least_straight: between two bends, mm.
        gap: wanted, mm.
        side: which.
        skip: height under which the tube follows nothing, mm.
        units: that what held it is said in.
    """
    own = hoop.left if side == "left" else hoop.right
    down = [i for i, n in enumerate(own.names) if n not in ("hoop_corner", "hoop_crown")][::-1]
    names = (*leg.names, "rear_bend", *(own.names[i] for i in down))
    rail, corner = leg.places[-1], own.places[own.names.index("hoop_corner")]
    apex = np.array([rail[0], (rail[1] + corner[1]) / 2.0, rail[2]])
    places = np.concatenate([leg.places[:-1], [apex], own.places[down]])
    radius = tube.across / 2.0
    half = hoop.section[hoop.section[:, 1] * sign_of(side) >= 0.0]
    section = body_line(
        "section", "section", half, middle=(float(half[:, 2].min()) + float(half[:, 2].max())) / 2.0
    )
    ways = [w for i in range(1, len(leg.names)) for w in _moves(places, i, ways_off([line], places[i]))]
    ways += [w for i in range(len(leg.names), len(places) - 1) for w in _moves(places, i, np.eye(3)[1:])]
    loose = Loose(
        places=places, radii=(tube.clr or 6.0 * radius,) * len(places), radius=radius, ways=np.array(ways),
        reach=FREE, least_straight=least_straight,
    )  # fmt: skip
    look = beside_lines([line, section], (), skip)
    tight = tightened(loose, look, target=gap, least=max(gap - SLACK, 1.0), units=units)
    path = path_of(tight.places, loose.radii)
    return None if path is None else Bar(names=names, places=tight.places, path=path, tight=tight)


def _moves(places: Array, i: int, ways: Array) -> list[Array]:
    """Each of the ways (k, 3) as a freedom of place i alone."""
    moves = np.zeros((len(ways), len(places), 3))
    moves[:, i] = ways
    return list(moves)


BETWEEN = ("pillar_mid", "rail_mid")


def line_names(pillar: Vector | None, rail: Vector | None) -> tuple[str, ...]:
    """Names of a leg's places beside the corner's marks but the last; without those not read."""
    every = (("pillar_bend", True), ("pillar_middle", pillar is not None), ("header_bend", True),
             ("rail_bend", rail is not None))  # fmt: skip
    return tuple(name for name, there in every if there)


def _bow(point: Vector, a: Vector, b: Vector) -> float:
    return float(length(closest_on_segments(point[None], a[None], b[None])[0] - point))


def _leg_ways(line: BodyLine, places: Array) -> Array:
    """Away from the line and along it, of every place but the two ends.

    Across both a tube would only turn round the line, which says nothing of the panels beside it.
    """
    ways = np.zeros((2 * (len(places) - 2), len(places), 3))
    for i in range(1, len(places) - 1):
        ways[2 * i - 2 : 2 * i, i] = ways_off([line], places[i])
    return ways
