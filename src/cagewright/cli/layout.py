"""Commands before a plan stands: survey a shell, draft a first plan from it, bring a plan close."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Annotated, Any

import typer

from cagewright.base.files import write_atomically
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.say import say_length
from cagewright.base.sheet import Column, Paper, Table
from cagewright.book.papers import drawn_paper
from cagewright.check.library import find_books
from cagewright.check.limits_asked import limits_of
from cagewright.cli.output import AsJson, emit, out, show_table, speaking_plainly
from cagewright.draft.fit import Fitted, Freedom, Move, Report, fit
from cagewright.draft.layout import NothingToDraft, draft
from cagewright.draft.measured import measured
from cagewright.draft.scanned import with_scan
from cagewright.draft.telling import GRAVE, SurveyNote
from cagewright.draft.written import drafted_text
from cagewright.job.opening import open_job, scan_of
from cagewright.make.survey_sheet import TITLE, survey_pages
from cagewright.plan.shop import read_shop
from cagewright.plan.survey import Survey, blank_survey, read_survey, survey_text, where_read
from cagewright.plan.write import Document, load_document, save, set_length
from cagewright.shape.resolve import resolve
from cagewright.shape.shell import shell_of
from cagewright.stock.shop import NO_SHOP

survey = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Measure a stripped shell.")
SurveyPath = Annotated[Path, typer.Argument(metavar="SURVEY", help="The survey file.", show_default=False)]
CAUTION = (
    "A drafted layout is a start, not a certificate: check it, and the current rule book of your series; "
    "local codes and the licensed engineer or scrutineer decide."
)


@survey.command("new")
def new(
    path: Annotated[Path, typer.Argument(metavar="FILE", help="The file to make.", show_default=False)],
    title: Annotated[str, typer.Option(help="Of the plan to come.")] = "New car, first layout",
) -> None:
    """Write a commented survey file to fill in; nothing is overwritten."""
    with speaking_plainly(as_json=False):
        _refuse_existing(path)
        write_atomically(path, survey_text(blank_survey(title)).encode())
    out.print(f"{path.as_posix()}: fill it in, then: cagewright survey check {path.as_posix()}", markup=False)


@survey.command("sheet")
def sheet(
    path: Annotated[Path, typer.Option("-o", "--out", metavar="FILE", help="The PDF to make.")],
    paper: Annotated[Paper, typer.Option(help="Paper of the PDF.")] = "a4",
) -> None:
    """Write the survey sheet to print: every reading with a sketch of where the tape goes."""
    with speaking_plainly(as_json=False):
        pages = survey_pages(paper)
        write_atomically(
            path, drawn_paper(pages, paper, title=TITLE, stamp="readings only: no rules checked")
        )
    out.print(f"{path.as_posix()}: print it and take it to the car", markup=False)


@survey.command("check")
def check(path: SurveyPath, as_json: AsJson = False) -> None:
    """Say what in a survey is doubtful, missing or uneven; exit code 1 where one must be taken again."""
    with speaking_plainly(as_json=as_json):
        read, taken = _read(path)
        found = measured(read.file)
    grave = [note for note in found.notes if note.kind in GRAVE]
    if as_json:
        points = {name: [round(float(v), 2) for v in p] for name, p in found.points.items()}
        scatter = round(found.solved.scatter, 3)
        rows = [note_row(note, read) for note in found.notes]
        emit({"notes": rows, "points_mm": points, "scatter": scatter, "from_scan": list(taken)})
    else:
        show_table(_notes_table(found.notes, read))
        if taken:
            out.print(f"Taken from the scan: {', '.join(taken)}.", markup=False)
        out.print(f"{len(found.points)} points known; {len(grave)} readings to take again.", markup=False)
    if grave:
        raise typer.Exit(1)


def _read(path: Path) -> tuple[Survey, tuple[str, ...]]:
    """The survey, with what was not read taken from its scan where it names one; and what was taken."""
    return with_scan(read_survey(path), path.parent)


def note_row(note: SurveyNote, read: Survey) -> dict[str, Any]:
    """The note as JSON-ready fields."""
    where = where_read(read, note.reading, note.part)
    return {
        "kind": note.kind,
        "reading": note.reading,
        "part": note.part,
        "line": where.line,
        "found": note.found,
        "advice": note.advice,
        "matters": note.matters,
    }


def _notes_table(notes: Iterable[SurveyNote], read: Survey) -> Table:
    rows = tuple(
        (n.kind, str(where_read(read, n.reading, n.part).line or ""), n.found, n.advice) for n in notes
    )
    heads = ("what", "line", "found", "what to do, or what it is for")
    return Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows)


def draft_plan(
    path: SurveyPath,
    plan: Annotated[Path, typer.Option("-o", "--out", metavar="PLAN", help="The plan file to make.")],
    as_json: AsJson = False,
) -> None:
    """Draft a first plan from a survey; nothing is overwritten."""
    with speaking_plainly(as_json=as_json):
        _refuse_existing(plan)
        read, _ = _read(path)
        shop = read_shop(path.parent / read.file.shop) if read.file.shop else NO_SHOP
        books = find_books(read.file.car.rules, path.parent, Where(file=path.as_posix()))
        try:
            drafted = draft(read.file, limits_of(books), shop)
        except NothingToDraft as nothing:
            raise ProblemsFound(_why_nothing(nothing, read)) from None
        resolve(drafted.plan)  # a plan that cannot be built is never written
        write_atomically(plan, drafted_text(drafted, path.name).encode())
    if as_json:
        emit({
            "plan": plan.as_posix(),
            "members": len(drafted.plan.members),
            "not_done": list(drafted.said),
            "notes": [note_row(note, read) for note in drafted.notes],
        })
        return
    for said in drafted.said:
        out.print(f"Not done: {said}.", markup=False)
    out.print(f"{plan.as_posix()}: {len(drafted.plan.members)} members written. {CAUTION}", markup=False)


def _why_nothing(nothing: NothingToDraft, read: Survey) -> list[Problem]:
    """The notes that keep even the main hoop from being drafted, as problems of the survey's lines."""
    grave = [n for n in nothing.notes if n.kind in GRAVE or n.matters]
    problems = [
        Problem(
            code=f"survey-{n.kind}",
            where=where_read(read, n.reading, n.part),
            found=n.found,
            wanted=n.advice,
        )
        for n in grave
    ]
    return problems or [
        Problem(
            code="survey-hoop",
            where=Where(file=read.source.file if read.source else "survey"),
            found="the main hoop cannot be laid out inside this section",
            wanted="read the section at the hoop again",
        )
    ]


def _refuse_existing(path: Path) -> None:
    if path.exists():
        where = Where(file=path.as_posix())
        raise ProblemsFound([
            Problem(code="exists", where=where, found="the file is already there", wanted="wanted a new name")
        ])


# --- tight-fit


def fit_plan(
    plan: Annotated[Path, typer.Argument(metavar="PLAN", help="The plan file.", show_default=False)],
    gap: Annotated[float, typer.Option(min=1.0, max=100.0, help="Wanted between tube and body, mm.")] = 10.0,
    least: Annotated[float, typer.Option(min=0.0, help="Kept everywhere, mm.")] = 5.0,
    reach: Annotated[float, typer.Option(min=0.0, help="Furthest that a bend may move, mm.")] = 40.0,
    fixed: Annotated[
        list[str] | None, typer.Option(help="A named point that stays; may be repeated.")
    ] = None,
    only: Annotated[list[str] | None, typer.Option(help="Only this member; may be repeated.")] = None,
    write: Annotated[bool, typer.Option("--write", help="Change the plan file; else only say what.")] = False,
    as_json: AsJson = False,
) -> None:
    """Move a plan's bend points until its tubes lie at the wanted gap from the body."""
    with speaking_plainly(as_json=as_json):
        job = open_job(plan)
        shell = shell_of(job.cage, scan_of(job))
        freedom = Freedom(
            gap=gap,
            least=min(least, gap),
            reach=reach,
            members=frozenset(only or ()),
            fixed=frozenset(fixed or ()),
        )
        _, report = fit(job.plan, shell, freedom, job.shop)
        if write and report.moves:
            save(_edited(load_document(plan), report), plan)
    if as_json:
        emit({
            "members": [_fitted_row(f) for f in report.members],
            "moves": [_move_row(m) for m in report.moves],
        })
        return
    show_table(_fit_table(report.members, job.cage.units))
    for move in report.moves:
        out.print(_move_words(move), markup=False)
    done = "written" if write else "not written: add --write to change the plan"
    out.print(f"{len(report.moves)} values moved, {done}. Check the plan again.", markup=False)


def _edited(document: Document, report: Report) -> Document:
    """The plan file's text with every moved value set, in the units that stand there."""
    for move in report.moves:
        if len(move.after) == 1:
            document = set_length(document, move.keys, move.after[0])
            continue
        keys = (*move.keys, "at") if _is_mapping(document, move.keys) else move.keys
        for axis, (was, now) in enumerate(zip(move.before, move.after, strict=True)):
            if was != now:
                document = set_length(document, (*keys, axis), now)
    return document


def _is_mapping(document: Document, keys: tuple[str | int, ...]) -> bool:
    value: Any = document.source.data
    for key in keys:
        value = value[key]
    return isinstance(value, dict)


def _fitted_row(fitted: Fitted) -> dict[str, Any]:
    tight = fitted.tight
    said: dict[str, Any] = {"member": fitted.member, "why_not": fitted.why_not}
    if tight is None:
        return said
    spans = {"before_mm": tight.before, "after_mm": tight.after}
    rounded = {key: span and [round(v, 2) for v in span] for key, span in spans.items()}
    return (
        said | rounded | {"moved_mm": round(tight.moved, 2), "held": list(tight.held), "ended": tight.ended}
    )


def _move_row(move: Move) -> dict[str, Any]:
    return {"keys": list(move.keys), "before_mm": list(move.before), "after_mm": list(move.after)}


def _move_words(move: Move) -> str:
    keys = ".".join(str(k + 1) if isinstance(k, int) else k for k in move.keys)
    before, after = (", ".join(f"{v:g}" for v in side) for side in (move.before, move.after))
    return f"{keys}: {before} -> {after}"


def _fit_table(members: Iterable[Fitted], units: Any) -> Table:
    heads = ("member", "gap before", "gap after", "moved", "what held it back")
    return Table(
        title="",
        columns=tuple(Column(head=h) for h in heads),
        rows=tuple(_fit_cells(f, units) for f in members),
    )


def _fit_cells(fitted: Fitted, units: Any) -> tuple[str, ...]:
    tight = fitted.tight
    if tight is None:
        return (fitted.member, "", "", "", fitted.why_not)
    spans = [
        "" if s is None else f"{s[0]:.0f} to {s[2]:.0f}, mean {s[1]:.1f} mm"
        for s in (tight.before, tight.after)
    ]
    return (fitted.member, *spans, say_length(tight.moved, units), fitted.why_not or "; ".join(tight.held))
