"""Answers without a plan, within a third of a second: one cope, one bend, the schema of plan files."""

from __future__ import annotations

import functools
import math
import re
from pathlib import Path
from typing import Annotated, Any

import typer

from cagewright.base.files import write_atomically
from cagewright.base.sheet import Paper
from cagewright.base.units import MM_PER_IN, QuantityError, parse
from cagewright.cli.output import AsJson, emit, out, speaking_plainly
from cagewright.shape.quick import simple_cope
from cagewright.shape.types import Cope
from cagewright.stock.benders import inner_wall, outer_wall, set_angle, springback
from cagewright.stock.catalogue import steels
from cagewright.stock.tubes import Tube


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
    if name not in steels():
        raise typer.BadParameter(f"known steels: {', '.join(steels())}")
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
    made = functools.partial(
        simple_cope,
        branch_od=od,
        branch_wall=wall,
        main_od=length_option(main),
        angle=math.radians(angle),
        offset=signed_length(offset),
    )
    if svg or pdf:
        with speaking_plainly(as_json=as_json):
            write_wrap(made(points=360), od, wall, svg=svg, pdf=pdf, paper=paper)
    answer_with(cope_answer(made(points=points)), as_json=as_json)


def write_wrap(
    found: Cope, od: float, wall: float, *, svg: Path | None, pdf: Path | None, paper: Paper
) -> None:
    """Write the cope's wrap at true scale into the files asked for."""
    # the typesetter takes a second to load, which the plain answer need not wait for
    from cagewright.book.papers import wrap_paper
    from cagewright.make.svg import to_svg
    from cagewright.make.wrapdraw import wrap_drawing
    from cagewright.make.wraps import cut_wrap

    wrap = cut_wrap(found, od=od, wall=wall, units="mm")
    if svg:
        write_atomically(svg, to_svg(wrap_drawing(wrap)).encode())
    if pdf:
        write_atomically(pdf, wrap_paper(wrap, paper))


def cope_answer(found: Cope) -> dict[str, Any]:
    """The cope's figures, JSON-ready; lengths mm, angles deg; null where the wall meets no main."""
    return {
        "phi_deg": [round(math.degrees(v), 6) for v in found.phi],
        "cut_mm": [_finite(v) for v in found.outside],
        "inside_mm": [_finite(v) for v in found.inside],
        "bevel_deg": [_finite(math.degrees(v)) for v in found.bevel],
        "weld_length_mm": round(found.weld_length, 4),
        "least_bevel_deg": round(math.degrees(found.least_bevel), 4),
        "misses_main": bool((found.on < 0).any()),
    }


def _finite(value: float) -> float | None:
    return round(float(value), 6) + 0.0 if math.isfinite(value) else None


def answer_with(answer: dict[str, Any], *, as_json: bool) -> None:
    """Print the figures: JSON for a program, a line each for a person at a terminal."""
    if as_json or not out.is_terminal:
        emit(answer)
        return
    for key, value in answer.items():
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
    answer = bend_answer(Tube(od=tube_od, wall=tube_wall, steel=steels()[steel]), radius, math.radians(angle))
    answer_with(answer, as_json=as_json)


def bend_answer(tube: Tube, clr: float, angle: float) -> dict[str, Any]:
    """Every figure of one bend, JSON-ready; lengths mm, angles deg."""
    answer: dict[str, Any] = {
        "arc_mm": round(clr * angle, 3),
        "setback_mm": round(clr * math.tan(angle / 2.0), 3) if angle < math.pi - 1e-9 else None,
        "outer_wall_mm": round(outer_wall(tube, clr), 3),
        "inner_wall_mm": round(inner_wall(tube, clr), 3),
        "outer_thinning_pct": round(100.0 * (1.0 - outer_wall(tube, clr) / tube.wall), 2),
        "radius_in_diameters": round(clr / tube.od, 3),
        "clr_in": round(clr / MM_PER_IN, 4),
    }
    if tube.steel.yield_strength is None:
        unknown = "no yield strength known"
        return answer | {"springback_deg": None, "set_to_deg": None, "springback_basis": unknown}
    set_to = set_angle(angle, springback(tube, clr))
    return answer | {
        "springback_deg": round(math.degrees(set_to - angle), 3),
        "set_to_deg": round(math.degrees(set_to), 3),
        "springback_basis": "elastic-plastic estimate; make a trial bend, shops see 2 to 6 degrees in 90",
        "steel": tube.steel.name,
    }


def schema() -> None:
    """Print the JSON Schema of plan files, for editors."""
    from cagewright.plan.schema import plan_schema  # the types of a plan load for as long as all the rest

    emit(plan_schema())
