"""Three invented shells that no draft was tuned to, and any number like them: estate, coupe, dented saloon.

Each is an implicit inside: what is left between floor, sills, sides, roof and the boxes that stand proud of
them; the mesh is where rays from the car's middle leave it. What is bolted or welded on (roof bows, braces,
a bracket) are pieces of their own. ``scanned`` makes of a mesh what a phone would bring home.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from bodies import TUNNEL, survey_of, taped

Mesh = tuple[np.ndarray, np.ndarray]
"""Corners (n, 3) mm and faces (m, 3)."""


@dataclass(frozen=True, kw_only=True)
class Stuck:
    """A bar welded to the shell: its middle line, width along the car, height under the skin, mm."""

    name: str
    line: tuple[tuple[float, float, float], ...]
    wide: float
    deep: float


@dataclass(frozen=True, kw_only=True)
class Car:
    """A shell by its left side, mm; half widths are positive.

    Attributes:
        corner: (back, half, up) where side and roof would meet, from the pillar's foot to the rear window.
        side: half width at the sill.
        waist: half and up.
        tumble: power of the side's curve over the waist: 1 is straight.
        crown: of the roof over its corners, and its power: 2 is a parabola.
        round: radius of the corner.
        box: how far the screen pillar's box stands into the car: across and down; (0, 0) for an open corner.
        post: how far the door post stands proud of the side at the hoop.
        dent: how far the left sill is pushed in, and how far ahead of the hoop.
        holes: (low, high) boxes of (back, across, up) without metal.
        stuck: what is welded to it.
    """

    name: str
    hoop: float
    floor: float
    sill: float
    side: float
    waist: tuple[float, float]
    corner: tuple[tuple[float, float, float], ...]
    tumble: float
    crown: tuple[float, float]
    round: float
    foot: tuple[float, float, float]
    turret: tuple[float, float, float]
    door: tuple[float, float, float, float]
    hip: tuple[float, float, float]
    helmet: tuple[float, float, float]
    dash: tuple[float, float]
    mass: float
    kind: str
    box: tuple[float, float] = (0.0, 0.0)
    post: float = 0.0
    dent: tuple[float, float] = (0.0, 0.0)
    holes: tuple[tuple[tuple[float, float, float], tuple[float, float, float]], ...] = ()
    stuck: tuple[Stuck, ...] = ()


def _brace(name: str, one: tuple[float, float], two: tuple[float, float], *, wide: float = 40.0) -> Stuck:
    return Stuck(name=name, line=((one[0], one[1], 0.0), (two[0], two[1], 0.0)), wide=wide, deep=22.0)


ESTATE = Car(
    name="Fallowmoor tall estate", hoop=1640.0, floor=160.0, sill=245.0, side=715.0, waist=(704.0, 880.0),
    corner=((430.0, 726.0, 900.0), (960.0, 628.0, 1432.0), (1320.0, 612.0, 1478.0), (1640.0, 606.0, 1490.0),
            (2300.0, 600.0, 1478.0), (3100.0, 596.0, 1420.0)),
    tumble=1.25, crown=(38.0, 2.3), round=95.0, box=(42.0, 48.0), post=34.0,
    foot=(520.0, 575.0, 215.0), turret=(2560.0, 520.0, 640.0), door=(560.0, 1590.0, 280.0, 1390.0),
    hip=(1230.0, 340.0, 330.0), helmet=(1400.0, 340.0, 985.0), dash=(640.0, 800.0), mass=1390.0,
    kind="five-door estate",
    stuck=(_brace("front bow", (1270.0, -470.0), (1270.0, 470.0)),
           _brace("rear bow", (1960.0, -470.0), (1960.0, 470.0))),
)  # fmt: skip
LOW_COUPE = Car(
    name="Cinderford low coupe", hoop=1610.0, floor=105.0, sill=190.0, side=700.0, waist=(690.0, 700.0),
    corner=((470.0, 712.0, 715.0), (1020.0, 566.0, 1070.0), (1300.0, 538.0, 1106.0), (1610.0, 522.0, 1108.0),
            (2050.0, 530.0, 1050.0), (2800.0, 575.0, 800.0)),
    tumble=1.9, crown=(46.0, 2.0), round=150.0, foot=(600.0, 560.0, 175.0), turret=(2330.0, 500.0, 560.0),
    door=(640.0, 1590.0, 225.0, 1040.0), hip=(1260.0, 330.0, 200.0), helmet=(1470.0, 330.0, 760.0),
    dash=(720.0, 610.0), mass=1050.0, kind="two-door coupe",
)  # fmt: skip
DENTED = Car(
    name="Hexworthy dented saloon", hoop=1595.0, floor=135.0, sill=215.0, side=695.0, waist=(686.0, 790.0),
    corner=((420.0, 708.0, 805.0), (960.0, 590.0, 1245.0), (1280.0, 572.0, 1288.0), (1595.0, 564.0, 1296.0),
            (2000.0, 560.0, 1272.0), (2650.0, 584.0, 900.0)),
    tumble=1.15, crown=(36.0, 2.2), round=120.0, box=(30.0, 36.0), post=20.0, dent=(15.0, 120.0),
    foot=(520.0, 565.0, 195.0), turret=(2330.0, 515.0, 600.0), door=(560.0, 1560.0, 255.0, 1205.0),
    hip=(1210.0, 330.0, 270.0), helmet=(1385.0, 330.0, 915.0), dash=(640.0, 705.0), mass=1120.0,
    kind="two-door saloon",
    holes=(((1040.0, -300.0, 1150.0), (1400.0, 300.0, 1500.0)),),
    stuck=(_brace("cross brace one", (1450.0, -430.0), (1790.0, 430.0)),
           _brace("cross brace two", (1450.0, 430.0), (1790.0, -430.0)),
           Stuck(name="bracket", line=((1595.0, -1.0, 905.0), (1595.0, -1.0, 965.0)), wide=50.0, deep=28.0)),
)  # fmt: skip
CARS = {"estate": ESTATE, "low coupe": LOW_COUPE, "dented saloon": DENTED}


def random_car(seed: int) -> Car:
    """Some car between the three in size, with its own curves, boxes and posts; nothing welded on."""
    rng = np.random.default_rng(seed)
    base = list(CARS.values())[int(rng.integers(3))]
    wide, high = float(rng.uniform(-30.0, 30.0)), float(rng.uniform(-30.0, 60.0))
    corner = tuple((x, y + wide, z + (high if i else 0.0)) for i, (x, y, z) in enumerate(base.corner))
    boxed = bool(rng.integers(2))
    front, rear, bottom, top = base.door
    return replace(
        base,
        name=f"made-up car {seed}", corner=corner, side=base.side + wide,
        waist=(base.waist[0] + wide, base.waist[1]), foot=(base.foot[0], base.foot[1] + wide, base.foot[2]),
        door=(front, rear, bottom, top + high), tumble=float(rng.uniform(1.0, 2.0)),
        crown=(float(rng.uniform(15.0, 60.0)), float(rng.uniform(1.8, 2.5))),
        round=float(rng.uniform(80.0, 180.0)),
        box=(float(rng.uniform(25.0, 50.0)), float(rng.uniform(25.0, 50.0))) if boxed else (0.0, 0.0),
        post=float(rng.choice([0.0, 15.0, 35.0])), dent=(0.0, 0.0), holes=(), stuck=(),
    )  # fmt: skip


# --- the inside


def edge_at(car: Car, x: np.ndarray) -> np.ndarray:
    """Where side and roof would meet (n, 2) half and up, its kinks rounded over 40 mm."""
    knots = np.array(car.corner)
    shift = np.linspace(-20.0, 20.0, 9).reshape((-1,) + (1,) * np.ndim(x))
    return np.stack([np.interp(x + shift, knots[:, 0], knots[:, i]).mean(axis=0) for i in (1, 2)], axis=-1)


def _ramp(value: np.ndarray, low: float, high: float) -> np.ndarray:
    """0 below low, 1 over high, smooth between."""
    t = np.clip((value - low) / (high - low), 0.0, 1.0)
    return t * t * (3.0 - 2.0 * t)


def inside(car: Car, x: np.ndarray, y: np.ndarray, z: np.ndarray) -> np.ndarray:
    """How far within the shell each point is, about, mm; less than 0 in the metal or beyond it."""
    half, edge = np.abs(y), edge_at(car, x)
    waist = np.minimum(car.waist[1], edge[..., 1] - 230.0)
    over = np.clip((z - waist) / (edge[..., 1] - waist), 0.0, 1.6)
    wall = np.where(
        z < waist,
        car.side + (car.waist[0] - car.side) * np.clip((z - car.sill) / (waist - car.sill), 0.0, 1.0),
        car.waist[0] - (car.waist[0] - edge[..., 0]) * over**car.tumble,
    )
    near = _ramp(60.0 + 12.0 - np.abs(x - car.hoop), 0.0, 12.0)
    wall = wall - car.post * near * (1.0 - _ramp(z, edge[..., 1] - 110.0, edge[..., 1] - 60.0))
    dented = np.exp(-(((x - car.hoop + car.dent[1]) / 160.0) ** 2) - ((z - car.sill) / 180.0) ** 2)
    wall = wall - np.where(y < 0.0, car.dent[0] * dented, 0.0)
    roof = edge[..., 1] + car.crown[0] * (1.0 - np.minimum(half / edge[..., 0], 1.2) ** car.crown[1])
    beside, under = wall - half, roof - z
    both = (beside < car.round) & (under < car.round)
    rounded = car.round - np.hypot(car.round - beside, car.round - under)
    d = np.where(both, rounded, np.minimum(beside, under))
    d = np.minimum(d, z - car.floor)
    d = np.minimum(d, np.maximum(z - car.sill, car.side - 60.0 - half))
    d = np.minimum(d, np.maximum(half - TUNNEL[0], z - TUNNEL[1]))
    if car.box[0] > 0.0:
        size = 1.0 - _ramp(x, car.corner[1][0] + 20.0, car.corner[1][0] + 140.0)
        box = np.maximum(edge[..., 0] - car.box[0] * size - half, edge[..., 1] - car.box[1] * size - z)
        d = np.where(size > 0.0, np.minimum(d, box), d)
    return d


def leaves(car: Car, start: np.ndarray, way: np.ndarray, *, far: float = 1400.0) -> np.ndarray:
    """How far (n,) along each unit way the first metal is met from a start inside (n, 3), mm."""
    steps = np.linspace(0.0, far, 121)
    at = start[:, None] + steps[:, None] * way[:, None]
    one = not way[:, 0].any() and not np.ptp(start[:, 0])  # all in one section: its edge is asked for once
    out = inside(car, start[0, 0] if one else at[..., 0], at[..., 1], at[..., 2]) <= 0.0
    first = np.where(out.any(axis=1), out.argmax(axis=1), len(steps) - 1)
    low, high = steps[np.maximum(first - 1, 0)], steps[first]
    for _ in range(20):
        middle = (low + high) / 2.0
        x, y, z = (start + middle[:, None] * way).T
        beyond = inside(car, start[0, 0] if one else x, y, z) <= 0.0
        low, high = np.where(beyond, low, middle), np.where(beyond, middle, high)
    return low


def section(car: Car, x: float, *, fine: int = 720) -> np.ndarray:
    """The left half's section (n, 2) half and up from the floor's middle round to the roof's."""
    middle = _middle(car, x)
    angle = np.linspace(-np.pi / 2.0, np.pi / 2.0, fine)
    way = np.stack([np.zeros(fine), -np.cos(angle), np.sin(angle)], axis=1)
    start = np.tile([x, 0.0, middle], (fine, 1))
    run = leaves(car, start, way)
    return np.stack([run * np.cos(angle), middle + run * np.sin(angle)], axis=1)


def _middle(car: Car, x: float) -> float:
    return (TUNNEL[1] + float(edge_at(car, np.array([x]))[0, 1])) / 2.0


@cache
def car_mesh(car: Car, triangles: int = 200_000) -> Mesh:
    """The shell with about that many triangles, doors and windows open, and what is welded to it."""
    columns = max(60, int(np.sqrt(triangles / 1.6)))
    rows = max(60, triangles // (2 * columns))
    x = np.linspace(car.corner[0][0] - 120.0, car.corner[-1][0], rows + 1)
    rounds = np.array([_round(car, float(v), columns + 1) for v in x])
    corners = np.concatenate([np.repeat(x[:, None, None], columns + 1, axis=1), rounds], axis=2)
    i, j = (v.ravel() for v in np.meshgrid(np.arange(rows), np.arange(columns), indexing="ij"))
    a = i * (columns + 1) + j
    b, c, d = a + 1, a + columns + 1, a + columns + 2
    faces = np.concatenate([np.stack([a, b, c], axis=1), np.stack([b, d, c], axis=1)])
    corners = corners.reshape(-1, 3)
    faces = faces[~_open(car, corners[faces].mean(axis=1))]
    return joined([(corners, faces), *(stuck_mesh(car, s) for s in car.stuck)])


def _round(car: Car, x: float, count: int) -> np.ndarray:
    """(count, 2) across and up all round the section from the left, closer together where it turns."""
    angle = np.linspace(-np.pi / 2.0, 1.5 * np.pi, 1600)
    way = np.stack([np.zeros(len(angle)), -np.cos(angle), np.sin(angle)], axis=1)
    middle = np.array([x, 0.0, _middle(car, x)])
    run = leaves(car, np.tile(middle, (len(angle), 1)), way)
    line = middle[1:] + run[:, None] * way[:, 1:]
    steps = np.diff(line, axis=0)
    turned = np.abs(np.diff(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))))
    along = np.r_[0.0, np.cumsum(np.hypot(*steps.T) + 60.0 * np.r_[0.0, np.minimum(turned, 1.6)])]
    even = np.linspace(0.0, along[-1], count)
    return np.stack([np.interp(even, along, line[:, k]) for k in (0, 1)], axis=1)


def _open(car: Car, middles: np.ndarray) -> np.ndarray:
    """Which places have no metal: doors, screen, rear side windows, and the holes of that car."""
    x, y, z = middles.T
    edge, half = edge_at(car, x), np.abs(y)
    front, rear, bottom, top = car.door
    side = half > 0.75 * edge[:, 0]
    door = (x > front) & (x < rear) & (z > bottom) & (z < np.minimum(top, edge[:, 1] - 60.0 - car.box[1]))
    door &= z < edge[:, 1] - 0.9 * car.round
    window = (x > rear + 160.0) & (z > car.waist[1] + 40.0) & (z < edge[:, 1] - 1.1 * car.round)
    screen = (x < car.corner[1][0] - 40.0) & (half < edge[:, 0] - 90.0 - car.box[0])
    screen &= z > np.maximum(edge[:, 1] - 60.0, car.corner[0][2])
    gone = (side & (door | window)) | screen
    for low, high in car.holes:
        gone |= ((middles > np.array(low)) & (middles < np.array(high))).all(axis=1)
    return gone


def stuck_mesh(car: Car, stuck: Stuck) -> Mesh:
    """The bar under the roof, or off the left side where its heights are given."""
    a, b = (np.array(p) for p in (stuck.line[0], stuck.line[-1]))
    at = a + np.linspace(0.0, 1.0, 25)[:, None] * (b - a)
    if a[2]:
        run = leaves(car, at, np.tile([0.0, -1.0, 0.0], (25, 1)))
        skin, into = at - run[:, None] * np.array([0.0, 1.0, 0.0]), np.array([0.0, 1.0, 0.0])
        wide = np.array([stuck.wide / 2.0, 0.0, 0.0])
    else:
        inner = at + np.array([0.0, 0.0, _middle(car, car.hoop)])
        run = leaves(car, inner, np.tile([0.0, 0.0, 1.0], (25, 1)))
        skin, into = inner + run[:, None] * np.array([0.0, 0.0, 1.0]), np.array([0.0, 0.0, -1.0])
        along = (b - a) / np.linalg.norm(b - a)
        wide = stuck.wide / 2.0 * np.cross(along, [0.0, 0.0, 1.0])
    ring = np.stack([
        skin - wide,
        skin - wide + stuck.deep * into,
        skin + wide + stuck.deep * into,
        skin + wide,
    ])
    return _tube(np.moveaxis(ring, 0, 1))


def _tube(rings: np.ndarray) -> Mesh:
    """Corners and faces of a bar by its rings (n, 4, 3), both ends closed, in facets of at most 12 mm."""
    n = len(rings)
    share = np.linspace(0.0, 1.0, 5)[:-1, None]
    fine = np.concatenate([
        rings[:, [k]] + share[None] * (rings[:, [(k + 1) % 4]] - rings[:, [k]]) for k in range(4)
    ], axis=1)  # fmt: skip
    m = fine.shape[1]
    i, j = (v.ravel() for v in np.meshgrid(np.arange(n - 1), np.arange(m), indexing="ij"))
    a, b = i * m + j, i * m + (j + 1) % m
    sides = [np.stack([a, b, a + m], axis=1), np.stack([b, b + m, a + m], axis=1)]
    ring, middles = np.arange(m), np.stack([fine[0].mean(axis=0), fine[-1].mean(axis=0)])
    ends = [np.stack([np.full(m, n * m + k), s + ring, s + (ring + 1) % m], axis=1)
            for k, s in enumerate((0, (n - 1) * m))]  # fmt: skip
    return np.concatenate([fine.reshape(-1, 3), middles]), np.concatenate([*sides, *ends])


def joined(parts: list[Mesh]) -> Mesh:
    """Several meshes as one."""
    starts = np.cumsum([0, *(len(c) for c, _ in parts)])
    return (
        np.concatenate([c for c, _ in parts]),
        np.concatenate([f + s for (_, f), s in zip(parts, starts, strict=False)]),
    )


# --- what a tape reads


def has_box(car: Car) -> bool:
    """Whether the pillar's box stands out of the round of its corner, so that its edge can be marked."""
    size = min(car.box)
    return size > 0.0 and (car.round <= size or car.round - np.hypot(*(car.round - np.array(car.box))) > 0.5)


def deepest(car: Car, x: float) -> np.ndarray:
    """The deepest place (2,) behind a stick at 45 degrees across the corner; of a box, its edge."""
    if has_box(car) and x <= car.corner[1][0] + 20.0:
        return edge_at(car, np.array([x]))[0] - np.array(car.box)
    line = section(car, x, fine=2400)
    return line[int(np.argmax(line.sum(axis=1)))]


def on_side(car: Car, x: float, up: float, sign: float = -1.0) -> float:
    """Half width of the side at a height on the left (-1) or right (1), mm."""
    start, way = np.array([[x, sign * 300.0, up]]), np.array([[0.0, sign, 0.0]])
    return 300.0 + float(leaves(car, start, way)[0])


def on_roof(car: Car, x: float, half: float) -> float:
    """Height of the roof's inner skin, mm."""
    start = np.array([[x, -half, _middle(car, x)]])
    return float(start[0, 2] + leaves(car, start, np.array([[0.0, 0.0, 1.0]]))[0])


def marks(car: Car) -> dict[str, np.ndarray]:
    """The survey's points in the car's axes, both sides."""
    h, base, top = car.hoop, car.corner[0][0] + 40.0, car.corner[1][0]
    rail, upper = (top + h) / 2.0, float(deepest(car, h)[1]) - 150.0
    heights = {"sill_side": car.sill + 100.0, "waist": car.waist[1], "upper_side": upper,
               "side_mid": (car.waist[1] + upper) / 2.0}  # fmt: skip
    corners = {"cant_rail": h, "pillar_base": base, "pillar_mid": (base + top) / 2.0, "pillar_top": top,
               "rail_mid": rail}  # fmt: skip
    found: dict[str, np.ndarray] = {}
    for side, sign in (("left", -1.0), ("right", 1.0)):
        for name, up in heights.items():
            found[f"{name}_{side}"] = np.array([h, sign * on_side(car, h, up, sign), up])
        for name, x in corners.items():
            half, up = deepest(car, x)
            found[f"{name}_{side}"] = np.array([x, sign * half, up])
        for name, (x, half, up) in (("front_foot", car.foot), ("turret", car.turret)):
            found[f"{name}_{side}"] = np.array([x, sign * half, up])
        found[f"roof_{side}"] = np.array([h, sign * 300.0, on_roof(car, h, 300.0)])
    for name, x in (("header", top), ("roof_mid", rail), ("roof_centre", h)):
        found[name] = np.array([x, 0.0, on_roof(car, x, 0.0)])
    found["dash"] = np.array([car.dash[0], 0.0, car.dash[1]])
    for name, (x, half, up) in (("hip", car.hip), ("helmet", car.helmet)):
        found[name] = np.array([x, -half, up])
    found["eye"] = found["helmet"] + np.array([-100.0, 0.0, 25.0])
    return found


def car_survey(car: Car, *, noise: float = 0.0, seed: int = 1, **more):
    """The readings a careful man takes on the shell, each out by ``noise`` mm at random (1 sd)."""
    read = taped(marks(car), hoop=car.hoop, sill=car.sill, floor=car.floor, door=car.door)
    given = {"car": {"mass": car.mass, "body": car.kind, "rules": ["fia-253-2009"],
                     "pillars": "edge" if has_box(car) else "corner"}}  # fmt: skip
    return survey_of(car.name, read, noise=noise, seed=seed, **{**given, **more})


# --- as a phone would scan it


def scanned(
    mesh: Mesh, *, noise: float = 2.0, holes: float = 0.06, bits: int = 40, turned: float = 20.0,
    per: float = 1.0, seed: int = 1,
) -> Mesh:  # fmt: skip
    """The mesh as a phone brings it home.

    Args:
        mesh: in the car's axes, mm.
        noise: of each corner, standard deviation, mm.
        holes: share of the triangles missing, in patches of about 60 mm.
        bits: loose pieces of a few mm that float in the cabin.
        turned: about all three axes, deg; it also stands some metres off.
        per: mm of one unit of the file: 1000 for metres.
        seed: of the random numbers.
    """
    corners, faces = mesh
    rng = np.random.default_rng(seed)
    corners = corners + rng.normal(0.0, noise, corners.shape)
    middles, gone = corners[faces].mean(axis=1), np.zeros(len(faces), dtype=bool)
    while gone.mean() < holes:
        at = middles[int(rng.integers(len(middles)))]
        gone |= np.linalg.norm(middles - at, axis=1) < rng.uniform(20.0, 60.0)
    low, high = corners.min(axis=0) + 200.0, corners.max(axis=0) - 200.0
    loose = [(rng.uniform(low, high) + rng.normal(0.0, 4.0, (4, 3)), np.array([[0, 1, 2], [1, 3, 2]]))
             for _ in range(bits)]  # fmt: skip
    corners, faces = joined([(corners, faces[~gone]), *loose])
    return carried(corners, turned=turned) / per, faces


def carried(places: np.ndarray, *, turned: float = 20.0) -> np.ndarray:
    """Where a phone that was switched on some metres off, turned about all three axes (deg), has places."""
    a = np.radians(turned)
    c, s = np.cos(a), np.sin(a)
    turn = np.array([[1, 0, 0], [0, c, -s], [0, s, c]]) @ np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
    return places @ turn.T + np.array([2500.0, -900.0, 1400.0])
