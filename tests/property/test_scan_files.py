"""Whatever bytes a scan file holds, the answer is a scan of finite corners or a located problem in words."""

import tempfile
from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from cagewright.base.problems import Problem, ProblemsFound
from cagewright.plan.types import ScanEntry
from cagewright.shape.scan import Scan, read_scan
from cases import cases
from saloon import box, saloon, stl

CORNERS, FACES = box((900.0, 700.0, 400.0))
HEAD = (
    "ply\nformat ascii 1.0\nelement vertex 8\nproperty float x\nproperty float y\nproperty float z\n"
    "element face 12\nproperty list uchar int vertex_indices\nend_header\n"
)
PLY = HEAD + "\n".join(" ".join(map(str, c)) for c in CORNERS) + "\n"
PLY += "\n".join("3 " + " ".join(map(str, f)) for f in FACES) + "\n"
OBJ = "\n".join("v " + " ".join(map(str, c)) for c in CORNERS) + "\n"
OBJ += "\n".join("f " + " ".join(map(str, f + 1)) for f in FACES) + "\n"


def binary() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        return stl(Path(folder) / "a.stl", CORNERS, FACES).read_bytes()


def whole_glb() -> bytes:
    return bytes(trimesh.Trimesh(CORNERS, FACES, process=False).export(file_type="glb"))


XYZ = "\n".join(f"{x},{y},{z}" for x, y, z in np.random.default_rng(1).uniform(0, 900, (300, 3)).tolist())
WHOLE = {
    "stl": binary(), "ply": PLY.encode(), "obj": OBJ.encode(), "glb": whole_glb(), "xyz": XYZ.encode(),
}  # fmt: skip


def answered(kind: str, content: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / f"a.{kind}").write_bytes(content)
        scan, problems = _read(Path(folder), kind)
    if scan is None:
        assert all(p.found and p.wanted and p.code.startswith("scan-") for p in problems)
    else:
        assert len(scan.mesh.faces)
        assert np.isfinite(scan.mesh.corners).all()


def _read(folder: Path, kind: str) -> tuple[Scan | None, tuple[Problem, ...]]:
    try:
        return read_scan(ScanEntry(file=f"a.{kind}", units="mm"), folder), ()
    except ProblemsFound as found:
        return None, found.problems


@pytest.mark.parametrize("kind", WHOLE)
@settings(max_examples=cases(60), deadline=None)
@given(data=st.data())
def test_a_damaged_file(kind, data):
    content = bytearray(WHOLE[kind])
    for _ in range(data.draw(st.integers(1, 6))):
        content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    answered(kind, bytes(content[: data.draw(st.integers(0, len(content)))]))


@pytest.mark.parametrize("kind", WHOLE)
@settings(max_examples=cases(40), deadline=None)
@given(content=st.binary(max_size=600))
def test_any_bytes(kind, content):
    answered(kind, content)


@pytest.mark.parametrize(
    "content",
    [
        b"ply\nformat ascii 1.0\nelement vertex -5\nproperty float x\nend_header\n",
        b"ply\nformat binary_little_endian 1.0\nelement face 3\nproperty list uint uint vertex_indices\n"
        + b"end_header\n"
        + b"\xff" * 60,
        b"ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nend_header\n1e999\nnan\n0\n",
    ],
)
def test_headers_that_lie(content):
    answered("ply", content)


def test_the_whole_files_are_read():
    for kind, content in WHOLE.items():
        with tempfile.TemporaryDirectory() as folder:
            (Path(folder) / f"a.{kind}").write_bytes(content)
            scan = read_scan(ScanEntry(file=f"a.{kind}", units="mm"), Path(folder))
        assert len(scan.mesh.faces) == 12 if scan.signed else len(scan.mesh.faces) > 12


def test_a_saloon_has_the_triangles_asked_for():
    for count in (1000, 20_000):
        assert len(saloon(count)[1]) == pytest.approx(count, rel=0.05)
