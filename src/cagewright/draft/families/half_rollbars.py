"""Main rollbar and two lateral half-rollbars, with a transverse member under the header."""

from __future__ import annotations

from typing import Any

from cagewright.draft.carriers import Across, Carriers, GussetCorner, StandingTube
from cagewright.draft.families.family import Family
from cagewright.draft.families.main import on_hoop, on_main, with_legs
from cagewright.draft.frames import (
    SIDES,
    sides_commented,
    standing,
)
from cagewright.draft.outline import Outline, added, both_sides, named, rounded


def stands(outline: Outline) -> Carriers:
    """Enters hoop, legs and header bar; a hoop alone where the legs' readings are missing."""
    return with_legs(outline, _ahead)


def _ahead(outline: Outline, rear: StandingTube, names: dict[str, list[str]]) -> Carriers:
    both_sides(outline, "front_leg", *(_leg(outline, side, names[side]) for side in SIDES))
    sides_commented(outline, "front_leg", outline.legs, "along the screen pillar and the roof rail")
    ends = {s: named(leg, "header_bend") for s, leg in outline.legs.items()}
    path = [{"on": f"front_leg_{s}", "back": rounded(float(p[0]))} for s, p in ends.items() if p is not None]
    words = "across under the header, between the legs' bends"
    added(outline, "header_bar", "transverse member", path, words)
    front = StandingTube(
        names={side: f"front_leg_{side}" for side in SIDES},
        line=standing(outline.legs, "header_bend"),
        tube="bar",
    )
    corners = {
        "hoop_corner": GussetCorner(between=("main_hoop", "front_leg_{side}"), leg=90.0),
        "header_corner": GussetCorner(between=("front_leg_{side}", "header_bar"), leg=80.0),
    }
    return on_main(outline, rear, front=front, header=Across(name="header_bar"), corners=corners)


def _leg(outline: Outline, side: str, names: list[str]) -> dict[str, Any]:
    path = [{"foot": f"front_foot_{side}"}, *names[1:], on_hoop(outline, side)]
    return {"role": "lateral half-rollbar", "tube": "bar", "path": path}


FAMILY = Family(word="main rollbar and lateral half-rollbars", legs="bar", stands=stands)
