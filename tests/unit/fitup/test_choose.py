"""Which readings to take: as few as place every tube to the wanted +-, and a slip shows in any of them."""

from dataclasses import replace

import numpy as np
import pytest

from cagewright.fitup.adjust import adjust
from cagewright.fitup.choose import (
    SLIP,
    WANTED,
    choose_readings,
    covariance_with,
    sure_of,
    tape_clear,
    tapes_of,
)
from cagewright.fitup.fewest import least_checked
from cagewright.fitup.sheet import step_network
from cagewright.job.marks import known_body, letters_of, marks_for, step_of, tapes_for
from cagewright.job.order import steps_of
from cagewright.shape.shell import Shell, body_line, line_kind, plain_body
from fitted import brackwater, disturbed, taken


@pytest.fixture(scope="module")
def bench():
    """The first step of the demo: the hoop's bars on the bench."""
    job = brackwater()
    net = step_network(job.cage, marks_for(job), steps_of(job), 1)
    return net, choose_readings(net, tapes_for(job, net))


def test_the_first_step_is_pinned_by_a_few_readings(bench):
    net, choices = bench
    assert 18 <= len(choices) <= 28
    sure = sure_of(net, covariance_with(net, [c.reading for c in choices]))
    assert set(sure) == {"diagonal_hoop", "harness_bar_left", "harness_bar_right"}
    assert max(sure.values()) <= WANTED
    # what is said beside the last reading is the +- of the least sure tube
    assert choices[-1].leaves == pytest.approx(max(sure.values()))
    answer = step_of(brackwater(), 1)
    assert answer.sure[0].sure.value == pytest.approx(max(sure.values()))
    assert f"known to {answer.sure[0].sure.said} or better" in answer.headline
    assert all(m.leaves.value <= answer.sure[0].sure.value for m in answer.more)


def test_none_of_them_can_be_left_out(bench):
    net, choices = bench
    readings = [c.reading for c in choices]

    def short(kept):
        found = adjust(net, kept)
        sure = max(sure_of(net, found.covariance).values())
        return sure > WANTED or max(c.smallest for c in found.checks) > SLIP + 0.1

    assert not short(readings)
    assert all(short([r for r in readings if r is not out]) for out in readings)


def test_a_slip_of_10_mm_in_any_one_is_named(bench):
    net, choices = bench
    rng = np.random.default_rng(3)
    found = 0
    for k in range(len(choices)):
        _, truth = disturbed(net, rng)
        seen = taken(net, [c.reading for c in choices], truth, rng)
        seen[k] = replace(seen[k], seen=seen[k].seen + SLIP * float(rng.choice([-1.0, 1.0])))
        outliers = adjust(net, seen).outliers
        found += any(o.reading is seen[k] or seen[k] in o.alike for o in outliers)
    assert found >= 0.9 * len(choices)


def test_least_checked_is_baardas():
    """sigma (k + z) / sqrt(r) = slip (Baarda 1968): one test at 2 %, 2.326 + 1.645 (normal table)."""
    assert least_checked(1, 10.0) == pytest.approx(((2.326 + 1.645) / 10.0) ** 2, rel=1e-3)


def test_on_the_bench_a_level_is_a_height_over_it(bench):
    net, choices = bench
    # the hoop of the demo stands square across the car, so it lies square to back and forth
    assert np.abs(net.up) == pytest.approx([1.0, 0.0, 0.0], abs=0.01)
    levels = [c.reading for c in choices if c.reading.kind == "level"]
    assert levels
    up = {m.name: float(m.point @ net.up) for m in net.marks}
    for r in levels:
        assert r.seen == pytest.approx(up[r.b] - up[r.a], abs=1e-6)
    assert "over the bench" in next(r.how for r in step_of(brackwater(), 1).readings if r.kind == "level")


def test_marks_are_places_that_a_hand_reaches():
    job = brackwater()
    names = {m.name for m in marks_for(job)}
    # named points that tubes bend at or feet stand on are nowhere in the car
    assert not {"waist", "waist_right", "turret", "hoop_sill"} & names
    # what was measured of the body is; its mirror was not measured, and nobody reads an outer edge
    assert "sill_left.1" in names
    assert not any(n.startswith(("sill_right", "screen_pillar_outer")) for n in names)
    assert len({m.said for m in marks_for(job)}) == len(names)
    said = {m.name: m.said for m in marks_for(job)}
    assert said["main_hoop.bend1a"] == "main hoop lower left bend, below it"
    assert said["main_hoop.bend3a"] == "main hoop upper right bend, inboard"


def test_a_plate_of_a_later_step_is_no_mark():
    job, marks = brackwater(), marks_for(brackwater())
    steps = steps_of(job)
    second = step_network(job.cage, marks, steps, 2)
    assert {"hoop_left", "hoop_right"} <= second.index.keys()
    assert not any(f.name in second.index for f in job.cage.feet if not f.name.startswith("hoop"))


def test_no_tape_runs_through_a_bulkhead():
    outline = np.array([
        [1700.0, -600.0, 100.0],
        [1700.0, 600.0, 100.0],
        [1700.0, 600.0, 900.0],
        [1700.0, -600.0, 900.0],
    ])
    line = body_line("bulkhead_rear", line_kind("bulkhead_rear", ""), outline, middle=500.0)
    wall = plain_body(Shell(lines=(line,), scan=None), (), floor=False)
    job = brackwater()
    net = step_network(job.cage, marks_for(job), steps_of(job), 1)
    tapes = tapes_of(net, job.cage, wall)
    ahead, behind, over = (
        np.array(p) for p in ([1650.0, 0.0, 400.0], [2300.0, 0.0, 400.0], [1720.0, 0.0, 1900.0])
    )
    assert not tape_clear(tapes, ahead, behind)
    assert tape_clear(tapes_of(net, job.cage), ahead, behind)
    assert tape_clear(tapes, ahead, over)


def test_letters_go_on_after_z():
    steps = steps_of(brackwater())
    number = next(s.number for s in steps if "doorbar_top_left" in s.tack)
    net = step_network(brackwater().cage, marks_for(brackwater()), steps, number)
    readings = [c.reading for c in choose_readings(net, tapes_for(brackwater(), net))]
    letters = letters_of(readings)
    assert list(letters.values())[:3] == ["A", "B", "C"]
    assert list(letters.values())[25:28] == ["Z", "AA", "AB"]


def test_the_known_body_of_the_demo_is_spanned_by_its_lines():
    assert known_body(brackwater()) is not None
