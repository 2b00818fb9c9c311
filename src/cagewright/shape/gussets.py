"""Gussets as sheet: the corner they fill, their faces between the tubes' outsides, and the same laid flat."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from cagewright.base.curves import Chain, nearest, tangent_at
from cagewright.base.vectors import Vector, angle_between, cross, length, unit
from cagewright.shape.flat_parts import BendLine, Hole
from cagewright.shape.types import Array, Cage, Gusset, member_named
from cagewright.stock.folding import Fold

AT_END = 1.0
"""A member whose end is within this many tube diameters of the gusset's point ends there."""
LIP = 0.5
"""How far the lips of a bent corner lie on the tubes, in diameters of the smaller (common practice)."""
DIMPLE = 2.0
"""How deep the rim of a dimpled hole is pressed, in thicknesses of the sheet (common practice)."""
ROUND = 25
"""Places along each end of a half tube."""


def gusset_legs(cage: Cage, gusset: Gusset) -> tuple[Vector, Vector]:
    """Unit directions (3,) in which the gusset's legs run along its two members, away from the corner."""
    members = [member_named(cage, name) for name in gusset.between]
    first, second = (ways(m.path, m.tube.across, gusset.point) for m in members)
    return picked(first, second, gusset.corner)


def picked(
    first: Sequence[Vector], second: Sequence[Vector], corner: Sequence[Vector]
) -> tuple[Vector, Vector]:
    """Of the ways of either member the pair that lies most in the corner asked for.

    One direction says where the corner lies from the joint, two where each leg runs; without either the legs
    take the smallest angle, the members' own order deciding between equals.
    """
    pairs = list(product(first, second))
    if not corner:
        return min(pairs, key=lambda pair: angle_between(*pair))
    if len(corner) == 1:
        return max(pairs, key=lambda pair: float((pair[0] + pair[1]) @ corner[0]))
    return max(pairs, key=lambda pair: float(pair[0] @ corner[0] + pair[1] @ corner[1]))


def ways(path: Chain, across: float, point: Vector) -> tuple[Vector, ...]:
    """Which ways (3,) a tube ``across`` mm wide runs from the point: one where it ends there, else two."""
    along, _ = nearest(path, point)
    way = tangent_at(path, along)
    near = AT_END * across
    if along < near:
        return (way,)
    return (-way,) if along > path.length - near else (way, -way)


@dataclass(frozen=True, slots=True, kw_only=True)
class GussetShape:
    """A gusset between the outsides of its two tubes.

    Attributes:
        faces: the middle faces of its sheet (n, 3), mm each; a half tube's is its three long edges' ribbon.
        area: of the sheet, holes taken out, mm2.
        centre: (3,) of the sheet, mm.
        weld: length of its edges on the tubes, mm.
        legs: how long its two edges on the tubes are, mm.
        outline: (n, 2) laid flat, mm.
        bends: of the flat sheet.
        holes: of the flat sheet.
        room: how much further its legs reach than the corner between the tubes, mm; less than 0: no sheet.
    """

    faces: tuple[Array, ...]
    area: float
    centre: Vector
    weld: float
    legs: tuple[float, float]
    outline: Array
    bends: tuple[BendLine, ...]
    holes: tuple[Hole, ...]
    room: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Corner:
    """The plane of the two legs: unit (3,) ways, the way square to both, the angle and the tubes, rad, mm."""

    point: Vector
    a: Vector
    b: Vector
    up: Vector
    angle: float
    radii: tuple[float, float]
    leg: float

    def at(self, along_a: float, along_b: float) -> Vector:
        return self.point + along_a * self.a + along_b * self.b

    def triangle(self, height: float) -> Array:
        """Corner and both tips (3, 3) of a sheet that lies ``height`` mm beside the plane of the axes."""
        one, two = (math.sqrt(max(r**2 - height**2, 0.0)) for r in self.radii)
        sine, cosine = math.sin(self.angle), math.cos(self.angle)
        off_a, off_b = (self.b - cosine * self.a) / sine, (self.a - cosine * self.b) / sine
        flat = np.array([
            self.at(two / sine, one / sine),
            self.point + self.leg * self.a + one * off_a,
            self.point + self.leg * self.b + two * off_b,
        ])
        return flat + height * self.up


def gusset_shape(cage: Cage, gusset: Gusset, fold: Fold) -> GussetShape:
    """The gusset as it is made of sheet that folds so."""
    a, b = gusset_legs(cage, gusset)
    members = [member_named(cage, name) for name in gusset.between]
    corner = _Corner(
        point=gusset.point, a=a, b=b, up=unit(cross(a, b)), angle=angle_between(a, b), leg=gusset.leg,
        radii=(members[0].tube.across / 2.0, members[1].tube.across / 2.0),
    )  # fmt: skip
    return _MAKE[gusset.kind](corner, gusset, fold)


def _flat(corner: _Corner, gusset: Gusset, fold: Fold) -> GussetShape:
    """One triangle between the tubes, in the plane of their axes."""
    del fold
    face = corner.triangle(0.0)
    outline = _in_plane(face)
    hole = _hole(gusset, outline.mean(axis=0))
    return _made([face], outline, (), hole, _edges(face), _room(corner, face), 2)


def _folded(corner: _Corner, gusset: Gusset, fold: Fold) -> GussetShape:
    """A triangle on either side of the tubes and the strip between their outer edges."""
    wide = 2.0 * min(corner.radii)
    sides = [corner.triangle(h) for h in (0.5 * wide, -0.5 * wide)]
    strip = np.array([sides[0][1], sides[0][2], sides[1][2], sides[1][1]])
    flat = _in_plane(
        sides[0][[1, 2, 0]]
    )  # its outer edge from the origin along x, its corner at y more than 0
    base, apex = float(flat[1, 0]), flat[2]
    back, used = fold.setback(math.pi / 2.0, inside=True), fold.allowance(math.pi / 2.0)
    middle = 0.5 * wide - back
    share = min(back / max(float(apex[1]), 1e-9), 1.0)
    left, right = share * float(apex[0]), base + share * float(apex[0] - base)
    rise = middle + used
    half = np.array([
        [0.0, middle], [left, rise], [float(apex[0]), rise + float(apex[1]) - back], [right, rise],
        [base, middle],
    ])  # fmt: skip
    outline = np.concatenate([(half * [1.0, -1.0]), half[::-1]])
    bends = tuple(
        BendLine(start=np.array([0.0, y]), stop=np.array([base, y]), angle=-math.pi / 2.0,
                 radius=fold.radius, allowance=used)
        for y in (-(middle + 0.5 * used), middle + 0.5 * used)
    )  # fmt: skip
    at = np.array([(left + right + float(apex[0])) / 3.0, rise + (float(apex[1]) - back) / 3.0])
    holes = (*_hole(gusset, at), *_hole(gusset, at * [1.0, -1.0]))
    return _made(
        [*sides, strip], outline, bends, holes, _edges(sides[0]), _room(corner, corner.triangle(0.0)), 4
    )


def _bent_corner(corner: _Corner, gusset: Gusset, fold: Fold) -> GussetShape:
    """A strip across the corner, as wide as the smaller tube, with a lip on either tube."""
    _, one, two = corner.triangle(0.0)
    wide, lip = 2.0 * min(corner.radii), LIP * 2.0 * min(corner.radii)
    side, span = 0.5 * wide * corner.up, float(length(two - one))
    across = (two - one) / span
    turns = [angle_between(across, -corner.a), angle_between(-across, -corner.b)]
    ends = [one + lip * corner.a, two + lip * corner.b]
    faces = [np.array([p - side, q - side, q + side, p + side])
             for p, q in ((ends[0], one), (one, two), (two, ends[1]))]  # fmt: skip
    # the strip rises from the tubes, so the side on them is the outside of both folds
    backs = [fold.setback(t, inside=False) for t in turns]
    used = [fold.allowance(t) for t in turns]
    flat = [lip - backs[0], span - sum(backs), lip - backs[1]]
    marks = np.cumsum([0.0, flat[0], used[0], flat[1], used[1], flat[2]])
    outline = np.array([[0.0, 0.0], [marks[-1], 0.0], [marks[-1], wide], [0.0, wide]])
    bends = tuple(
        BendLine(start=np.array([x, 0.0]), stop=np.array([x, wide]), angle=t, radius=fold.radius, allowance=u)
        for x, t, u in zip((marks[1:3].mean(), marks[3:5].mean()), turns, used, strict=True)
    )  # fmt: skip
    holes = _hole(gusset, np.array([marks[2:4].mean(), wide / 2.0]))
    weld = 2.0 * (wide + 2.0 * lip)
    return _made(faces, outline, bends, holes, (lip, lip), min(flat), 1, weld)


def _half_tube(corner: _Corner, gusset: Gusset, fold: Fold) -> GussetShape:
    """Half of a tube as wide as the smaller of the two, its hollow to the corner, cut to both tubes."""
    _, one, two = corner.triangle(0.0)
    outer, span = min(corner.radii), float(length(two - one))
    across = (two - one) / span
    out = unit(corner.a + corner.b - ((corner.a + corner.b) @ across) * across)
    phi = np.linspace(-0.5 * math.pi, 0.5 * math.pi, ROUND)
    round_it = np.multiply.outer(np.cos(phi), out) + np.multiply.outer(np.sin(phi), corner.up)
    middle = 0.5 * (one + two) + outer * round_it
    low = _meets(middle, -across, corner.point, corner.a, corner.radii[0])
    high = _meets(middle, across, corner.point, corner.b, corner.radii[1])
    rows = [middle - low[:, None] * across, middle + high[:, None] * across]
    face = np.concatenate([rows[0], rows[1][::-1]])
    run = (outer - 0.5 * fold.thickness) * phi
    outline = np.concatenate([np.column_stack([-low, run]), np.column_stack([high, run])[::-1]])[::-1]
    weld = sum(float(length(np.diff(row, axis=0)).sum()) for row in rows)
    holes = _hole(gusset, np.array([0.5 * (high - low)[ROUND // 2], 0.0]))
    return _made([face], outline, (), holes, (outer, outer), float(min(low.min(), high.min())), 1, weld)


def _meets(points: Array, way: Vector, on: Vector, axis: Vector, radius: float) -> Array:
    """How far (n,) from points (n, 3) along a unit way the round tube on that axis is met, mm.

    A line that passes it by is cut where it is nearest.
    """
    off = points - on
    across = way - (way @ axis) * axis
    flat = off - np.multiply.outer(off @ axis, axis)
    a, half, c = float(across @ across), flat @ across, (flat**2).sum(axis=1) - radius**2
    return (-half - np.sqrt(np.maximum(half**2 - a * c, 0.0))) / max(a, 1e-12)


_MAKE = {"flat": _flat, "folded": _folded, "bent corner": _bent_corner, "half tube": _half_tube}


def _edges(face: Array) -> tuple[float, float]:
    return float(length(face[1] - face[0])), float(length(face[2] - face[0]))


def _room(corner: _Corner, face: Array) -> float:
    """How much further the legs reach than the corner between the tubes, mm."""
    return min(float((face[1] - face[0]) @ corner.a), float((face[2] - face[0]) @ corner.b))


def _in_plane(face: Array) -> Array:
    """The flat face (n, 3) as (n, 2) from its first corner, its second along x, anticlockwise."""
    off = face - face[0]
    x = unit(off[1])
    y = unit(off[2] - (off[2] @ x) * x)
    return np.column_stack([off @ x, off @ y])


def _hole(gusset: Gusset, at: Array) -> tuple[Hole, ...]:
    if gusset.hole <= 0.0:
        return ()
    dimple = DIMPLE * gusset.thickness if gusset.dimpled else 0.0
    return (Hole(centre=at, diameter=gusset.hole, dimple=dimple),)


def _made(
    faces: list[Array], outline: Array, bends: tuple[BendLine, ...], holes: tuple[Hole, ...],
    legs: tuple[float, float], room: float, edges: int, weld: float | None = None,
) -> GussetShape:  # fmt: skip
    """The shape with its area and centre, of the faces as they stand."""
    parts = [_spread(face) for face in faces]
    whole = sum(area for area, _ in parts)
    centre = sum((area * middle for area, middle in parts), np.zeros(3)) / max(whole, 1e-9)
    off = sum(math.pi / 4.0 * hole.diameter**2 for hole in holes)
    return GussetShape(
        faces=tuple(faces), area=whole - off, centre=centre,
        weld=sum(legs) * edges / 2.0 if weld is None else weld, legs=legs, outline=outline, bends=bends,
        holes=holes, room=room,
    )  # fmt: skip


def _spread(face: Array) -> tuple[float, Vector]:
    """Area, mm2, and centre (3,), mm, of a face (n, 3): its ribbons where it is bent, else as it lies."""
    middle = face.mean(axis=0)
    if len(face) > 4:
        n = len(face) // 2
        rows = [face[:n], face[n:][::-1]]
        quads = [np.array([rows[0][i], rows[0][i + 1], rows[1][i + 1], rows[1][i]]) for i in range(n - 1)]
        parts = [_spread(quad) for quad in quads]
        whole = sum(area for area, _ in parts)
        return whole, sum((area * at for area, at in parts), np.zeros(3)) / max(whole, 1e-9)
    a, b = face - middle, np.roll(face, -1, axis=0) - middle
    areas = 0.5 * length(np.cross(a, b))
    whole = float(areas.sum())
    return whole, middle + (areas @ ((a + b) / 3.0)) / max(whole, 1e-9)
