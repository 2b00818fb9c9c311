import math

import pytest

from cagewright.stock.benders import Trial, elastic_share, inner_wall, outer_wall, set_angle, springback
from cagewright.stock.catalogue import steels
from cagewright.stock.steels import Steel
from cagewright.stock.tubes import Tube

TUBE = Tube(od=45, wall=2.5, steel=steels()["E355+SR"])


def trial(put: float, got: float) -> Trial:
    return Trial(set_angle=math.radians(put), got_angle=math.radians(got))


def test_without_trials_the_estimate_is_used_and_said():
    rule = springback(TUBE, 135)
    assert rule.basis == "estimate"
    assert set_angle(math.radians(90), rule) > math.radians(91)


def test_trials_are_fitted_by_a_line():
    rule = springback(TUBE, 135, (trial(32, 30), trial(63, 60), trial(94, 90)))
    assert rule.basis == "trials"
    assert math.degrees(set_angle(math.radians(45), rule)) == pytest.approx(47.5)
    assert rule.scatter == pytest.approx(0.0, abs=1e-12)


def test_scatter_of_the_trials_is_kept():
    rule = springback(TUBE, 135, (trial(32, 30), trial(62, 60), trial(94, 90)))
    assert rule.scatter is not None
    assert math.degrees(rule.scatter) == pytest.approx(math.sqrt(2 / 3), rel=1e-6)


def test_one_trial_scales_and_repeats_average():
    assert springback(TUBE, 135, (trial(92, 90),)).slope == pytest.approx(92 / 90)
    assert springback(TUBE, 135, (trial(92, 90), trial(94, 90))).slope == pytest.approx(93 / 90)


def test_no_estimate_without_a_yield_strength():
    bare = Steel(name="E355+C", tensile=640, source="test", certainty="shop")
    with pytest.raises(ValueError, match="no yield strength"):
        springback(Tube(od=45, wall=2.5, steel=bare), 135)


def test_walls_after_bending_keep_the_area_of_the_ring():
    assert outer_wall(TUBE, 135) == pytest.approx(2.142857, abs=1e-6)
    assert inner_wall(TUBE, 135) == pytest.approx(3.0)
    with pytest.raises(ValueError, match="more than half"):
        inner_wall(TUBE, 20)


def test_the_elastic_share_never_passes_a_half():
    assert elastic_share(TUBE, 1e6) == 0.5
