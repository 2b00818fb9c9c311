"""The straight tubes between hoop and legs: header, backstays, diagonals, doorbars, roof, dash, harness."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np

from cagewright.base.vectors import Vector, unit
from cagewright.draft.outline import Outline, both_sides, missing, named_point, whole
from cagewright.plan.types import PersonEntry
from cagewright.shape.seated import seated_parts

BELOW_SHOULDER = 50.0
"""The harness bar's axis under the top of the shoulder, mm: common practice, no source."""
TOP_DOORBAR = 508.0
"""The top doorbar over the floor, mm: common practice, no source."""
OVER_SILL = 60.0
"""The lowest doorbar over the sill's foot, mm (ours)."""
APART = 118.0
"""Least between the axes of two doorbars, mm (ours: room for a hand and a weld)."""
DASH_APART = 65.0
"""Least between the dash bar's axis and the top doorbar's at the leg, mm (ours)."""
BRACE_BACK = 0.6
"""How far back a pillar brace's lower end stands, of the leg's run along the pillar (ours: so far that a
torch gets into the crotch at its upper end, and still ahead of the way out)."""
V_APART = 160.0
"""Half way between the roof bars' ends at the hoop, mm (ours: less, and a torch does not get over them)."""
UNDER_BEND = 94.0
"""A pillar brace starts this far below the leg's bend at the header, mm (ours: books remembered ask 100)."""


def infill(outline: Outline) -> None:
    """Lays out every straight member that the survey and the wishes allow."""
    wishes = outline.file.wishes
    _header(outline)
    _backstays(outline)
    _diagonals(outline)
    if wishes.harness_bar:
        _harness(outline)
    bars = _doorbars(outline)
    if wishes.dash_bar:
        _dash(outline, bars)
    if wishes.pillar_braces:
        _braces(outline, bars)
    _roof(outline)
    _gussets(outline)


def _add(outline: Outline, name: str, role: str, path: list[Any], comment: str = "") -> None:
    outline.members[name] = {"role": role, "tube": "bar", "path": path}
    if comment:
        outline.comments["members", name] = comment


def _pair(
    outline: Outline, name: str, role: str, left: list[Any], right: list[Any], comment: str = ""
) -> None:
    entry = {"role": role, "tube": "bar"}
    both_sides(outline, name, {**entry, "path": left}, {**entry, "path": right})
    if comment:
        outline.comments["members", f"{name}_left"] = comment


def _named(bar: Any, name: str) -> Vector | None:
    return bar.places[bar.names.index(name)] if name in bar.names else None


def _corner(outline: Outline) -> float:
    """Half width of the hoop's corners, the narrower side, mm."""
    corners = (_named(bar, "hoop_corner") for bar in (outline.hoop.left, outline.hoop.right))
    return min(abs(float(c[1])) for c in corners if c is not None)


def _whole(value: float) -> float:
    return float(round(value))


def _header(outline: Outline) -> None:
    if not outline.legs:
        return
    ends = {s: _named(leg, "header_bend") for s, leg in outline.legs.items()}
    path = [{"on": f"front_leg_{s}", "back": _whole(float(p[0]))} for s, p in ends.items() if p is not None]
    _add(outline, "header_bar", "transverse member", path, "across under the header, between the legs' bends")


def _backstays(outline: Outline) -> None:
    points = outline.car.points
    feet = [points.get(f"turret_{side}") for side in ("left", "right")]
    left, right = feet
    if left is None or right is None:
        missing(outline, "backstays")
        return
    across = _whole(_corner(outline) - 55.0)
    names = named_point(outline, "stay_foot", left, right)
    area = outline.limits.stay_area
    foot: dict[str, Any] = {"on": "turret", "plate": [100.0, max(80.0, area / 100.0), 3.0]}
    foot |= {"bolts": {"count": outline.limits.bolts[1], "size": 8.0}} if outline.limits.bolts[1] else {}
    lean = [[-0.4, sign * 0.1, 0.9] for sign in (1.0, -1.0)]
    feet_in = [{"at": n, **foot, "normal": normal} for n, normal in zip(names, lean, strict=True)]
    both_sides(outline, "stay_foot", feet_in[0], feet_in[1])
    paths = [
        [{"on": "main_hoop", "across": sign * across}, {"foot": f"stay_foot_{side}"}]
        for side, sign in (("left", -1.0), ("right", 1.0))
    ]
    _pair(outline, "backstay", "backstay", paths[0], paths[1], _stay_words(outline, left))


def _stay_words(outline: Outline, foot: Vector) -> str:
    top = float(outline.hoop.left.places[-1][2])
    way = np.array([float(foot[0]) - (outline.car.station or 0.0), 0.0, top - float(foot[2])])
    angle = float(np.degrees(np.arctan2(way[0], way[2])))
    if np.radians(angle) < outline.limits.stay_angle:
        least = float(np.degrees(outline.limits.stay_angle))
        outline.said.append(
            f"the backstays stand {angle:.0f} deg from the vertical, the rule book asks {least:.0f}: find "
            "feet further back"
        )
    return f"straight, {angle:.0f} deg from the vertical in side view"


def _diagonals(outline: Outline) -> None:
    driver = -1.0 if outline.file.driver.side == "left" else 1.0
    other = "right" if driver < 0.0 else "left"
    low = _whole((outline.car.sill or 0.0) + 75.0)
    top = _whole(_corner(outline) - 105.0)
    own = "left" if driver < 0.0 else "right"
    path: list[Any] = [
        {"on": "main_hoop", "side": other, "up": low},
        {"on": "main_hoop", "across": driver * top},
    ]
    _add(outline, "diagonal_hoop", "diagonal", path, "its top on the driver's side")
    if outline.file.wishes.diagonals == 2:
        foot = min(abs(float(bar.places[0][1])) for bar in (outline.hoop.left, outline.hoop.right))
        # where two arms cross, as a share of the way from the lower end: in the middle of the car
        on = {"on": "diagonal_hoop", "part": round(foot / (foot + top), 4)}
        _add(outline, "diagonal_lower", "diagonal", [{"on": "main_hoop", "side": own, "up": low}, on])
        _add(outline, "diagonal_upper", "diagonal", [on, {"on": "main_hoop", "across": -driver * top}])
    if outline.file.wishes.rear == "diagonal" and "backstay_left" in outline.members:
        foot = outline.car.points[f"turret_{own}"]
        high = _whole(float(outline.hoop.left.places[-1][2]) - 120.0)
        path = [
            {"on": f"backstay_{other}", "up": high},
            {"on": f"backstay_{own}", "up": _whole(float(foot[2]) + 100.0)},
        ]
        _add(outline, "diagonal_rear", "diagonal", path)


def _harness(outline: Outline) -> None:
    hip = outline.car.points.get("hip")
    if hip is None:
        missing(outline, "harness bar")
        return
    own, other = ("left", "right") if outline.file.driver.side == "left" else ("right", "left")
    up = _whole(_shoulder(outline, hip) - BELOW_SHOULDER)
    below = whole(outline, BELOW_SHOULDER)
    words = f"carries both shoulder belts; {below} below the reckoned shoulder: measure it"
    two = "diagonal_hoop" in outline.members and outline.file.wishes.diagonals == 1
    if not two:
        path = [{"on": "main_hoop", "side": s, "up": up} for s in ("left", "right")]
        if outline.file.wishes.diagonals == 1:
            _add(outline, "harness_bar", "harness bar", path, words)
        else:
            outline.said.append("no harness bar: it would cross both diagonals; lay it out by hand")
        return
    near = [{"on": "main_hoop", "side": own, "up": up}, {"on": "diagonal_hoop", "up": up}]
    far = [{"on": "diagonal_hoop", "up": up}, {"on": "main_hoop", "side": other, "up": up}]
    _add(outline, f"harness_bar_{own}", "harness bar", near, words)
    _add(outline, f"harness_bar_{other}", "harness bar", far)


def _shoulder(outline: Outline, hip: Vector) -> float:
    """Height of the top of the driver's shoulder, mm, reckoned from hip, lean and stature."""
    at = (float(hip[0]), float(hip[1]), float(hip[2]))
    lean = {} if outline.car.back_angle is None else {"back_angle": f"{outline.car.back_angle} rad"}
    who = PersonEntry.model_validate({"hip": at, "stature": outline.file.driver.stature, **lean})
    part = next(p for p in seated_parts(who) if p.name == "shoulder")
    return float(part.one[2]) + part.radius


def _doorbars(outline: Outline) -> dict[str, float]:
    """Lays out the doorbars; their heights by name, lowest first."""
    span, sill = outline.car.doors.get("left"), outline.car.sill
    if not outline.legs or span is None or sill is None:
        missing(outline, "doorbars")
        return {}
    heights = doorbar_heights(outline, span[2], span[3])
    if outline.file.wishes.door == "X":
        _crossed(outline, heights[0], heights[-1])
        return {}
    names = {1: ("mid",), 2: ("low", "top"), 3: ("low", "mid", "top"), 4: ("sill", "low", "mid", "top")}
    bars = dict(zip(names[len(heights)], heights, strict=True))
    for name, up in bars.items():
        paths = [_level(side, up, up) for side in ("left", "right")]
        _pair(outline, f"doorbar_{name}", "doorbar", paths[0], paths[1], _door_words(outline, name, up))
    return bars


def doorbar_heights(outline: Outline, bottom: float, top: float) -> list[float]:
    """Heights of the doorbars' axes from the lowest up, mm, so that nobody has to climb over them.

    The top one stands where the rule book's share of the opening, the trade's height over the floor and the
    leg's bend let it, whichever is lowest; the rest are spread below it.
    """
    count = 2 if outline.file.wishes.door == "X" else outline.file.wishes.doorbars
    bends = (_named(leg, "pillar_bend") for leg in outline.legs.values())
    bend = min((float(b[2]) for b in bends if b is not None), default=top)
    floor = outline.car.floor if outline.car.floor is not None else (outline.car.sill or 0.0) - 80.0
    high = min(bottom + outline.limits.door_share * (top - bottom) - 20.0, floor + TOP_DOORBAR, bend - 150.0)
    low = (outline.car.sill or 0.0) + OVER_SILL
    fits = max(1, min(count, 1 + int((high - low) / APART)))
    if fits < count:
        outline.said.append(
            f"only {fits} of {count} doorbars fit below {whole(outline, high)} with room between them"
        )
    return [
        _whole(h) for h in (np.linspace(low, high, fits) if fits > 2 else (high - 200.0, high)[2 - fits :])
    ]


def _door_words(outline: Outline, name: str, up: float) -> str:
    floor = outline.car.floor
    return "" if floor is None or name != "top" else f"{whole(outline, up - floor)} over the floor"


def _level(side: str, front: float, rear: float) -> list[Any]:
    return [{"on": f"front_leg_{side}", "up": front}, {"on": "main_hoop", "side": side, "up": rear}]


def _crossed(outline: Outline, low: float, high: float) -> None:
    """Two doorbars that cross: one in one piece, the other in two halves cut on it."""
    whole = [_level(side, low, high) for side in ("left", "right")]
    _pair(outline, "doorbar_whole", "doorbar", whole[0], whole[1], "in one piece; the other arm is cut on it")
    ends = [
        (_level(side, high, low), {"on": f"doorbar_whole_{side}", "part": 0.5}) for side in ("left", "right")
    ]
    _pair(outline, "doorbar_front", "doorbar", [ends[0][0][0], ends[0][1]], [ends[1][0][0], ends[1][1]])
    _pair(outline, "doorbar_rear", "doorbar", [ends[0][1], ends[0][0][1]], [ends[1][1], ends[1][0][1]])


def _dash(outline: Outline, bars: dict[str, float]) -> None:
    if not outline.legs or outline.car.dash is None:
        missing(outline, "dash bar")
        return
    up = outline.car.dash[1]
    taken = [*bars.values()] or [0.0]
    nearest = min(taken, key=lambda h: abs(h - up))
    if abs(nearest - up) < DASH_APART:
        up = nearest + DASH_APART
    bends = (_named(leg, "pillar_bend") for leg in outline.legs.values())
    bend = min(float(b[2]) for b in bends if b is not None)
    up = min(up, bend - 90.0)
    path = [{"on": f"front_leg_{side}", "up": _whole(up)} for side in ("left", "right")]
    _add(outline, "dash_bar", "dash bar", path)


def _braces(outline: Outline, bars: dict[str, float]) -> None:
    if "top" not in bars:
        return
    ends: list[list[Any]] = []
    back = 0.0
    for side, leg in outline.legs.items():
        low, high = _named(leg, "pillar_bend"), _named(leg, "header_bend")
        assert low is not None
        assert high is not None
        upper = high - UNDER_BEND * unit(high - low)
        if side == "left" or not outline.even:
            back = _whole(float(low[0]) + BRACE_BACK * float(high[0] - low[0]))
        on = {
            "on": f"front_leg_{side}",
            "up": _whole(float(upper[2])),
            "near": [_whole(float(v)) for v in upper],
        }
        ends.append([on, {"on": f"doorbar_top_{side}", "back": back}])
    words = "beside the screen pillar, down to the top doorbar, ahead of the way out"
    _pair(outline, "pillar_brace", "cage reinforcement", ends[0], ends[1], words)
    names = [*bars]
    for below, above in pairwise(names):
        posts = [
            [{"on": f"doorbar_{n}_{side}", "back": back} for n in (above, below)]
            for side in ("left", "right")
        ]
        _pair(outline, f"doorbar_post_{below}", "doorbar post", posts[0], posts[1])


def _roof(outline: Outline) -> None:
    if "header_bar" not in outline.members:
        return
    ends = {side: _named(leg, "header_bend") for side, leg in outline.legs.items()}
    front = _whole(min(abs(float(p[1])) for p in ends.values() if p is not None) - 85.0)
    rear = _whole(_corner(outline) - 120.0)
    side = -1.0 if outline.file.driver.side == "left" else 1.0

    def on_hoop(across: float) -> dict[str, Any]:
        return {"on": "main_hoop", "across": across}

    def on_header(across: float) -> dict[str, Any]:
        return {"on": "header_bar", "across": across}

    role = "roof reinforcement"
    match outline.file.wishes.roof:
        case "V":
            paths = [[on_hoop(s * V_APART), on_header(s * front)] for s in (-1.0, 1.0)]
            words = "a V, open to the front; its point is far from the hoop's joints"
            _pair(outline, "roof", role, paths[0], paths[1], words)
        case "diagonal":
            words = (
                "from corner to corner, its front end over the driver: enough where nobody sits beside him "
                "(from memory); wish for an X where somebody does"
            )
            _add(outline, "roof_diagonal", role, [on_hoop(-side * rear), on_header(side * front)], words)
        case "X":
            path: list[Any] = [on_hoop(-side * rear), on_header(side * front)]
            _add(outline, "roof_whole", role, path, "in one piece; the other arm is cut on it")
            # where two arms cross, as a share of the way from the hoop: the narrower end's side
            middle = {"on": "roof_whole", "part": round(rear / (rear + front), 4)}
            _add(outline, "roof_rear", role, [on_hoop(side * rear), middle])
            _add(outline, "roof_front", role, [middle, on_header(-side * front)])


def _gussets(outline: Outline) -> None:
    if not outline.file.wishes.gussets or not outline.legs:
        return
    for name, pair, leg in (
        ("hoop_corner", ("main_hoop", "front_leg"), 90.0),
        ("header_corner", ("front_leg", "header_bar"), 80.0),
    ):
        for side in ("left",) if outline.even else ("left", "right"):
            between = [f"{n}_{side}" if n == "front_leg" else n for n in pair]
            entry: dict[str, Any] = {"between": between, "leg": leg, "thickness": 1.5}
            outline.gussets[f"{name}_{side}"] = entry | ({"mirror": True} if outline.even else {})
