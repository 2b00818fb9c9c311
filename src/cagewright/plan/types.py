"""What a plan file says, one model per section of the file; lengths in mm, angles in rad, masses in kg."""

# ruff: noqa: RUF012 (pydantic copies defaults; ruff cannot see from here that Entry is a pydantic model)
from __future__ import annotations

import math
from typing import Annotated, Literal, Self

from pydantic import (
    ConfigDict,
    Field,
    PrivateAttr,
    Tag,
    TypeAdapter,
    ValidationInfo,
    field_validator,
    model_validator,
)
from pydantic.config import JsonDict
from pydantic_core import PydanticCustomError

from cagewright.base.dates import span_of
from cagewright.base.problems import Where
from cagewright.base.units import LengthUnit
from cagewright.plan.bench_types import BenchFirstEntry as BenchFirstEntry
from cagewright.plan.coupling_types import CapsEntry as CapsEntry
from cagewright.plan.coupling_types import CouplingBolts as CouplingBolts
from cagewright.plan.coupling_types import CouplingEntry as CouplingEntry
from cagewright.plan.load_types import GroundEntry as GroundEntry
from cagewright.plan.load_types import PushEntry as PushEntry
from cagewright.plan.load_types import WeldEntry as WeldEntry
from cagewright.plan.load_types import WeldsEntry as WeldsEntry
from cagewright.plan.places import AtCoordinates as AtCoordinates
from cagewright.plan.places import AtFoot as AtFoot
from cagewright.plan.places import (
    AtPoint,
    Entry,
    Name,
    Near,
    OwnName,
    Place,
    ShortEntry,
    Text,
    name_schema,
    triple_schema,
)
from cagewright.plan.places import OnMember as OnMember
from cagewright.plan.places import Side as Side
from cagewright.plan.quantities import (
    Angle,
    Area,
    Count,
    Dated,
    Direction,
    Inertia3,
    Length,
    Mass,
    Number,
    Place3,
    Positive,
    Stress,
    Version,
    YesNo,
)
from cagewright.plan.seat_types import BeltBoltEntry as BeltBoltEntry
from cagewright.plan.seat_types import BeltKind as BeltKind
from cagewright.plan.seat_types import BeltMountEntry as BeltMountEntry
from cagewright.plan.seat_types import BeltsEntry as BeltsEntry
from cagewright.plan.seat_types import MountEntry as MountEntry
from cagewright.plan.seat_types import PersonEntry as PersonEntry
from cagewright.plan.seat_types import Seated
from cagewright.plan.seat_types import SeatedEntry as SeatedEntry
from cagewright.plan.seat_types import SeatEntry as SeatEntry
from cagewright.plan.seat_types import SheetEntry as SheetEntry
from cagewright.plan.seat_types import TabEntry as TabEntry
from cagewright.plan.shell_types import LineEntry as LineEntry
from cagewright.plan.shell_types import LineFace as LineFace
from cagewright.plan.shell_types import MetalMark as MetalMark
from cagewright.plan.shell_types import PairEntry as PairEntry
from cagewright.plan.shell_types import ScanEntry as ScanEntry
from cagewright.plan.shell_types import ShellEntry as ShellEntry
from cagewright.plan.shorthand import COORDINATES, NAME, POINT, Short, keyed, kinds, listed, spot_kind
from cagewright.plan.size_types import SizeEntry
from cagewright.plan.source import Keys, Sources, where_in

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
Which = Literal["start", "end"]


class PointEntry(ShortEntry):
    """A named point; in the file also a bare ``[x, y, z]``."""

    bare = "at"

    at: Place3
    mirror: Name | None = None
    note: Text = ""


class TubeEntry(SizeEntry):
    """A tube or rail the plan uses; ``clr`` is its bends' centreline radius unless told otherwise, mm."""

    steel: Text
    clr: Positive | None = None


class SteelEntry(Entry):
    """A steel that is not in the catalogue, from its mill sheet."""

    yield_strength: Stress
    tensile: Stress
    elongation: Number | None = None
    modulus: Stress = 210_000.0
    seamless: YesNo | None = None
    source: Text


Names = Annotated[tuple[Name, ...], Field(min_length=1), Short(expand=listed, schema=name_schema)]
"""One name or a list of names."""


class CutOn(ShortEntry):
    """On which members each end is cut, where the order of the file does not say it.

    Attributes:
        start: members that the first end is cut on.
        end: members that the last end is cut on.
        either: members that whichever end meets them is cut on; in the file a bare name or list of names.
    """

    model_config = ConfigDict(json_schema_extra={"minProperties": 1})
    bare = "either"

    start: Names = ()
    end: Names = ()
    either: Names = ()

    @model_validator(mode="after")
    def _some(self) -> Self:
        if not (self.start or self.end or self.either):
            raise PydanticCustomError(
                "one-of", "{wanted}", {"found": "names no member", "wanted": "wanted start, end or either"}
            )
        return self


class GivenCut(Entry):
    """A notch that is there already: how it was cut, whatever tube it meets now.

    Attributes:
        angle: between the two axes that it was cut for.
        od: of the tube that it was cut for.
        offset: by how much those axes pass each other, the other tube's a quarter turn on from the heel,
            right-handed about the tube from this end inwards.
        heel: the way from the tube's axis to the notch's heel.
    """

    angle: Annotated[Angle, Field(ge=0.26, le=1.5707963267948968)]
    od: Positive
    offset: Length = 0.0
    heel: Direction


class GivenEnds(Entry):
    """The ends of a tube that keep the notch they came with."""

    model_config = ConfigDict(json_schema_extra={"minProperties": 1})

    start: GivenCut | None = None
    end: GivenCut | None = None


Way = Literal["down", "up", "front", "rear", "inside", "outside", "left", "right"]
"""A direction that a side of a rail looks in; inside and outside are towards and away from the middle."""
Turn = Literal["over", "up"]
"""A fold over an edge of the shell, or up a wall of it."""
Run = tuple[Length, Length]
"""From and to along a member, mm."""


class HeldEntry(Entry):
    """How a rail is welded to the shell along its length: runs of one length, so often, or each by itself.

    Attributes:
        on: what it lies on.
        run: length of each run.
        every: from the start of one run to the start of the next, at most; one run stands at each end.
        runs: each run from and to, along the rail from its start.
        sheet: the shell under it, where it was gauged.
    """

    on: Seat
    run: Positive | None = None
    every: Positive | None = None
    runs: Annotated[tuple[Run, ...], Field(max_length=100)] = ()
    sheet: GroundEntry | None = None

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if bool(self.runs) == bool(self.run and self.every):
            told = {"found": "does not say its runs once", "wanted": "wanted run and every, or runs"}
            raise PydanticCustomError("one-of", "{wanted}", told)
        return self


class MemberEntry(Entry):
    """One tube or rail: its role, its tube and its path from start to end.

    ``given`` are ends that keep the notch they came with; ``bought`` names the set that it came bent in.
    ``lies`` says where the side that a rail lies on looks, and after it an angle's standing leg's back.
    ``couplings`` are where it comes apart or is joined end to end, ``caps`` what closes an end in the open.
    ``planned`` is the path that was meant, where ``path`` is the tube as it was read.
    """

    role: Role
    tube: Name
    path: Annotated[tuple[Place, ...], Field(min_length=2, max_length=40)]
    lies: Annotated[
        tuple[Way, ...], Field(max_length=2), Short(expand=listed, schema=TypeAdapter(Way).json_schema)
    ] = ()
    held: HeldEntry | None = None
    mirror: Name | None = None
    cut: (
        Annotated[
            CutOn, Short(expand=keyed("either", (str, list, tuple)), schema=TypeAdapter(Names).json_schema)
        ]
        | None
    ) = None
    removable: YesNo = False
    couplings: Annotated[tuple[CouplingEntry, ...], Field(max_length=8)] = ()
    caps: CapsEntry | None = None
    welds: WeldsEntry | None = None
    given: GivenEnds | None = None
    bought: Text = ""
    planned: Annotated[tuple[Place, ...], Field(max_length=40)] = ()
    note: Text = ""


class BoltsEntry(Entry):
    """Bolts through a foot: how many, diameter in mm, strength grade."""

    count: Count
    size: Positive
    grade: Text = "8.8"


class FoldEntry(Entry):
    """A fold of a foot's plate: the sheet that runs on behind one of its edges.

    Attributes:
        edge: which edge, by where it looks; a second fold on one edge carries on from the first.
        by: how far it runs on, on the side that lies on the shell, from sharp corner to sharp corner.
        turn: over an edge of the shell, or up a wall of it.
        angle: it is folded by.
    """

    edge: Way
    by: Positive
    turn: Turn = "over"
    angle: Annotated[Angle, Field(gt=0.0, le=2.7)] = math.pi / 2.0


class BoxEntry(Entry):
    """The walls that a foot's plate stands on: how high they are, and how wide a rim lies on the shell."""

    high: Positive
    rim: Positive | None = None


class FootEntry(Entry):
    """Where a member lands on the shell.

    Attributes:
        at: where the tube's axis meets the shell, under the plate.
        on: what the plate stands on.
        plate: length (back), width (across), thickness, mm.
        normal: direction square to the plate, out of the shell.
        contact: plate-to-shell contact area, mm2, where it is more than length x width (turned-up sides).
        folds: of its edges, where it goes over an edge, up a wall or in steps.
        box: where the plate stands on walls folded from it.
        shaped: whether its plate is shaped to the shell as it was scanned.
        bolts: number and size, where the foot is bolted.
        sheet: the shell under it, where it was gauged.
        mirror: name of the same foot on the other side.
        note: the builder's.
    """

    at: Annotated[
        Annotated[Name, Tag(NAME)] | Annotated[Place3, Tag(COORDINATES)] | Annotated[AtPoint, Tag(POINT)],
        kinds(spot_kind, "wanted [back, across, up], a point's name or {point: name, offset: [...]}"),
    ]
    on: Seat
    plate: tuple[Positive, Positive, Positive]
    normal: Direction = (0.0, 0.0, 1.0)
    contact: Area | None = None
    folds: Annotated[tuple[FoldEntry, ...], Field(max_length=12)] = ()
    box: BoxEntry | None = None
    shaped: YesNo = False
    bolts: BoltsEntry | None = None
    sheet: GroundEntry | None = None
    mirror: Name | None = None
    note: Text = ""

    @model_validator(mode="after")
    def _folds_or_box(self) -> Self:
        if self.folds and self.box:
            told = {
                "found": "has folds and a box",
                "wanted": "wanted one of them: a box has four folds already",
            }
            raise PydanticCustomError("one-of", "{wanted}", told)
        if self.shaped and (self.folds or self.box):
            told = {"found": "is shaped and folded", "wanted": "wanted shaped: alone"}
            raise PydanticCustomError("one-of", "{wanted}", told)
        return self

    @field_validator("at")
    @classmethod
    def _bare_point(cls, at: str | tuple[float, ...] | AtPoint) -> str | tuple[float, ...] | AtPoint:
        if isinstance(at, AtPoint) and at.clr is None and not any(at.offset):
            return at.point
        return at


class HoleEntry(Entry):
    """A round hole of a plate: where its middle is, as near as need be, and its diameter."""

    at: Near
    size: Positive


class PlateEntry(Entry):
    """Sheet welded between members: its corners in order (three or more places) and thickness, mm.

    ``holes`` lighten it.
    """

    corners: Annotated[tuple[Place, ...], Field(min_length=3, max_length=40)]
    thickness: Positive
    holes: Annotated[tuple[HoleEntry, ...], Field(max_length=100)] = ()
    mirror: Name | None = None
    note: Text = ""


GussetKind = Literal["flat", "folded", "bent corner", "half tube"]
Corner = Annotated[
    tuple[Way, ...], Field(max_length=2), Short(expand=listed, schema=TypeAdapter(Way).json_schema)
]
"""In which corner of a crossing: where it lies from the joint, or which way the leg on each member runs."""


class GussetEntry(Entry):
    """A gusset at the joint of two members: legs along each, thickness, mm.

    Attributes:
        between: the two members.
        leg: how far it reaches along each.
        thickness: of the sheet, or of the half tube's wall.
        kind: how it is made.
        near: a rough place, where the two meet twice.
        corner: which of the corners; the narrowest where not given.
        hole: diameter of the hole in each of its sides.
        dimpled: whether the hole's rim is pressed in.
        mirror: the same on the other side.
    """

    between: tuple[Name, Name]
    leg: Positive
    thickness: Positive
    kind: GussetKind = "folded"
    near: Near | None = None
    corner: Corner = ()
    hole: Positive | None = None
    dimpled: YesNo = False
    mirror: YesNo = False

    @model_validator(mode="after")
    def _dimpled_hole(self) -> Self:
        if self.dimpled and self.hole is None:
            told = {"found": "is dimpled and has no hole", "wanted": "wanted 'hole: ...'"}
            raise PydanticCustomError("missing-key", "{wanted}", told)
        return self


class CarEntry(Entry):
    """The car: mass ready to race without the driver, body kind, rule books it answers to.

    Attributes:
        mass: ready to race, without the driver.
        body: what kind, in words that a rule book may ask for.
        rules: rule books it answers to.
        built: when the cage was or is to be built; rows of a book hold from or until such a date.
        logbook: when its log book is or will be dated.
        centre: the middle of the mass of car and driver.
        inertia: of car and driver about the back, across and up axes through that middle, kg m2.
        listed: the least weight that its class lists, driver included, for books whose tables are by it.
    """

    mass: Mass
    body: Text = ""
    rules: tuple[Text, ...] = ()
    built: Dated | None = None
    logbook: Dated | None = None
    centre: Place3 | None = None
    inertia: Inertia3 | None = None
    listed: Mass | None = None

    @field_validator("logbook")
    @classmethod
    def _not_before_built(cls, said: str | None, info: ValidationInfo) -> str | None:
        built = info.data.get("built")
        if said and built and span_of(said).last < span_of(built).first:
            wanted = f"wanted {built}, when the cage was built, or later"
            raise PydanticCustomError("dates-reversed", "{wanted}", {"wanted": wanted})
        return said


_SOME_MEMBERS: JsonDict = {"anyOf": [{"required": ["members"]}, {"required": ["include"]}]}


class Sections(Entry):
    """The sections of a plan; an included file holds some of these."""

    units: Literal["mm", "in"] = "mm"
    inches: Literal["fractions", "decimals"] = "fractions"
    include: tuple[Text, ...] = ()
    car: CarEntry | None = None
    driver: PersonEntry | None = None
    people: dict[OwnName, Seated] = {}
    steels: dict[Text, SteelEntry] = {}
    tubes: dict[OwnName, TubeEntry] = {}
    points: dict[
        OwnName, Annotated[PointEntry, Short(expand=keyed("at", (list, tuple)), schema=triple_schema)]
    ] = {}
    members: Annotated[dict[OwnName, MemberEntry], Field(min_length=1, max_length=400)] = {}
    feet: dict[OwnName, FootEntry] = {}
    plates: dict[OwnName, PlateEntry] = {}
    gussets: dict[OwnName, GussetEntry] = {}
    belts: BeltsEntry | None = None
    seat: SeatEntry | None = None
    pushes: dict[OwnName, PushEntry] = {}
    practice: dict[Text, bool] = {}
    bench: dict[Text, dict[Text, bool | float | Text]] = {}
    bench_first: BenchFirstEntry | None = None
    shell: ShellEntry | None = None
    shop: Text | None = None
    note: Text = ""


class Plan(Sections):
    """A whole plan, includes merged, exactly as written (mirrors not yet made)."""

    model_config = ConfigDict(json_schema_extra=_SOME_MEMBERS)

    cagewright: Version
    title: Text
    _sources: Sources = PrivateAttr(default_factory=Sources)

    @property
    def house_units(self) -> LengthUnit:
        """The units in which its figures are said."""
        return "decimal in" if self.units == "in" and self.inches == "decimals" else self.units

    @property
    def sources(self) -> Sources:
        """The files it was read from; none for a plan made in code."""
        return self._sources

    def read_from(self, sources: Sources) -> Self:
        """The same plan, knowing the files it was read from."""
        plan = self.model_copy()
        plan._sources = sources
        return plan


def where_of(plan: Plan, keys: Keys) -> Where:
    """Where a value of the plan stands in the builder's files.

    Keys that the file does not have (a default, the long form of a shorthand) are passed over.
    """
    return where_in(plan.sources, keys)
