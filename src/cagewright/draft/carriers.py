"""What the straight tubes of a draft land on: the bent tubes that a base structure stands on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from cagewright.base.vectors import Vector
from cagewright.shape.types import Array


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingTube:
    """A tube that stands on each side.

    Attributes:
        names: of the tube by side; one name where one tube stands on both.
        line: (n, 3) by side, its standing part from the foot up, mm.
        tube: hoop or bar.
        twice: it comes by the same height again on that side, so a place on it is told by what it is near.
    """

    names: Mapping[str, str]
    line: Mapping[str, Array]
    tube: Literal["hoop", "bar"]
    twice: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Across:
    """A tube that runs across the car.

    Attributes:
        name: of the tube.
        near: back and up of the part that runs across, mm, where the tube comes so far across twice.
    """

    name: str
    near: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GussetCorner:
    """A corner on each side that a gusset goes into.

    Attributes:
        between: its two tubes, ``{side}`` standing for the side.
        leg: of the gusset, mm.
        near: where it is (3,) by side, where the two tubes meet more than once.
    """

    between: tuple[str, str]
    leg: float
    near: Mapping[str, Vector] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Carriers:
    """The tubes of a base structure by what lands on them.

    Attributes:
        rear: what stands at the hoop's line.
        top: the tube that runs across under the roof there.
        corner: half width of its corners, the narrower side, mm.
        inset: how far in from the corners a diagonal and a roof bar land, mm.
        stays: the place of each backstay's upper end, by side, as the plan says it.
        high: height at which a diagonal between the backstays leaves the one, mm.
        front: what stands along the screen pillars; None where nothing does.
        header: the tube that runs across under the header; None where none does.
        corners: where gussets go, by name.
    """

    rear: StandingTube
    top: Across
    corner: float
    inset: tuple[float, float] = (105.0, 120.0)
    stays: Mapping[str, dict[str, Any]]
    high: float
    front: StandingTube | None = None
    header: Across | None = None
    corners: Mapping[str, GussetCorner]


def at_height(upright: StandingTube, side: str, up: float) -> dict[str, Any]:
    """The place at a height, mm, on that side, as the plan says it."""
    said: dict[str, Any] = {"on": upright.names[side]}
    if len(set(upright.names.values())) == 1:
        said["side"] = side
    said["up"] = up
    return said | ({"near": [float(round(v)) for v in beside(upright, side, up)]} if upright.twice else {})


def at_across(across: Across, y: float) -> dict[str, Any]:
    """The place so far across, mm, as the plan says it."""
    near = [] if across.near is None else [float(round(v)) for v in (across.near[0], y, across.near[1])]
    return {"on": across.name, "across": y} | ({"near": near} if near else {})


def beside(upright: StandingTube, side: str, up: float) -> Vector:
    """Where the standing part's places have that height (3,), mm; its end where none has."""
    line = upright.line[side]
    return np.array([float(np.interp(up, line[:, 2], line[:, i])) for i in (0, 1)] + [up])
