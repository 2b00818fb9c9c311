"""What a plan file says, one model per section of the file; lengths in mm, angles in rad, masses in kg."""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from cagewright.plan.quantities import (
    Angle,
    Count,
    Force,
    Length,
    Mass,
    Number,
    Part,
    Place3,
    Positive,
    Stress,
)

NAME = re.compile(r"^[A-Za-z][A-Za-z0-9_]{0,59}$")
Name = Annotated[str, StringConstraints(pattern=NAME.pattern)]
"""A name the builder gives: a letter, then letters, digits and underlines, 60 at most."""
Text = Annotated[str, StringConstraints(max_length=500)]

Role = Literal[
    "main rollbar",
    "front rollbar",
    "lateral rollbar",
    "lateral half-rollbar",
    "backstay",
    "diagonal",
    "harness bar",
    "doorbar",
    "roof reinforcement",
    "windscreen pillar reinforcement",
    "transverse member",
    "longitudinal member",
    "dash bar",
    "doorbar post",
    "sill bar",
    "seat mount",
    "cage reinforcement",
]
"""The regulations' words for what a member is, and the trade's where they have none."""
Seat = Literal["sill", "box", "floor", "turret", "rigid"]
"""What a foot stands on."""
Side = Literal["left", "right"]
Which = Literal["start", "end"]


class Entry(BaseModel):
    """Base of every section: frozen, and an unknown key is a mistake."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class AtCoordinates(Entry):
    """A place given by three numbers."""

    at: Place3
    clr: Positive | None = None


class AtPoint(Entry):
    """A place at a named point, with an optional offset (back, across, up)."""

    point: Name
    offset: Place3 = (0.0, 0.0, 0.0)
    clr: Positive | None = None


class AtFoot(Entry):
    """A member's end on a foot."""

    foot: Name


class OnMember(Entry):
    """A place on another member: exactly one of up, back, across (a coordinate), along (mm) or part (0 to 1).

    ``side`` or ``near`` picks one where several fit.
    """

    on: Name
    up: Length | None = None
    back: Length | None = None
    across: Length | None = None
    along: Length | None = None
    part: Part | None = None
    side: Side | None = None
    near: Place3 | Name | None = None
    clr: Positive | None = None


Place = AtCoordinates | AtPoint | AtFoot | OnMember
"""One entry of a path. In the file also a bare ``[x, y, z]`` or a bare point name."""


class PointEntry(Entry):
    """A named point; in the file also a bare ``[x, y, z]``."""

    at: Place3
    mirror: Name | None = None
    note: Text = ""


class TubeEntry(Entry):
    """A tube the plan uses; ``clr`` is the centreline radius its bends have unless told otherwise, mm."""

    od: Positive
    wall: Positive
    steel: Text
    clr: Positive | None = None


class SteelEntry(Entry):
    """A steel that is not in the catalogue, from its mill sheet."""

    yield_strength: Stress
    tensile: Stress
    elongation: Number | None = None
    modulus: Stress = 210_000.0
    seamless: bool | None = None
    source: Text


class CutOn(Entry):
    """On which members each end is cut, where the order of the file does not say it."""

    start: tuple[Name, ...] = ()
    end: tuple[Name, ...] = ()


class MemberEntry(Entry):
    """One tube: its role, its tube and its path from start to end."""

    role: Role
    tube: Name
    path: Annotated[tuple[Place, ...], Field(min_length=2, max_length=40)]
    mirror: Name | None = None
    cut: CutOn | None = None
    removable: bool = False
    note: Text = ""


class BoltsEntry(Entry):
    """Bolts through a foot: how many, diameter in mm, strength grade."""

    count: Count
    size: Positive
    grade: Text = "8.8"


class FootEntry(Entry):
    """Where a member lands on the shell.

    Attributes:
        at: where the tube's axis meets the shell, under the plate.
        on: what the plate stands on.
        plate: length (back), width (across), thickness, mm.
        normal: direction square to the plate, out of the shell.
        contact: plate-to-shell contact area, mm2, where it is more than length x width (turned-up sides).
        bolts: number and size, where the foot is bolted.
        mirror: name of the same foot on the other side.
    """

    at: Place3 | Name | AtPoint
    on: Seat
    plate: tuple[Positive, Positive, Positive]
    normal: tuple[Number, Number, Number] = (0.0, 0.0, 1.0)
    contact: Annotated[float, Field(gt=0)] | None = None
    bolts: BoltsEntry | None = None
    mirror: Name | None = None
    note: Text = ""


class PlateEntry(Entry):
    """Sheet welded between members: its corners in order (three or more places) and thickness, mm."""

    corners: Annotated[tuple[Place, ...], Field(min_length=3, max_length=40)]
    thickness: Positive
    mirror: Name | None = None
    note: Text = ""


class GussetEntry(Entry):
    """A gusset at the joint of two members: legs along each, thickness, mm."""

    between: tuple[Name, Name]
    leg: Positive
    thickness: Positive
    kind: Literal["flat", "folded"] = "folded"
    near: Place3 | Name | None = None
    mirror: bool = False


class CarEntry(Entry):
    """The car: mass ready to race without the driver, body kind, rule books it answers to."""

    mass: Mass
    body: Text = ""
    rules: tuple[Text, ...] = ()


class DriverEntry(Entry):
    """The seated driver: stature, hip point, lean of the back from the vertical, helmet circle."""

    stature: Positive = 1755.0
    hip: Place3
    back_angle: Angle = 0.3839724354387525
    helmet: Positive = 300.0
    head: Place3 | None = None


class MountEntry(Entry):
    """A belt mount: on a member, or at a point of the shell."""

    at: Place
    note: Text = ""


class BeltsEntry(Entry):
    """The harness: the standard it answers to and its mounts by name."""

    standard: Text = ""
    mounts: dict[Name, MountEntry] = {}


class SeatEntry(Entry):
    """The seat: its mounts' places and mass."""

    mass: Mass | None = None
    mounts: dict[Name, MountEntry] = {}


class PushEntry(Entry):
    """One load case asked for by name.

    Attributes:
        kind: what presses.
        case: the sourced row it follows, e.g. ``fmvss-216a-left``.
        at: where a point push acts.
        direction: of a point push (back, across, up).
        travel: how far, mm.
        target: force to reach, N.
    """

    kind: Literal["platen", "pole", "point", "static"]
    case: Text = ""
    at: Place | None = None
    direction: tuple[Number, Number, Number] | None = None
    travel: Positive | None = None
    target: Force | None = None


class LineEntry(Entry):
    """A measured body line: its points in order, and what it is (roof, pillar, sill, door opening, ...)."""

    path: Annotated[tuple[Place3 | Name, ...], Field(min_length=2, max_length=2000)]
    mirror: Name | None = None
    note: Text = ""


class ScanEntry(Entry):
    """A scan file of the shell, its units and where it stands."""

    file: Text
    units: Literal["mm", "cm", "m", "in"]
    turn: tuple[Angle, Angle, Angle] = (0.0, 0.0, 0.0)
    move: Place3 = (0.0, 0.0, 0.0)


class ShellEntry(Entry):
    """What is known of the body: measured lines, and a scan where there is one."""

    lines: dict[Name, LineEntry] = {}
    scan: ScanEntry | None = None


class Plan(Entry):
    """A whole plan file, includes merged, exactly as written (mirrors not yet made)."""

    cagewright: Literal[1]
    title: Text
    units: Literal["mm", "in"] = "mm"
    include: tuple[Text, ...] = ()
    car: CarEntry | None = None
    driver: DriverEntry | None = None
    steels: dict[Text, SteelEntry] = {}
    tubes: dict[Name, TubeEntry] = {}
    points: dict[Name, PointEntry] = {}
    members: Annotated[dict[Name, MemberEntry], Field(min_length=1, max_length=400)]
    feet: dict[Name, FootEntry] = {}
    plates: dict[Name, PlateEntry] = {}
    gussets: dict[Name, GussetEntry] = {}
    belts: BeltsEntry | None = None
    seat: SeatEntry | None = None
    pushes: dict[Name, PushEntry] = {}
    shell: ShellEntry | None = None
    shop: Text | None = None
    note: Text = ""
