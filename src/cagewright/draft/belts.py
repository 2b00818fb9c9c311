"""Where the belts could go, reckoned from the seated driver; and tubes that run into an obstacle."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from cagewright.base.say import say_length
from cagewright.base.vectors import Vector, length
from cagewright.draft.bars import sign_of
from cagewright.draft.outline import Outline
from cagewright.plan.survey import SurveyFile
from cagewright.plan.types import Plan
from cagewright.shape.clearance import points_at
from cagewright.shape.closest import closest_on_segments
from cagewright.shape.resolve import resolve

SHOULDER_HALF = 100.0
"""Each shoulder belt from the seat's centre line, mm: as the check takes it, no source."""
LAP = math.radians(55.0)
"""Lap belt to the level: the middle of 45 to 65 degrees (Formula SAE Rules 2024, T.2.5.4, read)."""
LAP_HALF = 215.0
"""Each lap mount from the seat's centre line, mm: hips of 430 mm over all (common practice, no source)."""
CROTCH = math.radians(10.0)
"""Crotch belts back of straight down: the middle of 0 to 20 degrees (Formula SAE Rules 2024, T.2.7, read)."""
CROTCH_HALF = 50.0
"""Each crotch mount from the seat's centre line, mm: 100 mm apart (Formula SAE Rules 2024, T.2.7, read)."""
GROIN = (100.0, 60.0)
"""Groin ahead of the hip, square to the back, and down along it, mm: as the check takes it, no source."""
USUAL_LEAN = math.radians(22.0)
PLATE = [80.0, 60.0, 3.0]
BESIDE_TUNNEL = 10.0
"""A mount that would stand in the tunnel is set on the floor this far beside it, mm (ours)."""


def belts(outline: Outline, hip: Vector, lean: float | None) -> dict[str, Any]:
    """Belts for whoever sits there: shoulder on the harness bar, the rest on the floor; empty without either.

    Args:
        outline: the plan so far.
        hip: (3,) hip point, mm.
        lean: of the back, rad; the usual where it was not read.
    """
    floor = outline.car.floor
    bars = [name for name in outline.members if name.startswith("harness_bar")]
    if floor is None or not bars:
        return {}
    own = -1.0 if hip[1] < 0.0 else 1.0
    mounts: dict[str, Any] = {}
    for side in ("left", "right"):
        sign = sign_of(side)
        across = float(round(float(hip[1]) + sign * SHOULDER_HALF))
        mounts[f"shoulder_{side}"] = {"at": {"on": _bar_at(outline, across), "across": across}, "wrap": True}
        lap = float(hip[0]) + (float(hip[2]) - floor) / math.tan(LAP)
        mounts[f"lap_{side}"] = _on_floor(outline, own, [lap, float(hip[1]) + sign * LAP_HALF, floor])
        crotch = _groin_foot(hip, USUAL_LEAN if lean is None else lean, floor)
        mounts[f"crotch_{side}"] = _on_floor(
            outline, own, [crotch, float(hip[1]) + sign * CROTCH_HALF, floor]
        )
    return {"mounts": mounts}


def _on_floor(outline: Outline, own: float, at: list[float]) -> dict[str, Any]:
    """A mount on the floor, moved out of the tunnel where it was read; ``own`` is the seat's side."""
    tunnel = outline.car.tunnel
    least = 0.0 if tunnel is None else tunnel[0] + BESIDE_TUNNEL
    across = own * max(own * at[1], least)
    return {"at": [float(round(v)) for v in (at[0], across, at[2])], "plate": PLATE}


def _groin_foot(hip: Vector, lean: float, floor: float) -> float:
    """Distance back, mm, of where the crotch belts meet the floor."""
    ahead, down = GROIN
    back = float(hip[0]) - ahead * math.cos(lean) - down * math.sin(lean)
    up = float(hip[2]) + ahead * math.sin(lean) - down * math.cos(lean)
    return back + (up - floor) * math.tan(CROTCH)


def _bar_at(outline: Outline, across: float) -> str:
    """Which part of the harness bar passes there: it is in two where the hoop's diagonal crosses it."""
    if outline.split is None:
        return "harness_bar"
    return "harness_bar_left" if across < outline.split else "harness_bar_right"


def clashes(plan: Plan, file: SurveyFile) -> tuple[str, ...]:
    """What runs into each obstacle, in words; empty where all is clear.

    Args:
        plan: as drafted.
        file: whose obstacles have a middle and reach so far all round.
    """
    if not file.obstacles:
        return ()
    members = resolve(plan).members
    said: list[str] = []
    for name, entry in file.obstacles.items():
        into: list[str] = []
        for member in members:
            axis = points_at(member.path, np.linspace(0.0, member.path.length, 200))
            middle = np.tile(np.array(entry.at), (len(axis) - 1, 1))
            away = float(length(closest_on_segments(middle, axis[:-1], axis[1:]) - middle).min())
            depth = entry.size + member.tube.radius - away
            if depth > 0.0:
                into.append(f"{member.name} runs {say_length(depth, file.units, places=0)} into it")
        if into:
            said.append(f"steering clear of {name}: {', '.join(into)}; move the tube or the obstacle")
    return tuple(said)
