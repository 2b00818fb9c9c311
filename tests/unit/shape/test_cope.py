"""Copes: continuity past the edge of a main, weld lines, and what is refused."""

import math

import numpy as np
import pytest

from cagewright.base.curves import Line
from cagewright.shape.cope import cut, heel
from cagewright.shape.quick import simple_cope
from cagewright.shape.walls import Main, Notch
from cagewright.shape.weld_line import closed_length


def test_heel_is_on_the_obtuse_side_whichever_way_the_main_runs():
    axis = np.array([math.cos(1.0), 0, math.sin(1.0)])
    for along in (np.array([1.0, 0, 0]), np.array([-1.0, 0, 0])):
        zero = heel(axis, along)
        assert zero @ axis == pytest.approx(0.0, abs=1e-12)
        assert zero[0] < 0.0, "the main leans away from the branch there"


def test_a_wide_branch_runs_on_without_a_step():
    cope = simple_cope(branch_od=45, branch_wall=2.5, main_od=38, angle=1.2, points=720)
    assert 0.2 < (cope.on < 0).mean() < 0.6
    steps = np.abs(np.diff(np.append(cope.outside, cope.outside[0])))
    # at the edge of the main the slope is infinite, like a root's: the step shrinks with its square root
    finer = simple_cope(branch_od=45, branch_wall=2.5, main_od=38, angle=1.2, points=5760)
    assert np.abs(np.diff(finer.outside)).max() < 0.6 * steps.max()


def test_a_hanging_wall_is_cut_where_it_passes_nearest():
    cope = simple_cope(branch_od=45, branch_wall=2.5, main_od=38)
    assert cope.on[18] == -1
    assert cope.outside[18] == pytest.approx(0.0, abs=1e-6)
    assert cope.bevel[18] == math.pi


def test_weld_length_counts_only_what_is_met():
    wide = simple_cope(branch_od=45, branch_wall=2.5, main_od=38)
    # two bows of the curve between the edges at sin phi = 19 / 22.5, by quadrature
    a = np.linspace(-1, 1, 400001) * math.asin(19 / 22.5)
    w = np.sqrt(np.maximum(19**2 - (22.5 * np.sin(a)) ** 2, 0.0))
    bow = np.sum(np.hypot(22.5 * np.diff(a), np.diff(w)))
    assert wide.weld_length == pytest.approx(
        2 * bow, abs=0.3
    )  # each of four edges is found to 5/32 of a degree


def test_offset_shifts_the_cope_sideways():
    one = simple_cope(branch_od=38, branch_wall=2.5, main_od=45, offset=2.0)
    two = simple_cope(branch_od=38, branch_wall=2.5, main_od=45, offset=-2.0)
    assert one.asymmetric > 1.0
    assert two.outside == pytest.approx(np.roll(one.outside[::-1], 1))
    assert simple_cope(branch_od=38, branch_wall=2.5, main_od=45).asymmetric == 0.0


def test_two_mains_are_the_higher_of_the_two():
    x, y, z = np.eye(3)
    axis = (y + z) / math.sqrt(2.0)
    mains = [
        Main(name=n, radius=20.0, pieces=(Line(start=-400 * d, stop=400 * d),), reach=200.0)
        for n, d in (("one", y), ("two", z))
    ]

    def notch(*chosen):
        return Notch(
            origin=np.zeros(3), axis=axis, zero=x, radius=15.0, bore=13.0, mains=chosen, angle=0.8, offset=0.0
        )

    one, two, both = cut([notch(mains[0]), notch(mains[1]), notch(*mains)])
    assert both.outside == pytest.approx(np.maximum(one.outside, two.outside))
    assert both.mains == ("one", "two")
    assert np.array_equal(both.on == 0, one.outside >= two.outside - 1e-6)
    assert both.asymmetric < 1e-9, "the two mains are alike on either side of the plane through phi = 0"


def test_a_main_that_is_never_met_is_dropped():
    x, _, z = np.eye(3)
    near = Main(name="near", radius=20.0, pieces=(Line(start=-400 * x, stop=400 * x),), reach=200.0)
    far = Main(name="far", radius=5.0, pieces=(Line(start=90 * x, stop=95 * x),), reach=200.0)
    (cope,) = cut([
        Notch(
            origin=np.zeros(3), axis=z, zero=x, radius=15.0, bore=13.0, mains=(near, far), angle=1.5, offset=0
        )
    ])
    assert cope.mains == ("near",)


def test_no_notches_no_copes():
    assert cut([]) == []


def test_a_notch_needs_a_main():
    x, _, z = np.eye(3)
    bare = Notch(origin=np.zeros(3), axis=z, zero=x, radius=15.0, bore=13.0, mains=(), angle=1.5, offset=0)
    with pytest.raises(ValueError, match="one main"):
        cut([bare])


@pytest.mark.parametrize("points", [36, 72, 144])
def test_closed_length_of_a_circle_and_an_ellipse(points):
    turns = np.arange(points) * 2 * math.pi / points
    circle = np.stack((30 * np.cos(turns), 30 * np.sin(turns), 0 * turns), axis=1)
    assert closed_length(circle[None])[0] == pytest.approx(60 * math.pi, rel=2e-2 / points**2)
    fine = np.linspace(0, 2 * math.pi, 100001)
    exact = np.sum(np.hypot(30 * np.diff(np.cos(fine)), 20 * np.diff(np.sin(fine))))
    ellipse = np.stack((30 * np.cos(turns), 20 * np.sin(turns), 0 * turns), axis=1)
    assert closed_length(ellipse[None])[0] == pytest.approx(exact, rel=100.0 / points**4)
