"""The bent tube on the bench: its centre line rebuilt from the bend sheet, and what to measure on it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from cagewright.base.curves import Arc, Chain, Line, Piece, chain, point_at
from cagewright.base.vectors import ACROSS, BACK, UP, Vector, cross, dot, length, turn, unit
from cagewright.make.bending import BendSheet, BendStep
from cagewright.make.projection import arc_reach

FLAT = 1e-3
"""Rotations this near to none or half a turn (rad) leave a tube flat: 1 mm in a metre."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchCheck:
    """One thing to measure on the bent tube.

    Attributes:
        what: in words.
        value: how much it should be, mm.
        opened: how much it would be if each bend's radius opened with its springback, mm; None for a tube
            without bends.
    """

    what: str
    value: float
    opened: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchPoint:
    """A point of the tube's axis on the bench, mm.

    Attributes:
        what: in words.
        along: along the first straight, from the rough tube's starting end.
        across: square to it on the bench, to the left looking along the tube from that end.
        up: above the plane of the first bend.
    """

    what: str
    along: float
    across: float
    up: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """What to measure on the bent tube before its ends are cut.

    Attributes:
        flat: every bend lies in one plane.
        checks: distances to measure.
        points: ends and apexes of the axis, the first bend flat on the bench.
    """

    flat: bool
    checks: tuple[BenchCheck, ...]
    points: tuple[BenchPoint, ...]


def as_bent(sheet: BendSheet, *, opened: bool = False) -> Chain:
    """The rough tube's centre line from the sheet's numbers alone.

    It starts at the origin along x and its first bend turns towards y.

    Args:
        sheet: the numbers.
        opened: let each bend start at its mark and keep the length that its set angle forms round the die,
            R times the set angle, so that its radius opens with the springback (elastic unloading of an arc).
    """
    pieces: list[Piece] = []
    at, way, normal = np.zeros(3), BACK, UP
    done = 0.0
    for step in sheet.steps:
        clr = _released(step) if opened else step.clr
        at = _straight(pieces, at, way, step.start_mark - done)
        done = step.start_mark + clr * step.angle
        normal = turn(normal, way, step.rotation)
        inward = cross(normal, way)
        arc = Arc(centre=at + clr * inward, radius=clr, u=-inward, v=way, angle=step.angle)
        pieces.append(arc)
        at, way = arc.stop, unit(turn(way, normal, step.angle))
    _straight(pieces, at, way, sheet.rough - done)
    return chain(tuple(pieces))


def _released(step: BendStep) -> float:
    """Radius after release, mm, of a bend formed round the die to its set angle."""
    return step.clr * step.set_angle / step.angle


def _straight(pieces: list[Piece], at: Vector, way: Vector, far: float) -> Vector:
    stop = at + far * way
    if far > 1e-9:
        pieces.append(Line(start=at, stop=stop))
    return stop


def bench(sheet: BendSheet) -> Bench:
    """What to measure on the bent tube, rough ends still on; its points lie the way up that is highest."""
    axis, flat = as_bent(sheet), is_flat(sheet)
    return Bench(flat=flat, checks=_checks(sheet, axis, flat), points=_points(_named(sheet, axis), flat))


def _checks(sheet: BendSheet, axis: Chain, flat: bool) -> tuple[BenchCheck, ...]:
    """Each check with what it would be if the radii opened."""
    checks = _measured(sheet, axis, flat)
    if not sheet.steps:
        return checks
    opened = _measured(sheet, as_bent(sheet, opened=True), flat)
    return tuple(replace(c, opened=o.value) for c, o in zip(checks, opened, strict=True))


def _measured(sheet: BendSheet, axis: Chain, flat: bool) -> tuple[BenchCheck, ...]:
    return (*_ends(sheet, axis), *(_overall(sheet, axis) if flat else ()), *_apexes(sheet, axis))


def is_flat(sheet: BendSheet) -> bool:
    """Whether every bend lies in one plane."""
    off = (abs(np.sin(s.rotation)) for s in sheet.steps)
    return all(o < FLAT for o in off)


def _ends(sheet: BendSheet, axis: Chain) -> tuple[BenchCheck, ...]:
    rough_ends = point_at(axis, 0.0), point_at(axis, axis.length)
    first, last = _finished(sheet, axis)
    return (
        BenchCheck(what="end to end, rough, middle of tube to middle of tube", value=_apart(*rough_ends)),
        BenchCheck(what="end to end, finished, furthest points on the axis", value=_apart(first, last)),
    )


def _finished(sheet: BendSheet, axis: Chain) -> tuple[Vector, Vector]:
    """Axis points (3,) level with the furthest points of the finished ends."""
    return point_at(axis, sheet.spare.first), point_at(axis, axis.length - sheet.spare.last)


def _apart(a: Vector, b: Vector) -> float:
    return float(length(b - a))


def _overall(sheet: BendSheet, axis: Chain) -> tuple[BenchCheck, ...]:
    """Sizes over the outsides of a flat tube, along the line through its rough ends and square to it."""
    if not sheet.steps:
        return ()
    base = point_at(axis, axis.length) - point_at(axis, 0.0)
    along = unit(base) if float(length(base)) > sheet.tube.across else BACK
    return (
        BenchCheck(
            what="overall along the line through both rough ends, over the outsides",
            value=_span(axis, along, sheet.tube.radius),
        ),
        BenchCheck(
            what="overall square to that line, over the outsides",
            value=_span(axis, cross(UP, along), sheet.tube.radius),
        ),
    )


def _span(axis: Chain, way: Vector, radius: float) -> float:
    """Size of a tube of ``radius`` mm over its outsides in the unit direction ``way`` (3,), mm."""
    return max(_reach(p, way, radius) for p in axis.pieces) + max(
        _reach(p, -way, radius) for p in axis.pieces
    )


def _reach(piece: Piece, way: Vector, radius: float) -> float:
    """How far the tube round the piece reaches in ``way``, mm: axis point plus edge of the section."""
    if isinstance(piece, Line):
        edge = radius * np.sqrt(max(1.0 - float(dot(piece.direction, way)) ** 2, 0.0))
        return float(max(dot(piece.start, way), dot(piece.stop, way))) + edge
    return arc_reach(piece, way, radius)


def _apex_points(sheet: BendSheet, axis: Chain) -> list[Vector]:
    arcs = (p for p in axis.pieces if isinstance(p, Arc))
    return [a.start + a.radius * np.tan(a.angle / 2.0) * a.v for a in arcs]


def _apexes(sheet: BendSheet, axis: Chain) -> tuple[BenchCheck, ...]:
    """Distances between neighbouring apexes, to the rough ends, and over two neighbours."""
    names = [n for n in _named(sheet, axis) if not n[0].startswith("finished")]
    pairs = [*pairwise(names), *zip(names, names[2:], strict=False)]
    return tuple(
        BenchCheck(what=f"{a[0]} to {b[0]}", value=_apart(a[1], b[1])) for a, b in pairs if sheet.steps
    )


def _named(sheet: BendSheet, axis: Chain) -> list[tuple[str, Vector]]:
    first, last = _finished(sheet, axis)
    apexes = [(f"apex of bend {n}", at) for n, at in enumerate(_apex_points(sheet, axis), 1)]
    return [
        ("rough starting end", point_at(axis, 0.0)),
        ("finished starting end", first),
        *apexes,
        ("finished far end", last),
        ("rough far end", point_at(axis, axis.length)),
    ]


def _points(names: list[tuple[str, Vector]], flat: bool) -> tuple[BenchPoint, ...]:
    """The named points, the tube turned over about its first straight where it would hang below the bench."""
    heights = [0.0 if flat else float(p @ UP) for _, p in names]
    over = -1.0 if max(heights) < -min(heights) else 1.0
    return tuple(
        BenchPoint(what=name, along=float(p @ BACK), across=over * float(p @ ACROSS), up=over * h)
        for (name, p), h in zip(names, heights, strict=True)
    )
