"""The folder that a build writes: every paper as PDF, SVG, DXF, CSV and JSON."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from cagewright.base.files import cannot_write, write_atomically
from cagewright.base.problems import ProblemsFound
from cagewright.base.sheet import PAPERS
from cagewright.book.papers import book_paper
from cagewright.job.cutting import numbers_of, work_of
from cagewright.job.findings import findings
from cagewright.job.opening import Job, Step, no_progress
from cagewright.job.papers import book_of, drawings_of, strength_numbers, tables_of
from cagewright.job.writers import to_csv, to_dxf, to_svg

CONTENTS = "contents.json"
"""Names the revision and every file of a build; the next build takes away what it no longer makes."""


def build(job: Job, out: Path, *, step: Step = no_progress) -> tuple[Path, ...]:
    """Write every paper into the folder ``out``; returns the files' paths.

    Everything is made before anything is written; each file is written whole or not at all, and files of an
    earlier build that this one does not make are taken away.

    Raises:
        ProblemsFound: a rule book has problems, or the folder cannot be written to.
    """
    step("working out cuts, bends and welds", 0.02)
    work_of(job)
    step("checking", 0.1)
    findings(job)
    step("pushing", 0.2)
    files = {"strength.json": _json(strength_numbers(job)), "numbers.json": _json(numbers_of(job))}
    step("drawing wraps and bends", 0.4)
    files |= {f"tables/{name}.csv": to_csv(table) for name, table in tables_of(job).items()}
    drawings = drawings_of(job)
    files |= {f"{name}.svg": to_svg(drawing).encode() for name, drawing in drawings.items()}
    files |= {f"{name}.dxf": to_dxf(d) for name, d in drawings.items() if name.startswith("wraps/")}
    for share, paper in zip((0.5, 0.7), PAPERS, strict=True):
        step(f"setting the papers for {paper}", share)
        files[f"papers-{paper}.pdf"] = book_paper(book_of(job, paper))
    step("writing", 0.95)
    before = _earlier(out)
    files[CONTENTS] = _json({"revision": job.cage.revision, "files": sorted(files)})
    written = tuple(_write(out / name, data) for name, data in files.items())
    for name in before - files.keys():
        (out / name).unlink(missing_ok=True)
    return written


def _earlier(out: Path) -> set[str]:
    """The files an earlier build wrote into the folder; none where its contents cannot be read."""
    try:
        names = json.loads((out / CONTENTS).read_text(encoding="utf-8"))["files"]
    except (OSError, ValueError, KeyError, TypeError):
        return set()
    return {n for n in names if isinstance(n, str) and ".." not in n.split("/") and not n.startswith("/")}


def _json(data: Any) -> bytes:
    return json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False).encode()


def _write(path: Path, data: bytes) -> Path:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as wrong:
        raise ProblemsFound([cannot_write(path.parent, wrong)]) from wrong
    write_atomically(path, data)
    return path
