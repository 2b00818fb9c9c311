"""Rear rollbar with a roof loop on it, and front legs of their own that land on the loop.

The loop is a front rollbar in one piece with the roof's sides, and has that role. A leg stands along the
screen pillar as a lateral half-rollbar does, and has that one, so that rows on its foot and size look at it.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from cagewright.base.vectors import Vector
from cagewright.draft.carriers import Across, Carriers, GussetCorner, StandingTube
from cagewright.draft.families.family import Family
from cagewright.draft.families.main import corner_by, on_hoop, on_main, with_legs
from cagewright.draft.frames import (
    SIDES,
    close_words,
    standing,
)
from cagewright.draft.outline import Outline, both_sides, rounded
from cagewright.shape.types import Array


def stands(outline: Outline) -> Carriers:
    """Enters rear rollbar, loop and legs; the rear rollbar alone where the legs' readings are missing."""
    return with_legs(outline, _ahead)


def _ahead(outline: Outline, rear: StandingTube, names: dict[str, list[str]]) -> Carriers:
    upto = {side: leg.names.index("header_bend") for side, leg in outline.legs.items()}
    loop = {side: names[side][upto[side] :] for side in SIDES}
    landed = {side: on_hoop(outline, side) for side in SIDES}
    path: list[Any] = [landed["left"], *loop["left"][::-1], *loop["right"], landed["right"]]
    outline.members["roof_loop"] = {"role": "front rollbar", "tube": "bar", "path": path}
    words = "in one piece along both roof rails and across under the header; can be joined on the bench"
    outline.comments["members", "roof_loop"] = f"{words}; {close_words(outline, outline.legs['left'])}"
    both_sides(outline, "front_leg", *(_leg(outline, side, names[side][1 : upto[side]]) for side in SIDES))
    outline.comments["members", "front_leg_left"] = "along the screen pillar, up to the loop's corner"
    bends = [leg.places[upto[side]] for side, leg in outline.legs.items()]
    near = (float(bends[0][0]), float(min(b[2] for b in bends)))
    ends = {side: leg.places[-1] for side, leg in outline.legs.items()}
    corners = {
        "hoop_corner": GussetCorner(between=("main_hoop", "roof_loop"), leg=90.0, near=ends),
        "header_corner": GussetCorner(between=("roof_loop", "front_leg_{side}"), leg=80.0),
    }
    front = StandingTube(
        names={side: f"front_leg_{side}" for side in SIDES}, line=standing(outline.legs, "header_bend"),
        tube="bar",
    )  # fmt: skip
    return on_main(outline, rear, front=front, header=Across(name="roof_loop", near=near), corners=corners)


def _leg(outline: Outline, side: str, between: list[str]) -> dict[str, Any]:
    end = _loop_corner(outline, side)
    on = {"on": "roof_loop", "across": rounded(float(end[1])), "near": [rounded(float(v)) for v in end]}
    path = [{"foot": f"front_foot_{side}"}, *between, on]
    return {"role": "lateral half-rollbar", "tube": "bar", "path": path}


def _loop_corner(outline: Outline, side: str) -> Vector:
    """The place (3,) of the loop's corner bend that is nearest to the screen pillar's line."""
    parts: dict[str, Array] = {
        s: leg.places[leg.names.index("header_bend") :] for s, leg in outline.legs.items()
    }
    places = np.concatenate([parts["left"][::-1], parts["right"]])
    leg = outline.legs[side]
    i = leg.names.index("header_bend")
    return corner_by(outline, places, leg.places[i], (leg.places[i - 1], leg.places[i]))


FAMILY = Family(word="rear rollbar with roof loop", legs="bar", stands=stands)
