"""Plots: curves land where their numbers say, told apart by more than colour; ticks are plain numbers."""

import numpy as np
import pytest

from cagewright.make.plots import Axis, Curve, PlotMark, curves_drawing, letter, nice_top, tick_step

X, Y = Axis(name="travel", unit="mm"), Axis(name="load", unit="kN")


def plot(*curves, **more):
    return curves_drawing(curves, name="n", title="t", x=X, y=Y, **more)


def line(name="a", top=80.0, **more):
    return Curve(name=name, x=np.array([0.0, 50.0, 100.0]), y=np.array([0.0, top, top / 2.0]), **more)


@pytest.mark.parametrize(
    ("largest", "step", "top"), [(100, 20, 100), (88.9, 20, 100), (7.0, 1, 7), (0.31, 0.05, 0.35)]
)
def test_ticks_are_plain(largest, step, top):
    assert tick_step(largest) == pytest.approx(step)
    assert nice_top(largest) == pytest.approx(top)


def test_a_flat_curve_still_has_an_axis():
    assert nice_top(0.0) == 1.0
    assert plot(Curve(name="a", x=np.zeros(1), y=np.zeros(1))).labels


def test_a_curve_lands_where_its_numbers_say():
    """With axes to 100 mm and 80 kN on 160 x 90 mm of paper, (50, 80) is at (80, 90)."""
    drawing = plot(line(), size=(160.0, 90.0))
    drawn = next(s for s in drawing.strokes if s.look and s.look.width == 0.55)
    assert np.allclose(drawn.points, [[0, 0], [80, 90], [160, 45]])


def test_curves_differ_in_dash_and_letter_not_in_colour_alone():
    drawing = plot(line(), line("b", 60.0), line("c", 40.0))
    looks = [s.look for s in drawing.strokes if s.look and s.look.width >= 0.35]
    assert len({look.dash for look in looks}) == 3
    words = [label.text for label in drawing.labels]
    assert {"A", "B", "C", "a", "b", "c"} <= set(words)


def test_one_curve_needs_no_key():
    words = {label.text for label in plot(line("the name")).labels}
    assert "the name" not in words
    assert {"travel, mm", "load, kN", "80", "100"} <= words


def test_marks_stay_beside_their_places():
    marks = (PlotMark(x=50.0, y=80.0, text="80.0 kN"), PlotMark(x=52.0, y=78.0, text="2"))
    drawing = plot(line(marks=marks), size=(160.0, 90.0))
    spots = {label.text: np.array(label.at) for label in drawing.labels}
    assert np.hypot(*(spots["80.0 kN"] - [80.0, 90.0])) < 25.0
    assert not np.allclose(spots["2"], spots["80.0 kN"])


def test_a_curve_cut_short_ends_with_a_cross():
    crosses = [s for s in plot(line(cut_short=True)).strokes if s.layer == "wrong"]
    assert len(crosses) == 2
    assert not [s for s in plot(line()).strokes if s.layer == "wrong"]


def test_no_curves_is_a_slip_of_the_programmer():
    with pytest.raises(ValueError, match="at least one"):
        plot()


def test_letters_go_on_past_z():
    assert [letter(i) for i in (0, 25, 26, 27, 52)] == ["A", "Z", "AA", "AB", "BA"]
