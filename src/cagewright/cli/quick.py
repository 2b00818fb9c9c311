"""Answers without a plan, within a third of a second: one cope, one bend, the schema of plan files."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated

import typer

from cagewright.base.files import write_atomically
from cagewright.base.plain import plain
from cagewright.base.sheet import Paper
from cagewright.cli.output import AsJson, emit, out, speaking_plainly
from cagewright.cli.quantities import TUBE_LENGTH, quantity
from cagewright.job.quick import BendAnswer, CopeAnswer, CopeAsked, quick_bend, quick_cope, steel_names


def size_option(text: str) -> tuple[float, float]:
    """Diameter and wall in mm from text such as ``38x2.5`` or ``1 1/2 x 0.095 in``.

    Raises:
        typer.BadParameter: it is no tube size.
    """
    parts = re.split(r"\s*[x×]\s*", text.strip(), maxsplit=1)
    if len(parts) != 2:
        raise typer.BadParameter("a size is diameter x wall, such as 38x2.5 or '1 1/2 x 0.095 in'")
    inches = parts[1].endswith(("in", '"'))
    od, wall = (TUBE_LENGTH(p if not inches or p.endswith(("in", '"')) else f"{p} in") for p in parts)
    if wall > od / 2.0:
        raise typer.BadParameter(f"a tube of {od:g} mm cannot have a wall of {wall:g} mm")
    return od, wall


def steel_option(name: str) -> str:
    """The name, if it is a known steel.

    Raises:
        typer.BadParameter: it is none.
    """
    if name not in steel_names():
        raise typer.BadParameter(f"known steels: {', '.join(steel_names())}")
    return name


def cope(
    branch: Annotated[str, typer.Option(help="Branch tube as diameter x wall, e.g. 38x2.5.")],
    main: Annotated[
        float,
        typer.Option(parser=TUBE_LENGTH, metavar="LENGTH", help="Outside diameter of the main tube."),
    ],
    angle: Annotated[
        float,
        typer.Option(
            parser=quantity("angle", low=15.0, high=165.0),
            metavar="ANGLE",
            help="Between the axes: 90, '90 deg'.",
        ),
    ] = 90.0,
    offset: Annotated[
        float,
        typer.Option(
            parser=quantity("length"),
            metavar="LENGTH",
            help="Of the branch's axis from the main's, either way.",
        ),
    ] = 0.0,
    points: Annotated[int, typer.Option(min=8, max=3600, help="How many points round the branch.")] = 36,
    svg: Annotated[Path | None, typer.Option(help="Also write the wrap as SVG at true scale.")] = None,
    pdf: Annotated[Path | None, typer.Option(help="Also write the wrap as PDF at true scale.")] = None,
    paper: Annotated[Paper, typer.Option(help="Paper of the PDF.")] = "a4",
    as_json: AsJson = False,
) -> None:
    """Print one cope: cut distance from the main's axis along the branch, phi 0 on the heel.

    Prints JSON unless a person is reading at a terminal.
    """
    od, wall = size_option(branch)
    asked = CopeAsked(od=od, wall=wall, main=main, angle=angle, offset=offset)
    if svg or pdf:
        with speaking_plainly(as_json=as_json):
            write_wrap(asked, svg=svg, pdf=pdf, paper=paper)
    answer_with(quick_cope(asked, points), as_json=as_json)


def write_wrap(asked: CopeAsked, *, svg: Path | None, pdf: Path | None, paper: Paper) -> None:
    """Write the cope's wrap at true scale into the files asked for."""
    # the typesetter takes a second to load, which the plain answer need not wait for
    from cagewright.book.papers import pages_paper
    from cagewright.job.quick import TITLE, cope_wrap
    from cagewright.job.writers import to_svg

    drawing, pages = cope_wrap(asked, paper)
    if svg:
        write_atomically(svg, to_svg(drawing).encode())
    if pdf:
        subject = "One cope at true scale"
        stamp = "rules: not checked"
        write_atomically(pdf, pages_paper(pages, paper, title=TITLE, stamp=stamp, subject=subject))


def answer_with(answer: CopeAnswer | BendAnswer, *, as_json: bool) -> None:
    """Print the figures: JSON for a program, a line each for a person at a terminal."""
    if as_json or not out.is_terminal:
        emit(plain(answer))
        return
    out.print(answer.headline, markup=False)
    own = {key: value for key, value in plain(answer).items() if key not in ("headline", "level", "cautions")}
    for key, value in own.items():
        out.print(f"{key:>22}  {value}", markup=False)


def bend(
    od: Annotated[
        float, typer.Option(parser=TUBE_LENGTH, metavar="LENGTH", help="Outside diameter of the tube.")
    ],
    wall: Annotated[float, typer.Option(parser=TUBE_LENGTH, metavar="LENGTH", help="Wall thickness.")],
    clr: Annotated[
        float, typer.Option(parser=TUBE_LENGTH, metavar="LENGTH", help="Centreline radius of the die.")
    ],
    angle: Annotated[
        float,
        typer.Option(
            parser=quantity("angle", low=0.1, high=180.0),
            metavar="ANGLE",
            help="Wanted after release: '90 deg'.",
        ),
    ],
    steel: Annotated[str, typer.Option(callback=steel_option, help="Steel, for the springback.")] = "E355+N",
    as_json: AsJson = False,
) -> None:
    """Print what one bend takes: arc, set-back, springback, walls after bending.

    Prints JSON unless a person is reading at a terminal.
    """
    if wall > od / 2.0:
        raise typer.BadParameter(f"a tube of {od:g} mm cannot have a wall of {wall:g} mm")
    if clr <= od / 2.0:
        raise typer.BadParameter("the centreline radius must be more than half the diameter")
    made = quick_bend(od=od, wall=wall, clr=clr, angle=angle, steel=steel)
    answer_with(made, as_json=as_json)


def schema() -> None:
    """Print the JSON Schema of plan files, for editors."""
    from cagewright.job.schema import plan_schema  # the types of a plan load for as long as all the rest

    emit(plan_schema())
