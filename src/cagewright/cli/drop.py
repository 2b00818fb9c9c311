"""The command that lets a car fall on its cage."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from cagewright.base.files import write_atomically
from cagewright.base.plain import plain
from cagewright.base.sheet import Paper
from cagewright.book.papers import sheets_paper
from cagewright.cli.frames import speaking_of_frames
from cagewright.cli.output import AsJson, PlanPath, emit, out, progress, show_table
from cagewright.cli.quantities import quantity
from cagewright.job.drop import FRICTION, Choices, DropCase, Way, force_curve
from cagewright.job.drop import drop as drop_car
from cagewright.job.drop_types import DropAnswer
from cagewright.job.opening import open_job
from cagewright.job.strength import svg_of


def drop(
    plan: PlanPath,
    height: Annotated[
        float,
        typer.Option(
            "--height",
            parser=quantity("length"),
            metavar="LENGTH",
            help="Clear air from the ground to the cage: '600 mm'.",
        ),
    ],
    roll: Annotated[
        float,
        typer.Option(
            "--roll",
            parser=quantity("angle"),
            metavar="ANGLE",
            help="From upside down; more than 0 lowers the left side.",
        ),
    ] = 0.0,
    pitch: Annotated[
        float,
        typer.Option(
            "--pitch", parser=quantity("angle"), metavar="ANGLE", help="More than 0 lowers the nose."
        ),
    ] = 0.0,
    speed: Annotated[
        float,
        typer.Option("--speed", parser=quantity("speed"), metavar="SPEED", help="Over the ground: '10 m/s'."),
    ] = 0.0,
    first: Annotated[
        Way, typer.Option("--first", help="Which end or side goes first over the ground.")
    ] = "nose",
    friction: Annotated[float, typer.Option("--friction", help="Of the ground.")] = FRICTION,
    time: Annotated[float, typer.Option("--time", metavar="MS", help="How long to follow it, ms.")] = 300.0,
    joints: Annotated[
        Literal["report", "yield"],
        typer.Option("--joints", help="Joints are only reported on, or give at their strength."),
    ] = "report",
    feet: Annotated[
        Literal["shell", "rigid"],
        typer.Option("--feet", help="Feet stand on the body's sheet, or on what does not give."),
    ] = "shell",
    svg: Annotated[
        Path | None, typer.Option("--svg", metavar="FILE", help="Also write the curve as SVG.")
    ] = None,
    pdf: Annotated[
        Path | None, typer.Option("--pdf", metavar="FILE", help="Also write its paper as PDF.")
    ] = None,
    paper: Annotated[Paper, typer.Option("--paper", help="Paper of the PDF.")] = "a4",
    as_json: AsJson = False,
) -> None:
    """Let the car fall on its cage, upside down unless rolled further, and say what gives and what is left.

    The car is a rigid body on its cage's feet; a push (cagewright push) remains what rules ask for.
    """
    case = DropCase(
        height=height, roll=roll, pitch=pitch, speed=speed, first=first, friction=friction,
        time=time * 1e-3,
    )  # fmt: skip
    with speaking_of_frames(as_json=as_json):
        job = open_job(plan)
        with progress(quiet=as_json) as step:
            answer, sheet = drop_car(job, case, Choices(joints=joints, feet=feet), step=step)
        if svg:
            write_atomically(svg, svg_of(force_curve(sheet)))
        if pdf:
            written = sheets_paper((sheet,), title=job.cage.title, revision=job.cage.revision, paper=paper)
            write_atomically(pdf, written)
    if as_json:
        emit(plain(answer))
    else:
        show_drop(answer)


def show_drop(answer: DropAnswer) -> None:
    """Print what the drop did, its tables, then cautions and what was assumed."""
    for words in (f"{answer.headline}.", answer.joints_words, answer.how.words, answer.still.words):
        if words:
            out.print(words, markup=False)
    for table in answer.tables:
        show_table(table)
    for note in (*answer.cautions, *answer.notes):
        out.print(note, markup=False)
