"""The straight tubes that no door needs: header, backstays, diagonals, harness bar, roof; and gussets."""

from __future__ import annotations

from functools import partial
from typing import Any

import numpy as np

from cagewright.base.vectors import Vector
from cagewright.draft.carriers import Carriers, at_across, at_height, beside
from cagewright.draft.outline import (
    Outline,
    added,
    both_sides,
    missing,
    named,
    named_point,
    pair_added,
    place,
    rounded,
    whole,
)
from cagewright.plan.types import PersonEntry
from cagewright.shape.seated import seated_parts

BELOW_SHOULDER = 50.0
"""The harness bar's axis under the top of the shoulder, mm: common practice, no source."""
V_APART = 160.0
"""Half way between the roof bars' ends at the hoop, mm (ours: less, and a torch does not get over them)."""


def backstays(outline: Outline, carriers: Carriers) -> None:
    """Enters the backstays and their feet on the turrets."""
    points = outline.car.points
    feet = [points.get(f"turret_{side}") for side in ("left", "right")]
    left, right = feet
    if left is None or right is None:
        missing(outline, "backstays")
        return
    names = named_point(outline, "stay_foot", left, right)
    limits = outline.limits
    least = max(80.0, limits.plate_side)
    plate = [max(100.0, limits.plate_side), max(least, limits.stay_area / 100.0), max(3.0, limits.stay_plate)]
    foot: dict[str, Any] = {"on": "turret", "plate": plate}
    foot |= {"bolts": {"count": limits.bolts[1], "size": 8.0}} if limits.bolts[1] else {}
    lean = [[-0.4, sign * 0.1, 0.9] for sign in (1.0, -1.0)]
    feet_in = [{"at": n, **foot, "normal": normal} for n, normal in zip(names, lean, strict=True)]
    both_sides(outline, "stay_foot", feet_in[0], feet_in[1])
    paths = [[carriers.stays[side], {"foot": f"stay_foot_{side}"}] for side in ("left", "right")]
    pair_added(outline, "backstay", "backstay", paths[0], paths[1], _stay_words(outline, left))


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


def diagonals(outline: Outline, carriers: Carriers) -> None:
    """Enters the diagonals at the hoop's line and, where wished for, the one between the backstays."""
    driver = -1.0 if outline.file.driver.side == "left" else 1.0
    own, other = ("left", "right") if driver < 0.0 else ("right", "left")
    low = rounded((outline.car.sill or 0.0) + 75.0)
    top = rounded(carriers.corner - carriers.inset[0])
    rear = carriers.rear
    path: list[Any] = [at_height(rear, other, low), at_across(carriers.top, driver * top)]
    added(outline, "diagonal_hoop", "diagonal", path, "its top on the driver's side")
    if outline.file.wishes.diagonals == 2:
        foot = min(abs(float(bar.places[0][1])) for bar in (outline.hoop.left, outline.hoop.right))
        # where two arms cross, as a share of the way from the lower end: in the middle of the car
        on = {"on": "diagonal_hoop", "part": round(foot / (foot + top), 4)}
        added(outline, "diagonal_lower", "diagonal", [at_height(rear, own, low), on])
        added(outline, "diagonal_upper", "diagonal", [on, at_across(carriers.top, -driver * top)])
    if outline.file.wishes.rear == "diagonal" and "backstay_left" in outline.members:
        foot = outline.car.points[f"turret_{own}"]
        path = [
            {"on": f"backstay_{other}", "up": carriers.high},
            {"on": f"backstay_{own}", "up": rounded(float(foot[2]) + 100.0)},
        ]
        added(outline, "diagonal_rear", "diagonal", path)


def harness(outline: Outline, carriers: Carriers) -> None:
    """Enters the harness bar at the driver's shoulder, in two where a diagonal crosses it."""
    hip = outline.car.points.get("hip")
    if hip is None:
        missing(outline, "harness bar")
        return
    own, other = ("left", "right") if outline.file.driver.side == "left" else ("right", "left")
    up = rounded(_shoulder(outline, hip) - BELOW_SHOULDER)
    below = whole(outline, BELOW_SHOULDER)
    words = f"carries both shoulder belts; {below} below the reckoned shoulder: measure it"
    one, two = at_height(carriers.rear, own, up), at_height(carriers.rear, other, up)
    if outline.file.wishes.diagonals == 2:
        outline.said.append("no harness bar: it would cross both diagonals; lay it out by hand")
    elif "diagonal_hoop" in outline.members:
        across = {"on": "diagonal_hoop", "up": up}
        added(outline, f"harness_bar_{own}", "harness bar", [one, across], words)
        added(outline, f"harness_bar_{other}", "harness bar", [across, two])
        outline.split = _crossing(outline, carriers, other, up)
    else:
        added(outline, "harness_bar", "harness bar", [one, two], words)


def _crossing(outline: Outline, carriers: Carriers, low: str, up: float) -> float:
    """How far across the hoop's diagonal, its lower end on that side, stands at a height, mm."""
    start, stop = outline.members["diagonal_hoop"]["path"]
    foot = beside(carriers.rear, low, float(start["up"]))
    share = (up - float(start["up"])) / (float(outline.hoop.left.places[-1][2]) - float(start["up"]))
    return float((1.0 - share) * foot[1] + share * stop["across"])


def _shoulder(outline: Outline, hip: Vector) -> float:
    """Height of the top of the driver's shoulder, mm, reckoned from hip, lean and stature."""
    at = (float(hip[0]), float(hip[1]), float(hip[2]))
    lean = {} if outline.car.back_angle is None else {"back_angle": f"{outline.car.back_angle} rad"}
    who = PersonEntry.model_validate({"hip": at, "stature": outline.file.driver.stature, **lean})
    part = next(p for p in seated_parts(who) if p.name == "shoulder")
    return float(part.one[2]) + part.radius


def roof(outline: Outline, carriers: Carriers) -> None:
    """Enters the roof's bars between the top at the hoop's line and the header."""
    if carriers.header is None:
        return
    ends = {side: named(leg, "header_bend") for side, leg in outline.legs.items()}
    front = rounded(min(abs(float(p[1])) for p in ends.values() if p is not None) - 85.0)
    rear = rounded(carriers.corner - carriers.inset[1])
    side = -1.0 if outline.file.driver.side == "left" else 1.0

    over, ahead = partial(at_across, carriers.top), partial(at_across, carriers.header)
    role = "roof reinforcement"
    match outline.file.wishes.roof:
        case "V":
            paths = [[over(s * V_APART), ahead(s * front)] for s in (-1.0, 1.0)]
            words = "a V, open to the front; its point is far from the hoop's joints"
            pair_added(outline, "roof", role, paths[0], paths[1], words)
        case "diagonal":
            words = (
                "from corner to corner, its front end over the driver: enough where nobody sits beside him "
                "(from memory); wish for an X where somebody does"
            )
            added(outline, "roof_diagonal", role, [over(-side * rear), ahead(side * front)], words)
        case "X":
            path: list[Any] = [over(-side * rear), ahead(side * front)]
            added(outline, "roof_whole", role, path, "in one piece; the other arm is cut on it")
            # where two arms cross, as a share of the way from the hoop: the narrower end's side
            middle = {"on": "roof_whole", "part": round(rear / (rear + front), 4)}
            added(outline, "roof_rear", role, [over(side * rear), middle])
            added(outline, "roof_front", role, [middle, ahead(-side * front)])


def gussets(outline: Outline, carriers: Carriers) -> None:
    """Enters a gusset in each corner of the roof."""
    for name, corner in carriers.corners.items():
        for side in ("left",) if outline.even else ("left", "right"):
            between = [tube.format(side=side) for tube in corner.between]
            entry: dict[str, Any] = {"between": between, "leg": corner.leg, "thickness": 1.5}
            entry |= {"near": place(corner.near[side])} if corner.near else {}
            outline.gussets[f"{name}_{side}"] = entry | ({"mirror": True} if outline.even else {})
