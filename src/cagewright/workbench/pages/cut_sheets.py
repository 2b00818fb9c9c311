"""The shop's sheets made into files: what is printed, what is cut, and a list of it for the page."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

from cagewright.base.cautions import CAUTIONS
from cagewright.base.drawing import Drawing
from cagewright.base.names import shown
from cagewright.base.plain import plain
from cagewright.base.sheet import PAPERS, Sheet
from cagewright.book.papers import pages_paper, sheets_paper
from cagewright.job.cutting import WrapToCut, cutting_of, work_of, wraps_in
from cagewright.job.opening import Job
from cagewright.job.papers import shop_tables_of, table_name, wrap_pages_of
from cagewright.job.writers import to_csv, to_dxf, to_svg

INDEX = "sheets.json"
"""Lists the sheets as the page shows them."""
SETTING = "setting the papers"
"""What is said to be done once everything that the page shows is there."""
Files = dict[str, bytes]
Step = Callable[[str, float], None]


def sheets_folder(path: Path) -> Path:
    """Where the sheets of the plan in that file are kept."""
    return path.parent / ".cagewright" / "sheets" / path.stem


def shown_files(job: Job, step: Step) -> Files:
    """What the page shows, by name: its list, drawings, tables and wraps.

    Args:
        job: the plan.
        step: told what is being made, and the share done.
    """
    step("working out cuts, lengths to buy, bends and welds", 0.02)
    work_of(job)
    step("drawing the sheets", 0.35)
    found, files = cutting_of(job), Files()
    decimals = shop_tables_of(job)
    index = {
        **plain(replace(found, sheets=(), members=(), wraps=())),
        "sheets": [_sheet_row(sheet, files) for sheet in found.sheets],
        "members": plain(found.members),
        "wraps": [_wrap_row(wrap, files) for wrap in found.wraps],
        "papers": {paper: [f"cut-and-bend-{paper}.pdf", f"all-wraps-{paper}.pdf"] for paper in PAPERS},
    }
    files |= {f"tables/{name}.csv": to_csv(table) for name, table in decimals.items()}
    files[INDEX] = json.dumps(index, ensure_ascii=False, indent=1, allow_nan=False).encode()
    return files


def paper_files(job: Job, step: Step) -> Files:
    """Every PDF by name, for both paper sizes: all sheets, all wraps, and each of them alone.

    Args:
        job: the plan.
        step: told what is being made, and the share done.
    """
    files, sheets, wraps = Files(), cutting_of(job).sheets, wraps_in(job)
    title, revision = job.cage.title, job.cage.revision
    for n, paper in enumerate(PAPERS):
        step(f"{SETTING} for {paper.capitalize()}", 0.5 + 0.24 * n)
        name = f"cut-and-bend-{paper}.pdf"
        files[name] = sheets_paper(sheets, title=title, revision=revision, paper=paper)
        for path, some in (("all-wraps", wraps), *((f"wraps/{w.member}-{w.which}", (w,)) for w in wraps)):
            files[f"{path}-{paper}.pdf"] = pages_paper(
                wrap_pages_of(job, some, paper), paper, title=title, revision=revision,
                subject=f"Wraps at true scale, revision {revision}",
            )  # fmt: skip
        for sheet in (s for s in sheets if s.kind != "summary"):
            one = sheets_paper((sheet,), title=title, revision=revision, paper=paper)
            files[f"sheets/{sheet.name}-{paper}.pdf"] = one
    return files


# --- one sheet


def _sheet_row(sheet: Sheet, files: Files) -> dict[str, Any]:
    notes = tuple(note for note in sheet.notes if note not in CAUTIONS)
    return {
        **plain(replace(sheet, notes=notes, drawings=(), tables=())),
        "tables": [plain(t) | {"csv": f"tables/{table_name(sheet, t)}.csv"} for t in sheet.tables],
        "drawings": [
            _drawing_row(drawing, f"drawings/{sheet.name}-{n}", files)
            for n, drawing in enumerate(sheet.drawings, 1)
        ],
        "pdf": {} if sheet.kind == "summary" else {p: f"sheets/{sheet.name}-{p}.pdf" for p in PAPERS},
    }


def _drawing_row(drawing: Drawing, name: str, files: Files) -> dict[str, Any]:
    files[f"{name}.svg"] = to_svg(drawing).encode()
    x0, y0, x1, y1 = drawing.box
    size = {"width": round(x1 - x0, 2), "height": round(y1 - y0, 2)}
    return {"title": drawing.title, "svg": f"{name}.svg", **size}


def _wrap_row(wrap: WrapToCut, files: Files) -> dict[str, Any]:
    base = f"wraps/{wrap.member}-{wrap.which}"
    files[f"{base}.dxf"] = to_dxf(wrap.drawing)
    return {
        **_drawing_row(wrap.drawing, base, files),
        "member": wrap.member,
        "shown": shown(wrap.member),
        "which": wrap.which,
        "title": wrap.title,
        "warnings": list(wrap.warnings),
        "dxf": f"{base}.dxf",
        "pdf": {paper: f"{base}-{paper}.pdf" for paper in PAPERS},
    }


def named_files(files: Iterable[str], *, paper: str | None) -> list[str]:
    """The files of a folder of sheets for one paper size, or for all; without the page's own list."""
    others = tuple(f"-{p}.pdf" for p in PAPERS if paper and p != paper)
    return [name for name in files if name != INDEX and not (others and name.endswith(others))]
