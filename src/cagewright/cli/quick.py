"""Answers without a plan, within a third of a second: one cope, one bend, the schema of plan files."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Annotated

import typer

from cagewright.base.files import write_atomically
from cagewright.base.plain import plain
from cagewright.base.sheet import Paper
from cagewright.base.units import QuantityError, parse
from cagewright.cli.output import AsJson, emit, out, speaking_plainly
from cagewright.job.quick import BendAnswer, CopeAnswer, CopeAsked, quick_bend, quick_cope, steel_names


def length_option(text: str) -> float:
    """The length in mm that an option's text says.

    Raises:
        typer.BadParameter: it is no length, or not more than 0.
    """
    value = signed_length(text)
    if value <= 0.0:
        raise typer.BadParameter("must be more than 0")
    return value


def signed_length(text: str) -> float:
    """The length in mm of either sign that an option's text says.

    Raises:
        typer.BadParameter: it is no length.
    """
    try:
        return parse(text, "length")
    except QuantityError as wrong:
        raise typer.BadParameter(str(wrong)) from None


def size_option(text: str) -> tuple[float, float]:
    """Diameter and wall in mm from text such as ``38x2.5`` or ``1 1/2 x 0.095 in``.

    Raises:
        typer.BadParameter: it is no tube size.
    """
    parts = re.split(r"\s*[x×]\s*", text.strip(), maxsplit=1)
    if len(parts) != 2:
        raise typer.BadParameter("a size is diameter x wall, such as 38x2.5 or '1 1/2 x 0.095 in'")
    inches = parts[1].endswith(("in", '"'))
    od, wall = (length_option(p if not inches or p.endswith(("in", '"')) else f"{p} in") for p in parts)
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
    main: Annotated[str, typer.Option(help="Outside diameter of the main tube.")],
    angle: Annotated[float, typer.Option(min=15.0, max=165.0, help="Between the axes, degrees.")] = 90.0,
    offset: Annotated[str, typer.Option(help="Of the branch's axis from the main's.")] = "0",
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
    asked = CopeAsked(
        od=od, wall=wall, main=length_option(main), angle=math.radians(angle), offset=signed_length(offset)
    )
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
    od: Annotated[str, typer.Option(help="Outside diameter of the tube.")],
    wall: Annotated[str, typer.Option(help="Wall thickness.")],
    clr: Annotated[str, typer.Option(help="Centreline radius of the die.")],
    angle: Annotated[float, typer.Option(min=0.1, max=180.0, help="Angle wanted after release, degrees.")],
    steel: Annotated[str, typer.Option(callback=steel_option, help="Steel, for the springback.")] = "E355+N",
    as_json: AsJson = False,
) -> None:
    """Print what one bend takes: arc, set-back, springback, walls after bending.

    Prints JSON unless a person is reading at a terminal.
    """
    tube_od, tube_wall, radius = length_option(od), length_option(wall), length_option(clr)
    if tube_wall > tube_od / 2.0:
        raise typer.BadParameter(f"a tube of {tube_od:g} mm cannot have a wall of {tube_wall:g} mm")
    if radius <= tube_od / 2.0:
        raise typer.BadParameter("the centreline radius must be more than half the diameter")
    made = quick_bend(od=tube_od, wall=tube_wall, clr=radius, angle=math.radians(angle), steel=steel)
    answer_with(made, as_json=as_json)


def schema() -> None:
    """Print the JSON Schema of plan files, for editors."""
    from cagewright.job.schema import plan_schema  # the types of a plan load for as long as all the rest

    emit(plan_schema())
