"""What of a scanned shell is in a tube's way: where it would be trimmed, how much, and whether it may be.

Only metal that the builder marked as trimmable is ever taken as cut; what he marked as seam, anchorage, rail
or pillar, and what lies along a measured pillar, rail, header or sill, never is; of the rest nobody knows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import KDTree

from cagewright.base.curves import point_at
from cagewright.base.vectors import Vector, length
from cagewright.shape.closest import Mask, closest_on_segments
from cagewright.shape.cloud import cloud_of
from cagewright.shape.mesh import Mesh, Whole, mesh_of, nearest, triangles
from cagewright.shape.scan import Scan
from cagewright.shape.types import Array, Cage, Member, Metal

ADDED = 5.0
"""How far from the tube's outside metal is cut away, mm (ours: for paint and a tube not quite true)."""
KEPT = 60.0
"""Metal no further than this from a measured pillar, rail, header or sill is its own, mm (assumed)."""
FINE = 6.0
"""Longest edge of the facets that an outline is drawn through, mm."""
MORE = 12.0
"""How much further than the reach metal is looked at, mm."""
STEP = 5.0
"""Spacing of the chords that a tube's axis is taken as, mm."""
Standing = Literal["trimmable", "ask first", "never"]
LINE_MARKS: dict[str, str] = {
    "pillar": "pillar", "cant": "rail", "rail": "rail", "header": "rail", "sill": "rail", "rocker": "rail",
}  # fmt: skip
"""Words in a measured line's name or note that mark the metal along it, and what as."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trim:
    """A piece of the shell that is in one tube's way.

    Attributes:
        member: whose way it is in.
        standing: whether it may be cut.
        mark: the marked metal or the measured line that says so; empty where nothing does.
        at: (3,) where the tube is deepest in it, mm.
        depth: how far the tube's outside reaches into it there, mm.
        along: (first, last) mm along the tube.
        area: of the metal that goes, with ``ADDED`` round the tube, mm2.
        corners: (n, 3) of that metal, mm.
        faces: (m, 3) indices of its facets.
    """

    member: str
    standing: Standing
    mark: str
    at: Vector
    depth: float
    along: tuple[float, float]
    area: float
    corners: Array
    faces: Whole


def metal_known(cage: Cage) -> tuple[Metal, ...]:
    """What the builder marked, and the metal along the measured pillars, rails, headers and sills."""
    found = list(cage.metal)
    for line in cage.lines:
        words = f"{line.name} {line.note}".lower()
        mark = next((m for word, m in LINE_MARKS.items() if word in words), None)
        if mark is not None and "door" not in words and "outer" not in words:
            kept = "pillar" if mark == "pillar" else "rail"
            found.append(Metal(name=line.name, mark=kept, points=line.points, reach=KEPT))
    return tuple(found)


def trims_of(cage: Cage, scan: Scan, known: Sequence[Metal]) -> tuple[Trim, ...]:
    """Every piece of the scan that a tube runs into, in the members' order, the largest first.

    A tube's own feet stand on the shell: within a plate's length of a foot nothing counts.
    """
    found: list[Trim] = []
    for member in cage.members:
        mine = _trims(member, scan.mesh, known, _stands(cage, member))
        found += sorted(mine, key=lambda trim: -trim.area)
    return tuple(found)


def trimmed(scan: Scan, cage: Cage, known: Sequence[Metal]) -> Scan:
    """The scan without the trimmable metal that tubes run into; as it is where nothing is trimmable."""
    may = [metal for metal in known if metal.mark == "trimmable"]
    for member in cage.members if may else ():
        if any(t.standing == "trimmable" for t in _trims(member, scan.mesh, known, _stands(cage, member))):
            mesh = _without(member, scan.mesh, may)
            scan = replace(scan, mesh=mesh, cloud=cloud_of(mesh), watertight=False)
    return scan


def _without(member: Member, mesh: Mesh, may: Sequence[Metal]) -> Mesh:
    """The mesh without what of the trimmable metal lies within the cut round the member."""
    reach = member.tube.radius + ADDED
    near = _near(_close(member, mesh), mesh, reach)
    corners, faces = shared(near.close)
    kept = corners[faces][~within_metal(corners[faces].mean(axis=1), may)]
    may_go = faces[within_metal(corners[faces].mean(axis=1), may)]
    rest_corners, rest_faces = _cut_out(member, corners, may_go, reach, outside=True)
    untouched = np.delete(mesh.faces, near.faces, axis=0)
    soup = np.concatenate([kept, near.further, rest_corners[rest_faces]])
    more = np.arange(3 * len(soup)).reshape(-1, 3) + len(mesh.corners)
    return mesh_of(np.concatenate([mesh.corners, soup.reshape(-1, 3)]), np.concatenate([untouched, more]))


def _stands(cage: Cage, member: Member) -> list[tuple[Vector, float]]:
    """Where the member stands on the shell, and how far round there metal is the foot's own, mm."""
    feet = {foot.name: foot for foot in cage.feet}
    on = [feet[end.foot] for end in member.ends if end.foot is not None]
    return [(foot.point, max(foot.plate[:2])) for foot in on]


def within_metal(points: Array, known: Sequence[Metal]) -> Mask:
    """Which of the points (n, 3) belong to one of the pieces of marked metal."""
    inside = np.zeros(len(points), dtype=np.bool_)
    for metal in known:
        path = metal.points if len(metal.points) > 1 else np.repeat(metal.points, 2, axis=0)
        for a, b in pairwise(path):
            tile = (len(points), 1)
            on = closest_on_segments(points, np.tile(a, tile), np.tile(b, tile))
            inside |= length(on - points) <= metal.reach
    return inside


def _trims(
    member: Member, mesh: Mesh, known: Sequence[Metal], stand: Sequence[tuple[Vector, float]]
) -> list[Trim]:
    radius = member.tube.radius
    axis = _close(member, mesh)
    found: list[Trim] = []
    if not len(axis):
        return found
    near = _near(axis, mesh, radius + ADDED)
    corners, faces = _cut_out(member, *shared(near.close), radius + ADDED)
    for piece in _pieces(faces, len(corners)):
        used, mine = np.unique(faces[piece], return_inverse=True)
        points = corners[used]
        away, along = _axis_distance(member, points)
        deepest = int(np.argmin(away))
        on_foot = any(float(length(points[deepest] - at)) < size for at, size in stand)
        if away[deepest] < radius - 0.05 and not on_foot:
            standing, mark = standing_of(points, known)
            sides = triangles_area(points[mine.reshape(-1, 3)])
            found.append(
                Trim(
                    member=member.name, standing=standing, mark=mark, at=points[deepest],
                    depth=radius - float(away[deepest]), along=(float(along.min()), float(along.max())),
                    area=float(sides.sum()), corners=points, faces=mine.reshape(-1, 3),
                )
            )  # fmt: skip
    return found


def standing_of(points: Array, known: Sequence[Metal]) -> tuple[Standing, str]:
    """Whether a piece of metal (n, 3) may be cut, and what says so.

    One place of it on a seam, an anchorage, a rail or a pillar is enough for never; trimmable is only what
    lies in trimmable metal as a whole.
    """
    for metal in known:
        if metal.mark != "trimmable" and within_metal(points, [metal]).any():
            return "never", metal.name
    may = [metal for metal in known if metal.mark == "trimmable"]
    if may and within_metal(points, may).all():
        return "trimmable", next(m.name for m in may if within_metal(points, [m]).any())
    return "ask first", ""


def triangles_area(corners: Array) -> Array:
    """The areas (m,) of triangles (m, 3, 3), mm2."""
    return length(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])) / 2.0


def _along(member: Member) -> Array:
    return np.linspace(0.0, member.path.length, max(2, int(member.path.length / STEP) + 1))


def _axis(member: Member) -> Array:
    """Places (k, 3) of the member's axis, close together."""
    return np.array([point_at(member.path, float(s)) for s in _along(member)])


def _close(member: Member, mesh: Mesh) -> Array:
    """Places (k, 3) of the member's axis where its tube may touch the mesh."""
    axis, reach = _axis(member), member.tube.radius + STEP
    return axis[nearest(mesh, axis, limit=reach).away < reach]


def _axis_distance(member: Member, points: Array) -> tuple[Array, Array]:
    """From each point (n, 3) to the member's axis, and how far along it that is, (n,) each, mm."""
    along, at = _along(member), _axis(member)
    best, where = np.full(len(points), np.inf), np.zeros(len(points))
    low, high = at.min(axis=0) - 100.0, at.max(axis=0) + 100.0
    rows = np.flatnonzero(((points > low) & (points < high)).all(axis=1))
    for some in np.array_split(rows, max(1, len(rows) // 4000)):
        if len(some):
            near = np.argmin(((points[some][:, None] - at[None]) ** 2).sum(axis=2), axis=1)
            for a, b in ((near - 1, near), (near, near + 1)):
                a, b = np.maximum(a, 0), np.minimum(b, len(at) - 1)
                on = closest_on_segments(points[some], at[a], at[b])
                away = length(on - points[some])
                better = away < best[some]
                best[some[better]] = away[better]
                where[some[better]] = (along[a] + length(on - at[a]))[better]
    return best, where


@dataclass(frozen=True, slots=True, kw_only=True)
class _Near:
    """The faces beside a tube, cut small.

    Attributes:
        faces: (k,) which of the mesh they are.
        close: (m, 3, 3) triangles, mm, none longer than ``FINE``.
        further: (m, 3, 3) what was cut off them that lies too far away to matter, mm.
    """

    faces: Whole
    close: Array
    further: Array


def _near(axis: Array, mesh: Mesh, reach: float) -> _Near:
    """The faces within reach, and ``MORE``, of places (k, 3) of a tube's axis."""
    found: list[Whole] = []
    for size in mesh.sizes:
        lists = size.tree.query_ball_point(axis, reach + MORE + size.radius)
        found.append(size.faces[np.unique(np.concatenate([np.asarray(n, dtype=np.int64) for n in lists]))])
    faces = np.concatenate(found)
    corners, further, tree = triangles(mesh, faces), [np.zeros((0, 3, 3))], KDTree(axis)
    for _ in range(8):
        edges = length(corners - np.roll(corners, -1, axis=1)).max(axis=1)
        kept = tree.query(corners.mean(axis=1))[0] < reach + MORE + edges
        further.append(corners[~kept])
        corners, large = corners[kept], edges[kept] > FINE
        if not large.any():
            break
        c = corners[large]
        m = (c + np.roll(c, -1, axis=1)) / 2.0
        quarters = [
            np.stack([c[:, 0], m[:, 0], m[:, 2]], axis=1), np.stack([m[:, 0], c[:, 1], m[:, 1]], axis=1),
            np.stack([m[:, 2], m[:, 1], c[:, 2]], axis=1), m,
        ]  # fmt: skip
        corners = np.concatenate([corners[~large], *quarters])
    return _Near(faces=faces, close=corners, further=np.concatenate(further))


def shared(corners: Array) -> tuple[Array, Whole]:
    """Triangles (m, 3, 3) as shared corners (n, 3) and faces (m, 3); places within a hundredth are one."""
    flat = corners.reshape(-1, 3)
    _, first, back = np.unique(np.round(flat * 50.0).astype(np.int64), axis=0, return_index=True,
                               return_inverse=True)  # fmt: skip
    faces = back.reshape(-1, 3)
    whole = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])
    return flat[first], faces[whole]


def _cut_out(
    member: Member, corners: Array, faces: Whole, reach: float, *, outside: bool = False
) -> tuple[Array, Whole]:
    """What of the faces lies within reach of the tube's axis, or ``outside`` it, cut where the two meet."""
    off = (_axis_distance(member, corners)[0] - reach) * (-1.0 if outside else 1.0)
    parts: list[Array] = []
    for a, b, c in faces[(off[faces] < 0.0).any(axis=1)]:
        ring: list[Array] = []
        for i, j in ((a, b), (b, c), (c, a)):
            if off[i] < 0.0:
                ring.append(corners[i])
            if (off[i] < 0.0) != (off[j] < 0.0):
                ring.append(corners[i] + off[i] / (off[i] - off[j]) * (corners[j] - corners[i]))
        parts += [np.array([ring[0], p, q]) for p, q in pairwise(ring[1:])]
    if not parts:
        return np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64)
    return shared(np.array(parts))


def _pieces(faces: Whole, count: int) -> list[Whole]:
    """Indices of the faces of each connected piece."""
    if not len(faces):
        return []
    i, j = faces[:, [0, 1]].ravel(), faces[:, [1, 2]].ravel()
    _, label = connected_components(
        coo_array((np.ones(len(i)), (i, j)), shape=(count, count)), directed=False
    )
    of_face = label[faces[:, 0]]
    return [np.flatnonzero(of_face == k) for k in np.unique(of_face)]
