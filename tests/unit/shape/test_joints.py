"""Which end is cut on what: ends on members, in corners, at one spot, and as ``cut:`` asks."""

import math

import numpy as np
import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.shape.distance import to_piece
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cope, FlatCut, member_named
from small_plans import HOOP_FEET, hoop, on_post, plan, post


def codes(p):
    with pytest.raises(ProblemsFound) as caught:
        resolve(p)
    return [x.code for x in caught.value.problems]


def mains(cage):
    return {j.name: j.mains for j in cage.joints}


def two_on_post(**more):
    """A post with two bars to one spot on it, and whatever else."""
    members, feet = post()
    members["first"] = {
        "role": "diagonal",
        "tube": "bar",
        "path": [[0, 0, 0], {"foot": "one"}],
        **more.get("first", {}),
    }
    members["second"] = {
        "role": "diagonal",
        "tube": "bar",
        "path": [[0, 0, 0], {"foot": "two"}],
        **more.get("second", {}),
    }
    feet["one"] = {"at": [500, 0, 0], "on": "rigid", "plate": [90, 90, 3], "normal": [-1, 0, 0]}
    feet["two"] = {"at": [400, 0, -300], "on": "rigid", "plate": [90, 90, 3], "normal": [-1, 0, 0]}
    return plan(members, feet=feet)


def test_an_end_on_a_member_is_cut_to_it_whatever_the_order():
    p = plan(
        {"stay": ("bar", [{"on": "hoop", "across": -300}, {"foot": "back"}]), "hoop": hoop()},
        feet={**HOOP_FEET, "back": [500, -300, 600]},
    )
    cage = resolve(p)
    assert mains(cage) == {"stay.start": ("hoop",)}
    assert isinstance(member_named(cage, "hoop").ends[0].cut, FlatCut)


def test_an_end_inside_a_tube_is_cut_to_it_with_its_offset():
    cage = resolve(on_post([[0, 3, 0], [500, 3, 0]]))
    cope = member_named(cage, "bar").ends[0].cut
    assert cope.offset == pytest.approx(3.0)
    assert cope.angle == pytest.approx(math.pi / 2)


def test_the_joint_says_where_on_the_main():
    cage = resolve(on_post([{"on": "post", "up": 120}, [500, 0, 120]]))
    joint = cage.joints[0]
    assert (joint.name, joint.branch, joint.which) == ("bar.start", "bar", "start")
    assert joint.along == pytest.approx((620.0,))
    assert joint.point == pytest.approx([0, 0, 120])


def test_of_two_ends_at_one_spot_the_later_is_cut_on_the_earlier_too():
    cage = resolve(two_on_post())
    assert mains(cage)["first.start"] == ("post",)
    assert set(mains(cage)["second.start"]) == {"post", "first"}


def test_cut_turns_the_order_round():
    cage = resolve(two_on_post(first={"cut": {"start": ["second"]}}))
    assert set(mains(cage)["first.start"]) == {"post", "second"}
    assert mains(cage)["second.start"] == ("post",)


def test_cut_on_either_end_means_the_one_that_meets():
    assert set(mains(resolve(two_on_post(first={"cut": ["second"]})))["first.start"]) == {"post", "second"}


def test_bars_on_opposite_sides_of_a_tube_do_not_meet():
    members, feet = post()
    members["left"] = ("bar", [{"on": "post", "part": 0.5}, {"foot": "l"}])
    members["right"] = ("bar", [{"on": "post", "part": 0.5}, {"foot": "r"}])
    feet["l"] = {"at": [0, -500, 0], "on": "rigid", "plate": [90, 90, 3], "normal": [0, 1, 0]}
    feet["r"] = {"at": [0, 500, 0], "on": "rigid", "plate": [90, 90, 3], "normal": [0, -1, 0]}
    cage = resolve(plan(members, feet=feet))
    assert mains(cage) == {"left.start": ("post",), "right.start": ("post",)}


def test_a_bar_that_passes_through_is_told():
    members, feet = post()
    members["bar"] = ("bar", [{"foot": "a"}, {"foot": "b"}])
    feet["a"] = {"at": [-500, 0, 0], "on": "rigid", "plate": [90, 90, 3], "normal": [1, 0, 0]}
    feet["b"] = {"at": [500, 0, 0], "on": "rigid", "plate": [90, 90, 3], "normal": [-1, 0, 0]}
    assert codes(plan(members, feet=feet)) == ["tubes-overlap"]


@pytest.mark.parametrize(("gap", "told"), [(41.6, False), (41.4, True)])
def test_tubes_that_just_clear_or_just_touch(gap, told):
    members, feet = post()
    members["bar"] = ("bar", [{"foot": "a"}, {"foot": "b"}])
    feet["a"] = {"at": [-500, gap, 0], "on": "rigid", "plate": [90, 90, 3], "normal": [1, 0, 0]}
    feet["b"] = {"at": [500, gap, 0], "on": "rigid", "plate": [90, 90, 3], "normal": [-1, 0, 0]}
    p = plan(members, feet=feet)
    if told:
        with pytest.raises(ProblemsFound) as caught:
            resolve(p)
        assert "runs 0.1 mm into 'post'" in caught.value.problems[0].found
    else:
        assert resolve(p).joints == ()


def test_a_bar_in_front_of_its_main_is_told():
    # the bar would have to pass through a whole tube before it reaches the post it is placed on
    members, feet = post()
    members["wall"] = ("hoop", [{"foot": "w1"}, {"foot": "w2"}])
    feet["w1"] = {"at": [60, 0, -500], "on": "rigid", "plate": [90, 90, 3]}
    feet["w2"] = {"at": [60, 0, 500], "on": "rigid", "plate": [90, 90, 3], "normal": [0, 0, -1]}
    members["bar"] = ("bar", [{"on": "post", "part": 0.5}, {"foot": "far"}])
    feet["far"] = {"at": [600, 0, 0], "on": "rigid", "plate": [90, 90, 3], "normal": [-1, 0, 0]}
    assert codes(plan(members, feet=feet)) == ["tubes-overlap"]


def test_a_wider_branch_hangs_past():
    members, feet = post()
    members["thin"] = ("bar", [{"foot": "a"}, {"foot": "b"}])
    feet["a"] = {"at": [300, -400, 0], "on": "rigid", "plate": [90, 90, 3], "normal": [0, 1, 0]}
    feet["b"] = {"at": [300, 400, 0], "on": "rigid", "plate": [90, 90, 3], "normal": [0, -1, 0]}
    members["wide"] = ("hoop", [{"on": "thin", "part": 0.5}, {"foot": "far"}])
    feet["far"] = {"at": [800, 0, 0], "on": "rigid", "plate": [90, 90, 3], "normal": [-1, 0, 0]}
    assert codes(plan(members, feet=feet)) == ["cope-misses"]


@pytest.mark.parametrize(("angle", "told"), [(14.0, True), (16.0, False)])
def test_shallow_joints(angle, told):
    a = math.radians(angle)
    far = [800 * math.sin(a), 0, 800 * math.cos(a) - 300]
    p = on_post([{"on": "post", "up": -300}, far])
    if told:
        assert codes(p) == ["too-shallow"]
    else:
        cope = resolve(p).members[1].ends[0].cut
        assert cope.least_bevel == pytest.approx(a)
        assert cope.outside.max() == pytest.approx((22.5 + 19 * math.cos(a)) / math.sin(a))


def test_two_bars_of_nearly_one_direction_are_told():
    members, feet = post()
    for name, z in (("one", 0.0), ("two", 60.0)):
        members[name] = ("bar", [{"on": "post", "part": 0.5}, {"foot": name}])
        feet[name] = {"at": [700, 0, z], "on": "rigid", "plate": [90, 90, 3], "normal": [-1, 0, 0]}
    assert codes(plan(members, feet=feet)) == ["too-shallow"]


def test_a_short_bar_across_a_corner_is_cut_on_each_leg_by_itself():
    p = plan(
        {
            "hoop": hoop(),
            "brace": ("bar", [{"on": "hoop", "up": 1100, "side": "left"}, {"on": "hoop", "across": -380}]),
        },
        feet=HOOP_FEET,
    )
    brace = member_named(resolve(p), "brace")
    both = [float(end.cut.outside.max()) for end in brace.ends]
    assert sum(both) < brace.path.length
    assert brace.length == pytest.approx(brace.path.length - brace.ends[0].trim - brace.ends[1].trim)


def test_an_end_that_another_is_cut_on_ends_square():
    members, feet = post()
    members["beam"] = ("bar", [{"on": "post", "part": 0.5}, [600, 0, 0]])
    members["prop"] = ("bar", [{"on": "beam", "along": 585}, {"foot": "far"}])
    feet["far"] = {"at": [585, 0, -400], "on": "rigid", "plate": [90, 90, 3]}
    p = plan(members, feet=feet)
    assert codes(p) == ["cope-misses"]
    beam = {**p.model_dump()["members"]["beam"], "path": [{"on": "post", "part": 0.5}, {"at": [605, 0, 0]}]}
    longer = plan({**members, "beam": beam}, feet=feet)
    end = member_named(resolve(longer), "beam").ends[1]
    assert isinstance(end.cut, FlatCut)
    assert (end.cut.tilt, end.joint, end.foot) == (0.0, None, None)


def test_a_free_end_names_the_nearest_tube_and_its_gap():
    p = on_post([[60, 0, 0], [500, 0, 0]])
    with pytest.raises(ProblemsFound) as caught:
        resolve(p)
    assert "'post', is 37.5 mm away" in caught.value.problems[0].found


def test_a_second_foot_user_is_cut_to_the_first_and_to_the_plate():
    p = plan(
        {
            "hoop": hoop(),
            "sill": ("bar", [{"foot": "left"}, {"foot": "front"}]),
        },
        feet={
            **HOOP_FEET,
            "front": {"at": [-900, -640, 500], "on": "box", "plate": [90, 80, 3], "normal": [1, 0, 0]},
        },
    )
    cope = member_named(resolve(p), "sill").ends[0].cut
    assert isinstance(cope, Cope)
    assert cope.mains == ("hoop",)
    on_plate = cope.on == -1
    assert 0.2 < on_plate.mean() < 0.8
    spot = wall_points(cope, 19.0)
    assert spot[on_plate][:, 2] == pytest.approx(203.0)
    assert (spot[~on_plate][:, 2] >= 203.0 - 1e-9).all()


def wall_points(cope, radius):
    """The cope's points in space, (n, 3) mm."""
    side = np.cross(cope.axis, cope.zero)
    out = np.cos(cope.phi)[:, None] * cope.zero + np.sin(cope.phi)[:, None] * side
    wall = cope.outside if radius > 16.6 else cope.inside
    return cope.origin + radius * out + wall[:, None] * cope.axis


def test_points_lie_on_the_mains_and_in_none():
    cage = resolve(two_on_post())
    cope = member_named(cage, "second").ends[0].cut
    for radius in (19.0, 16.5):
        spot = wall_points(cope, radius)
        gaps = np.array([
            np.min([to_piece(spot, p) for p in member_named(cage, name).path.pieces], axis=0)
            - member_named(cage, name).tube.radius
            for name in cope.mains
        ])
        assert gaps.min(axis=0) == pytest.approx(0.0, abs=1e-6)
