"""Joint strength against a worked case computed by hand from the formulas of EN 1993-1-8:2005 clause 7.4.

The formulas themselves are from memory (marked so in the code); the worked numbers were computed
independently from the same formulas: 38 x 2.5 and 45 x 2.5 on 45 x 2.5 at 90 degrees, fy 350 MPa.
"""

import math

import pytest

from cagewright.frame.joint_strength import (
    JointSizes,
    chord_factor,
    joint_modes,
    joint_strength,
    joint_use,
)


def sizes(branch: float, angle: float = 90.0, main: float = 45.0) -> JointSizes:
    return JointSizes(
        main_od=main,
        main_wall=2.5,
        branch_od=branch,
        branch_wall=2.5,
        angle=math.radians(angle),
        main_yield=350,
        branch_yield=350,
    )


def test_38_on_45():
    modes = joint_modes(sizes(38))
    assert modes["main wall"] == pytest.approx((43_880, 1.0213e6, 0.7102e6), rel=1e-3)
    assert modes["punching"][0] == pytest.approx(60_310, rel=1e-3)
    assert modes["branch"][0] == pytest.approx(97_590, rel=1e-3)
    assert modes["branch"][1] == pytest.approx(1.1045e6, rel=1e-3)
    s = joint_strength(sizes(38))
    # a circle of shear tau = fy/sqrt(3) through t0 carries tau t0 d1^2, less than the wall's bending here
    assert s.in_plane == pytest.approx(350 / math.sqrt(3) * 2.5 * 38**2, rel=1e-9)
    assert s.governs == ("main wall", "punching", "main wall")
    assert s.outside == ()


def test_45_on_45():
    s = joint_strength(sizes(45))
    assert s.axial == pytest.approx(57_710, rel=1e-3)
    assert s.in_plane == pytest.approx(1.4323e6, rel=1e-3)
    assert s.out_of_plane == pytest.approx(1.3988e6, rel=1e-3)


def test_the_branch_bounds_the_strength():
    thin = JointSizes(
        main_od=45,
        main_wall=4.4,
        branch_od=25,
        branch_wall=0.8,
        angle=math.pi / 2,
        main_yield=350,
        branch_yield=350,
    )
    assert joint_strength(thin).governs[0] == "branch"


def test_a_branch_opposite_weakens_a_narrow_joint():
    assert joint_strength(sizes(20), form="X").axial < joint_strength(sizes(20)).axial


def test_chord_compression_lowers_and_tension_does_not():
    assert chord_factor(175, 350) == pytest.approx(1 - 0.3 * 0.5 * 1.5)
    assert chord_factor(-200, 350) == 1.0
    pressed = joint_strength(sizes(38), main_compression=175)
    assert pressed.axial == pytest.approx(joint_strength(sizes(38)).axial * 0.775)


def test_interaction():
    s = joint_strength(sizes(38))
    assert joint_use(s, axial=s.axial, in_plane=0, out_of_plane=0) == pytest.approx(1.0)
    assert joint_use(s, axial=-s.axial / 2, in_plane=s.in_plane / 2, out_of_plane=-s.out_of_plane / 4) == 1.0


@pytest.mark.parametrize(
    ("branch", "angle", "word"), [(8, 90, "fifth"), (48, 90, "wider"), (38, 29, "under 30")]
)
def test_outside_the_limits_is_said(branch, angle, word):
    assert any(word in text for text in joint_strength(sizes(branch, angle)).outside)


def test_a_branch_along_its_main_is_refused():
    with pytest.raises(ValueError, match="along its main"):
        joint_strength(sizes(38, 0))
