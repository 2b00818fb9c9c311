"""Roll bars: a main rollbar on its backstays, with or without braces forward of it."""

from __future__ import annotations

from cagewright.draft.carriers import Carriers, at_height
from cagewright.draft.families.family import Family
from cagewright.draft.families.main import on_main
from cagewright.draft.frames import SIDES, front_feet, main_rollbar
from cagewright.draft.outline import Outline, missing, named_point, pair_added, rounded

BRACE_UP = 420.0
"""A forward brace meets the main rollbar this far over the floor, mm (ours: beside the driver's elbow)."""
WITHOUT = frozenset({"doorbars", "door", "dash_bar", "pillar_braces", "roof", "gussets"})
"""Wishes for tubes that need something ahead of the main rollbar to stand on."""


def on_four(outline: Outline) -> Carriers:
    """Enters the main rollbar; backstays make its third and fourth point."""
    return on_main(outline, main_rollbar(outline))


def on_six(outline: Outline) -> Carriers:
    """Enters the main rollbar and a brace on each side forward and down to a foot of its own."""
    rear = main_rollbar(outline)
    feet = [outline.car.points.get(f"front_foot_{side}") for side in SIDES]
    left, right = feet
    if left is None or right is None or outline.car.floor is None:
        missing(outline, "forward braces")
        return on_main(outline, rear)
    names = named_point(outline, "front_foot", left, right)
    front_feet(outline, dict(zip(SIDES, names, strict=True)))
    up = rounded(outline.car.floor + BRACE_UP)
    paths = [[{"foot": f"front_foot_{side}"}, at_height(rear, side, up)] for side in SIDES]
    pair_added(outline, "forward_brace", "doorbar", paths[0], paths[1], "forward and down to the sill's box")
    return on_main(outline, rear)


FOUR = Family(word="four-point roll bar", legs=None, stands=on_four, without=WITHOUT)
SIX = Family(word="six-point roll bar", legs=None, stands=on_six, without=WITHOUT)
