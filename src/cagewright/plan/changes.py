"""The one vocabulary of changes to a plan: what edits from a page and alternatives files are written in.

A length is a number in the units of the text it stands in, or text such as ``20 3/8 in`` or ``45 mm``. A name
may be either side's of a mirrored thing: the change is then meant in that side's terms, and both sides change
unless ``one_side`` says otherwise.
"""

# ruff: noqa: RUF012 (pydantic copies defaults; ruff cannot see from here that Entry is a pydantic model)
from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, Any, Self, cast

from pydantic import BeforeValidator, Field, Tag, ValidationError, model_validator
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import PydanticCustomError

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.plan.load_types import GroundEntry, WeldEntry
from cagewright.plan.places import (
    MEASURES,
    AnyPlace,
    Entry,
    Name,
    Near,
    Place,
    Text,
    name_schema,
    triple_schema,
)
from cagewright.plan.quantities import Angle, Area, Direction, Length, Part, Place3, Positive, YesNo
from cagewright.plan.shorthand import Short, keyed, kinds, place_kind
from cagewright.plan.text import parse
from cagewright.plan.types import (
    BoxEntry,
    CapsEntry,
    Corner,
    CouplingEntry,
    CutOn,
    FoldEntry,
    FootEntry,
    GussetEntry,
    GussetKind,
    HoleEntry,
    MemberEntry,
    Names,
    PlateEntry,
    PointEntry,
    Role,
    Seat,
    SteelEntry,
    TubeEntry,
)
from cagewright.plan.wording import problems_of

AXES = ("back", "across", "up")
SIZE = ("od", "wall", "steel", "clr")
"""What a tube is told by."""


def _numbered(value: Any) -> Any:
    """A place's index from 0, -1 for the last, from ``start``, ``end`` or a number from 1.

    Raises:
        PydanticCustomError: it is neither.
    """
    if value in ("start", "end"):
        return {"start": 0, "end": -1}[value]
    if isinstance(value, bool) or not isinstance(value, int) or value < 1:
        raise PydanticCustomError(
            "no-such-place", "{wanted}", {"wanted": "wanted start, end, or the place's number from 1"}
        )
    return value - 1


PlaceNumber = Annotated[int, BeforeValidator(_numbered)]
"""Which place of a path: start, end or a number from 1 in the text; an index from 0 here, -1 for the last."""


GUSSET = ("between", "leg", "thickness", "kind", "near", "corner", "hole", "dimpled")
"""What of a gusset a change can say."""


def _in_list(value: Any) -> Any:
    return value if isinstance(value, list | tuple) else [value]


def _number_schema() -> JsonSchemaValue:
    return {"anyOf": [{"enum": ["start", "end"]}, {"type": "integer", "minimum": 1}]}


def _exactly_one(entry: Entry, keys: tuple[str, ...], what: str) -> None:
    given = [key for key in keys if getattr(entry, key) not in (None, ())]
    if len(given) != 1:
        found = f"gives {' and '.join(given)}" if given else f"does not say {what}"
        _refuse(found, f"wanted exactly one of {', '.join(keys)}")


def _some(entry: Entry, keys: tuple[str, ...], what: str) -> None:
    if not any(getattr(entry, key) for key in keys):
        _refuse(f"does not say {what}", f"wanted {', '.join(keys[:-1])} or {keys[-1]}")


def _refuse(found: str, wanted: str) -> None:
    raise PydanticCustomError("one-of", "{wanted}", {"found": found, "wanted": wanted})


class RemoveChange(Entry):
    """Members, plates or gussets left out, with the feet that nothing stands on any more.

    With ``dependents`` what rests on them goes too; with ``one_side`` their mirrors stay.
    """

    names: Names
    dependents: YesNo = False
    one_side: YesNo = False


class NearestOn(Entry):
    """The place on a member that is nearest to a point."""

    on: Name
    at: Place3


def _new_place_kind(value: Any) -> str | None:
    nearest = isinstance(value, Mapping) and {*cast("Mapping[str, Any]", value)} == {"on", "at"}
    return "~nearest" if nearest or isinstance(value, NearestOn) else place_kind(value)


class NewMember(MemberEntry):
    """A member as in a plan; its tube is the usual one of its role where not given.

    A bare place at either end that lies in a tube or on a foot becomes a place on it, and ``{on: member, at:
    [x, y, z]}`` is the nearest place on that member.
    """

    tube: Name | None = None  # pyrefly: ignore[bad-override]
    path: Annotated[  # pyrefly: ignore[bad-override]
        tuple[
            Annotated[
                AnyPlace | Annotated[NearestOn, Tag("~nearest")],
                kinds(
                    _new_place_kind, "wanted a place as in a plan, or {on: member, at: [back, across, up]}"
                ),
            ],
            ...,
        ],
        Field(min_length=2, max_length=40),
    ]


class AddChange(Entry):
    """Entries put into the plan, written as in a plan; a member is cut on the ones before it.

    Attributes:
        members: new ones, put last unless ``before`` says otherwise.
        unnamed: a list of members whose names are made from role and side.
        before: an earlier member that the new ones are put before.
        both_sides: the new members are made on the other side too, and their feet.
        in_two: where a new member runs through another it is made in two, cut on that one.
        feet: new ones.
        plates: new ones.
        gussets: new ones.
        points: new ones.
        tubes: new ones.
        steels: new ones.
    """

    members: dict[Name, NewMember] = {}
    unnamed: Annotated[tuple[NewMember, ...], Field(max_length=100)] = ()
    before: Name | None = None
    both_sides: YesNo = False
    in_two: YesNo = False
    feet: dict[Name, FootEntry] = {}
    plates: dict[Name, PlateEntry] = {}
    gussets: dict[Name, GussetEntry] = {}
    points: dict[
        Name, Annotated[PointEntry, Short(expand=keyed("at", (list, tuple)), schema=triple_schema)]
    ] = {}
    tubes: dict[Name, TubeEntry] = {}
    steels: dict[Text, SteelEntry] = {}


class MoveChange(Entry):
    """A place of a path, a named point or a foot put somewhere else.

    A place on another member slides along it and is measured as before where it can be.

    Attributes:
        members: whose places move.
        places: which places of their paths.
        whole: every place of their paths, with the feet and points that they stand on.
        point: a named point that moves, and with it all that refers to it.
        foot: a foot that moves, and with it the tubes that stand on it.
        to: what it sits on from now on, a place as in a plan.
        at: back, across, up, to the nearest 0.1 mm or 1/64 inch; on a member the place nearest to that.
        by: back, across, up from where it was.
        up: the one coordinate that changes (or, on a member, what says where on it), and so on.
        back: see ``up``.
        across: see ``up``.
        along: mm from the first end of the member it is on.
        part: share of the length of the member it is on.
        host: what carries the place moves instead: the named point it stands at, or the nearest place of the
            member it is on.
        one_side: only this side, not the mirror.
    """

    members: Names = ()
    places: Annotated[
        tuple[PlaceNumber, ...], Field(max_length=40), Short(expand=_in_list, schema=_number_schema)
    ] = ()
    whole: YesNo = False
    point: Name | None = None
    foot: Name | None = None
    to: Place | None = None
    at: Place3 | None = None
    by: Place3 | None = None
    up: Length | None = None
    back: Length | None = None
    across: Length | None = None
    along: Length | None = None
    part: Part | None = None
    host: YesNo = False
    one_side: YesNo = False

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        _exactly_one(self, ("members", "point", "foot"), "what moves")
        several = sum(getattr(self, axis) is not None for axis in AXES) > 1
        ways = ("to", "at", "by", "along", "part")
        if not several:
            _exactly_one(self, (*ways[:3], *MEASURES), "where to")
        elif any(getattr(self, way) is not None for way in ways):
            _refuse(
                "says where to in two ways", f"wanted one of {', '.join(ways)}, or some of {', '.join(AXES)}"
            )
        if self.whole and (not self.members or self.places or self.by is None):
            _refuse("moves whole members", "wanted members and by: [back, across, up], no places")
        if self.members and not self.places and not self.whole:
            _refuse("does not say which places", "wanted places: start, end, a number from 1, or a list")
        if self.places and not self.members:
            _refuse("names places but no members", "wanted members: ...")
        if not self.members and (self.along is not None or self.part is not None):
            _refuse("moves along no member", "wanted to, at, by, up, back or across")
        return self


class BendChange(Entry):
    """A bend of a member given another radius, put in, or taken out.

    Attributes:
        name: the member's.
        place: which place of its path; of a new bend the place that it gets.
        at: where a new bend is put in.
        clr: centreline radius of its bend, where not the tube's own.
        straight: the bend is taken out.
        one_side: only this side, not the mirror.
    """

    name: Name
    place: PlaceNumber
    at: Place3 | None = None
    clr: Positive | None = None
    straight: YesNo = False
    one_side: YesNo = False

    @model_validator(mode="after")
    def _one_thing(self) -> Self:
        if self.straight and (self.at is not None or self.clr is not None):
            _refuse("puts a bend in and takes it out", "wanted straight: true alone, or at and clr")
        if not self.straight:
            _some(self, ("at", "clr", "straight"), "what becomes of the bend")
        return self


class SizeChange(Entry):
    """Tubes of another size or steel.

    An equal tube of the plan is used where there is one, else one is made; the radius goes by the diameter.

    Without ``members`` every member of ``tube`` changes; with both, they become that tube.
    """

    members: Names = ()
    tube: Name | None = None
    od: Positive | None = None
    wall: Positive | None = None
    steel: Text | None = None
    clr: Positive | None = None
    one_side: YesNo = False

    @model_validator(mode="after")
    def _something(self) -> Self:
        _some(self, ("members", "tube"), "which tubes change")
        if not self.changed() and not (self.members and self.tube):
            _refuse("does not say what changes", "wanted od, wall, steel or clr")
        return self

    def changed(self) -> dict[str, Any]:
        """What of the tube is new, by its key."""
        return {key: getattr(self, key) for key in SIZE if getattr(self, key) is not None}


class SplitChange(Entry):
    """A member made in two, both halves cut on the member that runs through it there.

    The first half keeps the name; ``along`` is in mm from the first end; ``second`` is made from the
    first's name where it is not given.
    """

    name: Name
    along: Length | None = None
    on: Name | None = None
    second: Name | None = None

    @model_validator(mode="after")
    def _somewhere(self) -> Self:
        _exactly_one(self, ("along", "on"), "where")
        return self


class JoinChange(Entry):
    """Two members of one tube, end to end, made one under the first's name; bent where they met."""

    names: Annotated[tuple[Name, Name], Field(min_length=2, max_length=2)]


class SwapChange(Entry):
    """At a crossing the other tube stays whole.

    Attributes:
        name: the member that runs through; it is made in two.
        half: either of the two that end on it from both sides; they are made one.
    """

    name: Name
    half: Name


class DrawnBend(Entry):
    """One line of a bending list.

    Attributes:
        straight: before the bend, from the tube's end or the last bend's end, mm.
        turn: of the bend's plane about the tube since the last bend, clockwise along the tube; rad.
        angle: of the bend, rad.
    """

    straight: Length
    turn: Angle = 0.0
    angle: Angle


class DrawChange(Entry):
    """A member drawn by its bending list.

    Attributes:
        start: where it begins, a place as in a plan.
        way: which way it sets out, back, across, up.
        towards: which way its first bend turns.
        steps: straight, turn and angle of each bend in order.
        last: straight after the last bend, mm.
        name: made from its role and side where not given.
        role: what it is.
        tube: the usual one of its role where not given.
        clr: centreline radius of its bends where not the tube's own.
        both_sides: made on the other side too.
        in_two: where it runs through another it is made in two, cut on that one.
    """

    start: Place
    way: Direction
    towards: Direction = (0.0, 0.0, 1.0)
    steps: Annotated[tuple[DrawnBend, ...], Field(max_length=20)] = ()
    last: Length
    name: Name | None = None
    role: Role = "cage reinforcement"
    tube: Name | None = None
    clr: Positive | None = None
    both_sides: YesNo = False
    in_two: YesNo = False


class MirrorChange(Entry):
    """A member, foot, plate, gusset or point made on the other side too, a member's feet with it.

    The copy's name is made from the first's where it is not given.
    """

    name: Name
    copy_name: Name | None = None


class ApartChange(Entry):
    """Both sides written as entries of their own, with all that then has no mirror any more."""

    names: Names


class FootChange(Entry):
    """A foot that stands on something else, on another plate, or elsewhere; what is not said stays.

    ``folds`` take the place of a box, and a box that of folds; ``folds: []`` makes the plate flat.
    """

    name: Name
    at: Place3 | None = None
    on: Seat | None = None
    plate: tuple[Positive, Positive, Positive] | None = None
    normal: Direction | None = None
    contact: Area | None = None
    folds: Annotated[tuple[FoldEntry, ...], Field(max_length=12)] | None = None
    box: BoxEntry | None = None
    shaped: YesNo | None = None
    sheet: GroundEntry | None = None
    one_side: YesNo = False


class PlateChange(Entry):
    """A plate with other corners or holes, or of another thickness; what is not said stays."""

    name: Name
    corners: Annotated[tuple[Place, ...], Field(min_length=3, max_length=40)] | None = None
    thickness: Positive | None = None
    holes: Annotated[tuple[HoleEntry, ...], Field(max_length=100)] | None = None
    one_side: YesNo = False

    @model_validator(mode="after")
    def _something(self) -> Self:
        if self.holes is None:
            _some(self, ("corners", "thickness", "holes"), "what changes")
        return self


class GussetChange(Entry):
    """A gusset of another size or kind, or in another corner; what is not said stays."""

    name: Name
    between: tuple[Name, Name] | None = None
    leg: Positive | None = None
    thickness: Positive | None = None
    kind: GussetKind | None = None
    near: Near | None = None
    corner: Corner | None = None
    hole: Positive | None = None
    dimpled: YesNo | None = None
    one_side: YesNo = False

    @model_validator(mode="after")
    def _something(self) -> Self:
        if self.corner is None and self.dimpled is None:
            _some(self, GUSSET, "what changes")
        return self


class WeldChange(Entry):
    """Members' ends welded less or more than all round."""

    members: Names
    start: WeldEntry | None = None
    end: WeldEntry | None = None
    one_side: YesNo = False

    @model_validator(mode="after")
    def _some_end(self) -> Self:
        _some(self, ("start", "end"), "which end")
        return self


class CutChange(Entry):
    """Members whose ends are cut on others than before."""

    members: Names
    cut: Annotated[CutOn, Short(expand=keyed("either", (str, list, tuple)), schema=name_schema)]
    one_side: YesNo = False


class CoupleChange(Entry):
    """Where a member comes apart or is joined end to end, and which of its ends are closed.

    What is not said stays; ``couplings: []`` leaves the tube whole.
    """

    name: Name
    couplings: Annotated[tuple[CouplingEntry, ...], Field(max_length=8)] | None = None
    caps: CapsEntry | None = None
    one_side: YesNo = False

    @model_validator(mode="after")
    def _something(self) -> Self:
        if self.couplings is None:
            _some(self, ("couplings", "caps"), "what changes")
        return self


class RoleChange(Entry):
    """Members of another role."""

    members: Names
    role: Role


class AsBuiltChange(Entry):
    """A member's path as its tube was read; the plan keeps the path that was meant beside it.

    Always of the one tube, never of its mirror.
    """

    name: Name
    path: Annotated[tuple[Place, ...], Field(min_length=2, max_length=40)]

    @property
    def one_side(self) -> bool:
        """A tube as it is has no mirror."""
        return True


class AsPlannedChange(Entry):
    """Members as they were meant again, what was read of their tubes forgotten."""

    members: Names

    @property
    def one_side(self) -> bool:
        """What was taken over for one tube is undone for it."""
        return True


class NoteChange(Entry):
    """The builder's note on a member; empty to take it away."""

    name: Name
    note: Text


class RenameChange(Entry):
    """Another name for one thing; all that refers to it in the plan follows.

    Where both sides' names go by left and right, both are renamed.
    """

    member: Name | None = None
    point: Name | None = None
    foot: Name | None = None
    tube: Name | None = None
    plate: Name | None = None
    to: Name

    @model_validator(mode="after")
    def _one_thing(self) -> Self:
        _exactly_one(self, ("member", "point", "foot", "tube", "plate"), "what is renamed")
        return self


class ChangeEntry(Entry):
    """One change: exactly one of its kinds."""

    remove: (
        Annotated[RemoveChange, Short(expand=keyed("names", (str, list, tuple)), schema=name_schema)] | None
    ) = None
    add: AddChange | None = None
    move: MoveChange | None = None
    bend: BendChange | None = None
    size: SizeChange | None = None
    split: SplitChange | None = None
    join: Annotated[JoinChange, Short(expand=keyed("names", (list, tuple)), schema=name_schema)] | None = None
    swap: SwapChange | None = None
    draw: DrawChange | None = None
    mirror: Annotated[MirrorChange, Short(expand=keyed("name", str), schema=name_schema)] | None = None
    apart: (
        Annotated[ApartChange, Short(expand=keyed("names", (str, list, tuple)), schema=name_schema)] | None
    ) = None
    foot: FootChange | None = None
    plate: PlateChange | None = None
    gusset: GussetChange | None = None
    weld: WeldChange | None = None
    cut: CutChange | None = None
    couple: CoupleChange | None = None
    role: RoleChange | None = None
    as_built: AsBuiltChange | None = None
    as_planned: (
        Annotated[AsPlannedChange, Short(expand=keyed("members", (str, list, tuple)), schema=name_schema)]
        | None
    ) = None
    note: NoteChange | None = None
    rename: RenameChange | None = None

    @model_validator(mode="after")
    def _one_kind(self) -> Self:
        _exactly_one(self, CHANGES, "what changes")
        return self


CHANGES = tuple(ChangeEntry.model_fields)
"""The kinds of change."""


def read_change(asked: Mapping[str, Any], *, units: str, file: str) -> ChangeEntry:
    """The change that the plain values say.

    Args:
        asked: exactly one kind of change and what it holds, as in an alternatives file.
        units: of bare lengths.
        file: what a problem is put down to.

    Raises:
        ProblemsFound: it is none, or a value of it is not as it should be.
    """
    where = Where(file=file)
    try:
        source = parse(json.dumps(dict(asked), ensure_ascii=False), file=file)
    except (TypeError, ValueError, RecursionError):
        found, wanted = "the edit cannot be read", "wanted plain values"
        raise ProblemsFound([Problem(code="bad-edit", where=where, found=found, wanted=wanted)]) from None
    problems = list(source.problems)
    if not problems and source.readable:
        try:
            return ChangeEntry.model_validate(source.data, context={"units": units})
        except ValidationError as wrong:
            problems = problems_of(wrong, source, ChangeEntry)
    raise ProblemsFound(
        replace(p, where=where, found=p.found.replace("the file has", "the edit has")) for p in problems
    )
