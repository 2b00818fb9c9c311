"""What stands on a main rollbar, whatever stands ahead of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from cagewright.base.curves import point_at
from cagewright.base.vectors import Vector, length
from cagewright.draft.bars import Bar, nearest_to_line, on_bend, sign_of
from cagewright.draft.carriers import Across, Carriers, GussetCorner, StandingTube
from cagewright.draft.frames import SIDES, front_feet, main_rollbar, places_named
from cagewright.draft.outline import Outline, bend_radius, missing, named, rounded
from cagewright.draft.tighten import path_of
from cagewright.shape.types import Array

STAY_IN = 55.0
"""How far in from its corners the backstays meet the main rollbar, mm (ours)."""
KEPT = 4.0
"""So much nearer to a joint than the rule book asks an end is put: places are in whole millimetres."""
UNDER_TOP = 120.0
"""A diagonal between the backstays leaves the one this far under the main rollbar's top, mm (ours)."""


def with_legs(
    outline: Outline, ahead: Callable[[Outline, StandingTube, dict[str, list[str]]], Carriers]
) -> Carriers:
    """Enters main rollbar and front feet, then what stands ahead; the rollbar alone without its readings.

    Args:
        outline: as laid out so far.
        ahead: enters what stands along the screen pillars, of the main rollbar and the names of the legs'
            places by side, from the foot up.
    """
    rear = main_rollbar(outline)
    if not outline.legs:
        missing(outline, "front legs")
        return on_main(outline, rear)
    names = places_named(outline, outline.legs["left"], outline.legs["right"])
    front_feet(outline, {side: names[side][0] for side in SIDES})
    return ahead(outline, rear, names)


def on_hoop(outline: Outline, side: str) -> dict[str, Any]:
    """The place on the main rollbar at the height where that side's roof rail ends."""
    return {"on": "main_hoop", "side": side, "up": rounded(float(outline.legs[side].places[-1][2]))}


def corner_by(outline: Outline, places: Array, apex: Vector, line: tuple[Vector, Vector]) -> Vector:
    """The place (3,) of a bar's bend at ``apex`` that is nearest to a line; the apex where it has no bend."""
    path = path_of(places, (bend_radius(outline.tubes["bar"]),) * len(places))
    return apex if path is None else nearest_to_line(on_bend(path, apex), *line)


def on_main(
    outline: Outline,
    rear: StandingTube,
    *,
    front: StandingTube | None = None,
    header: Across | None = None,
    corners: Mapping[str, GussetCorner] | None = None,
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
        side: {"on": "main_hoop", "across": sign_of(side) * rounded(_stay_across(outline, side, out[side]))}
        for side in SIDES
    }
    return Carriers(
        rear=rear, top=Across(name="main_hoop"), corner=half, stays=stays, front=front, header=header,
        corners=corners or {}, high=rounded(float(outline.hoop.left.places[-1][2]) - UNDER_TOP),
    )  # fmt: skip


def _stay_across(outline: Outline, side: str, out: float) -> float:
    """How far across a backstay meets the rollbar: in from its corner, but near the roof rail's end there."""
    path, wanted = outline.hoop.path, out - STAY_IN
    if side not in outline.legs:
        return wanted
    runs = np.linspace(0.0, path.length / 2.0, 400)
    points = np.array([point_at(path, run if side == "left" else path.length - run) for run in runs])
    joint = int(np.argmax(points[:, 2] >= float(outline.legs[side].places[-1][2])))
    near = length(points - points[joint]) < outline.limits.joint_near - KEPT
    return max(wanted, float(np.abs(points[near & (runs >= runs[joint]), 1]).min(initial=out)))


def corner(outline: Outline) -> float:
    """Half width of the hoop's corners, the narrower side, mm."""
    return min(_corner_of(bar) for bar in (outline.hoop.left, outline.hoop.right))


def _corner_of(bar: Bar) -> float:
    place = named(bar, "hoop_corner")
    assert place is not None  # every hoop has its corners: NAMES of draft/section
    return abs(float(place[1]))
