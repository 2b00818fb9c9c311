"""A tube by straights, bends and turns: from a path and back, the other way, the other hand."""

import math
from pathlib import Path

import numpy as np
import pytest

from cagewright.base.curves import point_at, sample
from cagewright.base.vectors import mirrored
from cagewright.plan.read import read_plan
from cagewright.shape.resolve import resolve
from cagewright.shape.tube_shape import (
    TubeShape,
    centre_line,
    longer,
    other_hand,
    other_way,
    places_of,
    shape_and_frame,
)

EXAMPLES = Path(__file__).parents[3] / "examples"


def tube(**said):
    shape = {
        "straights": (300.0, 400.0, 200.0),
        "angles": (math.pi / 2, math.pi / 3),
        "radii": (100.0, 100.0),
        "clockings": (math.pi / 2,),
    }
    return TubeShape(**{**shape, **said})


def test_a_tube_by_hand():
    # 300 back, a square bend across, then a quarter turn right-handed about across: the next bend goes up
    places = places_of(tube(angles=(math.pi / 2, math.pi / 2)))
    by_hand = np.array([[0, 0, 0], [400, 0, 0], [400, 600, 0], [400, 600, 300]])
    assert places == pytest.approx(by_hand, abs=1e-9)


@pytest.mark.parametrize("file", ["brackwater.yaml", "pellworth.yaml"])
def test_every_tube_of_the_examples_comes_back_where_it_stands(file):
    for member in resolve(read_plan(EXAMPLES / file)).members:
        shape, frame = shape_and_frame(member.path, member.bends)
        again = centre_line(shape, frame)
        assert again.length == pytest.approx(member.path.length, abs=1e-6) == shape.length
        for s in np.linspace(0.0, shape.length, 23):
            assert point_at(again, s) == pytest.approx(point_at(member.path, s), abs=1e-6)


def test_the_other_way_is_the_same_tube():
    one, two = tube(clockings=(0.7,)), other_way(tube(clockings=(0.7,)))
    a, b = (places_of(s) for s in (one, two))
    apart = lambda p: [float(np.linalg.norm(p[i] - p[j])) for i in range(len(p)) for j in range(i)]  # noqa: E731
    assert sorted(apart(a)) == pytest.approx(sorted(apart(b)))
    volume = lambda p: float(np.linalg.det(p[1:] - p[0]))  # noqa: E731
    assert volume(a) == pytest.approx(volume(b[::-1]))
    assert other_way(two) == one


def test_the_other_hand_is_its_mirror():
    a, b = (sample(centre_line(s)) for s in (tube(clockings=(0.7,)), other_hand(tube(clockings=(0.7,)))))
    flipped = mirrored(a) * [1.0, -1.0, -1.0]  # the first bend's plane is the mirror
    assert flipped == pytest.approx(b, abs=1e-9)


def test_counts_that_do_not_fit_are_refused():
    with pytest.raises(ValueError, match="3 straights"):
        tube(straights=(300.0, 400.0))


@pytest.mark.parametrize("said", [{"angles": (math.pi / 2, 0.0)}, {"straights": (300.0, -5.0, 200.0)}])
def test_what_no_tube_can_be_is_refused(said):
    with pytest.raises(ValueError, match="no tube"):
        centre_line(tube(**said))


def test_longer_and_shorter_at_its_ends():
    assert longer(tube(), 10.0, -20.0).straights == (310.0, 400.0, 180.0)
