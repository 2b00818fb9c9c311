"""Angles hidden by an upright cylinder, against closed forms.

Source: plane trigonometry. Eyes 65 mm apart, cylinder straight ahead at 700 mm, head not turned: the left
eye's tangent to the left edge and the right eye's tangent to the right edge make
2 (asin(r / sqrt(700^2 + 32.5^2)) - atan(32.5 / 700)); one eye sees 2 asin(r / 700). Computed; the values in
degrees below were worked out by an independent route. Dimensions: UN R125 eye spacing 65 mm (from memory).
"""

import math

import numpy as np
import pytest

from cagewright.check.sight.eyes import Eyes
from cagewright.check.sight.seen import obstruction
from cagewright.shape.outlines import LongBar, left_edge, level_section, right_edge


def eyes_at_zero() -> Eyes:
    ahead = math.sqrt(104.0**2 - 32.5**2)
    pivot = np.array([ahead, 0.0, 0.0])
    return Eyes(mid=np.zeros(3), pivots=(pivot, pivot), ahead=ahead, half=32.5, through=pivot, source="test")


def upright(diameter: float, back: float, across: float) -> LongBar:
    up = np.arange(-200.0, 200.1, 2.0)
    points = np.column_stack([np.full_like(up, back), np.full_like(up, across), up])
    return LongBar(name="pole", points=points, radius=diameter / 2.0)


@pytest.mark.parametrize(
    ("diameter", "both", "one"), [(45.0, -1.637, 3.684), (80.0, 1.228, 6.552), (120.0, 4.507, 9.834)]
)
def test_upright_cylinder_straight_ahead(diameter: float, both: float, one: float):
    seen = obstruction(eyes_at_zero(), (upright(diameter, -700.0, 0.0),), "pole", "member")
    assert seen is not None
    assert math.degrees(seen.straight) == pytest.approx(both, abs=1e-3)
    assert math.degrees(seen.one_eye) == pytest.approx(one, abs=1e-3)


@pytest.mark.parametrize("diameter", [38.0, 45.0, 65.0, 80.0])
@pytest.mark.parametrize("across", [-150.0, -400.0])
def test_turned_head_closed_form(diameter: float, across: float):
    """With the head turned, the outer tangent runs straight ahead of the outer eye, so in the head's own axes
    the cylinder's middle is (r - 32.5) across; the inner eye's tangent is then
    asin(r/d) - atan((65 - r)/L) with L the distance ahead of the eye line (computed)."""
    eyes = eyes_at_zero()
    seen = obstruction(eyes, (upright(diameter, -700.0, across),), "pole", "member")
    assert seen is not None
    assert seen.side == "left"
    r = diameter / 2.0
    distance = math.hypot(700.0 + eyes.ahead, across)
    level = math.sqrt(distance**2 - (32.5 - r) ** 2) - eyes.ahead
    inner = 65.0 - r
    wanted = math.asin(r / math.hypot(level, inner)) - math.atan2(inner, level)
    assert seen.both == pytest.approx(wanted, abs=2e-5)
    if diameter == 65.0:
        assert seen.both == pytest.approx(0.0, abs=2e-5)


def test_right_is_the_mirror_of_left():
    left, right = (
        obstruction(eyes_at_zero(), (upright(60.0, -650.0, y),), "pole", "member") for y in (-300.0, 300.0)
    )
    assert left is not None
    assert right is not None
    assert (left.side, right.side) == ("left", "right")
    assert right.both == pytest.approx(left.both, abs=1e-12)
    assert right.turned == pytest.approx(left.turned, abs=1e-12)


def test_leaning_tube_section_is_an_ellipse():
    """A cylinder of radius r whose axis leans forward by a from the upright has a level section of
    half-widths r across and r / cos a back (any descriptive-geometry text; computed).
    """
    lean = math.radians(50.0)
    run = np.arange(-400.0, 400.1, 1.0)[:, None]
    axis = np.array([-math.sin(lean), 0.0, math.cos(lean)])
    eyes = eyes_at_zero()
    far = np.array([0.0, -5000.0, 0.0])
    discs = level_section(LongBar(name="leg", points=far + run * axis, radius=19.0), 0.0)
    width = right_edge(eyes.mid, discs) - left_edge(eyes.mid, discs)
    half = 19.0 / math.cos(lean)
    # tangents to an ellipse (half-axes a along back, b across) from a point on its b axis at distance D
    wanted = 2.0 * math.atan(half / math.sqrt(5000.0**2 - 19.0**2))
    assert width == pytest.approx(wanted, rel=1e-4)
