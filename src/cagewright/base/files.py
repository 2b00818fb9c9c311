"""Files written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from cagewright.base.problems import Problem, ProblemsFound, Where


def write_atomically(path: Path, data: bytes) -> None:
    """Puts ``data`` in the file: written beside it, forced to the disk, then renamed over it.

    Whatever goes wrong, the file holds either all of what it held before or all of ``data``, and nothing else
    is left in its folder. A symbolic link stays one; the file it leads to is replaced.

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
    handle, beside = tempfile.mkstemp(prefix=f".{target.name[:40]}.", suffix=".part", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(beside, _mode(target))
        os.replace(beside, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(beside)
        raise
    _settle(target.parent)


def _mode(target: Path) -> int:
    """The permissions the file has, or those a new file gets here."""
    with contextlib.suppress(FileNotFoundError):
        return target.stat().st_mode & 0o7777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _settle(folder: Path) -> None:
    """Forces the rename to the disk where the system can; the file is whole either way."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
