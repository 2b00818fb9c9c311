"""The only composer: runs the stages of one job in order, and keeps each result by the hash of its inputs."""

from __future__ import annotations

import json
import re
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, TypeVar, cast

from cagewright.base.files import cannot_write, write_atomically
from cagewright.base.problems import Problem, ProblemsFound, nearest_word
from cagewright.check.belts.findings import belts_findings
from cagewright.check.belts.mounts import mount_findings
from cagewright.check.bench_of import bench_of
from cagewright.check.body.findings import body_findings
from cagewright.check.findings import Finding, stamp, worst_first
from cagewright.check.judge import check_books
from cagewright.check.library import find_books
from cagewright.check.paper import findings_sheet
from cagewright.check.practice import PRACTICES, practice_findings
from cagewright.check.sight.findings import sight_findings
from cagewright.check.sight.paper import sight_sheet
from cagewright.check.torch.findings import torch_findings
from cagewright.frame.asked import DEFAULT, push_names
from cagewright.frame.respond import run
from cagewright.frame.results import Summary, plain
from cagewright.frame.troubles import FrameError
from cagewright.make.cautions import CAUTIONS
from cagewright.make.csvs import to_csv
from cagewright.make.drawing import Drawing, Sheet
from cagewright.make.drawn import drawn_sheets, from_the_end
from cagewright.make.numbers import numbers
from cagewright.make.pages import Paper
from cagewright.make.strength_sheet import strength_sheets
from cagewright.make.svg import to_svg
from cagewright.make.views import Direction, cage_view
from cagewright.make.work import Work, work_out
from cagewright.make.wrapdraw import wrap_drawing
from cagewright.make.wraps import wraps_of
from cagewright.plan.shop import read_job, read_job_source
from cagewright.plan.text import Source
from cagewright.plan.types import Plan, where_of
from cagewright.shape.drafts import points_of
from cagewright.shape.resolve import resolve
from cagewright.shape.scan import Scan, read_scan
from cagewright.shape.types import Cage
from cagewright.stock.shop import Shop

T = TypeVar("T")
Step = Callable[[str, float], None]
"""Told what is being done and the share done, 0 to 1."""


def unheard(doing: str, share: float) -> None:
    """Take no notice of progress."""


class Kept:
    """Results of stages by the hash of their inputs; the ``most`` newest stay."""

    def __init__(self, most: int = 200) -> None:
        self._most = most
        self._results: OrderedDict[Hashable, Any] = OrderedDict()

    def get(self, stage: str, key: Hashable, make: Callable[[], T]) -> T:
        """The stage's result for inputs of that hash, made now if it is not kept."""
        whole = (stage, key)
        if whole not in self._results:
            self._results[whole] = make()
        self._results.move_to_end(whole)
        while len(self._results) > self._most:
            self._results.popitem(last=False)
        return cast("T", self._results[whole])


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One plan, read and resolved.

    Attributes:
        path: the plan file.
        plan: as read.
        shop: the plan's shop, or ``NO_SHOP``.
        cage: what will be built.
        kept: results of later stages.
    """

    path: Path
    plan: Plan
    shop: Shop
    cage: Cage
    kept: Kept

    @property
    def key(self) -> Hashable:
        """Hash of what every later stage depends on."""
        return (self.cage.revision, self.shop)


def open_job(path: Path, kept: Kept | None = None) -> Job:
    """The job of that plan file.

    Raises:
        ProblemsFound: every problem of the plan's text, or of its geometry.
    """
    return _job(path, *read_job(path), kept)


def job_of(text: Source, path: Path, kept: Kept | None = None) -> Job:
    """The job of a plan's text that is to stand in the file ``path``, whatever stands there now.

    Raises:
        ProblemsFound: every problem of the plan's text, or of its geometry.
    """
    return _job(path, *read_job_source(text, path.parent), kept)


def _job(path: Path, plan: Plan, shop: Shop, kept: Kept | None) -> Job:
    cage = resolve(plan, partial(where_of, plan))
    return Job(path=path, plan=plan, shop=shop, cage=cage, kept=kept or Kept())


def rule_findings(job: Job) -> tuple[Finding, ...]:
    """The findings of the rule books that the plan's car answers to, worst first.

    Raises:
        ProblemsFound: a book is not known or has problems of its own.
    """
    names = job.plan.car.rules if job.plan.car else ()
    books = find_books(names, job.path.parent, where_of(job.plan, ("car", "rules")))
    bench = bench_of(job.plan, job.cage)
    return worst_first(
        job.kept.get("rules", (job.key, repr(books)), lambda: check_books(job.cage, books, bench))
    )


def scan_of(job: Job) -> Scan | None:
    """The scan of the shell that the plan names, placed in the car; None where it names none.

    Raises:
        ProblemsFound: the file is missing, broken, or cannot be a car in those units.
    """
    entry = job.plan.shell.scan if job.plan.shell else None
    if entry is None:
        return None
    points = {name: (float(p[0]), float(p[1]), float(p[2])) for name, p in points_of(job.plan).items()}
    where = where_of(job.plan, ("shell", "scan"))
    return read_scan(entry, job.path.parent, points=points, where=where)


def check_findings(job: Job, *, step: Step = unheard) -> tuple[Finding, ...]:
    """The findings of everything but the rule books: body, driver, torch, belts, mounts, sight and practice.

    Raises:
        ProblemsFound: the scan cannot be used, or a practice check is switched that there is not.
    """
    switches = _switches(job.plan)
    return job.kept.get("checks", job.key, lambda: _checked(job, switches, step))


def _checked(job: Job, switches: dict[str, bool], step: Step) -> tuple[Finding, ...]:
    step("reading the scan", 0.1)
    cage, scan = job.cage, scan_of(job)
    step("body and driver", 0.3)
    body = body_findings(cage, scan)
    step("torch access", 0.5)
    torch = torch_findings(cage, scan)
    step("belts, sight and practice", 0.9)
    seat = (*belts_findings(cage), *mount_findings(cage), *sight_findings(cage))
    return worst_first((*body, *torch, *seat, *practice_findings(cage, switches)))


def _switches(plan: Plan) -> dict[str, bool]:
    unknown = [name for name in plan.practice if name not in PRACTICES]
    if unknown:
        raise ProblemsFound(
            Problem(
                code="unknown-practice",
                where=where_of(plan, ("practice", name)),
                found=f"there is no practice check '{name}'",
                wanted=f"wanted one of {', '.join(PRACTICES)}",
                nearest=nearest_word(name, PRACTICES),
            )
            for name in unknown
        )
    return plan.practice


def findings_of(job: Job, *, step: Step = unheard) -> tuple[Finding, ...]:
    """Every finding: the rule books' and the checks', worst first.

    Raises:
        ProblemsFound: a book, the scan or a switch is not as it should be.
    """
    step("rule books", 0.0)
    return worst_first((*rule_findings(job), *check_findings(job, step=step)))


def work_of(job: Job) -> Work:
    """The shop's numbers: cuts, nesting, bends, saw settings, welds, weights."""
    return job.kept.get("work", job.key, lambda: work_out(job.cage, job.shop))


USUAL_PUSHES = (DEFAULT, "side-left")
"""What the papers show where the plan asks for no push: a front corner of the roof, and the driver's door."""


def strength_of(job: Job) -> Summary | str:
    """The cage under the plan's pushes, or the usual two; in words, why it cannot be told.

    The sentence is an answer: a cage with nothing for a push to press on is built and checked all the same.
    """
    return job.kept.get("strength", job.key, lambda: _pushed(job.cage))


def _pushed(cage: Cage) -> Summary | str:
    try:
        known = push_names(cage)
        asked = tuple(p.name for p in cage.pushes) or tuple(n for n in USUAL_PUSHES if n in known)
        return run(cage, asked) if asked else "no usual push finds a place on this cage"
    except FrameError as wrong:
        return "; ".join(wrong.messages)


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
    drawn = job.kept.get("sheets", job.key, lambda: drawn_sheets(work_of(job)))
    strength = job.kept.get("strength sheets", job.key, lambda: _strength_sheets(job))
    seen = job.kept.get("sight", job.key, lambda: sight_sheet(job.cage))
    return (*drawn, *strength, *([seen] if seen else []), findings_sheet(job.cage, findings_of(job)))


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
        stamp=stamp(findings_of(job)),
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


def build(job: Job, out: Path, *, step: Step = unheard) -> tuple[Path, ...]:
    """Write every paper into the folder ``out``: PDF, SVG, DXF, CSV and JSON; returns the files' paths.

    Everything is made before anything is written; each file is written whole or not at all, and files of an
    earlier build that this one does not make are taken away.

    Raises:
        ProblemsFound: a rule book has problems, or the folder cannot be written to.
    """
    step("working out cuts, bends and welds", 0.02)
    work_of(job)
    step("checking", 0.1)
    findings_of(job)
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
    drawn = (*sheets_of(job)[:-1], findings_sheet(job.cage, findings_of(job), fold=False))
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
