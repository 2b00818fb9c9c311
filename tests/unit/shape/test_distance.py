"""Distances against dense sampling and against closed forms."""

import numpy as np
import pytest

from cagewright.base.curves import Arc, Line, chain, point_at
from cagewright.shape.distance import between, to_piece

QUARTER = Arc(
    centre=np.zeros(3), radius=100.0, u=np.array([1.0, 0, 0]), v=np.array([0, 1.0, 0]), angle=np.pi / 2
)


def line(a, b):
    return Line(start=np.array(a, dtype=float), stop=np.array(b, dtype=float))


@pytest.mark.parametrize(
    ("point", "away"),
    [
        ([200.0, 0, 0], 100.0),
        ([0, 0, 0], 100.0),
        ([50.0, 50.0, 30.0], np.hypot(100 - 50 * np.sqrt(2), 30)),
        ([100.0, -40.0, 0], 40.0),
        ([-30.0, 100.0, 0], 30.0),
        ([-100.0, -90.0, 0], np.hypot(100, 190)),
    ],
)
def test_to_arc(point, away):
    assert to_piece(np.array([point], dtype=float), QUARTER)[0] == pytest.approx(away, abs=1e-12)


def test_to_line_past_its_ends():
    points = np.array([[-3.0, 4, 0], [5, 0, 2], [13, 0, 4]])
    assert to_piece(points, line([0, 0, 0], [10, 0, 0])) == pytest.approx([5, 2, 5])


def test_skew_lines():
    a, b = chain((line([0, 0, 0], [100, 0, 0]),)), chain((line([50, -50, 30], [50, 50, 30]),))
    found = between(a, b)
    assert found.distance == pytest.approx(30.0)
    assert (found.on_a, found.on_b) == pytest.approx((50.0, 50.0), abs=1e-5)


def test_line_beside_an_arc_is_exact():
    # the nearest place of a tangent line lifted by 7 is on the rim at 45 degrees, 100 (sqrt 2 - 1) further in
    a = chain((QUARTER,))
    b = chain((line([150, 0, 7], [0, 150, 7]),))
    apart = 150 / np.sqrt(2) - 100
    assert between(a, b).distance == pytest.approx(np.hypot(apart, 7), abs=1e-9)
    assert between(b, a).distance == pytest.approx(np.hypot(apart, 7), abs=1e-9)


def test_against_sampling():
    rng = np.random.default_rng(4)
    for _ in range(10):
        a = chain((QUARTER,))
        ends = rng.uniform(-200, 200, (2, 3))
        b = chain((line(*ends),))
        points = np.array([point_at(a, s) for s in np.linspace(0, a.length, 2001)])
        sampled = to_piece(points, b.pieces[0]).min()
        found = between(a, b)
        assert found.distance <= sampled + 1e-9
        assert found.distance == pytest.approx(sampled, abs=2e-3)
        assert np.linalg.norm(found.point_a - found.point_b) == pytest.approx(found.distance)
