"""Files that are sent to the workbench, read in a process of their own before they are let in."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.workbench.server.errors import LOG

WAIT = 180.0
"""How long reading may take by the clock, s."""
PACKED = {
    b"PK\x03\x04": "zip",
    b"PK\x05\x06": "zip",
    b"\x1f\x8b": "gzip",
    b"BZh": "bzip2",
    b"\xfd7zXZ": "xz",
    b"7z\xbc\xaf": "7z",
    b"Rar!": "rar",
    b"\x28\xb5\x2f\xfd": "zstd",
}
"""How packed files begin; none is unpacked here, so none can burst."""
LEAN = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "PYTHONDONTWRITEBYTECODE": "1"}
"""For the process that reads: each thread would reserve memory of its own, and it may write no file."""


def checked(kind: str, file: Path, more: str, *, name: str, wait: float = WAIT) -> dict[str, Any]:
    """What is in the file, read under limits of memory and time.

    Args:
        kind: ``scan`` or ``plan``.
        file: where it is for now.
        more: the scan's units, empty to guess; or the folder that the plan is to stand in.
        name: what the builder calls it.
        wait: how long it may take, s.

    Raises:
        ProblemsFound: it cannot be read, or takes too much.
    """
    with file.open("rb") as stream:
        head = stream.read(8)
    packed = next((what for start, what in PACKED.items() if head.startswith(start)), None)
    if packed is not None:
        raise ProblemsFound([trouble("packed", name, f"'{name}' is packed ({packed})", "wanted it unpacked")])
    found = _run([kind, str(file), more], name, wait)
    if "problems" in found:
        raise ProblemsFound(_problem(row, name) for row in found["problems"])
    if "memory" in found:
        raise ProblemsFound([_too_much(name, "takes more memory to read than it may")])
    return found


def trouble(code: str, name: str, found: str, wanted: str) -> Problem:
    """Why a file that was sent is not let in."""
    return Problem(code=code, where=Where(file=name), found=found, wanted=wanted)


def _too_much(name: str, why: str) -> Problem:
    return trouble("too-much", name, f"'{name}' {why}", "wanted a whole file, or less of it")


def _run(asked: list[str], name: str, wait: float) -> dict[str, Any]:
    try:
        ended = subprocess.run(
            [sys.executable, "-m", "cagewright.job.upload_check", *asked],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=wait,
            env={**os.environ, **LEAN},
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise ProblemsFound([_too_much(name, "takes longer to read than it may")]) from None
    try:
        return json.loads(ended.stdout)
    except ValueError:
        said = ended.stderr.decode(errors="replace")[-4000:]
        LOG.error("reading an upload ended with %s\n%s", ended.returncode, said)
        why = "cannot be read within the memory and time that it may take"
        raise ProblemsFound([_too_much(name, why)]) from None


def _problem(row: list[Any], name: str) -> Problem:
    code, line, col, found, wanted = row
    return Problem(code=code, where=Where(file=name, line=line, col=col), found=found, wanted=wanted)
