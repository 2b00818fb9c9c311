"""Clearances against closed forms and against python-fcl, an independent collision library, to 0.01 mm.

Sources: distance of two skew lines |(q - p) . (u x v)| / |u x v| and of a point from a circle (any geometry
handbook; computed here); python-fcl's capsule against its tree of triangles (a general library, run here);
bounded least squares of scipy over both parameters of two segments (a general library, run here).
"""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import lsq_linear

from body_cages import bent, cage, line, straight
from cagewright.shape.closest import closest_between_segments, closest_segment_triangle
from cagewright.shape.cloud import cloud_of
from cagewright.shape.mesh import Mesh, mesh_of
from cagewright.shape.scan import Scan
from cagewright.shape.scan_gap import clearances
from cagewright.shape.shell import shell_of
from cases import cases
from saloon import box, saloon

fcl = pytest.importorskip("fcl")

WITHIN = 0.01
"""mm."""
places = st.tuples(*[st.floats(-1000.0, 1000.0).map(lambda v: round(v, 3))] * 3)


def scan_of(corners, faces) -> Scan:
    mesh = mesh_of(corners, faces)
    return Scan(name="scan", mesh=mesh, cloud=cloud_of(mesh), watertight=False, residuals=(), notes=())


def gap(member, *, lines=(), scan: Scan | None = None):
    made = cage(member, lines=lines)
    (found,) = clearances(made, shell_of(made, scan))
    return found


# ---- closed forms


@pytest.mark.parametrize("seed", range(8))
def test_skew_lines(seed):
    """Two lines long past their nearest points: the textbook distance, less the radius."""
    random = np.random.default_rng(seed)
    p, q = random.uniform(-100, 100, 3), random.uniform(-100, 100, 3)
    u, v = random.normal(size=3), random.normal(size=3)
    u, v = u / np.linalg.norm(u), v / np.linalg.norm(v)
    away = abs((q - p) @ np.cross(u, v)) / np.linalg.norm(np.cross(u, v))
    found = gap(
        straight("bar", tuple(p - 3000 * u), tuple(p + 3000 * u)),
        lines=[line("edge", q - 3000 * v, q + 3000 * v)],
    )
    assert (found.gap > 0.0) == (away > 19.0)
    if away > 19.0:
        assert found.gap == pytest.approx(away - 19.0, abs=1e-6)
    else:
        assert max(cut.depth for cut in found.cuts) == pytest.approx(19.0 - away, abs=1e-6)


@pytest.mark.parametrize("seed", range(8))
def test_a_bend_against_the_distance_from_a_circle(seed):
    """The hoop's bend is a quarter of a torus: | (rho - R, x) | - r, rho the distance from its axis."""
    random = np.random.default_rng(seed)
    angle, out, x = random.uniform(0.2, 1.3), random.uniform(-70, 60), random.uniform(-80, 80)
    rho = 135.0 + out
    point = np.array([x, 135.0 - rho * math.cos(angle), 500.0 + rho * math.sin(angle)])
    found = gap(bent("hoop"), lines=[line("edge", point, point + np.array([1e-7, 0.0, 0.0]))])
    away = math.hypot(out, x) - 22.5
    if away > 0.0:
        assert found.gap == pytest.approx(away, abs=WITHIN)
    else:
        assert found.cuts[0].depth == pytest.approx(-away, abs=WITHIN)


@pytest.mark.parametrize(("d", "expected"), [(19.0, 0.0), (20.0, 1.0), (119.0, 100.0)])
def test_a_tube_beside_a_box(d, expected):
    beside = scan_of(*box((5000, 10, 800), middle=(0, d + 5, 0)))
    found = gap(straight("bar", (0, 0, 0), (1000, 0, 0)), scan=beside)
    assert found.gap == pytest.approx(expected, abs=1e-9)


# ---- scipy


@settings(max_examples=cases(200), deadline=None)
@given(places, places, places, places)
def test_segments_against_bounded_least_squares(a, b, c, d):
    p, q, r, s = (np.array(v) for v in (a, b, c, d))
    one, two = closest_between_segments(*(v[None] for v in (p, q, r, s)))
    ours = float(np.linalg.norm(one - two))

    # p + x (q - p) against r + y (s - r): least squares with x and y held to 0..1
    solved = lsq_linear(np.stack([q - p, r - s], axis=1), r - p, bounds=(0.0, 1.0), method="bvls", tol=1e-14)
    theirs = math.sqrt(2.0 * solved.cost)
    assert ours == pytest.approx(theirs, abs=WITHIN)


# ---- python-fcl


def fcl_capsule(a: np.ndarray, b: np.ndarray, radius: float):
    axis = b - a
    size = float(np.linalg.norm(axis))
    z = axis / size
    x = np.cross(z, [1.0, 0.0, 0.0] if abs(z[0]) < 0.9 else [0.0, 1.0, 0.0])
    x /= np.linalg.norm(x)
    turned = np.stack([x, np.cross(z, x), z], axis=1)
    return fcl.CollisionObject(fcl.Capsule(radius, size), fcl.Transform(turned, (a + b) / 2.0))


def fcl_mesh(mesh: Mesh):
    model = fcl.BVHModel()
    model.beginModel(len(mesh.faces), len(mesh.corners))
    model.addSubModel(mesh.corners, mesh.faces)
    model.endModel()
    return fcl.CollisionObject(model)


SHELL = scan_of(*saloon(20_000, noise=0.4))
BLOCK = scan_of(*box((700, 500, 300)))


def test_tubes_in_a_saloon_shell():
    theirs = fcl_mesh(SHELL.mesh)
    random = np.random.default_rng(5)
    checked = 0
    while checked < 40:
        a = random.uniform([700, -600, 300], [2100, 600, 1100])
        b = a + random.normal(size=3) * 250.0
        result = fcl.DistanceResult()
        away = fcl.distance(fcl_capsule(a, b, 19.0), theirs, fcl.DistanceRequest(True), result)
        if away <= 0.0:
            continue
        found = gap(straight("bar", tuple(a), tuple(b)), scan=SHELL)
        assert found.gap == pytest.approx(away, abs=WITHIN)
        checked += 1


def test_where_fcl_sees_a_collision_no_gap_is_shown():
    theirs = fcl_mesh(SHELL.mesh)
    random = np.random.default_rng(6)
    seen = 0
    for _ in range(120):
        a = random.uniform([700, -760, 150], [2100, 760, 1300])
        b = a + random.normal(size=3) * 250.0
        hit = fcl.collide(fcl_capsule(a, b, 19.0), theirs, fcl.CollisionRequest(), fcl.CollisionResult())
        found = gap(straight("bar", tuple(a), tuple(b)), scan=SHELL)
        assert bool(found.cuts) == bool(hit)
        assert (found.gap == 0.0) == bool(hit)
        seen += bool(hit)
    assert 10 < seen < 110


@settings(max_examples=cases(60), deadline=None)
@given(places, places, places, places, places)
def test_a_segment_and_a_triangle(a, b, c, d, e):
    p, q = np.array(a), np.array(b)
    corners = np.array([c, d, e])
    assume(np.linalg.norm(q - p) > 1.0)
    assume(np.linalg.norm(np.cross(corners[1] - corners[0], corners[2] - corners[0])) > 10.0)
    one, two = closest_segment_triangle(p[None], q[None], corners[None])
    ours = float(np.linalg.norm(one - two))
    model = fcl.BVHModel()
    model.beginModel(1, 3)
    model.addSubModel(corners, np.array([[0, 1, 2]]))
    model.endModel()
    thin = 1e-3
    theirs = fcl.distance(
        fcl_capsule(p, q, thin), fcl.CollisionObject(model), fcl.DistanceRequest(), fcl.DistanceResult()
    )
    if theirs > 0.0:
        assert ours - thin == pytest.approx(theirs, abs=WITHIN)
    else:
        assert ours <= thin + 1e-6


@settings(max_examples=cases(60), deadline=None)
@given(places, places)
def test_a_gap_is_never_negative_and_a_cut_never_without_depth(a, b):
    assume(math.dist(a, b) > 50.0)
    found = gap(straight("bar", a, b), scan=BLOCK)
    assert found.gap >= 0.0
    assert (found.gap == 0.0) == bool(found.cuts) or found.gap < 1e-9
    assert all(cut.depth > 0.0 and cut.stop >= cut.start for cut in found.cuts)
