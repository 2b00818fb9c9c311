"""What is welded between the members, plates and gussets, and the measured lines of the body."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from cagewright.base.curves import nearest, point_at
from cagewright.base.problems import Problem, nearest_word
from cagewright.base.say import say_length
from cagewright.base.vectors import Vector, length, mirrored, unit
from cagewright.plan.places import Near
from cagewright.plan.types import GussetEntry, LineEntry, Plan, PlateEntry
from cagewright.shape.drafts import Twins, point_named
from cagewright.shape.feet import across, way_of
from cagewright.shape.gussets import picked, ways
from cagewright.shape.layout import Route
from cagewright.shape.located import AlreadyRefused, Locate, Path, Refused
from cagewright.shape.part_types import RoundHole
from cagewright.shape.places import Ground, spot
from cagewright.shape.types import Array, Gusset, Line3, Metal, Plate

ON_EDGE = 1.0
"""A plate's edge lies on a member where it is within the member's outside and this much more, mm."""
IN_CORNER = 0.3
"""A leg runs, or a corner lies, the way that is asked for within about 72 degrees."""
MEET = 1.0
"""Two members meet for a gusset where their tubes come this near each other, mm."""


def plates_of(plan: Plan, ground: Ground, routes: Sequence[Route]) -> tuple[tuple[Plate, ...], list[Problem]]:
    """The plates, each mirror right behind its own, and the problems met."""
    plates: list[Plate] = []
    problems: list[Problem] = []
    for name, entry in plan.plates.items():
        corners, met = _corners(name, entry, ground)
        problems.extend(met)
        if corners is None:
            continue
        try:
            plate = replace(_plate(name, corners, entry, routes), holes=_holes(name, entry, corners, ground))
        except Refused as refused:
            problems.append(refused.problem)
            continue
        plates.append(plate)
        if entry.mirror:
            holes = tuple(replace(hole, point=mirrored(hole.point)) for hole in plate.holes)
            twin = _plate(entry.mirror, mirrored(corners), entry, routes)
            plates.append(replace(twin, holes=holes))
    return tuple(plates), problems


def _corners(name: str, entry: PlateEntry, ground: Ground) -> tuple[Array | None, list[Problem]]:
    points: list[Vector] = []
    problems: list[Problem] = []
    for i, place in enumerate(entry.corners):
        try:
            points.append(spot(place, ground, ("plates", name, "corners", i)))
        except Refused as refused:
            problems.append(refused.problem)
        except AlreadyRefused:
            continue
    return (np.array(points) if len(points) == len(entry.corners) else None), problems


def _plate(name: str, corners: Array, entry: PlateEntry, routes: Sequence[Route]) -> Plate:
    """The plate, with the members that any of its edges lies on from corner to corner."""
    after = np.roll(corners, -1, axis=0)
    shares = np.array([0.0, 0.5, 1.0])[:, None, None]
    along = (1.0 - shares) * corners + shares * after
    members = tuple(r.draft.name for r in routes if _holds_edge(r, along))
    return Plate(name=name, corners=corners, thickness=entry.thickness, members=members)


def _holes(name: str, entry: PlateEntry, corners: Array, ground: Ground) -> tuple[RoundHole, ...]:
    """The plate's holes, each on the plane nearest to its corners.

    Raises:
        Refused: a hole runs out of the plate or into another.
    """
    middle = corners.mean(axis=0)
    off = corners - middle
    normal = unit(np.cross(off, np.roll(off, -1, axis=0)).sum(axis=0)) if entry.holes else middle
    holes: list[RoundHole] = []
    for i, hole in enumerate(entry.holes):
        path = ("plates", name, "holes", i)
        at = (
            point_named(ground.points, hole.at, (*path, "at"), ground.where)
            if isinstance(hole.at, str)
            else np.array(hole.at)
        )
        point = at - ((at - middle) @ normal) * normal
        edge = edge_distance(point, corners, normal) - hole.size / 2.0
        others = [float(length(point - h.point)) - (h.diameter + hole.size) / 2.0 for h in holes]
        least = min([edge, *others])
        if least < entry.thickness:
            raise Refused(_hole_too_near(name, entry, i, max(least, 0.0), least == edge, ground))
        holes.append(RoundHole(point=point, diameter=hole.size))
    return tuple(holes)


def _hole_too_near(
    name: str, entry: PlateEntry, i: int, left: float, at_edge: bool, ground: Ground
) -> Problem:
    what = "the plate's edge" if at_edge else "another hole"
    leaves, least = (say_length(v, ground.units) for v in (left, entry.thickness))
    return Problem(
        code="hole-outside",
        where=ground.where(("plates", name, "holes", i)),
        found=f"hole {i + 1} of plate '{name}' leaves {leaves} of sheet to {what}",
        wanted=f"wanted at least the sheet's thickness, {least}",
    )


def edge_distance(point: Vector, corners: Array, normal: Vector) -> float:
    """How far inside the flat outline (n, 3) the point (3,) lies, mm; less than 0 outside of it."""
    ahead = np.roll(corners, -1, axis=0)
    along = ahead - corners
    share = np.clip(((point - corners) * along).sum(axis=1) / (along**2).sum(axis=1), 0.0, 1.0)
    near = float(length(point - corners - share[:, None] * along).min())
    a, b = corners - point, ahead - point
    turns = np.arctan2(np.cross(a, b) @ normal, (a * b).sum(axis=1)).sum()
    return near if abs(turns) > np.pi else -near


def _holds_edge(route: Route, along: Array) -> bool:
    away = np.array([[nearest(route.path, p)[1] for p in row] for row in along])
    return bool(np.any(np.all(away <= route.tube.radius + ON_EDGE, axis=0)))


def gussets_of(
    plan: Plan, twins: Twins, routes: Sequence[Route], ground: Ground
) -> tuple[tuple[Gusset, ...], list[Problem]]:
    """The gussets, each mirror right behind its own as ``name_mirror``, and the problems met."""
    by_name = {r.draft.name: r for r in routes}
    gussets: list[Gusset] = []
    problems: list[Problem] = []
    for name, entry in plan.gussets.items():
        for gusset_name, this in _both(name, entry, twins):
            try:
                gussets.append(_gusset(gusset_name, this, by_name, ground, ("gussets", name)))
            except Refused as refused:
                problems.append(refused.problem)
            except AlreadyRefused:
                continue
    return tuple(gussets), problems


def _both(name: str, entry: GussetEntry, twins: Twins) -> list[tuple[str, GussetEntry]]:
    if not entry.mirror:
        return [(name, entry)]
    near = entry.near
    if isinstance(near, str) and near in twins.points:
        near = tuple(mirrored(twins.points[near]).tolist())
    elif isinstance(near, tuple):
        near = (near[0], -near[1], near[2])
    first, second = entry.between
    between = (twins.members.get(first, first), twins.members.get(second, second))
    corner = tuple(across(word) for word in entry.corner)
    twin = entry.model_copy(update={"between": between, "near": near, "corner": corner})
    return [(name, entry), (f"{name}_mirror", twin)]


def _gusset(name: str, entry: GussetEntry, routes: Mapping[str, Route], ground: Ground, path: Path) -> Gusset:
    for i, member in enumerate(entry.between):
        if member not in ground.paths:
            raise Refused(
                Problem(
                    code="unknown-member",
                    where=ground.where((*path, "between", i)),
                    found=f"there is no member called '{member}'",
                    wanted="name two members of the plan",
                    nearest=nearest_word(member, ground.paths),
                )
            )
    if any(member not in routes for member in entry.between):
        raise AlreadyRefused
    first, second = (routes[member] for member in entry.between)
    point = _corner(_meets(first, second), entry, ground, path)
    return Gusset(
        name=name,
        between=entry.between,
        point=point,
        leg=entry.leg,
        thickness=entry.thickness,
        kind=entry.kind,
        corner=_named_corner(entry, (first, second), point, ground, path),
        hole=entry.hole or 0.0,
        dimpled=entry.dimpled,
    )


def _named_corner(
    entry: GussetEntry, members: tuple[Route, Route], point: Vector, ground: Ground, path: Path
) -> tuple[Vector, ...]:
    """The directions that the gusset's corner is named by.

    Raises:
        Refused: a member does not run that way from the joint.
    """
    corner = tuple(way_of(word, point) for word in entry.corner)
    first, second = (ways(r.path, r.tube.across, point) for r in members)
    legs = picked(first, second, corner)
    told = zip(corner, legs, strict=True) if len(corner) == 2 else [(w, legs[0] + legs[1]) for w in corner]
    for i, (word, leg) in enumerate(told):
        if float(unit(leg) @ word) < IN_CORNER:
            runs = f"'{entry.between[i]}' does not run" if len(corner) == 2 else "no corner of the two lies"
            raise Refused(
                Problem(
                    code="gusset-corner",
                    where=ground.where((*path, "corner", i)),
                    found=f"{runs} {entry.corner[i]} from where they meet",
                    wanted="wanted the way from the joint to the corner, or the way that each leg runs",
                )
            )
    return corner


def _corner(meets: list[Vector], entry: GussetEntry, ground: Ground, path: Path) -> Vector:
    """The place where the two members meet, the one nearest ``near`` of several.

    Raises:
        Refused: they do not meet, or at several places and none is picked.
    """
    if meets and entry.near is not None:
        near = (
            point_named(ground.points, entry.near, (*path, "near"), ground.where)
            if isinstance(entry.near, str)
            else np.array(entry.near)
        )
        return min(meets, key=lambda p: float(np.linalg.norm(p - near)))
    if len(meets) == 1:
        return meets[0]
    one, two = entry.between
    raise Refused(
        Problem(
            code="gusset-place",
            where=ground.where(path),
            found=f"'{one}' and '{two}' meet at {len(meets)} places",
            wanted="say which with near:" if meets else "name two members that are joined",
        )
    )


def _meets(first: Route, second: Route) -> list[Vector]:
    """Where either member's end meets the other's tube, as points on the first's axis."""
    reach = first.tube.radius + second.tube.radius + MEET
    meets: list[Vector] = []
    for a, b in ((first, second), (second, first)):
        for s in (0.0, b.path.length):
            along, away = nearest(a.path, point_at(b.path, s))
            if away <= reach:
                point = point_at(b.path, s) if b is first else point_at(a.path, along)
                if all(float(np.linalg.norm(point - p)) > reach for p in meets):
                    meets.append(point)
    return meets


def lines_of(plan: Plan, twins: Twins, where: Locate) -> tuple[tuple[Line3, ...], list[Problem]]:
    """The measured body lines, each mirror right behind its own, and the problems met."""
    lines: list[Line3] = []
    problems: list[Problem] = []
    for name, entry in plan.shell.lines.items() if plan.shell else ():
        try:
            line = _line(name, entry, twins, where)
        except Refused as refused:
            problems.append(refused.problem)
            continue
        lines.append(line)
        if entry.mirror:
            lines.append(replace(line, name=entry.mirror, points=mirrored(line.points)))
    return tuple(lines), problems


def _line(name: str, entry: LineEntry, twins: Twins, where: Locate) -> Line3:
    points = _points_of(entry.path, ("shell", "lines", name, "path"), twins, where)
    return Line3(name=name, points=points, note=entry.note, face=entry.face, spread=entry.spread)


def _points_of(path: Sequence[Near], keys: Path, twins: Twins, where: Locate) -> Array:
    """(n, 3) the places of a line or of marked metal, mm."""
    return np.array([
        point_named(twins.points, p, (*keys, i), where) if isinstance(p, str) else np.array(p)
        for i, p in enumerate(path)
    ])


def metal_of(plan: Plan, twins: Twins, where: Locate) -> tuple[tuple[Metal, ...], list[Problem]]:
    """The marked metal, each mirror right behind its own, and the problems met."""
    found: list[Metal] = []
    problems: list[Problem] = []
    for name, entry in plan.shell.metal.items() if plan.shell else ():
        try:
            points = _points_of(entry.path, ("shell", "metal", name, "path"), twins, where)
        except Refused as refused:
            problems.append(refused.problem)
            continue
        found.append(
            Metal(name=name, mark=entry.mark, points=points, reach=entry.reach, box=entry.box,
                  thickness=entry.thickness)
        )  # fmt: skip
        if entry.mirror:
            found.append(replace(found[-1], name=entry.mirror, points=mirrored(points)))
    return tuple(found), problems
