"""The body's section between its marks."""

from types import SimpleNamespace
from typing import TYPE_CHECKING, cast

import numpy as np
import pytest

from cagewright.draft.section import TAPED, _on_side, _side, half_section, section_line

if TYPE_CHECKING:
    from cagewright.draft.measured import Measured

WAIST, UPPER = np.array([700.0, 900.0]), np.array([600.0, 1300.0])


@pytest.mark.parametrize("bulge", [-12.0, 0.0, 2.0, 12.0])
def test_the_side_runs_through_its_marks_a_bulge_told_less_what_scatter_may_feign(bulge):
    middle = np.array([650.0 + bulge, 1100.0])
    side = _side(WAIST, middle, UPPER)
    halves = _on_side(side, np.array([0.0, 200.0, 400.0]))[:, 0]
    kept = np.sign(bulge) * max(abs(bulge) - TAPED, 0.0)
    assert halves == pytest.approx([700.0, 650.0 + kept, 600.0])


def test_a_side_without_a_mark_half_way_is_straight():
    assert _side(WAIST, None, UPPER) == pytest.approx((700.0, -0.25, 0.0))


ROUND, ROOF, SIDE = 150.0, 1200.0, 600.0


def rounded(post: float):
    """A level roof, an upright side and a round of 150 mm between; a post that ends below it, so far in."""
    middle = np.array([SIDE - ROUND, ROOF - ROUND])
    mark = middle + ROUND * np.sqrt(0.5)  # behind a stick at 45 degrees
    half = {"sill_side": (SIDE, 300.0), "waist": (SIDE - post, 700.0), "upper_side": (SIDE - post, 1000.0)}
    points = {f"{name}_left": (0.0, -y, z) for name, (y, z) in (half | {"cant_rail": tuple(mark)}).items()}
    marks = SimpleNamespace(points=points, roof=(ROOF, ROOF, ROOF))
    car = cast("Measured", marks)  # a section asks for marks and roof alone
    found = half_section(car, ("left",))
    assert found is not None
    return found, section_line(found)


def test_one_round_touches_side_and_roof_where_the_side_runs_into_it():
    half, _ = rounded(0.0)
    assert half.over is None
    assert half.radius == pytest.approx(ROUND, abs=0.1)


@pytest.mark.parametrize("post", [20.0, 35.0, 60.0])
def test_over_a_post_that_ends_below_the_rail_the_round_is_the_roof_s_own(post):
    """By hand: the true round is 150 mm about (450, 1050); the line is never outside of it."""
    half, line = rounded(post)
    assert half.over is not None
    middle, radius, width = half.over
    assert (*middle, radius, width) == pytest.approx((450.0, 1050.0, ROUND, 450.0), abs=0.1)
    beside = line[(line[:, 0] > 450.0) & (line[:, 1] > 1050.0)]
    assert len(beside) > 3
    assert np.hypot(*(beside - middle).T).max() < ROUND + 0.1
    assert line[:, 0].max() == SIDE  # at the sill
    assert line[line[:, 1] > 650.0, 0].max() <= SIDE - post + 0.1
    assert (np.diff(line[:, 1]) > -0.1).all()
