"""What comes near the people in the car: every tube counted, and what is left out told."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from cagewright.frame.choices import Choices
from cagewright.frame.idealise import idealise
from cagewright.frame.push_names import push_named
from cagewright.frame.respond import respond, solve
from cagewright.frame.survival import Approach, approaches, gaps_to, tips, touch_of
from pushed import demo


@cache
def pushed():
    cage = demo()[2]
    push = replace(push_named(cage, "side-left"), travel=120.0)
    model = idealise(cage, Choices(mesh=150.0))
    return model, push, solve(model, push)


def test_the_nearest_is_found_without_looking_at_every_tube():
    """Boxes tell which elements can be nearest: the gaps are those with all elements looked at."""
    model, push, solution = pushed()
    ends = tips(model, solution)
    seats = [i for i, m in enumerate(model.cage.members) if m.role == "seat mount"]
    every = np.flatnonzero(~np.isin(model.member, seats))
    for found in approaches(model, push, solution):
        whole = gaps_to(model, found.space, ends, every)
        tool = found.by < 0
        assert (found.gap <= whole.min(axis=1) + 1e-9).all()
        assert found.gap[~tool] == pytest.approx(whole.min(axis=1)[~tool])
        assert (found.by[~tool] == every[whole.argmin(axis=1)][~tool]).all()


def test_tubes_that_carry_the_seat_are_left_out():
    model, push, solution = pushed()
    seats = {m.name for m in model.cage.members if m.role == "seat mount"}
    near = {model.cage.members[int(model.member[e])].name for a in approaches(model, push, solution)
            for e in a.by if e >= 0}  # fmt: skip
    assert seats
    assert not seats & near


def test_a_tube_that_stands_in_somebody_before_the_push_is_told_and_does_not_end_it():
    model, push, solution = pushed()
    bar = next(m for m in model.cage.members if m.name == "doorbar_top_left")
    middle = bar.path.pieces[0]
    head = tuple(float(v) for v in 0.5 * (middle.start + middle.stop))
    (driver,) = model.cage.people
    driver = replace(driver, body=driver.body.model_copy(update={"head": head}))
    inside = replace(model, cage=replace(model.cage, people=(driver,)))
    found = respond(inside, push, solution)
    assert "doorbar top left in the driver's helmet" in found.room.inside
    assert found.counted.travel > 0.0


def test_the_parts_are_told_the_first_touched_first_then_by_what_is_left():
    model, push, solution = pushed()
    parts = respond(model, push, solution).room.parts
    keys = [(np.inf if p.touched is None else p.touched, p.least) for p in parts]
    assert keys == sorted(keys)
    assert len(parts) == 6


def test_the_first_touch_is_the_earliest_of_all_parts():
    """By hand: one part's gap goes to 0 at 20 mm of travel, another's at 10."""
    late, early = (
        Approach(space=None, gap=np.array(gap), by=np.zeros(3, int), tool="", inside=())
        for gap in ([10.0, 5.0, 0.0], [10.0, 0.0, -10.0])
    )
    at, one = touch_of((late, early), np.array([0.0, 10.0, 20.0]))
    assert at == pytest.approx(10.0)
    assert one is early
