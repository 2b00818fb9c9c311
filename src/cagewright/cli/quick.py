"""The two quick answers a shop wants without a plan: one cope, one bend."""

from __future__ import annotations

import math
import re
from typing import Annotated, Any

import typer

from cagewright.base.units import MM_PER_IN, QuantityError, parse
from cagewright.cli.output import AsJson, emit, out
from cagewright.stock.benders import inner_wall, outer_wall, set_angle, springback
from cagewright.stock.catalogue import steels
from cagewright.stock.tubes import Tube


def length_option(text: str) -> float:
    """The length in mm that an option's text says.

    Raises:
        typer.BadParameter: it is no length, or not more than 0.
    """
    try:
        value = parse(text, "length")
    except QuantityError as wrong:
        raise typer.BadParameter(str(wrong)) from None
    if value <= 0.0:
        raise typer.BadParameter("must be more than 0")
    return value


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


def bend(
    od: Annotated[str, typer.Option(help="Outside diameter of the tube.")],
    wall: Annotated[str, typer.Option(help="Wall thickness.")],
    clr: Annotated[str, typer.Option(help="Centreline radius of the die.")],
    angle: Annotated[float, typer.Option(min=0.1, max=180.0, help="Angle wanted after release, degrees.")],
    steel: Annotated[str, typer.Option(callback=steel_option, help="Steel, for the springback.")] = "E355+N",
    as_json: AsJson = False,
) -> None:
    """Say what one bend takes: arc, set-back, springback, walls after bending."""
    tube_od, tube_wall, radius = length_option(od), length_option(wall), length_option(clr)
    if tube_wall > tube_od / 2.0:
        raise typer.BadParameter(f"a tube of {tube_od:g} mm cannot have a wall of {tube_wall:g} mm")
    if radius <= tube_od / 2.0:
        raise typer.BadParameter("the centreline radius must be more than half the diameter")
    answer = bend_answer(Tube(od=tube_od, wall=tube_wall, steel=steels()[steel]), radius, math.radians(angle))
    if as_json:
        emit(answer)
        return
    for key, value in answer.items():
        out.print(f"{key:>22}  {value}", markup=False)


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
