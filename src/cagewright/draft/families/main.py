"""What stands on a main rollbar, whatever stands ahead of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from cagewright.draft.bars import sign_of
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
    across = rounded(half - STAY_IN)
    stays: dict[str, dict[str, Any]] = {
        side: {"on": "main_hoop", "across": sign_of(side) * across} for side in SIDES
    }
    return Carriers(
        rear=rear, top=Across(name="main_hoop"), corner=half, stays=stays, front=front, header=header,
        corners=corners or {}, high=rounded(float(outline.hoop.left.places[-1][2]) - UNDER_TOP),
    )  # fmt: skip


def corner(outline: Outline) -> float:
    """Half width of the hoop's corners, the narrower side, mm."""
    corners = (named(bar, "hoop_corner") for bar in (outline.hoop.left, outline.hoop.right))
    return min(abs(float(c[1])) for c in corners if c is not None)
