"""The figures of curves whose values can be worked out by hand, and when they cannot be told."""

import pytest

from cagewright.compare.figures import FIGURES, counted, drop, gives_way, joint_load, margin, value_of
from cagewright.frame.results import JointUse
from pushed import answered, push_of, room_of

FIGURE = {f.key: f for f in FIGURES}


def test_largest_load_and_energy_are_taken_as_far_as_the_push_counts():
    r = answered([0, 10, 20, 40], [0, 1000, 2000, 500])
    assert value_of(FIGURE["peak_N"], r, 10.0) == 2000.0
    assert value_of(FIGURE["energy_J"], r, 10.0) == pytest.approx(45.0)
    short = answered([0, 10, 20, 40], [0, 1000, 2000, 500], limit="first touch", at=15.0)
    assert value_of(FIGURE["peak_N"], short, 10.0) == 1500.0  # between two kept steps
    assert value_of(FIGURE["energy_J"], short, 10.0) == pytest.approx(0.5 * 15.0 * 1.5)
    travel, load = counted(short)
    assert (travel.tolist(), load.tolist()) == ([0.0, 10.0, 15.0], [0.0, 1000.0, 1500.0])


def test_it_gives_way_where_the_slope_is_a_tenth():
    """A parabola P = 1000 (x - x2/100): slope 1000 (1 - x/50), a tenth of the first at 45 mm, P 24 750 N."""
    x = [2.0 * k for k in range(26)]
    load = [1000.0 * (v - v * v / 100.0) for v in x]
    r = answered(x, load, stiffness=1000.0)
    assert gives_way(r) == pytest.approx(24_750.0, rel=1e-3)  # the chords stand for the parabola
    assert gives_way(answered(x, load, stiffness=1000.0, limit="first tear", at=40.0)) is None
    assert gives_way(answered([0, 50], [0, 5000.0], stiffness=None)) is None


def test_a_second_climb_does_not_count():
    r = answered([0, 10, 20, 30, 40], [0, 1000, 1010, 3000, 5000], stiffness=100.0)
    assert 1000.0 <= gives_way(r) <= 1010.0


def test_margin_is_what_is_left_to_anybody():
    assert margin(answered([0, 100], [0, 1000], room=room_of(least=30.0))) == 30.0
    assert margin(answered([0, 100], [0, 1000], room=room_of(touched=80.0, least=-2.0))) == 0.0
    assert margin(answered([0, 100], [0, 1000])) is None


def test_drop_counts_only_what_is_taken_up_while_the_push_counts():
    """10 kN of weight: 50 J up to 100 mm lift it 5 mm; 12.5 J up to 50 mm lift it 1.25 mm."""
    assert drop(answered([0, 100], [0, 1000])) == pytest.approx(5.0)
    assert drop(answered([0, 50, 100], [0, 500, 1000], limit="first touch", at=50.0)) == pytest.approx(1.25)
    assert drop(answered([0, 100], [0, 1000], push=push_of("pole"))) is None
    assert drop(answered([0, 100], [0, 1000], weight=None)) is None


def joint(over, load):
    return JointUse(joint="j", words="w", most=1.2, over=over, over_load=load, governs="main wall",
                    forces=(0.0, 0.0, 0.0), weld=None, outside=(), fitted=False)  # fmt: skip


def test_the_first_joint_counts_if_it_is_reached_in_time():
    joints = (joint(30.0, 300.0), joint(10.0, 100.0), joint(None, None))
    r = answered([0, 100], [0, 1000], joints=joints)
    assert joint_load(r) == 100.0
    assert joint_load(answered([0, 100], [0, 1000], joints=joints, limit="first touch", at=5.0)) is None
    assert FIGURE["joint_N"].absent(r) == "none"


def test_a_stall_hides_what_comes_after_and_nothing_before():
    stalled = answered([0, 60], [0, 600], push=push_of(travel=100.0))
    assert stalled.counted.kind == "cannot tell"
    assert value_of(FIGURE["energy_J"], stalled, 10.0) == pytest.approx(18.0)
    assert FIGURE["joint_N"].absent(stalled) == ""
    assert value_of(FIGURE["energy_J"], None, 10.0) is None
