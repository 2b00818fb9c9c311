"""Edges of a tube's level section against its surface, point by point."""

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from cagewright.base.vectors import square_to, unit
from cagewright.shape.outlines import (
    LongBar,
    left_edge,
    left_tangent_beside,
    level_section,
    plan_angle,
    right_edge,
)
from cases import cases

ROUND = np.linspace(0.0, 2.0 * math.pi, 721)


def cut_by_level(axis: np.ndarray, radius: float) -> np.ndarray:
    """Points (n, 2) where the surface of a cylinder through the origin meets the level through the origin."""
    one = square_to(axis, np.array([0.0, 1.0, 0.0]))
    two = np.cross(axis, one)
    ring = radius * (np.cos(ROUND)[:, None] * one + np.sin(ROUND)[:, None] * two)
    return (ring - (ring[:, 2] / axis[2])[:, None] * axis)[:, :2]


@given(
    lean=st.floats(-60.0, 60.0),
    swing=st.floats(-60.0, 60.0),
    radius=st.floats(8.0, 40.0),
    across=st.floats(-700.0, 700.0),
)
@settings(max_examples=cases(60), deadline=None)
def test_edges_are_the_outermost_points_of_the_surface(
    lean: float, swing: float, radius: float, across: float
):
    axis = unit(np.array([math.tan(math.radians(lean)), math.tan(math.radians(swing)), 1.0]))
    middle = np.array([-650.0, across, 0.0])
    bar = LongBar(name="b", points=middle + np.arange(-500.0, 500.5, 0.5)[:, None] * axis, radius=radius)
    section = level_section(bar, 0.0)
    eye = np.zeros(2)
    seen = plan_angle(middle[:2] + cut_by_level(axis, radius))
    assert right_edge(eye, section) >= seen.max() - 1e-5
    assert left_edge(eye, section) <= seen.min() + 1e-5
    # 721 points of the outline are within 1 - cos(0.25 deg) of it
    assert abs(right_edge(eye, section) - seen.max()) < 2e-5
    assert abs(left_edge(eye, section) - seen.min()) < 2e-5


@given(radius=st.floats(5.0, 60.0), back=st.floats(-1200.0, -300.0), across=st.floats(-900.0, 900.0))
@settings(max_examples=cases(60), deadline=None)
def test_the_line_beside_the_pivot_touches_the_disc(radius: float, back: float, across: float):
    bar = LongBar(name="b", points=np.array([[back, across, up] for up in (-1.0, 0.0, 1.0)]), radius=radius)
    pivot, beside = np.array([98.79, 0.0]), 32.5
    angle = left_tangent_beside(pivot, level_section(bar, 0.0), beside)
    along = np.array([-math.cos(angle), math.sin(angle)])
    right = np.array([math.sin(angle), math.cos(angle)])
    start = pivot - beside * right
    off = np.array([back, across]) - start
    assert abs(float(off @ right) - radius) < 1e-6 * radius
    assert float(off @ along) > 0.0
