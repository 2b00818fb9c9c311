"""The feet as planned: where each stands, how its plate lies and is folded, and its mirror."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from cagewright.base.problems import Problem
from cagewright.base.vectors import ACROSS, BACK, UP, Vector, mirrored
from cagewright.plan.types import AtPoint, BoxEntry, FoldEntry, FootEntry, Plan, Way
from cagewright.shape.drafts import point_named
from cagewright.shape.folds import OUTWARD, faces, foot_axes
from cagewright.shape.located import Locate, Path, Refused
from cagewright.shape.part_types import Edge, EdgeFold
from cagewright.shape.types import Array, Foot

FACES = 0.6
"""An edge looks the way a word says where the two lie within about 53 degrees."""


def feet_of(plan: Plan, points: Mapping[str, Vector], where: Locate) -> tuple[list[Foot], list[Problem]]:
    """Every foot, each mirror right behind its own, with no members yet; and the problems met."""
    feet: list[Foot] = []
    problems: list[Problem] = []
    for name, entry in plan.feet.items():
        try:
            foot = _foot(name, entry, points, where)
            twin = [_mirror(foot, entry, where, ("feet", name))] if entry.mirror else []
        except Refused as refused:
            problems.append(refused.problem)
            continue
        feet += [foot, *twin]
    return feet, problems


def across(word: Way) -> Way:
    """The word for the same way on the other side of the car."""
    other: dict[Way, Way] = {"left": "right", "right": "left"}
    return other.get(word, word)


def way_of(word: Way, point: Vector) -> Vector:
    """The direction (3,) that a word means at a place (3,) of the car."""
    outside = ACROSS * (1.0 if point[1] > 0.0 else -1.0)
    ways = {
        "down": -UP, "up": UP, "front": -BACK, "rear": BACK, "inside": -outside, "outside": outside,
        "left": -ACROSS, "right": ACROSS,
    }  # fmt: skip
    return ways[word]


def foot_plate(foot: Foot) -> Array:
    """The corners (4, 3) of a foot's plate in order, on the side that lies on the shell, mm."""
    one, two, _ = foot_axes(foot.normal)
    half, wide = foot.plate[0] / 2.0 * one, foot.plate[1] / 2.0 * two
    return foot.point + np.array([half + wide, -half + wide, -half - wide, half - wide])


def foot_faces(foot: Foot) -> list[Array]:
    """The faces (4, 3) of its plate behind its folds, on the side that lies on the shell, mm."""
    return faces(foot.point, foot_axes(foot.normal), foot.plate[:2], foot.folds)


def footprint(foot: Foot) -> tuple[float, float]:
    """Length and width of what a foot covers of the shell: its plate, or its box with a rim, mm."""
    if not foot.raised:
        return foot.plate[:2]
    rim = 2.0 * max((fold.by for fold in foot.folds if fold.angle < 0.0), default=foot.plate[2])
    return foot.plate[0] + rim, foot.plate[1] + rim


def _foot(name: str, entry: FootEntry, points: Mapping[str, Vector], where: Locate) -> Foot:
    normal = np.array(entry.normal)
    size = float(np.linalg.norm(normal))
    if size < 1e-9:
        raise Refused(
            Problem(
                code="no-direction",
                where=where(("feet", name, "normal")),
                found=f"the normal of foot '{name}' has no length",
                wanted="give a direction such as [0, 0, 1]",
            )
        )
    raised = entry.box.high if entry.box else 0.0
    foot = Foot(
        name=name,
        point=_point(name, entry, points, where) + raised * normal / size,
        normal=normal / size,
        seat=entry.on,
        plate=entry.plate,
        contact=0.0,
        bolts=entry.bolts,
        members=(),
        sheet=entry.sheet,
        raised=raised,
        shaped=entry.shaped,
    )
    foot = replace(foot, folds=_folds(entry, foot, where, ("feet", name)))
    return replace(foot, contact=entry.contact or _contact(foot))


def _point(name: str, entry: FootEntry, points: Mapping[str, Vector], where: Locate) -> Vector:
    path = ("feet", name, "at")
    if isinstance(entry.at, str):
        return point_named(points, entry.at, path, where)
    if isinstance(entry.at, AtPoint):
        return point_named(points, entry.at.point, path, where) + np.array(entry.at.offset)
    return np.array(entry.at)


def _mirror(foot: Foot, entry: FootEntry, where: Locate, path: Path) -> Foot:
    twin = replace(foot, name=entry.mirror or "", point=mirrored(foot.point), normal=mirrored(foot.normal))
    return replace(twin, folds=_folds(entry, twin, where, path, across=-1.0))


def _folds(
    entry: FootEntry, foot: Foot, where: Locate, path: Path, across: float = 1.0
) -> tuple[EdgeFold, ...]:
    if entry.box is not None:
        return _walls(entry.box)
    point = foot.point * [1.0, across, 1.0]  # the side of the car that the words were written for
    return tuple(
        EdgeFold(
            edge=_edge(way_of(fold.edge, point) * [1.0, across, 1.0], foot, fold, where, (*path, "folds", i)),
            by=fold.by,
            angle=fold.angle if fold.turn == "over" else -fold.angle,
        )
        for i, fold in enumerate(entry.folds)
    )


def _walls(box: BoxEntry) -> tuple[EdgeFold, ...]:
    """Four walls, and the rim on each."""
    edges: tuple[Edge, ...] = (0, 1, 2, 3)
    square = math.pi / 2.0
    return tuple(
        fold
        for edge in edges
        for fold in (
            EdgeFold(edge=edge, by=box.high, angle=square),
            *([] if box.rim is None else [EdgeFold(edge=edge, by=box.rim, angle=-square)]),
        )
    )


def _edge(way: Vector, foot: Foot, fold: FoldEntry, where: Locate, path: Path) -> Edge:
    """The edge of the plate that looks that way.

    Raises:
        Refused: none does.
    """
    looks = OUTWARD @ foot_axes(foot.normal)[:2] @ way
    best = int(np.argmax(looks))
    if looks[best] < FACES:
        raise Refused(
            Problem(
                code="no-edge",
                where=where((*path, "edge")),
                found=f"no edge of the plate of foot '{foot.name}' looks {fold.edge}",
                wanted="wanted the way that an edge looks: front, rear, inside, outside, left, right, up or "
                "down",
            )
        )
    edges: tuple[Edge, ...] = (0, 1, 2, 3)
    return edges[best]


def _contact(foot: Foot) -> float:
    """What of the plate lies on the shell, mm2: all of it, of a box its rim or else its walls' edges."""
    long, wide, thick = foot.plate
    if foot.raised:
        rim = max((fold.by for fold in foot.folds if fold.angle < 0.0), default=thick)
        return 2.0 * (long + wide) * rim
    sides = [long if fold.edge % 2 == 0 else wide for fold in foot.folds]
    return long * wide + sum(side * fold.by for side, fold in zip(sides, foot.folds, strict=True))
