"""Clipping, against brute force: dense points along the line, each asked whether it is inside."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from cagewright.base.drawing import Drawing, Label, Stroke, label_corners
from cagewright.make.clip import clipped

WINDOW = (0.0, 0.0, 10.0, 6.0)


def drawing(*strokes, labels=()):
    return Drawing(
        name="a", title="a", box=(-20.0, -20.0, 20.0, 20.0), scale=1.0, strokes=strokes, labels=labels
    )


def inside(points, slack=0.0):
    x0, y0, x1, y1 = np.array(WINDOW) + slack * np.array([-1, -1, 1, 1])
    return (points[:, 0] >= x0) & (points[:, 0] <= x1) & (points[:, 1] >= y0) & (points[:, 1] <= y1)


def total(strokes):
    return sum(float(np.hypot(*np.diff(s.points, axis=0).T).sum()) for s in strokes)


@pytest.mark.parametrize("seed", range(6))
def test_as_much_line_is_left_as_lay_inside(seed):
    points = np.random.default_rng(seed).uniform(-8.0, 16.0, (30, 2))
    kept = clipped(drawing(Stroke(points=points, layer="cut")), WINDOW).strokes
    dense = np.concatenate([np.linspace(a, b, 20001) for a, b in pairwise(points)])
    steps = np.hypot(*np.diff(dense, axis=0).T)
    assert total(kept) == pytest.approx(steps[inside(dense)[1:]].sum(), rel=2e-3)  # a step at each crossing
    assert all(inside(s.points, 1e-9).all() for s in kept)


def test_a_line_inside_is_left_alone():
    points = np.array([[1.0, 1.0], [2.0, 5.0], [9.0, 1.0]])
    (kept,) = clipped(drawing(Stroke(points=points, layer="cut")), WINDOW).strokes
    assert kept.points == pytest.approx(points)


def test_a_line_outside_is_gone():
    points = np.array([[-1.0, 7.0], [11.0, 7.0], [11.0, -1.0]])
    assert clipped(drawing(Stroke(points=points, layer="cut")), WINDOW).strokes == ()


def test_a_closed_line_loses_its_outside_only():
    square = np.array([[5.0, 3.0], [15.0, 3.0], [15.0, 5.0], [5.0, 5.0]])
    kept = clipped(drawing(Stroke(points=square, layer="cut", closed=True)), WINDOW).strokes
    assert total(kept) == pytest.approx(5.0 + 2.0 + 5.0)


def test_a_filled_area_keeps_the_area_inside():
    """Shoelace: a 10 x 2 rectangle half out of the window leaves 5 x 2."""
    square = np.array([[5.0, 3.0], [15.0, 3.0], [15.0, 5.0], [5.0, 5.0]])
    (kept,) = clipped(drawing(Stroke(points=square, layer="area", closed=True, fill="tone")), WINDOW).strokes
    x, y = kept.points.T
    assert abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2.0 == pytest.approx(10.0)


def test_a_label_stays_whole_and_inside():
    label = Label(text="abcdef", at=(6.0, 5.0), height=1.0)
    (kept,) = clipped(drawing(labels=(label,)), WINDOW).labels
    corners = label_corners(kept)
    assert corners[:, 0].max() <= 10.0 + 1e-9
    assert corners[:, 1].max() <= 6.0 + 1e-9
    assert clipped(drawing(labels=(replace(label, at=(30.0, 5.0)),)), WINDOW).labels == ()
