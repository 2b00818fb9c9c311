"""Files written whole or not at all."""

from __future__ import annotations

import contextlib
import glob
import os
import tempfile
import time
from pathlib import Path

from cagewright.base.problems import Problem, ProblemsFound, Where

LEFT = 3600.0
"""What stands beside a file or folder and is older than this was left by a writing that was killed, s."""


def write_atomically(path: Path, data: bytes) -> None:
    """Puts ``data`` in the file: written beside it, forced to the disk, then renamed over it.

    Whatever goes wrong, the file holds either all of what it held before or all of ``data``, and nothing else
    is left in its folder; what a kill leaves beside it, a later writing takes away. A symbolic link stays
    one; the file it leads to is replaced.

    Args:
        path: the file; its folder must be there.
        data: what it shall hold.

    Raises:
        ProblemsFound: the folder cannot be written to, or the disk is full.
    """
    target = Path(os.path.realpath(path))
    try:
        _replace(target, data)
    except OSError as wrong:
        raise ProblemsFound([cannot_write(path, wrong)]) from wrong


def cannot_write(path: Path, wrong: OSError) -> Problem:
    """The problem of a file that cannot be written."""
    return Problem(
        code="cannot-write",
        where=Where(file=path.as_posix()),
        found=f"the file cannot be written ({wrong.strerror or wrong})",
        wanted="wanted a folder that can be written to, with room on its disk",
    )


def _replace(target: Path, data: bytes) -> None:
    handle, beside = part_beside(target)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(beside, mode_of(target))
        os.replace(beside, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(beside)
        raise
    settle(target.parent)


def part_beside(target: Path) -> tuple[int, str]:
    """An open handle and the name of a new file beside ``target``, to be put in its place when whole."""
    sweep(target)
    return tempfile.mkstemp(prefix=f".{target.name[:40]}.", suffix=".part", dir=target.parent)


def sweep(target: Path, *, older: float = LEFT) -> None:
    """Take away what killed writings of the file left beside it, where that is more than ``older`` s old."""
    for left in target.parent.glob(f".{glob.escape(target.name[:40])}.*.part*"):
        with contextlib.suppress(OSError):
            if time.time() - left.stat().st_mtime >= older:
                left.unlink()


def mode_of(target: Path, *, new: int = 0o666) -> int:
    """The permissions that a file or folder has, or of ``new`` those that one made here gets."""
    with contextlib.suppress(FileNotFoundError):
        return target.stat().st_mode & 0o7777
    mask = os.umask(0)
    os.umask(mask)
    return new & ~mask


def settle(path: Path) -> None:
    """Forces a file, or the names in a folder, to the disk where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(path, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
