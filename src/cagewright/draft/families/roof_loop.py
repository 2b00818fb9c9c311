"""Rear rollbar with a roof loop on it, and front legs of their own that land on the loop.

The loop is a front rollbar in one piece with the roof's sides, and has that role. A leg stands along the
screen pillar as a lateral half-rollbar does, and has that one, so that rows on its foot and size look at it.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from cagewright.base.vectors import Vector
from cagewright.draft.bars import nearest_to_line, on_bend
from cagewright.draft.carriers import Across, Carriers, Corner, Upright
from cagewright.draft.families.family import Family
from cagewright.draft.families.main import on_main
from cagewright.draft.frames import (
    SIDES,
    close_words,
    front_feet,
    main_rollbar,
    places_named,
    standing,
)
from cagewright.draft.outline import Outline, bend_radius, both_sides, missing, rounded
from cagewright.draft.tighten import path_of
from cagewright.shape.types import Array


def stands(outline: Outline) -> Carriers:
    """Enters rear rollbar, loop and legs; the rear rollbar alone where the legs' readings are missing."""
    rear = main_rollbar(outline)
    if not outline.legs:
        missing(outline, "front legs")
        return on_main(outline, rear)
    names = places_named(outline, outline.legs["left"], outline.legs["right"])
    front_feet(outline, {side: names[side][0] for side in SIDES})
    upto = {side: leg.names.index("header_bend") for side, leg in outline.legs.items()}
    loop = {side: names[side][upto[side] :] for side in SIDES}
    landed = {side: _on_hoop(outline, side) for side in SIDES}
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
        "hoop_corner": Corner(between=("main_hoop", "roof_loop"), leg=90.0, near=ends),
        "header_corner": Corner(between=("roof_loop", "front_leg_{side}"), leg=80.0),
    }
    front = Upright(
        names={side: f"front_leg_{side}" for side in SIDES}, line=standing(outline.legs, "header_bend"),
        tube="bar",
    )  # fmt: skip
    return on_main(outline, rear, front=front, header=Across(name="roof_loop", near=near), corners=corners)


def _on_hoop(outline: Outline, side: str) -> dict[str, Any]:
    return {"on": "main_hoop", "side": side, "up": rounded(float(outline.legs[side].places[-1][2]))}


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
    path = path_of(places, (bend_radius(outline.tubes["bar"]),) * len(places))
    leg = outline.legs[side]
    i = leg.names.index("header_bend")
    apex = leg.places[i]
    return apex if path is None else nearest_to_line(on_bend(path, apex), leg.places[i - 1], apex)


FAMILY = Family(word="rear rollbar with roof loop", legs="bar", stands=stands)
