"""Commands on strength: push a cage, compare alternatives, write a push for other programs.

A push that stalled is an answer and no mistake: it exits with 0, prints what it reached and says "cannot
tell" for all that rests on the rest. Exit code 1 is for what cannot be pushed or built as drawn.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Literal

import typer

from cagewright.base.drawing import Drawing
from cagewright.base.files import write_atomically
from cagewright.base.plain import plain
from cagewright.book.pictures import png_of
from cagewright.cli.frames import speaking_of_frames
from cagewright.cli.output import AsJson, PlanPath, emit, err, out, progress, show_table
from cagewright.compare.pool import cluster
from cagewright.compare.run import compare as run_study
from cagewright.compare.table import curves, notes_of, tables, values_of
from cagewright.frame.choices import Choices
from cagewright.frame.export import export_push, frame_text
from cagewright.frame.idealise import idealise
from cagewright.frame.neutral import read_frame_file, result_dict, run_push
from cagewright.frame.push_names import DEFAULT, push_named, push_names
from cagewright.frame.respond import marks_of, run
from cagewright.frame.results import Summary
from cagewright.frame.warm import warm_up as warm
from cagewright.job.opening import open_job
from cagewright.make.plots import curves_drawing
from cagewright.make.strength_drawing import LOAD, TRAVEL, curve_of, load_drawing
from cagewright.make.strength_sheet import cage_table, memory_notes, push_tables, pushes_table
from cagewright.make.svg import to_svg
from cagewright.plan.alternatives import read_alternatives

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
        Literal["report", "yield"],
        typer.Option(help="Joints are only reported on, or give at their strength."),
    ] = "report",
    feet: Annotated[
        Literal["shell", "rigid"],
        typer.Option(help="Feet stand on the shell's sheet, or on nothing that gives."),
    ] = "shell",
    band: Annotated[bool, typer.Option("--band", help="Also solve for the typical yield strength.")] = False,
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
        _push_plan(plan, tuple(case or ()), choices, svg, png, band=band, as_json=as_json)


def _list_cases(plan: Path, *, as_json: bool) -> None:
    with speaking_of_frames(as_json=as_json):
        cage = open_job(plan).cage
        known = [push_named(cage, name) for name in push_names(cage)]
    if as_json:
        emit([
            {"name": p.name, "title": p.title, "source": p.source, "certainty": p.certainty} for p in known
        ])
        return
    for found in known:
        out.print(f"{found.name:<22}{found.title} ({found.certainty})", markup=False)


def _push_plan(
    plan: Path, names: tuple[str, ...], choices: Choices, svg: Path | None, png: Path | None,
    *, band: bool, as_json: bool,
) -> None:  # fmt: skip
    with speaking_of_frames(as_json=as_json):
        job = open_job(plan)
        with progress(quiet=as_json) as step:
            summary = run(job.cage, names or tuple(p.name for p in job.cage.pushes), choices, step, band=band)
        _pictures(_curves(summary), svg, png)
    if as_json:
        emit(plain(summary))
    else:
        show_summary(summary, job.cage.units)


def show_summary(summary: Summary, units: Any) -> None:
    """Print what the pushes showed: one table for all, then each push's, then the cautions."""
    show_table(pushes_table(summary, units))
    show_table(cage_table(summary, units))
    for results in summary.results:
        for table in push_tables(results, units):
            show_table(table)
    for note in (*memory_notes(summary), *summary.cautions):
        out.print(note, markup=False)


def _curves(summary: Summary) -> Drawing:
    if len(summary.results) == 1:
        return load_drawing(summary.results[0])
    drawn = tuple(curve_of(r, r.push.name) for r in summary.results)
    return curves_drawing(drawn, name="load", title=f"{summary.title}: load over travel", x=TRAVEL, y=LOAD)


def _pictures(drawing: Drawing, svg: Path | None, png: Path | None) -> None:
    if svg:
        write_atomically(svg, to_svg(drawing).encode())
    if png:
        write_atomically(png, png_of(drawing))


def _push_frame(frame: Path, svg: Path | None, png: Path | None, *, as_json: bool) -> None:
    with speaking_of_frames(as_json=as_json):
        model, point = read_frame_file(frame)
        with progress(quiet=as_json) as step:
            warm(lambda done, parts, doing: step(doing, done / (parts + 1)))
            step("pushing", 0.9)
            answer, seconds = run_push(model, point)
    found = result_dict(answer, seconds=seconds)
    if svg or png:
        with speaking_of_frames(as_json=as_json):
            _pictures(_frame_curve(found), svg, png)
    if as_json:
        emit(found)
        return
    tail = "" if answer.reached else "; cannot tell what comes after"
    out.print(
        f"{found['end']}{tail}. Largest load {found['peak_N'] / 1e3:.2f} kN, "
        f"energy {found['energy_J']:.0f} J, stiffness {found['stiffness_N_per_mm']:.1f} N/mm, "
        f"solved in {seconds:.2f} s.",
        markup=False,
    )


def _frame_curve(found: dict[str, Any]) -> Drawing:
    from numpy import array

    from cagewright.make.plots import Curve

    curve = Curve(name="load", x=array(found["travel_mm"]), y=array(found["load_N"]) / 1e3)
    return curves_drawing((curve,), name="load", title="Load over travel", x=TRAVEL, y=LOAD)


def compare(
    plan: PlanPath,
    alternatives: Annotated[
        Path, typer.Argument(metavar="ALTERNATIVES", help="The alternatives file.", show_default=False)
    ],
    case: Cases = None,
    band: Annotated[
        bool,
        typer.Option(
            "--band/--no-band", help="See whether a difference holds with the typical yield strength."
        ),
    ] = True,
    bars: Annotated[bool, typer.Option("--bars/--no-bars", help="Work out which bars to buy.")] = True,
    scheduler: Annotated[
        str | None, typer.Option("--cluster", metavar="ADDRESS", help="Work on the Dask cluster there.")
    ] = None,
    svg: Svg = None,
    png: Png = None,
    as_json: AsJson = False,
) -> None:
    """Push a plan and its alternatives side by side; exit code 1 where one cannot be built.

    With several pushes the curves' files are numbered by the push's name.
    """
    with speaking_of_frames(as_json=as_json):
        job = open_job(plan)
        study = read_alternatives(alternatives)
        if case:
            study = study.model_copy(update={"pushes": tuple(case)})
        with progress(quiet=as_json) as step:
            if scheduler is None:
                found = run_study(job.plan, study, job.shop, band=band, bars=bars, step=step)
            else:
                with cluster(scheduler) as workers:
                    found = run_study(
                        job.plan, study, job.shop, band=band, bars=bars, executor=workers, step=step
                    )
        for name in found.pushes:
            drawing = curves(found, name)
            if drawing:
                more = len(found.pushes) > 1
                _pictures(drawing, _for_push(svg, name, more=more), _for_push(png, name, more=more))
    if as_json:
        emit(values_of(found))
    else:
        if found.question:
            out.print(found.question, markup=False)
        for table in tables(found):
            show_table(table)
        for note in notes_of(found):
            out.print(note, markup=False)
    if any(o.problems for o in found.outcomes):
        raise typer.Exit(1)


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
        cage = open_job(plan).cage
        pushed = push_named(cage, case)
        made = export_push(idealise(cage, Choices(), marks_of([pushed])), pushed)
        text = frame_text(made)
        if file:
            write_atomically(file, text.encode())
    if not file:
        out.file.write(text + "\n")
    elif as_json:
        emit({"file": file.as_posix(), "lost": list(made.lost)})
    for lost in made.lost if not as_json else ():
        err.print(f"Left out: {lost}.", markup=False)


def warm_up(as_json: AsJson = False) -> None:
    """Compile the solver, so that the first push need not wait."""
    with progress(quiet=as_json) as step:
        warm(lambda done, parts, doing: step(doing, done / parts))
    if as_json:
        emit({"ready": True})
    else:
        out.print("The solver is ready.", markup=False)
