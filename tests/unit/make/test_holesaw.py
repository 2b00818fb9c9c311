import math
from dataclasses import replace

import numpy as np
import pytest

from cagewright.make.holesaw import saw_cut, saw_setting, saw_settings
from cagewright.stock.tubes import round_tube
from handmade import BAR, HOOP, saddle
from shopmade import DEG, SHOP, tee


def setting(cage, shop=SHOP):
    branch = cage.members[1]
    return saw_setting(cage, branch, branch.ends[0], shop)


def test_saw_cut_is_the_saddle_equation():
    # the saddle equation is any text's on intersecting cylinders; the saw's cut comes from a quadratic
    cage = tee(angle=60.0, offset=3.0)
    cope = cage.members[1].ends[0].cut
    cut = saw_cut(cope, np.zeros(3), np.array([0.0, 1.0, 0.0]), branch=38.0, saw=45.0)
    assert cut == pytest.approx(saddle(cope.phi, 19.0, 22.5, 60.0 * DEG, 3.0), abs=1e-9)


@pytest.mark.parametrize("angle", [90.0, 60.0, 45.0])
@pytest.mark.parametrize("offset", [0.0, 2.5])
def test_straight_main_and_saw_of_its_size_is_simple(angle, offset):
    got = setting(tee(angle=angle, offset=offset))
    assert got.simple
    assert got.saw == 45.0
    assert got.gap == pytest.approx(0.0, abs=1e-9)
    assert got.angle == pytest.approx(angle * DEG)
    assert got.offset == pytest.approx(offset)


def test_offset_side_is_where_the_saw_axis_passes():
    # a branch moved by +e towards phi = 90 has the main's axis towards phi = 270
    assert setting(tee(offset=3.0)).towards == pytest.approx(1.5 * math.pi)


def test_depth_covers_the_tube():
    assert setting(tee()).depth == pytest.approx(38.0)
    # at 60 degrees it reaches from the heel's point to the crotch's, measured along the main
    w = saddle(np.array([0.0, math.pi]), 19.0, 22.5, 60.0 * DEG, 0.0)
    heel = w[0] * math.cos(60 * DEG) - 19.0 * math.sin(60 * DEG)
    crotch = w[1] * math.cos(60 * DEG) + 19.0 * math.sin(60 * DEG)
    assert setting(tee(angle=60.0)).depth == pytest.approx(crotch - heel, rel=1e-3)


def test_equal_tubes_square_on_are_simple():
    assert setting(tee(tube=HOOP)).simple


@pytest.mark.parametrize(
    ("cage", "why"),
    [
        (tee(bent_main=True), "bent there"),
        (tee(mains=("main", "other")), "2 tubes at once"),
        (tee(angle=30.0), "too flat"),
        (tee(on=np.where(np.arange(144) < 5, -1, 0)), "hangs past"),
    ],
)
def test_needs_the_wrap(cage, why):
    got = setting(cage)
    assert not got.simple
    assert why in got.reason


def test_without_a_list_the_wanted_saw_is_named():
    got = setting(tee(), replace(SHOP, hole_saws=()))
    assert (got.simple, got.saw) == (False, None)
    assert "45.0 mm would do" in got.reason


def test_a_saw_of_another_size_is_refused_with_its_gap():
    got = setting(tee(), replace(SHOP, hole_saws=(51.0,)))
    assert not got.simple
    # widest gap between two circles of 45 and 51 mm over 38 mm, both touching in the middle
    sag = (22.5 - math.sqrt(22.5**2 - 19.0**2)) - (25.5 - math.sqrt(25.5**2 - 19.0**2))
    assert got.gap == pytest.approx(sag, abs=1e-6)
    assert "51.0 mm" in got.reason


def test_a_near_saw_is_taken_while_its_gap_is_small():
    small = tee(tube=round_tube(od=25.0, wall=2.0, steel=BAR.steel))
    got = setting(small, replace(SHOP, hole_saws=(44.0,)))
    assert got.simple
    assert 0.0 < got.gap < 0.5


def test_a_tube_that_does_not_go_inside_the_saw():
    got = setting(tee(tube=HOOP), replace(SHOP, hole_saws=(44.0,)))
    assert not got.simple
    assert "does not go inside" in got.reason


def test_nearest_saw_is_named_where_two_are_near():
    assert setting(tee(), replace(SHOP, hole_saws=(44.0, 45.5))).saw == 45.5


def test_a_setting_for_each_cope():
    assert [(s.member, s.which) for s in saw_settings(tee(), SHOP)] == [("branch", "start")]


def test_an_end_without_cope_is_a_programmers_mistake():
    cage = tee()
    with pytest.raises(ValueError, match="no cope"):
        saw_setting(cage, cage.members[0], cage.members[0].ends[0], SHOP)


def test_a_joint_that_is_not_there_is_a_programmers_mistake():
    with pytest.raises(KeyError):
        setting(replace(tee(), joints=()))
