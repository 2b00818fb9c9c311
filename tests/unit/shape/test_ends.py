"""Finished ends: plates, square cuts, trims, lengths, clockings."""

import math

import numpy as np
import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.base.vectors import turn
from cagewright.shape.ends import carried, carried_back
from cagewright.shape.flat import plane_cut
from cagewright.shape.resolve import resolve
from cagewright.shape.types import member_named
from small_plans import HOOP_FEET, hoop, on_post, plan


def test_a_tube_square_on_its_plate_stops_at_the_plates_top():
    bar = member_named(resolve(on_post([{"on": "post", "up": 0}, [500, 0, 0]])), "bar")
    cope, flat = bar.ends[0].cut, bar.ends[1].cut
    assert flat.tilt == 0.0
    assert bar.ends[1].trim == pytest.approx(3.0)
    assert flat.origin == pytest.approx([497, 0, 0])
    assert flat.weld_length == pytest.approx(38 * math.pi)
    assert bar.ends[0].trim == pytest.approx(cope.outside.min())
    assert bar.ends[0].trim == pytest.approx(math.sqrt(22.5**2 - 19**2))
    assert bar.length == pytest.approx(497 - bar.ends[0].trim)


@pytest.mark.parametrize("lean", [0.0, 10.0, 35.0, 60.0])
def test_a_leaning_cut_is_an_ellipse(lean):
    a = math.radians(lean)
    cut = plane_cut(
        np.zeros(3),
        np.array([0, 0, 1.0]),
        20.0,
        np.zeros(3),
        np.array([math.sin(a), 0, math.cos(a)]),
        np.array([0, 1.0, 0]),
    )
    turns = np.linspace(0, 2 * math.pi, 20001)
    x, y = 20 * np.cos(turns), 20 * np.sin(turns)
    z = -x * math.tan(a)
    sampled = np.sum(np.sqrt(np.diff(x) ** 2 + np.diff(y) ** 2 + np.diff(z) ** 2))
    assert cut.weld_length == pytest.approx(sampled, rel=1e-6)
    assert cut.tilt == pytest.approx(a)
    # the tube reaches lowest, so is longest, on the side the plane's normal leans to
    assert cut.zero == pytest.approx([1, 0, 0] if lean else [0, 1, 0])


def test_a_plane_along_the_tube_cuts_nothing():
    x = np.array([1.0, 0, 0])
    with pytest.raises(ValueError, match="along a plane"):
        plane_cut(np.zeros(3), x, 20.0, np.zeros(3), np.array([0, 0, 1.0]), x)


def test_turret_foot_is_cut_to_its_plate():
    p = plan(
        {"hoop": hoop(), "stay": ("bar", [{"on": "hoop", "across": -300}, {"foot": "back"}])},
        feet={
            **HOOP_FEET,
            "back": {
                "at": [600, -400, 500],
                "on": "turret",
                "plate": [90, 80, 4],
                "normal": [-0.4, 0, 0.9],
            },
        },
    )
    cage = resolve(p)
    end = member_named(cage, "stay").ends[1]
    normal = np.array([-0.4, 0, 0.9]) / math.hypot(0.4, 0.9)
    along = np.array([600, -100, -740]) / np.linalg.norm([600, -100, -740])
    assert end.cut.tilt == pytest.approx(math.acos(-along @ normal))
    assert end.foot == "back"
    # the longest point of the tube lies on the plate's top
    low = end.cut.origin + 19 * end.cut.zero - 19 * math.tan(end.cut.tilt) * end.cut.axis
    assert (low - np.array([600, -400, 500])) @ normal == pytest.approx(4.0)
    assert end.trim == pytest.approx((low - np.array([600, -400, 500])) @ -along)


def test_clocking_from_the_inside_of_the_bend_to_the_heel():
    # the bar leaves the post backwards and bends upwards: the inside of the bend is up (+z); the post's
    # heel side at 90 degrees lies on +-z, and lands on -z where the bar leans down to the back
    p = on_post([{"on": "post", "up": 0}, [300, 0, -60], [300, 0, 400]])
    bar = member_named(resolve(p), "bar")
    assert bar.ends[0].cut.zero[2] > 0.9
    assert bar.ends[0].clocking == pytest.approx(0.0)
    p = on_post([{"on": "post", "up": 0}, [300, 0, -60], [300, 400, -60]])
    bar = member_named(resolve(p), "bar")
    # now it bends to +across: seen along the travel, from across to up is a quarter turn left-handed
    assert math.degrees(bar.ends[0].clocking) == pytest.approx(90.0, abs=0.1)


def test_clocking_turns_with_the_bend():
    for turned in (0.0, 40.0, 130.0, -70.0):
        out = turn(np.array([0, 0, 1.0]), np.array([1.0, 0, 0]), math.radians(turned))
        far = (np.array([300.0, 0, 0]) + 400 * out).tolist()
        bar = member_named(resolve(on_post([{"on": "post", "up": 0}, [300, 0, 0], far])), "bar")
        zero = bar.ends[0].cut.zero
        heel = math.degrees(math.atan2(-zero[1], zero[2]))
        want = (heel - turned + 180.0) % 360.0 - 180.0
        assert math.cos(bar.ends[0].clocking - math.radians(want)) == pytest.approx(1.0, abs=1e-9)


def test_a_direction_carried_there_and_back_is_itself():
    path = member_named(resolve(plan({"hoop": hoop()}, feet=HOOP_FEET)), "hoop").path
    out = np.array([1.0, 0, 0])
    there = carried(path, out)
    assert there == pytest.approx([1, 0, 0])
    side = np.array([0, 1.0, 0])
    assert carried(path, side) == pytest.approx([0, -1, 0])
    assert carried_back(path, carried(path, side)) == pytest.approx(side)


def test_end_clocking_of_a_straight_bar_between_two_posts():
    # both copes have their heels by the same rule: a bar rising to the back has its heel up at the first
    # post and down at the second
    p = plan(
        {
            "one": ("hoop", [{"foot": "a"}, {"foot": "b"}]),
            "two": ("hoop", [{"foot": "c"}, {"foot": "d"}]),
            "bar": ("bar", [{"on": "one", "up": -60}, {"on": "two", "up": 100}]),
        },
        feet={
            name: {
                "at": [x, 0, z],
                "on": "rigid",
                "plate": [90, 90, 3],
                "normal": [0, 0, -1 if z > 0 else 1],
            }
            for name, x, z in (("a", 0, -500), ("b", 0, 500), ("c", 500, -500), ("d", 500, 500))
        },
    )
    bar = member_named(resolve(p), "bar")
    assert bar.ends[0].cut.zero[2] < 0.0 < bar.ends[1].cut.zero[2]
    assert bar.end_clocking == pytest.approx(math.pi)


def test_a_straight_tube_with_two_square_ends_is_not_clocked():
    p = plan(
        {"bar": ("bar", [{"foot": "a"}, {"foot": "b"}])},
        feet={
            "a": {"at": [0, 0, 0], "on": "rigid", "plate": [90, 90, 3], "normal": [1, 0, 0]},
            "b": {"at": [500, 0, 0], "on": "rigid", "plate": [90, 90, 3], "normal": [-1, 0, 0]},
        },
    )
    bar = resolve(p).members[0]
    assert bar.end_clocking == 0.0
    assert bar.length == pytest.approx(494.0)


def test_a_front_leg_behind_the_middle_of_a_corner_bend_has_a_asymmetric_cope():
    # common practice, no source: such a notch is never symmetric, so a simple saw cut will not do; one on
    # the straight top, square in plan, is symmetric about the plane of the two axes
    feet = {
        **HOOP_FEET,
        "low": {"at": [-900, -600, 190], "on": "box", "plate": [90, 80, 3]},
        "low2": {"at": [-900, -200, 190], "on": "box", "plate": [90, 80, 3]},
    }
    p = plan(
        {
            "hoop": hoop(),
            "leg": (
                "bar",
                [
                    {"foot": "low"},
                    [-890, -600, 800],
                    [-500, -500, 1190],
                    {"on": "hoop", "up": 1208, "side": "left"},
                ],
            ),
            "straight": (
                "bar",
                [{"foot": "low2"}, [-890, -200, 800], [-500, -200, 1190], {"on": "hoop", "across": -200}],
            ),
        },
        feet=feet,
    )
    cage = resolve(p)
    corner, plain = (member_named(cage, n).ends[1].cut for n in ("leg", "straight"))
    assert corner.bent_main
    assert corner.asymmetric > 0.5
    assert not plain.bent_main
    assert plain.asymmetric < 1e-6


@pytest.mark.parametrize(
    ("normal", "told"), [([0.4, 0, 0.9], False), ([1, 0, 0.1], True), ([0, 0, -1], True)]
)
def test_a_plate_that_does_not_face_its_tube_is_told(normal, told):
    p = plan(
        {"hoop": hoop(), "stay": ("bar", [{"on": "hoop", "across": -300}, {"foot": "back"}])},
        feet={
            **HOOP_FEET,
            "back": {"at": [600, -300, 500], "on": "turret", "plate": [90, 80, 3], "normal": normal},
        },
    )
    if not told:
        assert member_named(resolve(p), "stay").ends[1].foot == "back"
        return
    with pytest.raises(ProblemsFound) as caught:
        resolve(p)
    assert [x.code for x in caught.value.problems] == ["foot-lean"]
