"""Invented body shells from a few figures: the surface as a mesh, and the readings a tape would take on it.

The shell is lofted along the car: at every distance back the section is a floor, a sill, a leaning side, a
round corner and a bowed roof. Ahead of the header the corner is the screen pillar and the roof the screen.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from cagewright.plan.survey import SurveyDriver, SurveyFile


@dataclass(frozen=True, kw_only=True)
class Body:
    """A shell by its left side, mm; half widths are positive.

    ``corner`` is the line that side and roof would meet in without a round: (back, half, up) from the
    pillar's foot over its top and the rail to the rear window's foot. ``skew`` moves the right side
    out by that much.
    """

    name: str
    hoop: float
    floor: float
    sill: float
    side: float  # half width of the side wall at the sill
    waist: tuple[float, float]
    corner: tuple[tuple[float, float, float], ...]
    crown: float
    round: float  # radius of the corner in the section
    foot: tuple[float, float, float]
    turret: tuple[float, float, float]
    door: tuple[float, float, float, float]
    hip: tuple[float, float, float]
    helmet: tuple[float, float, float]
    dash: tuple[float, float]
    mass: float
    kind: str
    skew: float = 0.0
    raised: float = 0.0


SALOON = Body(
    name="Brackwater two-door saloon", hoop=1580.0, floor=130.0, sill=210.0, side=700.0, waist=(690.0, 780.0),
    corner=((420.0, 716.0, 800.0), (985.0, 592.0, 1222.0), (1300.0, 573.0, 1258.0), (1600.0, 563.0, 1268.0),
            (1950.0, 560.0, 1245.0), (2550.0, 585.0, 880.0)),
    crown=34.0, round=150.0, foot=(520.0, 570.0, 190.0), turret=(2300.0, 520.0, 590.0),
    door=(560.0, 1560.0, 250.0, 1190.0), hip=(1210.0, 330.0, 265.0), helmet=(1395.0, 330.0, 915.0),
    dash=(640.0, 700.0), mass=1080.0, kind="two-door saloon",
)  # fmt: skip
HATCH = Body(
    name="Pellworth small hatchback", hoop=1460.0, floor=150.0, sill=230.0, side=655.0, waist=(648.0, 820.0),
    corner=((300.0, 668.0, 850.0), (850.0, 556.0, 1330.0), (1170.0, 532.0, 1362.0), (1480.0, 520.0, 1366.0),
            (1900.0, 512.0, 1335.0), (2450.0, 540.0, 950.0)),
    crown=40.0, round=170.0, foot=(400.0, 525.0, 200.0), turret=(2150.0, 480.0, 600.0),
    door=(440.0, 1440.0, 270.0, 1290.0), hip=(1100.0, 310.0, 300.0), helmet=(1270.0, 310.0, 955.0),
    dash=(520.0, 730.0), mass=890.0, kind="three-door hatchback",
)  # fmt: skip
COUPE = Body(
    name="Strandmere long coupe", hoop=1730.0, floor=115.0, sill=195.0, side=735.0, waist=(722.0, 740.0),
    corner=((430.0, 748.0, 760.0), (1110.0, 600.0, 1172.0), (1430.0, 578.0, 1205.0), (1750.0, 566.0, 1208.0),
            (2150.0, 560.0, 1170.0), (2950.0, 590.0, 820.0)),
    crown=28.0, round=140.0, foot=(560.0, 605.0, 180.0), turret=(2550.0, 540.0, 560.0),
    door=(620.0, 1710.0, 235.0, 1140.0), hip=(1330.0, 350.0, 225.0), helmet=(1535.0, 350.0, 850.0),
    dash=(700.0, 660.0), mass=1290.0, kind="two-door coupe",
)  # fmt: skip
BODIES = {"saloon": SALOON, "hatchback": HATCH, "coupe": COUPE}
SOFT = 20.0
"""Half the length over which the corner's line rounds its kinks, mm."""


def raised(body: Body, h: float) -> Body:
    """The body with everything above its waist ``h`` mm higher."""
    corner = ((body.corner[0]), *((x, y, z + h) for x, y, z in body.corner[1:-1]), body.corner[-1])
    front, rear, bottom, top = body.door
    return replace(body, corner=corner, raised=body.raised + h, door=(front, rear, bottom, top + h))


def corner_line(body: Body, x: np.ndarray) -> np.ndarray:
    """Where side and roof would meet, (n, 2) half and up, at the distances back (n,)."""
    x = np.asarray(x, dtype=float)
    knots = np.array(body.corner)
    shift = np.linspace(-SOFT, SOFT, 13)[:, None]
    return np.stack([np.interp(x + shift, knots[:, 0], knots[:, i]).mean(axis=0) for i in (1, 2)], axis=1)


def waist_line(body: Body, x: np.ndarray) -> np.ndarray:
    """Half and up (n, 2) of the waist; under the pillar it keeps below the corner."""
    edge = corner_line(body, x)
    up = np.minimum(body.waist[1], edge[:, 1] - 250.0)
    return np.stack([np.full(len(up), body.waist[0]), up], axis=1)


def crown_at(body: Body, x: np.ndarray) -> np.ndarray:
    """How far the roof or screen stands over its corners on the centre line, mm."""
    return np.interp(
        x, [body.corner[0][0], body.corner[1][0], body.hoop], [25.0, 0.75 * body.crown, body.crown]
    )


def section(body: Body, x: float, *, fine: int = 60) -> np.ndarray:
    """The section's line (n, 2) half and up, from the floor's middle out, up and in to the roof's middle."""
    edge, waist = corner_line(body, np.array([x]))[0], waist_line(body, np.array([x]))[0]
    crown = float(crown_at(body, np.array([x]))[0])
    up = unit(edge - waist)
    across = unit(np.array([-edge[0], 2.0 * crown]))  # along the roof's tangent at its edge, inward
    turn = math.acos(float(np.clip(up @ across, -1.0, 1.0)))
    back = min(body.round * math.tan(turn / 2.0), 0.8 * float(np.hypot(*(edge - waist))), 0.5 * edge[0])
    radius = back / math.tan(turn / 2.0)
    first, last = edge - back * up, edge + back * across
    normal = unit(across - (across @ up) * up)
    centre = first + radius * normal
    a = np.linspace(0.0, turn, max(fine // 3, 8))[:, None]
    arc = centre + radius * (np.sin(a) * up - np.cos(a) * normal)
    y = np.linspace(last[0], 0.0, fine)[1:]
    roof = np.stack([y, edge[1] + crown * (1.0 - (y / edge[0]) ** 2)], axis=1)
    low = [
        (0.0, body.floor),
        (body.side - 60.0, body.floor),
        (body.side - 60.0, body.sill),
        (body.side, body.sill),
    ]
    return np.concatenate([np.array(low), evenly(np.array([(body.side, body.sill), waist]), 14)[1:],
                           evenly(np.array([waist, first]), 14)[1:], arc[1:], roof])  # fmt: skip


def unit(v: np.ndarray) -> np.ndarray:
    return v / np.hypot(*v)


def evenly(line: np.ndarray, count: int) -> np.ndarray:
    """The polyline at ``count`` even steps of its length."""
    run = np.r_[0.0, np.cumsum(np.hypot(*np.diff(line, axis=0).T))]
    at = np.linspace(0.0, run[-1], count)
    return np.stack([np.interp(at, run, line[:, i]) for i in (0, 1)], axis=1)


def deepest(body: Body, x: float) -> np.ndarray:
    """The deepest place (2,) half and up behind a stick laid at 45 degrees across the corner."""
    line = section(body, x, fine=900)
    return line[int(np.argmax(line.sum(axis=1)))]


def on_side(body: Body, x: float, up: float) -> float:
    """Half width of the side wall at a height, mm."""
    line = section(body, x, fine=240)[3:]
    stop = int(np.argmax(line[:, 1]))
    return float(np.interp(up, line[: stop + 1, 1], line[: stop + 1, 0]))


def on_roof(body: Body, x: float, half: float) -> float:
    """Height of the roof's inner skin, mm."""
    line = section(body, x, fine=240)[4:]
    high = line[line[:, 1] > corner_line(body, np.array([x]))[0][1] - 100.0]
    return float(np.interp(half, high[::-1, 0], high[::-1, 1]))


def mesh(body: Body, triangles: int = 40_000) -> tuple[np.ndarray, np.ndarray]:
    """Corners (n, 3) mm and faces (m, 3) of the shell with about that many triangles, doors open."""
    columns = max(24, int(math.sqrt(triangles / 4.0)))
    rows = max(24, triangles // (4 * columns))
    x = np.linspace(body.corner[0][0] - 130.0, body.corner[-1][0], rows + 1)
    half = np.stack([_spread(section(body, float(v)), columns + 1) for v in x])
    right = half.copy()
    right[:, :, 0] += body.skew * np.clip(right[:, :, 0] / 300.0, 0.0, 1.0)
    sides = [_grid(x, half, -1.0), _grid(x, right, 1.0)]
    faces = [f + i * len(sides[0][0]) for i, (_, f) in enumerate(sides)]
    corners, faces = np.concatenate([c for c, _ in sides]), np.concatenate(faces)
    return corners, faces[~_in_door(body, corners[faces].mean(axis=1))]


def _spread(line: np.ndarray, count: int) -> np.ndarray:
    """The section at ``count`` places, its own sharp corners kept."""
    kept = line[:4]
    return np.concatenate([kept, evenly(line[3:], count - 3)[1:]])


def _grid(x: np.ndarray, lines: np.ndarray, sign: float) -> tuple[np.ndarray, np.ndarray]:
    n, m = lines.shape[:2]
    corners = np.stack([np.repeat(x, m).reshape(n, m), sign * lines[:, :, 0], lines[:, :, 1]], axis=2)
    i, j = (v.ravel() for v in np.meshgrid(np.arange(n - 1), np.arange(m - 1), indexing="ij"))
    a, b, c, d = i * m + j, i * m + j + 1, (i + 1) * m + j, (i + 1) * m + j + 1
    faces = np.concatenate([np.stack([a, b, c], axis=1), np.stack([b, d, c], axis=1)])
    return corners.reshape(-1, 3), faces


def _in_door(body: Body, middles: np.ndarray) -> np.ndarray:
    front, rear, bottom, top = body.door
    x, y, z = middles.T
    edge = corner_line(body, x)
    under = np.minimum(top - 30.0, edge[:, 1] - 1.3 * body.round)
    return (x > front) & (x < rear) & (z > bottom) & (z < under) & (np.abs(y) > edge[:, 0] * 0.6)


# --- what a tape reads


def survey(body: Body, *, noise: float = 0.0, seed: int = 1, moved: dict | None = None, **more) -> SurveyFile:
    """The readings a careful man takes on the shell, each out by ``noise`` mm at random (1 sd)."""
    given = {"car": {"mass": body.mass, "body": body.kind, "rules": ("fia-253-2009",)}}
    return survey_of(body.name, readings(body, moved), noise=noise, seed=seed, **{**given, **more})


def survey_of(name: str, read: dict, *, noise: float, seed: int, **more) -> SurveyFile:
    """The survey file of some readings, each out by ``noise`` mm at random (1 sd)."""
    rng = np.random.default_rng(seed)
    read = {name: dict(parts) for name, parts in read.items()}
    if noise:
        for parts in read.values():
            for part, values in parts.items():
                parts[part] = tuple(v if v < 2.0 else v + float(rng.normal(0.0, noise)) for v in values)
    said = {name: _said(parts) for name, parts in read.items()}
    given = {
        "cagewright_survey": 1, "title": f"{name}, first layout", "datum": "front axle line, level stands",
        "driver": SurveyDriver(side="left", stature=1790.0, helmet=300.0), "readings": said,
    }  # fmt: skip
    return SurveyFile(**{**given, **more})


def _said(parts):
    def plain(values):
        return [f"{v!r} rad" if abs(v) < 2.0 else round(v, 3) for v in values]

    said = {part: plain(v)[0] if len(v) == 1 else plain(v) for part, v in parts.items()}
    return said.get("", said)


def points(body: Body) -> dict[str, tuple[float, float, float]]:
    """The survey's points on the shell, left half widths positive; the driver's with their half too."""
    h = body.hoop
    rail = (body.corner[1][0] + h) / 2.0
    upper = deepest(body, h)[1] - 150.0
    top, base = body.corner[1][0], body.corner[0][0] + 40.0
    at = lambda x: (x, *map(float, deepest(body, x)))  # noqa: E731
    return {
        "sill_side": (h, on_side(body, h, body.sill + 100.0), body.sill + 100.0),
        "waist": (h, on_side(body, h, body.waist[1]), body.waist[1]),
        "upper_side": (h, on_side(body, h, upper), upper),
        "side_mid": (h, on_side(body, h, (body.waist[1] + upper) / 2.0), (body.waist[1] + upper) / 2.0),
        "cant_rail": at(h), "front_foot": body.foot, "pillar_base": at(base), "pillar_top": at(top),
        "pillar_mid": at((base + top) / 2.0),
        "rail_mid": at(rail), "turret": body.turret,
        "header": (top, 0.0, on_roof(body, top, 0.0)), "roof_mid": (rail, 0.0, on_roof(body, rail, 0.0)),
        "roof_centre": (h, 0.0, on_roof(body, h, 0.0)), "dash": (body.dash[0], 0.0, body.dash[1]),
        "hip": body.hip, "helmet": body.helmet,
        "eye": (body.helmet[0] - 100.0, body.helmet[1], body.helmet[2] + 25.0),
    }  # fmt: skip


def placed(body: Body) -> dict[str, np.ndarray]:
    """The survey's points in the car's axes, both sides."""
    found: dict[str, np.ndarray] = {}
    for name, (x, half, z) in points(body).items():
        if half == 0.0 or name in ("hip", "helmet", "eye"):
            found[name] = np.array([x, -half, z])
        else:
            found[f"{name}_left"] = np.array([x, -half, z])
            found[f"{name}_right"] = np.array([x, half + body.skew, z])
    for side, half in (("left", -300.0), ("right", 300.0)):
        up = on_roof(body, body.hoop, 300.0 - (body.skew if side == "right" else 0.0))
        found[f"roof_{side}"] = np.array([body.hoop, half, up])
    return found


TUNNEL = (110.0, 330.0)
"""Half width and height of every body's tunnel, mm."""


def levels(*, sill: float, floor: float, door: tuple[float, ...]) -> dict[str, np.ndarray]:
    """The heights and edges that are no places, as the survey counts them: one coordinate, the rest 0."""
    front, rear, bottom, top = door
    said = {"tunnel": (0.0, *TUNNEL)} | {
        f"sill_{part}": (0.0, 0.0, sill) for part in ("front", "middle", "rear")
    }
    for side in ("left", "right"):
        said[f"floor_{side}"] = (0.0, 0.0, floor)
        said |= {f"door_{n}_{side}": (x, 0.0, 0.0) for n, x in (("front", front), ("rear", rear))}
        said |= {f"door_{n}_{side}": (0.0, 0.0, z) for n, z in (("bottom", bottom), ("top", top))}
    return {name: np.array(p) for name, p in said.items()}


def readings(body: Body, moved: dict | None = None) -> dict[str, dict[str, tuple[float, ...]]]:
    """Every reading of the survey, exact; as if some marks stood elsewhere where ``moved`` says so."""
    where = placed(body) | levels(sill=body.sill, floor=body.floor, door=body.door) | (moved or {})
    both = taped(where, hoop=body.hoop, sill=body.sill, floor=body.floor, door=body.door)
    lean = np.array(points(body)["pillar_top"]) - np.array(points(body)["pillar_base"])
    return both | {"pillar_lean": dict.fromkeys(("left", "right"), (math.atan2(lean[0], lean[2]),))}


def taped(
    where: dict[str, np.ndarray], *, hoop: float, sill: float, floor: float, door: tuple[float, ...]
) -> dict[str, dict[str, tuple[float, ...]]]:
    """Every reading of a survey, exact, by where the marks are (3,), both sides."""
    from cagewright.plan.readings import reading_rows

    where = levels(sill=sill, floor=floor, door=door) | {"hoop_station": np.array([hoop, 0.0, 0.0])} | where
    axes = {"back": 0, "half": 1, "up": 2}
    both = {row.id: {} for row in reading_rows()}
    for row in reading_rows():
        for k, part in enumerate(row.parts or ("",)):
            if row.between:
                a, b = row.between[k]
                both[row.id][part] = (float(np.linalg.norm(where[a] - where[b])),)
            elif row.sums:
                both[row.id][part] = (float(sum(f * where[p][axes[w]] for p, w, f in row.sums[k])),)
            elif row.point and not (row.only or row.each):
                x, y, z = where[f"{row.point}_{part}" if part else row.point]
                each = {"back": x, "half": abs(y), "up": z}
                both[row.id][part] = tuple(float(each[v]) for v in row.values)
    for side in ("left", "right"):
        lean = where[f"pillar_top_{side}"] - where[f"pillar_base_{side}"]
        both["pillar_lean"][side] = (math.atan2(lean[0], lean[2]),)
    both["hoop_station"] = {"": (hoop,)}
    both["sill_height"] = {"front": (sill,), "middle": (sill,), "rear": (sill,)}
    both["floor_height"] = {"left": (floor,), "right": (floor,)}
    both["door"] = dict.fromkeys(("left", "right"), door)
    both["tunnel"] = {"": TUNNEL}
    both["back_angle"] = {"": (math.radians(22.0),)}
    both["back_offset"] = {"": (500.0 * math.sin(math.radians(22.0)),)}
    return both


def without(file: SurveyFile, *names: str) -> SurveyFile:
    """The survey of a man who did not take those readings, nor anything that is taped to their marks."""
    from cagewright.plan.readings import parts_of, points_of, reading_rows, row_named

    gone = {p for n in names for part in parts_of(row_named(n)) for p in points_of(row_named(n), part)}
    kept = {name: dict(parts) for name, parts in file.readings.items() if name not in names}
    for row in reading_rows():
        for k, part in enumerate(row.parts):
            ends = (
                set(row.between[k]) if row.between else {p for p, _, _ in row.sums[k]} if row.sums else set()
            )
            if ends & gone:
                kept.get(row.id, {}).pop(part, None)
    if "back_angle" in names:
        kept.pop("back_offset", None)
    return file.model_copy(update={"readings": {n: p for n, p in kept.items() if p}})


# --- how close a cage came to the shell


def gaps(body: Body, shell, member, *, past: float) -> np.ndarray:
    """Gaps (n,) mm from a tube's outside to the mesh, every 5 mm along pillar, rail, roof and side.

    Args:
        body: the shell.
        shell: its mesh.
        member: of the resolved cage.
        past: heights up to this, mm, and what is ahead of the pillar are left out; -inf leaves out nothing.
    """
    from cagewright.shape.clearance import points_at
    from cagewright.shape.mesh import nearest

    where = points_at(member.path, np.arange(0.0, member.path.length, 5.0))
    if np.isfinite(past):
        where = where[(where[:, 2] > past) & (where[:, 0] > points(body)["pillar_base"][0])]
    return nearest(shell, where).away - member.tube.od / 2.0
