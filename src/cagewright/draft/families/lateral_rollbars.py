"""Two lateral rollbars, one on each side from the front foot to the rear one, and two transverse members."""

from __future__ import annotations

from typing import Any

from cagewright.base.vectors import Vector
from cagewright.draft.bars import FOOT_RUN, Bar, on_bend, side_of
from cagewright.draft.carriers import Across, Carriers, GussetCorner, StandingTube
from cagewright.draft.families.family import Family
from cagewright.draft.families.half_rollbars import stands as with_a_hoop
from cagewright.draft.frames import (
    SIDES,
    front_feet,
    hoop_feet,
    places_named,
    sides_commented,
    standing,
)
from cagewright.draft.outline import Outline, added, both_sides, rounded
from cagewright.shape.types import Array


def stands(outline: Outline) -> Carriers:
    """Enters the two lateral rollbars and what holds them apart; a main rollbar where they cannot be."""
    bars = {side: _side(outline, side) for side in SIDES} if outline.legs else {}
    sides = {side: bar for side, bar in bars.items() if bar is not None}
    if len(sides) < 2:
        outline.said.append("no lateral rollbars: a main rollbar stands in their place")
        return with_a_hoop(outline)
    names = places_named(outline, sides["left"], sides["right"])
    front_feet(outline, {side: names[side][0] for side in SIDES})
    hoop_feet(outline, {side: names[side][-1] for side in SIDES})
    both_sides(outline, "side_hoop", *(_member(side, names[side]) for side in SIDES))
    words = "in one piece along screen pillar and roof rail and down beside the door's rear edge"
    sides_commented(outline, "side_hoop", sides, words)
    return _carriers(outline, sides)


def _side(outline: Outline, side: str) -> Bar | None:
    leg, file = outline.legs[side], outline.file
    assert leg.line is not None
    skip = max(float(leg.places[0][2]), outline.car.sill or 0.0) + FOOT_RUN
    return side_of(
        outline.hoop, leg, leg.line, outline.tubes["hoop"], outline.least["hoop"], file.wishes.gap, side,
        skip, units=file.units,
    )  # fmt: skip


def _member(side: str, names: list[str]) -> dict[str, Any]:
    path = [{"foot": f"front_foot_{side}"}, *names[1:-1], {"foot": f"hoop_foot_{side}"}]
    return {"role": "lateral rollbar", "tube": "hoop", "path": path}


BAR_AT, STAY_AT = 0.62, 0.97
"""Where on the rear bend the transverse member and the backstay land, as shares of it (ours: the backstay on
its straight end, for along the bend's own tangent no cope could be cut)."""

UNDER_TOP = 70.0
"""A diagonal between the backstays leaves the one this far under its upper end, mm (ours)."""


def _carriers(outline: Outline, sides: dict[str, Bar]) -> Carriers:
    """Enters the transverse members, and says what the lateral rollbars carry."""
    bends = {s: on_bend(bar.path, _place(bar, "rear_bend")) for s, bar in sides.items()}
    names = {side: f"side_hoop_{side}" for side in SIDES}
    header = [{"on": names[s], "back": rounded(float(_place(sides[s], "header_bend")[0]))} for s in SIDES]
    added(outline, "header_bar", "transverse member", header, "across under the header")
    ends = {s: _share(bends[s], BAR_AT) for s in SIDES}
    rear = [_at(names[s], ends[s]) for s in SIDES]
    added(outline, "rear_bar", "transverse member", rear, "across under the roof at the hoop's line")
    line = {s: bar.places[bar.names.index("rear_bend") :][::-1] for s, bar in sides.items()}
    tops = {s: _share(bends[s], STAY_AT) for s in SIDES}
    corners = {
        "rear_corner": GussetCorner(between=("side_hoop_{side}", "rear_bar"), leg=90.0),
        "header_corner": GussetCorner(between=("side_hoop_{side}", "header_bar"), leg=90.0),
    }
    return Carriers(
        rear=StandingTube(names=names, line=line, tube="hoop", twice=True),
        top=Across(name="rear_bar"),
        corner=min(abs(float(end[1])) for end in ends.values()),
        inset=(60.0, 84.0),
        stays={s: _at(names[s], tops[s]) for s in SIDES},
        high=rounded(min(float(top[2]) for top in tops.values()) - UNDER_TOP),
        front=StandingTube(names=names, line=standing(sides, "header_bend"), tube="hoop", twice=True),
        header=Across(name="header_bar"),
        corners=corners,
    )


def _place(bar: Bar, name: str) -> Vector:
    return bar.places[bar.names.index(name)]


def _share(bend: Array, share: float) -> Vector:
    return bend[round(share * (len(bend) - 1))]


def _at(on: str, p: Vector) -> dict[str, Any]:
    return {"on": on, "up": rounded(float(p[2])), "near": [rounded(float(v)) for v in p]}


FAMILY = Family(word="lateral rollbars", legs="hoop", stands=stands)
