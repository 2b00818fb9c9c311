"""How far a welded joint of tubes gives: H. Fessler, P. B. Mockford and J. J. Webster, Proc. Instn Civ. Engrs
81 (1986) 217-232.

The formulas along the branch and in the plane as a general research code has them (read); out of the plane
and the fitted range from memory. The numbers of the first test were worked by hand from the formulas. The
frame is checked without shells: one joint, unit loads, and by statics what a spring there adds to the tip.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from cagewright.frame.choices import Choices
from cagewright.frame.idealise import idealise, node_at
from cagewright.frame.joint_flexibility import deformation_limits, joint_flexibility
from cagewright.frame.joint_places import ARM, STIFF
from cagewright.frame.joint_strength import JointSizes
from cagewright.frame.linear import solve_linear
from push_cages import tee

E = 210e3


def sizes(main=(100.0, 4.0), branch=60.0, angle=90.0) -> JointSizes:
    return JointSizes(
        main_od=main[0], main_wall=main[1], branch_od=branch, branch_wall=2.5, angle=math.radians(angle),
        main_yield=350, branch_yield=350,
    )  # fmt: skip


def test_formulas_worked_by_hand():
    """D 100, T 4, d 60: gamma 12.5, beta 0.6; 12.5^2.15 = 228.22, 0.4^1.3 = 0.30386, and so on."""
    square = joint_flexibility(sizes(), young=E)
    assert square.fitted
    assert square.axial == pytest.approx(1.95 * 228.22 * 0.30386 / (E * 100), rel=1e-4)
    assert square.in_plane == pytest.approx(134 * 79.004 * 0.066404 / (E * 1e6), rel=1e-4)
    assert square.out_of_plane == pytest.approx(85.5 * 258.95 * 0.099261 / (E * 1e6), rel=1e-4)
    leant = joint_flexibility(sizes(angle=45.0), young=E)
    root = math.sqrt(0.5)
    assert leant.axial / square.axial == pytest.approx(root**2.19)
    assert leant.in_plane / square.in_plane == pytest.approx(root**1.22)
    assert leant.out_of_plane / square.out_of_plane == pytest.approx(root**2.16)


def test_a_joint_stiffer_than_the_range_has_the_flexibility_of_its_edge():
    """A branch as wide as its main is not rigid because (1 - beta)^1.3 vanishes."""
    wide = joint_flexibility(sizes(main=(45.0, 2.5), branch=45.0), young=E)
    edge = joint_flexibility(sizes(main=(45.0, 2.25), branch=36.0), young=E)
    assert not wide.fitted
    assert edge.fitted
    assert (wide.axial, wide.in_plane, wide.out_of_plane) == pytest.approx((
        edge.axial,
        edge.in_plane,
        edge.out_of_plane,
    ))
    thin = joint_flexibility(sizes(main=(100.0, 2.0), branch=60.0), young=E)
    assert thin.axial > joint_flexibility(sizes(main=(100.0, 2.5)), young=E).axial


def test_a_cage_joint_at_the_edge_by_hand():
    """38 x 2.5 on 45 x 2.5 at square counts as beta 0.8, gamma 10: 134 x 53.703 x 0.026893 and
    85.5 x 158.489 x 0.045959 over E D3, as much as 94 mm and 302 mm more branch (I = 44 140 mm4)."""
    joint = joint_flexibility(sizes(main=(45.0, 2.5), branch=38.0), young=E)
    inertia = math.pi / 64 * (38.0**4 - 33.0**4)
    more = [E * inertia * f for f in (joint.in_plane, joint.out_of_plane)]
    assert more == pytest.approx([93.7, 301.7], rel=1e-3)


LOADS = {"along": 1, "in plane": 2, "out of plane": 0}
"""The degree of freedom in which the bar's far end is pushed."""


@pytest.mark.parametrize("way", LOADS)
def test_one_joint_under_unit_loads(way):
    """Free far end, 500 mm out along y from an upright main: what the joint adds to the tip is f, or f L2."""
    cage = tee(foot={"at": [0, 500, 0], "on": "rigid", "plate": [100, 100, 3], "normal": [0, -1, 0]})
    dof = LOADS[way]
    tips: list[float] = []
    for flexibility in (0.0, 1.0):
        model = idealise(cage, Choices(joints="report", flexibility=flexibility, softened="none"))
        tip = node_at(model, "bar", 500.0)
        model.model.fixed[tip] = False
        loads = np.zeros((1, len(model.model.nodes), 6))
        loads[0, tip, dof] = 1.0
        tips.append(float(solve_linear(model.model, loads).displacement[0, tip, dof]))
    joint = joint_flexibility(model.joints[0].sizes, young=E)
    # the joint stands on the main's surface, at the end of the rigid piece from its axis
    expected = {
        "along": joint.axial, "in plane": joint.in_plane * (500.0 - 22.5) ** 2,
        "out of plane": joint.out_of_plane * (500.0 - 22.5) ** 2,
    }[way]  # fmt: skip
    assert tips[1] - tips[0] == pytest.approx(expected, rel=1e-3)
    assert 1e-3 * joint.axial * 50.0 > 1.0 / STIFF
    assert 0.02 * joint.in_plane > 1.0 / (STIFF * ARM**2)


def test_the_limits_at_which_a_joint_counts_as_parted():
    """38 mm of 350 MPa: 60 x 350/210000 x 38 = 3.8 mm, 80 x 350/210000 = 0.1333 rad."""
    pulled, *turned = deformation_limits(sizes(branch=38.0), young=E)
    assert pulled == pytest.approx(3.8)
    assert turned == pytest.approx([0.13333, 0.13333], rel=1e-4)
