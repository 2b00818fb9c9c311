"""Who sits in the car, seat and harness, as a plan file says them; in mm, rad and kg."""

# ruff: noqa: RUF012 (pydantic copies defaults; ruff cannot see from here that Entry is a pydantic model)
from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Literal, cast

from pydantic import Field, TypeAdapter
from pydantic.config import JsonDict

from cagewright.plan.places import Entry, OwnName, Place, Text
from cagewright.plan.quantities import Angle, Count, Length, Mass, Place3, Positive, Stress, YesNo
from cagewright.plan.shorthand import Short, listed

BeltKind = Literal["lap", "shoulder", "crotch"]
"""The three kinds of belt of a harness."""


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
