"""Draws: every range covered by few, the same for everybody, and each doing to a frame what it says."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from cagewright.frame.brief import followed
from cagewright.frame.choices import Choices
from cagewright.frame.draws import Draw, drawn, ranges, with_draw
from cagewright.frame.idealise import idealise
from cagewright.frame.push_names import push_named
from cagewright.frame.push_off import Off
from cagewright.frame.respond import respond
from pushed import demo, roll_bar


@cache
def frame():
    return idealise(demo()[2], Choices(mesh=200.0, joints="yield"))


def test_every_range_has_its_source_and_how_sure_it_is():
    for row in ranges():
        assert row.low < row.high
        assert row.source
        assert row.words
        assert row.certainty in {"memory", "assumed", "read"}
        # the model as it is is among what is drawn
        assert row.low <= (1.0 if row.unit == "factor" else 0.0) <= row.high, row.key


def test_each_quantity_falls_once_into_each_part_of_its_range():
    """A Latin hypercube (McKay, Beckman, Conover 1979): one value in each 64th."""
    every = drawn(64)
    for row in ranges():
        values = np.array([getattr(d, row.key) for d in every])
        part = np.floor((values - row.low) / (row.high - row.low) * 64).astype(int)
        assert sorted(part) == list(range(64)), row.key


def test_the_draws_are_the_same_every_time_and_others_with_another_seed():
    assert drawn(8) == drawn(8)
    assert drawn(8) != drawn(8, seed=1)
    with pytest.raises(ValueError, match="at least one"):
        drawn(0)


def test_a_draw_of_nothing_changes_nothing():
    model, same = frame().model, with_draw(frame(), Draw()).model
    assert np.array_equal(same.yield_factor, model.yield_factor)
    assert np.array_equal(same.springs.capacity, model.springs.capacity)
    assert np.array_equal(same.hinges.stiffness, model.hinges.stiffness)
    assert [m.tear for m in same.materials] == [m.tear for m in model.materials]


def test_each_factor_multiplies_what_it_is_of():
    model = frame()
    draw = Draw(yield_strength=1.2, softening=1.5, joint_strength=1.3, joint_flexibility=2.0,
                foot_stiffness=0.5, foot_strength=0.8, strain_limit=0.7)  # fmt: skip
    was, now = model.model, with_draw(model, draw)
    steel, first = now.model.materials[0], was.materials[0]
    assert steel.curve.stress == pytest.approx(1.2 * first.curve.stress)
    assert steel.tear == pytest.approx(0.7 * first.tear)
    soft = was.yield_factor < 1.0
    assert 1.0 - now.model.yield_factor[soft] == pytest.approx(1.5 * (1.0 - was.yield_factor[soft]))
    assert (now.model.yield_factor[~soft] == was.yield_factor[~soft]).all()
    assert now.model.springs.stiffness == pytest.approx(0.5 * was.springs.stiffness)
    assert now.model.springs.capacity == pytest.approx(0.8 * was.springs.capacity)
    feet = sorted(row for p in model.feet for row in p.hinges)
    joints = [row for row in range(len(was.hinges.ends)) if row not in feet]
    assert feet
    assert joints
    assert now.model.hinges.stiffness[joints] == pytest.approx(0.5 * was.hinges.stiffness[joints])
    assert now.model.hinges.capacity[joints] == pytest.approx(1.3 * was.hinges.capacity[joints])
    assert now.model.hinges.stiffness[feet] == pytest.approx(0.5 * was.hinges.stiffness[feet])
    assert now.model.hinges.capacity[feet] == pytest.approx(0.8 * was.hinges.capacity[feet])
    holds = [(a.hold, b.hold) for a, b in zip(model.feet, now.feet, strict=True) if a.hold]
    assert all(b.tear == pytest.approx(0.8 * a.tear) and b.normal == a.normal for a, b in holds)


def test_a_push_comes_as_far_off_as_was_drawn():
    cage = demo()[2]
    assert Draw(pitch=1.0, roll=2.0, aside=3.0, friction=0.4).off == Off(
        pitch=1.0, roll=2.0, aside=3.0, friction=0.4
    )
    for name in ("roof-left", "side-left"):
        assert push_named(cage, name).press.friction == 0.0
        assert push_named(cage, name, Off(friction=0.4)).press.friction == 0.4
    said, off = push_named(cage, "roof-left"), push_named(cage, "roof-left", Off(pitch=5.0, roll=-5.0))
    # 49 CFR 571.216a: 5 degrees nose down, 25 degrees rolled
    for push, pitch, roll in ((said, 5.0, 25.0), (off, 10.0, 20.0)):
        p, r = np.radians([pitch, roll])
        assert push.press.normal == pytest.approx(
            [np.cos(r) * np.sin(p), np.sin(r), -np.cos(r) * np.cos(p)], abs=0.01
        )
    poles = [push_named(cage, "side-left", Off(aside=a)).press.centre for a in (0.0, 60.0)]
    assert poles[1] - poles[0] == pytest.approx([60.0, 0.0, 0.0])


def test_loads_at_places_are_turned_and_keep_their_size():
    cage = roll_bar()[2]
    said, off = (push_named(cage, "hoop-combined", o).point_loads[0].force for o in (Off(), Off(pitch=5.0)))
    assert np.linalg.norm(off) == pytest.approx(np.linalg.norm(said))
    assert off[1] == pytest.approx(said[1])  # pitch turns about the car's axis across
    assert np.arccos(said[[0, 2]] @ off[[0, 2]] / (said[[0, 2]] @ said[[0, 2]])) == pytest.approx(
        np.radians(5.0)
    )


@pytest.mark.slow
def test_what_is_followed_only_as_far_as_it_counts_counts_the_same():
    cage = demo()[2]
    push = replace(push_named(cage, "side-left"), travel=250.0)
    model = idealise(cage, Choices(mesh=150.0))
    whole = respond(model, push)
    upto, curve = followed(model, push)
    assert whole.counted.kind != "end of travel"
    assert (upto.kind, upto.what, upto.to) == (whole.counted.kind, whole.counted.what, whole.counted.to)
    assert upto.travel == pytest.approx(whole.counted.travel, rel=0.005)
    assert upto.energy == pytest.approx(whole.counted.energy, rel=0.01)
    assert curve.travel[-1] < whole.travel[-1]
