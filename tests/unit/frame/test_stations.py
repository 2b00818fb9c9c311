"""Where nodes stand along a member."""

import itertools
import math

import pytest

from cagewright.base.curves import tangent_at
from cagewright.base.vectors import angle_between
from cagewright.frame.choices import Choices
from cagewright.frame.stations import TOGETHER, limits, stations_of, together
from cagewright.shape.types import member_named
from push_cages import demo, hoop_cage, tee


def test_a_branch_starts_on_its_mains_surface():
    """A square joint: the tube starts one main radius from the axis (45/2), and has no stub at its foot."""
    cage = tee()
    bar = member_named(cage, "bar")
    assert limits(cage, bar, Choices()) == pytest.approx((22.5, 500.0))
    assert limits(cage, bar, Choices(stubs=False)) == (0.0, 500.0)


def test_joints_near_each_other_share_a_node():
    assert together([10.0, 12.0, 15.0, 40.0]) == pytest.approx([37.0 / 3.0, 40.0])
    assert together([0.0, 6.0]) == [0.0, 6.0]


def test_a_bend_is_cut_into_short_turns():
    cage = demo()
    for name, s in stations_of(cage, Choices(mesh=500.0)).items():
        path = member_named(cage, name).path
        for a, b in zip(s.along, s.along[1:], strict=False):
            mine = [bend for bend in s.member.bends if bend.start - 1e-6 <= a and b <= bend.stop + 1e-6]
            if mine:
                turned = angle_between(tangent_at(path, a), tangent_at(path, b))
                assert turned <= math.radians(15.0) + 1e-6


def test_every_joint_has_a_node_at_it():
    cage = demo()
    stations = stations_of(cage, Choices())
    for joint in cage.joints:
        along = stations[joint.mains[0]].along
        assert min(abs(s - joint.along[0]) for s in along) <= TOGETHER + 22.5


def test_places_of_loads_get_a_node_and_crowd_nothing():
    cage = hoop_cage()
    along = stations_of(cage, Choices(), {"cross": (333.3,)})["cross"].along
    assert 333.3 in along
    assert min(b - a for a, b in itertools.pairwise(along)) > 3.0
