"""Commands before a plan stands: survey a shell, draft a first plan from it, bring a plan close."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cagewright.base.files import write_atomically
from cagewright.base.names import shown, typed
from cagewright.base.plain import plain
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.sheet import Column, Paper, Table
from cagewright.book.papers import pages_paper
from cagewright.cli.output import AsJson, PlanPath, emit, out, show_table, speaking_plainly
from cagewright.cli.quantities import quantity
from cagewright.job.draft import draft_of
from cagewright.job.fit import FitAnswer, fit_answer
from cagewright.job.next_car import NextCarAnswer, next_car, next_pages, next_text
from cagewright.job.opening import open_job
from cagewright.job.read_scan import read_scan_answer, rest_pages
from cagewright.job.set_draft import set_draft_of
from cagewright.job.survey import (
    SHEET_TITLE,
    SurveyAnswer,
    blank_text,
    open_survey,
    saved,
    sheet_pages,
    survey_answer,
    tried,
)
from cagewright.job.trims import trims_table

survey = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Measure a stripped shell.")
SurveyPath = Annotated[Path, typer.Argument(metavar="SURVEY", help="The survey file.", show_default=False)]


@survey.command("new")
def new(
    path: Annotated[Path, typer.Argument(metavar="FILE", help="The file to make.", show_default=False)],
    title: Annotated[str, typer.Option(help="Of the plan to come.")] = "New car, first layout",
) -> None:
    """Write a commented survey file to fill in; nothing is overwritten."""
    with speaking_plainly(as_json=False):
        _refuse_existing(path)
        write_atomically(path, blank_text(title).encode())
    out.print(f"{path.as_posix()}: fill it in, then: cagewright survey check {path.as_posix()}", markup=False)


@survey.command("sheet")
def sheet(
    path: Annotated[Path, typer.Option("-o", "--out", metavar="FILE", help="The PDF to make.")],
    paper: Annotated[Paper, typer.Option(help="Paper of the PDF.")] = "a4",
) -> None:
    """Write the survey sheet to print: every reading with a sketch of where the tape goes."""
    with speaking_plainly(as_json=False):
        stamp = "readings only: no rules checked"
        write_atomically(path, pages_paper(sheet_pages(paper), paper, title=SHEET_TITLE, stamp=stamp))
    out.print(f"{path.as_posix()}: print it and take it to the car", markup=False)


@survey.command("check")
def check(path: SurveyPath, as_json: AsJson = False) -> None:
    """Say what in a survey is doubtful, missing or uneven; exit code 1 where one must be taken again."""
    with speaking_plainly(as_json=as_json):
        found = survey_answer(open_survey(path))
        if found.problems:
            raise ProblemsFound(found.problems)
    if as_json:
        emit(plain(found))
    else:
        show_table(_notes_table(found))
        if found.from_scan:
            out.print(f"Taken from the scan: {', '.join(found.from_scan)}.", markup=False)
        out.print(f"{len(found.points)} points known; {found.headline}.", markup=False)
    if found.level == "fail":
        raise typer.Exit(1)


@survey.command("read-scan")
def read_scan(
    path: SurveyPath,
    rest: Annotated[
        Path | None, typer.Option("--rest", metavar="FILE", help="Make a PDF of what is still to be read.")
    ] = None,
    paper: Annotated[Paper, typer.Option(help="Paper of the PDF.")] = "a4",
    dry: Annotated[bool, typer.Option("--dry", help="Only say it; leave the survey as it is.")] = False,
    as_json: AsJson = False,
) -> None:
    """Take the readings that a scan gives into the survey, and say what the car still has to be asked."""
    with speaking_plainly(as_json=as_json):
        opened = open_survey(path)
        answer, document = read_scan_answer(opened)
        read = tried(opened, lambda _: document, readings=True)
        if not dry:
            read = saved(read)
        if rest is not None and read.survey is not None:
            pages = rest_pages(read.survey.file, paper)
            stamp = "readings only: no rules checked"
            write_atomically(rest, pages_paper(pages, paper, title=SHEET_TITLE, stamp=stamp))
    if as_json:
        emit(plain(answer))
        return
    taken = tuple((f"{one.title} {one.part}".strip(), one.said) for one in answer.taken)
    show_table(Table(title="", columns=(Column(head="from the scan"), Column(head="reads")), rows=taken))
    asked = tuple((f"{a.title} {', '.join(a.parts)}".strip(), a.hold) for a in answer.asked)
    show_table(Table(title="", columns=(Column(head="at the car"), Column(head="how")), rows=asked))
    for words in (*answer.notes, *answer.openings):
        out.print(f"{words[:1].upper()}{words[1:]}.", markup=False)
    out.print(f"{path.as_posix()}: {answer.headline}.", markup=False)


@survey.command("next")
def next_one(
    bodies: Annotated[
        list[Path],
        typer.Argument(
            metavar="BODY...", help="Measured ones of the kind, surveys or bodies.", show_default=False
        ),
    ],
    new_file: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="FILE", help="Make the next car's file, to fill in.")
    ] = None,
    car: Annotated[
        Path | None, typer.Option("--car", metavar="FILE", help="Say what its readings tell of the next car.")
    ] = None,
    sheet_file: Annotated[
        Path | None,
        typer.Option("--sheet", metavar="FILE", help="Make a PDF of what to read, with sketches."),
    ] = None,
    find: Annotated[
        str | None, typer.Option("--find", metavar="LENGTH", help="How large a difference has to show.")
    ] = None,
    paper: Annotated[Paper, typer.Option(help="Paper of the PDF.")] = "a4",
    as_json: AsJson = False,
) -> None:
    """Say which few readings tell whether the next car is the same, and what they say of it.

    Exit code 1 where it is bent, or a reading must be taken again.
    """
    with speaking_plainly(as_json=as_json):
        opened = [open_survey(path) for path in bodies]
        large = None if find is None else quantity("length", low=1.0, high=500.0)(find)
        answer = next_car(opened, None if car is None else open_survey(car), find=large)
        if new_file is not None:
            _refuse_existing(new_file)
            write_atomically(new_file, next_text(answer, new_file.stem.removesuffix(".body")).encode())
        if sheet_file is not None:
            stamp = "readings only: no rules checked"
            pages = next_pages(answer, paper)
            write_atomically(sheet_file, pages_paper(pages, paper, title=SHEET_TITLE, stamp=stamp))
    if as_json:
        emit(plain(answer))
    else:
        _tell_next(answer, new_file)
    if answer.level == "fail":
        raise typer.Exit(1)


def _tell_next(answer: NextCarAnswer, made: Path | None) -> None:
    for table in answer.tables:
        show_table(table)
    for sentence in (*answer.found[1:], *answer.finds):
        out.print(f"{sentence.words[:1].upper()}{sentence.words[1:]}.", markup=False)
    if made is not None:
        name = made.as_posix()
        out.print(f"{name}: fill it in, then: cagewright survey next BODY... --car {name}", markup=False)
    out.print(
        f"{answer.headline[:1].upper()}{answer.headline[1:]}. {' '.join(answer.cautions)}", markup=False
    )


def _notes_table(found: SurveyAnswer) -> Table:
    heads = ("what", "line", "found", "what to do, or what it is for")
    rows = tuple((n.tag, str(n.line or ""), n.found, n.advice) for n in found.notes)
    return Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows)


def draft_plan(
    path: SurveyPath,
    plan: Annotated[Path, typer.Option("-o", "--out", metavar="PLAN", help="The plan file to make.")],
    tubes: Annotated[
        Path | None, typer.Option("--set", metavar="SET", help="Place the tubes of this bought set.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Draft a first plan from a survey, or place a bought set in it; nothing is overwritten."""
    if tubes is not None:
        _place_set(path, tubes, plan, as_json=as_json)
        return
    with speaking_plainly(as_json=as_json):
        _refuse_existing(plan)
        answer, text = draft_of(open_survey(path))
        write_atomically(plan, text.encode())
    if as_json:
        emit({"plan": plan.as_posix(), **plain(answer)})
        return
    for sentence in answer.not_done:
        out.print(f"Not done: {sentence.words}", markup=False)
    for sentence in answer.judged:
        out.print(f"Rule book {sentence.words}", markup=False)
    for sentence in answer.left:
        out.print(f"Left by its own checks: {sentence.words}", markup=False)
    if answer.from_scan:
        out.print(f"Taken from the scan: {', '.join(answer.from_scan)}.", markup=False)
    out.print(f"{plan.as_posix()}: {answer.headline}. {' '.join(answer.cautions)}", markup=False)


def _place_set(path: Path, tubes: Path, plan: Path, *, as_json: bool) -> None:
    with speaking_plainly(as_json=as_json):
        _refuse_existing(plan)
        answer, text = set_draft_of(open_survey(path), tubes)
        if text:
            write_atomically(plan, text.encode())
    if as_json:
        emit({"plan": plan.as_posix() if text else None, **plain(answer)})
        raise typer.Exit(0 if text else 1)
    heads = (
        "tube",
        "place",
        "stands",
        "off its start",
        "off its end",
        "keeps its notch at",
        "gap",
        "to know",
    )
    rows = tuple(
        (
            shown(t.tube), shown(t.member), t.stands, t.off_start.said if t.off_start else "",
            t.off_end.said if t.off_end else "", t.kept, t.gap.said if t.gap else "", t.says,
        )
        for t in answer.tubes
    )  # fmt: skip
    show_table(Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows))
    for seat in answer.seats:
        out.print(f"Main rollbar {seat.words}{' (taken)' if seat.taken else ''}.", markup=False)
    for sentence in answer.body:
        out.print(f"Of the body: {sentence.words}.", markup=False)
    if answer.trims is not None:
        if answer.trims.trims:
            show_table(trims_table(answer.trims))
        out.print(f"Of the scan: {answer.trims.headline}.", markup=False)
    if answer.bench is not None:
        out.print(f"Going in: {answer.bench.words}.", markup=False)
        way = answer.bench.passage
        for words in (way.headline, *(move.said for move in way.moves)) if way else ():
            out.print(words, markup=False)
    if answer.empty:
        out.print(f"Not in the set: {', '.join(map(shown, answer.empty))}.", markup=False)
    written = plan.as_posix() if text else f"{plan.as_posix()} is not written"
    out.print(f"{written}: {answer.headline}. {' '.join(answer.cautions)}", markup=False)
    if not text:
        raise typer.Exit(1)


def _refuse_existing(path: Path) -> None:
    if path.exists():
        where = Where(file=path.as_posix())
        raise ProblemsFound([
            Problem(code="exists", where=where, found="the file is already there", wanted="wanted a new name")
        ])


# --- tight-fit


def fit_plan(
    plan: PlanPath,
    gap: Annotated[
        float,
        typer.Option(
            parser=quantity("length", low=1.0, high=100.0),
            metavar="LENGTH",
            help="Wanted between tube and body: 10, '3/8 in'.",
        ),
    ] = 10.0,
    least: Annotated[
        float,
        typer.Option(parser=quantity("length", low=0.0), metavar="LENGTH", help="Kept everywhere."),
    ] = 5.0,
    reach: Annotated[
        float,
        typer.Option(
            parser=quantity("length", low=0.0), metavar="LENGTH", help="Furthest that a bend may move."
        ),
    ] = 40.0,
    fixed: Annotated[
        list[str] | None, typer.Option(help="A named point that stays; may be repeated.")
    ] = None,
    only: Annotated[list[str] | None, typer.Option(help="Only this member; may be repeated.")] = None,
    write: Annotated[bool, typer.Option("--write", help="Change the plan file; else only say what.")] = False,
    as_json: AsJson = False,
) -> None:
    """Move a plan's bend points until its tubes lie at the wanted gap from the body."""
    with speaking_plainly(as_json=as_json):
        answer = fit_answer(
            open_job(plan),
            gap=gap,
            least=least,
            reach=reach,
            only=tuple(map(typed, only or ())),
            fixed=tuple(map(typed, fixed or ())),
            write=write,
        )
    if as_json:
        emit(plain(answer))
        return
    show_table(_fit_table(answer))
    for move in answer.moves:
        out.print(f"{move.where}: {move.said}", markup=False)
    for sentence in answer.in_the_way:
        out.print(sentence.words, markup=False)
    done = "written" if write else "not written: add --write to change the plan"
    out.print(f"{answer.headline}. {len(answer.moves)} values, {done}. Check the plan again.", markup=False)


def _fit_table(answer: FitAnswer) -> Table:
    heads = ("member", "gap before", "gap after", "moved", "what held it back")
    rows = tuple(
        (
            one.shown,
            one.before.said if one.before else "",
            one.after.said if one.after else "",
            one.moved.said if one.moved else "",
            "; ".join(words for words in (one.held, one.lacks.words if one.lacks else "") if words),
        )
        for one in answer.members
    )
    return Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows)
