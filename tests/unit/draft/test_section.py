"""The body's section between its marks."""

import numpy as np
import pytest

from cagewright.draft.section import TAPED, _on_side, _side

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
