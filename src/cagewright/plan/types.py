"""What a plan file says, one model per section of the file; lengths in mm, angles in rad, masses in kg."""

# ruff: noqa: RUF012 (pydantic copies defaults; ruff cannot see from here that Entry is a pydantic model)
from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Literal, Self, cast

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
BeltKind = Literal["lap", "shoulder", "crotch"]
"""The three kinds of belt of a harness."""


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


class FootEntry(Entry):
    """Where a member lands on the shell.

    Attributes:
        at: where the tube's axis meets the shell, under the plate.
        on: what the plate stands on.
        plate: length (back), width (across), thickness, mm.
        normal: direction square to the plate, out of the shell.
        contact: plate-to-shell contact area, mm2, where it is more than length x width (turned-up sides).
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
    bolts: BoltsEntry | None = None
    sheet: GroundEntry | None = None
    mirror: Name | None = None
    note: Text = ""

    @field_validator("at")
    @classmethod
    def _bare_point(cls, at: str | tuple[float, ...] | AtPoint) -> str | tuple[float, ...] | AtPoint:
        if isinstance(at, AtPoint) and at.clr is None and not any(at.offset):
            return at.point
        return at


class PlateEntry(Entry):
    """Sheet welded between members: its corners in order (three or more places) and thickness, mm."""

    corners: Annotated[tuple[Place, ...], Field(min_length=3, max_length=40)]
    thickness: Positive
    mirror: Name | None = None
    note: Text = ""


GussetKind = Literal["flat", "folded"]


class GussetEntry(Entry):
    """A gusset at the joint of two members: legs along each, thickness, mm."""

    between: tuple[Name, Name]
    leg: Positive
    thickness: Positive
    kind: GussetKind = "folded"
    near: Near | None = None
    mirror: YesNo = False


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


class PersonEntry(Entry):
    """Somebody seated in the car: stature, hip point, lean of the back from the vertical, helmet circle.

    Attributes:
        stature: standing height.
        hip: hip point (H point).
        back_angle: lean of the back from the vertical.
        helmet: diameter of the circle round head and helmet.
        head: middle of that circle, where it was measured.
        people: whose published measures fill in what was not measured.
        shoulders: breadth over the shoulders, where it was measured.
        hips: breadth over the hips, seated, where it was measured.
        knees: middle of each knee, where they were measured.
        eyes: halfway between the eyes, looking straight ahead, where it was measured.
        shoulder: top of the shoulder under the belt, on the seat's centre line, where it was measured.
        mass: dressed to race, for rule books whose weights count the driver.
        groin: where the crotch belt leaves the body, on the seat's centre line, where it was measured.
        called: a name, where several drive.
        hole: of the seat's bracket that this driver sits in, from 1; whichever suits where not given.
    """

    stature: Positive = 1755.0
    mass: Mass | None = None
    hip: Place3
    back_angle: Angle = 0.3839724354387525
    helmet: Positive = 300.0
    head: Place3 | None = None
    people: Literal["men", "women"] = "men"
    shoulders: Positive | None = None
    hips: Positive | None = None
    knees: Annotated[tuple[Place3, ...], Field(max_length=2)] = ()
    eyes: Place3 | None = None
    shoulder: Place3 | None = None
    groin: Place3 | None = None
    called: Text = ""
    hole: Count | None = None


class MountEntry(Entry):
    """A mount: on a member, or at a point of the shell."""

    at: Place
    note: Text = ""


class TabEntry(Entry):
    """A tab that a belt is bolted to.

    Attributes:
        thickness: of the sheet.
        width: across the pull at the hole.
        hole: diameter of the hole.
        end: hole's middle to the tab's free end.
        reach: hole's middle to the weld.
        root: length of the weld along the tab's base, one side; the tab's width where not given.
        throat: of the fillet weld, one along each side of the base.
        yield_strength: of the sheet.
        tensile: of the sheet.
    """

    thickness: Positive
    width: Positive
    hole: Positive
    end: Positive
    reach: Positive
    root: Positive | None = None
    throat: Positive | None = None
    yield_strength: Stress = 235.0
    tensile: Stress = 360.0


class BeltBoltEntry(Entry):
    """The bolt through a belt's end: size such as ``M10`` or ``7/16 UNF``, grade, and shear planes."""

    size: Text
    grade: Text = "8.8"
    planes: Literal[1, 2] = 1


class BeltMountEntry(MountEntry):
    """A belt mount.

    Attributes:
        belt: which belts it holds, one word for each; from the mount's name where not given.
        wrap: the belt goes round the tube, over its top, with no tab or bolt.
        tab: where it is not the belts' usual one.
        bolt: where it is not the belts' usual one.
        plate: length, width and thickness of the plate welded to the shell there.
    """

    belt: Annotated[
        tuple[BeltKind, ...],
        Field(max_length=4),
        Short(expand=listed, schema=TypeAdapter(BeltKind).json_schema),
    ] = ()
    wrap: YesNo = False
    tab: TabEntry | None = None
    bolt: BeltBoltEntry | None = None
    plate: tuple[Positive, Positive, Positive] | None = None


Span = tuple[Angle, Angle]
"""From and to, as angles."""
Reach = tuple[Length, Length]
"""From and to, as lengths."""


class SheetEntry(Entry):
    """What the belt maker's own sheet asks for; each figure given wins over the standard's.

    Attributes:
        source: the sheet's name and date.
        lap_angle: lap belt to the level, in side view.
        shoulder_down: shoulder belt below the level, in side view, rearward of the shoulder.
        shoulder_inward: shoulder belt to the seat's centre line, in the plan, inward more than 0.
        shoulder_spread: between the shoulder mounts.
        below_shoulder: how far the mount is below the shoulder.
        lap_spread: between the lap mounts.
        crotch_to_chest: crotch belt to the line of the belts on the chest, in side view, back more than 0.
        crotch_to_plumb: crotch belt to straight down, in side view, back more than 0.
        crotch_spread: between the crotch mounts.
        shoulder_free: shoulder mount to shoulder.
        lap_free: lap mount to hip.
    """

    source: Text
    lap_angle: Span | None = None
    shoulder_down: Span | None = None
    shoulder_inward: Span | None = None
    shoulder_spread: Reach | None = None
    below_shoulder: Reach | None = None
    lap_spread: Reach | None = None
    crotch_to_chest: Span | None = None
    crotch_to_plumb: Span | None = None
    crotch_spread: Reach | None = None
    shoulder_free: Reach | None = None
    lap_free: Reach | None = None


class BeltsEntry(Entry):
    """The harness.

    Its tab and bolt are the usual ones.
    """

    standard: Text = ""
    sheet: SheetEntry | None = None
    tab: TabEntry | None = None
    bolt: BeltBoltEntry | None = None
    mounts: dict[OwnName, BeltMountEntry] = {}


class SeatEntry(Entry):
    """The seat.

    Slots are the middles of the holes that belts pass through, left and right; ``bottom`` is the corner
    of seat back and seat bottom, on the centre line. ``travel`` is how far the seat slides, from and to, back
    more than 0; ``holes`` are how far back and up each hole of its bracket puts it from there.
    """

    mass: Mass | None = None
    mounts: dict[OwnName, MountEntry] = {}
    slots: tuple[Place3, Place3] | None = None
    crotch_slot: Place3 | None = None
    bottom: Place3 | None = None
    travel: Reach = (0.0, 0.0)
    holes: Annotated[tuple[tuple[Length, Length], ...], Field(max_length=12)] = ()


class SeatedEntry(PersonEntry):
    """One of several people in the car, with the seat and the harness that are theirs.

    ``others`` sit in that seat at other times; a list of people in its place is the first and those.
    """

    seat: SeatEntry | None = None
    belts: BeltsEntry | None = None
    others: Annotated[tuple[PersonEntry, ...], Field(max_length=8)] = ()


def _in_turn(value: Any) -> Any:
    """A list of people as the first and the others."""
    if not isinstance(value, list | tuple) or not value:
        return value
    first, *rest = cast("Sequence[Any]", value)
    return {**cast("Mapping[str, Any]", first), "others": rest} if isinstance(first, Mapping) else value


def _turns_schema() -> JsonDict:
    return {"type": "array", "items": {"type": "object"}, "minItems": 1, "maxItems": 9}


Seated = Annotated[SeatedEntry, Short(expand=_in_turn, schema=_turns_schema)]


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
        units: of the file's numbers.
        turn: about back, then across, then up, all through the datum.
        move: after the turn.
        points: three or more points picked on the scan and measured on the car, in place of turn and move;
            six, well spread, are better.
    """

    file: Text
    units: Literal["mm", "cm", "m", "in"]
    turn: tuple[Angle, Angle, Angle] = (0.0, 0.0, 0.0)
    move: Place3 = (0.0, 0.0, 0.0)
    points: Annotated[tuple[PairEntry, ...], Field(max_length=20)] = ()


class ShellEntry(Entry):
    """What is known of the body: measured lines, marked metal, and a scan where there is one."""

    lines: dict[OwnName, LineEntry] = {}
    metal: dict[OwnName, MetalEntry] = {}
    scan: ScanEntry | None = None


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
