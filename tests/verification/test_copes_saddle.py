"""Copes against the saddle equation and the perimeters of the joint.

Source: the saddle of two cylinders, w = (sqrt(R^2 - (r sin phi + e)^2) - r cos(phi) cos(b)) / sin(b), branch
radius r, main radius R, angle b, offset e, phi from the obtuse-angle side (plane geometry; values computed
independently and checked by putting the points on the main to 1e-10). Perimeters: quadrature of the same
curve, and for equal tubes at a right angle the closed form 4 sqrt(2) r E(1/2), E the complete elliptic
integral of the second kind (exact).
"""

import math

import numpy as np
import pytest
from scipy.special import ellipe

from cagewright.shape.quick import simple_cope

ROWS = [  # r, R, angle, offset, cut at phi = 0, 45 ... 315 degrees
    (22.5, 22.5, 90, 0, (22.5, 15.910, 0, 15.910, 22.5, 15.910, 0, 15.910)),
    (19, 22.5, 90, 0, (22.5, 18.049, 12.052, 18.049, 22.5, 18.049, 12.052, 18.049)),
    (19, 22.5, 60, 0, (15.011, 13.084, 13.916, 28.597, 36.950, 28.597, 13.916, 13.084)),
    (19, 22.5, 45, 0, (12.820, 12.089, 17.044, 38.960, 50.820, 38.960, 17.044, 12.089)),
    (19.05, 22.225, 90, 3, (22.022, 14.922, 2.784, 14.922, 22.022, 19.604, 15.374, 19.604)),
    (19, 22.5, 60, 3, (14.779, 9.987, 5.447, 25.501, 36.718, 30.774, 18.267, 15.261)),
]


@pytest.mark.parametrize(("r", "main", "angle", "offset", "cut"), ROWS)
def test_rows(r, main, angle, offset, cut):
    cope = simple_cope(
        branch_od=2 * r,
        branch_wall=2.5,
        main_od=2 * main,
        angle=math.radians(angle),
        offset=offset,
        points=8,
    )
    assert cope.outside == pytest.approx(cut, abs=6e-4)  # the rows have three decimals
    assert cope.angle == pytest.approx(math.radians(angle))
    assert cope.offset == offset
    assert len(cope.phi) == len(cope.inside) == len(cope.bevel) == len(cope.on) == 8


def test_bore_is_the_same_equation_with_the_bores_radius():
    cope = simple_cope(branch_od=38, branch_wall=2.5, main_od=45, angle=math.radians(60), offset=3)
    r = 16.5
    w = (
        np.sqrt(22.5**2 - (r * np.sin(cope.phi) + 3) ** 2) - r * np.cos(cope.phi) * math.cos(cope.angle)
    ) / math.sin(cope.angle)
    assert cope.inside == pytest.approx(w, abs=1e-9)


PERIMETERS = [(38, 45, 90, 127.949), (38, 45, 60, 137.950), (38, 45, 45, 155.115)]


@pytest.mark.parametrize(("branch", "main", "angle", "perimeter"), PERIMETERS)
@pytest.mark.parametrize("points", [8, 36, 72, 100, 180])
def test_perimeters(branch, main, angle, perimeter, points):
    cope = simple_cope(
        branch_od=branch, branch_wall=2.5, main_od=main, angle=math.radians(angle), points=points
    )
    assert cope.weld_length == pytest.approx(perimeter, abs=1.5e-3)


@pytest.mark.parametrize("points", [8, 24, 72, 100, 180])
def test_equal_tubes_square_on(points):
    cope = simple_cope(branch_od=45, branch_wall=2.5, main_od=45, points=points)
    assert cope.weld_length == pytest.approx(4 * math.sqrt(2) * 22.5 * ellipe(0.5), abs=1e-3)
    assert 4 * math.sqrt(2) * 22.5 * ellipe(0.5) == pytest.approx(171.909, abs=6e-4)


@pytest.mark.parametrize("angle", [90, 60, 45, 20])
def test_crotch_and_heel_bevels_are_the_angle_and_its_rest(angle):
    # between the walls in the plane of the two axes stands the angle itself (plane geometry)
    cope = simple_cope(branch_od=38, branch_wall=2.5, main_od=45, angle=math.radians(angle))
    assert math.degrees(cope.bevel[0]) == pytest.approx(180 - angle)
    assert math.degrees(cope.bevel[36]) == pytest.approx(angle)
    assert math.degrees(cope.least_bevel) == pytest.approx(angle)


def test_side_bevel_of_a_square_joint():
    # at phi = 90 the branch's outside leans on the main's at asin(r / R) past square (plane geometry)
    cope = simple_cope(branch_od=38, branch_wall=2.5, main_od=45)
    assert cope.bevel[18] == pytest.approx(math.pi / 2 + math.asin(19 / 22.5))


def test_obtuse_and_acute_are_one_joint_seen_from_two_sides():
    acute = simple_cope(branch_od=38, branch_wall=2.5, main_od=45, angle=math.radians(60), offset=3)
    obtuse = simple_cope(branch_od=38, branch_wall=2.5, main_od=45, angle=math.radians(120), offset=3)
    assert obtuse.outside == pytest.approx(acute.outside)
    assert obtuse.angle == pytest.approx(math.radians(60))


@pytest.mark.parametrize(
    "wrong",
    [
        {"angle": 0.2},
        {"branch_wall": 20.0},
        {"main_od": 0.0},
        {"points": 4},
        {"branch_wall": 0.0},
        {"offset": 41.6},
    ],
)
def test_nonsense_is_refused(wrong):
    with pytest.raises(ValueError):
        simple_cope(**{"branch_od": 38.0, "branch_wall": 2.5, "main_od": 45.0, **wrong})
