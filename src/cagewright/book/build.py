"""The folder that a build writes: every paper as PDF, SVG, DXF, CSV and JSON."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from cagewright.base.made import put_together
from cagewright.base.sheet import PAPERS
from cagewright.book.papers import book_paper
from cagewright.job.cutting import numbers_of, work_of
from cagewright.job.findings import findings
from cagewright.job.opening import Job, Step, no_progress
from cagewright.job.papers import book_of, drawings_of, strength_numbers, tables_of
from cagewright.job.writers import to_csv, to_dxf, to_svg


def build(job: Job, out: Path, *, step: Step = no_progress) -> tuple[Path, ...]:
    """Write every paper into the folder ``out``; returns the files' paths.

    Everything is made before anything is written; then the papers change places with an earlier build's.

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
    return put_together(out, files, job.cage.revision)


def _json(data: Any) -> bytes:
    return json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False).encode()
