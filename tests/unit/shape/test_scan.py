"""Scans: read in stated units and stood in the car; what cannot be used is refused in words."""

import math
import struct

import numpy as np
import pytest

from cagewright.base.problems import ProblemsFound, Where
from cagewright.plan.types import ScanEntry
from cagewright.shape.mesh import nearest
from cagewright.shape.scan import on_scan, read_scan
from saloon import box, saloon, stl

BODY = (4000.0, 1600.0, 1300.0)


def entry(file: str, **more) -> ScanEntry:
    return ScanEntry(**{"file": file, "units": "mm", **more})


def refused(tmp_path, file: str, **more) -> tuple[str, str]:
    with pytest.raises(ProblemsFound) as caught:
        read_scan(entry(file, **more), tmp_path)
    (problem,) = caught.value.problems
    return problem.code, str(problem)


def obj(corners, faces) -> str:
    lines = [f"v {x} {y} {z}" for x, y, z in corners.tolist()]
    return "\n".join(lines + [f"f {a + 1} {b + 1} {c + 1}" for a, b, c in faces.tolist()]) + "\n"


def ply(corners, faces) -> str:
    head = ["ply", "format ascii 1.0", f"element vertex {len(corners)}"]
    head += [f"property float {axis}" for axis in "xyz"]
    head += [f"element face {len(faces)}", "property list uchar int vertex_indices", "end_header"]
    lines = [f"{x} {y} {z}" for x, y, z in corners.tolist()]
    return "\n".join(head + lines + [f"3 {a} {b} {c}" for a, b, c in faces.tolist()]) + "\n"


def text_stl(corners, faces) -> str:
    lines = ["solid shell"]
    for face in faces:
        lines += ["facet normal 0 0 0", "outer loop"]
        lines += [f"vertex {x} {y} {z}" for x, y, z in corners[face].tolist()]
        lines += ["endloop", "endfacet"]
    return "\n".join([*lines, "endsolid shell"]) + "\n"


@pytest.mark.parametrize(("name", "write"), [("a.obj", obj), ("a.ply", ply), ("a.stl", text_stl)])
def test_every_kind_gives_the_same_box(tmp_path, name, write):
    (tmp_path / name).write_text(write(*box(BODY)))
    scan = read_scan(entry(name), tmp_path)
    assert len(scan.mesh.faces) == 12
    assert len(scan.mesh.corners) == 8
    assert scan.watertight
    assert scan.notes == ()
    assert nearest(scan.mesh, np.array([[0.0, 0.0, 0.0]])).away == pytest.approx([650.0])


def test_a_binary_stl_shares_its_repeated_corners(tmp_path):
    stl(tmp_path / "a.stl", *box(BODY))
    scan = read_scan(entry("a.stl"), tmp_path)
    assert (len(scan.mesh.corners), scan.watertight) == (8, True)


def test_a_binary_stl_whose_heading_begins_with_solid_is_still_binary(tmp_path):
    path = stl(tmp_path / "a.stl", *box(BODY))
    path.write_bytes(b"solid from a scanner".ljust(80) + path.read_bytes()[80:])
    assert len(read_scan(entry("a.stl"), tmp_path).mesh.faces) == 12


@pytest.mark.slow
@pytest.mark.parametrize(("units", "scale"), [("mm", 1.0), ("cm", 10.0), ("m", 1000.0), ("in", 25.4)])
def test_units_are_those_stated(tmp_path, units, scale):
    corners, faces = box(BODY)
    stl(tmp_path / "a.stl", corners / scale, faces)
    scan = read_scan(entry("a.stl", units=units), tmp_path)
    assert np.ptp(scan.mesh.corners, axis=0) == pytest.approx(BODY, rel=1e-6)


@pytest.mark.parametrize(
    ("per", "likely", "more"),
    [
        (1.0, "mm", "(4200 mm long, as a car's body is)"),
        (25.4, "in", "(4200 mm long, as a car's body is)"),
        (10.0, "cm", "(4200 mm long, as a car's body is)"),
        (1000.0, "m", "(4200 mm long, as a car's body is)"),
    ],
)
def test_units_that_are_not_said_are_told_by_its_size_and_asked(tmp_path, per, likely, more):
    corners, faces = box(BODY)
    stl(tmp_path / "a.stl", corners * 4200.0 / BODY[0] / per, faces)
    code, text = refused(tmp_path, "a.stl", units=None)
    assert code == "scan-no-units"
    assert f"wanted units: {likely} beside its file {more}, if the scanner's program wrote those" in text


def test_a_scan_as_long_as_a_car_in_other_units_says_so(tmp_path):
    corners, faces = box((180.0, 60.0, 50.0))
    stl(tmp_path / "a.stl", corners, faces)
    scan = read_scan(entry("a.stl", units="cm"), tmp_path)
    assert scan.notes[0] == "read in cm it is 1800 mm long, in in 4572 mm long, as a car's body is"


@pytest.mark.parametrize("units", ["m", "cm", "in"])
def test_wrong_units_are_refused_in_words(tmp_path, units):
    stl(tmp_path / "a.stl", *box(BODY))
    code, text = refused(tmp_path, "a.stl", units=units)
    assert code == "scan-wrong-units"
    assert "wrong units?" in text
    assert f"read in {units}" in text


def test_a_scan_in_metres_called_millimetres_is_refused(tmp_path):
    corners, faces = box(BODY)
    stl(tmp_path / "a.stl", corners / 1000.0, faces)
    assert refused(tmp_path, "a.stl")[0] == "scan-wrong-units"


def test_a_heading_that_declares_two_gigabytes_is_refused_before_it_is_read(tmp_path):
    (tmp_path / "a.stl").write_bytes(b"x" * 80 + struct.pack("<I", 40_000_000) + b"\0" * 50)
    code, text = refused(tmp_path, "a.stl")
    assert code == "scan-broken"
    assert "declares 40000000 triangles (2.00 GB) and holds 1" in text


@pytest.mark.parametrize("cut", [40, 83, 200])
def test_a_broken_off_stl_is_refused(tmp_path, cut):
    path = stl(tmp_path / "a.stl", *box(BODY))
    path.write_bytes(path.read_bytes()[:cut])
    assert refused(tmp_path, "a.stl")[0] == "scan-broken"


def test_a_ply_that_declares_more_than_it_holds_is_refused(tmp_path):
    text = ply(*box(BODY)).replace("element vertex 8", "element vertex 800000000")
    (tmp_path / "a.ply").write_text(text)
    assert "declares 800000000 vertex" in refused(tmp_path, "a.ply")[1]


def test_a_ply_cut_short_is_refused(tmp_path):
    text = ply(*box(BODY))
    (tmp_path / "a.ply").write_text(text[: len(text) // 2])
    assert refused(tmp_path, "a.ply")[0] == "scan-broken"


def test_an_obj_with_a_triangle_without_corners_is_refused(tmp_path):
    (tmp_path / "a.obj").write_text("v 0 0 0\nv 4000 0 0\nv 0 1500 0\nf 1 2 9\n")
    assert refused(tmp_path, "a.obj")[0] == "scan-broken"


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_corners_that_are_not_numbers_are_refused(tmp_path, bad):
    corners, faces = box(BODY)
    corners[3, 1] = bad
    stl(tmp_path / "a.stl", corners, faces)
    code, text = refused(tmp_path, "a.stl")
    assert code == "scan-not-numbers"
    assert "triangles of 'a.stl' have corners that are not numbers" in text


def test_a_handful_of_points_is_no_cloud(tmp_path):
    corners, _ = box(BODY)
    (tmp_path / "a.ply").write_text(ply(corners, np.zeros((0, 3), dtype=int)))
    code, text = refused(tmp_path, "a.ply")
    assert code == "scan-no-triangles"
    assert "holds 8 points" in text


@pytest.mark.parametrize(
    ("name", "content", "code"),
    [
        ("a.stl", b"", "scan-empty"),
        ("a.ply", b"", "scan-empty"),
        ("a.obj", b"# nothing here\n", "scan-no-triangles"),
        ("a.stl", b"solid nothing\nfacet normal", "scan-no-triangles"),
        ("a.ply", b"not a ply at all", "scan-broken"),
        ("a.glb", b"not a glb at all", "scan-broken"),
        ("a.glb", b"glTF" + struct.pack("<II", 2, 4000) + b"{}", "scan-broken"),
        ("a.e57", b"ASTM-E57" + b"\0" * 60, "scan-broken"),
        ("a.e57", b"no e57", "scan-broken"),
        ("a.xyz", b"some words\n" * 40, "scan-broken"),
        ("a.step", b"ISO-10303-21;", "scan-kind"),
    ],
)
def test_what_is_no_mesh_is_refused(tmp_path, name, content, code):
    (tmp_path / name).write_bytes(content)
    assert refused(tmp_path, name)[0] in (code, "scan-broken")


def test_a_missing_file_is_said_at_the_plan_s_own_line(tmp_path):
    with pytest.raises(ProblemsFound) as caught:
        read_scan(entry("a.stl"), tmp_path, where=Where(file="plan.yaml", line=40, col=5))
    assert str(caught.value).startswith("plan.yaml:40:5: there is no file 'a.stl'")


def test_an_inside_out_scan_is_said_and_its_distances_hold(tmp_path):
    corners, faces = box(BODY)
    stl(tmp_path / "a.stl", corners, faces[:, ::-1])
    scan = read_scan(entry("a.stl"), tmp_path)
    assert "inside out" in scan.notes[0]
    assert nearest(scan.mesh, np.array([[0.0, 700.0, 0.0]])).away == pytest.approx([100.0])


def test_an_open_scan_works_for_distance(tmp_path):
    stl(tmp_path / "a.stl", *saloon(2000))
    scan = read_scan(entry("a.stl"), tmp_path)
    assert not scan.watertight
    assert "open or torn" in scan.notes[0]
    assert np.isfinite(nearest(scan.mesh, np.array([[1400.0, 0.0, 800.0]])).away).all()


@pytest.mark.parametrize("stray", ["nan nan nan", "900000 0 0"])
def test_points_that_no_triangle_has_do_not_count(tmp_path, stray):
    (tmp_path / "a.obj").write_text(f"v {stray}\n" + obj(*(box(BODY)[0], box(BODY)[1] + 1)))
    scan = read_scan(entry("a.obj"), tmp_path)
    assert np.ptp(scan.mesh.corners, axis=0) == pytest.approx(BODY)


def test_triangles_without_area_are_left_out_and_counted(tmp_path):
    corners, faces = box(BODY)
    stl(tmp_path / "a.stl", corners, np.vstack([faces, [[0, 0, 1], [2, 2, 2]]]))
    scan = read_scan(entry("a.stl"), tmp_path)
    assert len(scan.mesh.faces) == 12
    assert scan.notes[0] == "2 triangles without area were left out"


def test_turn_goes_back_then_across_then_up_then_move(tmp_path):
    stl(tmp_path / "a.stl", *box((600.0, 400.0, 200.0), middle=(1000.0, 0.0, 0.0)))
    turned = read_scan(entry("a.stl", turn=["0 deg", "0 deg", "90 deg"], move=[5, 6, 7]), tmp_path)
    middle = (turned.mesh.corners.min(axis=0) + turned.mesh.corners.max(axis=0)) / 2.0
    assert middle == pytest.approx([5.0, 1006.0, 7.0])
    both = read_scan(entry("a.stl", turn=["90 deg", "0 deg", "90 deg"]), tmp_path)
    assert np.ptp(both.mesh.corners, axis=0) == pytest.approx([200.0, 600.0, 400.0], abs=1e-3)


def test_a_place_of_the_car_in_the_scan_s_own_numbers(tmp_path):
    """Turned 90 degrees about up, a place back of the datum was across it: a rotation by hand."""
    corners, faces = box((600.0, 400.0, 200.0))
    stl(tmp_path / "a.stl", corners / 10.0, faces)
    turned = read_scan(
        entry("a.stl", units="cm", turn=["0 deg", "0 deg", "90 deg"], move=[10, 20, 30]), tmp_path
    )
    assert on_scan(turned, (10.0, 120.0, 30.0), "cm") == pytest.approx([10.0, 0.0, 0.0])


PICKED = [(0.0, 0.0, 0.0), (2000.0, 0.0, 0.0), (0.0, 1200.0, 100.0)]


def pairs(shift=(100.0, 50.0, -20.0), scale=1.0, wrong=0.0):
    """Picked points turned a quarter about up, then shifted."""
    car = [
        (-y + shift[0], x + shift[1], z + shift[2] + wrong * (i == 2)) for i, (x, y, z) in enumerate(PICKED)
    ]
    return [{"scan": [v / scale for v in p], "car": list(c)} for p, c in zip(PICKED, car, strict=True)]


def test_three_measured_points_place_it(tmp_path):
    stl(tmp_path / "a.stl", *box((3000.0, 1500.0, 1000.0)))
    scan = read_scan(entry("a.stl", points=pairs()), tmp_path)
    middle = (scan.mesh.corners.min(axis=0) + scan.mesh.corners.max(axis=0)) / 2.0
    assert middle == pytest.approx([100.0, 50.0, -20.0], abs=1e-3)
    assert np.ptp(scan.mesh.corners, axis=0) == pytest.approx([1500.0, 3000.0, 1000.0], abs=1e-3)
    assert max(scan.residuals) < 1e-9


def test_picked_points_are_in_the_scan_s_own_units_and_may_be_named(tmp_path):
    corners, faces = box((3000.0, 1500.0, 1000.0))
    stl(tmp_path / "a.stl", corners / 1000.0, faces)
    three = pairs(scale=1000.0)
    three[0] = {"scan": three[0]["scan"], "car": "sill"}
    scan = read_scan(entry("a.stl", units="m", points=three), tmp_path, points={"sill": (100.0, 50.0, -20.0)})
    assert max(scan.residuals) < 1e-6


def test_a_point_measured_wrongly_shows_in_the_residuals(tmp_path):
    stl(tmp_path / "a.stl", *box((3000.0, 1500.0, 1000.0)))
    picked = pairs()
    picked.append({"scan": [2000.0, 1200.0, 900.0], "car": [-1200 + 100 + 30, 2050.0, 880.0]})
    scan = read_scan(entry("a.stl", points=picked), tmp_path)
    assert max(scan.residuals) > 5.0
    assert any("miss their measured places by up to" in note for note in scan.notes)


IN_LINE = [{"scan": [i * 500, 0, 0], "car": [i * 500, 0, 0]} for i in range(3)]


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ({"points": pairs(scale=25.4)}, "scan-wrong-units"),
        ({"points": pairs(), "move": [1, 0, 0]}, "scan-placed-twice"),
        ({"points": pairs()[:2]}, "scan-pairs"),
        ({"points": IN_LINE}, "scan-pairs-in-line"),
        ({"points": [*pairs()[:2], {"scan": list(PICKED[2]), "car": "nowhere"}]}, "unknown-name"),
    ],
)  # fmt: skip
def test_pairs_that_do_not_place_it_are_refused(tmp_path, more, code):
    stl(tmp_path / "a.stl", *box((3000.0, 1500.0, 1000.0)))
    assert refused(tmp_path, "a.stl", **more)[0] == code


def test_a_flat_scan_of_three_points_is_never_mirrored(tmp_path):
    """Three points alone would allow a reflection: the box's own left stays left."""
    corners, faces = box((3000.0, 1500.0, 1000.0), middle=(0.0, 0.0, 500.0))
    stl(tmp_path / "a.stl", corners, faces)
    flat = [{"scan": list(p), "car": list(p)} for p in [(0, 0, 0), (2000, 0, 0), (0, 1200, 0)]]
    scan = read_scan(entry("a.stl", points=flat), tmp_path)
    assert scan.mesh.corners.min(axis=0) == pytest.approx([-1500.0, -750.0, 0.0], abs=1e-3)
