"""Killed at each line of its writing, a tube's or a set's command leaves the old file, or the new one."""

import os
import shutil
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from types import FunctionType

import pytest

import bent
from bent import member_bench, off
from cagewright.base import files
from cagewright.cli.sets import new
from cagewright.fitup.tube_taken import tube_text
from cagewright.job.opening import open_job
from cagewright.job.tube import tube_from_file
from cagewright.job.tube_taken import learn, take_over
from cagewright.plan.tube_file import TubeFile
from fitted import EXAMPLES

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="the process is made by a fork")
LEG = "front_leg_left"


def killed_at(line: int, write: Callable[[], object]) -> bool:
    """Whether ``write``, in a process of its own, got as far as that line of its writing and was killed."""
    child = os.fork()
    if child == 0:
        try:
            _count_down(line)
            write()
        finally:
            os._exit(0)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


def _count_down(left: int) -> None:
    """Has this process killed at that line of the files' module, once something is written."""

    def count(_frame: object, event: str, _argument: object) -> object:
        nonlocal left
        left -= event == "line"
        if left <= 0:
            os.kill(os.getpid(), signal.SIGKILL)
        return count

    def counted(path: Path, data: bytes) -> None:
        sys.settrace(lambda frame, *_: count if frame.f_code.co_filename == files.__file__ else None)
        real(path, data)

    real = FunctionType(files.write_atomically.__code__, vars(files))
    vars(files)["counted"] = counted
    # the code is exchanged, not the name: whoever imported the function runs this one too
    files.write_atomically.__code__ = compile("lambda path, data: counted(path, data)", "", "eval").co_consts[
        0
    ]


def kills(path: Path, write: Callable[[], object]) -> list[bytes | None]:
    """What stood in the file after a kill at each line in turn, and at last after none; None for no file."""
    old = path.read_bytes() if path.exists() else None
    stood: list[bytes | None] = []
    killed = True
    while killed:
        path.unlink(missing_ok=True)
        for left in path.parent.glob(f".{path.name}.*.part"):  # else each is a line more for the next
            left.unlink()
        if old is not None:
            path.write_bytes(old)
        killed = killed_at(len(stood) + 1, write)
        stood.append(path.read_bytes() if path.exists() else None)
    return stood


def held(path: Path, write: Callable[[], object]) -> None:
    """Old or new after every kill, and both were seen."""
    old = path.read_bytes() if path.exists() else None
    *after, made = kills(path, write)
    assert made != old
    assert len(after) > 10
    assert set(after) == {old, made}


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    for name in ("brackwater.yaml", "brackwater.shop.yaml"):
        shutil.copy(EXAMPLES / name, tmp_path / name)
    return tmp_path


@pytest.mark.slow  # the plan's text is edited anew for each line
def test_a_tube_taken_over_and_what_its_die_learns(shop: Path):
    job = open_job(shop / "brackwater.yaml")
    shape = off(member_bench(LEG).planned, bend=[(2, 1.0)])
    lines = tuple((line, "") for line in bent.lines_of(member_bench(LEG), shape))
    (shop / "r.yaml").write_text(tube_text(TubeFile(member=LEG), lines), encoding="utf-8")
    answer = tube_from_file(job, LEG, shop / "r.yaml")
    held(shop / "brackwater.yaml", lambda: take_over(job, answer))
    held(shop / "brackwater.shop.yaml", lambda: learn(job, answer))


def test_an_empty_set(tmp_path: Path):
    held(tmp_path / "s.yaml", lambda: new(tmp_path / "s.yaml", "From the classifieds"))


def test_a_write_that_is_not_whole_is_seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """The test's own eyes: the same with the data put straight into the file is caught as half of it."""
    path = tmp_path / "s.yaml"
    path.write_bytes(b"old")

    def straight(target: Path, data: bytes) -> None:
        with target.open("wb", buffering=0) as stream:
            stream.write(data[:3])
            stream.write(data[3:])

    code = straight.__code__.replace(co_filename=files.__file__)
    monkeypatch.setattr(files.write_atomically, "__code__", code)
    stood = kills(path, lambda: files.write_atomically(path, b"new file"))
    assert set(stood) == {b"old", b"", b"new", b"new file"}
