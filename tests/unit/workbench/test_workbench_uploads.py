"""Files that are sent in: read by a process of their own, under limits; a hostile one is words, no crash."""

import gzip
import io
import math
import socket
import struct
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import numpy as np
import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.job.upload_check import told
from cagewright.workbench.requests import uploads
from cagewright.workbench.requests.uploads import checked
from cagewright.workbench.server import guard
from deskside import PLAN, Bench

SIZE = (4200.0, 1500.0, 1300.0)


def box_stl(size: tuple[float, float, float] = SIZE, scale: float = 1.0) -> bytes:
    """A box of twelve triangles as binary STL."""
    corners = np.array([[x, y, z] for x in (0, size[0]) for y in (0, size[1]) for z in (0, size[2])]) * scale
    faces = [(0, 1, 3), (0, 3, 2), (4, 6, 7), (4, 7, 5), (0, 4, 5), (0, 5, 1),
             (2, 3, 7), (2, 7, 6), (0, 2, 6), (0, 6, 4), (1, 5, 7), (1, 7, 3)]  # fmt: skip
    body = b"".join(struct.pack("<12fH", 0, 0, 0, *corners[list(f)].ravel(), 0) for f in faces)
    return b"\0" * 80 + struct.pack("<I", len(faces)) + body


def send(bench: Bench, data: bytes, name: str = "body.stl", units: str = "mm", number: int = 1):
    path = f"/api/plans/plan/scan?name={name}&units={units}"
    return bench.client.put(path, content=data, headers={"if-match": f'"{number}"'})


def codes(answer) -> set[str]:
    return {p["code"] for p in answer.json()["problems"]}


def left(folder: Path) -> list[str]:
    """What of it has stayed in the shop folder."""
    inside = folder / ".cagewright" / "incoming"
    return [p.name for p in (*folder.iterdir(), *(inside.iterdir() if inside.is_dir() else ()))
            if p.name not in {"plan.yaml", ".cagewright"}]  # fmt: skip


@pytest.mark.slow
def test_a_scan_is_taken_into_the_folder_and_named_in_the_plan(bench: Bench, folder: Path):
    answer = send(bench, box_stl(), "My body (2).STL")
    assert answer.status_code == 200
    assert answer.json()["scan"] | {"notes": []} == {
        "units": "mm", "triangles": 12, "size": [4200.0, 1500.0, 1300.0], "notes": []
    }  # fmt: skip
    assert (folder / "my-body-2.stl").read_bytes() == box_stl()
    assert "scan: {file: my-body-2.stl, units: mm}" in (folder / "plan.yaml").read_text(encoding="utf-8")
    assert "measured twice" in (folder / "plan.yaml").read_text(encoding="utf-8")
    undone = bench.post("/api/plans/plan/undo", number=2)
    assert undone.status_code == 200
    assert (folder / "plan.yaml").read_text(encoding="utf-8") == PLAN


@pytest.mark.parametrize(("units", "scale"), [("mm", 1.0), ("m", 1e-3), ("cm", 0.1), ("in", 1 / 25.4)])
def test_its_units_are_guessed_by_the_size_of_a_car_and_asked(tmp_path: Path, units: str, scale: float):
    file = tmp_path / "body.stl"
    file.write_bytes(box_stl(scale=scale))
    (problem,) = told("scan", file, "")["problems"]
    assert problem[0] == "scan-no-units"
    assert problem[4].startswith(f"wanted units: {units} beside its file (4200 mm long, as a car's body is)")
    assert told("scan", file, units)["size"][0] == pytest.approx(4200.0, abs=0.1)


def test_units_that_are_said_are_not_guessed(tmp_path: Path):
    file = tmp_path / "body.stl"
    file.write_bytes(box_stl())
    assert told("scan", file, "cm")["problems"][0][0] == "scan-wrong-units"


@pytest.mark.slow
def test_a_late_scan_is_refused_and_leaves_nothing(bench: Bench, folder: Path):
    assert send(bench, box_stl(), number=7).status_code == 412
    assert left(folder) == []


LYING = b"\0" * 80 + struct.pack("<I", 0xFFFFFFFF) + b"\0" * 500
NOT_NUMBERS = box_stl().replace(struct.pack("<f", 4200.0), struct.pack("<f", math.nan))
HUGE = box_stl((1e30, 1e30, 1e30))
BROKEN_PLY = (
    b"ply\nformat binary_little_endian 1.0\nelement vertex 4000000000\nproperty float x\nproperty float y\n"
    b"property float z\nelement face 1\nproperty list uchar int vertex_indices\nend_header\n"
)


@pytest.mark.parametrize(
    ("data", "name", "code"),
    [
        (LYING, "lying.stl", "scan-broken"),
        (NOT_NUMBERS, "nan.stl", "scan-not-numbers"),
        (HUGE, "huge.stl", "scan-wrong-units"),
        (b"", "empty.stl", "scan-empty"),
        (b"\xa7" * 5000, "noise.stl", "scan-broken"),
        (BROKEN_PLY, "lying.ply", "scan-broken"),
        (b"v 0 0 0\nf 1 2 999999999\n", "out.obj", "scan-broken"),
        (b"solid x\n" + b"facet normal 0 0 0\n" * 2000, "open.stl", None),
        (b"<html>", "page.obj", None),
    ],
)
def test_a_hostile_scan_is_words(tmp_path: Path, data: bytes, name: str, code: str | None):
    file = tmp_path / name
    file.write_bytes(data)
    rows = told("scan", file, "")["problems"]
    assert code is None or {row[0] for row in rows} == {code}
    assert all(str(tmp_path) not in str(row) for row in rows)


def test_a_hostile_scan_that_is_sent_leaves_nothing(bench: Bench, folder: Path):
    answer = send(bench, LYING, "lying.stl")
    assert answer.status_code == 422
    assert codes(answer) == {"scan-broken"}
    assert str(folder) not in answer.text
    assert left(folder) == []
    assert bench.state()["number"] == 1


def packed(how: str) -> bytes:
    """Ten million zeros, small."""
    zeros = b"\0" * 10_000_000
    if how == "gzip":
        return gzip.compress(zeros)
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as pack:
        pack.writestr("body.stl", zeros)
    return stream.getvalue()


def test_a_scan_s_units_are_guessed_and_asked_never_taken(bench: Bench, folder: Path):
    for units, data, status, words in (
        ("", box_stl(), 422, "wanted units: mm beside its file"),
        ("&units=furlong", LYING, 400, "mm, cm, m or in"),
    ):
        answer = bench.client.put(
            f"/api/plans/plan/scan?name=b.stl{units}", content=data, headers={"if-match": '"1"'}
        )
        assert answer.status_code == status
        assert words in answer.text
    assert left(folder) == []


@pytest.mark.parametrize("how", ["zip", "gzip"])
def test_what_is_packed_is_never_unpacked(bench: Bench, folder: Path, how: str):
    for answer in (
        send(bench, packed(how), "bomb.stl"),
        bench.client.post("/api/plans?name=bomb.yaml", content=packed(how)),
    ):
        assert answer.status_code == 422
        assert codes(answer) == {"packed"}
    assert send(bench, packed(how), f"bomb.{how}").status_code == 422
    assert left(folder) == []


def test_a_body_packed_on_its_way_is_refused(bench: Bench, folder: Path):
    heads = {"content-encoding": "gzip", "if-match": '"1"'}
    address = "/api/plans/plan/scan?name=b.stl&units=mm"
    answer = bench.client.put(address, content=packed("gzip"), headers=heads)
    assert answer.status_code == 415
    assert left(folder) == []


def test_a_scan_larger_than_the_limit_is_refused(bench: Bench, folder: Path):
    head = (
        f"PUT /api/plans/plan/scan?name=b.stl&units=mm HTTP/1.1\r\nHost: 127.0.0.1:{bench.port}\r\n"
        f'Origin: {bench.url}\r\nIf-Match: "1"\r\nContent-Length: {guard.MOST_SCAN + 1}\r\n\r\n'
    )
    with socket.create_connection(("127.0.0.1", bench.port)) as line:
        line.sendall(head.encode())
        assert b" 413 " in line.recv(65536).split(b"\r\n")[0]
    assert left(folder) == []


@pytest.mark.skipif(sys.platform == "win32", reason="the system limits no process there")
def test_reading_may_take_so_much_memory_and_no_more(tmp_path: Path):
    """The same limits, and then far more memory than they allow."""
    told = subprocess.run(
        [
            sys.executable,
            "-c",
            "from cagewright.job import upload_check as u; u.limit(); bytearray(4 * 10**9)",
        ],
        capture_output=True,
        check=False,
        text=True,
    )
    assert told.returncode != 0
    assert "MemoryError" in told.stderr


@pytest.mark.skipif(sys.platform == "win32", reason="the system limits no process there")
def test_reading_may_write_no_file(tmp_path: Path):
    file = tmp_path / "written"
    script = (
        "from cagewright.job import upload_check as u; u.limit();"
        f"f = open({str(file)!r}, 'wb', buffering=0); f.write(b'x')"
    )
    ended = subprocess.run([sys.executable, "-c", script], capture_output=True, check=False, text=True)
    assert ended.returncode != 0
    assert "File too large" in ended.stderr
    assert not file.read_bytes()


def test_reading_is_ended_by_the_clock(tmp_path: Path):
    file = tmp_path / "body.stl"
    file.write_bytes(box_stl())
    began = time.monotonic()
    with pytest.raises(ProblemsFound) as found:
        checked("scan", file, "mm", name="body.stl", wait=0.02)
    assert found.value.problems[0].code == "too-much"
    assert time.monotonic() - began < 20.0  # ended, not waited for


def test_a_reader_that_falls_over_is_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    file = tmp_path / "body.stl"
    file.write_bytes(box_stl())
    monkeypatch.setattr(uploads.sys, "executable", "/bin/false")
    with pytest.raises(ProblemsFound) as found:
        checked("scan", file, "mm", name="body.stl")
    assert found.value.problems[0].code == "too-much"


def test_a_plan_is_taken_in(bench: Bench, folder: Path):
    answer = bench.client.post("/api/plans?name=..%2FHis%20plan.yaml", content=PLAN.encode())
    assert answer.status_code == 201
    assert answer.json() == {"id": "his-plan", "address": "/plans/his-plan/cage"}
    assert (folder / "his-plan.yaml").read_text(encoding="utf-8") == PLAN
    assert bench.state("his-plan")["problems"] == []


def test_a_plan_with_problems_is_taken_in_to_be_put_right(bench: Bench):
    bad = PLAN.replace("tube: hoop", "tube: none")
    assert bench.client.post("/api/plans?name=bad.yaml", content=bad.encode()).status_code == 201
    assert bench.state("bad")["problems"]


BOMB = "a: &a [x,x,x,x,x,x,x,x,x]\n" + "".join(
    f"{chr(98 + n)}: &{chr(98 + n)} [{','.join([f'*{chr(97 + n)}'] * 9)}]\n" for n in range(12)
)
"""Nine of nine of nine ...: a text of 600 bytes that stands for 9^13 values."""


@pytest.mark.parametrize(
    "data",
    [b"hello", b"\xff\xfe", b"title: x\n", b"cagewright_shop: 1\nname: x\n", BOMB.encode(), b"[" * 5000, b""],
    ids=["words", "bytes", "other", "shop", "bomb", "deep", "empty"],
)
def test_what_is_no_plan_is_words(tmp_path: Path, data: bytes):
    file = tmp_path / "x.yaml"
    file.write_bytes(data)
    assert told("plan", file, str(tmp_path))["problems"]


def test_what_is_no_plan_is_refused(bench: Bench, folder: Path):
    answer = bench.client.post("/api/plans?name=x.yaml", content=BOMB.encode())
    assert answer.status_code == 422
    assert left(folder) == []


@pytest.mark.parametrize("line", ["shop: ../secret.yaml", "include: [../secret.yaml]", "shop: /etc/passwd"])
def test_a_plan_that_names_files_outside_is_refused(bench: Bench, folder: Path, line: str):
    (folder.parent / "secret.yaml").write_text("hush: the-word\n", encoding="utf-8")
    answer = bench.client.post("/api/plans?name=x.yaml", content=f"{PLAN}{line}\n".encode())
    assert answer.status_code == 422
    assert codes(answer) == {"outside"}
    assert "hush" not in answer.text
    assert left(folder) == []
