"""The shop's sheets made into files: what is printed, what is cut, and a list of it for the page."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cagewright.base.cautions import CAUTIONS
from cagewright.base.drawing import Drawing
from cagewright.base.sheet import PAPERS, Paper, Sheet, Table
from cagewright.book.papers import sheets_paper, wraps_paper
from cagewright.job.cutting import work_of
from cagewright.job.opening import Job
from cagewright.make.csvs import to_csv
from cagewright.make.drawn import drawn_sheets, from_the_end
from cagewright.make.dxf import to_dxf
from cagewright.make.svg import to_svg
from cagewright.make.work import Work
from cagewright.make.wrapdraw import wrap_drawing
from cagewright.make.wraps import Wrap, wraps_of
from cagewright.shape.types import Cage

INDEX = "sheets.json"
"""Lists the sheets as the page shows them."""
SETTING = "setting the papers"
"""What is said to be done once everything that the page shows is there."""
Files = dict[str, bytes]
Step = Callable[[str, float], None]


def sheets_folder(path: Path) -> Path:
    """Where the sheets of the plan in that file are kept."""
    return path.parent / ".cagewright" / "sheets" / path.stem


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """The shop's sheets and wraps of one cage, drawn.

    Attributes:
        cage: what is built.
        sheets: every paper but the wraps.
        wraps: of every end that is cut.
    """

    cage: Cage
    sheets: tuple[Sheet, ...]
    wraps: tuple[Wrap, ...]


def drawn_files(job: Job, step: Step) -> tuple[Files, Drawn]:
    """What the page shows, by name: its list, drawings, tables and wraps; and what the papers are set from.

    Args:
        job: the plan.
        step: told what is being made, and the share done.
    """
    step("working out cuts, lengths to buy, bends and welds", 0.02)
    work = work_of(job)
    step("drawing the sheets", 0.35)
    wraps = wraps_of(job.cage, from_end=from_the_end(work))
    drawn = Drawn(cage=job.cage, sheets=drawn_sheets(work), wraps=wraps)
    files: Files = {}
    rows = [_sheet_row(sheet, files) for sheet in drawn.sheets]
    cuts = [_wrap_row(wrap, job, files) for wrap in wraps]
    index = _index(job, work, rows, cuts)
    files[INDEX] = json.dumps(index, ensure_ascii=False, indent=1, allow_nan=False).encode()
    return files, drawn


def paper_files(drawn: Drawn, step: Step) -> Files:
    """Every PDF by name, for both paper sizes: all sheets, all wraps, and each of them alone.

    Args:
        drawn: the sheets and wraps.
        step: told what is being made, and the share done.
    """
    files: Files = {}
    for n, paper in enumerate(PAPERS):
        step(f"{SETTING} for {paper.capitalize()}", 0.5 + 0.24 * n)
        files |= _papers(drawn, paper)
    return files


def _index(job: Job, work: Work, rows: list[Any], cuts: list[Any]) -> dict[str, Any]:
    cage = job.cage
    return {
        "title": cage.title,
        "revision": cage.revision,
        "shop": work.shop.name,
        "cautions": list(CAUTIONS),
        "members": [{"name": m.name, "role": m.role, "bends": len(m.bends)} for m in cage.members],
        "sheets": rows,
        "wraps": cuts,
        "papers": {paper: [f"cut-and-bend-{paper}.pdf", f"all-wraps-{paper}.pdf"] for paper in PAPERS},
    }


def _papers(drawn: Drawn, paper: Paper) -> Files:
    cage, wraps = drawn.cage, drawn.wraps
    files = {
        f"cut-and-bend-{paper}.pdf": sheets_paper(drawn.sheets, cage=cage, paper=paper, cautions=CAUTIONS),
        f"all-wraps-{paper}.pdf": wraps_paper(wraps, cage=cage, paper=paper),
    }
    for wrap in wraps:
        files[f"wraps/{wrap.member}-{wrap.which}-{paper}.pdf"] = wraps_paper((wrap,), cage=cage, paper=paper)
    for sheet in drawn.sheets:
        if sheet.kind != "summary":
            one = sheets_paper((sheet,), cage=cage, paper=paper, cautions=CAUTIONS)
            files[f"sheets/{sheet.name}-{paper}.pdf"] = one
    return files


# --- one sheet


def _sheet_row(sheet: Sheet, files: Files) -> dict[str, Any]:
    return {
        "name": sheet.name,
        "title": sheet.title,
        "kind": sheet.kind,
        "member": sheet.member,
        "notes": [note for note in sheet.notes if note not in CAUTIONS],
        "tables": [_table_row(sheet, table, files) for table in sheet.tables],
        "drawings": list(_drawing_rows(sheet, files)),
        "pdf": {} if sheet.kind == "summary" else {p: f"sheets/{sheet.name}-{p}.pdf" for p in PAPERS},
    }


def _table_row(sheet: Sheet, table: Table, files: Files) -> dict[str, Any]:
    name = f"tables/{_plain(f'{sheet.name} {table.title}')}.csv"
    files[name] = to_csv(table)
    return {
        "title": table.title,
        "columns": [{"head": c.head, "unit": c.unit, "align": c.align} for c in table.columns],
        "rows": [list(row) for row in table.rows],
        "csv": name,
    }


def _plain(words: str) -> str:
    return re.sub(r"[^a-z0-9_]+", "-", words.lower()).strip("-")[:100]


def _drawing_rows(sheet: Sheet, files: Files) -> Iterator[dict[str, Any]]:
    for n, drawing in enumerate(sheet.drawings, 1):
        name = f"drawings/{sheet.name}-{n}.svg"
        files[name] = to_svg(drawing).encode()
        yield {"title": drawing.title, "svg": name, **_size(drawing)}


def _size(drawing: Drawing) -> dict[str, float]:
    x0, y0, x1, y1 = drawing.box
    return {"width": round(x1 - x0, 2), "height": round(y1 - y0, 2)}


# --- one wrap


def _wrap_row(wrap: Wrap, job: Job, files: Files) -> dict[str, Any]:
    drawing = wrap_drawing(wrap, units=job.cage.units)
    base = f"wraps/{wrap.member}-{wrap.which}"
    files[f"{base}.svg"] = to_svg(drawing).encode()
    files[f"{base}.dxf"] = to_dxf(drawing)
    return {
        "member": wrap.member,
        "which": wrap.which,
        "toward": list(wrap.toward),
        "tube": wrap.tube,
        "facts": list(wrap.facts),
        "warnings": list(wrap.warnings),
        "svg": f"{base}.svg",
        "dxf": f"{base}.dxf",
        "pdf": {paper: f"{base}-{paper}.pdf" for paper in PAPERS},
        **_size(drawing),
    }


def named_files(files: Iterable[str], *, paper: str | None) -> list[str]:
    """The files of a folder of sheets for one paper size, or for all; without the page's own list."""
    others = tuple(f"-{p}.pdf" for p in PAPERS if paper and p != paper)
    return [name for name in files if name != INDEX and not (others and name.endswith(others))]
