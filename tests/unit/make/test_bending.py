import math
from dataclasses import replace

import numpy as np
import pytest

from cagewright.make.bending import bend_sheet, rotation_words, turn_words
from cagewright.stock.shop import NO_SHOP
from cagewright.stock.steels import Steel
from cagewright.stock.tubes import round_tube
from handmade import BAR, HOOP
from shopmade import DEG, HOOP_DIE, SHOP, tee, tube_through

SETBACK = 135.0
"""45 mm at CLR 135 and 90 degrees (plane geometry: R tan(45))."""


def one_bend():
    return tube_through(((0, 0, 0), (0, 0, 400 + SETBACK), (300 + SETBACK, 0, 400 + SETBACK)))


def dogleg(turned: float, last: float = 500.0):
    """Up, then back along +x, then off ``turned`` rad clockwise of the first bend, seen from the start."""
    # looking along +x with z up, +y is on the left: the first bend's inside is down, at 6 o'clock, and
    # clockwise from there is 9 o'clock, +y
    after = np.array([0.0, math.sin(turned), -math.cos(turned)])
    corner = np.array([800.0, 0.0, 600.0])
    return tube_through(((0, 0, 0), (0, 0, 600), corner, corner + last * after))


def test_one_square_bend():
    step = bend_sheet(one_bend(), SHOP).steps[0]
    # 212.058 mm: R theta, computed by hand for 45 mm at CLR 135
    assert step.arc == pytest.approx(212.058, abs=5e-4)
    # marks from the rough end: trim 10 + straight 400
    assert (step.start_mark, step.stop_mark) == pytest.approx((410.0, 622.058), abs=5e-4)
    assert step.centre_mark == pytest.approx(410.0 + 212.058 / 2.0, abs=5e-4)
    assert (step.straight, step.rotation, step.angle) == pytest.approx((410.0, 0.0, math.pi / 2.0))


def test_set_angle_by_trials():
    step = bend_sheet(one_bend(), SHOP).steps[0]
    assert step.set_angle == pytest.approx(93.0 * DEG)  # the die's own trial at 90
    assert (step.rule.basis, step.rule.scatter, step.lone_trial) == ("trials", None, None)


def test_set_angle_by_practice_before_two_trials_and_theory_beside_it():
    # 45 x 2.5, CLR 135, yield 450: share 0.01729, 90 degrees needs 91.58 (elastic-plastic, computed by hand)
    steel = Steel(
        name="hard", yield_strength=450.0, tensile=550.0, source="made up for tests", certainty="memory"
    )
    member = replace(one_bend(), tube=round_tube(od=45.0, wall=2.5, steel=steel))
    for trials in ((), HOOP_DIE.trials[:1]):
        step = bend_sheet(member, replace(SHOP, dies=(replace(HOOP_DIE, trials=trials),))).steps[0]
        assert (step.rule.basis, step.lone_trial) == ("practice", trials[0] if trials else None)
        assert step.set_angle == pytest.approx(94.0 * DEG)  # 4 degrees in 90: common practice, no source
        assert step.rule.theory is not None
        assert step.rule.theory * step.angle == pytest.approx(91.58 * DEG, abs=0.005 * DEG)


def test_scatter_of_three_trials_is_passed_on():
    more = replace(HOOP_DIE, trials=(*HOOP_DIE.trials, replace(HOOP_DIE.trials[0], set_angle=48.0 * DEG)))
    step = bend_sheet(one_bend(), replace(SHOP, dies=(more,))).steps[0]
    assert step.rule.scatter == pytest.approx(math.sqrt(0.5) * DEG, rel=1e-6)


def test_walls_after_bending():
    step = bend_sheet(one_bend(), SHOP).steps[0]
    # 3 D bend: 14.29 % thinner outside, 20 % thicker inside (constant volume, rule of thumb, second-hand)
    assert step.outer_wall == pytest.approx(2.5 * (1.0 - 0.1429), abs=1e-3)
    assert step.inner_wall == pytest.approx(3.0)


@pytest.mark.parametrize("turned", [30.0, -30.0, 120.0, -90.0])
def test_rotation_is_clockwise_seen_from_the_start(turned):
    sheet = bend_sheet(dogleg(turned * DEG), SHOP)
    assert sheet.starts_at == "start"
    assert sheet.steps[1].rotation == pytest.approx(turned * DEG)


@pytest.mark.parametrize("turned", [30.0, -75.0])
def test_rotation_reads_the_same_from_the_other_end(turned):
    there = dogleg(turned * DEG, last=800.0)
    grip = replace(HOOP_DIE, grip=500.0)
    sheet = bend_sheet(there, replace(SHOP, dies=(grip,)))
    assert sheet.starts_at == "end"
    assert [s.bend for s in sheet.steps] == [2, 1]
    assert sheet.steps[1].rotation == pytest.approx(turned * DEG)


def test_marks_from_the_end_mirror_those_from_the_start():
    there = dogleg(30.0 * DEG, last=800.0)
    forward = bend_sheet(there, replace(SHOP, dies=(replace(HOOP_DIE, grip=0.0, tail=0.0),)))
    backward = bend_sheet(there, replace(SHOP, dies=(replace(HOOP_DIE, grip=500.0, tail=0.0),)))
    assert (forward.starts_at, backward.starts_at) == ("start", "end")
    assert forward.rough == pytest.approx(backward.rough)
    for a, b in zip(forward.steps, reversed(backward.steps), strict=True):
        assert a.start_mark == pytest.approx(forward.rough - b.stop_mark)


def test_marks_count_from_the_rough_end_beyond_a_cope():
    # the cope's furthest point lies `trim` short of the path's end, the rough end 10 mm before that
    cope = tee().members[1].ends[0].cut
    member = tube_through(((0, 0, 0), (0, 0, 600), (600, 0, 600)), tube=BAR, clr=114.0, start=cope)
    trim = member.ends[0].trim
    assert trim > 5.0
    step = bend_sheet(member, SHOP).steps[0]
    assert step.start_mark == pytest.approx(600.0 - 114.0 - trim + 10.0)


def test_a_short_straight_before_the_first_bend_is_for_the_grip_to_say():
    die = replace(HOOP_DIE, grip=0.0, tail=0.0)
    member = tube_through(((0, 0, 0), (0, 0, 20 + SETBACK), (300 + SETBACK, 0, 20 + SETBACK)))
    assert codes(member, replace(SHOP, dies=(die,))) == []


def test_last_straight_reaches_the_rough_end():
    sheet = bend_sheet(one_bend(), SHOP)
    assert sheet.steps[-1].stop_mark + sheet.last_straight == pytest.approx(sheet.rough)
    assert sheet.last_straight == pytest.approx(310.0)


def test_a_straight_tube_has_no_steps():
    sheet = bend_sheet(tube_through(((0, 0, 0), (0, 0, 500))), SHOP)
    assert (sheet.steps, sheet.last_straight, sheet.problems) == ((), 520.0, ())


@pytest.mark.parametrize(
    ("rotation", "lies", "turned"),
    [
        (0.0, "same way", "do not turn"),
        (math.pi, "opposite way (half a turn)", "half a turn"),
        (-math.pi, "opposite way (half a turn)", "half a turn"),
        (0.04 * DEG, "same way", "do not turn"),
        (179.96 * DEG, "opposite way (half a turn)", "half a turn"),
        (30 * DEG, "30.0° clockwise", "30.0° anticlockwise"),
        (-12.5 * DEG, "12.5° anticlockwise", "12.5° clockwise"),
    ],
)
def test_rotation_in_words(rotation, lies, turned):
    assert (rotation_words(rotation), turn_words(rotation)) == (lies, turned)


def codes(member, shop):
    return [p.code for p in bend_sheet(member, shop).problems]


def test_all_well():
    assert codes(one_bend(), SHOP) == []


def test_no_die():
    sheet = bend_sheet(one_bend(), NO_SHOP)
    assert [p.code for p in sheet.problems] == ["no-die"]
    assert sheet.steps[0].die is None
    assert "it has none for this tube" in sheet.problems[0].wanted
    other = replace(SHOP, dies=(replace(HOOP_DIE, clr=180.0),))
    assert "it has 180.0 mm for this tube" in bend_sheet(one_bend(), other).problems[0].wanted


def test_straight_too_short_between_bends():
    near = tube_through(((0, 0, 0), (0, 0, 600), (2 * SETBACK + 59.0, 0, 600), (2 * SETBACK + 59.0, 0, 100)))
    far = tube_through(((0, 0, 0), (0, 0, 600), (2 * SETBACK + 61.0, 0, 600), (2 * SETBACK + 61.0, 0, 100)))
    assert codes(near, SHOP) == ["straight-too-short"]
    assert codes(far, SHOP) == []


def test_hoop_tube_is_what_the_numbers_are_for():
    assert (HOOP.od, HOOP.wall) == (45.0, 2.5)
