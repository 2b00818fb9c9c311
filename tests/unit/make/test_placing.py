import numpy as np
import pytest

from cagewright.base.drawing import Label
from cagewright.make.placing import AreasInUse, overlap, placed, ribbon
from cagewright.make.strokes import Ink, polyline

SQUARE = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]])
DIAMOND = np.array([[1.0, 0.0], [2.0, 1.0], [1.0, 2.0], [0.0, 1.0]])


@pytest.mark.parametrize(
    ("a", "b", "expected"),
    [
        (SQUARE, SQUARE + np.array([1.0, 1.0]), True),
        (SQUARE, SQUARE + np.array([2.0, 0.0]), False),  # they touch
        (DIAMOND, DIAMOND + np.array([1.1, 1.1]), False),  # their boxes overlap, they do not
        (DIAMOND, DIAMOND + np.array([0.9, 0.9]), True),
        (SQUARE, DIAMOND * 0.1 + 1.0, True),  # one inside the other
    ],
)
def test_convex_shapes_overlap(a, b, expected):
    assert overlap(a, b) is expected
    assert overlap(b, a) is expected


def ink(x, y=0.0):
    return Ink(labels=(Label(text="ab", at=(x, y), height=2.0),))


def test_the_first_free_place_is_taken_and_then_in_use():
    taken = AreasInUse([SQUARE])
    assert placed([ink(0.0), ink(10.0), ink(20.0)], taken) == ink(10.0)
    assert placed([ink(0.0), ink(10.0), ink(20.0)], taken) == ink(20.0)


def test_where_no_place_is_free_the_least_crowded_is_taken():
    taken = AreasInUse([SQUARE, SQUARE + np.array([0.5, 0.5]), SQUARE + np.array([10.0, 0.0])])
    assert placed([ink(0.0), ink(10.0)], taken) == ink(10.0)


def test_a_line_may_cross_a_line_but_no_word():
    taken = AreasInUse()
    taken.add_ink(Ink(strokes=(polyline([(0.0, 0.0), (10.0, 0.0)], "dimension"),)))
    crossing = Ink(strokes=(polyline([(5.0, -5.0), (5.0, 5.0)], "dimension"),))
    clear = Ink(strokes=(polyline([(50.0, -5.0), (50.0, 5.0)], "dimension"),))
    assert placed([crossing, clear], taken) is crossing
    taken.add_ink(ink(4.0, -1.0))
    assert placed([crossing, clear], taken) is clear


def test_a_ribbon_covers_its_band():
    (quad,) = ribbon(np.array([[0.0, 0.0], [10.0, 0.0]]), 2.0)
    assert (quad.min(axis=0), quad.max(axis=0)) == (pytest.approx([0.0, -2.0]), pytest.approx([10.0, 2.0]))
    assert ribbon(np.array([[1.0, 1.0], [1.0, 1.0]]), 2.0) == []


def test_no_candidates_is_a_mistake():
    with pytest.raises(ValueError, match="at least one"):
        placed([], AreasInUse())
