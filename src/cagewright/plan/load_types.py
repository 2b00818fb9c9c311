"""What a plan says about strength: pushes, welds that are not all round, the sheet under a foot."""

from __future__ import annotations

from typing import Annotated, Any, Literal, get_args

from pydantic import Field, Tag, TypeAdapter
from pydantic.json_schema import JsonSchemaValue

from cagewright.plan.places import Entry, Place, Side, Text
from cagewright.plan.quantities import Angle, Direction, Force, Length, Number, Positive, Stress
from cagewright.plan.shorthand import Short, kinds

Facing = Literal["outside", "inside", "top", "bottom", "front", "rear"]
"""A side of a tube's end: away from or towards the car's centre plane, up, down, forward, back."""
MOST_BRIDGED = 10.0
"""No weld of a cage is said to bridge a wider gap, mm: more is a slip of the pen (ours)."""
FACING, ARC = "~facing", "~arc"
Arc = Annotated[tuple[Angle, Angle], Tag(ARC)]


def _open_kind(value: Any) -> str | None:
    if isinstance(value, str):
        return FACING
    return ARC if isinstance(value, list | tuple) else None


OpenPart = Annotated[
    Annotated[Facing, Tag(FACING)] | Arc,
    kinds(_open_kind, f"wanted one of {', '.join(get_args(Facing))}, or two angles of the cope's wrap"),
]
"""A part of the line round a tube's end: a quarter that faces somewhere, or from one angle to another."""


def _in_a_list(value: Any) -> Any:
    """A bare word or a bare pair of angles as a list of one."""
    if isinstance(value, str):
        return [value]
    if isinstance(value, list | tuple) and len(value) == 2:
        words = get_args(Facing)
        bare = not any(isinstance(v, list | tuple) or v in words for v in value)
        return [value] if bare else value
    return value


def _short_open() -> JsonSchemaValue:
    return {"anyOf": [TypeAdapter(Facing).json_schema(), TypeAdapter(tuple[Angle, Angle]).json_schema()]}


class WeldEntry(Entry):
    """The weld of one end.

    Attributes:
        open: where it is left out; one part or a list of parts.
        throat: of the weld; the thinner wall where not given.
        gap: the widest that this weld bridges; the shop's where not given.
    """

    open: Annotated[
        tuple[OpenPart, ...], Field(max_length=8), Short(expand=_in_a_list, schema=_short_open)
    ] = ()
    throat: Positive | None = None
    gap: Annotated[Positive, Field(le=MOST_BRIDGED)] | None = None


class WeldsEntry(Entry):
    """The welds of a member's ends where they are not all round or not of the usual size."""

    start: WeldEntry | None = None
    end: WeldEntry | None = None


class GroundEntry(Entry):
    """The shell under a foot, gauged, in place of what is assumed.

    Attributes:
        thickness: of the sheet, or of the box section's walls.
        yield_strength: of it.
        span: of a sheet, from the plate's middle to the nearest stiff edge.
        depth: of a box section, under the plate.
        source: how it is known.
    """

    thickness: Positive | None = None
    yield_strength: Stress | None = None
    span: Positive | None = None
    depth: Positive | None = None
    source: Text = ""


class PushEntry(Entry):
    """One load case asked for by name.

    ``case`` is the sourced row it follows. Travel is in mm; the force to reach is ``target``, N, or
    ``weights``, a multiple of the weight of car and driver. A platen is pitched nose down and rolled
    outer side down.
    """

    kind: Literal["platen", "pole", "point", "static"]
    case: Text = ""
    at: Place | None = None
    direction: Direction | None = None
    travel: Positive | None = None
    target: Force | None = None
    weights: Number | None = None
    side: Side | None = None
    pitch: Angle | None = None
    roll: Angle | None = None
    size: tuple[Positive, Positive] | None = None
    diameter: Positive | None = None
    back: Length | None = None
