"""Where a load climbs again: curves drawn by hand, and who takes it in a push."""

import numpy as np
import pytest
from test_survival import pushed

from cagewright.frame.foot_use import foot_forces
from cagewright.frame.respond import respond
from cagewright.frame.rises import climbs


def test_the_first_loading_is_no_climb():
    travel = np.linspace(0.0, 100.0, 60)
    assert climbs(travel, 50.0 * (1.0 - np.exp(-travel / 20.0))) == []
    assert climbs(travel, np.zeros(60)) == []


def steps_of(travel, load):
    found = climbs(np.array(travel), np.array(load))
    return [(travel[i], travel[j]) for i, j in found]


def test_a_climb_after_a_flat_stretch_is_found_with_its_ends():
    """Flat at 40 kN from 30 to 80 mm, then to 75 kN at 90 mm, then flat."""
    assert steps_of([0.0, 30, 55, 80, 85, 90, 120], [0.0, 40, 40, 40, 57, 75, 75]) == [(80.0, 90.0)]


def test_a_climb_that_tears_at_once_is_found_too():
    """All within half a millimetre: a tool that meets a tube which tears out."""
    assert steps_of([0.0, 30, 60, 80, 80.5, 80.5, 120], [0.0, 40, 40, 40, 75, 30, 32]) == [(80.0, 80.5)]


def test_what_takes_a_climb_are_the_feet_whose_forces_grow():
    """The feet's forces against the tool's way add up to the load, so their growths add up to the climb's."""
    model, push, solution = pushed()
    found = respond(model, push, solution)
    way = np.array([0.0, 1.0, 0.0])
    whole = sum(-(foot_forces(model, solution, p)[:, :3] @ way) for p in model.feet)
    assert whole == pytest.approx(solution.load, rel=0.02, abs=0.02 * solution.load.max())
    assert found.rises
    for rise in found.rises:
        assert rise.start < rise.stop
        assert rise.feet
        sizes = [size for _, size in rise.feet]
        assert sizes == sorted(sizes, reverse=True)
        assert sum(sizes) > 0.4 * (rise.high - rise.low)
