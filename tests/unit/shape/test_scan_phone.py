"""Scans as phones and scanners bring them home: loose bits, noise, clouds, standing them in the car."""

import numpy as np
import pytest
import trimesh

from bodies import BODIES, mesh
from cagewright.base.problems import ProblemsFound
from cagewright.plan.types import ScanEntry
from cagewright.shape.mesh import nearest
from cagewright.shape.scan import Scan, read_scan
from cagewright.shape.scan_clean import smoothed
from cagewright.shape.scan_placing import moved
from car_bodies import carried, scanned
from car_gaps import away, model_of
from saloon import box

SALOON = BODIES["saloon"]
PLACES = np.array([
    [420.0, -690.0, 800.0], [985.0, 560.0, 1222.0], [1580.0, -540.0, 1268.0], [1580.0, 540.0, 1268.0],
    [2300.0, -520.0, 590.0], [520.0, 570.0, 190.0],
])  # fmt: skip


@pytest.fixture(scope="module")
def shell():
    return mesh(SALOON, 24_000)


def saved(folder, name: str, corners, faces):
    trimesh.Trimesh(corners, faces, process=False).export(folder / name)
    return folder


def pairs(error: float = 0.0, count: int = 6, per: float = 1.0, seed: int = 1):
    """Picks of the places on a phone's scan, each out by ``error`` at random (1 sd)."""
    out = np.random.default_rng(seed).normal(0.0, error, PLACES.shape)
    seen = carried(PLACES + out) / per
    return [{"scan": s.tolist(), "car": c.tolist()} for s, c in zip(seen[:count], PLACES, strict=False)]


def placed(folder, name: str, **more) -> Scan:
    return read_scan(ScanEntry(**{"file": name, "units": "mm", **more}), folder)


def off(scan: Scan) -> float:
    """How far the worst of the places stands off, mm."""
    return float(np.linalg.norm(moved(scan.motion, carried(PLACES)) - PLACES, axis=1).max())


def test_a_phone_s_scan_is_cleaned_smoothed_and_told(tmp_path, shell):
    saved(tmp_path, "a.ply", *scanned(shell, noise=2.0, bits=40))
    scan = placed(tmp_path, "a.ply", points=pairs())
    assert scan.notes[0] == "40 loose bits that float clear of the shell were left out"
    # 2 mm were put in; six passes of smoothing leave less than half
    assert float(scan.notes[1].split("scatters by ")[1].split(" mm")[0]) == pytest.approx(2.0, abs=0.3)
    assert 0.2 < scan.noise < 1.1
    away = nearest(scan.mesh, PLACES[[2, 3]]).away
    assert scan.give > scan.noise
    assert np.isfinite(away).all()


def test_smoothing_keeps_a_corner_and_takes_out_scatter():
    flat = trimesh.creation.box((900.0, 700.0, 400.0)).subdivide_to_size(20.0)
    corners, faces = np.asarray(flat.vertices), np.asarray(flat.faces)
    rough = corners + np.random.default_rng(1).normal(0.0, 2.0, corners.shape)
    before, after = (np.linalg.norm(c - corners, axis=1) for c in (rough, smoothed(rough, faces)))
    assert np.sqrt((after**2).mean()) < 0.6 * np.sqrt((before**2).mean())
    assert np.ptp(smoothed(corners, faces), axis=0) == pytest.approx([900.0, 700.0, 400.0], abs=4.0)
    ball = trimesh.creation.icosphere(subdivisions=3, radius=100.0)
    radii = np.linalg.norm(smoothed(np.asarray(ball.vertices), np.asarray(ball.faces)), axis=1)
    assert radii.mean() == pytest.approx(100.0, abs=0.2), "what is round does not shrink"


def test_a_bracket_stays_a_torn_scan_is_left_whole(tmp_path, shell):
    bracket = box((80.0, 40.0, 90.0), middle=(1500.0, -650.0, 700.0))
    faces = np.concatenate([shell[1], bracket[1] + len(shell[0])])
    saved(tmp_path, "a.ply", np.concatenate([shell[0], bracket[0]]), faces)
    assert "loose" not in " ".join(placed(tmp_path, "a.ply").notes)
    torn = shell[0][shell[1]] + np.random.default_rng(1).normal(0.0, 0.2, (len(shell[1]), 3, 3))
    saved(tmp_path, "b.ply", torn.reshape(-1, 3), np.arange(3 * len(torn)).reshape(-1, 3))
    assert len(placed(tmp_path, "b.ply").mesh.faces) > 0.98 * len(torn)


def test_a_glb_in_metres_is_the_same_scan(tmp_path, shell):
    saved(tmp_path, "a.glb", shell[0] / 1000.0, shell[1])
    saved(tmp_path, "a.ply", *shell)
    one, two = placed(tmp_path, "a.glb", units="m"), placed(tmp_path, "a.ply")
    assert len(one.mesh.faces) == len(two.mesh.faces)
    assert one.mesh.corners.max(axis=0) == pytest.approx(two.mesh.corners.max(axis=0), abs=0.01)


# --- clouds


def cloud(shell) -> np.ndarray:
    """100 000 points of the shell, 1 mm of scatter."""
    points = trimesh.sample.sample_surface(trimesh.Trimesh(*shell, process=False), 100_000, seed=1)[0]
    return np.asarray(points) + np.random.default_rng(2).normal(0.0, 1.0, points.shape)


def as_ply(folder, points):
    trimesh.PointCloud(points).export(folder / "a.ply")
    return "a.ply"


def as_xyz(folder, points):
    np.savetxt(folder / "a.xyz", points, fmt="%.3f", header="x y z", comments="")
    return "a.xyz"


def as_e57(folder, points):
    pye57 = pytest.importorskip("pye57")
    with pye57.E57(str(folder / "a.e57"), mode="w") as file:
        half = len(points) // 2
        for some in (points[:half], points[half:]):  # two stations, as a tripod scanner writes
            file.write_scan_raw({f"cartesian{a}": some[:, k] for k, a in enumerate("XYZ")})
    return "a.e57"


@pytest.mark.slow
@pytest.mark.parametrize("write", [as_ply, as_xyz, as_e57])
def test_a_cloud_is_a_surface_without_inside(tmp_path, shell, write):
    scan = placed(tmp_path, write(tmp_path, cloud(shell)))
    assert not scan.signed
    assert "no inside" in scan.notes[0]
    assert scan.noise == pytest.approx(1.0, abs=0.4)
    # distances against the mesh that the points were drawn from, by python-fcl
    asked = np.array([[1500.0, -600.0, 700.0], [1500.0, 0.0, 1150.0], [1200.0, 500.0, 600.0]])
    wanted = [away(model_of(*shell), place) for place in asked]
    assert nearest(scan.mesh, asked).away == pytest.approx(wanted, abs=3.0)


# --- placing


@pytest.mark.slow
def test_the_middle_plane_takes_out_what_the_picks_leave(tmp_path, shell):
    saved(tmp_path, "a.ply", *scanned(shell, noise=0.0, holes=0.02, bits=0))
    errors = [off(placed(tmp_path, "a.ply", points=pairs(3.0, seed=k))) for k in range(2)]
    assert np.mean(errors) < 5.0
    assert off(placed(tmp_path, "a.ply", points=pairs())) < 0.3


@pytest.mark.slow
def test_three_picks_are_told_to_be_too_few_with_the_error_to_expect(tmp_path, shell):
    saved(tmp_path, "a.ply", *scanned(shell, noise=0.0, bits=0))
    few = placed(tmp_path, "a.ply", points=pairs(count=3))
    assert any(
        "pick six, spread" in note and "3 picked points place it to about" in note for note in few.notes
    )
    assert not any("pick six" in note for note in placed(tmp_path, "a.ply", points=pairs()).notes)


@pytest.mark.slow
def test_measured_marks_hold_it_where_no_symmetry_does(tmp_path, shell):
    """Back and up: the middle plane knows neither; marks on the screen and the roof do."""
    saved(tmp_path, "a.ply", *scanned(shell, noise=0.0, holes=0.0, bits=0))
    metal = np.array(shell[0])[::150]
    entry = ScanEntry(file="a.ply", units="mm", points=pairs(4.0, seed=5))
    without, held = (read_scan(entry, tmp_path, metal=m) for m in (np.zeros((0, 3)), metal))
    assert off(held) < off(without)
    assert "measured marks" in held.notes[-1]


def test_left_picked_for_right_is_said(tmp_path, shell):
    saved(tmp_path, "a.ply", *scanned(shell, noise=0.0, bits=0))
    swapped = [{**p, "car": [p["car"][0], -p["car"][1], p["car"][2]]} for p in pairs()]
    with pytest.raises(ProblemsFound, match="as in a mirror"):
        placed(tmp_path, "a.ply", points=swapped)


def test_one_pick_in_the_wrong_place_is_named(tmp_path, shell):
    saved(tmp_path, "a.ply", *scanned(shell, noise=0.0, bits=0))
    wrong = pairs()
    wrong[1]["car"] = [1120.0, 560.0, 1222.0]
    with pytest.raises(ProblemsFound, match="point 2 lies"):
        placed(tmp_path, "a.ply", points=wrong)
