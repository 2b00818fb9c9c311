from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import approx_fprime, least_squares
from scipy.spatial.transform import Rotation

from cagewright.base.outliers import limit_for, smallest_outlier
from cagewright.fitup.adjust import adjust
from cagewright.fitup.choose import most_helpful, tapes_of
from cagewright.fitup.network import Body, Reading, network, placed, predicted, rows_of, slopes
from fitted import brackwater, disturbed, front, mark, taken
from simulated_builds import region_holds

TAPE = {"kind": "tape", "axis": -1, "size": 1.0}


def tape(a, b, seen):
    return Reading(name=f"{a} to {b}", a=a, b=b, seen=seen, **TAPE)


def test_slopes_are_the_derivatives_of_the_readings():
    net, readings = front()
    readings = [
        *readings,
        Reading(name="l", kind="level", a="header.start", b="header.end", axis=2, seen=0.0, size=1.0),
        Reading(
            name="n",
            kind="lean",
            a="front_leg_left.start",
            b="front_leg_left.bend1a",
            axis=1,
            seen=0.0,
            size=0.001,
        ),
        Reading(name="p", kind="place", a="header.end", b="", axis=0, seen=0.0, size=1.0),
    ]
    rows = rows_of(net, readings)
    state, _ = disturbed(net, np.random.default_rng(3), turn=0.2)
    found = slopes(net, rows, state)
    by_difference = approx_fprime(
        state.ravel(), lambda x: predicted(rows, placed(net, x.reshape(-1, 6))), 1e-6
    )
    assert found == pytest.approx(by_difference, abs=2e-2, rel=1e-4)


def test_agrees_with_scipy_on_the_raw_equations():
    """The same readings written out mark by mark, solved by scipy with derivatives by difference."""
    net, readings = front()
    rng = np.random.default_rng(5)
    _, truth = disturbed(net, rng)
    seen = taken(net, [r for r in readings if r.kind == "tape"], truth, rng)
    found = adjust(net, seen, false_alarm=1e-12)

    def left(x):
        six = x.reshape(-1, 6)

        def at(name):
            i = net.index[name]
            k = net.body[i]
            if k < 0:
                return net.points[i]
            turn = Rotation.from_rotvec(six[k, 3:]).as_matrix()
            return net.middles[k] + turn @ (net.points[i] - net.middles[k]) + six[k, :3]

        tapes = [(r.seen - np.linalg.norm(at(r.a) - at(r.b))) / r.size for r in seen]
        return np.concatenate([tapes, (six[:, :3] / 50.0).ravel(), (six[:, 3:] / 0.1).ravel()])

    other = least_squares(
        left, np.zeros(6 * len(net.bodies)), x_scale="jac", xtol=1e-14, ftol=1e-14, gtol=1e-14
    )
    assert found.settled
    assert not found.outliers
    assert found.places == pytest.approx(placed(net, other.x.reshape(-1, 6)), abs=1e-4)
    # the covariance: the inverse of the normal matrix by differences
    assert np.sqrt(np.diag(found.covariance)) == pytest.approx(
        np.sqrt(np.diag(np.linalg.inv(other.jac.T @ other.jac))), rel=1e-3
    )


def test_a_slip_is_named_and_taken_out():
    net, readings = front()
    rng = np.random.default_rng(8)
    _, truth = disturbed(net, rng)
    seen = taken(net, readings, truth, rng)
    seen[4] = replace(seen[4], seen=seen[4].seen + 12.0)
    found = adjust(net, seen)
    assert [s.reading for s in found.outliers] == [seen[4]]
    assert found.outliers[0].others == pytest.approx(seen[4].seen - 12.0, abs=6.0)
    assert seen[4] not in [c.reading for c in found.checks]


def test_a_sound_set_is_left_alone():
    net, readings = front()
    rng = np.random.default_rng(8)
    _, truth = disturbed(net, rng)
    found = adjust(net, taken(net, readings, truth, rng))
    assert not found.outliers
    assert found.fits
    assert found.loose == ()


@pytest.mark.slow
def test_known_errors_over_random_builds():
    """A small form of the simulation in tests/verification: 40 builds."""
    net, readings = front()
    rng = np.random.default_rng(11)
    inside = marks = found = alarms = 0
    for _ in range(40):
        _, truth = disturbed(net, rng)
        seen = taken(net, readings, truth, rng)
        plain = adjust(net, seen)
        alarms += bool(plain.outliers)
        for i in np.flatnonzero(net.body >= 0):
            inside += region_holds(plain, net.marks[i].name, truth[i])
            marks += 1
        k = int(rng.integers(len(seen)))
        seen[k] = replace(seen[k], seen=seen[k].seen + 12.0 * rng.choice([-1.0, 1.0]))
        found += any(s.reading is seen[k] for s in adjust(net, seen).outliers)
    # 40 builds of 4 bodies are about 160 independent marks: 95 % within three standard errors
    assert 0.90 < inside / marks < 0.99
    assert found >= 38
    assert alarms <= 3


def test_a_body_nothing_reads_is_loose_and_named():
    net, readings = front()
    rng = np.random.default_rng(2)
    _, truth = disturbed(net, rng)
    few = [r for r in readings if "header" not in r.name]
    assert adjust(net, taken(net, few, truth, rng)).loose == ("header",)


def test_most_helpful_reads_the_loose_body_and_does_help():
    net, readings = front()
    rng = np.random.default_rng(2)
    _, truth = disturbed(net, rng)
    few = taken(net, [r for r in readings if "header" not in r.name], truth, rng)
    before = adjust(net, few)
    more = most_helpful(net, tapes_of(net, brackwater().cage), few, before.state, of=["header"], count=6)
    assert all("header" in c.reading.name for c in more)
    # each is told with what it leaves of the least sure mark
    left = [c.leaves for c in more]
    assert left == sorted(left, reverse=True)
    assert left[-1] < 6.0
    after = adjust(net, [*few, *taken(net, [c.reading for c in more], truth, rng)])
    assert (
        after.mark_covariance.trace(axis1=1, axis2=2).sum()
        < 0.2 * before.mark_covariance.trace(axis1=1, axis2=2).sum()
    )


def test_limit_is_sidaks_and_shrinks_to_the_single_test():
    # one two-sided test at 5 %: 1.960 (standard normal table)
    assert limit_for(1, false_alarm=0.05) == pytest.approx(1.960, abs=5e-4)
    # ten tests at 5 %: each at 1 - 0.95^0.1 = 0.512 %: 2.80 (computed)
    assert limit_for(10, false_alarm=0.05) == pytest.approx(2.80, abs=5e-3)


def test_smallest_outlier_is_the_noncentrality_over_the_checked_part():
    # Baarda's delta0 = 4.13 for 0.1 % two-sided and 80 % power is 3.29 + 0.84 (from memory)
    assert smallest_outlier(1.0, 0.25, 3.29) == pytest.approx((3.29 + 1.645) / 0.5, abs=1e-3)
    assert smallest_outlier(1.0, 0.01, 3.29) == float("inf")


def test_held_mark_is_where_it_is():
    net = network([mark("a", [0, 0, 0]), mark("b", [500, 0, 0], "m")], [Body(name="m", members=("m",))])
    found = adjust(net, [tape("a", "b", 503.0)])
    assert region_holds(found, "a", np.zeros(3))
    assert not region_holds(found, "a", np.array([0.1, 0.0, 0.0]))
    # one tape against the soft 50 mm: 3 mm times 50^2 / (50^2 + 1)
    assert found.state[0, 0] == pytest.approx(3.0 * 2500.0 / 2501.0, abs=1e-4)


@pytest.mark.parametrize("size", [0.0, -1.0, float("nan")])
def test_a_reading_without_size_is_refused(size):
    net = network([mark("a", [0, 0, 0]), mark("b", [500, 0, 0], "m")], [Body(name="m", members=("m",))])
    with pytest.raises(ValueError, match="standard deviation"):
        adjust(net, [replace(tape("a", "b", 503.0), size=size)])
