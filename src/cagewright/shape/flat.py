"""Cuts in one plane: square across the tube, or to the top of a foot's plate."""

from __future__ import annotations

import math

import numpy as np

from cagewright.base.vectors import Vector, angle_between, dot, length, square_to, unit
from cagewright.shape.types import FlatCut, Foot

FLATTEST = math.radians(75.0)
"""A tube that leans further than this off square to its plate has no sensible cut there."""
SQUARE = 1e-9
"""Tilts below this (rad) are square cuts."""


def square_cut(end: Vector, axis: Vector, radius: float, zero: Vector) -> FlatCut:
    """A cut square across the tube at ``end`` (3,); ``zero`` (3,) says roughly where phi = 0 is."""
    return FlatCut(
        origin=end,
        axis=axis,
        normal=axis,
        zero=square_to(axis, zero),
        tilt=0.0,
        weld_length=2.0 * math.pi * radius,
    )


def plane_cut(
    end: Vector, axis: Vector, radius: float, point: Vector, normal: Vector, zero: Vector
) -> FlatCut:
    """The cut by the plane through ``point`` (3,) square to ``normal`` (3,).

    The weld line is an ellipse of half axes r and r / cos(tilt); its length is 4 a E(m), with
    m = 1 - (r/a)^2 (any handbook on ellipses).

    Raises:
        ValueError: the tube runs along the plane.
    """
    from scipy.special import ellipe  # loads for a third of a second; only a flat cut waits for it

    normal = unit(normal)
    lean = float(dot(axis, normal))
    if abs(lean) < 1e-6:
        raise ValueError("a tube that runs along a plane is not cut by it")
    normal = normal if lean > 0.0 else -normal
    tilt = math.atan2(float(length(axis - abs(lean) * normal)), abs(lean))
    long_side = radius / math.cos(tilt)
    return FlatCut(
        origin=end + axis * (dot(point - end, normal) / abs(lean)),
        axis=axis,
        normal=normal,
        # the tube is left longest where the plane falls away from it: along the normal's own lean
        zero=square_to(axis, normal if tilt > SQUARE else zero),
        tilt=tilt if tilt > SQUARE else 0.0,
        weld_length=4.0 * long_side * float(ellipe(1.0 - (radius / long_side) ** 2)),
    )


def lean_off(axis: Vector, foot: Foot) -> float:
    """Angle between a tube's axis, from its end back into it, and square to its plate, rad, 0 to pi."""
    return angle_between(axis, foot.normal)


def plate_cut(end: Vector, axis: Vector, radius: float, foot: Foot, zero: Vector) -> FlatCut:
    """The cut to the top of the foot's plate: its thickness above the shell, along its normal."""
    top = foot.point + foot.plate[2] * foot.normal
    return plane_cut(end, axis, radius, top, foot.normal, zero)


def furthest(cut: FlatCut, end: Vector, radius: float) -> float:
    """How far short of ``end`` the cut's furthest point is, along the axis, mm (negative: past it)."""
    return float(np.dot(cut.origin - end, cut.axis)) - radius * math.tan(cut.tilt)
