"""Lines, arcs and chains against plane geometry."""

import math

import numpy as np
import pytest

from cagewright.base.curves import Arc, Line, chain, nearest, places_at, point_at, sample, tangent_at

ARC = Arc(
    centre=np.array([0.0, 0, 100]),
    radius=100.0,
    u=np.array([0.0, 0, -1]),
    v=np.array([1.0, 0, 0]),
    angle=math.pi / 2,
)
PATH = chain((
    Line(start=np.array([-200.0, 0, 0]), stop=np.zeros(3)),
    ARC,
    Line(start=np.array([100.0, 0, 100]), stop=np.array([100.0, 0, 300])),
))


def test_length_is_straights_and_arcs():
    assert PATH.length == pytest.approx(200 + 50 * math.pi + 200)
    assert PATH.starts == pytest.approx((0, 200, 200 + 50 * math.pi, PATH.length))


def test_no_pieces_is_no_chain():
    with pytest.raises(ValueError, match="at least one"):
        chain(())


@pytest.mark.parametrize(
    ("s", "point", "tangent"),
    [
        (0.0, (-200, 0, 0), (1, 0, 0)),
        (200 + 25 * math.pi, (100 * math.sin(math.pi / 4), 0, 100 - 100 * math.cos(math.pi / 4)), None),
        (200 + 50 * math.pi + 50, (100, 0, 150), (0, 0, 1)),
        (-30.0, (-230, 0, 0), (1, 0, 0)),
        (PATH.length + 30, (100, 0, 330), (0, 0, 1)),
    ],
)
def test_points_and_tangents(s, point, tangent):
    assert point_at(PATH, s) == pytest.approx(point, abs=1e-9)
    if tangent is not None:
        assert tangent_at(PATH, s) == pytest.approx(tangent, abs=1e-12)


def test_a_chain_of_one_arc_runs_straight_on_past_its_ends():
    alone = chain((ARC,))
    assert point_at(alone, -20.0) == pytest.approx((-20, 0, 0), abs=1e-9)
    assert point_at(alone, alone.length + 20) == pytest.approx((100, 0, 120), abs=1e-9)


def test_nearest_is_the_best_of_many_samples():
    rng = np.random.default_rng(2)
    points = np.array([point_at(PATH, s) for s in np.linspace(0, PATH.length, 4001)])
    for p in rng.uniform(-300, 400, (60, 3)):
        s, away = nearest(PATH, p)
        assert np.linalg.norm(point_at(PATH, s) - p) == pytest.approx(away)
        assert away == pytest.approx(np.linalg.norm(points - p, axis=1).min(), abs=0.02)


def test_places_at_on_straights_and_bend():
    whole, found = places_at(PATH, 0, 50.0)
    assert not whole
    assert found == pytest.approx([200 + 100 * math.asin(0.5)])
    assert places_at(PATH, 2, 250.0)[1] == pytest.approx([200 + 50 * math.pi + 150])
    assert places_at(PATH, 2, 301.0) == (False, [])


def test_the_joint_of_two_pieces_counts_once():
    assert places_at(PATH, 0, 0.0) == (False, pytest.approx([200.0]))
    assert places_at(PATH, 2, 100.0)[1] == pytest.approx([200 + 50 * math.pi])


def test_a_level_straight_has_its_height_everywhere():
    assert places_at(PATH, 2, 0.0)[0]
    assert places_at(PATH, 0, 100.0)[0]
    assert places_at(PATH, 1, 0.0)[0]
    assert not places_at(PATH, 2, 0.5)[0]


def test_places_at_an_arch_has_two():
    arch = chain((
        Arc(centre=np.zeros(3), radius=50.0, u=np.array([-1.0, 0, 0]), v=np.array([0, 0, 1.0]), angle=2.8),
    ))
    found = places_at(arch, 2, 40.0)[1]
    assert len(found) == 2
    assert [point_at(arch, s)[2] for s in found] == pytest.approx([40.0, 40.0])
    assert len(places_at(arch, 2, 50.0)[1]) == 1, "the top is one place"


def test_samples_stay_within_the_sagitta():
    points = sample(PATH, sagitta=0.05)
    middles = 0.5 * (points[1:] + points[:-1])
    assert max(nearest(PATH, m)[1] for m in middles) <= 0.05 + 1e-9
    assert points[0] == pytest.approx(PATH.pieces[0].start)
    assert points[-1] == pytest.approx(PATH.pieces[-1].stop)
