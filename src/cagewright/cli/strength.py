"""Commands on strength: push a cage, compare alternatives, write a push for other programs.

A push that stalled is an answer and no mistake: it exits with 0, prints what it reached and says "cannot
tell" for all that rests on the rest. Exit code 1 is for what cannot be pushed or built as drawn, 2 for a
frame file that is wrongly written.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from cagewright.base.drawing import Drawing
from cagewright.base.files import write_atomically
from cagewright.base.plain import plain
from cagewright.base.problems import ProblemsFound
from cagewright.book.pictures import png_of
from cagewright.cli.frames import speaking_of_frames
from cagewright.cli.output import AsJson, PlanPath, emit, err, out, progress, show_problems, show_table
from cagewright.job.alternatives import alternatives as compare_alternatives
from cagewright.job.frame_files import DEFAULT, frame_of, push_frame
from cagewright.job.frame_files import warm_up as warm
from cagewright.job.opening import open_job
from cagewright.job.set_worth import worth_of, worth_table
from cagewright.job.strength import Choices, known_pushes, svg_of
from cagewright.job.strength import push as push_plan
from cagewright.job.strength_types import StrengthAnswer

Cases = Annotated[
    list[str] | None,
    typer.Option("--case", metavar="CASE", help=f"A push by name, several times for several; {DEFAULT}."),
]
Svg = Annotated[Path | None, typer.Option("--svg", metavar="FILE", help="Also write the curves as SVG.")]
Png = Annotated[Path | None, typer.Option("--png", metavar="FILE", help="Also write the curves as PNG.")]


def push(
    plan: Annotated[
        Path | None, typer.Argument(metavar="PLAN", help="The plan file.", show_default=False)
    ] = None,
    case: Cases = None,
    frame: Annotated[
        Path | None, typer.Option("--frame", metavar="FILE", help="Push a neutral frame file instead.")
    ] = None,
    joints: Annotated[
        Literal["both", "report", "yield"],
        typer.Option(
            help="Joints are only reported on, give at their strength, or both: the worse answer counts."
        ),
    ] = "both",
    feet: Annotated[
        Literal["shell", "rigid"],
        typer.Option(help="Feet stand on the shell's sheet, or on nothing that gives."),
    ] = "shell",
    cases: Annotated[bool, typer.Option("--cases", help="Only list the pushes of this cage.")] = False,
    svg: Svg = None,
    png: Png = None,
    as_json: AsJson = False,
) -> None:
    """Push a cage and say what gives, how much it carries and what is left before the driver's head.

    A push that stalls exits with 0 and says "cannot tell" for what was not reached.
    """
    if (plan is None) == (frame is None):
        raise typer.BadParameter("give a plan, or --frame with a frame file")
    if frame is not None:
        _push_frame(frame, svg, png, as_json=as_json)
    elif plan is not None and cases:
        _list_cases(plan, as_json=as_json)
    elif plan is not None:
        choices = Choices(joints=joints, feet=feet)
        _push_plan(plan, tuple(case or ()), choices, svg, png, as_json=as_json)


def _list_cases(plan: Path, *, as_json: bool) -> None:
    with speaking_of_frames(as_json=as_json):
        known = known_pushes(open_job(plan))
    if as_json:
        emit(plain(known))
        return
    for found in known:
        out.print(f"{found.name:<22}{found.title} ({found.certainty})", markup=False)


def _push_plan(
    plan: Path, names: tuple[str, ...], choices: Choices, svg: Path | None, png: Path | None,
    *, as_json: bool,
) -> None:  # fmt: skip
    with speaking_of_frames(as_json=as_json):
        job = open_job(plan)
        with progress(quiet=as_json) as step:
            answer, drawing = push_plan(job, names, choices, step=step)
        _pictures(drawing, svg, png)
    if as_json:
        emit(plain(answer))
    else:
        show_answer(answer)


def show_answer(answer: StrengthAnswer) -> None:
    """Print each push's headline, the tables for all, then each push's, then the cautions."""
    for push in answer.pushes:
        out.print(f"{push.headline}. {push.joints_words}", markup=False)
    for table in (*answer.tables, *(t for push in answer.pushes for t in push.tables)):
        show_table(table)
    for note in answer.cautions:
        out.print(note, markup=False)


def _pictures(drawing: Drawing, svg: Path | None, png: Path | None) -> None:
    if svg:
        write_atomically(svg, svg_of(drawing))
    if png:
        write_atomically(png, png_of(drawing))


def _push_frame(frame: Path, svg: Path | None, png: Path | None, *, as_json: bool) -> None:
    with speaking_of_frames(as_json=as_json):
        try:
            with progress(quiet=as_json) as step:
                found, words, drawing = push_frame(frame, step)
        except ProblemsFound as wrong:
            show_problems(wrong.problems, as_json=as_json)
            raise typer.Exit(2) from None
        _pictures(drawing, svg, png)
    if as_json:
        emit(found)
    else:
        out.print(words, markup=False)


def compare(
    plan: PlanPath,
    alternatives: Annotated[
        Path | None,
        typer.Argument(metavar="[ALTERNATIVES]", help="The alternatives file.", show_default=False),
    ] = None,
    beside: Annotated[
        Path | None,
        typer.Option("--beside", metavar="PLAN", help="Another plan for the same body, as of a bought set."),
    ] = None,
    tubes: Annotated[
        Path | None, typer.Option("--set", metavar="SET", help="The set PLAN is of, for its price.")
    ] = None,
    case: Cases = None,
    draws: Annotated[
        int,
        typer.Option(
            min=0,
            max=1000,
            help="Push each so many times with what is not known drawn, the same for all; 64 says how sure "
            "the ranking is.",
        ),
    ] = 0,
    bars: Annotated[bool, typer.Option("--bars/--no-bars", help="Work out which bars to buy.")] = True,
    summary: Annotated[
        bool, typer.Option("--summary/--no-summary", help="Check each too: what else there is to decide by.")
    ] = True,
    scheduler: Annotated[
        str | None, typer.Option("--cluster", metavar="ADDRESS", help="Work on the Dask cluster there.")
    ] = None,
    svg: Svg = None,
    png: Png = None,
    as_json: AsJson = False,
) -> None:
    """Push a plan and its alternatives side by side; exit code 1 where one cannot be built.

    With several pushes the curves' files are numbered by the push's name. With --beside a bought set's plan
    stands beside one drafted and bent for the same body.
    """
    if (alternatives is None) == (beside is None):
        raise typer.BadParameter("wanted an alternatives file or --beside PLAN")
    if beside is not None:
        _beside(plan, beside, tubes, tuple(case or ()), as_json=as_json)
        return
    assert alternatives is not None
    with speaking_of_frames(as_json=as_json):
        job = open_job(plan)
        with progress(quiet=as_json) as step:
            answer, drawn = compare_alternatives(
                job, alternatives, pushes=case or (), draws=draws, bars=bars, summary=summary,
                scheduler=scheduler, step=step,
            )  # fmt: skip
        for name, drawing in drawn.items():
            more = len(drawn) > 1
            _pictures(drawing, _for_push(svg, name, more=more), _for_push(png, name, more=more))
    if as_json:
        emit(plain(answer))
    else:
        if answer.question:
            out.print(answer.question, markup=False)
        out.print(answer.headline, markup=False)
        for table in answer.tables:
            show_table(table)
        for note in answer.notes:
            out.print(note, markup=False)
    if any(row.problems for row in answer.rows):
        raise typer.Exit(1)


def _beside(plan: Path, other: Path, tubes: Path | None, pushes: tuple[str, ...], *, as_json: bool) -> None:
    with speaking_of_frames(as_json=as_json):
        found = worth_of(open_job(plan), open_job(other), tubes, pushes)
    if as_json:
        emit(plain(found))
        return
    show_table(worth_table(found))
    out.print(f"{found.headline}.", markup=False)


def _for_push(path: Path | None, name: str, *, more: bool) -> Path | None:
    return path.with_stem(f"{path.stem}-{name}") if path and more else path


def export_frame(
    plan: PlanPath,
    case: Annotated[str, typer.Option("--case", metavar="CASE", help="The push by name.")] = DEFAULT,
    file: Annotated[
        Path | None,
        typer.Option("-o", "--out", metavar="FILE", help="Write it there instead of printing it."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Write one push as a neutral frame file, so that anyone can check the model in another program."""
    with speaking_of_frames(as_json=as_json):
        text, lost = frame_of(open_job(plan), case)
        if file:
            write_atomically(file, text.encode())
    if not file:
        out.file.write(text + "\n")
    elif as_json:
        emit({"file": file.as_posix(), "lost": list(lost)})
    for words in lost if not as_json else ():
        err.print(f"Left out: {words}.", markup=False)


def warm_up(as_json: AsJson = False) -> None:
    """Compile the solver, so that the first push need not wait."""
    with progress(quiet=as_json) as step:
        warm(lambda done, parts, doing: step(doing, done / parts))
    if as_json:
        emit({"ready": True})
    else:
        out.print("The solver is ready.", markup=False)
