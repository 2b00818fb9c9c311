"""Which papers a plan has, and what is on each."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Any

from cagewright.base.cautions import CAUTIONS
from cagewright.base.drawing import Drawing
from cagewright.base.plain import plain
from cagewright.base.sheet import Paper, Sheet, Table
from cagewright.check.sight.paper import sight_sheet
from cagewright.job.bench_paper import bench_sheet
from cagewright.job.cutting import cutting_of, work_of, wraps_in
from cagewright.job.drivers import drivers_sheet
from cagewright.job.findings import findings, judged_by
from cagewright.job.findings_paper import every_finding_sheet, findings_sheet
from cagewright.job.opening import Job
from cagewright.job.passage_paper import passage_sheet
from cagewright.job.strength import strength_papers
from cagewright.job.trims import trims_sheet
from cagewright.make.pages import PageText, wrap_pages
from cagewright.make.sheets import sheets as shop_sheets
from cagewright.make.views import Direction, cage_view, key_table
from cagewright.make.wrapdraw import wrap_drawing
from cagewright.make.wraps import Wrap


def strength_numbers(job: Job) -> Any:
    """The strength answer of the papers, for programs."""
    return plain(strength_papers(job)[0])


def sheets_of(job: Job) -> tuple[Sheet, ...]:
    """Every paper but the wraps with its drawings, the findings last.

    Raises:
        ProblemsFound: a rule book is not known or has problems of its own.
    """
    return job.cache.get(("sheets", judged_by(job)), lambda: _sheets(job))


def _sheets(job: Job) -> tuple[Sheet, ...]:
    own = (sight_sheet(job.cage), trims_sheet(job), bench_sheet(job), passage_sheet(job), drivers_sheet(job))
    return (
        *cutting_of(job).sheets,
        *strength_papers(job)[1],
        *(sheet for sheet in own if sheet),
        findings_sheet(job.cage, findings(job)),
        every_finding_sheet(job.cage, findings(job)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildBook:
    """What the build book is set from.

    Attributes:
        stamp: how the rules stand, on every page.
        cautions: all cautions, a paragraph each.
        sheets: every paper, each in its part of the book.
        cover: the title page's pictures.
        wraps: whole pages at true scale.
    """

    title: str
    revision: str
    stamp: str = ""
    cautions: tuple[str, ...] = CAUTIONS
    sheets: tuple[Sheet, ...] = ()
    cover: tuple[Drawing, ...] = ()
    wraps: tuple[Drawing, ...] = ()
    paper: Paper = "a4"


def book_of(job: Job, paper: Paper) -> BuildBook:
    """The build book for that paper size.

    Raises:
        ProblemsFound: a rule book is not known or has problems of its own.
    """
    sheets = sheets_of(job)
    rows = sum(len(t.rows) + 2 for s in sheets if s.kind == "summary" for t in s.tables)
    # what the summary's tables leave of the title page
    room = (176.0, min(max(206.0 - 5.6 * rows, 70.0), 130.0))
    return BuildBook(
        title=job.cage.title,
        revision=job.cage.revision,
        stamp=findings(job).headline,
        cautions=(*CAUTIONS, *findings(job).cautions),
        sheets=sheets,
        cover=(cage_view(job.cage, "three-quarter", box=room, numbers=False),),
        wraps=wrap_pages_of(job, wraps_in(job), paper),
        paper=paper,
    )


def wrap_pages_of(job: Job, wraps: tuple[Wrap, ...], paper: Paper) -> tuple[Drawing, ...]:
    """The wraps on pages of that paper, at true scale."""
    text = PageText(title=job.cage.title, revision=job.cage.revision)
    return wrap_pages(wraps, paper, text=text, units=job.cage.units)


def tables_of(job: Job) -> dict[str, Table]:
    """Every table by the name it is saved under: for machines, so in decimals of an inch, never marks."""
    rest = [s for s in sheets_of(job) if s.kind in ("strength", "sight", "trims", "fit-up")]
    every = (
        *rest,
        findings_sheet(job.cage, findings(job)),
        every_finding_sheet(job.cage, findings(job), fold=False),
    )
    return shop_tables_of(job) | {table_name(sheet, t): t for sheet in every for t in sheet.tables}


def shop_tables_of(job: Job) -> dict[str, Table]:
    """The tables of the shop's sheets by the name they are saved under, in decimals."""
    mine = made = cutting_of(job).sheets
    if job.cage.units != "mm":
        work = replace(work_of(job), cage=replace(job.cage, units="decimal in"))
        made = (replace(mine[0], tables=(key_table(work.cage),)), *shop_sheets(work))
    pairs = (
        (sheet, zip(sheet.tables, one.tables, strict=True)) for sheet, one in zip(mine, made, strict=True)
    )
    return {table_name(sheet, table): decimal for sheet, both in pairs for table, decimal in both}


def table_name(sheet: Sheet, table: Table) -> str:
    """What a table of a sheet is saved under, without ending."""
    words = re.sub(r"[^a-z0-9_]+", "-", f"{sheet.name} {table.title}".lower())
    return words.strip("-")[:100]


VIEWS: tuple[Direction, ...] = ("three-quarter", "side", "front", "plan")


def drawings_of(job: Job) -> dict[str, Drawing]:
    """Every drawing by the path it is saved under, without ending: wraps, bend sketches, views."""
    cage, wraps = job.cage, wraps_in(job)
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
        | {f"trims/{d.name}": d for sheet in sheets_of(job) if sheet.kind == "trims" for d in sheet.drawings}
        | {f"views/{way}": cage_view(cage, way, key=True) for way in VIEWS}
    )
