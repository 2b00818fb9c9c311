"""Run by itself, with little memory and time: whether a file that was sent can be read.

``python -m cagewright.job.upload_check KIND FILE MORE`` prints one JSON object: ``problems`` where it
cannot, else what is in it.
"""

from __future__ import annotations

import json
import sys
from contextlib import suppress
from pathlib import Path
from typing import Any

MEMORY = 2_500_000_000
"""Most memory that reading may take, bytes of address space: 4 million triangles fit."""
SECONDS = 120
"""Most time that reading may take the processor, s."""


def limit() -> None:
    """Keep this process from taking more than its share, where the system can."""
    try:
        import resource
    except ImportError:  # not there on Windows, where only the clock limits
        return
    for what, most in (
        (resource.RLIMIT_AS, MEMORY),
        (resource.RLIMIT_CPU, SECONDS),
        (resource.RLIMIT_FSIZE, 0),
        (resource.RLIMIT_CORE, 0),
    ):
        with suppress(ValueError, OSError):
            resource.setrlimit(what, (most, most))


def scan(file: Path, units: str) -> dict[str, Any]:
    """What is in a scan.

    Args:
        file: the scan.
        units: what its program wrote; empty where that is not said.

    Returns:
        ``units``, ``triangles``, ``size`` (back, across, up; mm) and ``notes``.

    Raises:
        ProblemsFound: it cannot be read; no units are said, with those that it is likely in.
    """
    from cagewright.plan.types import ScanEntry
    from cagewright.shape.scan import read_scan

    entry = ScanEntry.model_validate({"file": file.name, "units": units or None}, context={"units": "mm"})
    found = read_scan(entry, file.parent)
    corners = found.mesh.corners
    return {
        "units": units,
        "triangles": len(found.mesh.faces),
        "size": [round(float(v), 1) for v in corners.max(axis=0) - corners.min(axis=0)],
        "notes": list(found.notes),
    }


def plan(file: Path, folder: str) -> dict[str, Any]:
    """What is in a plan.

    Args:
        file: the plan.
        folder: where it is to stand.

    Returns:
        ``members``, how many, and ``wrong``, how many problems it has.

    Raises:
        ProblemsFound: it is no plan at all.
    """
    from cagewright.job.history.text import document_of
    from cagewright.job.opening import job_of

    path = Path(folder) / file.name
    source = document_of(file.read_bytes(), file=path.as_posix()).source
    if not source.readable:
        raise ProblemsFound(source.problems)
    if "cagewright" not in source.data:
        where = Where(file=file.name, line=1, col=1)
        found, wanted = "the text is no plan", "wanted a plan file, with 'cagewright: 1' at its top"
        raise ProblemsFound([Problem(code="not-a-plan", where=where, found=found, wanted=wanted)])
    try:
        return {"members": len(job_of(source, path).cage.members), "wrong": 0}
    except ProblemsFound as found:
        return {"members": 0, "wrong": len(found.problems)}


def told(kind: str, file: Path, more: str) -> dict[str, Any]:
    """What is in the file, or its ``problems`` as rows: code, line, col, found, wanted."""
    try:
        return {"scan": scan, "plan": plan}[kind](file, more)
    except ProblemsFound as wrong:
        return {"problems": [[p.code, p.where.line, p.where.col, p.found, p.wanted] for p in wrong.problems]}
    except MemoryError:
        return {"memory": True}


if __name__ == "__main__":
    limit()  # before anything is loaded

from cagewright.base.problems import Problem, ProblemsFound, Where  # noqa: E402

if __name__ == "__main__":
    json.dump(told(sys.argv[1], Path(sys.argv[2]), sys.argv[3]), sys.stdout)
