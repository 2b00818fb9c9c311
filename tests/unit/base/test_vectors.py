"""Vector work against hand-made answers."""

import math

import numpy as np
import pytest

from cagewright.base.vectors import (
    ACROSS,
    BACK,
    UP,
    angle_between,
    cross,
    dot,
    length,
    mirrored,
    signed_angle,
    square_to,
    turn,
    unit,
)


def test_single_vectors_and_rows_agree():
    a = np.array([[1.0, 2, 3], [4, -5, 6]])
    b = np.array([[-2.0, 0.5, 1], [7, 8, 9]])
    assert dot(a, b) == pytest.approx([dot(x, y) for x, y in zip(a, b, strict=True)])
    assert length(a) == pytest.approx([length(x) for x in a])
    assert unit(a)[1] == pytest.approx(unit(a[1]))
    assert cross(a[0], b[0]) == pytest.approx(np.cross(a[0], b[0]))


@pytest.mark.parametrize("v", [np.zeros(3), np.array([[1.0, 0, 0], [0, 0, 0]])])
def test_no_length_no_direction(v):
    with pytest.raises(ValueError, match="no direction"):
        unit(v)


def test_turning_is_right_handed():
    assert turn(BACK, UP, math.pi / 2) == pytest.approx(ACROSS)
    assert turn(np.array([BACK, UP]), UP, math.pi / 2) == pytest.approx(np.array([ACROSS, UP]))


@pytest.mark.parametrize("angle", [-3.0, -0.5, 0.0, 1e-6, 2.0, math.pi])
def test_signed_angle_undoes_a_turn(angle):
    axis = unit(np.array([1.0, 2.0, -1.0]))
    a = square_to(axis, UP)
    assert signed_angle(a, turn(a, axis, angle), axis) == pytest.approx(angle, abs=1e-12)


def test_half_round_is_never_minus_half_round():
    assert signed_angle(BACK, turn(BACK, UP, -math.pi), UP) == math.pi
    assert math.copysign(1.0, signed_angle(BACK, BACK, -UP)) == 1.0


def test_small_angles_are_exact():
    assert angle_between(BACK, BACK + 1e-9 * UP) == pytest.approx(1e-9, rel=1e-6)
    assert angle_between(BACK, -BACK) == pytest.approx(math.pi)


def test_square_to_keeps_near_what_is_preferred():
    v = square_to(np.array([1.0, 0, 1.0]), UP)
    assert v == pytest.approx(np.array([-1, 0, 1]) / math.sqrt(2))
    assert abs(dot(square_to(UP, UP), UP)) < 1e-12


def test_mirrored_twice_is_itself():
    v = np.array([[1.0, 2, 3], [0, -1, 0]])
    assert mirrored(v)[:, 1] == pytest.approx([-2, 1])
    assert mirrored(mirrored(v)) == pytest.approx(v)
