"""Every paper of a plan, and the folder that a build writes."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any, cast

from cagewright.base.cautions import CAUTIONS
from cagewright.base.drawing import Drawing
from cagewright.base.files import cannot_write, write_atomically
from cagewright.base.plain import plain
from cagewright.base.problems import ProblemsFound
from cagewright.base.sheet import Paper, Sheet
from cagewright.check.sight.paper import sight_sheet
from cagewright.frame.results import Summary
from cagewright.job.cutting import work_of
from cagewright.job.findings import findings
from cagewright.job.findings_paper import findings_sheet
from cagewright.job.opening import Job, Step, no_progress
from cagewright.job.strength import strength_of
from cagewright.make.csvs import to_csv
from cagewright.make.drawn import drawn_sheets, from_the_end
from cagewright.make.numbers import numbers
from cagewright.make.strength_sheet import strength_sheets
from cagewright.make.svg import to_svg
from cagewright.make.views import Direction, cage_view
from cagewright.make.wrapdraw import wrap_drawing
from cagewright.make.wraps import wraps_of


def _strength_sheets(job: Job) -> tuple[Sheet, ...]:
    found = strength_of(job)
    if isinstance(found, Summary):
        return strength_sheets(job.cage, found)
    return (Sheet(name="strength", title="Strength", kind="strength", notes=(f"Cannot tell: {found}.",)),)


def sheets_of(job: Job) -> tuple[Sheet, ...]:
    """Every paper but the wraps with its drawings, the findings last.

    Raises:
        ProblemsFound: a rule book is not known or has problems of its own.
    """
    drawn = job.cache.get(("sheets", job.key), lambda: drawn_sheets(work_of(job)))
    strength = job.cache.get(("strength sheets", job.key), lambda: _strength_sheets(job))
    seen = job.cache.get(("sight", job.key), lambda: sight_sheet(job.cage))
    return (*drawn, *strength, *([seen] if seen else []), findings_sheet(job.cage, findings(job)))


def papers_of(job: Job, paper: Paper) -> bytes:
    """The build book as PDF for that paper size.

    Raises:
        ProblemsFound: a rule book is not known or has problems of its own.
    """
    from cagewright.book.papers import papers  # loading it takes a third of a second that the workbench saves

    return papers(
        sheets_of(job),
        cage=job.cage,
        paper=paper,
        stamp=findings(job).headline,
        cautions=CAUTIONS,
        from_end=from_the_end(work_of(job)),
    )


VIEWS: tuple[Direction, ...] = ("three-quarter", "side", "front", "plan")


def drawings_of(job: Job) -> dict[str, Drawing]:
    """Every drawing by the path it is saved under, without ending: wraps, bend sketches, views."""
    cage, turned = job.cage, from_the_end(work_of(job))
    wraps = wraps_of(cage, from_end=turned)
    sketches = (sheet for sheet in sheets_of(job) if sheet.kind == "bend sheet")
    pushes = (drawing for sheet in sheets_of(job) if sheet.kind == "strength" for drawing in sheet.drawings)
    return (
        {f"wraps/{w.member}-{w.which}": wrap_drawing(w, units=cage.units) for w in wraps}
        | {
            f"bends/{s.member}-{n}": drawing
            for s in sketches
            for n, drawing in enumerate(s.drawings, start=1)
        }
        | {f"strength/{drawing.name}": drawing for drawing in pushes}
        | {f"views/{way}": cage_view(cage, way, key=True) for way in VIEWS}
    )


CONTENTS = "contents.json"
"""Names the revision and every file of a build; the next build takes away what it no longer makes."""


def build(job: Job, out: Path, *, step: Step = no_progress) -> tuple[Path, ...]:
    """Write every paper into the folder ``out``: PDF, SVG, DXF, CSV and JSON; returns the files' paths.

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
    strength = strength_of(job)
    step("drawing wraps and bends", 0.4)
    files = _tables(job) | {"numbers.json": _json(numbers(work_of(job)))}
    files["strength.json"] = _json(
        plain(strength) if isinstance(strength, Summary) else {"cannot_tell": strength}
    )
    files |= _drawn(job)
    for share, size in ((0.5, "a4"), (0.7, "letter")):
        step(f"setting the papers for {size}", share)
        files[f"papers-{size}.pdf"] = papers_of(job, cast("Paper", size))
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


def _tables(job: Job) -> dict[str, bytes]:
    drawn = (*sheets_of(job)[:-1], findings_sheet(job.cage, findings(job), fold=False))
    return {
        f"tables/{_file_name(sheet.name, table.title)}.csv": to_csv(table)
        for sheet in drawn
        for table in sheet.tables
    }


def _file_name(*words: str) -> str:
    return re.sub(r"[^a-z0-9_]+", "-", " ".join(words).lower()).strip("-")[:100]


def _drawn(job: Job) -> dict[str, bytes]:
    from cagewright.make.dxf import to_dxf  # loading it takes a second that the workbench saves

    made = drawings_of(job)
    svg = {f"{name}.svg": to_svg(drawing).encode() for name, drawing in made.items()}
    return svg | {
        f"{name}.dxf": to_dxf(drawing) for name, drawing in made.items() if name.startswith("wraps/")
    }


def _json(data: Any) -> bytes:
    return json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False).encode()


def _write(path: Path, data: bytes) -> Path:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as wrong:
        raise ProblemsFound([cannot_write(path.parent, wrong)]) from wrong
    write_atomically(path, data)
    return path
