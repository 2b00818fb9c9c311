"""The figures of curves whose values can be worked out by hand, and when they cannot be told."""

import pytest

from cagewright.compare.figures import (
    FIGURES,
    common_travel,
    drop,
    energy,
    gives_way,
    joint_load,
    largest_load,
    margin,
    still_rising,
    told,
    value_of,
)
from cagewright.frame.results import JointUse
from pushed import answered, push_of, room_of

FIGURE = {f.key: f for f in FIGURES}


def test_largest_load_and_energy_are_taken_up_to_the_common_travel():
    r = answered([0, 10, 20, 40], [0, 1000, 2000, 500])
    assert largest_load(r, 40.0) == 2000.0
    assert largest_load(r, 15.0) == 1500.0  # between two kept steps
    assert energy(r, 20.0) == pytest.approx(20.0)  # half of 2 kN by 20 mm
    assert energy(r, 40.0) == pytest.approx(45.0)


def test_a_load_has_passed_its_peak_only_after_a_fall_of_a_fiftieth():
    r = answered([0, 10, 20], [0, 1000, 985])
    assert still_rising(r, 20.0)
    assert not still_rising(answered([0, 10, 20], [0, 1000, 975]), 20.0)
    assert still_rising(answered([0, 10, 20], [0, 1000, 975]), 10.0)


def test_it_gives_way_where_the_slope_is_a_tenth():
    """A parabola P = 1000 (x - x2/100): slope 1000 (1 - x/50), a tenth of the first at 45 mm, P 24 750 N."""
    x = [2.0 * k for k in range(26)]
    r = answered(x, [1000.0 * (v - v * v / 100.0) for v in x], stiffness=1000.0)
    assert gives_way(r, 50.0) == pytest.approx(24_750.0, rel=1e-3)  # the chords stand for the parabola
    assert gives_way(r, 40.0) is None
    assert gives_way(answered([0, 50], [0, 5000.0], stiffness=None), 50.0) is None


def test_a_second_climb_does_not_count():
    r = answered([0, 10, 20, 30, 40], [0, 1000, 1010, 3000, 5000], stiffness=100.0)
    assert 1000.0 <= gives_way(r, 40.0) <= 1010.0


def test_margin_belongs_to_the_travel_it_was_followed_over():
    r = answered([0, 100], [0, 1000], room=room_of(least=30.0, followed=100.0))
    assert margin(r, 100.0) == 30.0
    assert margin(r, 80.0) is None
    assert margin(answered([0, 100], [0, 1000]), 100.0) is None


def test_drop_counts_only_what_is_taken_up_before_the_helmet_is_touched():
    """10 kN of weight: 50 J up to 100 mm lift it 5 mm; 12.5 J up to 50 mm lift it 1.25 mm."""
    assert drop(answered([0, 100], [0, 1000]), 100.0) == pytest.approx(5.0)
    touched = answered([0, 50, 100], [0, 500, 1000], room=room_of(touched=50.0))
    assert drop(touched, 100.0) == pytest.approx(1.25)
    assert drop(answered([0, 100], [0, 1000], push=push_of("pole")), 100.0) is None
    assert drop(answered([0, 100], [0, 1000], weight=None), 100.0) is None


def joint(over, load):
    return JointUse(joint="j", words="w", most=1.2, over=over, over_load=load, governs="main wall",
                    forces=(0.0, 0.0, 0.0), weld=None, outside=())  # fmt: skip


def test_the_first_joint_counts_if_it_is_reached_in_time():
    r = answered([0, 100], [0, 1000], joints=(joint(30.0, 300.0), joint(10.0, 100.0), joint(None, None)))
    assert joint_load(r, 100.0) == 100.0
    assert joint_load(r, 5.0) is None
    assert FIGURE["joint_N"].absent(r) == "none"


def test_a_stall_hides_what_comes_after_and_nothing_before():
    stalled = answered([0, 60], [0, 600], push=push_of(travel=100.0))
    assert not told(stalled, 100.0)
    assert value_of(FIGURE["energy_J"], stalled, 100.0) is None
    assert value_of(FIGURE["energy_J"], stalled, 50.0) == pytest.approx(12.5)


def test_common_travel_leaves_out_what_hardly_began():
    push = push_of(travel=100.0)
    runs = [answered([0, end], [0, 1.0], push=push) for end in (100.0, 62.0, 49.0)]
    assert common_travel(runs) == 62.0
    assert common_travel(runs[2:]) == 0.0
    assert value_of(FIGURE["energy_J"], runs[2], common_travel(runs)) is None
