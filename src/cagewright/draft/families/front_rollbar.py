"""Main rollbar and front rollbar, joined by two longitudinal members along the roof rails."""

from __future__ import annotations

from typing import Any

import numpy as np

from cagewright.base.vectors import Vector
from cagewright.draft.carriers import Across, Carriers, GussetCorner, StandingTube
from cagewright.draft.families.family import Family
from cagewright.draft.families.main import corner_by, on_hoop, on_main, with_legs
from cagewright.draft.frames import (
    SIDES,
    sides_commented,
    standing,
)
from cagewright.draft.outline import Outline, both_sides, rounded


def stands(outline: Outline) -> Carriers:
    """Enters both rollbars and the members between them; the main one alone without the front's readings."""
    return with_legs(outline, _ahead)


def _ahead(outline: Outline, rear: StandingTube, names: dict[str, list[str]]) -> Carriers:
    own = {side: names[side][: outline.legs[side].names.index("header_bend") + 1] for side in SIDES}
    path: list[Any] = [{"foot": "front_foot_left"}, *own["left"][1:], *own["right"][:0:-1]]
    path.append({"foot": "front_foot_right"})
    outline.members["front_hoop"] = {"role": "front rollbar", "tube": "bar", "path": path}
    outline.comments["members", "front_hoop"] = "up the screen pillars and across under the header"
    both_sides(
        outline, "roof_side", *(_along_rail(outline, side, names[side][len(own[side]) :]) for side in SIDES)
    )
    sides_commented(outline, "roof_side", outline.legs, "along the roof rail")
    line = standing(outline.legs, "header_bend")
    corners = {
        "hoop_corner": GussetCorner(between=("main_hoop", "roof_side_{side}"), leg=90.0),
        "header_corner": GussetCorner(between=("front_hoop", "roof_side_{side}"), leg=80.0),
    }
    front = StandingTube(names=dict.fromkeys(SIDES, "front_hoop"), line=line, tube="bar")
    return on_main(outline, rear, front=front, header=Across(name="front_hoop"), corners=corners)


def _along_rail(outline: Outline, side: str, between: list[str]) -> dict[str, Any]:
    """The member from the front rollbar's corner along the roof rail to the main rollbar's corner."""
    start = front_corner(outline, side)
    path: list[Any] = [{"on": "front_hoop", "across": rounded(float(start[1]))}, *between]
    path.append(on_hoop(outline, side))
    return {"role": "longitudinal member", "tube": "bar", "path": path}


def front_corner(outline: Outline, side: str) -> Vector:
    """The place (3,) of the front rollbar's corner bend that is nearest to the roof rail's line."""
    upto = {s: leg.places[: leg.names.index("header_bend") + 1] for s, leg in outline.legs.items()}
    places = np.concatenate([upto["left"], upto["right"][::-1]])
    leg, i = outline.legs[side], len(upto[side]) - 1
    return corner_by(outline, places, leg.places[i], (leg.places[i], leg.places[i + 1]))


FAMILY = Family(word="main and front rollbar", legs="bar", stands=stands)
