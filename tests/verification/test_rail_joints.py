"""Round tube on square and rectangular rail by hand, and what no source speaks of.

Source: EN 1993-1-8:2005 Tables 7.8, 7.11 and 7.14 (from memory, as the code has them; worked by hand
for 36 x 2.5 mm on 60 x 60 x 3 mm, S355: beta 0.6).
"""

import math
from dataclasses import replace

import pytest

from cagewright.frame.joint_strength import joint_strength, outside_validity
from cagewright.frame.rail_joints import RailJointSizes, chord_face, rail_flexibility, rail_joint_modes
from cagewright.stock.sections import Section, round_section

SQUARE = Section(shape="square", width=60.0, depth=60.0, wall=3.0, corner=6.0)
JOINT = RailJointSizes(
    main=SQUARE, branch=round_section(36.0, 2.5), face=60.0, other=60.0, angle=math.pi / 2,
    main_yield=355.0, branch_yield=355.0,
)  # fmt: skip


def test_chord_face_by_hand():
    """355 x 9 = 3195 N; (1.2 + 4 root 0.4)/0.4 = 9.3246; 36 x (1/1.2 + 2/root 0.4 + 1.5) = 197.84 mm;
    36 x 1.6/0.8 + root(2 x 60 x 36 x 1.6/0.4) = 203.45 mm; each times pi/4."""
    axial, in_plane, out_of_plane = chord_face(JOINT)
    assert axial == pytest.approx(math.pi / 4 * 3195 * 9.3246, rel=1e-4)
    assert in_plane == pytest.approx(math.pi / 4 * 3195 * 197.84, rel=1e-4)
    assert out_of_plane == pytest.approx(math.pi / 4 * 3195 * 203.45, rel=1e-4)
    assert joint_strength(JOINT).outside == ()


def test_punching_by_hand():
    """fy/root 3 x 3 mm x pi 36 mm, square on."""
    shear = 355.0 / math.sqrt(3.0) * 3.0
    assert rail_joint_modes(JOINT)["punching"][0] == pytest.approx(shear * math.pi * 36.0)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"branch": round_section(20.0, 2.0)}, "narrower than 0.4"),
        ({"branch": round_section(50.0, 2.5)}, "wider than 0.8"),
        ({"angle": math.radians(25.0)}, "under 30"),
        ({"other": 20.0}, "two to one"),
        (
            {"main": Section(shape="angle", width=60.0, depth=60.0, wall=5.0)},
            "no source for a tube on an angle",
        ),
        (
            {"main": Section(shape="flat", width=60.0, depth=6.0, wall=6.0)},
            "no source for a tube on a flat bar",
        ),
        ({"branch": SQUARE}, "no source for a rail on a rail"),
    ],
)
def test_outside_its_range_it_cannot_tell_and_is_neither_rigid_nor_without_limit(change, said):
    joint = replace(JOINT, **change)
    assert any(said in words and words.startswith("cannot tell") for words in outside_validity(joint))
    strength = joint_strength(joint)
    assert all(0.0 < v < 1e9 for v in (strength.axial, strength.in_plane, strength.out_of_plane))
    assert all(1e-12 < v < 1e-2 for v in rail_flexibility(joint))


def test_a_wider_tube_is_given_no_more_than_the_widest_judged():
    widest, wider = (replace(JOINT, branch=round_section(d, 2.5)) for d in (48.0, 56.0))
    assert chord_face(wider) == pytest.approx(chord_face(widest))


def test_a_tube_on_an_angle_is_given_less_than_on_a_box_of_the_same_wall():
    angle = replace(JOINT, main=Section(shape="angle", width=60.0, depth=60.0, wall=3.0))
    assert joint_strength(angle).axial < 0.5 * joint_strength(JOINT).axial
