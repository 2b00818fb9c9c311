"""A file is written whole or not at all."""

import errno
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from cagewright.base.files import write_atomically
from cagewright.base.problems import ProblemsFound


def test_a_new_file_and_one_that_was_there(tmp_path: Path):
    path = tmp_path / "a.yaml"
    write_atomically(path, b"one")
    write_atomically(path, b"two\r\n\x00")
    assert path.read_bytes() == b"two\r\n\x00"
    assert os.listdir(tmp_path) == ["a.yaml"]


@pytest.mark.skipif(os.name == "nt", reason="permissions of Windows are not these")
def test_permissions_and_links_stay(tmp_path: Path):
    path = tmp_path / "a"
    path.write_bytes(b"x")
    path.chmod(0o640)
    link = tmp_path / "link"
    link.symlink_to(path)
    write_atomically(link, b"y")
    assert link.is_symlink()
    assert (path.read_bytes(), stat.S_IMODE(path.stat().st_mode)) == (b"y", 0o640)
    plain = tmp_path / "plain"
    plain.write_bytes(b"")
    write_atomically(tmp_path / "new", b"")
    assert stat.S_IMODE((tmp_path / "new").stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)


@pytest.mark.parametrize("call", ["fsync", "replace", "chmod"])
def test_whatever_fails_the_old_file_stays_and_nothing_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
):
    path = tmp_path / "a.yaml"
    path.write_bytes(b"old")

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, call, full)
    with pytest.raises(ProblemsFound, match=r"No space left on device.*\[cannot-write\]"):
        write_atomically(path, b"new")
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["a.yaml"]


@pytest.mark.parametrize("name", ["missing/a.yaml", "file/a.yaml", "x" * 300])
def test_where_nothing_can_be_written(tmp_path: Path, name: str):
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(ProblemsFound, match="cannot-write"):
        write_atomically(tmp_path / name, b"new")
    assert os.listdir(tmp_path) == ["file"]


FULL = """
import resource, signal, sys
from pathlib import Path
from cagewright.base.files import write_atomically
from cagewright.base.problems import ProblemsFound
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))
try:
    write_atomically(Path(sys.argv[1]), b"x" * 1_000_000)
except ProblemsFound as found:
    print(found.problems[0].code)
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="needs a limit on the size of files")
def test_a_file_that_the_system_cuts_short(tmp_path: Path):
    path = tmp_path / "a"
    path.write_bytes(b"old")
    run = subprocess.run([sys.executable, "-c", FULL, path], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "cannot-write"
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["a"]


def test_what_killed_writings_left_goes_with_a_later_one(tmp_path: Path):
    """An hour old and older; a younger one may be another writing's, another file's stays."""
    old, young, other = (tmp_path / f".{n}.part" for n in ("plan.yaml.abc", "plan.yaml.def", "shop.yaml.abc"))
    journal = tmp_path / ".plan.yaml.abc.part-journal"
    for left in (old, young, other, journal):
        left.write_bytes(b"half")
    for left in (old, other, journal):
        os.utime(left, (0, 0))
    write_atomically(tmp_path / "plan.yaml", b"whole")
    assert sorted(p.name for p in tmp_path.iterdir()) == [young.name, other.name, "plan.yaml"]
