"""Bend flexibility against ASME B31.3 Table D300 (worked sheet, verified) and von Karman (memory)."""

from __future__ import annotations

import pytest

from cagewright.frame import bends


def test_worked_pipe_bend():
    h = bends.bend_parameter(radius=1066.8, wall=9.40, mean_radius=350.9)
    assert h == pytest.approx(0.0814, abs=5e-5)
    assert bends.bend_factor(od=711.2, wall=9.40, radius=1066.8) == pytest.approx(20.26, rel=1e-3)


@pytest.mark.parametrize(
    ("od", "wall", "radius", "h", "piping", "karman"),
    [(45, 2.5, 135, 0.7474, 2.208, 2.168), (44.45, 2.413, 152.4, 0.8324, 1.982, 1.966),
     (38, 2.5, 114, 0.9046, 1.824, 1.832), (50, 2.0, 150, 0.5208, 3.168, 3.115)],
)  # fmt: skip
def test_cage_bends(od, wall, radius, h, piping, karman):
    assert bends.bend_parameter(radius=radius, wall=wall, mean_radius=(od - wall) / 2) == pytest.approx(
        h, rel=2e-4
    )
    assert bends.bend_factor(od=od, wall=wall, radius=radius) == pytest.approx(piping, rel=3e-4)
    # von Karman's first term, (12 h2 + 10)/(12 h2 + 1), is within 3 per cent of it for such bends
    assert (12 * h**2 + 10) / (12 * h**2 + 1) == pytest.approx(karman, rel=3e-4)
    assert piping == pytest.approx(karman, rel=0.03)


def test_gentle_bends_are_straight_tubes():
    assert bends.bend_factor(od=45, wall=2.5, radius=5000) == 1.0


def test_impossible_bends_are_refused():
    with pytest.raises(ValueError, match="bend"):
        bends.bend_factor(od=45, wall=2.5, radius=20)
