"""Where tubes run into each other, against dense sampling."""

import numpy as np
import pytest

from cagewright.base.curves import Arc, Line, chain, nearest, point_at
from cagewright.shape.closest import closest_between_segments
from cagewright.shape.overlaps import near_pairs, strands, touches

ARC = Arc(
    centre=np.array([0, 0, -135.0]),
    radius=135.0,
    u=np.array([0, 0, 1.0]),
    v=np.array([0, 1.0, 0]),
    angle=1.4,
)


def line(a, b):
    return chain((Line(start=np.array(a, dtype=float), stop=np.array(b, dtype=float)),))


def inside(a, b, reach):
    """Places along ``a`` within reach of ``b``, and the least distance, by sampling."""
    s = np.linspace(0, a.length, 801)
    away = np.array([nearest(b, point_at(a, x))[1] for x in s])
    return s[away < reach], float(away.min())


def test_square_crossing():
    (touch,) = touches(
        strands([line([-300, 0, 0], [300, 0, 0]), line([0, -300, 10], [0, 300, 10])], [20, 15]), least=0.0
    )
    half = np.sqrt(35**2 - 10**2)
    assert touch.depth == pytest.approx(25.0)
    assert touch.on_a == pytest.approx((300 - half, 300 + half))
    assert touch.on_b == pytest.approx((300 - half, 300 + half))
    assert touch.point == pytest.approx([0, 0, 5])


def test_side_by_side():
    (touch,) = touches(
        strands([line([0, 0, 0], [300, 0, 0]), line([100, 30, 0], [250, 30, 0])], [20, 15]), least=0.0
    )
    past = np.sqrt(35**2 - 30**2)
    assert touch.on_a == pytest.approx((100 - past, 250 + past))
    assert touch.on_b == pytest.approx((0.0, 150.0))


def test_clear_tubes_are_none():
    assert (
        touches(strands([line([0, 0, 0], [300, 0, 0]), line([0, 36, 0], [300, 36, 0])], [20, 15]), least=0)
        == []
    )


@pytest.mark.parametrize("seed", range(12))
def test_lines_at_random(seed):
    rng = np.random.default_rng(seed)
    a, b = (line(*rng.uniform(-60, 60, (2, 3))) for _ in range(2))
    found = touches(strands([a, b], [22.5, 19.0]), least=0.0)
    places, least = inside(a, b, 41.5)
    if not found:
        assert least > 41.4
        return
    (touch,) = found
    step = a.length / 800
    assert touch.on_a == pytest.approx((places[0], places[-1]), abs=2 * step)
    assert touch.depth == pytest.approx(41.5 - least, abs=step)


@pytest.mark.parametrize("seed", range(8))
def test_a_bend_and_a_line(seed):
    rng = np.random.default_rng(100 + seed)
    middle = point_at(chain((ARC,)), rng.uniform(20, 160)) + rng.uniform(-30, 30, 3)
    way = rng.normal(size=3)
    b = line(middle - 100 * way, middle + 100 * way)
    a = chain((ARC,))
    found = touches(strands([a, b], [22.5, 19.0]), least=0.0)
    places, least = inside(a, b, 41.5)
    assert min(t.on_a[0] for t in found) == pytest.approx(places[0], abs=0.6)
    assert max(t.on_a[1] for t in found) == pytest.approx(places[-1], abs=0.6)
    assert max(t.depth for t in found) == pytest.approx(41.5 - least, abs=0.02)


def test_boxes_leave_out_nothing_that_is_near():
    rng = np.random.default_rng(7)
    starts, runs = rng.uniform(-300, 300, (40, 3)), rng.uniform(-200, 200, (40, 3))
    lines = [line(a, a + d) for a, d in zip(starts, runs, strict=True)]
    tubes = strands(lines, [20.0] * 40)
    kept = set(zip(*(x.tolist() for x in near_pairs(tubes)), strict=True))
    i, j = np.triu_indices(40, 1)
    on_i, on_j = closest_between_segments(starts[i], (starts + runs)[i], starts[j], (starts + runs)[j])
    near = np.linalg.norm(on_i - on_j, axis=1) < 40.0
    assert near.sum() > 8
    assert set(zip(i[near].tolist(), j[near].tolist(), strict=True)) <= kept
    assert len(kept) < 40 * 39 / 2 / 2


def test_a_member_does_not_overlap_itself():
    tight = chain((Line(start=np.array([0, -100.0, 0]), stop=np.zeros(3)), ARC))
    assert touches(strands([tight], [40.0]), least=0.0) == []
