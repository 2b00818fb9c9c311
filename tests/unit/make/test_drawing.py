import numpy as np
import pytest

from cagewright.base.drawing import LOOKS, Drawing, Label, Stroke, box_round, label_corners, moved, text_width


def test_label_box_turns_with_the_label():
    level = label_corners(Label(text="abcd", at=(10.0, 20.0), height=3.0))
    upright = label_corners(Label(text="abcd", at=(10.0, 20.0), height=3.0, angle=90.0))
    wide, high = np.ptp(level, axis=0)
    assert np.ptp(upright, axis=0) == pytest.approx([high, wide])
    assert level[:, 0].min() == pytest.approx(10.0)
    assert upright[:, 1].min() == pytest.approx(20.0)


@pytest.mark.parametrize(("anchor", "low"), [("left", 0.0), ("middle", -0.5), ("right", -1.0)])
def test_label_box_hangs_from_its_anchor(anchor, low):
    corners = label_corners(Label(text="abc", at=(0.0, 0.0), anchor=anchor))
    assert corners[:, 0].min() == pytest.approx(low * text_width("abc", 3.0))


def test_box_holds_strokes_and_labels():
    stroke = Stroke(points=np.array([[0.0, 0.0], [5.0, 1.0]]), layer="cut")
    label = Label(text="x", at=(20.0, -4.0), height=2.0)
    x0, y0, x1, y1 = box_round((stroke,), (label,), margin=1.0)
    assert (x0, y1) == (-1.0, 2.0)
    assert x1 == pytest.approx(20.0 + text_width("x", 2.0) + 1.0)
    assert y0 < -5.0


def test_an_empty_drawing_has_no_box():
    with pytest.raises(ValueError, match="no box"):
        box_round((), ())


def test_moving_moves_everything():
    stroke = Stroke(points=np.array([[0.0, 0.0], [5.0, 1.0]]), layer="cut")
    made = Drawing(
        name="a", title="a", box=(0.0, 0.0, 5.0, 1.0), scale=1.0, strokes=(stroke,),
        labels=(Label(text="x", at=(1.0, 1.0)),),
    )  # fmt: skip
    there = moved(made, 10.0, -2.0)
    assert there.box == (10.0, -2.0, 15.0, -1.0)
    assert there.labels[0].at == (11.0, -1.0)
    assert there.strokes[0].points == pytest.approx(np.array([[10.0, -2.0], [15.0, -1.0]]))


def test_no_two_layers_differ_by_colour_alone():
    """Those a builder must tell apart on one paper differ by width or dash as well."""
    told_apart = ["cut", "inside", "centre", "trim", "hidden", "body", "wrong", "selected"]
    shapes = [(LOOKS[name].width, LOOKS[name].dash) for name in told_apart]
    assert len(set(shapes)) == len(shapes)
