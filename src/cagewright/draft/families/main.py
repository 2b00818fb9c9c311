"""What stands on a main rollbar, whatever stands ahead of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from cagewright.draft.bars import Bar, sign_of
from cagewright.draft.carriers import Across, Carriers, Corner, Upright
from cagewright.draft.frames import SIDES
from cagewright.draft.outline import Outline, named, rounded

STAY_IN = 55.0
"""How far in from its corners the backstays meet the main rollbar, mm (ours)."""

UNDER_TOP = 120.0
"""A diagonal between the backstays leaves the one this far under the main rollbar's top, mm (ours)."""


def on_main(
    outline: Outline,
    rear: Upright,
    *,
    front: Upright | None = None,
    header: Across | None = None,
    corners: Mapping[str, Corner] | None = None,
) -> Carriers:
    """What a main rollbar carries: its top takes backstays, diagonal and roof bars.

    Args:
        outline: as laid out so far.
        rear: the main rollbar.
        front: what stands along the screen pillars.
        header: the tube across under the header.
        corners: for gussets.
    """
    half = corner(outline)
    own = {"left": outline.hoop.left, "right": outline.hoop.right}
    out = {side: half if outline.even else _corner_of(own[side]) for side in SIDES}
    stays: dict[str, dict[str, Any]] = {
        side: {"on": "main_hoop", "across": sign_of(side) * rounded(out[side] - STAY_IN)} for side in SIDES
    }
    return Carriers(
        rear=rear, top=Across(name="main_hoop"), corner=half, stays=stays, front=front, header=header,
        corners=corners or {}, high=rounded(float(outline.hoop.left.places[-1][2]) - UNDER_TOP),
    )  # fmt: skip


def corner(outline: Outline) -> float:
    """Half width of the hoop's corners, the narrower side, mm."""
    return min(_corner_of(bar) for bar in (outline.hoop.left, outline.hoop.right))


def _corner_of(bar: Bar) -> float:
    place = named(bar, "hoop_corner")
    assert place is not None  # every hoop has its corners: NAMES of draft/section
    return abs(float(place[1]))
