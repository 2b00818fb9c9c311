import math

import numpy as np
import pytest

from cagewright.base.curves import point_at
from cagewright.make.bench import as_bent, bench, is_flat
from cagewright.make.bending import bend_sheet
from cagewright.stock.shop import NO_SHOP
from handmade import HOOP
from shopmade import SHOP, tube_through

WIDE, HIGH = 1000.0, 900.0


def u_shape(out: float = 0.0):
    """A hoop of two square bends, its second leg leaning ``out`` of the plane."""
    return tube_through(((0, 0, 0), (0, 0, HIGH), (0, WIDE, HIGH), (out, WIDE, 0)))


def checks(member):
    return {c.what: c.value for c in bench(bend_sheet(member, SHOP)).checks}


def find(values, words):
    return next(v for k, v in values.items() if words in k)


def test_end_to_end_of_a_u_is_its_width():
    got = checks(u_shape())
    assert find(got, "end to end, rough") == pytest.approx(WIDE)
    assert find(got, "end to end, finished") == pytest.approx(WIDE)


def test_overall_sizes_of_a_u_are_over_its_outsides():
    got = checks(u_shape())
    assert find(got, "overall along") == pytest.approx(WIDE + HOOP.od)
    # the rough ends stand the trim of 10 mm below the finished ones
    assert find(got, "overall square") == pytest.approx(HIGH + 10.0 + HOOP.radius)


def test_apexes_of_a_u():
    got = checks(u_shape())
    assert find(got, "apex of bend 1 to apex of bend 2") == pytest.approx(WIDE)
    assert find(got, "rough starting end to apex of bend 1") == pytest.approx(HIGH + 10.0)
    assert find(got, "rough starting end to apex of bend 2") == pytest.approx(math.hypot(WIDE, HIGH + 10.0))


def test_an_l_is_measured_square_to_the_line_through_its_ends():
    got = checks(tube_through(((0, 0, 0), (0, 0, 700), (700, 0, 700))))
    far = 710.0 * math.sqrt(2.0)
    assert find(got, "end to end, rough") == pytest.approx(far)
    # along the line the square-cut ends stick out by half the tube's width at 45 degrees, at both ends
    assert find(got, "overall along") == pytest.approx(far + HOOP.od * math.sqrt(0.5))
    # square to it: from the ends' inner edges to the outside of the bend
    peak = 710.0 * math.sqrt(0.5) - 135.0 * (math.sqrt(2.0) - 1.0)
    assert find(got, "overall square") == pytest.approx(peak + HOOP.radius + HOOP.radius * math.sqrt(0.5))


def test_a_leaning_leg_is_not_flat_and_its_height_is_given():
    sheet = bend_sheet(u_shape(out=200.0), SHOP)
    assert not is_flat(sheet)
    tube = bench(sheet)
    assert not any("overall" in c.what for c in tube.checks)
    end = next(p for p in tube.points if p.what == "finished far end")
    assert end.up == pytest.approx(200.0)


@pytest.mark.parametrize("out", [200.0, -200.0])
def test_the_tube_lies_the_way_up_that_stands_highest(out):
    points = bench(bend_sheet(u_shape(out=out), SHOP)).points
    assert max(p.up for p in points) > 0.0
    assert min(p.up for p in points) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("out", "side"), [(-150.0, 1.0), (150.0, -1.0)])
def test_first_bend_lies_in_the_bench_and_a_tube_turned_over_bends_to_the_other_side(out, side):
    points = {p.what: p for p in bench(bend_sheet(u_shape(out=out), SHOP)).points}
    assert points["apex of bend 1"].across == pytest.approx(0.0)
    assert points["apex of bend 2"].across == pytest.approx(side * WIDE)
    assert points["apex of bend 2"].up == pytest.approx(0.0, abs=1e-9)


def test_rebuilt_centre_line_has_the_rough_length():
    sheet = bend_sheet(u_shape(out=120.0), SHOP)
    axis = as_bent(sheet)
    assert axis.length == pytest.approx(sheet.rough)
    assert np.allclose(point_at(axis, 0.0), 0.0)


def test_a_straight_tube_has_only_its_lengths():
    sheet = bend_sheet(tube_through(((0, 0, 0), (0, 0, 500))), SHOP)
    assert [c.value for c in bench(sheet).checks] == pytest.approx([520.0, 500.0])


def test_an_opened_radius_keeps_its_start_mark_and_the_length_formed():
    sheet = bend_sheet(tube_through(((0, 0, 0), (0, 0, 535), (435, 0, 535))), SHOP)
    # straights of 400 and 300 with 10 mm trim; the die is set to 93 for 90 degrees, so 135 opens to 139.5 mm
    radius = 135.0 * 93.0 / 90.0
    rest = sheet.rough - 410.0 - radius * math.pi / 2.0
    check = next(c for c in bench(sheet).checks if "end to end, rough" in c.what)
    assert check.opened == pytest.approx(math.hypot(410.0 + radius, radius + rest))
    assert check.opened != pytest.approx(check.value, abs=0.5)


def test_without_bends_nothing_opens():
    member = tube_through(((0, 0, 0), (0, 0, 500)))
    assert all(c.opened is None for c in bench(bend_sheet(member, NO_SHOP)).checks)
