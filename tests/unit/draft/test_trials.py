"""Trial shapes laid out many at once, against the paths that are built from the same places one at a time."""

import numpy as np
import pytest

from bodies import SALOON, mesh
from cagewright.draft.beside import beside_mesh, by_samples, cloud_beside
from cagewright.draft.tighten import path_of
from cagewright.draft.trials import rooms, stations
from cagewright.shape.clearance import points_at
from cagewright.shape.mesh import mesh_of, nearest


def test_stations_lie_on_the_path_that_is_built():
    rng = np.random.default_rng(1)
    shares, bent = np.linspace(0.0, 1.0, 40), 0
    for _ in range(60):
        places = np.cumsum(rng.normal(0.0, 400.0, (int(rng.integers(2, 7)), 3)), axis=0)
        radii = tuple(rng.uniform(60.0, 140.0, len(places)))
        path = path_of(places, radii)
        both = stations(np.stack([places, places + 7.0]), radii, shares)
        assert both[1] - both[0] == pytest.approx(7.0)
        if path is None:
            assert both[0][[0, -1]] == pytest.approx(places[[0, -1]])
            continue
        bent += len(path.pieces) > 1
        assert both[0] == pytest.approx(points_at(path, shares * path.length), abs=1e-6)
    assert bent > 10


def test_the_straight_left_between_two_bends_is_the_leg_without_their_set_backs():
    places = np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 500.0], [400.0, 0.0, 500.0], [400.0, 0.0, 900.0]])
    # a square bend sets back by its radius
    assert rooms(places[None], (0.0, 100.0, 150.0, 0.0))[0] == pytest.approx([400.0, 150.0, 250.0])


def test_a_search_sees_the_body_as_the_triangles_have_it():
    shell = mesh_of(*mesh(SALOON, 20_000))
    rng = np.random.default_rng(2)
    height = np.linspace(400.0, 1150.0, 50)
    inside = np.stack([np.full(50, 1580.0), -500.0 - rng.uniform(0.0, 120.0, 50), height], axis=1)
    near = cloud_beside(shell, inside, 40.0)
    assert near is not None
    for points in (inside, inside + np.array([0.0, -60.0, 40.0]), inside - np.array([0.0, 220.0, 0.0])):
        away, on = by_samples(shell, near)(points)
        assert away == pytest.approx(nearest(shell, points).away, abs=0.3)
        assert np.linalg.norm(on - points, axis=1) == pytest.approx(away)
        kept = {"middle": 700.0, "skip": -np.inf, "near": near}
        fast, slow = (
            beside_mesh(shell, closest=closest, **kept)(points) for closest in (by_samples(shell, near), None)
        )
        assert fast.away == pytest.approx(slow.away, abs=0.3)
    assert (slow.away < 0.0).any()  # the last stand out through the side
