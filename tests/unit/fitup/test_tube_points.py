"""A tube by points: XYZ in any place, a scan of half its skin with clutter, in metres; what is no tube."""

import math
from functools import cache

import numpy as np
import pytest
import trimesh
from scipy.spatial.transform import Rotation

from bent import bent, leg_lines, member_bench, off
from cagewright.base.curves import sample
from cagewright.base.problems import ProblemsFound
from cagewright.base.vectors import UP, square_to, unit
from cagewright.fitup.tube import numbers_of
from cagewright.fitup.tube_points import NoTube, tube_of_corners, tube_of_scan
from cagewright.job.tube import tube_from_lines, tube_of
from cagewright.job.tube_scan import tube_from_scan
from cagewright.plan.tube_file import read_tube_text
from cagewright.shape.tube_shape import TubeShape, centre_line, places_of
from fitted import brackwater

LEG = "front_leg_left"
TURN = Rotation.from_rotvec([0.4, -1.3, 0.7])


@cache
def swept(bends: tuple[tuple[int, float], ...] = ((2, -1.5),)) -> tuple[TubeShape, trimesh.Trimesh]:
    """The leg with its bends off, and its skin swept by trimesh, in another place."""
    bench = member_bench(LEG)
    shape = off(bench.planned, bend=bends)
    around = np.linspace(0.0, 2.0 * math.pi, 65)[:-1]
    ring = bench.radius * np.stack([np.cos(around), np.sin(around)], axis=1)
    line = sample(centre_line(shape), sagitta=0.02)
    along = np.gradient(line, axis=0)
    along /= np.linalg.norm(along, axis=1)[:, None]
    side = [square_to(along[0], UP)]
    for t in along[1:]:
        side.append(unit(side[-1] - (side[-1] @ t) * t))  # as little turned as can be from ring to ring
    skin = np.array([p + ring @ [s, np.cross(t, s)] for p, s, t in zip(line, side, along, strict=True)])
    made = trimesh.Trimesh(skin.reshape(-1, 3), _between_rings(len(line), len(ring)), process=False)
    made.apply_transform(np.block([[TURN.as_matrix(), np.array([[300.0], [-80.0], [1200.0]])], [0, 0, 0, 1]]))
    return shape, made


def _between_rings(rings: int, round_: int) -> np.ndarray:
    i, k = (a.ravel() for a in np.mgrid[: rings - 1, :round_])
    here, beside = i * round_ + k, i * round_ + (k + 1) % round_
    return np.concatenate([
        np.stack([here, beside, here + round_], 1), np.stack([beside, beside + round_, here + round_], 1)
    ])  # fmt: skip


def skin(count: int = 6000, *, noise: float = 0.2, seed: int = 3) -> np.ndarray:
    made = swept()[1]
    points = np.asarray(trimesh.sample.sample_surface(made, count, seed=seed)[0])
    return points + np.random.default_rng(seed).normal(0.0, noise, points.shape)


def off_by(found: TubeShape, truth: TubeShape) -> tuple[float, float]:
    """Lengths in mm and angles in degrees, the worst of each."""
    gap = np.abs(numbers_of(found) - numbers_of(truth))
    n = len(truth.straights)
    return float(gap[:n].max()), float(np.degrees(gap[n:]).max())


def test_xyz_in_any_place_give_the_tube_exactly():
    bench = member_bench("main_hoop")
    truth = bent(bench, np.random.default_rng(2))
    corners = TURN.apply(places_of(truth)) + np.array([5.0, -900.0, 40.0])
    found = tube_of_corners(bench, corners)
    assert numbers_of(found.shape) == pytest.approx(numbers_of(truth), abs=1e-6)


def test_xyz_range_holds_what_their_errors_do():
    """95 of 100 tubes, each coordinate by lot: every number within 1.96 of its standard deviation."""
    bench, random = member_bench(LEG), np.random.default_rng(8)
    inside = []
    for _ in range(100):
        seen = places_of(bench.planned) + random.normal(0.0, 0.5, (4, 3))
        found = tube_of_corners(bench, seen)
        gap = np.abs(numbers_of(found.shape) - numbers_of(bench.planned))
        inside += (gap <= 1.96 * np.sqrt(np.diag(found.covariance))).tolist()
    assert 0.92 <= np.mean(inside) <= 0.98


def test_a_scan_finds_the_tube_within_what_it_says():
    truth, _ = swept()
    found = tube_of_scan(member_bench(LEG), skin())
    assert (found.unit, found.either_way) == ("mm", False)
    mm, deg = off_by(found.read.shape, truth)
    assert mm < 1.5
    assert deg < 0.05
    gap = np.abs(numbers_of(found.read.shape) - numbers_of(truth))
    assert (gap <= 2.6 * np.sqrt(np.diag(found.read.covariance))).all()


@pytest.mark.slow
def test_half_the_skin_in_metres_with_clutter_is_enough():
    truth, made = swept()
    seen, face = trimesh.sample.sample_surface(made, 9000, seed=5)
    points = np.asarray(seen)[np.asarray(made.face_normals)[face] @ [0.3, 0.5, 0.8] > 0.0]
    low, high = points.min(axis=0), points.max(axis=0)
    clutter = np.random.default_rng(4).uniform(low, high, (300, 3))
    found = tube_of_scan(member_bench(LEG), np.concatenate([points, clutter]) / 1000.0)
    assert found.unit == "metres"
    assert 0.03 < found.beside < 0.12
    _, deg = off_by(found.read.shape, truth)
    assert deg < 0.3


def test_points_of_something_else_are_refused():
    bench = member_bench(LEG)
    with pytest.raises(NoTube, match="too few"):
        tube_of_scan(bench, skin(100))
    with pytest.raises(NoTube, match="two of its points are one"):
        tube_of_corners(bench, np.zeros((4, 3)))


@pytest.mark.slow
def test_a_heap_of_points_is_no_tube():
    heap = np.random.default_rng(1).uniform(0.0, 900.0, (2000, 3))
    with pytest.raises(NoTube, match=r"no tube of this kind|no points are seen"):
        tube_of_scan(member_bench(LEG), heap)


def test_the_same_answer_by_scan_as_by_readings(tmp_path):
    path = tmp_path / "leg.ply"
    trimesh.PointCloud(skin()).export(path)
    by_scan = tube_from_scan(brackwater(), LEG, path)
    by_tape = tube_from_lines(brackwater(), LEG, leg_lines(bend=[(2, -1.5)]))
    assert by_scan.ways[by_scan.now].kind == by_tape.ways[by_tape.now].kind == "slide or turn"
    bends = [next(n for n in a.numbers if n.what == "bend 2").off.value for a in (by_scan, by_tape)]
    assert bends[0] == pytest.approx(bends[1], abs=0.05)
    path.write_bytes(b"ply\n")
    with pytest.raises(ProblemsFound, match="scan-broken"):
        tube_from_scan(brackwater(), LEG, path)


def test_xyz_in_the_file_are_as_many_as_its_bends_want():
    places = np.round(places_of(member_bench(LEG).planned), 3).tolist()
    answer = tube_of(brackwater(), LEG, read_tube_text(f"xyz: {places}\n"))
    assert answer.ways[answer.now].kind == "as it is"
    assert "nothing checks them" in answer.basis.words
    with pytest.raises(ProblemsFound, match="xyz-count"):
        tube_of(brackwater(), LEG, read_tube_text(f"xyz: {places[:3]}\n"))
    both = f"xyz: {places}\nreadings: [{{angle: 1, says: 30}}]\n"
    with pytest.raises(ProblemsFound, match="xyz-and-readings"):
        tube_of(brackwater(), LEG, read_tube_text(both))
