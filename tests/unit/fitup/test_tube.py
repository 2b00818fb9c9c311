"""A bent tube by its readings: the shape, the +-, the slip that is named; and where it stands in the car."""

import math
from dataclasses import replace

import numpy as np
import pytest

from bent import benches, bent, member_bench, read
from cagewright.change.both_sides import written_out
from cagewright.fitup.tube import (
    TubeOnBench,
    TubeReading,
    bench_of,
    equations_of,
    expected,
    many,
    numbers_of,
    solve_tube,
    spare_of,
)
from cagewright.fitup.tube_choice import candidates_of, choose_tube_readings
from cagewright.fitup.tube_place import put_in_place, sound
from cagewright.shape.tube_shape import TubeShape
from fitted import brackwater

SQUARE = TubeOnBench(
    planned=TubeShape(
        straights=(300.0, 400.0, 200.0),
        angles=(math.pi / 2, math.pi / 2),
        radii=(100.0, 100.0),
        clockings=(math.pi / 2,),
    ),
    radius=20.0,
)
"""300 back, across, then up: all by hand."""


@pytest.mark.parametrize(
    ("reading", "by_hand"),
    [
        # the ends stand (400, 600, 300) apart
        ({"kind": "chord", "a": "start", "b": "end"}, math.hypot(400.0, 600.0, 300.0)),
        ({"kind": "straight", "number": 2}, 400.0),
        ({"kind": "angle", "number": 1}, math.pi / 2),
        # lying on the first bend the end stands 300 over the axis, which is 20 over the bench
        ({"kind": "height", "a": "end", "number": 1}, 320.0),
        # the first bend's outside: its arc's middle (300, 100, 0) and 120 from there at 45 deg
        (
            {"kind": "chord", "a": "start", "b": "bend1"},
            math.hypot(300.0 + 120.0 * math.sqrt(0.5), 100.0 - 120.0 * math.sqrt(0.5)),
        ),
    ],
)
def test_readings_by_hand(reading, by_hand):
    assert expected(SQUARE, TubeReading(**reading, seen=0.0, size=1.0)) == pytest.approx(by_hand)


@pytest.mark.parametrize("number", range(0, 13, 3))
def test_slopes_are_those_of_small_steps(number):
    _, bench = benches()[number]
    equations, readings = equations_of(bench), candidates_of(bench, [1])
    state = np.random.default_rng(1).normal(size=many(bench.planned)) * 0.02
    slope, _ = equations.scaled(readings, state)
    steps = np.eye(len(state)) * 1e-5
    left = [[equations.scaled(readings, state + sign * d)[1] for d in steps] for sign in (1.0, -1.0)]
    small = (np.array(left[1]) - np.array(left[0])).T / 2e-5
    assert small == pytest.approx(slope, abs=1e-6 * np.abs(slope).max())


def test_true_readings_give_the_true_tube_and_a_slip_is_named():
    _, bench = benches()[0]
    random = np.random.default_rng(3)
    truth = bent(bench, random)
    readings = [c.reading for c in choose_tube_readings(bench)]
    assert len(readings) <= 18
    seen = read(bench, readings, truth, None)
    found = solve_tube(bench, seen)
    assert numbers_of(found.shape) == pytest.approx(numbers_of(truth), abs=1e-2)
    assert not found.outliers
    i = next(i for i, r in enumerate(seen) if r.kind == "chord")
    slipped = replace(seen[i], seen=seen[i].seen + 10.0)
    out = solve_tube(bench, [*seen[:i], slipped, *seen[i + 1 :]]).outliers
    assert [o.reading for o in out] == [slipped]
    assert out[0].others == pytest.approx(seen[i].seen, abs=0.1)


def test_a_bend_that_turned_the_other_way_lies_half_round():
    one = sound(replace(SQUARE.planned, angles=(-0.1, math.pi / 2)))
    assert one.angles[0] == pytest.approx(0.1)
    assert abs(one.clockings[0]) == pytest.approx(math.pi / 2)


@pytest.mark.parametrize("name", ["main_hoop", "front_leg_left", "doorbar_mid_right"])
def test_a_tube_as_planned_lands_where_it_was_meant(name):
    job = brackwater()
    member = next(m for m in job.cage.members if m.name == name)
    path = written_out(job.plan).members[name].path
    laid = put_in_place(
        bench_of(member, job.shop).planned, spare_of(member, job.shop), member, (path[0], path[-1]),
        {m.name: m.path for m in job.cage.members}, {f.name: f for f in job.cage.feet},
    )  # fmt: skip
    assert laid.furthest < 1e-4
    assert [e.spare for e in laid.ends] == pytest.approx(spare_of(member, job.shop), abs=1e-4)
    assert np.abs([e.off for e in laid.ends]).max() < 1e-4


def test_a_slip_of_10_mm_shows_in_every_reading_that_is_asked_for():
    """Of every tube of the demos with one or two bends; smallest outliers by Baarda's formula."""
    for name, bench in benches():
        if len(bench.planned.angles) > 2:
            continue
        readings = [c.reading for c in choose_tube_readings(bench)]
        found = solve_tube(bench, read(bench, readings, bench.planned, None))
        lengths = [c.smallest for c in found.checks if c.reading.kind != "angle"]
        assert max(lengths) <= 10.0, (name, lengths)


@pytest.mark.parametrize(("off", "wider"), [(4.2, True), (20.0, False)])
def test_a_reading_taken_out_that_may_have_been_sound_widens_the_range(off, wider):
    """By what taking it out moved: the shape that all readings give stays inside."""
    bench = member_bench("doorbar_top_left")
    exact = read(bench, [c.reading for c in choose_tube_readings(bench)], bench.planned, None)
    free = [c.checked for c in solve_tube(bench, exact).checks]
    worst = int(np.argmax(free))
    slipped = replace(exact[worst], seen=exact[worst].seen + off / np.sqrt(free[worst]) * exact[worst].size)
    rest = [r for r in exact if r is not exact[worst]]
    found, without = solve_tube(bench, [*rest, slipped]), solve_tube(bench, rest)
    assert [o.reading for o in found.outliers] == [slipped]
    assert numbers_of(found.shape) == pytest.approx(numbers_of(without.shape), abs=1e-4)
    more = np.linalg.eigvalsh(found.covariance - without.covariance)
    assert bool(more[-1] > 1e-6) is wider  # mm2, and rad2 of the bends
    assert more[0] > -1e-8
