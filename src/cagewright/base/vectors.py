"""Small vector work on float arrays whose last axis is (back, across, up) in mm."""

from __future__ import annotations

from hashlib import blake2b
from typing import Any

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]  # shape (..., 3)

BACK: Vector = np.array([1.0, 0.0, 0.0])
ACROSS: Vector = np.array([0.0, 1.0, 0.0])
UP: Vector = np.array([0.0, 0.0, 1.0])
ROUND = 1e-9
"""Rounding of an angle, rad."""
for _axis in (BACK, ACROSS, UP):
    _axis.flags.writeable = False


def length(v: Vector) -> Vector:
    """Euclidean length over the last axis, shape (...,)."""
    return np.sqrt(dot(v, v))


def unit(v: Vector) -> Vector:
    """``v`` scaled to length 1, shape (..., 3).

    Raises:
        ValueError: a vector has no length.
    """
    size = length(v)
    if (size if v.ndim == 1 else size.min(initial=1.0)) < 1e-12:
        raise ValueError("a vector without length has no direction")
    return v / size[..., None]


def dot(a: Vector, b: Vector) -> Vector:
    """Scalar product over the last axis, shape (...,)."""
    if a.ndim == b.ndim == 1:
        return a @ b  # single vectors, by far the most calls: einsum costs five times as much
    return np.einsum("...i,...i->...", a, b)


def cross(a: Vector, b: Vector) -> Vector:
    """Vector product of two (3,) vectors (far quicker than numpy's general one)."""
    ax, ay, az = a.tolist()
    bx, by, bz = b.tolist()
    return np.array([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx])


def angle_between(a: Vector, b: Vector) -> float:
    """Angle from ``a`` to ``b`` in rad, 0 to pi; exact for small angles too."""
    ua, ub = unit(a), unit(b)
    return 2.0 * float(np.arctan2(length(ua - ub), length(ua + ub)))


def turn(v: Vector, axis: Vector, angle: float) -> Vector:
    """``v`` (..., 3) turned about the unit ``axis`` (3,) by ``angle`` rad, right-handed (Rodrigues)."""
    c, s = np.cos(angle), np.sin(angle)
    return v * c + np.cross(axis, v) * s + np.multiply.outer(dot(v, axis), axis) * (1.0 - c)


def square_to(axis: Vector, prefer: Vector) -> Vector:
    """Unit vector square to ``axis``, as near to ``prefer`` as can be (any, where they are parallel)."""
    axis = unit(axis)
    v = prefer - dot(prefer, axis) * axis
    if length(v) < 1e-9:
        v = np.eye(3)[int(np.argmin(np.abs(axis)))]
        v = v - dot(v, axis) * axis
    return unit(v)


def signed_angle(a: Vector, b: Vector, axis: Vector) -> float:
    """Angle in rad that turns ``a`` to ``b`` about ``axis``, right-handed, -pi to pi; half round is +pi."""
    angle = float(np.arctan2(dot(cross(a, b), axis), dot(a, b) - dot(a, axis) * dot(b, axis)))
    if abs(angle) < ROUND:
        return 0.0
    return np.pi if angle < ROUND - np.pi else angle


def triple(v: Vector) -> tuple[float, float, float]:
    """The vector (3,) as three plain numbers."""
    x, y, z = v.tolist()
    return (x, y, z)


def mirrored(v: Vector) -> Vector:
    """``v`` seen in the car's centre plane (across changes sign)."""
    return v * np.array([1.0, -1.0, 1.0])


def hashed(*arrays: NDArray[Any]) -> bytes:
    """One hash of the arrays' sizes and contents."""
    found = blake2b(digest_size=20)
    for array in arrays:
        found.update(f"{array.shape} {array.dtype}".encode())
        found.update(np.ascontiguousarray(array).tobytes())
    return found.digest()
