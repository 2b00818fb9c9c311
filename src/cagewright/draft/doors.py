"""The straight tubes beside a door: doorbars, dash bar, braces beside the screen pillars, posts."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np

from cagewright.base.vectors import unit
from cagewright.draft.carriers import Carriers, StandingTube, at_height
from cagewright.draft.outline import Outline, added, bend_radius, missing, named, pair_added, rounded, whole
from cagewright.plan.survey import readings_of

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
UNDER_BEND = (94.0, 0.82)
"""A pillar brace starts at least so far below the apex of the leg's bend at the header, mm and in its radii
(ours: books remembered ask 100 mm; nearer, its crotch closes on the bend)."""
GUSSET = (60.0, 3.0)
"""Leg and thickness of a doorbar's gussets, mm (ours: two fit between doorbars)."""


def doorbars(outline: Outline, carriers: Carriers) -> None:
    """Enters the doorbars from the front to what stands at the hoop's line."""
    span, sill = outline.car.doors.get("left"), outline.car.sill
    front = carriers.front
    if front is None or span is None or sill is None:
        missing(outline, "doorbars")
        return
    heights = doorbar_heights(outline, span[2], span[3])
    if outline.file.wishes.door == "X":
        if outline.limits.doorbars > 2:
            asked = f"the rule book asks {outline.limits.doorbars} level ones with posts and gussets"
            outline.said.append(f"two doorbars that cross are wished for: {asked}")
        _crossed(outline, front, carriers.rear, heights[0], heights[-1])
        return
    names = {1: ("mid",), 2: ("low", "top"), 3: ("low", "mid", "top"), 4: ("sill", "low", "mid", "top")}
    outline.doorbars = dict(zip(names[len(heights)], heights, strict=True))
    if outline.limits.doorbar_gussets:
        _gusseted(outline, front, carriers.rear)
    rise = _rise(outline)
    for name, up in outline.doorbars.items():
        paths = [_level(front, carriers.rear, side, rounded(up + rise), up) for side in ("left", "right")]
        pair_added(outline, f"doorbar_{name}", "doorbar", paths[0], paths[1], _door_words(outline, name, up))


def doorbar_heights(outline: Outline, bottom: float, top: float) -> list[float]:
    """Heights of the doorbars' axes from the lowest up, mm, so that nobody has to climb over them.

    The top one stands where the rule book's share of the opening, the trade's height over the floor and the
    leg's bend let it, whichever is lowest; the rest are spread below it, from the sill up where wished.
    """
    wishes = outline.file.wishes
    if wishes.doorbar_heights:
        return [rounded(h) for h in sorted(wishes.doorbar_heights)]
    said = wishes.doorbars if "doorbars" in wishes.model_fields_set else 0
    count = 2 if wishes.door == "X" else said or max(wishes.doorbars, outline.limits.doorbars)
    bends = (named(leg, "pillar_bend") for leg in outline.legs.values())
    bend = min((float(b[2]) for b in bends if b is not None), default=top)
    floor = outline.car.floor if outline.car.floor is not None else (outline.car.sill or 0.0) - 80.0
    high = min(bottom + outline.limits.door_share * (top - bottom) - 20.0, floor + TOP_DOORBAR, bend - 150.0)
    low = (outline.car.sill or 0.0) + OVER_SILL
    fits = max(1, min(count, 1 + int((high - low) / APART)))
    if fits < count:
        outline.said.append(
            f"only {fits} of {count} doorbars fit below {whole(outline, high)} with room between them"
        )
    if wishes.doorbar_spacing == "even":
        sill = outline.car.sill or 0.0
        return [rounded(h) for h in np.linspace(max(sill + (high - sill) / fits, low), high, fits)]
    return [
        rounded(h) for h in (np.linspace(low, high, fits) if fits > 2 else (high - 200.0, high)[2 - fits :])
    ]


def _rise(outline: Outline) -> float:
    """How much higher the doorbars stand at the front than at the hoop, as the sill does, mm."""
    share = {"level": 0.0, "half": 0.5, "sill": 1.0}[outline.file.wishes.doorbar_slope]
    sill = readings_of(outline.file, "sill_height")
    front, rear = sill["front"][0], sill["rear"][0]
    return 0.0 if front is None or rear is None else share * (front - rear)


def _door_words(outline: Outline, name: str, up: float) -> str:
    floor = outline.car.floor
    return "" if floor is None or name != "top" else f"{whole(outline, up - floor)} over the floor"


def _level(front: StandingTube, rear: StandingTube, side: str, fore: float, aft: float) -> list[Any]:
    return [at_height(front, side, fore), at_height(rear, side, aft)]


def _crossed(outline: Outline, front: StandingTube, rear: StandingTube, low: float, high: float) -> None:
    """Two doorbars that cross: one in one piece, the other in two halves cut on it."""
    through = [_level(front, rear, side, low, high) for side in ("left", "right")]
    words = "in one piece; the other arm is cut on it"
    pair_added(outline, "doorbar_whole", "doorbar", through[0], through[1], words)
    ends = [
        (_level(front, rear, side, high, low), {"on": f"doorbar_whole_{side}", "part": 0.5})
        for side in ("left", "right")
    ]
    pair_added(outline, "doorbar_front", "doorbar", [ends[0][0][0], ends[0][1]], [ends[1][0][0], ends[1][1]])
    pair_added(outline, "doorbar_rear", "doorbar", [ends[0][1], ends[0][0][1]], [ends[1][1], ends[1][0][1]])


def dash(outline: Outline, carriers: Carriers) -> None:
    """Enters the dash bar between what stands along the screen pillars."""
    if carriers.front is None or outline.car.dash is None:
        missing(outline, "dash bar")
        return
    up = outline.car.dash[1]
    taken = [*outline.doorbars.values()] or [0.0]
    nearest = min(taken, key=lambda h: abs(h - up))
    if abs(nearest - up) < DASH_APART:
        up = nearest + DASH_APART
    bends = (named(leg, "pillar_bend") for leg in outline.legs.values())
    bend = min(float(b[2]) for b in bends if b is not None)
    up = rounded(min(up, bend - 90.0))
    front = carriers.front
    added(outline, "dash_bar", "dash bar", [at_height(front, side, up) for side in outline.legs])


def braces(outline: Outline, carriers: Carriers) -> None:
    """Enters a brace beside each screen pillar down to the top doorbar, and posts under its foot."""
    if "top" not in outline.doorbars or carriers.front is None:
        return
    ends: list[list[Any]] = []
    back, radius = 0.0, bend_radius(outline.tubes[carriers.front.tube])
    under = max(UNDER_BEND[0], UNDER_BEND[1] * radius)
    for side, leg in outline.legs.items():
        low, high = named(leg, "pillar_bend"), named(leg, "header_bend")
        assert low is not None
        assert high is not None
        upper = high - under * unit(high - low)
        if side == "left" or not outline.even:
            back = rounded(float(low[0]) + BRACE_BACK * float(high[0] - low[0]))
        on = {
            "on": carriers.front.names[side],
            "up": rounded(float(upper[2])),
            "near": [rounded(float(v)) for v in upper],
        }
        ends.append([on, {"on": f"doorbar_top_{side}", "back": back}])
    words = "beside the screen pillar, down to the top doorbar, ahead of the way out"
    pair_added(outline, "pillar_brace", "cage reinforcement", ends[0], ends[1], words)
    said = outline.file.wishes.post_back
    posts(outline, "doorbar_post", back if said is None else rounded(said))
    station = outline.car.station or back
    for i in range(1, outline.limits.posts):
        far = rounded(back + i * (station - back) / outline.limits.posts)
        posts(outline, f"doorbar_post_{i + 1}", far)


def _gusseted(outline: Outline, front: StandingTube, rear: StandingTube) -> None:
    """Enters a gusset at each end of each doorbar, where a rule book asks for them."""
    for name in outline.doorbars:
        for end, upright in (("front", front), ("rear", rear)):
            for side in ("left",) if outline.even else ("left", "right"):
                between = [f"doorbar_{name}_{side}", upright.names[side]]
                entry: dict[str, Any] = {"between": between, "leg": GUSSET[0], "thickness": GUSSET[1]}
                entry |= {"mirror": True} if outline.even else {}
                outline.gussets[f"doorbar_{name}_{end}_{side}"] = entry


def posts(outline: Outline, name: str, back: float) -> None:
    """Enters posts between each doorbar and the next, at that distance back, mm."""
    for below, above in pairwise([*outline.doorbars]):
        both = [
            [{"on": f"doorbar_{n}_{side}", "back": back} for n in (above, below)]
            for side in ("left", "right")
        ]
        pair_added(outline, f"{name}_{below}", "doorbar post", both[0], both[1])
