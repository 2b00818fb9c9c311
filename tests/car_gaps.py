"""Gaps from tubes to a mesh, signed, by python-fcl, an independent collision library."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import fcl
import numpy as np
from scipy.spatial import KDTree

STEP = 5.0
PIECE, TOUCH = 10.0, 0.5
"""Length of the cylinders that a tube is taken as, and how far two may touch, mm."""
AXIS = 0.1
"""Radius of the ball on the tube's axis whose distance is asked for, mm."""


@dataclass(frozen=True, kw_only=True)
class Gaps:
    """Signed gaps (n,) mm, below 0 in the metal, and where on the axis (n, 3)."""

    gap: np.ndarray
    at: np.ndarray

    @property
    def share(self) -> float:
        """The share of the length whose gap is 5 to 15 mm, places being written to the whole millimetre."""
        return float(np.mean((self.gap > 4.5) & (self.gap < 15.5)))

    def __str__(self) -> str:
        return f"{self.gap.min():.1f} to {self.gap.max():.1f}, {self.share:.0%}"


def model_of(corners: np.ndarray, faces: np.ndarray) -> fcl.CollisionObject:
    """The mesh as python-fcl holds it."""
    model = fcl.BVHModel()
    model.beginModel(len(corners), len(faces))
    model.addSubModel(np.ascontiguousarray(corners, dtype=float), np.ascontiguousarray(faces, dtype=np.int32))
    model.endModel()
    return fcl.CollisionObject(model)


def gaps_of(
    model: fcl.CollisionObject, member, *, middle: float, above: float = -np.inf, behind=-np.inf
) -> Gaps:
    """The gaps of the tube of a resolved cage where it is above and behind those places, mm.

    A place is in or behind the metal where the way to it from the cabin's middle axis (at that height) is
    barred.
    """
    from cagewright.shape.clearance import points_at

    at = points_at(member.path, np.arange(0.0, member.path.length, STEP))
    at = at[(at[:, 2] > above) & (at[:, 0] > behind)]
    radius = member.tube.od / 2.0
    gap = np.array([away(model, p) for p in at])
    barred = np.array([_barred(model, p, middle) for p in at])
    return Gaps(gap=np.where(barred, -gap, gap) - radius, at=at)


def away(model: fcl.CollisionObject, place: np.ndarray) -> float:
    """The distance from a place (3,) to the mesh, mm."""
    ball = fcl.CollisionObject(fcl.Sphere(AXIS), fcl.Transform(place))
    return AXIS + max(float(fcl.distance(ball, model, fcl.DistanceRequest(), fcl.DistanceResult())), 0.0)


def _barred(model: fcl.CollisionObject, place: np.ndarray, middle: float) -> bool:
    start = np.array([place[0], 0.4 * place[1], middle + 0.4 * (place[2] - middle)])
    way = place - start
    size = float(np.linalg.norm(way))
    z = way / size
    x = np.cross(z, [1.0, 0.0, 0.0])
    x = x / np.linalg.norm(x)
    turn = np.column_stack([x, np.cross(z, x), z])
    rod = fcl.CollisionObject(fcl.Capsule(AXIS, size), fcl.Transform(turn, (start + place) / 2.0))
    return bool(fcl.collide(rod, model, fcl.CollisionRequest(), fcl.CollisionResult()))


def sharing_space(cage) -> list[tuple[str, str]]:
    """Pairs of tubes that run into each other though neither is cut on the other, by short cylinders."""
    from cagewright.shape.clearance import points_at

    axes = {
        m.name: points_at(m.path, np.linspace(0.0, m.path.length, int(m.path.length / PIECE) + 2))
        for m in cage.members
    }
    radius = {m.name: m.tube.od / 2.0 for m in cage.members}
    mains = {m.name: {x for j in cage.joints if j.branch == m.name for x in j.mains} for m in cage.members}
    made = {}
    for name, axis in axes.items():
        free = np.ones(len(axis), dtype=bool)
        for main in mains[name]:  # its ends stop at what they are cut on
            free &= KDTree(axes[main]).query(axis)[0] > radius[main]
        made[name] = _cylinders(axis, free, radius[name] - TOUCH / 2.0)
    return [
        (a, b)
        for a, b in combinations(made, 2)
        if a not in mains[b] and b not in mains[a] and _collide(made[a], made[b])
    ]


def _cylinders(axis: np.ndarray, free: np.ndarray, radius: float) -> fcl.DynamicAABBTreeCollisionManager:
    objects = []
    for one, two in zip(axis[:-1][free[:-1] & free[1:]], axis[1:][free[:-1] & free[1:]], strict=True):
        size = float(np.linalg.norm(two - one))
        turn = _laid((two - one) / size)
        objects.append(
            fcl.CollisionObject(fcl.Cylinder(radius, size), fcl.Transform(turn, (one + two) / 2.0))
        )
    manager = fcl.DynamicAABBTreeCollisionManager()
    manager.registerObjects(objects)
    manager.setup()
    return manager


def _laid(way: np.ndarray) -> np.ndarray:
    """The turn (3, 3) that lays the up axis along a unit way."""
    side = np.cross([1.0, 0.0, 0.0] if abs(way[0]) < 0.9 else [0.0, 1.0, 0.0], way)
    side = side / np.linalg.norm(side)
    return np.column_stack([side, np.cross(way, side), way])


def _collide(one, two) -> bool:
    found = fcl.CollisionData()
    one.collide(two, found, fcl.defaultCollisionCallback)
    return bool(found.result.is_collision)
