"""Distances to a mesh of triangles, against brute force over every triangle and against known solids."""

import numpy as np
import pytest

from cagewright.shape.closest import closest_between_segments, closest_on_triangles, closest_segment_triangle
from cagewright.shape.cloud import cloud_of, within
from cagewright.shape.mesh import bounds, crossings, mesh_of, nearest, segment_gaps
from saloon import box, saloon


def spread(n: int, seed: int = 3) -> np.ndarray:
    low, high = np.array([200.0, -900.0, 0.0]), np.array([2600.0, 900.0, 1500.0])
    return np.random.default_rng(seed).uniform(low, high, (n, 3))


def brute(mesh, points: np.ndarray) -> np.ndarray:
    corners = mesh.corners[mesh.faces]
    m = len(corners)
    return np.array([
        np.linalg.norm(closest_on_triangles(np.repeat(p[None], m, axis=0), corners) - p, axis=1).min()
        for p in points
    ])


@pytest.mark.parametrize("seed", [1, 2])
def test_nearest_is_that_of_every_triangle_tried(seed):
    mesh = mesh_of(*saloon(3000))
    points = spread(60, seed)
    found = nearest(mesh, points)
    assert found.away == pytest.approx(brute(mesh, points), abs=1e-9)
    assert np.linalg.norm(found.on - points, axis=1) == pytest.approx(found.away, abs=1e-9)


def test_one_huge_triangle_among_small_ones_is_still_found():
    corners, faces = saloon(3000)
    far = np.array([[-5000.0, -5000, 1600], [9000, -5000, 1600], [1500, 9000, 1600]])
    mesh = mesh_of(np.vstack([corners, far]), np.vstack([faces, len(corners) + np.arange(3)]))
    assert nearest(mesh, np.array([[1400.0, 0.0, 1590.0]])).away == pytest.approx([10.0])


def test_nothing_within_the_limit_is_infinitely_far():
    mesh = mesh_of(*box((100.0, 100.0, 100.0)))
    found = nearest(mesh, np.array([[0.0, 0.0, 70.0], [0.0, 0.0, 80.0]]), limit=25.0)
    assert found.away.tolist() == [20.0, np.inf]
    assert found.face[1] == -1


def test_bounds_hold_the_distance_between_them():
    mesh = mesh_of(*saloon(2000))
    points = spread(80)
    low, high = bounds(mesh, points)
    exact = brute(mesh, points)
    assert (low <= exact + 1e-9).all()
    assert (exact <= high + 1e-9).all()


BOX = mesh_of(*box((100.0, 100.0, 100.0)))


def one(*place: float) -> np.ndarray:
    return np.array([place])


def test_a_segment_through_a_box_pierces_it_twice_and_its_gap_is_nought():
    a, b = one(0.0, 10.0, -200.0), one(0.0, 10.0, 200.0)
    assert crossings(BOX, a, b).tolist() == [2]
    assert segment_gaps(BOX, a, b, within=np.array([1000.0])).away.tolist() == [0.0]


def test_a_segment_through_the_shared_edge_of_two_faces_crosses_once():
    assert crossings(BOX, one(0.0, 0.0, 0.0), one(0.0, 0.0, 200.0)).tolist() == [1]


def test_segments_beside_a_box_edge():
    a = np.array([[53.0, -20.0, 54.0], [53.0, 0.0, 54.0], [0.0, 0.0, 57.0]])
    b = np.array([[53.0, 20.0, 54.0], [60.0, 0.0, 60.0], [3.0, 0.0, 59.0]])
    gaps = segment_gaps(BOX, a, b, within=np.array([100.0, 4.9, 100.0]))
    assert gaps.away == pytest.approx([5.0, np.inf, 7.0])  # 3-4-5 off the edge, too far, above the top
    assert gaps.on_mesh[2] == pytest.approx([0.0, 0.0, 50.0])


def test_many_segments_at_once_are_as_one_by_one():
    mesh = mesh_of(*saloon(4000))
    a, b = spread(900, 7), spread(900, 8)
    b = a + 0.05 * (b - a)
    limit = np.full(900, 60.0)
    together, hits = segment_gaps(mesh, a, b, within=limit), crossings(mesh, a, b)
    for i in range(0, 900, 45):
        alone = segment_gaps(mesh, a[i : i + 1], b[i : i + 1], within=limit[:1])
        assert alone.away[0] == together.away[i]
        assert crossings(mesh, a[i : i + 1], b[i : i + 1])[0] == hits[i]
    assert hits.any()
    assert (together.away[hits > 0] == 0.0).all()


def test_a_mesh_needs_a_triangle():
    with pytest.raises(ValueError, match="triangle"):
        mesh_of(np.zeros((3, 3)), np.zeros((0, 3), dtype=np.int64))


SEGMENTS = [  # a, b, c, d, distance: by hand
    ([0, 0, 0], [10, 0, 0], [0, 5, 0], [10, 5, 0], 5.0),  # parallel
    ([0, 0, 0], [10, 0, 0], [5, -5, 3], [5, 5, 3], 3.0),  # crossed
    ([0, 0, 0], [10, 0, 0], [1, -1, 2], [9, 7, 2], 2.0),  # askew, both nearest points inside
    ([0, 0, 0], [10, 0, 0], [13, 4, 0], [20, 4, 0], 5.0),  # in line, apart
    ([0, 0, 0], [0, 0, 0], [3, 4, -1], [3, 4, 1], 5.0),  # a point and a segment
    ([1, 1, 1], [1, 1, 1], [4, 5, 1], [4, 5, 1], 5.0),  # two points
    ([0, 0, 0], [10, 0, 0], [10, 0, 0], [10, 10, 0], 0.0),  # a shared end
]


@pytest.mark.parametrize(("a", "b", "c", "d", "away"), SEGMENTS)
def test_segments(a, b, c, d, away):
    first, two = closest_between_segments(*(np.array([p], dtype=float) for p in (a, b, c, d)))
    assert np.linalg.norm(first - two) == pytest.approx(away, abs=1e-12)


TRIANGLE = np.array([[[0.0, 0, 0], [30.0, 0, 0], [0.0, 40, 0]]])
PLACES = [  # a point and the nearest point of the right-angled triangle, by hand
    ([5, 5, 7], [5, 5, 0]),  # over it
    ([30, 40, 0], [10.8, 25.6, 0]),  # past its long edge: 32 along it from (30, 0), the edge runs (-3, 4)/5
    ([10, -3, 4], [10, 0, 0]),
    ([-5, 20, 0], [0, 20, 0]),
    ([40, -10, 1], [30, 0, 0]),
    ([-4, 45, 2], [0, 40, 0]),
    ([-3, -4, 0], [0, 0, 0]),
]


@pytest.mark.parametrize(("point", "expected"), PLACES)
def test_the_nearest_point_of_a_triangle(point, expected):
    on = closest_on_triangles(np.array([point], dtype=float), TRIANGLE)
    assert on[0] == pytest.approx(expected)


def test_long_thin_triangles_are_told_apart_at_their_tips():
    """They fan out so far that the nearest middles belong to others: a few neighbours are not enough."""
    y = 0.5 * np.arange(60.0)
    zero = np.zeros(60)
    one = np.stack([zero, y, zero], axis=1)
    two = np.stack([zero, y + 0.5, zero], axis=1)
    tips = np.stack([zero + 400.0, 40.0 * y, 3.0 * np.sin(y)], axis=1)
    i = np.arange(60)
    mesh = mesh_of(np.vstack([one, two, tips]), np.stack([i, i + 60, i + 120], axis=1))
    points = tips[:30] + np.array([2.0, 1.0, 4.0])
    assert nearest(mesh, points).away == pytest.approx(brute(mesh, points), abs=1e-9)


def test_every_point_of_a_cloud_is_on_its_mesh():
    mesh = mesh_of(*box((300.0, 200.0, 100.0)))
    assert nearest(mesh, cloud_of(mesh).points).away == pytest.approx(0.0, abs=1e-9)


def test_a_sliver_of_a_triangle_is_no_trouble():
    corners = np.array([[[0.0, 0, 0], [10.0, 0, 0], [5.0, 0, 0]]])
    on = closest_on_triangles(np.array([[5.0, 3.0, 4.0]]), corners)
    assert on.tolist() == [[5.0, 0.0, 0.0]]


def test_a_segment_over_the_middle_of_a_triangle():
    corners = np.array([[[-100.0, -100, 0], [100.0, -100, 0], [0.0, 100, 0]]])
    a, b = np.array([[-5.0, 0.0, 7.0]]), np.array([[5.0, 0.0, 9.0]])
    first, two = closest_segment_triangle(a, b, corners)
    assert first.tolist() == [[-5.0, 0.0, 7.0]]
    assert two.tolist() == [[-5.0, 0.0, 0.0]]


def test_a_cloud_says_within_as_the_mesh_does_but_for_a_millimetre():
    mesh = mesh_of(*saloon(20_000))
    cloud = cloud_of(mesh)
    points = spread(4000)
    exact = nearest(mesh, points).away
    for radius in (8.0, 20.0):
        said = within(cloud, points, radius)
        sure = np.abs(exact - radius) > 1.5
        assert (said == (exact < radius))[sure].all()


def test_a_cloud_reaches_little_past_a_free_edge():
    corners = np.array([[0.0, 0, 0], [200, 0, 0], [200, 200, 0], [0, 200, 0]])
    cloud = cloud_of(mesh_of(corners, np.array([[0, 1, 2], [0, 2, 3]])))
    past = np.array([[200.0 + d, 100.0, 5.0] for d in (2.0, 20.0, 40.0)])
    assert within(cloud, past, 8.0).tolist() == [True, False, False]


def test_a_cloud_of_large_triangles_has_no_holes():
    corners = np.array([[0.0, 0, 0], [1000, 0, 0], [1000, 700, 0], [0, 700, 0]])
    cloud = cloud_of(mesh_of(corners, np.array([[0, 1, 2], [0, 2, 3]])))
    grid = np.stack(np.meshgrid(np.linspace(5, 995, 97), np.linspace(5, 695, 61), [6.0]), axis=-1)
    assert within(cloud, grid.reshape(-1, 3), 8.0).all()
    assert len(cloud.points) < 3 * 1000 * 700 / 64
