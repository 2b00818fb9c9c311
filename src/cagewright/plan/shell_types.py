"""What is known of the body, as a plan file says it; lengths in mm, angles in rad."""

# ruff: noqa: RUF012 (pydantic copies defaults; ruff cannot see from here that Entry is a pydantic model)
from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from cagewright.plan.places import Entry, Name, Near, OwnName, Text
from cagewright.plan.quantities import Angle, Number, Place3, Positive

LineFace = Literal["corner", "edge", "inner face", "rear face"]
"""Where a pillar's or a rail's line was marked: in an open corner, or on a box: its edge that looks into the
car, its face to the middle of the car, or its face to the back."""
MetalMark = Literal["seam", "anchorage", "rail", "pillar", "trimmable"]
"""What the builder marked a piece of the shell as; only what is trimmable is ever drawn as a cut."""


class LineEntry(Entry):
    """A measured body line: its points in order, and what it is (roof, pillar, sill, door opening, ...)."""

    path: Annotated[tuple[Near, ...], Field(min_length=2, max_length=2000)]
    face: LineFace = "corner"
    spread: Positive = 2.0
    mirror: Name | None = None
    note: Text = ""


class MetalEntry(Entry):
    """A piece of the shell that the builder marked: where it runs, and how far from there it counts.

    Attributes:
        mark: what it is.
        path: one place, or several in order along it.
        reach: metal no further than this from the path belongs to it.
        box: width and height of it as a box section, where they were measured.
        thickness: of its sheet, where it was gauged.
    """

    mark: MetalMark
    path: Annotated[tuple[Near, ...], Field(min_length=1, max_length=200)]
    reach: Positive = 40.0
    box: tuple[Positive, Positive] | None = None
    thickness: Positive | None = None
    mirror: Name | None = None
    note: Text = ""


class PairEntry(Entry):
    """One point seen twice: in the scan file's own numbers, and on the car (a place or a named point)."""

    scan: tuple[Number, Number, Number]
    car: Near


class ScanEntry(Entry):
    """A scan file of the shell, its units and where it stands.

    Attributes:
        file: STL, OBJ, PLY, GLB, XYZ or E57, beside the plan.
        units: of the file's numbers; where not given it is told which they may be, and nothing is read.
        turn: about back, then across, then up, all through the datum.
        move: after the turn.
        points: three or more points picked on the scan and measured on the car, in place of turn and move;
            six, well spread, are better.
    """

    file: Text
    units: Literal["mm", "cm", "m", "in"] | None = None
    turn: tuple[Angle, Angle, Angle] = (0.0, 0.0, 0.0)
    move: Place3 = (0.0, 0.0, 0.0)
    points: Annotated[tuple[PairEntry, ...], Field(max_length=20)] = ()


class ShellEntry(Entry):
    """What is known of the body: measured lines, marked metal, and a scan where there is one."""

    lines: dict[OwnName, LineEntry] = {}
    metal: dict[OwnName, MetalEntry] = {}
    scan: ScanEntry | None = None
